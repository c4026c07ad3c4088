"""What air and water do to a boat that moves through them: compiled into her motion (``swing_kernel.py``).

Axes as there: x ahead, y to starboard, origin amidships, yaw positive to starboard; plain SI floats.  numba
keeps its cache by the file of what calls these: clear that cache, or touch that file, when they change.
"""

from __future__ import annotations

import math

from anchorsim.boat import Hull
from anchorsim.compiled import inlined

Load = tuple[float, float, float]  # ahead, to starboard (N), yawing moment (N m)

_SAIL_SLOPE = 2.1  # normal force of the riding sail per radian: Helmbold, aspect ratio 1.5 (judgement)


@inlined
def air_load(hull: Hull, ahead: float, abeam: float, density: float, turn: float = 0.0) -> Load:
    """Force ahead, to starboard (N) and yawing moment (N m) of air that moves (ahead, abeam) over the boat.

    Hull and house after Blendermann (1994), with γ the angle of the air's origin off the bow:
    CX = −C_l cos γ / D, CY = C_t sin γ / D, CN = [s_L/L − 0.18(γ − π/2)] CY,
    D = 1 − (δ/2)(1 − C_l A_F / (C_t A_L)) sin² 2γ.  Mast and stays are cylinders, the riding sail a plate.

    Where the boat turns (``turn``, rad/s) each part meets the air abeam that its own place does.  The hull,
    of which only steady winds are published, counts as strips of equal area with C_t ½ρV for each m/s abeam:
    right for wind from ahead, half of what wind from abeam would make of it.
    """
    speed = math.sqrt(ahead * ahead + abeam * abeam)
    if speed < 1e-9:
        return 0.0, 0.0, 0.0
    pressure = 0.5 * density * speed
    cosine, sine = -ahead / speed, abeam / speed
    along = hull.wind_ahead if cosine > 0.0 else hull.wind_astern
    ratio = along * hull.frontal_area / (hull.lateral_area * hull.wind_transverse)
    divisor = 1.0 - 2.0 * hull.wind_cross * (1.0 - ratio) * sine * sine * cosine * cosine
    side = pressure * hull.lateral_area * hull.wind_transverse
    x = pressure * hull.frontal_area * along * ahead / divisor
    y = side * abeam / divisor
    n = (hull.windage_centre - 0.18 * hull.length * (math.acos(cosine) - 0.5 * math.pi)) * y
    y -= side * hull.windage_centre * turn
    n -= side * (hull.windage_centre * hull.windage_centre + hull.length * hull.length / 12.0) * turn
    rig = pressure * hull.rig_drag
    x += rig * hull.rig_frontal_area * ahead
    rig_y = rig * hull.rig_lateral_area * (abeam - hull.rig_centre * turn)
    aside = abeam - hull.sail_centre * turn
    plate = _SAIL_SLOPE * abs(ahead) + hull.plate_drag * abs(aside)
    sail_y = 0.5 * density * hull.sail_area * plate * aside
    return x, y + rig_y + sail_y, n + rig_y * hull.rig_centre + sail_y * hull.sail_centre


@inlined
def water_load(hull: Hull, u: float, v: float, r: float, density: float) -> Load:
    """Force ahead, to starboard (N) and yawing moment (N m) of water through which the boat moves (u, v, r).

    Skin friction ahead; cross-flow drag by strips along the waterline; keel and rudder as plates with a
    normal force that grows linearly and then with the square of the cross flow.
    """
    y, n = 0.0, 0.0
    for i in range(len(hull.strip_place)):
        across = v + hull.strip_place[i] * r
        push = hull.strip_drag[i] * abs(across) * across
        y += push
        n += push * hull.strip_place[i]
    across = v + hull.keel_centre * r
    keel = hull.keel_area * (hull.keel_slope * abs(u) + hull.plate_drag * abs(across)) * across
    across = v + hull.rudder_centre * r
    rudder = hull.rudder_area * (hull.rudder_slope * abs(u) + hull.plate_drag * abs(across)) * across
    half, n = -0.5 * density, n + keel * hull.keel_centre + rudder * hull.rudder_centre
    return half * hull.surge_drag * abs(u) * u, half * (y + keel + rudder), half * n
