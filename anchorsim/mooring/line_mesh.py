"""A rode cut into elements for its motion: arrays for the kernels, plain SI floats.

An element is straight, with its mass, weight and drag at its two ends, half at each; the elements run from
the anchor to the bow.  A snubber is one element, for what weighs in it is the loop of chain behind it, which
hangs from its two ends.  With a bridle the last two elements are the legs, port and starboard, from the hook
on; each has half of what the segment of both is given.
"""

from __future__ import annotations

import math
from functools import lru_cache
from typing import NamedTuple

import numpy as np

from anchorsim.core.units import GRAVITY, SEA_WATER
from anchorsim.mooring.curve_kernel import Floats
from anchorsim.mooring.material import Segment, tensions

# Columns of `elements`.  Tension by stretch s (m): chain STIFFNESS·s; rope the table LAW of s/LENGTH, times
# 1 ± LOSS while it lengthens or shortens, and BACKUP·(s − SLACK) of chain behind it where that is above 0.
LENGTH, MASS, ADDED, WEIGHT, IN_AIR, STIFFNESS, LAW, STRAIN, LOSS, SLACK, BACKUP, ACROSS, ALONG = range(13)
COLUMNS = 13
NO_LAW = -1.0
LOSS_RATE = 0.01  # 1/s of strain over which a rope's loss turns from shortening to lengthening (judgement)
_NODES = 257  # strains of a law's table


class Mesh(NamedTuple):
    """elements: (elements, COLUMNS), with ``bridle`` the last two its legs.

    LENGTH: m unstretched; MASS: kg; ADDED: kg of water moved with it across, where it is wet; WEIGHT, IN_AIR:
    N in water and above it; STIFFNESS: N/m, 0 for a rope, whose table is row LAW of ``laws``, the loads (N)
    at strains in steps of STRAIN; LOSS: κ, so that a cycle loses 2κ/(1 + κ) of the loading energy; SLACK: m;
    BACKUP: N/m; ACROSS, ALONG: N per square of the speed (m/s), ½ρ C_D d L.
    """

    elements: Floats
    laws: Floats
    bridle: bool


@lru_cache(maxsize=64)
def mesh(segments: tuple[Segment, ...], counts: tuple[int, ...], bridle: bool) -> Mesh:
    """The mesh of a rode whose segments are each cut into so many even elements, a snubber into one.

    ``bridle``: whether the last segment is one.
    """
    rows: list[list[float]] = []
    laws: list[Floats] = []
    for segment, count in zip(segments, counts, strict=True):
        legs = 2 if bridle and segment is segments[-1] else 1
        cut = 1 if segment.slack is not None else count
        rows.extend([_row(segment, cut, legs, laws)] * cut * legs)
    return Mesh(np.array(rows), np.array(laws if laws else [np.zeros(_NODES)]), bridle)


def _row(segment: Segment, count: int, legs: int, laws: list[Floats]) -> list[float]:
    length = segment.length / count
    in_air = segment.weight if segment.weight_in_air is None else segment.weight_in_air
    mass, added = in_air / GRAVITY, (in_air - segment.weight) / GRAVITY  # the added one is that displaced
    row = [0.0] * COLUMNS
    row[LENGTH], row[LAW], row[SLACK] = length, NO_LAW, math.inf
    each = length / legs
    row[MASS], row[ADDED] = mass * each, added * each
    row[WEIGHT], row[IN_AIR] = segment.weight * each, in_air * each
    row[ACROSS] = 0.5 * SEA_WATER * segment.drag_across * each
    row[ALONG] = 0.5 * SEA_WATER * segment.drag_along * each
    if segment.law is None:
        row[STIFFNESS] = (segment.stiffness or 0.0) / each
        return row
    loads, row[STRAIN] = tensions(segment.law, _NODES)
    row[LAW], row[LOSS] = float(len(laws)), segment.law.loss / (2.0 - segment.law.loss)
    laws.append(loads / legs)
    if segment.slack is not None and segment.backup_stiffness is not None:
        row[SLACK] = segment.slack / count
        row[BACKUP] = segment.backup_stiffness / (segment.length + segment.slack) * count / legs
    return row
