"""Many spells: the outcome of each, chances, limits, sensitivity, comparison, the swinging circle.

Door: assessment, clearances, comparison, draws, geojson, limits, monte_carlo, outcome, part_loads,
sensitivity, spreads, stretch, swinging_room, workers.
"""
