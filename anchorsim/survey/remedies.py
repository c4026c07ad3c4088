"""Remedies: what is to be done about findings and misfits, each as a change of the scenario.

A part that is renewed takes with it all that was found on the old one; a condemned chain is renewed and
nothing else is done to it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from anchorsim.core.units import Quantity, parse, quantity, si
from anchorsim.scenario.findings import Finding, Survey
from anchorsim.scenario.scenario import Scenario
from anchorsim.strength.compatibility import URGENCIES, Misfit, Urgency, misfits, recorded
from anchorsim.strength.degradation import WITH_CHAIN, Effect, all_findings, effect
from anchorsim.survey.suitability import suitability_of

FINDINGS = "survey.findings"
_SNUBBER, _LENGTH = "tackle.snubber.length", "tackle.chain.length"
_ROPE_HELD = "tackle.fittings.windlass.rope_held_by"
_BUILT_IN = ("lead", "strong point")
_QUICK = ("bitter end not secured", "bitter end cannot be slipped", "swivel reversed")  # a matter of minutes


@dataclass(frozen=True)
class Remedy:
    """One thing to do.

    ``changes`` are (path, value) for :meth:`Scenario.vary`, empty where the benefit cannot be calculated.
    ``effects`` are the findings that it answers, ``misfit`` what does not fit; it has one of them or both.
    ``jobs`` are those of the findings whose remedy is to be done; ``chain`` is the new chain where a
    condemned one is renewed: size, grade and length in m.  ``source`` and ``kind`` say where the judgement
    comes from.
    """

    part: str
    urgency: Urgency
    changes: tuple[tuple[str, Any], ...]
    effects: tuple[Effect, ...]
    jobs: tuple[Finding, ...]
    misfit: Misfit | None
    source: str
    kind: str
    chain: tuple[Quantity, int, float] | None = field(default=None, kw_only=True)

    @property
    def key(self) -> str:
        """What time and cost are kept by: its part, and what does not fit or the first finding answered."""
        about = self.misfit.rule if self.misfit and not self.chain else self.effects[0].finding.kind
        return f"{self.part}: {about}"

    @property
    def worn_out(self) -> bool:
        """Whether a measurement is past its limit, so that the part must be renewed."""
        return any(entry.worn_out for entry in self.effects)

    @property
    def quick(self) -> bool:
        """Whether it takes minutes and next to nothing: a mousing, a lashing."""
        if self.misfit is not None:
            return self.misfit.rule in _QUICK
        return all(job.row().get("quick") == "yes" for job in self.jobs)

    def numbers(self, survey: Survey) -> tuple[int, ...]:
        """The numbers of the findings that it answers: their places in the survey, from 1."""
        answered = [entry.finding for entry in self.effects]
        return tuple(place for place, finding in enumerate(survey.findings, 1) if finding in answered)

    def apply(self, scenario: Scenario) -> Scenario:
        """The ``scenario`` with this done; what was found meanwhile on other parts stays.

        A measurement within its limit stays too: nothing was done but to watch it.  The parts of what is done
        were looked at.
        """
        done = {entry.finding for entry in self.effects if self.chain or not entry.watched}
        changes: dict[str, Any] = {path: value for path, value in self.changes if path != FINDINGS}
        if done:
            changes[FINDINGS] = tuple(found for found in scenario.survey.findings if found not in done)
            changes["survey.looked_at"] = scenario.survey.seen
        if self.chain:
            changes["survey.log.times_regalvanised"] = 0.0
        return scenario.vary(changes)


def remedies(scenario: Scenario) -> list[Remedy]:
    """One remedy for each finding and misfit, but one only for all that is wrong with a part renewed."""
    found = {entry: effect(scenario, entry) for entry in dict.fromkeys(all_findings(scenario))}
    logged = [entry for entry in found if entry not in scenario.survey.findings]
    wrong = [*recorded(scenario, [*misfits(scenario), *suitability_of(scenario).misfits])]
    wrong = [entry for entry in wrong if not told_by_finding(scenario, entry)]
    every = [found[entry] for entry in found if found[entry].unfit or entry not in logged]
    given: list[Remedy] = []
    if any(entry.finding.part == "chain" and entry.renews for entry in every):
        given.append(_new_chain(scenario, every, wrong))
        every = [entry for entry in every if entry.finding.part not in WITH_CHAIN]
        wrong = [entry for entry in wrong if entry.part not in WITH_CHAIN]
    for misfit in wrong:
        here = [entry for entry in every if _goes_with(misfit, entry)]
        every = [entry for entry in every if entry not in here]
        given.append(_of_misfit(scenario, misfit, here))
    for part in dict.fromkeys(entry.finding.part for entry in every):
        given += _of_part(scenario, part, [entry for entry in every if entry.finding.part == part])
    return given


def _goes_with(misfit: Misfit, found: Effect) -> bool:
    """Whether a finding goes with a part that is replaced; of what is built in, its deck and edges stay."""
    if not misfit.renews or found.finding.part != misfit.part:
        return False
    return misfit.part not in _BUILT_IN or found.finding.row()["clears"] == "part"


def _new_chain(scenario: Scenario, every: Sequence[Effect], wrong: Sequence[Misfit]) -> Remedy:
    """A condemned chain is renewed, in one length and long enough: nothing else is done to it."""
    chain, link = scenario.tackle.chain, "tackle.fittings.joining_link.kind"
    effects = [entry for entry in every if entry.finding.part in WITH_CHAIN]
    longer = [entry for entry in wrong if any(path == _LENGTH for path, _ in entry.changes)]
    lengths = [si(parse(str(dict(entry.changes)[_LENGTH]))) for entry in longer]
    length = max([si(chain.length), *lengths])
    changes = ((_LENGTH, quantity(length, "m")), (link, "none"))
    first = sorted(effects, key=lambda entry: not (entry.renews and entry.finding.part == "chain"))
    made = _remedy(scenario, "chain", first, first)
    new, short = (chain.size, chain.grade, length), next(iter(longer), None)
    return replace(made, changes=(*made.changes[:1], *changes), chain=new, misfit=short)


def _of_misfit(scenario: Scenario, misfit: Misfit, effects: Sequence[Effect]) -> Remedy:
    """What does not fit, with all that was found on the part where it is replaced."""
    urgency = min(URGENCIES.index(each) for each in (misfit.urgency, *map(_urgency, effects)))
    kinds = dict.fromkeys((misfit.source, *(entry.finding.row().source for entry in effects)))
    given = (misfit.changes, tuple(effects), (), misfit, "; ".join(kinds), misfit.kind)
    return Remedy(misfit.part, URGENCIES[urgency], *given)


def _of_part(scenario: Scenario, part: str, effects: Sequence[Effect]) -> Iterator[Remedy]:
    """One remedy for each finding, but one for all that a renewal answers; a quick job before it stands."""
    renewing = [entry for entry in effects if _renewing(entry)]
    if not renewing:
        yield from (_remedy(scenario, part, [entry], [entry]) for entry in effects)
        return
    due = min(URGENCIES.index(_urgency(entry)) for entry in renewing)
    apart = [
        entry
        for entry in effects
        if entry.finding.row().get("quick") == "yes" and URGENCIES.index(_urgency(entry)) < due
    ]
    yield from (_remedy(scenario, part, [entry], [entry]) for entry in apart)
    yield _remedy(scenario, part, [entry for entry in effects if entry not in apart], renewing)


def _renewing(entry: Effect) -> bool:
    return entry.finding.row()["clears"] == "part" and not entry.watched


def _remedy(scenario: Scenario, part: str, effects: Sequence[Effect], jobs: Sequence[Effect]) -> Remedy:
    """One remedy for some findings on a part; the jobs are those of the most urgent among ``jobs``."""
    rows = [entry.finding.row() for entry in effects]
    urgency = min(URGENCIES.index(_urgency(entry)) for entry in effects)
    unfit = [entry for entry in jobs if entry.unfit]
    answered = [entry.finding for entry in effects]
    left = tuple(entry for entry in scenario.survey.findings if entry not in answered)
    changes = dict(change for row in rows for change in _changes(scenario, row.get("change", "")))
    return Remedy(
        part=part,
        urgency=URGENCIES[urgency],
        changes=((FINDINGS, left), *changes.items()),
        effects=tuple(effects),
        jobs=tuple(entry.finding for entry in unfit or jobs),
        misfit=None,
        source="; ".join(dict.fromkeys(row.source for row in rows)),
        kind=(unfit or list(jobs))[0].finding.row().kind,
    )


def _urgency(found: Effect) -> Urgency:
    return next(entry for entry in URGENCIES if entry == found.urgency)


def _changes(scenario: Scenario, text: str) -> Iterator[tuple[str, Any]]:
    """The changes that a row of the table names, for the rode aboard; a snubber there stays as it is."""
    rope = si(scenario.tackle.rope.length) > 0
    for entry in filter(None, text.split("; ")):
        path, _, value = entry.partition(" = ")
        if path == _SNUBBER and (rope or si(scenario.tackle.snubber.length) > 0):
            continue
        if path == _ROPE_HELD and not rope:
            continue
        yield path, {"true": True, "false": False}.get(value, value)


def told_by_finding(scenario: Scenario, misfit: Misfit) -> bool:
    """Whether a finding says a misfit already: its remedy makes the same changes."""
    said = {
        change
        for entry in scenario.survey.findings
        for change in _changes(scenario, entry.row().get("change", ""))
    }
    return bool(misfit.changes) and set(misfit.changes) <= said
