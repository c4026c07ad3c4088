"""The weakest link: what each part of the tackle still stands, against what the watches put on it.

``appraise(scenario)`` gives an :class:`Appraisal`; ``scenario.survey.findings`` take strength, holding and
stretch away.  The loads are those of the fixed set of watches of :mod:`anchorsim.verdict` with an anchor that
holds: one that drags would spare the tackle, and make a poor anchor look like strong gear.
"""

from __future__ import annotations

import functools
import math
from collections.abc import Sequence
from dataclasses import dataclass

from anchorsim.condition import WHOLE, Effect, Share, State, behaving, described, state_of, states
from anchorsim.gear import GearPart, gear
from anchorsim.scenario import Scenario
from anchorsim.seabed import ground
from anchorsim.swing import Run, simulate
from anchorsim.units import System, quantity, show, si
from anchorsim.verdict import SEEDS, Range, Verdict, judge

_QUANTILES = (0.1, 0.5, 0.9)  # of the anchor's scatter: one of ten holds less, as many more as less, one more
_FAST = {"tackle.anchor.type": "fluke", "tackle.anchor.mass": "200 kg"}  # the best anchor there could be,
_BEST = 1.0 - 1e-12  # where it lies in its scatter,
_SOLID = "firm sand"  # and the bottom in place of one that holds nothing
_ALSO = {"windlass": ("gypsy",), "bitter end": ("locker",)}  # parts whose findings weaken another


@dataclass(frozen=True)
class PartState:
    """A part in line with its load and what it still stands, N, each low, likely and high.

    ``sound`` is the part as its table has it, ``working`` and ``breaking`` what the findings leave of that.
    """

    sound: GearPart
    load: Share
    working: Share
    breaking: Share
    effects: tuple[Effect, ...]
    condemned: bool

    @property
    def key(self) -> str:
        """Its name in ``data/parts.csv``."""
        return self.sound.key

    @property
    def name(self) -> str:
        """What it is called on screen and in a report."""
        return self.sound.name

    @property
    def spare(self) -> bool:
        """Whether it carries nothing unless all of the rode runs out."""
        return self.sound.carries == "if all runs out"

    @property
    def utilisation(self) -> Share:
        """Load over what is left of the working load; 1 is fully used."""
        return _over(self.load, self.working)

    @property
    def safety_on_working(self) -> Share:
        """What is left of the working load over the load."""
        return _over(self.working, self.load)

    @property
    def safety_on_breaking(self) -> Share:
        """What is left of the breaking load over the load."""
        return _over(self.breaking, self.load)

    @property
    def breaking_pull(self) -> Share:
        """Pull at the bow (N) at which it breaks; infinite where the chain behind a snubber spares it."""
        if self.sound.carries == "behind the snubber":
            return Share(*(self.sound.most + load for load in self.breaking))
        return Share(*(load if load <= self.sound.most else math.inf for load in self.breaking))


@dataclass(frozen=True)
class Appraisal:
    """What the tackle as found comes to.

    ``parts`` run from the anchor aft.  ``holding`` is that of the anchor as found, N along the bottom, which
    one anchor in ten falls short of, the middling one, and that one in ten passes; ``peak`` (N) the greatest
    pull at the bow while the anchor holds; ``verdict`` that of the watches with the findings in force.
    ``ashore`` holds findings on what is not in line, such as a second anchor.
    """

    scenario: Scenario
    parts: tuple[PartState, ...]
    holding: Share
    peak: Share
    verdict: Verdict
    ashore: tuple[Effect, ...]

    @property
    def in_line(self) -> tuple[PartState, ...]:
        """The parts that carry the pull, the one nearest to breaking first."""
        line = [part for part in self.parts if not part.spare]
        return tuple(sorted(line, key=lambda part: part.safety_on_breaking.likely))

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
        return min(self.in_line, key=lambda part: part.breaking_pull.likely)

    @property
    def condemned(self) -> tuple[PartState, ...]:
        """Parts that must not be lain to until they are replaced."""
        return tuple(part for part in self.parts if part.condemned)

    @property
    def breaking_pull(self) -> Share:
        """Pull at the bow (N) at which the tackle breaks."""
        pulls = [part.breaking_pull for part in self.in_line]
        return functools.reduce(Share.worst, pulls)

    @property
    def anchor_drags_first(self) -> bool:
        """Whether a middling anchor drags before anything breaks, as it should: UFC 4-159-03 Table 3-18.

        The holding is that along the bottom, the most it can be, and is set against the pull at the bow.
        """
        return self.holding.likely < self.breaking_pull.likely

    @property
    def surely_drags_first(self) -> bool:
        """The same with an anchor that holds well and the weakest that the parts may be."""
        return self.holding.high < self.breaking_pull.low

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
            show(quantity(load, "N"), "kN", system, 2) for load in (weakest.load.likely, *weakest.breaking)
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
        pull = show(quantity(self.breaking_pull.likely, "N"), "kN", system, 2)
        drags = show(quantity(self.holding.likely, "N"), "kN", system, 2)
        if self.anchor_drags_first:
            surely = "" if self.surely_drags_first else ", though an anchor that holds well may not"
            return f"{text} Overloaded, the anchor drags at about {drags} before anything breaks{surely}."
        return (
            f"{text} Overloaded, the {_lower(first.name)} breaks at about {pull}, before the anchor drags at "
            f"about {drags}: the anchor should drag first."
        )


