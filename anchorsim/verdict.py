"""The verdict on a scenario: what happens in a small fixed set of watches, in plain words with its range."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from anchorsim.gales import CREEP, Storms
from anchorsim.rode import rode_notes
from anchorsim.scenario import Scenario, short_of_rode
from anchorsim.seabed import ground, holding_notes, uplift_table
from anchorsim.strength import Ending, Part, ending, parts
from anchorsim.swing import Run, simulate
from anchorsim.units import System, quantity, show, si

SEEDS = (1, 2, 3, 4, 5, 6, 7, 8)
# Where each watch's anchor lies in the scatter of its holding: the middles of eight equal shares, well mixed.
_QUANTILES = (0.5625, 0.1875, 0.8125, 0.4375, 0.0625, 0.6875, 0.3125, 0.9375)

_ALONG = math.radians(0.5)  # a pull that rises less runs along the bottom, as people read it

STANDING_CAUTIONS = (
    "An estimate to compare choices with, not a promise: the rode is taken as at rest at each instant, waves "
    "count only where they or the open water that raises them are given, the bottom is flat and alike "
    "throughout, and holding figures scatter widely.",
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

    ``peak`` and ``anchor_peak`` in N, ``lift`` in rad, ``room`` and ``drag`` in m; ``endings`` and ``drags``
    (m) one a watch; ``parts`` are those of the rode, for :attr:`Part.load` at a peak.
    """

    scenario: Scenario
    endings: tuple[Ending, ...]
    drags: tuple[float, ...]
    peak: Range
    anchor_peak: Range
    lift: Range
    room: Range
    drag: Range
    parts: tuple[Part, ...]

    @property
    def outcome(self) -> str:
        """The gist in a word or two."""
        if "parted" in self.endings:
            return "Rode parts"
        if self._dragging:
            return "Drags" if self._dragging > len(self.endings) / 2 else "May drag"
        return "Creeps" if self._creeping else "Holds"

    @property
    def _dragging(self) -> int:
        return sum(drag >= CREEP for drag in self._moved)

    @property
    def _creeping(self) -> int:
        return sum(drag < CREEP for drag in self._moved)

    @property
    def _moved(self) -> list[float]:
        """How far the anchor went (m) in each of the watches that end with it dragged."""
        return [drag for drag, ending in zip(self.drags, self.endings, strict=True) if ending == "dragged"]

    @property
    def overloaded(self) -> tuple[Part, ...]:
        """The parts that pass their working load in half of the watches or more."""
        return tuple(part for part in self.parts if part.load(self.peak.middle) > part.working)

    def sentence(self, system: System = "metric") -> str:
        """What happens and why, then the pull and the room with their range: two plain sentences."""
        peak, room = _span(self.peak, "kN", "N", system), _length(self.room.high, system)
        beyond = f", more than the working load of {_list(self.overloaded)}" if self.overloaded else ""
        numbers = (
            f"At the hardest {peak} comes on the bow{beyond}; she needs {room} of room around the anchor."
        )
        return f"{self._what(system)}, {self._why(system)}. {numbers}"

    def _what(self, system: System) -> str:
        watches, parted = len(self.endings), self.endings.count("parted")
        if parted:
            return f"The rode parts in {_of(parted, watches)}"
        if self._dragging:
            creeping = f", and creeps in {self._creeping}" if self._creeping else ""
            drag = _length(max(self._moved), system)
            return f"The anchor drags in {_of(self._dragging, watches)}, {drag} at the farthest{creeping}"
        if self._creeping:
            drag = _length(max(self._moved), system)
            return f"The anchor creeps in {_of(self._creeping, watches)}, {drag} at the farthest"
        return f"She holds in {_of(watches, watches)}"

    def _why(self, system: System) -> str:
        upwards = f"{math.degrees(self.lift.middle):.0f}° upwards" if self.lift.middle >= _ALONG else ""
        if "parted" in self.endings:
            broken = [part for part in self.parts if part.load(self.peak.high) > part.breaking]
            return f"because the pull passes what {_list(broken)} breaks at"
        if not self._moved:
            return f"though the anchor is pulled {upwards}" if upwards else "with the pull along the bottom"
        anchor, bottom = self.scenario.tackle.anchor, self.scenario.spot.bottom
        holding = ground(anchor.type, si(anchor.mass), bottom).holding
        if holding == 0:
            return f"because nothing holds it on {bottom}"
        held = f"about {show(quantity(holding, 'N'), 'kN', system, 2)} in {bottom}"
        if not upwards:
            return f"because it holds only {held}"
        left = 100 * np.interp(self.lift.middle, *uplift_table().T)
        return f"because it holds {held} and a pull {upwards} leaves {left:.0f} % of that"

    def notes(self, system: System = "metric") -> tuple[str, ...]:
        """What a person should know of how this was computed from what was given."""
        anchor = self.scenario.tackle.anchor
        found = [short_of_rode(self.scenario, system), *rode_notes(self.scenario, system)]
        found += holding_notes(anchor.type, si(anchor.mass), self.scenario.spot.bottom, system)
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
            found.append("The rode is loaded past what it breaks at: do not lie to it in this weather.")
        if self._dragging:
            found.append(
                "Dragging puts boat and crew at risk: improve anchor, scope or place, or leave in time."
            )
        elif self._creeping:
            found.append("An anchor that creeps is at its limit: let out more rode and watch the bearings.")
        if self.overloaded:
            found.append(
                "A part that works beyond its working load can fail without warning: stand clear of it."
            )
        if all(part.name.startswith("Chain") for part in self.parts):
            found.append(
                "Chain comes bare to the bow: lie to a snubber on a strong point, not to the windlass."
            )
        return tuple(found)


