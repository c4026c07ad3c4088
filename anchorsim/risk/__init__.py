"""Many spells: the outcome of each, chances, limits, sensitivity, comparison, the swinging circle.

Door: assessment, clearances, comparison, draws, limits, monte_carlo, outcome, sensitivity, stretch,
swinging_room.
"""
