"""What waves do to the boat and her bow, looked up at each step of her motion (``motion_kernel``)."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from anchorsim.core.jit import inlined

Floats = NDArray[np.float64]
Ride = tuple[float, float, float, float, float, float, float, float]


class Sea(NamedTuple):
    """What the waves do to her; without a sea ``motion`` has no rows.

    motion: every ``pace`` s a row of how she moves, each head to the waves, at 45° to them and abeam: heave
    (m), slope (rad: her pitch is that times the cosine of her angle to them), way along them (m); the rates
    of these nine; the way they go, north and east; and what they press on a metre of wall square to them,
    that way, N/m.  roller: how far ahead of amidships the bow roller is, height: above the water, m.
    """

    motion: Floats
    pace: float
    roller: float
    height: float


COLUMNS = 22  # of the motion
STILL = Sea(np.empty((0, COLUMNS)), 1.0, 0.0, 0.0)


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
    wave_slope, sloping = moved(sea, i, t, 3, head, half, abeam)
    way, speed = moved(sea, i, t, 6, head, half, abeam)
    wave_slope, sloping = towards * wave_slope, towards * sloping
    back, backwards = sea.height * wave_slope, sea.height * sloping
    return (
        way * north - back * cosine, way * east - back * sine, up + sea.roller * wave_slope,
        speed * north - backwards * cosine, speed * east - backwards * sine, upwards + sea.roller * sloping,
        push_north * cosine + push_east * sine, push_east * cosine - push_north * sine,
    )  # fmt: skip
