"""Boat, rode and anchor in motion: one spell of weather integrated in time.

Door: anchor_kernel, anchor_travel, hull_loads, motion_kernel, run, sheering, simulation, wave_motion.
"""
