"""Every sentence that people read; the one room beneath the faces that knows the unit system.

Door: advice, amounts, around, assessment, cautions, class_page, comparison, compatibility, decision, findings,
glance, headlines, lesson_texts, lessons, limits, maintenance, night, odds_cards, pages, recommendations, report,
sensitivity, set_ups, since_last, sources, start, suitability, terms, warnings, weakest_link.
"""
