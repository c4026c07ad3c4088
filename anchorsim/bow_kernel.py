"""What a heaving bow does to the rode: compiled into the boat's motion (``swing_kernel.py``).

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


class Sea(NamedTuple):
    """What the waves do to the bow; without a sea the arrays have no rows.

    motion: where they carry it every ``pace`` s, rows of metres to the north, to the east and up, and of the
    speeds of these, m/s; longer: by rows of heave and columns of distance, in three layers, how much farther
    (m) the bow would have to be without the heave for the same horizontal load, how much more load (N) at the
    bow and lift (rad) there is than so far off; nearest, wide: first distance of these and the step, m;
    lowest, high: first heave and the step, m.
    """

    motion: Floats
    pace: float
    longer: Floats
    nearest: float
    wide: float
    lowest: float
    high: float


STILL = Sea(np.empty((0, 6)), 1.0, np.empty((3, 0, 0)), 0.0, 1.0, 0.0, 1.0)


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
