"""The compiled motion under ``swing.py``: loads on the boat, their sum, and the march through a watch.

Axes: x north, y east, heading clockwise from north; in the boat x ahead, y to starboard, origin amidships,
yaw positive to starboard.  Everything is plain SI floats.  numba's disk cache is kept per file, so most is in
one; ``curve_kernel``, ``hull_loads`` and ``bow_kernel`` stand elsewhere: clear it when those change.

In a sea the waves carry the bow about her place as it is without them, and the rode with it; ``bow.py`` says
by how much.  Left out: the rode's own mass and drag (it is at rest at each instant), roll, and the wind that
one part takes from another.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from anchorsim.boat import Hull
from anchorsim.bow_kernel import STILL, Sea, heaved
from anchorsim.bow_kernel import ride as carried
from anchorsim.compiled import compiled, inlined
from anchorsim.curve_kernel import between, interval, look_up
from anchorsim.hull_loads import air_load, water_load, wave_drift

Floats = NDArray[np.float64]
Way = tuple[float, float, float, float, float]

# The state: the boat's place and heading, her speeds ahead, abeam and of turning; the anchor's place; the
# distance at which it gives way (infinite while it holds); the foot, where the rode leaves the bottom, from
# the anchor, and how far that is; how far ahead of its strong points a bridle's hook is; in which interval of
# the curve the rode was last; how far the waves carry the bow to the north, to the east and up, and how fast;
# and how they press on a metre of wall, ahead and abeam.
NORTH, EAST, HEADING, AHEAD, ABEAM, TURN = range(6)
ANCHOR_NORTH, ANCHOR_EAST, GIVES_WAY, FOOT_NORTH, FOOT_EAST, LIES, HOOK, NEAR = range(6, 14)
WAVE_NORTH, WAVE_EAST, WAVE_UP, TO_NORTH, TO_EAST, UPWARDS = range(14, 20)
PUSH_AHEAD, PUSH_ABEAM = range(20, 22)
MOVING, STATE = 6, 22  # the first six change within a step, the others from step to step

_DAMPING_SPEED = 0.1  # m/s over which the rope's loss turns from unloading to loading (judgement)
SAMPLED = 11  # figures of a sample


class Setting(NamedTuple):
    """What surrounds the boat, plain SI floats.

    air, water: kg/m³; current_north, current_east: the water's velocity, m/s; out: length of the rode, m;
    apex, spread: how far a taut bridle's hook lies ahead of the strong points, and these apart, m (0 without
    one); lying_friction: of the rode next to the anchor, N per metre lying, over ``lying_length`` m at most;
    holding: N; drag_share, reset_share: as :class:`anchorsim.seabed.Ground` has them; sea: the bow's waves.
    """

    air: float
    water: float
    current_north: float
    current_east: float
    out: float
    apex: float
    spread: float
    lying_friction: float
    lying_length: float
    holding: float
    drag_share: float
    reset_share: float
    sea: Sea = STILL


class Pull(NamedTuple):
    """The rode's pull on the boat.

    load: its horizontal part, N; ahead, abeam: its direction, a unit vector; inboard, off: what it runs
    through, m ahead of amidships and to starboard; distance: to the anchor along the rode seen from above, m,
    and as much more or less as heave is worth;
    at_bow, at_anchor: N; lift: at the anchor, rad above the bottom; lying: length it leaves on the bottom, m.
    """

    load: float
    ahead: float
    abeam: float
    inboard: float
    off: float
    distance: float
    at_bow: float
    at_anchor: float
    lift: float
    lying: float


@inlined
def ride(sea: Sea, time: float, cosine: float, sine: float, state: Floats) -> None:
    """Put into a state what the waves do to the bow at a time (s)."""
    if sea.motion.shape[0] > 0:
        north, east, up, to_north, to_east, upwards, ahead, abeam = carried(sea, time, cosine, sine)
        state[WAVE_NORTH], state[WAVE_EAST], state[WAVE_UP] = north, east, up
        state[TO_NORTH], state[TO_EAST], state[UPWARDS] = to_north, to_east, upwards
        state[PUSH_AHEAD], state[PUSH_ABEAM] = ahead, abeam


@inlined
def reach(setting: Setting, state: Floats, roller: float, cosine: float, sine: float) -> Way:
    """Of the rode's pull: unit vector ahead and abeam, what it runs through, and how far to the anchor (m).

    The rode runs from the roller straight (seen from above) to its foot, and along the bottom from there;
    with a bridle from the hook.  That lies ahead while both legs are taut, and in line with one of them when
    the pull comes from farther aside; the legs' stretch counts along the pull.
    """
    north = state[ANCHOR_NORTH] + state[FOOT_NORTH] - state[NORTH] - state[WAVE_NORTH]
    east = state[ANCHOR_EAST] + state[FOOT_EAST] - state[EAST] - state[WAVE_EAST]
    ahead = north * cosine + east * sine - roller
    abeam = -north * sine + east * cosine
    inboard, off, far, least = roller, 0.0, state[LIES], 1e-9
    if setting.spread > 0.0:
        half, hook = 0.5 * setting.spread, state[HOOK]
        leg = math.sqrt(half * half + hook * hook)
        if abs(abeam) * hook <= half * (abs(ahead) - hook):
            hook = math.copysign(hook, ahead)
            inboard, ahead, far = roller + hook, ahead - hook, far + leg
        else:
            off, least = -math.copysign(half, abeam), leg
            abeam -= off
    straight = math.sqrt(ahead * ahead + abeam * abeam)
    if straight > least:
        ahead, abeam = ahead / straight, abeam / straight
        return ahead, abeam, inboard + least * ahead, off + least * abeam, far + straight
    return 0.0, 0.0, roller, 0.0, far + least


@inlined
def rode_pull(hull: Hull, setting: Setting, curve: Floats, state: Floats, cosine: float, sine: float) -> Pull:
    """The rode's pull in a state; ``cosine`` and ``sine`` are those of the heading.

    Rope loses part of its energy: the load is raised while the rode lengthens and lowered while it shortens.
    Beyond the distance at which a dragging anchor gives way the rode does neither.
    """
    ahead, abeam, inboard, off, distance = reach(setting, state, hull.roller, cosine, sine)
    factor, more, steeper, ahead_too, abeam_too, slacker = 1.0, 0.0, 0.0, 0.0, 0.0, 0.0
    if setting.sea.motion.shape[0] > 0:
        longer, more, steeper, for_metre = heaved(setting.sea, distance, state[WAVE_UP])
        distance, slacker = distance + longer, -for_metre * state[UPWARDS]
        ahead_too = state[TO_NORTH] * cosine + state[TO_EAST] * sine
        abeam_too = -state[TO_NORTH] * sine + state[TO_EAST] * cosine
    held = min(distance, state[GIVES_WAY])
    near = interval(curve, held, int(state[NEAR]))
    state[NEAR] = near
    load, at_bow, at_anchor, lift, share, lying, _ = between(curve, held, near)
    at_bow, lift = max(at_bow + more, load), min(max(lift + steeper, 0.0), 0.5 * math.pi)
    if state[GIVES_WAY] - distance > 1e-9:
        u, v, r = state[AHEAD] + ahead_too, state[ABEAM] + abeam_too, state[TURN]
        rate = -((u - off * r) * ahead + (v + inboard * r) * abeam + slacker) / _DAMPING_SPEED
        factor += share / (2.0 - share) * rate / math.sqrt(1.0 + rate * rate)
    load, at_bow, at_anchor = load * factor, at_bow + load * (factor - 1.0), at_anchor * factor
    return Pull(load, ahead, abeam, inboard, off, distance, at_bow, at_anchor, lift, lying)


@inlined
def lay(state: Floats, north: float, east: float, lying: float) -> None:
    """Lift or lay down rode so that ``lying`` metres lie, its end aboard (north, east) m from the anchor.

    It is lifted from the foot on, and as far as the bow has come back over it; it is laid from the foot
    towards the bow, and pulled straight.  The rode's way never grows by that, so it brings no energy in.
    """
    lies = state[LIES]
    if lies > 0.0:
        abreast = (north * state[FOOT_NORTH] + east * state[FOOT_EAST]) / lies
        left = max(min(lying, abreast), 0.0) / lies
        if left < 1.0:
            state[FOOT_NORTH] *= left
            state[FOOT_EAST] *= left
            lies *= left
    if lying > lies:
        off_north, off_east = north - state[FOOT_NORTH], east - state[FOOT_EAST]
        off = math.sqrt(off_north * off_north + off_east * off_east)
        laid = min((lying - lies) / off, 1.0) if off > 0.0 else 0.0
        state[FOOT_NORTH] += laid * off_north
        state[FOOT_EAST] += laid * off_east
        lies = math.sqrt(state[FOOT_NORTH] * state[FOOT_NORTH] + state[FOOT_EAST] * state[FOOT_EAST])
    state[LIES] = lies


@inlined
def sweep(setting: Setting, state: Floats, north: float, east: float, load: float) -> None:
    """Sweep what lies on the bottom round by the load's sideways part at its foot, as friction lets it.

    A straight rod turning about the anchor is held by friction with the moment μw l²/2, so at its foot it
    stands a sideways pull of that over its length; l counts the chain only, for the rope above weighs next to
    nothing.  It turns till the pull comes down to that (law of sines in the triangle anchor, foot, bow).
    """
    lies = state[LIES]
    held = min(lies, setting.lying_length)
    stands = 0.5 * setting.lying_friction * held * held
    if stands >= lies * load:
        return
    slip = stands / (lies * load)
    off_north, off_east = north - state[FOOT_NORTH], east - state[FOOT_EAST]
    across = state[FOOT_NORTH] * off_east - state[FOOT_EAST] * off_north
    if abs(across) <= slip * lies * math.sqrt(off_north * off_north + off_east * off_east):
        return
    along, square = math.sqrt(1.0 - slip * slip), north * north + east * east
    off = math.sqrt(square - lies * lies * slip * slip) - lies * along
    part, aside = lies * (lies + off * along) / square, math.copysign(lies * off * slip / square, across)
    state[FOOT_NORTH] = part * north + aside * east
    state[FOOT_EAST] = part * east - aside * north


@inlined
def follow(hull: Hull, setting: Setting, state: Floats, cosine: float, sine: float, pull: Pull) -> None:
    """Let the rode's foot and a bridle's hook follow the boat.

    The hook of legs that hang is as much nearer as what hangs of the rode spans less than its length.
    """
    north = state[NORTH] - state[ANCHOR_NORTH] + state[WAVE_NORTH]
    east = state[EAST] - state[ANCHOR_EAST] + state[WAVE_EAST]
    if setting.lying_friction > 0.0:
        end_north = north + pull.inboard * cosine - pull.off * sine
        end_east = east + pull.inboard * sine + pull.off * cosine
        lay(state, end_north, end_east, pull.lying)
        sweep(setting, state, end_north, end_east, pull.load)
    if setting.spread > 0.0:
        north += hull.roller * cosine - state[FOOT_NORTH]
        east += hull.roller * sine - state[FOOT_EAST]
        straight = math.sqrt(north * north + east * east) / (setting.out - state[LIES])
        state[HOOK] = setting.apex * min(straight, 1.0)


@inlined
def slope(
    hull: Hull, setting: Setting, curve: Floats, state: Floats, cosine: float, sine: float,
    north: float, east: float, out: Floats,
) -> None:  # fmt: skip
    """Fill ``out`` with the rates of x, y, heading, u, v, r in air that moves (north, east).

    ``cosine`` and ``sine`` are those of the state's heading.
    Surge, sway and yaw with added mass moved through water that itself moves; the Coriolis terms of the added
    mass carry the Munk moment (Fossen, Handbook of Marine Craft Hydrodynamics and Motion Control, ch. 6).
    """
    u, v, r = state[AHEAD], state[ABEAM], state[TURN]
    set_ahead = setting.current_north * cosine + setting.current_east * sine
    set_abeam = -setting.current_north * sine + setting.current_east * cosine
    through, across = u - set_ahead, v - set_abeam
    air = air_load(hull, north * cosine + east * sine - u, -north * sine + east * cosine - v, setting.air, r)
    water = water_load(hull, through, across, r, setting.water)
    waves = wave_drift(hull, state[PUSH_AHEAD], state[PUSH_ABEAM])
    pull = rode_pull(hull, setting, curve, state, cosine, sine)
    swept = hull.added_sway * across + hull.added_sway_yaw * r
    x = air[0] + water[0] + waves[0] + pull.load * pull.ahead
    x += (hull.mass * v + hull.added_surge * set_abeam + swept) * r
    y = air[1] + water[1] + waves[1] + pull.load * pull.abeam
    y -= (hull.mass * u + hull.added_sway * set_ahead + hull.added_surge * through) * r
    n = air[2] + water[2] + waves[2] + pull.load * (pull.inboard * pull.abeam - pull.off * pull.ahead)
    n -= hull.added_sway_yaw * r * set_ahead + (swept - hull.added_surge * across) * through
    sway, yaw, cross = hull.mass + hull.added_sway, hull.yaw_inertia + hull.added_yaw, hull.added_sway_yaw
    determinant = sway * yaw - cross * cross
    out[NORTH], out[EAST], out[HEADING] = u * cosine - v * sine, u * sine + v * cosine, r
    out[AHEAD] = x / (hull.mass + hull.added_surge)
    out[ABEAM] = (yaw * y - cross * n) / determinant
    out[TURN] = (sway * n - cross * y) / determinant


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
    return float(low)


@inlined
def drag(
    setting: Setting, curve: Floats, uplift: Floats, state: Floats, cosine: float, sine: float,
    pull: Pull, held: float,
) -> tuple[float, float]:  # fmt: skip
    """Let the anchor go where the pull takes it: the holding it has from now on (N), its share of the pull.

    It breaks out when the pull at the anchor passes what it holds at that lift; that share of the pull is all
    that came.  Then it follows the boat, along what lies on the bottom, so that the rode never carries more
    than the share that a dragging anchor keeps, GIVES_WAY being the distance at which that is so.  When the
    boat comes nearer than that by herself the anchor digs in again, and holds the share of its first holding
    that such an anchor comes back to.
    """
    if state[GIVES_WAY] == math.inf:
        limit = held * holding_left(uplift, pull.lift)
        if pull.at_anchor <= limit:
            return held, 1.0
        state[GIVES_WAY] = yield_distance(curve, uplift, held * setting.drag_share)
        return held, limit / pull.at_anchor
    if pull.distance <= state[GIVES_WAY]:
        state[GIVES_WAY] = math.inf
        return setting.holding * setting.reset_share, 1.0
    north, east = pull.abeam * sine - pull.ahead * cosine, -pull.ahead * sine - pull.abeam * cosine
    move, lies = pull.distance - state[GIVES_WAY], state[LIES]
    if lies > 0.0:
        along_north, along_east = state[FOOT_NORTH] / lies, state[FOOT_EAST] / lies
        move /= max(north * along_north + east * along_east, 0.5)
        north, east = along_north, along_east
    state[ANCHOR_NORTH] += move * north
    state[ANCHOR_EAST] += move * east
    return held, 1.0


@inlined
def wind_at(wind: Floats, pace: float, time: float) -> tuple[float, float]:
    """The air's velocity to the north and east at a time (s), between the rows of ``wind``."""
    place = time / pace
    i = min(int(place), wind.shape[0] - 2)
    after = min(place - i, 1.0)
    before = 1.0 - after
    return before * wind[i, 0] + after * wind[i + 1, 0], before * wind[i, 1] + after * wind[i + 1, 1]


