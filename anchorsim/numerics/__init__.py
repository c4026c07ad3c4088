"""General numerics that no library has ready: estimates, thresholds, Sobol indices, clearances, geodesy."""
