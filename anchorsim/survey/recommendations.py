"""Recommendations: each finding's remedy and each misfit as a change of the scenario, run before and after.

``recommendations(scenario)`` gives them in the order in which they must be done: before use, this season, at
leisure.  Before and after are the same spells, with the same gusts.
"""

from __future__ import annotations

import contextlib
import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from anchorsim.core import arguments
from anchorsim.core.display import Said, line
from anchorsim.core.tables import table
from anchorsim.core.units import si
from anchorsim.dynamics.anchor_travel import CREEPS_FROM
from anchorsim.scenario.findings import Finding
from anchorsim.scenario.scenario import Scenario, ScenarioError
from anchorsim.strength.compatibility import URGENCIES, Misfit, Urgency, misfits
from anchorsim.strength.degradation import Effect, described, effect
from anchorsim.survey.suitability import suitability_of
from anchorsim.survey.weakest_link import Appraisal, appraise

_FINDINGS = "survey.findings"
_SNUBBER = "tackle.snubber.length"


@dataclass(frozen=True)
class Figures:
    """Key figures of an appraisal, SI floats.

    ``utilisation`` and ``safety`` (against breaking) are those of the part that a recommendation is about,
    nan where that is not in line; ``weakest`` and ``weakest_safety`` of the weakest link; ``peak`` (N) the
    median peak load at the bow while the anchor holds; ``holding`` that of the median anchor, N along the
    bottom; ``drags`` in how many of ``spells`` spells the anchor creeps or drags.
    """

    utilisation: float
    safety: float
    weakest: str
    weakest_safety: float
    peak: float
    holding: float
    drags: int
    spells: int


@dataclass(frozen=True)
class Remedy:
    """One thing to do.

    ``changes`` are (path, value) for :meth:`Scenario.vary`, empty where the benefit cannot be calculated.
    ``effects`` are the findings that it answers, and ``misfit`` what does not fit; it has one or the other.
    ``jobs`` are those of the findings whose remedy is to be done; ``source`` and ``kind`` say where the
    judgement comes from.
    """

    part: str
    urgency: Urgency
    changes: tuple[tuple[str, Any], ...]
    effects: tuple[Effect, ...]
    jobs: tuple[Finding, ...]
    misfit: Misfit | None
    source: str
    kind: str

    @property
    def worn_out(self) -> bool:
        """Whether a measurement is past its limit, so that the part must be renewed at once."""
        return any(entry.unfit and entry.measured for entry in self.effects)

    def apply(self, scenario: Scenario) -> Scenario:
        """The ``scenario`` with this done; what was found meanwhile on other parts stays."""
        done = {entry.finding for entry in self.effects}
        changes: dict[str, Any] = {path: value for path, value in self.changes if path != _FINDINGS}
        if done:
            changes[_FINDINGS] = tuple(found for found in scenario.survey.findings if found not in done)
        return scenario.vary(changes)


@dataclass(frozen=True)
class Recommendation(Remedy, Said):
    """One thing to do, and its benefit.

    Attributes
    ----------
    part : str
        What it is done to, a key of ``data/parts.csv``.
    urgency : {"before use", "this season", "at leisure"}
        When it must be done.
    changes : tuple of (str, value)
        Paths and values for :meth:`Scenario.vary`; empty where the benefit cannot be calculated.
    effects : tuple of Effect
        The findings that it answers.
    jobs : tuple of Finding
        Those whose remedy is to be done.
    misfit : Misfit or None
        What does not fit; it has this or ``effects``.
    source, kind : str
        Where the judgement comes from.
    before, after : Figures
        Key figures of the appraisal without and with it: ``utilisation`` and ``safety`` of the part,
        ``weakest_safety``, ``peak`` (N), ``holding`` (N), and in how many of ``spells`` the anchor ``drags``.
    worn_out, helps : bool
        Whether a measurement is past its limit; whether a key figure changes for the better.

    Examples
    --------
    >>> recommendations(Scenario())[0]
    <Recommendation: part second anchor, for no second anchor, due this season>
    """

    before: Figures
    after: Figures

    def __repr__(self) -> str:
        what = self.misfit.rule if self.misfit else " and ".join(one.finding.kind for one in self.effects)
        return line("Recommendation", [("part", self.part), ("for", what), ("due", self.urgency)])

    @property
    def helps(self) -> bool:
        """Whether a key figure changes for the better."""
        first, then = self.before, self.after
        more = (
            (then.weakest_safety, first.weakest_safety),
            (then.safety, first.safety),
            (then.holding, first.holding),
            (first.drags, then.drags),
            (first.peak, then.peak),
        )
        return any(better > worse * (1 + 1e-9) for better, worse in more)


