"""What many spells say of a scenario: the odds of dragging, the peak, and whether spells were enough."""

from __future__ import annotations

import functools
import math
from dataclasses import dataclass

from anchorsim.core.units import System, quantity, show
from anchorsim.numerics.estimates import FEWEST, Fit, Law, chance, fit, quantile, spells_needed
from anchorsim.numerics.interval import Interval
from anchorsim.risk.monte_carlo import Spells

SELDOM = 0.95  # the share of spells that a hard one is harder than


@dataclass(frozen=True)
class Assessment:
    """What spells come to; loads in N, lengths in m, chances from 0 to 1, all with their 95 % band.

    ``peak``, ``room`` and ``drag`` are what a share of 0.95 of spells stays under.
    """

    spells: Spells
    dragging: Interval
    peak: Interval
    room: Interval
    drag: Interval

    @functools.cached_property
    def _fits(self) -> dict[Law, Fit]:
        return {law: fit(self.spells.peak_load, law) for law in ("Gumbel", "GEV")}

    def peak_by(self, law: Law) -> Fit:
        """The law of extremes fitted to the greatest load at the bow.

        Raises ValueError where there are too few spells for that.
        """
        return self._fits[law]

    def too_few(self, share: float = 0.99) -> str | None:
        """The sentence that says there are too few spells to bound what a ``share`` stays under, or None."""
        count, needed = len(self.spells), max(FEWEST, spells_needed(share))
        if count >= needed:
            return None
        return (
            f"{count} storms are too few to say what {100 * share:g} in 100 of them stay under; "
            f"needed {needed}; run more storms, or take the figure as a lower bound."
        )

    def sentence(self, system: System = "metric") -> str:
        """The odds in two plain sentences, with the band of each."""
        return (
            f"The anchor drags in {odds(self.dragging)} of such storms. In 95 of 100 the pull on the bow "
            f"stays under {_band(self.peak, 'N', 'kN', system)} and she stays within "
            f"{_band(self.room, 'm', 'm', system)} of where the anchor was let go."
        )


def assess(spells: Spells) -> Assessment:
    """What spells say of their scenario.  Raises ValueError where there is none."""
    return Assessment(
        spells=spells,
        dragging=chance(spells.dragged),
        peak=quantile(spells.peak_load, SELDOM),
        room=quantile(spells.room, SELDOM),
        drag=quantile(spells.drag, SELDOM),
    )


def odds(found: Interval) -> str:
    """A chance in words, with its band: ``3 of 100 (1 to 6)``."""
    value, low, high = (_hundredths(share) for share in (found.likely, found.low, found.high))
    return f"{value} of 100 ({low} to {high})"


def _hundredths(share: float) -> str:
    percent = 100 * share
    return f"{percent:.0f}" if percent >= 2 or percent < 0.05 else f"{percent:.1f}"


def _band(found: Interval, base: str, unit: str, system: System) -> str:
    value, low = (show(quantity(end, base), unit, system, 2) for end in (found.likely, found.low))
    if not math.isfinite(found.high):
        return f"{value} (or more: too few storms to say how much)"
    return f"{value} ({low.split()[0]} to {show(quantity(found.high, base), unit, system, 2).split()[0]})"