def watches(scenario: Scenario) -> Iterator[Run]:
    """The fixed set of watches, one by one, each with its own gusts and place in the anchor's scatter."""
    for seed, quantile in zip(SEEDS, _QUANTILES, strict=True):
        yield simulate(scenario, seed=seed, holding_quantile=quantile)


def judge(scenario: Scenario, runs: Sequence[Run] | None = None) -> Verdict:
    """The verdict on a scenario, from the fixed set of watches or from runs of it that there are already."""
    runs = list(watches(scenario)) if runs is None else runs
    return Verdict(
        scenario=scenario,
        endings=tuple(ending(run) for run in runs),
        drags=tuple(si(run.drag_distance) for run in runs),
        peak=_range([run.greatest_bow_load for run in runs]),
        anchor_peak=_range([run.greatest_anchor_load for run in runs]),
        lift=_range([run.greatest_lift for run in runs]),
        room=_range([si(run.swing_radius) for run in runs]),
        drag=_range([si(run.drag_distance) for run in runs]),
        parts=parts(scenario),
    )


def judge_storms(storms: Storms) -> Verdict:
    """The verdict from many storms: the middle of each figure, and what one storm in twenty passes."""
    found = parts(storms.scenario)
    gone = [any(part.load(float(pull)) > part.breaking for part in found) for pull in storms.peak_load]
    endings: list[Ending] = [
        "parted" if parted else "dragged" if drag else "held"
        for parted, drag in zip(gone, storms.drag, strict=True)
    ]
    return Verdict(
        scenario=storms.scenario,
        endings=tuple(endings),
        drags=tuple(float(drag) for drag in storms.drag),
        peak=_seldom(storms.peak_load),
        anchor_peak=_seldom(storms.peak_anchor_load),
        lift=_seldom(storms.lift),
        room=_seldom(storms.room),
        drag=_seldom(storms.drag),
        parts=found,
    )


def _seldom(values: NDArray[np.float64]) -> Range:
    low, middle, high = (float(value) for value in np.quantile(values, [0.05, 0.5, 0.95]))
    return Range(middle, low, high)


def _range(values: list[float]) -> Range:
    return Range(float(np.median(values)), min(values), max(values))


def _of(count: int, watches: int) -> str:
    if watches == 1:
        return "the one watch tried"
    return f"all {watches} watches tried" if count == watches else f"{count} of {watches} watches tried"


def _length(metres: float, system: System) -> str:
    return show(quantity(metres, "m"), "m", system, 2)


def _span(span: Range, unit: str, base: str, system: System) -> str:
    """The middle and, where they differ, the ends."""
    middle, low, high = (show(quantity(v, base), unit, system, 2) for v in (span.middle, span.low, span.high))
    return middle if low == high else f"about {middle} ({low.split()[0]} to {high.split()[0]})"


def _list(found: Sequence[Part]) -> str:
    return " and ".join(f"the {part.name[0].lower()}{part.name[1:]}" for part in found)
