"""What the figures of some spells range over."""

from __future__ import annotations

import functools

import numpy as np
from numpy.typing import NDArray

from anchorsim.numerics.estimates import quantile
from anchorsim.numerics.interval import Interval
from anchorsim.risk.monte_carlo import Spells
from anchorsim.risk.outcome import SELDOM

Floats = NDArray[np.float64]

_FEW = 20  # spells below which the range is that of all of them: a twentieth is less than one


class Ranges:
    """The median and the range of each figure of ``spells``."""

    spells: Spells

    @functools.cached_property
    def peak_load(self) -> Interval:
        """Peak load at the bow, N: the median and the range of the spells."""
        return _range(self.spells.peak_load, "N")

    @functools.cached_property
    def peak_anchor_load(self) -> Interval:
        """Peak load at the anchor, N."""
        return _range(self.spells.peak_anchor_load, "N")

    @functools.cached_property
    def uplift(self) -> Interval:
        """Greatest uplift at the anchor, rad."""
        return _range(self.spells.uplift, "radian")

    @functools.cached_property
    def radius(self) -> Interval:
        """Swinging radius, from where the anchor was set to her farthest end, m."""
        return _range(self.spells.radius, "m")

    @functools.cached_property
    def drag(self) -> Interval:
        """How far the anchor ended from where it was set, m."""
        return _range(self.spells.drag, "m")

    @functools.cached_property
    def holding_used(self) -> Interval:
        """Greatest share of its holding that the anchor was asked for, 1 where it moved."""
        return _range(self.spells.holding_used, "")

    @functools.cached_property
    def bad_peak_load(self) -> Interval:
        """Peak load at the bow that one spell in twenty passes, N, with its 95 % band."""
        return quantile(self.spells.peak_load, 1.0 - SELDOM, unit="N")

    @functools.cached_property
    def bad_radius(self) -> Interval:
        """Swinging radius that one spell in twenty passes, m, with its 95 % band."""
        return quantile(self.spells.radius, 1.0 - SELDOM, unit="m")


def _range(values: Floats, unit: str) -> Interval:
    """The median, and what one spell in twenty lies beyond at either end; of few spells, all of them."""
    if len(values) < _FEW:
        ends = float(values.min()), float(np.median(values)), float(values.max())
        return Interval(*ends, unit=unit, kind="lowest and highest")
    low, median, high = np.quantile(values, [SELDOM, 0.5, 1.0 - SELDOM]).tolist()
    return Interval(low, median, high, unit=unit, kind="1 in 20 beyond each end")
