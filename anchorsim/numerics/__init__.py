"""General numerics that no library has ready: intervals, estimates, thresholds, hazards, clearances.

Door: clearance, estimates, geodesy, hazard, interval, sobol, threshold.
"""
