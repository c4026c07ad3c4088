"""How the waves carry the bow, looked up at each step of her motion (``swing_kernel.py``).

numba keeps its cache by the file of what calls these: clear that cache, or touch that file, when they change.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from anchorsim.compiled import inlined
from anchorsim.curve_kernel import Floats


class Sea(NamedTuple):
    """What the waves do to the bow; without a sea ``motion`` has no rows.

    motion: where they carry it every ``pace`` s, rows of metres to the north, to the east and up, and of the
    speeds of these, m/s.
    """

    motion: Floats
    pace: float


STILL = Sea(np.empty((0, 6)), 1.0)


@inlined
def ride(
    sea: Sea, time: float, cosine: float, sine: float
) -> tuple[float, float, float, float, float, float, float, float]:
    """placeholder"""
    if sea.motion.shape[0] == 0:
        return 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0
    place = time / sea.pace
    i = min(int(place), sea.motion.shape[0] - 2)
    t = min(place - i, 1.0)
    s = 1.0 - t
    n = s * sea.motion[i, 0] + t * sea.motion[i + 1, 0]
    e = s * sea.motion[i, 1] + t * sea.motion[i + 1, 1]
    u = s * sea.motion[i, 2] + t * sea.motion[i + 1, 2]
    # cubic part
    for k in range(3):
        gain = sea.motion[i + 1, k] - sea.motion[i, k]
        a, b = sea.pace * sea.motion[i, 3 + k], sea.pace * sea.motion[i + 1, 3 + k]
        extra = t * s * ((a - gain) * s + (gain - b) * t)
        if k == 0:
            n += extra
        elif k == 1:
            e += extra
        else:
            u += extra
    return n, e, u, 0.0, 0.0, 0.0, 0.0, 0.0
