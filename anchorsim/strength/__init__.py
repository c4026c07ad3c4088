"""What each part of the gear is rated for, what is left of it as found, and which parts match.

Door: assumed, capacity, compatibility, components, degradation, design_loads, wear.
"""
