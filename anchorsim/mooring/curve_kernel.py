"""A packed load–distance curve: its rows, the cubic between its nodes, and how it is looked up.

The statics that fill it (`line_kernel`) share its cubic.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from anchorsim.core.jit import compiled

Floats = npt.NDArray[np.float64]
Found = tuple[float, float, float, float, float, float, float]

# rows of a packed curve, see `line.Curve`
DISTANCE, LOAD, STIFFNESS, AT_BOW, AT_ANCHOR, ANGLE, SHARE, LYING, ENERGY = range(9)
ROWS = 9
FIRST_LOAD = 2.0  # N: the lowest rung of a curve's ladder of loads
NODES = 129  # nodes of a finished curve: 2⁷ intervals, so seven halvings find one


@compiled
def cubic(t: float, gain: float, a: float, b: float) -> tuple[float, float]:
    """The cubic from 0 at t = 0 to `gain` at t = 1 with the end slopes a and b, and its slope by t."""
    a, b, r = a - gain, gain - b, 1.0 - t
    return t * (gain + r * (a * r + b * t)), gain + (r - t) * (a * r + b * t) + t * r * (b - a)


@compiled
def misfit(left: Floats, right: Floats, middle: Floats) -> float:
    """How far a curve interpolated between two nodes is from one in the middle, as a share of its load."""
    wide, gain = right[DISTANCE] - left[DISTANCE], right[LOAD] - left[LOAD]
    if wide <= 1e-9 * right[DISTANCE]:
        return 0.0
    a, b = min(left[STIFFNESS] * wide, 3.0 * gain), min(right[STIFFNESS] * wide, 3.0 * gain)
    t = (middle[LOAD] - left[LOAD]) / gain
    load = cubic((middle[DISTANCE] - left[DISTANCE]) / wide, gain, a, b)[0] - t * gain
    bow = left[AT_BOW] + t * (right[AT_BOW] - left[AT_BOW]) - middle[AT_BOW]
    anchor = left[AT_ANCHOR] + t * (right[AT_ANCHOR] - left[AT_ANCHOR]) - middle[AT_ANCHOR]
    angle = left[ANGLE] + t * (right[ANGLE] - left[ANGLE]) - middle[ANGLE]
    lying = (left[LYING] + t * (right[LYING] - left[LYING]) - middle[LYING]) / right[DISTANCE]
    loads = (abs(load) + abs(bow) + abs(anchor)) / (middle[LOAD] + 10.0 * FIRST_LOAD)
    return float(loads + abs(angle) + 0.1 * abs(lying) + 1e-9 * gain / right[LOAD])


@compiled
def between(packed: Floats, distance: float, i: int) -> Found:
    """As `look_up`, for one whose interval is known."""
    last, stiffness, step = NODES - 1, 0.0, 0.0
    gain, wide = packed[LOAD, i + 1] - packed[LOAD, i], packed[DISTANCE, i + 1] - packed[DISTANCE, i]
    if distance >= packed[DISTANCE, last]:
        stiffness = packed[STIFFNESS, last]
        step = gain + (distance - packed[DISTANCE, last]) * stiffness
    elif distance > packed[DISTANCE, 0]:
        a, b = packed[STIFFNESS, i] * wide, packed[STIFFNESS, i + 1] * wide
        step, rate = cubic((distance - packed[DISTANCE, i]) / wide, gain, a, b)
        stiffness = rate / wide
    t, u = step / gain, min(step / gain, 1.0)
    at_bow = packed[AT_BOW, i] + t * (packed[AT_BOW, i + 1] - packed[AT_BOW, i])
    at_anchor = packed[AT_ANCHOR, i] + t * (packed[AT_ANCHOR, i + 1] - packed[AT_ANCHOR, i])
    angle = packed[ANGLE, i] + u * (packed[ANGLE, i + 1] - packed[ANGLE, i])
    share = packed[SHARE, i] + u * (packed[SHARE, i + 1] - packed[SHARE, i])
    lying = packed[LYING, i] + u * (packed[LYING, i + 1] - packed[LYING, i])
    return packed[LOAD, i] + step, at_bow, at_anchor, angle, share, lying, stiffness


@compiled
def look_up(packed: Floats, distance: float) -> Found:
    """Read a packed curve at a distance, as the kernels do: what is given is not checked.

    Parameters
    ----------
    packed : (9, 129) float64 array
        ``Curve.si.packed``.
    distance : float
        From anchor to bow, m.

    Returns
    -------
    tuple of float
        Horizontal load, load at bow, load at anchor (N), angle at anchor (rad), rope share, length lying (m),
        stiffness (N/m).

    Notes
    -----
    Seven halvings find the interval.  The load is a monotone cubic of distance, the rest is linear in the
    load; beyond the table all goes on with the last slope, below it nothing pulls.

    Examples
    --------
    >>> from anchorsim import line
    >>> chain = line.Segment(length=40.0, weight=13.6, stiffness=5.5e6)
    >>> table = line.curve(segments=[chain], rise=7.0)
    >>> line.look_up(table.si.packed, 39.2) == table.si.look_up(39.2)
    True
    """
    i, half = 0, (NODES - 1) // 2
    while half > 0:
        if distance >= packed[DISTANCE, i + half]:
            i += half
        half //= 2
    return between(packed, distance, i)
