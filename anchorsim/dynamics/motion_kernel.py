"""The compiled motion under ``simulation``: the boat, her rode and her anchor through a spell.

Axes: x north, y east, z up from the water's surface, heading clockwise from north; in the boat x ahead, y to
starboard, origin amidships, yaw positive to starboard.  Everything is plain SI floats.

The loads of air and water on the hull are taken every ``dt`` and carried on half a step; within that the
rode makes several steps of its own, the boat and the bow with it.  In a sea the waves carry the bow about her
place as it is without them.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from anchorsim.core.jit import compiled, inlined
from anchorsim.dynamics.anchor_kernel import OF_LATE, dig, resistance
from anchorsim.dynamics.boat_motion import Setting, gather_way, hull_force
from anchorsim.dynamics.hull_loads import wave_drift
from anchorsim.dynamics.line_motion import (
    EX,
    EY,
    EZ,
    FREE,
    TENSION,
    WET,
    U,
    V,
    W,
    X,
    Y,
    Z,
    at_anchor,
    give_way,
    move_on,
    pull_taut,
    set_up,
    tension_for,
)
from anchorsim.dynamics.wave_kernel import Sea, ride
from anchorsim.mooring.curve_kernel import Floats
from anchorsim.mooring.line_mesh import IN_AIR, WEIGHT, Mesh
from anchorsim.scenario.site import Ground
from anchorsim.scenario.vessel import Hull

# The state: the boat's place and heading, her speeds ahead, abeam and of turning; how far the anchor has dug
# in, and how fast it went of late (m/s); the forces on the hull of the step before, ahead, to starboard (N)
# and their moment (N m), and how long that was (s; 0 at the start).
NORTH, EAST, HEADING, AHEAD, ABEAM, TURN = range(6)
DUG, DRAGS, PUSH_AHEAD, PUSH_ABEAM, PUSH_TURN, PUSHED = range(6, 12)
STATE = 12
_DAMPED = 0.5  # step over damping time at the most: what carries the hull's loads on is stable up to 1
_DRAGS = (
    0.01  # m/s from which the anchor goes: the line's steps are then half as long, for it starts and stops
)
_YIELDS = 6  # rounds for what a lifted anchor stands: each halves what it is off by
_PIECES = 16  # of a step for that, at the most
SAMPLED = 11  # figures of a sample
SAMPLE_STEP = 0.1  # s between them


class State(NamedTuple):
    """Where all is: ``boat`` (STATE,) as above; ``nodes`` and ``rows`` of ``line_motion``, (nodes, NODE) and
    (elements, ROW)."""

    boat: Floats
    nodes: Floats
    rows: Floats


@inlined
def put_bow(
    hull: Hull,
    setting: Setting,
    sea: Sea,
    time: float,
    state: Floats,
    nodes: Floats,
    last: int,
    bridle: bool,
    h: float,
    cosine: float,
    sine: float,
) -> tuple[float, float]:
    """Put into ``nodes`` what speed the roller, or a bridle's strong points, gain in a step.

    Gives back what the waves press on a metre of wall, ahead and abeam.
    """
    north, east, up, _, _, _, press_ahead, press_abeam = ride(sea, time, cosine, sine)
    north += state[NORTH] + hull.roller * cosine
    east += state[EAST] + hull.roller * sine
    off, often = -0.5 * setting.spread, 1.0 / h
    for k in range(last, last + 2 if bridle else last + 1):
        nodes[k, FREE] = (north - off * sine - nodes[k, X]) * often - nodes[k, U]
        nodes[k, FREE + 1] = (east + off * cosine - nodes[k, Y]) * often - nodes[k, V]
        nodes[k, FREE + 2] = (setting.height + up - nodes[k, Z]) * often - nodes[k, W]
        off = -off
    return press_ahead, press_abeam


@inlined
def turned(cosine: float, sine: float, by: float) -> tuple[float, float]:
    """Cosine and sine of an angle that is larger by some hundredths at the most (rad), to the last digits."""
    square = by * by
    c = 1.0 - 0.5 * square * (1.0 - square / 12.0 * (1.0 - square / 30.0))
    s = by * (1.0 - square / 6.0 * (1.0 - square / 20.0 * (1.0 - square / 42.0)))
    return cosine * c - sine * s, sine * c + cosine * s


@inlined
def aboard(
    hull: Hull, setting: Setting, mesh: Mesh, rows: Floats, last: int, cosine: float, sine: float
) -> tuple[float, float, float, float]:
    """The rode's pull on the boat: ahead, to starboard (N), its moment (N m), and the load at the bow (N)."""
    ahead, abeam, turn, north, east, up = 0.0, 0.0, 0.0, 0.0, 0.0, 0.0
    off = -0.5 * setting.spread
    for k in range(last - 1, last + 1 if mesh.bridle else last):
        tension = rows[k, TENSION]
        x, y = -tension * rows[k, EX], -tension * rows[k, EY]
        fore, side = x * cosine + y * sine, y * cosine - x * sine
        ahead, abeam, turn = ahead + fore, abeam + side, turn + hull.roller * side - off * fore
        north, east = north + x, east + y
        weight = (
            mesh.elements[k, IN_AIR] + (mesh.elements[k, WEIGHT] - mesh.elements[k, IN_AIR]) * rows[k, WET]
        )
        up += tension * rows[k, EZ] + 0.5 * weight
        off = -off
    return ahead, abeam, turn, math.sqrt(north * north + east * east + up * up)


