"""What a sample of spells says of all spells: quantiles, chances and extreme-value fits, each with its band.

All bands are for 95 % confidence: of twenty such bands nineteen hold the truth.  Plain arrays of floats in
any unit; nothing here knows of boats.
"""

from __future__ import annotations

import functools
import math
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any, Literal

import numpy as np
import scipy  # whose parts are imported as they are needed: the statistics alone take a second
from numpy.typing import ArrayLike, NDArray

from anchorsim.numerics.interval import Interval

Floats = NDArray[np.float64]
Law = Literal["Gumbel", "GEV"]

CONFIDENCE = 0.95
FEWEST = 30  # to fit a law to (judgement)
_RESAMPLES = 200


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


@dataclass(frozen=True)
class Fit:
    """A law of extremes fitted to the greatest value of each spell.

    F(x) = exp(−(1 + ξ(x − μ)/σ)^(−1/ξ)), for ``shape`` ξ = 0 the Gumbel law exp(−exp(−(x − μ)/σ));
    ``location`` μ, ``scale`` σ.  ``agreement`` is the share of samples of the law itself that lie as far from
    their own fit as this sample does: near 0, the law does not suit the spells.
    """

    law: Law
    shape: float
    location: float
    scale: float
    agreement: float
    resampled: Floats = field(repr=False, compare=False)

    @property
    def suits(self) -> bool:
        """Whether the law can be held of this sample: not one in twenty of its own would lie farther off."""
        return self.agreement >= 1.0 - CONFIDENCE

    def quantile(self, share: float) -> Interval:
        """The value that a ``share`` of spells stays under by the law."""
        return self._estimate(functools.partial(scipy.stats.genextreme.ppf, share))

    def passing(self, level: float) -> Interval:
        """The chance that a spell passes ``level`` by the law."""
        return self._estimate(functools.partial(scipy.stats.genextreme.sf, level))

    def _estimate(self, of: Callable[..., Floats]) -> Interval:
        shape, location, scale = self.resampled.T
        edge = (1.0 - CONFIDENCE) / 2.0
        low, high = np.quantile(of(-shape, location, scale), [edge, 1.0 - edge])
        value = float(of(-self.shape, self.location, self.scale))
        return Interval(float(low), value, float(high), kind="95 % confidence")


def fit(values: ArrayLike, law: Law = "Gumbel") -> Fit:
    """Fit a law to the greatest value of each spell, by most likelihood; bands by parametric resampling.

    Raises ValueError where there are too few values, or all are alike.
    """
    sample = np.asarray(values, dtype=np.float64)
    _some(len(sample), FEWEST)
    if np.ptp(sample) <= 1e-9 * np.abs(sample).max():
        raise ValueError("all storms come to the same: there is no scatter to fit a law to; vary the gusts")
    if law not in ("Gumbel", "GEV"):
        raise ValueError(f"{law!r} is not a law of extremes; needed 'Gumbel' or 'GEV'; give one of them")
    shape, location, scale = found = _most_likely(sample, law, 0.0, exact=1e-6)
    size = (_RESAMPLES, len(sample))
    drawn = scipy.stats.genextreme.rvs(-shape, location, scale, size, random_state=0)
    resampled = np.array([_most_likely(row, law, shape, exact=1e-3) for row in drawn])
    farthest = _farthest(sample[None], np.array([found]))
    agreement = float(np.mean(_farthest(drawn, resampled) >= farthest))
    return Fit(law, shape, location, scale, agreement, resampled)


def _most_likely(sample: Floats, law: Law, shape: float, exact: float) -> tuple[float, float, float]:
    """Shape ξ, which is scipy's −c, location and scale.

    A GEV is sought from ``shape`` and the Gumbel law, in the units of that, in which the search knows how far
    to go.  Powell's takes a third of the time of the simplex that scipy.stats would take.
    """
    location, scale = scipy.stats.gumbel_r.fit(sample)
    if law == "Gumbel":
        return 0.0, float(location), float(scale)

    def search(unlikely: Callable[..., float], start: Floats, args: tuple[Any, ...], disp: bool) -> Floats:
        found = scipy.optimize.minimize(unlikely, start, args, "Powell", tol=exact)
        if not found.success:
            raise ValueError(f"no GEV could be fitted ({found.message}); fit a Gumbel law")
        return np.asarray(found.x)

    unit = (sample - location) / scale
    c, place, width = scipy.stats.genextreme.fit(unit, -shape, loc=0.0, scale=1.0, optimizer=search)
    return -float(c), float(location + scale * place), float(scale * width)


def _farthest(samples: Floats, laws: Floats) -> Floats:
    """Greatest distance between each sample's distribution, a row, and its law's (Kolmogorov)."""
    shape, location, scale = laws.T[:, :, None]
    under = scipy.stats.genextreme.cdf(samples, -shape, location, scale)
    uniform = scipy.stats.uniform.cdf
    return np.asarray(scipy.stats.ks_1samp(under, uniform, axis=1, method="asymp").statistic)


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
    wide = float(scipy.special.ndtri((1.0 + CONFIDENCE) / 2.0))
    reach = wide * math.sqrt((up + down - (up - down) ** 2) / (count + 2))
    low, high = max(up - down - reach, -1.0), min(up - down + reach, 1.0)
    return Interval(low, (arisen - mended) / count, high, kind="95 % confidence")


def certain(difference: Interval) -> bool:
    """Whether a difference is more than the chance of so many spells explains: its band leaves out 0."""
    return difference.low > 0.0 or difference.high < 0.0


def _some(count: int, needed: int) -> None:
    if count < needed:
        raise ValueError(f"{count} storms are too few; needed {needed} at the least; run more storms")