def recommendations(scenario: Scenario) -> tuple[Recommendation, ...]:
    """Recommend what to do about the findings and about what does not fit.

    Parameters
    ----------
    scenario : Scenario
        With its survey.

    Returns
    -------
    tuple of Recommendation
        The most urgent first, and among equals the one with the largest benefit.

    Raises
    ------
    ArgumentError
        Where it is not a scenario.
    ScenarioError, WindRecordError
        Where the scenario's surroundings or wind record do not fit.

    Examples
    --------
    >>> worn = Scenario().vary({"survey.findings": [
    ...     {"part": "chain", "kind": "chain link worn", "measured": "6.9 mm"},
    ... ]})
    >>> [(entry.part, entry.urgency) for entry in recommendations(worn)]
    [('chain', 'before use'), ('second anchor', 'this season')]
    """
    arguments.instance("scenario", scenario, Scenario, "load one with Scenario.load")
    scenario = described(scenario)
    before = appraise(scenario)
    remedies = [*_from_findings(scenario), *_from_misfits(scenario)]
    found = [_weighed(scenario, before, remedy) for remedy in remedies]
    order = {str(row["part"]): place for place, row in enumerate(table("parts"))}
    return tuple(
        sorted(found, key=lambda entry: (URGENCIES.index(entry.urgency), -_gain(entry), order[entry.part]))
    )


def all_done(scenario: Scenario, found: Iterable[Recommendation] | None = None) -> Scenario:
    """The scenario with every recommendation done, or those given.

    One that cannot be done any more after those before it, which are more urgent, is left out.
    """
    every = recommendations(scenario) if found is None else found
    done = described(scenario)
    for entry in every:
        with contextlib.suppress(ScenarioError):
            done = entry.apply(done)
    return done


def figures(found: Appraisal, part: str = "") -> Figures:
    """The key figures of an appraisal, with those of a part."""
    entry = next((entry for entry in found.parts if entry.key == part), None)
    return Figures(
        utilisation=entry.utilisation.likely if entry else math.nan,
        safety=entry.safety_factor.likely if entry else math.nan,
        weakest=found.weakest.name,
        weakest_safety=found.weakest.safety_factor.likely,
        peak=found.peak.likely,
        holding=found.holding.likely,
        drags=sum(outcome.drag >= CREEPS_FROM for outcome in found.assessment.outcomes),
        spells=len(found.assessment),
    )


def _weighed(scenario: Scenario, before: Appraisal, remedy: Remedy) -> Recommendation:
    first = after = figures(before, remedy.part)
    given = vars(remedy)
    if remedy.changes or remedy.effects:
        try:
            after = figures(appraise(remedy.apply(scenario)), remedy.part)
        except ScenarioError:  # the change cannot be made on this boat: the remedy stays as words
            given = {**given, "changes": tuple(change for change in remedy.changes if change[0] == _FINDINGS)}
    return Recommendation(**given, before=first, after=after)


def _gain(entry: Recommendation) -> float:
    """By how much the weakest link gains; without end where it had no strength at all."""
    first, then = entry.before.weakest_safety, entry.after.weakest_safety
    return then / first if first > 0 and math.isfinite(first) else math.inf if then > first else 1.0


def _from_findings(scenario: Scenario) -> Iterator[Remedy]:
    """One remedy for each finding, but one only for all findings on a part that is to be renewed anyhow."""
    found = scenario.survey.findings
    renewed = {entry.part for entry in found if entry.row()["clears"] == "part"}
    effects = {entry: effect(scenario, entry) for entry in dict.fromkeys(found)}
    for part in dict.fromkeys(entry.part for entry in found):
        here = [entry for entry in effects if entry.part == part]
        if part in renewed:
            yield _remedy(scenario, part, here, [effects[entry] for entry in here])
        else:
            yield from (_remedy(scenario, part, [entry], [effects[entry]]) for entry in here)


def _remedy(scenario: Scenario, part: str, here: Sequence[Finding], effects: Sequence[Effect]) -> Remedy:
    rows = [entry.row() for entry in here]
    urgency = min((URGENCIES.index(_urgency(entry)) for entry in effects), default=0)
    renewing = [entry for entry in here if entry.row()["clears"] == "part"]
    first = min(renewing or here, key=lambda entry: URGENCIES.index(entry.row()["urgency"]))
    left = tuple(entry for entry in scenario.survey.findings if entry not in here)
    changes = dict(change for row in rows for change in _changes(scenario, row.get("change", "")))
    return Remedy(
        part=part,
        urgency=URGENCIES[urgency],
        changes=((_FINDINGS, left), *changes.items()),
        effects=tuple(effects),
        jobs=tuple(renewing or [first]),
        misfit=None,
        source="; ".join(dict.fromkeys(row.source for row in rows)),
        kind=first.row().kind,
    )


def _urgency(found: Effect) -> Urgency:
    return next(entry for entry in URGENCIES if entry == found.urgency)


def _changes(scenario: Scenario, text: str) -> Iterator[tuple[str, Any]]:
    """The changes that a row of the table names; a snubber that is there already is left as long as it is."""
    for entry in filter(None, text.split("; ")):
        path, _, value = entry.partition(" = ")
        if path == _SNUBBER and si(scenario.tackle.snubber.length) > 0:
            continue
        yield path, {"true": True, "false": False}.get(value, value)


def _from_misfits(scenario: Scenario) -> Iterator[Remedy]:
    """Misfits that no finding says already."""
    found: list[Misfit] = [*misfits(scenario), *suitability_of(scenario).misfits]
    said = {
        change
        for entry in scenario.survey.findings
        for change in _changes(scenario, entry.row().get("change", ""))
    }
    for entry in found:
        if entry.changes and set(entry.changes) <= said:
            continue
        yield Remedy(entry.part, entry.urgency, entry.changes, (), (), entry, entry.source, entry.kind)


__all__ = ["Figures", "Recommendation", "all_done", "figures", "recommendations"]