def appraise(scenario: Scenario, runs: Sequence[Run] | None = None) -> Appraisal:
    """The weakest link of a scenario's tackle as it was found.

    ``runs``: watches to take the loads from, in place of the fixed set with an anchor that holds.
    """
    scenario = described(scenario)
    found = states(scenario)
    behaves = behaving(scenario, found)
    loads = held(behaves) if runs is None else judge(behaves, runs)
    bow = _share(loads.peak)
    parts = loaded(scenario, bow, _share(loads.anchor_peak))
    known = {part.key for part in parts} | {key for also in _ALSO.values() for key in also}
    ashore = tuple(effect for key, state in found.items() if key not in known for effect in state.effects)
    left = found.get("anchor", State()).holding
    return Appraisal(scenario, parts, _holding(scenario) * left, bow, watched(behaves), ashore)


def loaded(scenario: Scenario, bow: Share, anchor: Share) -> tuple[PartState, ...]:
    """The parts as found, from the anchor aft, under pulls at the bow and at the anchor (N)."""
    scenario = described(scenario)
    found = states(scenario)
    sound = gear(behaving(scenario, found).vary({"tackle.anchor": scenario.tackle.anchor}))
    return tuple(_part(entry, found, bow, anchor) for entry in sound)


def _part(entry: GearPart, found: dict[str, State], bow: Share, anchor: Share) -> PartState:
    own = [found[key] for key in (entry.key, *_ALSO.get(entry.key, ())) if key in found]
    through = [effect for effect in found.get(entry.made_of, State()).effects if effect.throughout]
    bearing = [*own, *([state_of(through)] if through else [])]
    left = functools.reduce(Share.__mul__, (state.strength for state in bearing), WHOLE)
    return PartState(
        sound=entry,
        load=Share(*(entry.load(pull, low) for pull, low in zip(bow, anchor, strict=True))),
        working=entry.working * left,
        breaking=entry.breaking * left,
        effects=tuple(effect for state in bearing for effect in state.effects),
        condemned=any(state.condemned for state in own),
    )


def _holding(scenario: Scenario) -> Share:
    anchor, bottom = scenario.tackle.anchor, scenario.spot.bottom
    return Share(*(ground(anchor.type, si(anchor.mass), bottom, share).holding for share in _QUANTILES))


def watched(behaves: Scenario) -> Verdict:
    """The verdict of the fixed set of watches, run once for each way of behaving."""
    if behaves.record_path is not None:  # the record's file may have changed
        return judge(behaves)
    return _known_watched(_key(behaves))


def held(behaves: Scenario) -> Verdict:
    """The verdict of the same gusts with an anchor that does not drag, whatever hers is."""
    changes: dict[str, object] = dict(_FAST)
    if ground("fluke", 1.0, behaves.spot.bottom).holding == 0:
        changes["spot.bottom"] = _SOLID
    fast = behaves.vary(changes)
    return _fast(fast) if fast.record_path is not None else _known_held(_key(fast))


def _key(behaves: Scenario) -> Scenario:
    """The scenario without what its motion does not read."""
    return behaves.vary({"survey": None, "tackle.fittings": None, "title": "watches"})


def _fast(behaves: Scenario) -> Verdict:
    return judge(behaves, [simulate(behaves, seed=seed, holding_quantile=_BEST) for seed in SEEDS])


_known_watched = functools.lru_cache(maxsize=64)(judge)
_known_held = functools.lru_cache(maxsize=64)(_fast)


def _share(span: Range) -> Share:
    return Share(span.low, span.middle, span.high)


def _over(above: Share, below: Share) -> Share:
    """One over another: the low over the high, the likely over the likely, the high over the low."""
    return Share(
        _ratio(above.low, below.high), _ratio(above.likely, below.likely), _ratio(above.high, below.low)
    )


def _ratio(above: float, below: float) -> float:
    if below > 0:
        return above / below
    return math.inf if above > 0 else 0.0


def _times(part: PartState) -> str:
    return f"{part.safety_on_breaking.likely:.2g} times"


def _lower(text: str) -> str:
    return f"{text[:1].lower()}{text[1:]}"


__all__ = ["Appraisal", "PartState", "Share", "appraise"]
