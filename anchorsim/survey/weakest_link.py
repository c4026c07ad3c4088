"""The weakest link: what each part of the tackle still stands, against what the spells put on it.

``appraise(scenario)`` gives an :class:`Appraisal`; ``scenario.survey.findings`` take strength, holding and
stretch away.  The loads are those of eight spells with an anchor that
holds: one that drags would spare the tackle, and make a poor anchor look like strong gear.
"""

from __future__ import annotations

import functools
from dataclasses import dataclass, replace

from anchorsim.core.units import System, quantity, show, si
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
class Appraisal:
    """What the tackle as found comes to.

    ``parts`` run from the anchor aft.  ``holding`` is that of the anchor as found, N along the bottom, which
    one anchor in ten falls short of, the middling one, and that one in ten passes; ``peak`` (N) the greatest
    pull at the bow while the anchor holds; ``assessment`` that of the spells with the findings in force.
    ``ashore`` holds findings on what is not in line, such as a second anchor.
    """

    scenario: Scenario
    parts: tuple[PartState, ...]
    holding: Interval
    peak: Interval
    assessment: Assessment
    ashore: tuple[Effect, ...]

    @property
    def in_line(self) -> tuple[PartState, ...]:
        """The parts that carry the pull, the one nearest to breaking first."""
        line = [part for part in self.parts if not part.spare]
        return tuple(sorted(line, key=lambda part: part.safety_factor.likely))

    @property
    def unseen(self) -> tuple[PartState, ...]:
        """The parts that the survey says nothing of, which are taken to be sound."""
        seen = self.scenario.survey.seen
        return tuple(part for part in self.parts if part.key not in seen)

    @property
    def weakest(self) -> PartState:
        """The part with the smallest safety factor against breaking."""
        return self.in_line[0]

    @property
    def next_weakest(self) -> PartState:
        """The one that gives once the weakest is made good."""
        return self.in_line[1]

    @property
    def hardest_used(self) -> PartState:
        """The part that is nearest to, or farthest past, its working load."""
        return max(self.in_line, key=lambda part: part.utilisation.likely)

    @property
    def breaks_first(self) -> PartState:
        """What breaks first as the pull grows."""
        return min(self.in_line, key=lambda part: part.bow_load_at_break.likely)

    @property
    def condemned(self) -> tuple[PartState, ...]:
        """Parts that must not be lain to until they are replaced."""
        return tuple(part for part in self.parts if part.condemned)

    @property
    def bow_load_at_break(self) -> Interval:
        """Pull at the bow (N) at which the tackle breaks."""
        pulls = [part.bow_load_at_break for part in self.in_line]
        return functools.reduce(Interval.least, pulls)

    @property
    def anchor_drags_first(self) -> bool:
        """Whether a middling anchor drags before anything breaks, as it should: UFC 4-159-03 Table 3-18.

        The holding is that along the bottom, the most it can be, and is set against the pull at the bow.
        """
        return self.holding.likely < self.bow_load_at_break.likely

    @property
    def surely_drags_first(self) -> bool:
        """The same with an anchor that holds well and the weakest that the parts may be."""
        return self.holding.high < self.bow_load_at_break.low

    def part(self, key: str) -> PartState:
        """A part by its name in ``data/parts.csv``.  Raises KeyError where it is not in line."""
        for part in self.parts:
            if part.key == key:
                return part
        raise KeyError(key)

    def sentence(self, system: System = "metric") -> str:
        """The weakest link, the next, and what happens if the tackle is overloaded, in plain words."""
        weakest, other, first = self.weakest, self.next_weakest, self.breaks_first
        load, low, likely, high = (
            show(quantity(load, "N"), "kN", system, 2)
            for load in (weakest.load.likely, *weakest.strength_left)
        )
        spread = "" if low == high else f" ({low} to {high})"
        barred = " and ".join(f"the {_lower(part.name)}" for part in self.condemned)
        text = f"Do not lie to {barred} until that is put right. " if barred else ""
        text += (
            f"The weakest link is the {_lower(weakest.name)}: about {load} comes on it at the hardest while "
            "the anchor holds, and it "
            f"breaks at about {likely}{spread}, {_times(weakest)} its load. "
            f"Next is the {_lower(other.name)}, which breaks at {_times(other)} its load."
        )
        pull = show(quantity(self.bow_load_at_break.likely, "N"), "kN", system, 2)
        drags = show(quantity(self.holding.likely, "N"), "kN", system, 2)
        if self.anchor_drags_first:
            surely = "" if self.surely_drags_first else ", though an anchor that holds well may not"
            return f"{text} Overloaded, the anchor drags at about {drags} before anything breaks{surely}."
        return (
            f"{text} Overloaded, the {_lower(first.name)} breaks at about {pull}, before the anchor drags at "
            f"about {drags}: the anchor should drag first."
        )


def appraise(scenario: Scenario) -> Appraisal:
    """The weakest link of a scenario's gear as it was found, from the spells with an anchor that holds."""
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


def _times(part: PartState) -> str:
    return f"{part.safety_factor.likely:.2g} times"


def _lower(text: str) -> str:
    return f"{text[:1].lower()}{text[1:]}"


__all__ = ["Appraisal", "appraise"]
