"""The compiled motion under ``swing.py``: the boat, her rode and her anchor through a watch.

Axes: x north, y east, z up from the water's surface, heading clockwise from north; in the boat x ahead, y to
starboard, origin amidships, yaw positive to starboard.  Everything is plain SI floats.  numba's disk cache is
kept per file: clear it when the kernels that are called here change.

The loads of air and water on the hull are taken every ``dt`` and carried on half a step; within that the
rode makes several steps of its own, the boat and the bow with it.  In a sea the waves carry the bow about her
place as it is without them.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from anchorsim.anchor_kernel import dig, resistance
from anchorsim.boat import Hull
from anchorsim.boat_motion import Setting, gather_way, hull_force
from anchorsim.bow_kernel import Sea, ride
from anchorsim.compiled import compiled, inlined
from anchorsim.curve_kernel import Floats
from anchorsim.line_mesh import IN_AIR, WEIGHT, Mesh
from anchorsim.line_motion import (
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
)
from anchorsim.seabed import Ground

# The state: the boat's place and heading, her speeds ahead, abeam and of turning; how far the anchor has dug
# in; the forces on the hull of the step before, ahead, to starboard (N) and their moment (N m).
NORTH, EAST, HEADING, AHEAD, ABEAM, TURN, DUG, PUSH_AHEAD, PUSH_ABEAM, PUSH_TURN = range(10)
STATE = 10
SAMPLED = 11  # figures of a sample


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
) -> None:
    """Put into ``nodes`` what speed the roller, or a bridle's strong points, gain in a step."""
    north, east, up, _, _, _, _, _ = ride(sea, time, cosine, sine)
    north += state[NORTH] + hull.roller * cosine
    east += state[EAST] + hull.roller * sine
    off, often = -0.5 * setting.spread, 1.0 / h
    for k in range(last, last + 2 if bridle else last + 1):
        nodes[k, FREE] = (north - off * sine - nodes[k, X]) * often - nodes[k, U]
        nodes[k, FREE + 1] = (east + off * cosine - nodes[k, Y]) * often - nodes[k, V]
        nodes[k, FREE + 2] = (setting.height + up - nodes[k, Z]) * often - nodes[k, W]
        off = -off


@inlined
def turned(cosine: float, sine: float, by: float) -> tuple[float, float]:
    """Cosine and sine of an angle that is larger by a hundredth or so (rad): exact to the last digits."""
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
    setting: Setting, mesh: Mesh, ground: Ground, uplift: Floats, at: State, h: float, last: int
) -> tuple[float, float]:  # fmt: skip
    """Move rode and anchor on by ``h`` s: the pull at the anchor (N) and its lift (rad).

    The anchor stays while the pull is less than it stands, and goes as fast as keeps it at that otherwise.
    """
    state, nodes, rows = at.boat, at.nodes, at.rows
    nodes[0, FREE], nodes[0, FREE + 1], nodes[0, FREE + 2] = -nodes[0, U], -nodes[0, V], -nodes[0, W]
    set_up(setting, rows, nodes, mesh.elements, mesh.laws, last, mesh.bridle, h)
    pull_taut(rows, last, mesh.bridle)
    pull, lift, north, east = at_anchor(setting, rows, mesh.elements)
    stands = resistance(ground, state[DUG], lift, uplift)
    if pull > stands:
        speed = give_way(setting, rows, mesh.elements, last, mesh.bridle, h, stands, north, east)
        pull = stands
        nodes[0, FREE] += speed * north
        nodes[0, FREE + 1] += speed * east
        nodes[0, FREE + 2] += speed * (north * setting.rise_north + east * setting.rise_east)
        state[DUG] = dig(ground, state[DUG], h * speed, lift, speed)
    move_on(rows, nodes, last, mesh.bridle, h)
    return pull, lift


