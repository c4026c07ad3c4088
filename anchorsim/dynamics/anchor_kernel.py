"""What an anchor holds at a moment, and how it comes out and digs in as it is dragged: scalar, for a kernel.

The anchor is a plastic slider: while the pull on it is less than :func:`resistance` it stays where it is,
else it moves so far that the pull comes down to that.  :func:`dig` says how a move changes the one thing that
it keeps in mind, ``dug``: 1 (:data:`WELL_SET`) for an anchor as well set as it can be, 0 for one that skips
along broken out.  Both are continuous, and nothing but travel changes ``dug``: it cannot jump back to a full
hold.

Dragged slowly along the bottom a set anchor ploughs on under the pull that moved it.  Dragged fast, or
lifted, it comes out; and it digs in again only where it is dragged slowly with little lift, over the travel
that an anchor of its size takes.  That travel is published (see ``seabed``), and so nearly are the angles;
the speeds are not.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from anchorsim.core.jit import inlined
from anchorsim.scenario.site import Ground

Floats = NDArray[np.float64]

WELL_SET = 1.0  # ``dug`` to begin with
# m/s.  Up to the first (half a knot) it digs in as well as it can, from the second on (a knot) it comes out
# instead: judgement.  Tests in soft mud winched anchors in at 10 ft a minute, 0.05 m/s (magazines, read).
BITES, SKIPS = 0.25, 0.5
# rad.  The same of the pull's lift.  Small anchors do best below 8 degrees and lose much beyond 12, and while
# they set it wants to be far less, near nought (Practical Sailor, short-scope anchor test, read); half of the
# 8 for that is judgement.
LEVEL, STEEP = math.radians(4.0), math.radians(12.0)
OF_LATE = 1.0  # s over which its speed is told: an inch in one snatch does not tear it out (judgement)
LETS_GO = 0.25  # travel over which it comes out when torn along, as a share of that to dig in (judgement)


@inlined
def holding_left(by_angle: Floats, angle: float) -> float:
    """Share of the holding left at an angle of pull (rad), between the rows of the uplift table."""
    for i in range(1, by_angle.shape[0]):
        if angle < by_angle[i, 0]:
            part = (angle - by_angle[i - 1, 0]) / (by_angle[i, 0] - by_angle[i - 1, 0])
            return float(by_angle[i - 1, 1] + part * (by_angle[i, 1] - by_angle[i - 1, 1]))
    return float(by_angle[by_angle.shape[0] - 1, 1])


@inlined
def resistance(ground: Ground, dug: float, uplift: float, by_angle: Floats) -> float:
    """The pull at the anchor (N) at which it moves now, with the pull pulled up at ``uplift`` rad.

    Broken out it carries its broken share of the holding, well set all of it, and in between in proportion;
    of that the share that the table ``uplift`` (rows of angle in rad and share) leaves.
    """
    share = ground.broken_share + (1.0 - ground.broken_share) * dug
    return ground.holding * share * holding_left(by_angle, uplift)


@inlined
def bite(uplift: float, speed: float) -> float:
    """How well an anchor bites at a lift (rad) and a speed (m/s): 1 digs in, 0 stays so, −1 comes out."""
    slow = (SKIPS - speed) / (SKIPS - BITES)
    level = (STEEP - uplift) / (STEEP - LEVEL)
    return max(min(slow, level, 1.0), -1.0)


@inlined
def dig(ground: Ground, dug: float, moved: float, uplift: float, speed: float) -> float:
    """``dug`` after the anchor has moved by ``moved`` m (0 or more) at ``speed`` m/s, at ``uplift`` rad.

    It comes back to its set share of the holding and no further; one that is set better keeps that as long as
    it only creeps.
    """
    grip = bite(uplift, speed)
    if grip < 0.0:
        return max(dug + grip * moved / (LETS_GO * ground.dig_in), 0.0)
    again = max((ground.set_share - ground.broken_share) / (1.0 - ground.broken_share), 0.0)
    return max(min(dug + grip * moved / ground.dig_in, again), dug)