@inlined
def step(
    hull: Hull, setting: Setting, curve: Floats, wind: Floats, pace: float, time: float, dt: float,
    state: Floats, cosine: float, sine: float, work: Floats,
) -> None:  # fmt: skip
    """One classical Runge-Kutta step of the boat, all else at rest; ``work`` is five rows of scratch.

    ``cosine`` and ``sine`` are those of the heading that she begins it with.
    """
    for k in range(MOVING, STATE):
        work[4, k] = state[k]
    for stage in range(4):
        ahead = 0.0 if stage == 0 else (dt if stage == 3 else 0.5 * dt)
        for k in range(MOVING):
            work[4, k] = state[k] + (ahead * work[stage - 1, k] if stage > 0 else 0.0)
        if stage > 0:
            cosine, sine = math.cos(work[4, HEADING]), math.sin(work[4, HEADING])
        if stage != 2:  # which is at the moment of the one before
            north, east = wind_at(wind, pace, time + ahead)
        ride(setting.sea, time + ahead, cosine, sine, work[4])
        slope(hull, setting, curve, work[4], cosine, sine, north, east, work[stage])
    for k in range(MOVING):
        state[k] += dt / 6.0 * (work[0, k] + 2.0 * work[1, k] + 2.0 * work[2, k] + work[3, k])


