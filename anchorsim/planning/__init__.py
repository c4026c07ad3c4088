"""What to change and when to leave: measures tried on the same spells, a night hour by hour.

Door: advice, hours, measures, night.
"""
