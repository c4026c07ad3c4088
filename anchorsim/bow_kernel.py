"""What waves do to the bow, and it to the rode: compiled into the boat's motion (``swing_kernel.py``).

A bow that is lifted pulls as one that is farther away does.  How much farther, so that the horizontal load is
the same, is tabulated beforehand by distance and heave; all that goes on with the rode as it lies with the
bow at rest then holds in a sea too.  numba keeps its cache by the file of what calls these: clear that cache,
or touch that file, when they change.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from anchorsim.compiled import compiled, inlined
from anchorsim.curve_kernel import AT_BOW, DISTANCE, LOAD, NODES, STIFFNESS, between, look_up

Floats = NDArray[np.float64]
Ride = tuple[float, float, float, float, float, float, float, float]


class Sea(NamedTuple):
    """What the waves do to the bow; without a sea the arrays have no rows.

    motion: every ``pace`` s a row of how she moves, each head to the waves, at 45° to them and abeam: heave
    (m), slope (rad: her pitch is that times the cosine of her angle to them), way along them (m); the rates
    of these nine; the way they go, north and east; and what they press on a metre of wall square to them,
    that way, N/m.  roller: how far ahead of amidships the bow roller is, height: above the water, m; longer:
    by rows of heave and columns of distance, in three layers, how much farther
    (m) the bow would have to be without the heave for the same horizontal load, how much more load (N) at the
    bow and lift (rad) there is than so far off; nearest, wide: first distance of these and the step, m;
    lowest, high: first heave and the step, m.
    """

    motion: Floats
    pace: float
    roller: float
    height: float
    longer: Floats
    nearest: float
    wide: float
    lowest: float
    high: float


COLUMNS = 22  # of the motion
STILL = Sea(np.empty((0, COLUMNS)), 1.0, 0.0, 0.0, np.empty((3, 0, 0)), 0.0, 1.0, 0.0, 1.0)


@inlined
def moved(
    sea: Sea, i: int, t: float, first: int, head: float, half: float, abeam: float
) -> tuple[float, float]:
    """Value and rate, a share ``t`` of the way from row i on, of a motion: a cubic through values and rates.

    ``first`` is its column head to the waves; ``head``, ``half``, ``abeam`` weigh the three.
    """
    m, r = sea.motion, first + 9
    start = head * m[i, first] + half * m[i, first + 1] + abeam * m[i, first + 2]
    gain = head * m[i + 1, first] + half * m[i + 1, first + 1] + abeam * m[i + 1, first + 2] - start
    a = sea.pace * (head * m[i, r] + half * m[i, r + 1] + abeam * m[i, r + 2])
    b = sea.pace * (head * m[i + 1, r] + half * m[i + 1, r + 1] + abeam * m[i + 1, r + 2])
    square, cube = 3.0 * gain - 2.0 * a - b, a + b - 2.0 * gain
    return start + t * (a + t * (square + t * cube)), (a + t * (2.0 * square + 3.0 * t * cube)) / sea.pace


@inlined
def ride(sea: Sea, time: float, cosine: float, sine: float) -> Ride:
    """What the waves do at a time (s) to a boat whose heading has that cosine and sine.

    How far the bow roller is carried to the north, to the east and up (m), and how fast (m/s), and what the
    waves press on a metre of wall square to them, ahead and to starboard (N/m).  Between head to the waves,
    45° and abeam it goes by a parabola in the square of the cosine; her turning counts in the place alone.
    """
    if sea.motion.shape[0] == 0:
        return 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0
    place = time / sea.pace
    i = min(int(place), sea.motion.shape[0] - 2)
    t = min(place - i, 1.0)
    north, east = sea.motion[i, 18], sea.motion[i, 19]
    push_north, push_east = sea.motion[i, 20], sea.motion[i, 21]
    towards = -north * cosine - east * sine
    q = towards * towards
    head, half, abeam = q * (2.0 * q - 1.0), 4.0 * q * (1.0 - q), (1.0 - q) * (1.0 - 2.0 * q)
    up, upwards = moved(sea, i, t, 0, head, half, abeam)
    slope, sloping = moved(sea, i, t, 3, head, half, abeam)
    way, speed = moved(sea, i, t, 6, head, half, abeam)
    slope, sloping = towards * slope, towards * sloping
    back, backwards = sea.height * slope, sea.height * sloping
    return (
        way * north - back * cosine, way * east - back * sine, up + sea.roller * slope,
        speed * north - backwards * cosine, speed * east - backwards * sine, upwards + sea.roller * sloping,
        push_north * cosine + push_east * sine, push_east * cosine - push_north * sine,
    )  # fmt: skip


@inlined
def heaved(sea: Sea, distance: float, up: float) -> tuple[float, float, float, float]:
    """What heave is worth: more distance (m), load at the bow (N), lift (rad); and distance for a metre."""
    rows, columns = sea.longer.shape[1], sea.longer.shape[2]
    across = min(max((distance - sea.nearest) / sea.wide, 0.0), columns - 1.0)
    above = (up - sea.lowest) / sea.high
    i, j = min(int(across), columns - 2), min(max(int(above), 0), rows - 2)
    t, u = across - i, above - j
    low = (1.0 - t) * sea.longer[0, j, i] + t * sea.longer[0, j, i + 1]
    gain = (1.0 - t) * sea.longer[0, j + 1, i] + t * sea.longer[0, j + 1, i + 1] - low
    bow = (1.0 - t) * sea.longer[1, j, i] + t * sea.longer[1, j, i + 1]
    bow += u * ((1.0 - t) * sea.longer[1, j + 1, i] + t * sea.longer[1, j + 1, i + 1] - bow)
    lift = (1.0 - t) * sea.longer[2, j, i] + t * sea.longer[2, j, i + 1]
    lift += u * ((1.0 - t) * sea.longer[2, j + 1, i] + t * sea.longer[2, j + 1, i + 1] - lift)
    return low + u * gain, bow, lift, gain / sea.high


@compiled
def distance_for(packed: Floats, load: float) -> float:
    """Distance (m) at which a curve comes to a horizontal load (N, over 0): the inverse of ``look_up``."""
    last = NODES - 1
    if load >= packed[LOAD, last]:
        return float(packed[DISTANCE, last] + (load - packed[LOAD, last]) / packed[STIFFNESS, last])
    i, half = 0, last // 2
    while half > 0:
        if load >= packed[LOAD, i + half]:
            i += half
        half //= 2
    low, high = packed[DISTANCE, i], packed[DISTANCE, i + 1]
    distance = low
    while True:  # Newton's steps, and halving where one would leave the interval that is left
        found = between(packed, distance, i)
        off, stiffness = found[0] - load, found[6]
        low, high = (low, distance) if off > 0.0 else (distance, high)
        after = distance - off / stiffness if stiffness > 0.0 else low
        if not low < after < high:
            after = 0.5 * (low + high)
        if abs(after - distance) <= 1e-12 * high or after in (low, high):
            return float(after)
        distance = after


@compiled
def tabulate(still: Floats, lifted: Floats, nearest: float, wide: float, longer: Floats) -> None:
    """Fill one row of heave of ``longer``, layers of :class:`Sea`, (3, columns).

    ``still`` and ``lifted`` are the curves with the bow where it is at rest and where the heave has it.
    """
    for i in range(longer.shape[1]):
        distance = nearest + i * wide
        if distance <= lifted[DISTANCE, 0]:
            longer[0, i] = still[DISTANCE, 0] - lifted[DISTANCE, 0]
            longer[1, i] = lifted[AT_BOW, 0] - still[AT_BOW, 0]
            longer[2, i] = 0.0
            continue
        load, at_bow, _, lift, _, _, _ = look_up(lifted, distance)
        same = distance_for(still, load)
        _, still_bow, _, still_lift, _, _, _ = look_up(still, same)
        longer[0, i] = same - distance
        longer[1, i] = at_bow - still_bow
        longer[2, i] = lift - still_lift
