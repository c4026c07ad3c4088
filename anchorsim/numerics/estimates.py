"""What a sample of spells says of all spells: quantiles and chances, each with its band.

All bands are for 95 % confidence: of twenty such bands nineteen hold the truth.  Plain arrays of floats in
any unit; nothing here knows of boats.
"""

from __future__ import annotations

import functools
import math
from statistics import NormalDist

import numpy as np
import scipy  # whose parts are imported as they are needed: the statistics alone take a second
from numpy.typing import ArrayLike, NDArray

from anchorsim.core.arguments import refused
from anchorsim.numerics.interval import Interval

CONFIDENCE = 0.95
WIDE = NormalDist().inv_cdf((1.0 + CONFIDENCE) / 2.0)  # standard deviations either side that hold as much
FEWEST = 30  # to fit a law to (judgement)


def chance(happened: ArrayLike) -> Interval:
    """The chance of what happened in some of the spells, with Wilson's (1927) band.

    ``happened``: (n,) booleans.  Raises ValueError where there are none.
    """
    outcomes = np.asarray(happened, dtype=bool)
    _some(len(outcomes), 1)
    found = scipy.stats.binomtest(int(outcomes.sum()), len(outcomes))
    band = found.proportion_ci(CONFIDENCE, method="wilson")
    return Interval(float(band.low), float(found.statistic), float(band.high), kind="95 % confidence")


def counted_chance(happened: NDArray[np.bool_]) -> Interval:
    """As :func:`chance`, remembered by the count: a band takes a millisecond, and most never happen."""
    return _known_chance(int(np.count_nonzero(happened)), len(happened))


@functools.lru_cache(maxsize=4096)
def _known_chance(times: int, count: int) -> Interval:
    return chance(np.arange(count) < times)


def quantile(values: ArrayLike, share: float, unit: str = "") -> Interval:
    """The value that a ``share`` of spells stays under, and the order statistics that bound it.

    Linear between order statistics; the band holds whatever the law (Conover, Practical Nonparametric
    Statistics, 3.2, as scipy.stats has it).  An end that would need more spells than :func:`spells_needed`
    says is infinite.
    """
    sample = np.asarray(values, dtype=np.float64)
    _some(len(sample), 1)
    value = float(np.quantile(sample, share))
    band = scipy.stats.quantile_test(sample, p=share).confidence_interval(CONFIDENCE)
    low, high = (float(end) for end in (band.low, band.high))
    low, high = -math.inf if math.isnan(low) else low, math.inf if math.isnan(high) else high
    return Interval(low, value, high, unit=unit, kind="95 % confidence")


def spells_needed(share: float) -> int:
    """How many spells it takes for a quantile to be bounded on both sides.

    The greatest of n lies over the quantile with the chance 1 − shareⁿ, which must come to 97.5 %.
    """
    rare = max(share, 1.0 - share)
    return math.ceil(math.log((1.0 - CONFIDENCE) / 2.0) / math.log(rare))


def change(before: ArrayLike, after: ArrayLike) -> Interval:
    """By how much the chance of something changes from one set-up to another in the same spells.

    ``before`` and ``after``: (n,) booleans, a spell each.  The band is that of Bonett & Price (2012), J.
    Educ. Behav. Stat. 37, 479-488, for a difference in pairs: of spells that end alike both ways only the
    number counts, so it is narrower than the two chances' own bands tell.
    """
    first, then = np.asarray(before, dtype=bool), np.asarray(after, dtype=bool)
    count = len(first)
    arisen, mended = int(np.count_nonzero(then & ~first)), int(np.count_nonzero(first & ~then))
    up, down = (arisen + 1) / (count + 2), (mended + 1) / (count + 2)
    reach = WIDE * math.sqrt((up + down - (up - down) ** 2) / (count + 2))
    low, high = max(up - down - reach, -1.0), min(up - down + reach, 1.0)
    return Interval(low, (arisen - mended) / count, high, kind="95 % confidence")


def certain(difference: Interval) -> bool:
    """Whether a difference is more than the chance of so many spells explains: its band leaves out 0."""
    return difference.low > 0.0 or difference.high < 0.0


def _some(count: int, needed: int) -> None:
    if count < needed:
        raise refused("spells", "too few", f"{needed} or more", "run more", str(count))
