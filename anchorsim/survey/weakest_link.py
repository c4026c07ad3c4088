"""The weakest link: the strength left of each part, against what the spells put on it.

``appraise(scenario)`` gives an :class:`Appraisal`; ``scenario.survey.findings`` take strength, holding and
stretch away.  Loads are told twice: as she lies today, where an anchor that drags takes load off the gear,
and with an anchor that holds, which alone says what the gear must carry.
"""

from __future__ import annotations

import functools
from dataclasses import dataclass, replace

from anchorsim.core import arguments
from anchorsim.core.display import Drawn, Said, line
from anchorsim.core.units import si
from anchorsim.dynamics.anchor_travel import CREEPS_FROM
from anchorsim.numerics.interval import Interval
from anchorsim.risk.assessment import Assessment
from anchorsim.risk.monte_carlo import Spells, spells
from anchorsim.scenario.findings import Survey
from anchorsim.scenario.own_boat import ANSWERS
from anchorsim.scenario.scenario import Scenario
from anchorsim.scenario.site import ground
from anchorsim.strength.capacity import ALSO, PartState, loaded
from anchorsim.strength.degradation import Effect, State, as_found, described, states

COUNT = 8  # spells
_QUANTILES = (0.1, 0.5, 0.9)  # of the anchor's scatter: one of ten holds less, as many more as less, one more
_FAST = {"tackle.anchor.type": "fluke", "tackle.anchor.mass": "200 kg"}  # the best anchor there could be,
_SOLID = "firm sand"  # and the bottom in place of one that holds nothing
_MOVES_NOTHING: dict[str, object] = {
    "survey": None,
    "tackle.fittings": None,
    "title": "spells",
    **{f"boat.{name}": None for name in ("name", "type", "builder", "year", "hull_number", *ANSWERS)},
}


