"""What to change and when to leave: measures tried on the same spells, a night hour by hour,
one choice of several set-ups.

Door: advice, choice, hours, measures, night.
"""