@inlined
def wind_at(wind: Floats, pace: float, time: float) -> tuple[float, float]:
    """The air's velocity to the north and east at a time (s), between the rows of ``wind``."""
    place = time / pace
    i = min(int(place), wind.shape[0] - 2)
    after = min(place - i, 1.0)
    before = 1.0 - after
    return before * wind[i, 0] + after * wind[i + 1, 0], before * wind[i, 1] + after * wind[i + 1, 1]


@compiled
def march(
    hull: Hull, setting: Setting, mesh: Mesh, ground: Ground, uplift: Floats, sea: Sea, wind: Floats,
    pace: float, at: State, dt: float, stride: int, substeps: int, track: Floats, peaks: Floats,
) -> None:  # fmt: skip
    """Sail through a watch from a state, which is left at that of the end.

    ``wind`` holds the air's velocity to the north and east every ``pace`` s.  Fills the columns of
    ``track``, one every ``stride`` steps of ``dt``: time, x, y, heading, load at bow and anchor, lift,
    wind to the north, to the east, anchor x, y; and raises ``peaks`` to the greatest load at the bow, at the
    anchor and lift of all steps.
    """
    state, nodes, rows = at.boat, at.nodes, at.rows
    last = mesh.elements.shape[0] - 1 if mesh.bridle else mesh.elements.shape[0]
    cosine, sine = math.cos(state[HEADING]), math.sin(state[HEADING])
    pull, lift, _, _ = at_anchor(setting, rows, mesh.elements)
    ahead, abeam, turn, at_bow = aboard(hull, setting, mesh, rows, last, cosine, sine)
    for n in range((track.shape[1] - 1) * stride + 1):
        time = n * dt
        north, east = wind_at(wind, pace, time)
        if n % stride == 0:
            i = n // stride
            track[0, i], track[1, i], track[2, i] = time, state[NORTH], state[EAST]
            track[3, i], track[4, i], track[5, i] = state[HEADING], at_bow, pull
            track[6, i], track[7, i], track[8, i] = lift, north, east
            track[9, i], track[10, i] = nodes[0, X], nodes[0, Y]
            if i == track.shape[1] - 1:
                break
        u, v, r = state[AHEAD], state[ABEAM], state[TURN]
        cosine, sine = math.cos(state[HEADING]), math.sin(state[HEADING])
        x, y, moment = hull_force(hull, setting, cosine, sine, u, v, r, north, east)
        if n == 0:
            state[PUSH_AHEAD], state[PUSH_ABEAM], state[PUSH_TURN] = x, y, moment
        push_x, push_y = 1.5 * x - 0.5 * state[PUSH_AHEAD], 1.5 * y - 0.5 * state[PUSH_ABEAM]
        push_n = 1.5 * moment - 0.5 * state[PUSH_TURN]
        state[PUSH_AHEAD], state[PUSH_ABEAM], state[PUSH_TURN] = x, y, moment
        h = dt / substeps
        for part in range(substeps):
            du, dv, dr = gather_way(hull, push_x + ahead, push_y + abeam, push_n + turn)
            state[AHEAD] += h * du
            state[ABEAM] += h * dv
            state[TURN] += h * dr
            state[NORTH] += h * (state[AHEAD] * cosine - state[ABEAM] * sine)
            state[EAST] += h * (state[AHEAD] * sine + state[ABEAM] * cosine)
            state[HEADING] += h * state[TURN]
            cosine, sine = turned(cosine, sine, h * state[TURN])
            put_bow(
                hull, setting, sea, time + (part + 1) * h, state, nodes, last, mesh.bridle, h, cosine, sine
            )
            pull, lift = line_step(setting, mesh, ground, uplift, at, h, last)
            ahead, abeam, turn, at_bow = aboard(hull, setting, mesh, rows, last, cosine, sine)
            peaks[0], peaks[1], peaks[2] = max(peaks[0], at_bow), max(peaks[1], pull), max(peaks[2], lift)
