"""The verdict on a scenario: what happens in a small fixed set of watches, in one sentence with its range."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from anchorsim.rode import rode_notes
from anchorsim.scenario import Scenario, short_of_rode
from anchorsim.seabed import holding_notes
from anchorsim.strength import Ending, Part, ending, parts
from anchorsim.swing import Run, simulate
from anchorsim.units import System, quantity, show, si

SEEDS = (1, 2, 3, 4, 5, 6, 7, 8)
# Where each watch's anchor lies in the scatter of its holding: the middles of eight equal shares, well mixed.
_QUANTILES = (0.5625, 0.1875, 0.8125, 0.4375, 0.0625, 0.6875, 0.3125, 0.9375)

STANDING_CAUTIONS = (
    "An estimate to compare choices with, not a promise: the rode is taken as at rest at each instant, waves are left "
    "out, the bottom is flat and alike throughout, and holding figures scatter widely.",
    "Makers' instructions, local rules, the surveyor on site and the skipper's judgement come first. "
    "Set the anchor, take bearings and keep an anchor watch.",
)


@dataclass(frozen=True)
class Range:
    """The middle and the ends of a quantity over the watches, SI floats."""

    middle: float
    low: float
    high: float


@dataclass(frozen=True)
class Verdict:
    """What the watches come to.

    ``peak`` and ``anchor_peak`` in N, ``lift`` in rad, ``room`` and ``drag`` in m; ``endings`` one a watch;
    ``parts`` are those of the rode, for :attr:`Part.load` at a peak.
    """

    scenario: Scenario
    endings: tuple[Ending, ...]
    peak: Range
    anchor_peak: Range
    lift: Range
    room: Range
    drag: Range
    parts: tuple[Part, ...]

    @property
    def outcome(self) -> str:
        """The gist in two or three words."""
        if "parted" in self.endings:
            return "Rode parts"
        dragged = self.endings.count("dragged")
        if dragged == 0:
            return "Holds"
        return "Drags" if dragged > len(self.endings) / 2 else "May drag"

    @property
    def overloaded(self) -> tuple[Part, ...]:
        """The parts that pass their working load in half of the watches or more."""
        return tuple(part for part in self.parts if part.load(self.peak.middle) > part.working)

    def sentence(self, system: System = "metric") -> str:
        """What happens and why, with its range, in one plain sentence."""
        peak = _span(self.peak, "kN", "N", system)
        lift = f"{math.degrees(self.lift.middle):.0f}°"
        room = show(quantity(self.room.high, "m"), "m", system, 2)
        pull = f"up to {peak} comes on the bow"
        tail = f"; she needs {room} of room around the anchor"
        if self.overloaded:
            tail = f"; that is more than the working load of {_list(self.overloaded)}" + tail
        return self._beginning(system, lift) + pull + tail + "."

    def _beginning(self, system: System, lift: str) -> str:
        watches = len(self.endings)
        dragged, parted = self.endings.count("dragged"), self.endings.count("parted")
        pulled = (
            "with the pull along the bottom"
            if lift == "0°"
            else f"although the pull lifts it by {lift} at worst"
        )
        if parted:
            return f"The rode parts in {parted} of {watches} watches tried: "
        if not dragged:
            return f"She holds in all {watches} watches tried, {pulled}: "
        drag = show(quantity(self.drag.high, "m"), "m", system, 2)
        why = "" if lift == "0°" else f" with the pull lifting it by {lift}"
        return f"The anchor drags in {dragged} of {watches} watches tried{why}, {drag} at the farthest: "

    def notes(self, system: System = "metric") -> tuple[str, ...]:
        """What a person should know of how this was computed from what was given."""
        anchor = self.scenario.tackle.anchor
        found = [short_of_rode(self.scenario, system), *rode_notes(self.scenario)]
        found += holding_notes(anchor.type, si(anchor.mass), self.scenario.spot.bottom)
        return tuple(note for note in found if note)

    @property
    def cautions(self) -> tuple[str, ...]:
        """All cautions: the warnings of this case, then those that always stand."""
        return (*self.warnings, *STANDING_CAUTIONS)

    @property
    def warnings(self) -> tuple[str, ...]:
        """Warnings where this case can hurt someone, the gravest first."""
        found = []
        if "parted" in self.endings:
            found.append(
                "The rode is loaded past its breaking load: do not lie to this tackle in this weather."
            )
        if "dragged" in self.endings:
            found.append(
                "Dragging puts boat and crew at risk: leave in good time, or better the anchor, scope or place."
            )
        if self.overloaded:
            found.append(
                "A part that works beyond its working load can fail without warning: stand clear of it."
            )
        names = {part.name.split()[0] for part in self.parts}
        if names == {"Chain"}:
            found.append(
                "Chain comes bare to the bow: lie to a snubber made fast on a strong point, not to the windlass."
            )
        return tuple(found)


def watches(scenario: Scenario) -> Iterator[Run]:
    """The fixed set of watches, one by one: the seeds' gusts, each with an anchor elsewhere in its scatter."""
    for seed, quantile in zip(SEEDS, _QUANTILES, strict=True):
        yield simulate(scenario, seed=seed, holding_quantile=quantile)


def judge(scenario: Scenario, runs: Sequence[Run] | None = None) -> Verdict:
    """The verdict on a scenario, from the fixed set of watches or from runs of it that there are already."""
    runs = list(watches(scenario)) if runs is None else runs
    return Verdict(
        scenario=scenario,
        endings=tuple(ending(run) for run in runs),
        peak=_range([run.greatest_bow_load for run in runs]),
        anchor_peak=_range([run.greatest_anchor_load for run in runs]),
        lift=_range([run.greatest_lift for run in runs]),
        room=_range([si(run.swing_radius) for run in runs]),
        drag=_range([si(run.drag_distance) for run in runs]),
        parts=parts(scenario),
    )


def _range(values: list[float]) -> Range:
    return Range(float(np.median(values)), min(values), max(values))


def _span(span: Range, unit: str, base: str, system: System) -> str:
    middle, low, high = (show(quantity(v, base), unit, system, 2) for v in (span.middle, span.low, span.high))
    return f"{middle} ({low.split()[0]} to {high.split()[0]})"


def _list(found: Sequence[Part]) -> str:
    return " and ".join(f"the {part.name[0].lower()}{part.name[1:]}" for part in found)