@compiled
def march(
    hull: Hull, setting: Setting, curve: Floats, uplift: Floats, wind: Floats, pace: float, state: Floats,
    dt: float, stride: int, work: Floats, track: Floats, peaks: Floats,
) -> None:  # fmt: skip
    """Sail through a watch from a state, which is left at that of the end.

    ``wind`` holds the air's velocity to the north and east every ``pace`` s; ``work`` is five rows of
    scratch.  Fills the columns of ``track``, one every ``stride`` steps of ``dt``: time, x, y, heading, load
    at the bow, at the anchor, lift, wind to the north, to the east, anchor x, y; and raises ``peaks`` to the
    greatest load at the bow, at the anchor and lift of all steps.
    """
    held, cosine, sine = setting.holding, math.cos(state[HEADING]), math.sin(state[HEADING])
    for n in range((track.shape[1] - 1) * stride + 1):
        if n > 0:
            step(hull, setting, curve, wind, pace, (n - 1) * dt, dt, state, cosine, sine, work)
        cosine, sine = math.cos(state[HEADING]), math.sin(state[HEADING])
        ride(setting.sea, n * dt, cosine, sine, state)
        pull = rode_pull(hull, setting, curve, state, cosine, sine)
        held, share = drag(setting, curve, uplift, state, cosine, sine, pull, held)
        at_bow, at_anchor = share * pull.at_bow, share * pull.at_anchor
        peaks[0], peaks[1] = max(peaks[0], at_bow), max(peaks[1], at_anchor)
        peaks[2] = max(peaks[2], pull.lift)
        if n % stride == 0:
            i = n // stride
            track[0, i], track[1, i], track[2, i] = n * dt, state[NORTH], state[EAST]
            track[3, i], track[4, i], track[5, i] = state[HEADING], at_bow, at_anchor
            track[6, i] = pull.lift
            track[7, i], track[8, i] = wind_at(wind, pace, n * dt)
            track[9, i], track[10, i] = state[ANCHOR_NORTH], state[ANCHOR_EAST]
        follow(hull, setting, state, cosine, sine, pull)
