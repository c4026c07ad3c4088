"""How far what nobody knows exactly may be from what is stated: one figure each, with where it is from.

Each "spread" is the standard deviation of the logarithm of a factor on what is stated.
"""

from __future__ import annotations

WINDAGE = 0.15  # judgement
LINE_DRAG = 0.25  # judgement: published coefficients of chain across are 1.2 to 2.6 on the bar's diameter
WIND = 0.10  # of the mean wind over its forecast (judgement)
GUSTS = 0.15  # of how far gusts go over the mean (judgement)
LENGTH = 0.05  # of the length let out (judgement)
WATER = 0.20  # of the water's hold on the hull (judgement: cross-flow coefficients in data/crossflow.csv)
FRICTION = 0.15  # of the bottom's friction on rode that lies (judgement: 0.98 at rest for 0.74)

LEAST_STRETCH = 0.7  # share of its stretch that nylon of a few seasons has left (judgement)
LOADING = (0.95, 1.15)  # displacement over what is stated: stores and water in, mostly (judgement)
DEPTH_FIXED, DEPTH_SHARE = 0.5, 0.013  # m and share of the depth, at 95 %: IHO S-44 order 1 (from memory)
