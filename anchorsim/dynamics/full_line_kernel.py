"""The compiled motion under ``full_line``: the line of ``lumped_line`` with the boat, or a given bow.

Axes and units as there; heading clockwise from north, in the boat x ahead and y to starboard.
"""

from __future__ import annotations

import math

from anchorsim.core.jit import compiled, inlined
from anchorsim.dynamics.boat_motion import Setting, gather_way, hull_force
from anchorsim.dynamics.hull_loads import wave_drift
from anchorsim.dynamics.lumped_line import LOST, TENSION, TO_X, UNIT, Felt, Line, X, advance, gather
from anchorsim.dynamics.motion_kernel import wind_at
from anchorsim.dynamics.wave_kernel import Ride, Sea, ride
from anchorsim.mooring.curve_kernel import Floats
from anchorsim.scenario.site import Ground
from anchorsim.scenario.vessel import Hull

# The state beside the line's: the boat's place, heading and speeds; how far the anchor is dug in
NORTH, EAST, HEADING, AHEAD, ABEAM, TURN, DUG = range(7)
STATE = 7
SAMPLED = 11


@inlined
def place_bow(
    line: Line, setting: Setting, nodes: Floats, roller: float, state: Floats, cosine: float, sine: float,
    ridden: Ride,
) -> None:  # fmt: skip
    """Put the bow's node, or both strong points of a bridle, where boat and waves have them."""
    last, bridle = nodes.shape[0] - 1, line.mesh.bridle
    for leg in range(2 if bridle else 1):
        node = nodes[last - leg]
        off = (0.5 - leg) * setting.spread if bridle else 0.0
        u, v = state[AHEAD] - off * state[TURN], state[ABEAM] + roller * state[TURN]
        node[X] = state[NORTH] + roller * cosine - off * sine + ridden[0]
        node[X + 1] = state[EAST] + roller * sine + off * cosine + ridden[1]
        node[X + 2] = setting.height + ridden[2]
        node[TO_X] = u * cosine - v * sine + ridden[3]
        node[TO_X + 1] = u * sine + v * cosine + ridden[4]
        node[TO_X + 2] = ridden[5]


@inlined
def pull_boat(
    line: Line, setting: Setting, bonds: Floats, roller: float, cosine: float, sine: float
) -> tuple[float, float, float]:
    """The rode's force ahead, to starboard (N), yawing moment (N m): what ropes lose is the last step's."""
    last, bridle = bonds.shape[0] - 1, line.mesh.bridle
    ahead = abeam = turning = 0.0
    for leg in range(2 if bridle else 1):
        bond = bonds[last - leg]
        off = (0.5 - leg) * setting.spread if bridle else 0.0
        load = bond[TENSION] + bond[LOST]
        x = -load * (bond[UNIT] * cosine + bond[UNIT + 1] * sine)
        y = load * (bond[UNIT] * sine - bond[UNIT + 1] * cosine)
        ahead += x
        abeam += y
        turning += roller * y - off * x
    return ahead, abeam, turning


@inlined
def _raise(peaks: Floats, felt: Felt) -> None:
    peaks[0] = max(peaks[0], felt.at_bow)
    peaks[1] = max(peaks[1], felt.at_anchor)
    peaks[2] = max(peaks[2], felt.uplift)


@inlined
def _picture(nodes: Floats, places: Floats, i: int) -> None:
    if places.shape[0] > 0:
        for n in range(nodes.shape[0]):
            for c in range(3):
                places[i, n, c] = nodes[n, X + c]


