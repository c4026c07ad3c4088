"""What has changed since the last survey of the same boat: what got worse, what is new, what was done."""

from __future__ import annotations

import datetime
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal, get_args

from anchorsim.core.errors import AnchorsimError, sentence
from anchorsim.core.tables import table
from anchorsim.core.units import quoted
from anchorsim.scenario.findings import GROWING, grades_of
from anchorsim.scenario.scenario import Scenario
from anchorsim.strength.compatibility import Misfit, misfits, recorded
from anchorsim.strength.components import gear
from anchorsim.strength.degradation import Effect, described, effect
from anchorsim.survey.remedies import told_by_finding

Became = Literal[
    "worse", "new", "not inspected then", "measured less", "unchanged", "not inspected", "not found again",
]  # fmt: skip
ORDER: tuple[Became, ...] = get_args(Became)  # the worst news first
_EQUAL = 1e-6  # of a measurement


class LastSurveyError(AnchorsimError):
    """A survey that cannot be the last one of this boat."""


@dataclass(frozen=True)
class Change:
    """What became of one fault.

    ``then`` and ``now`` are the worst of its kind on that part, a finding's effect or what does not fit;
    None where it was not there.
    """

    part: str
    became: Became
    then: Effect | Misfit | None
    now: Effect | Misfit | None


@dataclass(frozen=True)
class Renewed:
    """A part that is described otherwise than last time: what it was and what it is."""

    part: str
    then: str
    now: str


@dataclass(frozen=True)
class SinceLast:
    """What has changed since the last survey of the same boat.

    ``then`` and ``now`` are the dates of the two surveys.  ``changes`` say what became of each fault, the
    worst news first; ``renewed`` are parts that are described otherwise; ``done`` are fields of the log that
    are dated after the last survey, with their dates.
    """

    then: datetime.date | None
    now: datetime.date | None
    changes: tuple[Change, ...]
    renewed: tuple[Renewed, ...]
    done: tuple[tuple[str, datetime.date], ...]

    def count(self, became: Became) -> int:
        """How many faults became so."""
        return sum(change.became == became for change in self.changes)


def since_last(scenario: Scenario, last: Scenario) -> SinceLast:
    """Compare a survey with the last one of the same boat.

    Of one kind of fault on one part the worst counts, by its grade and then by its measurement.  A fault that
    was not found again on a part that was not inspected is not known to be repaired.  Raises LastSurveyError
    where ``last`` is of another boat, or not older.

    >>> rusted = {"part": "chain", "kind": "chain rusted", "grade": "surface"}
    >>> last = Scenario().vary({"survey.findings": [rusted]})
    >>> found = since_last(Scenario().vary({"survey.findings": [{**rusted, "grade": "pitted"}]}), last)
    >>> [(change.part, change.became) for change in found.changes if change.became != "unchanged"]
    [('chain', 'worse')]
    """
    _check(scenario, last)
    changes = sorted(_changes(scenario, last), key=lambda change: ORDER.index(change.became))
    return SinceLast(
        last.survey.date,
        scenario.survey.date,
        tuple(changes),
        tuple(_renewed(scenario, last)),
        tuple(_done(scenario, last)),
    )


def _check(scenario: Scenario, last: Scenario) -> None:
    ours, theirs = (each.boat.hull_number or each.boat.name for each in (scenario, last))
    if not (scenario.boat.hull_number and last.boat.hull_number):
        ours, theirs = scenario.boat.name, last.boat.name
    if ours.casefold().split() != theirs.casefold().split():
        wrong, advice = "a survey of another boat", "choose this boat's last survey"
        raise LastSurveyError(f"last survey: {sentence(wrong, quoted(ours), advice, got=quoted(theirs))}")
    now, then = scenario.survey.date, last.survey.date
    if now and then and then >= now:
        fits, got = f"an earlier date than {now.isoformat()}", then.isoformat()
        said = sentence("not an earlier survey", fits, "choose an earlier one", got=got)
        raise LastSurveyError(f"last survey: {said}")


def _changes(scenario: Scenario, last: Scenario) -> Iterator[Change]:
    """What became of each fault, in the order of the walk and of the tables."""
    now, then = _faults(scenario), _faults(last)
    order = [str(row["part"]) for row in table("parts")]
    for key in sorted({**then, **now}, key=lambda key: order.index(key[0])):
        pair = then.get(key), now.get(key)
        yield Change(key[0], _became(scenario, last, key[0], *pair), *pair)


def _faults(scenario: Scenario) -> dict[tuple[str, str], Effect | Misfit]:
    """The worst fault of each kind on each part, and what does not fit."""
    found: dict[tuple[str, str], Effect | Misfit] = {}
    for finding in scenario.survey.findings:
        key, one = (finding.part, finding.kind), effect(scenario, finding)
        other = found.get(key)
        found[key] = max(other, one, key=_badness) if isinstance(other, Effect) else one
    for entry in recorded(scenario, misfits(scenario)):
        if not told_by_finding(scenario, entry):
            found[entry.part, entry.rule] = entry
    return found


def _badness(found: Effect) -> tuple[int, float]:
    """By its grade, then by what was measured."""
    grade = grades_of(found.finding.kind).index(found.finding.grade)
    if found.measured is None:
        return grade, 0.0
    return grade, found.measured.value * (1.0 if found.measured.law in GROWING else -1.0)


def _became(
    scenario: Scenario, last: Scenario, part: str, then: Effect | Misfit | None, now: Effect | Misfit | None
) -> Became:
    if now is None:
        return "not found again" if part in scenario.survey.seen else "not inspected"
    if then is None:
        return "new" if part in last.survey.seen else "not inspected then"
    if not (isinstance(then, Effect) and isinstance(now, Effect)):
        return "unchanged"
    (grade, amount), (grade_then, amount_then) = _badness(now), _badness(then)
    if grade != grade_then:
        return "worse" if grade > grade_then else "measured less"
    if abs(amount - amount_then) <= _EQUAL * max(abs(amount), abs(amount_then)):
        return "unchanged"
    return "worse" if amount > amount_then else "measured less"


def _renewed(scenario: Scenario, last: Scenario) -> Iterator[Renewed]:
    """Parts in line whose description has changed, by their names."""
    names = [{part.key: part.name for part in gear(described(each))} for each in (last, scenario)]
    for row in table("parts"):
        key, path = str(row["part"]), str(row["path"])
        then, now = (each.get(key, "") for each in names)
        if then and now and last.get(path) != scenario.get(path):
            yield Renewed(key, then, now)


def _done(scenario: Scenario, last: Scenario) -> Iterator[tuple[str, datetime.date]]:
    """What the log dates after the last survey, the earliest first."""
    since, log = last.survey.date, scenario.survey.log
    dates = [(name, getattr(log, name)) for name in type(log).model_fields]
    found = [
        (name, date)
        for name, date in dates
        if isinstance(date, datetime.date) and name not in ("surveyed", "severe_load")
        and since is not None and date > since
    ]  # fmt: skip
    yield from sorted(found, key=lambda pair: pair[1])


__all__ = ["Became", "Change", "LastSurveyError", "Renewed", "SinceLast", "since_last"]
