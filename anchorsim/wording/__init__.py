"""Every sentence that people read; the one room beneath the faces that knows the unit system.

Door: advice, amounts, assessment, cautions, comparison, compatibility, findings, limits, maintenance,
night, recommendations, sensitivity, sources, suitability, terms, warnings, weakest_link.
"""
