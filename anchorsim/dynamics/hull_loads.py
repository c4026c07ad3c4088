"""What air and water do to a boat that moves through them: compiled into her motion (``motion_kernel``).

Axes as there: x ahead, y to starboard, origin amidships, yaw positive to starboard; plain SI floats.
"""

from __future__ import annotations

import math

from anchorsim.core.jit import inlined
from anchorsim.scenario.hull_form import FASTEST, HUMP
from anchorsim.scenario.vessel import Hull

Load = tuple[float, float, float]  # ahead, to starboard (N), yawing moment (N m)

_SAIL_SLOPE = 2.1  # normal force of the riding sail per radian: Helmbold, aspect ratio 1.5 (judgement)
_WAKE = 0.25 * math.pi  # of Rayleigh's plate, with a wake as wide as the flow leaves it
_LOWEST, _HIGHEST = HUMP * HUMP, FASTEST * FASTEST - HUMP * HUMP


@inlined
def plate_force(along: float, across: float, lift_slope: float, broadside: float) -> float:
    """Normal force of a plate on half the density times its area (m²/s²), towards where the flow goes across.

    Attached, with the potential part and the cross flow's, it is lift_slope · cos α sin α + broadside ·
    sin² α of the speed squared.  It stalls where that comes up to the plate's own broadside to the flow, at
    tan α = broadside/lift_slope, and over a few degrees turns into Rayleigh's with a wake of still water,
    ∝ sin α/(1 + ¼π sin α) (Lamb, Hydrodynamics, art. 77, from memory), scaled to end at ``broadside``.
    """
    square = along * along + across * across
    if square < 1e-18:
        return 0.0
    blunt, lifted = broadside * along, lift_slope * across
    held, stalled = blunt * blunt, lifted * lifted
    held, stalled = held * held, stalled * stalled
    held, stalled = held * held, stalled * stalled
    if held + stalled <= 0.0:
        return 0.0
    sideways, speed = abs(across), math.sqrt(square)
    attached = (lift_slope * abs(along) + broadside * sideways) * (speed + _WAKE * sideways)
    apart = broadside * (1.0 + _WAKE) * square
    return (held * attached + stalled * apart) * across / ((held + stalled) * (speed + _WAKE * sideways))


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
    sail_y = 0.0
    if hull.sail_area > 0.0:
        aside = abeam - hull.sail_centre * turn
        sail_y = 0.5 * density * hull.sail_area * plate_force(ahead, aside, _SAIL_SLOPE, hull.plate_drag)
    return x, y + rig_y + sail_y, n + rig_y * hull.rig_centre + sail_y * hull.sail_centre


@inlined
def water_load(hull: Hull, u: float, v: float, r: float, density: float) -> Load:
    """Force ahead, to starboard (N) and yawing moment (N m) of water through which the boat moves (u, v, r).

    Resistance ahead and astern as ``hull_form`` has it; cross-flow drag by strips along the
    waterline; keel and rudder as plates that stall.
    """
    y, n = 0.0, 0.0
    for i in range(len(hull.strip_place)):
        across = v + hull.strip_place[i] * r
        push = hull.strip_drag[i] * abs(across) * across
        y += push
        n += push * hull.strip_place[i]
    keel = hull.keel_area * plate_force(u, v + hull.keel_centre * r, hull.keel_lift_slope, hull.plate_drag)
    rudder = hull.rudder_area * plate_force(
        u, v + hull.rudder_centre * r, hull.rudder_lift_slope, hull.plate_drag
    )
    half, n = -0.5 * density, n + keel * hull.keel_centre + rudder * hull.rudder_centre
    froude = hull.froude * u * u
    waves = froude * (hull.wave_drag + hull.hump_drag * min(max(froude - _LOWEST, 0.0), _HIGHEST))
    drag = (hull.surge_drag if u > 0.0 else hull.astern_drag) + waves
    return half * drag * abs(u) * u, half * (y + keel + rudder), half * n


@inlined
def wave_drift(hull: Hull, push_ahead: float, push_abeam: float) -> Load:
    """Mean push of waves: force ahead, to starboard (N) and yawing moment (N m).

    (push_ahead, push_abeam): what waves press on a metre of wall square to them (N/m), the way they go; as
    :class:`anchorsim.scenario.hull_form.Push` has it.
    """
    square = push_ahead * push_ahead + push_abeam * push_abeam
    if square < 1e-12:
        return 0.0, 0.0, 0.0
    c, s = push_ahead * push_ahead / square, push_abeam * push_abeam / square
    a, b = hull.drift_ahead, hull.drift_abeam
    x = push_ahead * (a[0] + s * (a[1] + s * a[2]))
    y = push_abeam * (b[0] + c * (b[1] + c * b[2]))
    return x, y, hull.drift_turn * push_ahead * push_abeam / math.sqrt(square)