@dataclass(frozen=True)
class Appraisal(Said, Drawn):
    """What the gear as found adds up to.

    Attributes
    ----------
    scenario : Scenario
        With its survey, and the parts that findings speak of.
    parts, in_line : tuple of PartState
        All parts, from the anchor aft, loaded as with an anchor that holds; those that carry the load, the
        one nearest to breaking first.
    today : tuple of PartState
        The same parts as she lies today: an anchor that drags carries no more than it holds.
    counted : tuple of PartState
        Those in line that were recorded, the one nearest to breaking first; all where nothing was surveyed.
    holding : Interval
        Holding of the anchor as found, N along the bottom: what nine in ten hold, the median, and what one in
        ten holds.
    peak, today_peak : Interval
        Peak load at the bow while the anchor holds, and as she lies today, N.
    assessment : Assessment
        Of eight spells with the findings in force.
    ashore : tuple of Effect
        Findings on what is not in line, such as a second anchor.
    weakest, next_weakest, hardest_used, breaks_first : PartState
        Of those that count, the part with the smallest safety factor, the next (None where there is none);
        that with the highest load for its WLL; what breaks first as the load rises.
    unseen, unfit : tuple of PartState
        Parts not inspected, which are assumed as new, and parts not fit for use.
    not_recorded : tuple of str
        All parts of ground tackle that nobody looked at, found aboard or not.
    surveyed, empty, partial : bool
        Whether there is a survey; whether nothing was recorded in it; whether parts in line were not.
    nothing_in_line : bool
        Whether no part in line was recorded, so that the survey says nothing of what carries the load.
    drags : int
        In how many of the spells her anchor creeps or drags as she lies today.
    bow_load_at_break : Interval
        Load at the bow at which the gear breaks, N.
    anchor_drags_first, surely_drags_first : bool
        Whether the median anchor drags before anything breaks, and whether one that holds well does.

    Examples
    --------
    >>> appraise(Scenario())
    <Appraisal: weakest link Snubber at the bow roller, safety factor 13, scenario Unnamed scenario>
    """

    scenario: Scenario
    parts: tuple[PartState, ...]
    holding: Interval
    peak: Interval
    assessment: Assessment
    today: tuple[PartState, ...]
    ashore: tuple[Effect, ...]

    def __repr__(self) -> str:
        weakest = self.weakest
        facts = [("weakest link", weakest.name), ("safety factor", f"{weakest.safety_factor.likely:.2g}")]
        return line("Appraisal", [*facts, ("scenario", self.scenario.title)])

    @property
    def in_line(self) -> tuple[PartState, ...]:
        """The parts that carry the pull: what is cracked, then the one nearest to breaking first."""
        line = [part for part in self.parts if not part.spare]
        return tuple(sorted(line, key=lambda part: (not part.cracked, part.safety_factor.likely)))

    @property
    def surveyed(self) -> bool:
        """Whether there is a survey; without one the gear counts as it is described."""
        return self.scenario.survey != Survey()

    @property
    def empty(self) -> bool:
        """Whether nothing was recorded in the survey, so that it says nothing of the gear."""
        return self.surveyed and self.scenario.survey.empty

    @property
    def nothing_in_line(self) -> bool:
        """Whether there is a survey and no part in line was recorded: all that carries load is assumed."""
        return self.surveyed and all(part in self.unseen for part in self.in_line)

    @property
    def counted(self) -> tuple[PartState, ...]:
        """The parts in line that count: those recorded, and all where nothing was recorded of any."""
        seen = self.scenario.survey.seen if self.surveyed else ()
        return tuple(part for part in self.in_line if part.key in seen) or self.in_line

    @property
    def partial(self) -> bool:
        """Whether parts in line were not recorded in the survey."""
        return self.surveyed and any(part in self.unseen for part in self.in_line)

    @property
    def unseen(self) -> tuple[PartState, ...]:
        """The parts that were not inspected, which are assumed as new."""
        seen = self.scenario.survey.seen
        return tuple(part for part in self.parts if part.key not in seen)

    @property
    def not_recorded(self) -> tuple[str, ...]:
        """All parts of ground tackle that nobody looked at, found aboard or not."""
        return self.scenario.survey.unseen

    @property
    def drags(self) -> int:
        """In how many of the spells her anchor creeps or drags as she lies today."""
        return sum(outcome.si.drag >= CREEPS_FROM for outcome in self.assessment.outcomes)

    @property
    def today_peak(self) -> Interval:
        """Peak load at the bow as she lies today, N."""
        return self.assessment.peak_load

    @property
    def weakest(self) -> PartState:
        """The part with the smallest safety factor against breaking, of those that count."""
        return self.counted[0]

    @property
    def next_weakest(self) -> PartState | None:
        """The one that breaks once the weakest is renewed; None where no other counts."""
        return self.counted[1] if len(self.counted) > 1 else None

    @property
    def hardest_used(self) -> PartState:
        """The part with the highest load for its WLL."""
        return max(self.counted, key=lambda part: part.utilisation.likely)

    @property
    def breaks_first(self) -> PartState:
        """What breaks first as the load rises."""
        return min(self.counted, key=lambda part: part.bow_load_at_break.likely)

    @property
    def unfit(self) -> tuple[PartState, ...]:
        """Parts that are not fit for use until they are replaced or repaired."""
        return tuple(part for part in self.parts if part.unfit)

    @property
    def bow_load_at_break(self) -> Interval:
        """Load at the bow (N) at which the gear breaks."""
        pulls = [part.bow_load_at_break for part in self.counted]
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
    """Appraise the gear as found: the weakest link, and the strength left of each part.

    Parameters
    ----------
    scenario : Scenario
        With its survey.

    Returns
    -------
    Appraisal
        From eight spells with an anchor that holds.

    Raises
    ------
    ArgumentError
        Where it is not a scenario.
    ScenarioError, WindRecordError
        Where the scenario's surroundings or wind record do not fit.

    Notes
    -----
    An anchor that drags would take load off the gear, and make a poor anchor look like strong gear.  What a
    finding leaves of strength and holding is in ``data/findings.csv``, each row with its source.

    Examples
    --------
    >>> worn = Scenario().vary({"survey.findings": [
    ...     {"part": "chain", "kind": "chain link worn", "measured": "6.9 mm"},
    ... ]})
    >>> found = appraise(worn)
    >>> found.weakest.key, [part.key for part in found.unfit], found.anchor_drags_first
    ('chain', ['chain'], True)
    """
    arguments.instance("scenario", scenario, Scenario, "load one with Scenario.load")
    scenario = described(scenario)
    found, behaves = states(scenario), as_found(scenario)
    loads = Assessment(scenario, held(behaves))
    parts = loaded(scenario, loads.peak_load, loads.peak_anchor_load)
    known = {part.key for part in parts} | {key for also in ALSO.values() for key in also}
    ashore = tuple(effect for key, state in found.items() if key not in known for effect in state.effects)
    left = found.get("anchor", State()).holding
    as_she_lies = Assessment(scenario, watched(behaves))
    today = loaded(scenario, as_she_lies.peak_load, as_she_lies.peak_anchor_load)
    return Appraisal(scenario, parts, _holding(scenario) * left, loads.peak_load, as_she_lies, today, ashore)


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
    key = behaves.vary(_MOVES_NOTHING)
    found = spells(key, COUNT) if key.record_path is not None else _kept(key)
    return replace(found, scenario=behaves)


@functools.lru_cache(maxsize=128)
def _kept(behaves: Scenario) -> Spells:
    return spells(behaves, COUNT)


__all__ = ["Appraisal", "appraise"]
