"""The boat as a body: what surrounds her, and how she gathers way under all that pushes her.

Axes: x north, y east, z up from the water's surface, heading clockwise from north; in the boat x ahead, y to
starboard, origin amidships, yaw positive to starboard.  Plain SI floats.
"""

from __future__ import annotations

from typing import NamedTuple

from anchorsim.core.jit import inlined
from anchorsim.dynamics.hull_loads import air_load, water_load
from anchorsim.scenario.vessel import Hull


class Setting(NamedTuple):
    """What surrounds the boat and her rode.

    air, water: kg/m³; current_north, current_east: the water's velocity, m/s; depth: of the water at the
    anchor, m; rise_north, rise_east: metres that the bottom rises for each metre; friction: of what lies, as
    a share of its weight; height: of the bow roller above the water, m; spread: between a bridle's strong
    points, m (0 without one); drag: times what the rode's drag in the water is taken to be; anchor: its mass,
    kg.
    """

    air: float
    water: float
    current_north: float
    current_east: float
    depth: float
    rise_north: float
    rise_east: float
    friction: float
    height: float
    spread: float
    drag: float
    anchor: float


@inlined
def hull_force(
    hull: Hull, setting: Setting, cosine: float, sine: float, u: float, v: float, r: float,
    north: float, east: float,
) -> tuple[float, float, float]:  # fmt: skip
    """Force ahead, to starboard (N) and yawing moment (N m) of air that moves (north, east) and of the water.

    ``cosine`` and ``sine`` are those of the heading, (u, v, r) her speeds over the ground.  With the forces
    of the water's inertia on a body that turns in a current, the Munk moment among them (Fossen, Handbook of
    Marine Craft Hydrodynamics and Motion Control, ch. 6).
    """
    set_ahead = setting.current_north * cosine + setting.current_east * sine
    set_abeam = -setting.current_north * sine + setting.current_east * cosine
    through, across = u - set_ahead, v - set_abeam
    air = air_load(hull, north * cosine + east * sine - u, -north * sine + east * cosine - v, setting.air, r)
    water = water_load(hull, through, across, r, setting.water)
    swept = hull.added_sway * across + hull.added_sway_yaw * r
    x = air[0] + water[0] + (hull.mass * v + hull.added_surge * set_abeam + swept) * r
    y = air[1] + water[1] - (hull.mass * u + hull.added_sway * set_ahead + hull.added_surge * through) * r
    n = (
        air[2]
        + water[2]
        - hull.added_sway_yaw * r * set_ahead
        - (swept - hull.added_surge * across) * through
    )
    return x, y, n


@inlined
def gather_way(hull: Hull, x: float, y: float, n: float) -> tuple[float, float, float]:
    """Rates of her speeds ahead, abeam (m/s²) and of turning (rad/s²) under a force (N), a moment (N m)."""
    sway, yaw, cross = hull.mass + hull.added_sway, hull.yaw_inertia + hull.added_yaw, hull.added_sway_yaw
    determinant = sway * yaw - cross * cross
    return (
        x / (hull.mass + hull.added_surge),
        (yaw * y - cross * n) / determinant,
        (sway * n - cross * y) / determinant,
    )