@inlined
def line_step(
    setting: Setting, mesh: Mesh, ground: Ground, by_angle: Floats, at: State, h: float, last: int
) -> tuple[float, float]:  # fmt: skip
    """Move rode and anchor on by ``h`` s: the pull at the anchor (N) and its lift (rad).

    The anchor stays while the pull is less than it stands, and is hastened by what is over that otherwise.
    """
    state, nodes, rows = at.boat, at.nodes, at.rows
    nodes[0, FREE], nodes[0, FREE + 1], nodes[0, FREE + 2] = -nodes[0, U], -nodes[0, V], -nodes[0, W]
    set_up(setting, rows, nodes, mesh.elements, mesh.laws, last, mesh.bridle, h)
    pull_taut(rows, last, mesh.bridle)
    pull, uplift, north, east = at_anchor(setting, rows, mesh.elements)
    stands = resistance(ground, state[DUG], uplift, by_angle)
    speed = nodes[0, U] * north + nodes[0, V] * east
    if pull > stands or speed > 0.0:
        for _ in range(_YIELDS):  # the less it stands, the less it is lifted
            rows[0, TENSION] = tension_for(rows, mesh.elements, stands)
            _, uplift, _, _ = at_anchor(setting, rows, mesh.elements)
            stands = 0.5 * (stands + resistance(ground, state[DUG], uplift, by_angle))
        tension = tension_for(rows, mesh.elements, stands)
        speed = give_way(
            setting, rows, mesh.elements, last, mesh.bridle, h, tension, north, east, max(speed, 0.0)
        )
        pull, uplift, _, _ = at_anchor(setting, rows, mesh.elements)
        nodes[0, FREE] += speed * north
        nodes[0, FREE + 1] += speed * east
        nodes[0, FREE + 2] += speed * (north * setting.rise_north + east * setting.rise_east)
        state[DUG] = dig(ground, state[DUG], h * speed, uplift, state[DRAGS])
    else:
        speed = 0.0
    state[DRAGS] += h / (h + OF_LATE) * (speed - state[DRAGS])
    move_on(rows, nodes, last, mesh.bridle, h)
    return pull, uplift


@inlined
def wind_at(wind: Floats, pace: float, time: float) -> tuple[float, float]:
    """The air's velocity to the north and east at a time (s), between the rows of ``wind``."""
    place = time / pace
    i = min(int(place), wind.shape[0] - 2)
    after = min(place - i, 1.0)
    before = 1.0 - after
    return before * wind[i, 0] + after * wind[i + 1, 0], before * wind[i, 1] + after * wind[i + 1, 1]


@inlined
def carried_on(
    hull: Hull, setting: Setting, state: Floats, cosine: float, sine: float, north: float, east: float,
    drift: tuple[float, float, float], dt: float,
) -> tuple[float, float, float]:  # fmt: skip
    """The force on the hull (N, N m) in the middle of a step of ``dt`` s, from that now and a step before.

    ``drift`` is the waves' share of it.
    """
    u, v, r = state[AHEAD], state[ABEAM], state[TURN]
    x, y, n = hull_force(hull, setting, cosine, sine, u, v, r, north, east)
    x, y, n = x + drift[0], y + drift[1], n + drift[2]
    on = 0.5 * dt / state[PUSHED] if state[PUSHED] > 0.0 else 0.0
    push_x = x + on * (x - state[PUSH_AHEAD])
    push_y = y + on * (y - state[PUSH_ABEAM])
    push_n = n + on * (n - state[PUSH_TURN])
    state[PUSH_AHEAD], state[PUSH_ABEAM], state[PUSH_TURN], state[PUSHED] = x, y, n, dt
    return push_x, push_y, push_n


