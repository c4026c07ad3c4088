"""The weakest link: the strength left of each part, against what the spells put on it.

``appraise(scenario)`` gives an :class:`Appraisal`; ``scenario.survey.findings`` take strength, holding and
stretch away.  The loads are those of eight spells with an anchor that holds: one that drags would take load
off the gear, and make a poor anchor look like strong gear.
"""

from __future__ import annotations

import functools
from dataclasses import dataclass, replace

from anchorsim.core import arguments
from anchorsim.core.display import Drawn, Said, line
from anchorsim.core.units import si
from anchorsim.numerics.interval import Interval
from anchorsim.risk.assessment import Assessment
from anchorsim.risk.monte_carlo import Spells, spells
from anchorsim.scenario.scenario import Scenario
from anchorsim.scenario.site import ground
from anchorsim.strength.capacity import ALSO, PartState, loaded
from anchorsim.strength.degradation import Effect, State, as_found, described, states

COUNT = 8  # spells
_QUANTILES = (0.1, 0.5, 0.9)  # of the anchor's scatter: one of ten holds less, as many more as less, one more
_FAST = {"tackle.anchor.type": "fluke", "tackle.anchor.mass": "200 kg"}  # the best anchor there could be,
_SOLID = "firm sand"  # and the bottom in place of one that holds nothing


@dataclass(frozen=True)
class Appraisal(Said, Drawn):
    """What the gear as found adds up to.

    ``parts`` run from the anchor aft.  ``holding`` is that of the anchor as found, N along the bottom, which
    nine in ten hold, the median, and which one in ten holds; ``peak`` (N) the peak load at the bow while the
    anchor holds; ``assessment`` that of the spells with the findings in force.
    ``ashore`` holds findings on what is not in line, such as a second anchor.
    """

    scenario: Scenario
    parts: tuple[PartState, ...]
    holding: Interval
    peak: Interval
    assessment: Assessment
    ashore: tuple[Effect, ...]

    def __repr__(self) -> str:
        weakest = self.weakest
        facts = [("weakest link", weakest.name), ("safety factor", f"{weakest.safety_factor.likely:.2g}")]
        return line("Appraisal", [*facts, ("scenario", self.scenario.title)])

    @property
    def in_line(self) -> tuple[PartState, ...]:
        """The parts that carry the pull, the one nearest to breaking first."""
        line = [part for part in self.parts if not part.spare]
        return tuple(sorted(line, key=lambda part: part.safety_factor.likely))

    @property
    def unseen(self) -> tuple[PartState, ...]:
        """The parts that were not inspected, which are assumed as new."""
        seen = self.scenario.survey.seen
        return tuple(part for part in self.parts if part.key not in seen)

    @property
    def weakest(self) -> PartState:
        """The part with the smallest safety factor against breaking."""
        return self.in_line[0]

    @property
    def next_weakest(self) -> PartState:
        """The one that breaks once the weakest is renewed."""
        return self.in_line[1]

    @property
    def hardest_used(self) -> PartState:
        """The part with the highest load for its WLL."""
        return max(self.in_line, key=lambda part: part.utilisation.likely)

    @property
    def breaks_first(self) -> PartState:
        """What breaks first as the load rises."""
        return min(self.in_line, key=lambda part: part.bow_load_at_break.likely)

    @property
    def unfit(self) -> tuple[PartState, ...]:
        """Parts that are not fit for use until they are replaced or repaired."""
        return tuple(part for part in self.parts if part.unfit)

    @property
    def bow_load_at_break(self) -> Interval:
        """Load at the bow (N) at which the gear breaks."""
        pulls = [part.bow_load_at_break for part in self.in_line]
        return functools.reduce(Interval.least, pulls)

    @property
    def anchor_drags_first(self) -> bool:
        """Whether a median anchor drags before anything breaks, as it should: UFC 4-159-03 Table 3-18.

        The holding is that along the bottom, the most it can be, and is set against the pull at the bow.
        """
        return self.holding.likely < self.bow_load_at_break.likely

    @property
    def surely_drags_first(self) -> bool:
        """The same with an anchor that holds well and the weakest that the parts may be."""
        return self.holding.high < self.bow_load_at_break.low

    def part(self, key: str) -> PartState:
        """A part by its ``key`` in ``data/parts.csv``.  Raises ArgumentError where it is not in line."""
        found = {part.key: part for part in self.parts}
        return found[arguments.one_of("key", key, list(found))]


def appraise(scenario: Scenario) -> Appraisal:
    """The weakest link and the strength left of each part as found, from spells with an anchor that holds."""
    scenario = described(scenario)
    found, behaves = states(scenario), as_found(scenario)
    loads = Assessment(scenario, held(behaves))
    parts = loaded(scenario, loads.peak_load, loads.peak_anchor_load)
    known = {part.key for part in parts} | {key for also in ALSO.values() for key in also}
    ashore = tuple(effect for key, state in found.items() if key not in known for effect in state.effects)
    left = found.get("anchor", State()).holding
    as_she_lies = Assessment(scenario, watched(behaves))
    return Appraisal(scenario, parts, _holding(scenario) * left, loads.peak_load, as_she_lies, ashore)


def _holding(scenario: Scenario) -> Interval:
    anchor, bottom = scenario.tackle.anchor, scenario.spot.bottom
    return Interval(*(ground(anchor.type, si(anchor.mass), bottom, share).holding for share in _QUANTILES))


def watched(behaves: Scenario) -> Spells:
    """The spells as she lies, run once for each way of behaving."""
    return _known(behaves)


def held(behaves: Scenario) -> Spells:
    """The same gusts with an anchor that does not drag, whatever hers is."""
    changes: dict[str, object] = dict(_FAST)
    if ground("fluke", 1.0, behaves.spot.bottom).holding == 0:
        changes["spot.bottom"] = _SOLID
    return _known(behaves.vary(changes))


def _known(behaves: Scenario) -> Spells:
    """What was found before, but with a record of wind, whose file may have changed."""
    key = behaves.vary({"survey": None, "tackle.fittings": None, "title": "spells"})  # moves nothing
    found = spells(key, COUNT) if key.record_path is not None else _kept(key)
    return replace(found, scenario=behaves)


@functools.lru_cache(maxsize=128)
def _kept(behaves: Scenario) -> Spells:
    return spells(behaves, COUNT)


__all__ = ["Appraisal", "appraise"]
