"""The compiled motion under ``swing.py``: loads on the boat, their sum, and the march through a watch.

Axes: x north, y east, heading clockwise from north; in the boat x ahead, y to starboard, origin amidships,
yaw positive to starboard.  Everything is plain SI floats.  It is all in one file because numba's disk cache is
kept per file; ``line_kernel.look_up`` is the one thing taken from elsewhere, so clear the cache when that changes.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from anchorsim.boat import Hull
from anchorsim.compiled import compiled
from anchorsim.line_kernel import look_up

Floats = NDArray[np.float64]

# The state: x, y, heading, u, v, r; the anchor's place; the distance at which it gives way (infinite while it
# holds); and the rode on the bottom: its direction (unit vector to the north and east) and its length.
_STATE = 12
_DAMPING_SPEED = 0.1  # m/s over which the rope's loss turns from unloading to loading (judgement)
_SAIL_SLOPE = 2.1  # normal force of the riding sail per radian: Helmbold, aspect ratio 1.5 (judgement)
_SAMPLES = 11
_LEAST_LYING = 0.01  # m of rode on the bottom that are worth following


class Setting(NamedTuple):
    """What surrounds the boat, plain SI floats.

    current_north, current_east: the water's velocity, m/s; apex, spread: of the bridle, m (0 without one);
    lying_friction: of the rode next to the anchor, N per metre lying, over as much as ``lying_length``, m;
    holding: N; drag_share, reset_share: as :class:`anchorsim.seabed.Ground` has them.
    """

    air: float
    water: float
    current_north: float
    current_east: float
    apex: float
    spread: float
    lying_friction: float
    lying_length: float
    holding: float
    drag_share: float
    reset_share: float


@compiled
def air_load(hull: Hull, ahead: float, abeam: float, density: float) -> tuple[float, float, float]:
    """Force ahead (N), to starboard (N) and yawing moment (N m) of air that moves (ahead, abeam) over the boat.

    Hull and house after Blendermann (1994), with γ the angle of the air's origin off the bow:
    CX = −C_l cos γ / D, CY = C_t sin γ / D, CN = [s_L/L − 0.18(γ − π/2)] CY,
    D = 1 − (δ/2)(1 − C_l A_F / (C_t A_L)) sin² 2γ.  Mast and stays are cylinders, the riding sail a plate.
    """
    speed = math.sqrt(ahead * ahead + abeam * abeam)
    if speed < 1e-9:
        return 0.0, 0.0, 0.0
    pressure = 0.5 * density * speed * speed
    cosine, sine = -ahead / speed, abeam / speed
    along = hull.wind_ahead if cosine > 0.0 else hull.wind_astern
    ratio = along * hull.frontal_area / (hull.lateral_area * hull.wind_transverse)
    divisor = 1.0 - 2.0 * hull.wind_cross * (1.0 - ratio) * sine * sine * cosine * cosine
    x = -pressure * hull.frontal_area * along * cosine / divisor
    y = pressure * hull.lateral_area * hull.wind_transverse * sine / divisor
    n = (hull.windage_centre - 0.18 * hull.length * (math.acos(cosine) - 0.5 * math.pi)) * y
    rig = 0.5 * density * hull.rig_drag * speed
    rig_y = rig * hull.rig_lateral_area * abeam
    sail_y = 0.5 * density * hull.sail_area * abeam * (_SAIL_SLOPE * abs(ahead) + hull.plate_drag * abs(abeam))
    return (
        x + rig * hull.rig_frontal_area * ahead,
        y + rig_y + sail_y,
        n + rig_y * hull.rig_centre + sail_y * hull.sail_centre,
    )


@compiled
def water_load(hull: Hull, u: float, v: float, r: float, density: float) -> tuple[float, float, float]:
    """Force ahead, to starboard (N) and yawing moment (N m) of water through which the boat moves (u, v, r).

    Skin friction ahead; cross-flow drag by strips along the waterline; keel and rudder as
    plates with a normal force that grows linearly and then with the square of the cross flow.
    """
    half = 0.5 * density
    y, n = 0.0, 0.0
    for i in range(len(hull.strip_place)):
        across = v + hull.strip_place[i] * r
        push = -half * hull.strip_drag[i] * abs(across) * across
        y += push
        n += push * hull.strip_place[i]
    across = v + hull.keel_centre * r
    push = -half * hull.keel_area * (hull.keel_slope * abs(u) + hull.plate_drag * abs(across)) * across
    y += push
    n += push * hull.keel_centre
    across = v + hull.rudder_centre * r
    push = -half * hull.rudder_area * (hull.rudder_slope * abs(u) + hull.plate_drag * abs(across)) * across
    y += push
    n += push * hull.rudder_centre
    return -half * hull.surge_drag * abs(u) * u, y, n


@compiled
def lifts_off(state: Floats, north: float, east: float) -> float:
    """How far from the anchor (m) the rode leaves the bottom, seen from a bow that lies (north, east) of the anchor.

    It does so at the end of what lies on the bottom, or where the bow is abreast of that.
    """
    return min(max(north * state[9] + east * state[10], 0.0), state[11])


@compiled
def reach(
    hull: Hull, setting: Setting, state: Floats, cosine: float, sine: float
) -> tuple[float, float, float, float]:
    """The rode's way from where its pull comes aboard: unit vector ahead and abeam, length to the anchor, side (m).

    It comes aboard at the roller, and runs straight (seen from above) to where it leaves the bottom and from
    there to the anchor.  A bridle's line of pull runs through its hook, ``apex`` ahead of the strong points,
    until one leg goes slack and the pull comes to the other's strong point alone; ``side`` is where that line
    crosses the line between the strong points.  ``cosine`` and ``sine`` are those of the heading.
    """
    north, east = state[6] - state[0], state[7] - state[1]
    lying = lifts_off(state, hull.roller * cosine - north, hull.roller * sine - east)
    north += lying * state[9]
    east += lying * state[10]
    ahead = north * cosine + east * sine - hull.roller
    abeam = -north * sine + east * cosine
    side = 0.0
    if setting.spread > 0.0:
        half = 0.5 * setting.spread
        side = math.copysign(half, abeam)
        if ahead > 0.0:
            side = min(max(abeam * setting.apex / (ahead + setting.apex), -half), half)
    abeam -= side
    distance = math.sqrt(ahead * ahead + abeam * abeam)
    if distance < 1e-9:
        return 0.0, 0.0, lying + distance, side
    return ahead / distance, abeam / distance, lying + distance, side


@compiled
def sweep(hull: Hull, setting: Setting, curve: Floats, state: Floats, cosine: float, sine: float) -> None:
    """Let what lies on the bottom be swept round by the sideways pull at its end, as far as friction lets it.

    A straight rode turning about the anchor is held by friction with the moment μw l²/2, so at its end it stands
    a sideways pull of μw l²/2 over its length; l counts no more than the part next to the anchor, for the rope
    above it weighs next to nothing.
    """
    north = state[0] + hull.roller * cosine - state[6]
    east = state[1] + hull.roller * sine - state[7]
    far = math.sqrt(north * north + east * east)
    load, _, _, _, _, lying, _ = look_up(curve, min(reach(hull, setting, state, cosine, sine)[2], state[8]))
    if lying < _LEAST_LYING or setting.lying_friction <= 0.0:
        state[11] = 0.0
        if far > 0.0:
            state[9], state[10] = north / far, east / far
        return
    state[11] = lying
    held = min(lying, setting.lying_length)
    stands = 0.5 * setting.lying_friction * held * held / lying
    for _ in range(2):
        end = lifts_off(state, north, east)
        off_north, off_east = north - end * state[9], east - end * state[10]
        off = math.sqrt(off_north * off_north + off_east * off_east)
        if off < 1e-9:
            return
        across = (state[9] * off_east - state[10] * off_north) / off
        along = (state[9] * off_north + state[10] * off_east) / off
        if load * abs(across) <= stands and along >= 0.0:
            return
        turn = math.atan2(across, along)
        turn -= math.copysign(math.asin(min(stands / load, 1.0)) if load > 0.0 else 0.5 * math.pi, turn)
        turn /= 1.0 + end * max(along, 0.0) / off
        cosine, sine = math.cos(turn), math.sin(turn)
        state[9], state[10] = state[9] * cosine - state[10] * sine, state[9] * sine + state[10] * cosine


@compiled
def rode_pull(
    hull: Hull, setting: Setting, curve: Floats, state: Floats, cosine: float, sine: float
) -> tuple[float, float, float, float, float, float]:
    """The rode's pull: force ahead, to starboard (N), moment (N m); load at the bow and at the anchor (N), lift (rad).

    Rope loses part of its energy: the load is raised while the rode lengthens and lowered while it shortens.
    Beyond the distance at which a dragging anchor gives way the rode does neither.
    """
    ahead, abeam, distance, side = reach(hull, setting, state, cosine, sine)
    load, at_bow, at_anchor, lift, share, _, _ = look_up(curve, min(distance, state[8]))
    if distance <= state[8]:
        opening = -((state[3] - side * state[5]) * ahead + (state[4] + hull.roller * state[5]) * abeam)
        rate = opening / _DAMPING_SPEED
        factor = 1.0 + share / (2.0 - share) * rate / math.sqrt(1.0 + rate * rate)
        load, at_bow, at_anchor = load * factor, at_bow * factor, at_anchor * factor
    x, y = load * ahead, load * abeam
    return x, y, y * hull.roller - x * side, at_bow, at_anchor, lift


@compiled
def slope(
    hull: Hull, setting: Setting, curve: Floats, state: Floats, north: float, east: float, out: Floats
) -> None:
    """Fill ``out`` with the rates of x, y, heading, u, v, r in air that moves (north, east).

    Surge, sway and yaw with added mass moved through water that itself moves; the Coriolis terms of the added
    mass carry the Munk moment (Fossen, Handbook of Marine Craft Hydrodynamics and Motion Control, ch. 6).
    """
    cosine, sine = math.cos(state[2]), math.sin(state[2])
    u, v, r = state[3], state[4], state[5]
    set_ahead = setting.current_north * cosine + setting.current_east * sine
    set_abeam = -setting.current_north * sine + setting.current_east * cosine
    through, across = u - set_ahead, v - set_abeam
    air = air_load(
        hull, north * cosine + east * sine - u, -north * sine + east * cosine - v, setting.air
    )
    water = water_load(hull, through, across, r, setting.water)
    pull = rode_pull(hull, setting, curve, state, cosine, sine)
    swept = hull.added_sway * across + hull.added_sway_yaw * r
    x = air[0] + water[0] + pull[0] + hull.mass * v * r + hull.added_surge * r * set_abeam + swept * r
    y = (
        air[1] + water[1] + pull[1]
        - hull.mass * u * r - hull.added_sway * r * set_ahead - hull.added_surge * through * r
    )  # fmt: skip
    n = (
        air[2] + water[2] + pull[2]
        - hull.added_sway_yaw * r * set_ahead - swept * through + hull.added_surge * through * across
    )  # fmt: skip
    sway, yaw, cross = hull.mass + hull.added_sway, hull.yaw_inertia + hull.added_yaw, hull.added_sway_yaw
    determinant = sway * yaw - cross * cross
    out[0] = u * cosine - v * sine
    out[1] = u * sine + v * cosine
    out[2] = r
    out[3] = x / (hull.mass + hull.added_surge)
    out[4] = (yaw * y - cross * n) / determinant
    out[5] = (sway * n - cross * y) / determinant


@compiled
def holding_left(uplift: Floats, angle: float) -> float:
    """Share of the holding left at an angle of pull (rad), between the rows of the uplift table."""
    for i in range(1, uplift.shape[0]):
        if angle < uplift[i, 0]:
            part = (angle - uplift[i - 1, 0]) / (uplift[i, 0] - uplift[i - 1, 0])
            return float(uplift[i - 1, 1] + part * (uplift[i, 1] - uplift[i - 1, 1]))
    return float(uplift[uplift.shape[0] - 1, 1])


@compiled
def yield_distance(curve: Floats, uplift: Floats, holding: float) -> float:
    """Distance (m) at which the pull at the anchor comes to what is left of its holding (N) at that lift."""
    low, high = curve[0, 0], curve[0, curve.shape[1] - 1]
    while high - low > 1e-9 * high:
        middle = 0.5 * (low + high)
        at_middle = look_up(curve, middle)
        if at_middle[2] > holding * holding_left(uplift, at_middle[3]):
            high = middle
        else:
            low = middle
    return low


@compiled
def drag(
    hull: Hull, setting: Setting, curve: Floats, uplift: Floats, state: Floats, held: float
) -> tuple[float, float, float, float]:
    """Let the anchor go where the pull takes it: the holding it has from now on (N), and the loads.

    It breaks out when the pull at the anchor passes what it holds at that lift.  Then it follows the boat so
    that the rode never carries more than the share which a dragging anchor keeps, ``state[8]`` being the
    distance at which that is so.  When the boat comes nearer than that by herself the anchor digs in again,
    and holds the share of its first holding that such an anchor comes back to.
    """
    cosine, sine = math.cos(state[2]), math.sin(state[2])
    _, _, _, at_bow, at_anchor, lift = rode_pull(hull, setting, curve, state, cosine, sine)
    if state[8] < math.inf:
        ahead, abeam, distance, _ = reach(hull, setting, state, cosine, sine)
        if distance <= state[8]:
            state[8] = math.inf
            return setting.holding * setting.reset_share, at_bow, at_anchor, lift
        move = distance - state[8]
        state[6] -= move * (ahead * cosine - abeam * sine)
        state[7] -= move * (ahead * sine + abeam * cosine)
        return held, at_bow, at_anchor, lift
    limit = held * holding_left(uplift, lift)
    if at_anchor > limit:
        state[8] = yield_distance(curve, uplift, held * setting.drag_share)
        return held, at_bow * limit / at_anchor, limit, lift
    return held, at_bow, at_anchor, lift


@compiled
def step(
    hull: Hull, setting: Setting, curve: Floats, wind: Floats, pace: float, time: float, dt: float,
    state: Floats, work: Floats,
) -> None:  # fmt: skip
    """One classical Runge-Kutta step of the boat, the anchor standing still; ``work`` is five rows of scratch."""
    last = wind.shape[0] - 1
    work[4, 6:] = state[6:]
    for stage in range(4):
        ahead = 0.0 if stage == 0 else (dt if stage == 3 else 0.5 * dt)
        place = (time + ahead) / pace
        i = min(int(place), last - 1)
        part = min(place - i, 1.0)
        north = wind[i, 0] + part * (wind[i + 1, 0] - wind[i, 0])
        east = wind[i, 1] + part * (wind[i + 1, 1] - wind[i, 1])
        for k in range(6):
            work[4, k] = state[k] + (ahead * work[stage - 1, k] if stage > 0 else 0.0)
        slope(hull, setting, curve, work[4], north, east, work[stage])
    for k in range(6):
        state[k] += dt / 6.0 * (work[0, k] + 2.0 * work[1, k] + 2.0 * work[2, k] + work[3, k])


@compiled
def march(
    hull: Hull, setting: Setting, curve: Floats, uplift: Floats, wind: Floats, pace: float, start: Floats,
    dt: float, stride: int, samples: int,
) -> tuple[Floats, Floats]:  # fmt: skip
    """Sail through a watch from the state ``start``.

    ``wind`` holds the air's velocity to the north and east every ``pace`` seconds.  Returns samples, every
    ``stride`` steps of ``dt``: columns time, x, y, heading, load at the bow, at the anchor, lift, wind to the
    north, to the east, anchor x, y; and the greatest load at the bow, at the anchor and lift of all steps.
    """
    track, peaks = np.empty((samples, _SAMPLES)), np.zeros(3)
    state, work = np.empty(_STATE), np.zeros((5, _STATE))
    state[:] = start
    sweep(hull, setting, curve, state, math.cos(state[2]), math.sin(state[2]))
    held = setting.holding
    last = wind.shape[0] - 1
    for sample in range(samples):
        time = sample * stride * dt
        i = min(int(time / pace), last - 1)
        part = min(time / pace - i, 1.0)
        track[sample, 0] = time
        track[sample, 1:4] = state[0:3]
        loads = rode_pull(hull, setting, curve, state, math.cos(state[2]), math.sin(state[2]))
        track[sample, 4], track[sample, 5], track[sample, 6] = loads[3:]
        track[sample, 7] = wind[i, 0] + part * (wind[i + 1, 0] - wind[i, 0])
        track[sample, 8] = wind[i, 1] + part * (wind[i + 1, 1] - wind[i, 1])
        track[sample, 9:11] = state[6:8]
        for n in range(stride if sample < samples - 1 else 0):
            step(hull, setting, curve, wind, pace, time + n * dt, dt, state, work)
            sweep(hull, setting, curve, state, math.cos(state[2]), math.sin(state[2]))
            held, at_bow, at_anchor, lift = drag(hull, setting, curve, uplift, state, held)
            peaks[0] = max(peaks[0], at_bow)
            peaks[1] = max(peaks[1], at_anchor)
            peaks[2] = max(peaks[2], lift)
    return track, peaks