@inlined
def damped(hull: Hull, setting: Setting, state: Floats) -> float:
    """How fast the water damps her sway and yaw at her speed through it, at the most (1/s)."""
    current = abs(setting.current_north) + abs(setting.current_east)
    speed = abs(state[AHEAD]) + abs(state[ABEAM]) + current + 0.5 * hull.length * abs(state[TURN])
    keel = hull.keel_area * (hull.keel_lift_slope + 2.0 * hull.plate_drag)
    rudder = hull.rudder_area * (hull.rudder_lift_slope + 2.0 * hull.plate_drag)
    across, turning = keel + rudder, keel * hull.keel_centre**2 + rudder * hull.rudder_centre**2
    for i in range(len(hull.strip_place)):
        across += 2.0 * hull.strip_drag[i]
        turning += 2.0 * hull.strip_drag[i] * hull.strip_place[i] ** 2
    each = across / (hull.mass + hull.added_sway) + turning / (hull.yaw_inertia + hull.added_yaw)
    return float(0.5 * setting.water * speed * each)


@compiled
def integrate(
    hull: Hull, setting: Setting, mesh: Mesh, ground: Ground, by_angle: Floats, sea: Sea, wind: Floats,
    pace: float, at: State, dt: float, stride: int, substeps: int, track: Floats, peaks: Floats,
) -> None:  # fmt: skip
    """Sail through a spell from a state, which is left at that of the end.

    ``wind`` holds the air's velocity to the north and east every ``pace`` s.  Fills the columns of
    ``track``, one every ``stride`` steps of ``dt``: time, x, y, heading, load at bow and anchor, lift,
    wind to the north, to the east, anchor x, y; and raises ``peaks`` to the greatest load at the bow, at the
    anchor and lift of all steps.
    """
    state, nodes, rows = at.boat, at.nodes, at.rows
    last = mesh.elements.shape[0] - 1 if mesh.bridle else mesh.elements.shape[0]
    cosine, sine = math.cos(state[HEADING]), math.sin(state[HEADING])
    _, _, _, _, _, _, press_ahead, press_abeam = ride(sea, 0.0, cosine, sine)
    pull, uplift, _, _ = at_anchor(setting, rows, mesh.elements)
    pull = min(pull, resistance(ground, state[DUG], uplift, by_angle))
    ahead, abeam, turn, at_bow = aboard(hull, setting, mesh, rows, last, cosine, sine)
    for n in range((track.shape[1] - 1) * stride + 1):
        time = n * dt
        north, east = wind_at(wind, pace, time)
        if n % stride == 0:
            i = n // stride
            track[0, i], track[1, i], track[2, i] = time, state[NORTH], state[EAST]
            track[3, i], track[4, i], track[5, i] = state[HEADING], at_bow, pull
            track[6, i], track[7, i], track[8, i] = uplift, north, east
            track[9, i], track[10, i] = nodes[0, X], nodes[0, Y]
            if i == track.shape[1] - 1:
                break
        pieces = min(max(math.ceil(dt * damped(hull, setting, state) / _DAMPED), 1), _PIECES)
        wanted = 2 * substeps if state[DRAGS] > _DRAGS else substeps
        parts = max(math.ceil(wanted / pieces), 1)
        h = dt / (pieces * parts)
        cosine, sine = math.cos(state[HEADING]), math.sin(state[HEADING])
        for part in range(pieces * parts):
            if part % parts == 0:
                if part > 0:
                    north, east = wind_at(wind, pace, time + part * h)
                drift = wave_drift(hull, press_ahead, press_abeam)
                push_x, push_y, push_n = carried_on(
                    hull, setting, state, cosine, sine, north, east, drift, h * parts
                )
            du, dv, dr = gather_way(hull, push_x + ahead, push_y + abeam, push_n + turn)
            state[AHEAD] += h * du
            state[ABEAM] += h * dv
            state[TURN] += h * dr
            state[NORTH] += h * (state[AHEAD] * cosine - state[ABEAM] * sine)
            state[EAST] += h * (state[AHEAD] * sine + state[ABEAM] * cosine)
            state[HEADING] += h * state[TURN]
            cosine, sine = turned(cosine, sine, h * state[TURN])
            press_ahead, press_abeam = put_bow(
                hull, setting, sea, time + (part + 1) * h, state, nodes, last, mesh.bridle, h, cosine, sine
            )
            pull, uplift = line_step(setting, mesh, ground, by_angle, at, h, last)
            ahead, abeam, turn, at_bow = aboard(hull, setting, mesh, rows, last, cosine, sine)
            peaks[0], peaks[1], peaks[2] = max(peaks[0], at_bow), max(peaks[1], pull), max(peaks[2], uplift)
