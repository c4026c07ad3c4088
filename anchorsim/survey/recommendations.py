"""Recommendations: each finding's remedy and each misfit as a change of the scenario, run before and after.

``recommendations(scenario)`` gives them in the order in which they must be done: before use, this season, at
leisure.  Before and after are the same spells, with the same gusts.
"""

from __future__ import annotations

import contextlib
import math
from collections.abc import Iterable
from dataclasses import dataclass

from anchorsim.core import arguments
from anchorsim.core.amount import Amount
from anchorsim.core.display import Said, line
from anchorsim.core.tables import table
from anchorsim.scenario.scenario import Scenario, ScenarioError
from anchorsim.strength.compatibility import URGENCIES
from anchorsim.strength.degradation import described
from anchorsim.survey.remedies import FINDINGS, Remedy, remedies
from anchorsim.survey.weakest_link import Appraisal, appraise


@dataclass(frozen=True)
class FiguresSI:
    """The amounts among the key figures as SI floats: see :class:`Figures`; N."""

    peak: float
    holding: float
    load: float
    strength: float


@dataclass(frozen=True)
class Figures:
    """Key figures of an appraisal.

    ``utilisation`` and ``safety`` (against breaking), ``load`` and ``strength`` are those of the part that a
    recommendation is about with an anchor that holds, and ``today`` its utilisation as she lies today; nan
    where that is not in line, or is cracked and has none.  ``weakest`` and ``weakest_safety`` are those of
    the weakest link, 0 where that is cracked, empty and nan where no part in line was recorded; ``peak`` is
    the median peak load at the bow while the anchor holds; ``holding`` that of the median anchor along the
    bottom; ``drags`` in how many of ``spells`` spells the anchor creeps or drags.  ``si`` has the amounts
    as SI floats.
    """

    utilisation: float
    today: float
    safety: float
    weakest: str
    weakest_safety: float
    drags: int
    spells: int
    si: FiguresSI

    peak = Amount("N")
    holding = Amount("N")
    load = Amount("N")
    strength = Amount("N")


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
        What does not fit; it has this, ``effects`` or both.
    chain : tuple or None
        Size, grade and length (m) of the new chain where a condemned one is renewed.
    source, kind : str
        Where the judgement comes from.
    key : str
        What the surveyor's time and cost are kept by, ``"snubber: no snubber"``.
    before, after : Figures
        Key figures of the appraisal without and with it: ``utilisation`` and ``safety`` of the part,
        ``weakest_safety``, ``peak``, ``holding``, and in how many of ``spells`` the anchor ``drags``.
    worn_out, quick, helps, harms : bool
        Whether a measurement is past its limit; whether it is a matter of minutes; whether a key figure
        changes for the better; whether the part's own safety factor falls.

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
            (then.si.holding, first.si.holding),
            (first.drags, then.drags),
            (first.si.peak, then.si.peak),
        )
        return any(better > worse * (1 + 1e-9) for better, worse in more)

    @property
    def harms(self) -> bool:
        """Whether the part's own safety factor falls, which must be told with its reason."""
        return self.after.safety < self.before.safety * (1 - 1e-9)


def recommendations(scenario: Scenario) -> tuple[Recommendation, ...]:
    """Recommend what to do about the findings and about what does not fit.

    Parameters
    ----------
    scenario : Scenario
        With its survey.

    Returns
    -------
    tuple of Recommendation
        The most urgent first; among equals what takes minutes, then the one with the largest benefit.

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
    [('chain', 'before use')]
    """
    arguments.instance("scenario", scenario, Scenario, "load one with Scenario.load")
    scenario = described(scenario)
    before = appraise(scenario)
    found = [_weighed(scenario, before, remedy) for remedy in remedies(scenario)]
    order = {str(row["part"]): place for place, row in enumerate(table("parts"))}

    def place(entry: Recommendation) -> tuple[float, ...]:
        return URGENCIES.index(entry.urgency), not entry.quick, -_gain(entry), order[entry.part]

    return tuple(sorted(found, key=place))


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
    counts = entry is not None and not entry.cracked
    today = next((entry for entry in found.today if entry.key == part), None)
    return Figures(
        utilisation=entry.utilisation.likely if entry and counts else math.nan,
        today=today.utilisation.likely if today else math.nan,
        safety=entry.safety_factor.likely if entry and counts else math.nan,
        weakest="" if found.nothing_in_line else found.weakest.name,
        weakest_safety=_weakest_safety(found),
        drags=found.drags,
        spells=len(found.assessment),
        si=FiguresSI(
            found.peak.likely,
            found.holding.likely,
            entry.load.likely if entry else math.nan,
            entry.strength_left.likely if entry else math.nan,
        ),
    )


def _weakest_safety(found: Appraisal) -> float:
    if found.nothing_in_line:
        return math.nan
    return 0.0 if found.weakest.cracked else found.weakest.safety_factor.likely


def _weighed(scenario: Scenario, before: Appraisal, remedy: Remedy) -> Recommendation:
    first = after = figures(before, remedy.part)
    given = vars(remedy)
    if remedy.changes or remedy.effects:
        try:
            after = figures(appraise(remedy.apply(scenario)), remedy.part)
        except ScenarioError:  # the change cannot be made on this boat: the remedy stays as a text
            given = {**given, "changes": tuple(change for change in remedy.changes if change[0] == FINDINGS)}
    return Recommendation(**given, before=first, after=after)


def _gain(entry: Recommendation) -> float:
    """By how much the weakest link gains; without end where it had no strength at all."""
    first, then = entry.before.weakest_safety, entry.after.weakest_safety
    return then / first if first > 0 and math.isfinite(first) else math.inf if then > first else 1.0


__all__ = ["Figures", "Recommendation", "all_done", "figures", "recommendations"]
