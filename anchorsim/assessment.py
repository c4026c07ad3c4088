"""What many storms say of a scenario: the odds, what each part carries, whether storms were enough."""

from __future__ import annotations

import functools
import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from anchorsim.extremes import FEWEST, Estimate, Fit, Law, chance, fit, quantile, storms_needed
from anchorsim.gales import Floats, Storms
from anchorsim.strength import Part, parts
from anchorsim.units import System, quantity, show

OFTEN, SELDOM = 0.5, 0.95  # the shares of storms that a middling and a hard one mean


@dataclass(frozen=True)
class PartOdds:
    """A part of the rode: the chances that its load passes the working and the breaking load.

    ``used``: its greatest load over its working load that a share of 0.95 of storms stays under.
    """

    part: Part
    overloaded: Estimate
    parted: Estimate
    used: Estimate


@dataclass(frozen=True)
class Assessment:
    """What storms come to; loads in N, lengths in m, chances from 0 to 1, all with their 95 % band.

    ``peak``, ``room`` and ``drag`` are what a share of 0.95 of storms stays under; ``parts`` run from the
    anchor to the bow; ``parted`` is the chance that any of them parts.
    """

    storms: Storms
    dragging: Estimate
    parted: Estimate
    peak: Estimate
    room: Estimate
    drag: Estimate
    parts: tuple[PartOdds, ...]

    @property
    def weakest(self) -> PartOdds:
        """The part that comes nearest to its working load, or the farthest beyond it."""
        return max(self.parts, key=lambda odds: odds.used.value)

    @functools.cached_property
    def _fits(self) -> dict[Law, Fit]:
        return {law: fit(self.storms.peak_load, law) for law in ("Gumbel", "GEV")}

    def peak_by(self, law: Law) -> Fit:
        """The law of extremes fitted to the greatest load at the bow.

        Raises ValueError where there are too few storms for that.
        """
        return self._fits[law]

    def too_few(self, share: float = 0.99) -> str | None:
        """The sentence that says there are too few storms to bound what a ``share`` stays under, or None."""
        count, needed = len(self.storms), max(FEWEST, storms_needed(share))
        if count >= needed:
            return None
        return (
            f"{count} storms are too few to say what {100 * share:g} in 100 of them stay under; "
            f"needed {needed}; run more storms, or take the figure as a lower bound."
        )

    def sentence(self, system: System = "metric") -> str:
        """The odds in two plain sentences, with the band of each."""
        weak = self.weakest
        name = f"{weak.part.name[0].lower()}{weak.part.name[1:]}"
        return (
            f"The anchor drags in {odds(self.dragging)} of such storms, and the {name} carries more than its "
            f"working load in {odds(weak.overloaded)}. In 95 of 100 the pull on the bow stays under "
            f"{_band(self.peak, 'N', 'kN', system)} and she stays within "
            f"{_band(self.room, 'm', 'm', system)} of where the anchor was let go."
        )


def assess(storms: Storms) -> Assessment:
    """What storms say of their scenario.  Raises ValueError where there is none."""
    found = parts(storms.scenario)
    loads = [_loads(part, storms.peak_load) for part in found]
    broken = [load > part.breaking for part, load in zip(found, loads, strict=True)]
    return Assessment(
        storms=storms,
        dragging=chance(storms.dragged),
        parted=chance(np.any(broken, axis=0)),
        peak=quantile(storms.peak_load, SELDOM),
        room=quantile(storms.room, SELDOM),
        drag=quantile(storms.drag, SELDOM),
        parts=tuple(
            PartOdds(part, chance(load > part.working), chance(breaks), quantile(load / part.working, SELDOM))
            for part, load, breaks in zip(found, loads, broken, strict=True)
        ),
    )


def overloaded(storms: Storms, among: Sequence[Part]) -> NDArray[np.bool_]:
    """In which storms any of some parts carries more than its working load, (n,)."""
    return np.asarray(np.any([_loads(part, storms.peak_load) > part.working for part in among], axis=0))


def _loads(part: Part, pulls: Floats) -> Floats:
    return np.array([part.load(float(pull)) for pull in pulls])


def odds(found: Estimate) -> str:
    """A chance in words, with its band: ``3 of 100 (1 to 6)``."""
    value, low, high = (_hundredths(share) for share in (found.value, found.low, found.high))
    return f"{value} of 100 ({low} to {high})"


def _hundredths(share: float) -> str:
    percent = 100 * share
    return f"{percent:.0f}" if percent >= 2 or percent < 0.05 else f"{percent:.1f}"


def _band(found: Estimate, base: str, unit: str, system: System) -> str:
    value, low = (show(quantity(end, base), unit, system, 2) for end in (found.value, found.low))
    if not math.isfinite(found.high):
        return f"{value} (or more: too few storms to say how much)"
    return f"{value} ({low.split()[0]} to {show(quantity(found.high, base), unit, system, 2).split()[0]})"