@compiled
def haul(
    line: Line, setting: Setting, ground: Ground, by_angle: Floats, sea: Sea, roller: float, calm: float,
    dt: float, stride: int, first: int, last: int, state: Floats, nodes: Floats, bonds: Floats,
    track: Floats, places: Floats, peaks: Floats,
) -> None:  # fmt: skip
    """Samples ``first`` to ``last`` of a line whose bow only the ``sea`` moves, from where ``state`` has it.

    Samples come every ``stride`` steps of ``dt`` (s): rows of ``track`` are time, load at the bow, at the
    anchor, lift; ``places`` (samples, nodes, 3) where the nodes are, not filled if it has no rows.  ``peaks``
    is raised to the greatest loads and lift.  ``calm`` (1/s) stops all motion, to let the line come to rest.
    """
    cosine, sine = math.cos(state[HEADING]), math.sin(state[HEADING])
    place_bow(line, setting, nodes, roller, state, cosine, sine, ride(sea, first * stride * dt, cosine, sine))
    for n in range(first * stride, (last - 1) * stride + 1):
        if n % stride == 0:
            _picture(nodes, places, n // stride)
        gather(line.mesh, setting.drag, nodes, bonds)
        ridden = ride(sea, (n + 1) * dt, cosine, sine)
        place_bow(line, setting, nodes, roller, state, cosine, sine, ridden)
        state[DUG], felt = advance(line, setting, ground, by_angle, nodes, bonds, state[DUG], calm, dt)
        _raise(peaks, felt)
        if n % stride == 0:
            i = n // stride
            track[0, i], track[1, i], track[2, i], track[3, i] = (
                n * dt,
                felt.at_bow,
                felt.at_anchor,
                felt.uplift,
            )


@compiled
def integrate(
    hull: Hull, line: Line, setting: Setting, ground: Ground, by_angle: Floats, sea: Sea, wind: Floats,
    pace: float, dt: float, stride: int, first: int, last: int, state: Floats, nodes: Floats, bonds: Floats,
    track: Floats, places: Floats, peaks: Floats,
) -> None:  # fmt: skip
    """Sail through samples ``first`` up to ``last`` of a spell; ``state``, ``nodes`` go on from call to call.

    ``wind`` holds the air's velocity to the north and east every ``pace`` s.  Fills the columns of ``track``,
    one every ``stride`` steps of ``dt``: time, x, y, heading, load at the bow, at the anchor, lift, wind to
    the north, to the east, anchor x, y; and ``places`` and ``peaks`` as ``haul`` does.
    """
    for n in range(first * stride, min(last * stride, (track.shape[1] - 1) * stride + 1)):
        i = n // stride if n % stride == 0 else -1
        cosine, sine = math.cos(state[HEADING]), math.sin(state[HEADING])
        north, east = wind_at(wind, pace, n * dt)
        if i >= 0:
            _picture(nodes, places, i)
            track[0, i], track[1, i], track[2, i] = n * dt, state[NORTH], state[EAST]
            track[3, i], track[7, i], track[8, i] = state[HEADING], north, east
            track[9, i], track[10, i] = nodes[0, X], nodes[0, X + 1]
        gather(line.mesh, setting.drag, nodes, bonds)
        ridden = ride(sea, n * dt, cosine, sine)
        u, v, r = state[AHEAD], state[ABEAM], state[TURN]
        x, y, turning = hull_force(hull, setting, cosine, sine, u, v, r, north, east)
        pull = pull_boat(line, setting, bonds, hull.roller, cosine, sine)
        drift = wave_drift(hull, ridden[6], ridden[7])
        rates = gather_way(hull, x + pull[0] + drift[0], y + pull[1] + drift[1], turning + pull[2] + drift[2])
        u, v, r = u + dt * rates[0], v + dt * rates[1], r + dt * rates[2]
        state[AHEAD], state[ABEAM], state[TURN] = u, v, r
        state[NORTH] += dt * (u * cosine - v * sine)
        state[EAST] += dt * (u * sine + v * cosine)
        state[HEADING] += dt * r
        cosine, sine = math.cos(state[HEADING]), math.sin(state[HEADING])
        ridden = ride(sea, (n + 1) * dt, cosine, sine)
        place_bow(line, setting, nodes, hull.roller, state, cosine, sine, ridden)
        state[DUG], felt = advance(line, setting, ground, by_angle, nodes, bonds, state[DUG], 0.0, dt)
        _raise(peaks, felt)
        if i >= 0:
            track[4, i], track[5, i], track[6, i] = felt.at_bow, felt.at_anchor, felt.uplift
