"""The nine lessons: each a question about two to four boats, and what their spells answer.

Door: catalogue, lesson, plan.
"""
