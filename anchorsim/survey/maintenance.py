"""The maintenance calendar: when what is due next, from what was done last and what was found.

``calendar(scenario, today)`` gives the dates; ``wording.maintenance`` says what is due and why.
"""

from __future__ import annotations

import datetime
from collections.abc import Iterator
from dataclasses import dataclass

from anchorsim.core import arguments
from anchorsim.core.display import Said, line
from anchorsim.core.tables import Row, table
from anchorsim.core.units import si
from anchorsim.scenario.findings import Survey
from anchorsim.scenario.scenario import Scenario
from anchorsim.strength.degradation import (
    MOST_REGALVANISED,
    Effect,
    all_findings,
    effect,
    times_regalvanised,
    zinc_life,
)

_DAY = 86400.0  # s
_YEAR = 365.25  # days
_SEASON, _LEISURE = 91, 365  # days in which a remedy is to be done (judgement)
_AGAIN = {  # how often a finding's table says to check again, in days
    "each time you anchor": 14,
    "daily at anchor": 14,
    "monthly": 30,
    "yearly": 365,
    "every two years": 730,
    "every three years": 1096,
}
_LONG = 60  # years ahead that a date is still given


@dataclass(frozen=True)
class Due(Said):
    """A job and its due date.

    Attributes
    ----------
    date : date
        When it is due.
    task : str
        A key of ``data/upkeep.csv``, or "heavy load", "regalvanise", "renew chain", "remedy" or "recheck".
    part : str
        What it is done to, a key of ``data/parts.csv``.
    last : date or None
        When it was last done; None where there is no record: it is then due at once.
    every : timedelta or None
        Between two times; None for what is done once.
    source, kind : str
        Where that comes from.
    effect : Effect or None
        The finding that it is about.
    loaded : date or None
        Of a heavy load.
    times : float
        How often the chain has been regalvanised.
    overdue : date or None
        When it was due, where that was before the calendar begins.

    Examples
    --------
    >>> calendar(Scenario(), datetime.date(2026, 11, 12))[0]
    <Due: date 2026-11-12, task check electrics, part windlass>
    """

    date: datetime.date
    task: str
    part: str
    last: datetime.date | None
    every: datetime.timedelta | None
    source: str
    kind: str
    effect: Effect | None = None
    loaded: datetime.date | None = None
    times: float = 0.0

    @property
    def overdue(self) -> datetime.date | None:
        """The day on which it was due, where that was before the calendar begins."""
        by = self.last + self.every if self.last and self.every else self.date
        return by if by < self.date else None

    def __repr__(self) -> str:
        facts = [("date", self.date.isoformat()), ("task", self.task), ("part", self.part)]
        return line("Due", facts)


def calendar(scenario: Scenario, today: datetime.date) -> tuple[Due, ...]:
    """Make the maintenance calendar, from what was done last and what was found.

    Parameters
    ----------
    scenario : Scenario
        With its survey and the log in it.
    today : date
        What is overdue or was never done is due on this day.

    Returns
    -------
    tuple of Due
        The soonest first.

    Raises
    ------
    ArgumentError
        Where an argument does not fit.

    Notes
    -----
    How often each job is due is in ``data/upkeep.csv``, each row with its source.

    Examples
    --------
    >>> surveyed = Scenario().vary({"survey.log.surveyed": datetime.date(2026, 6, 1)})
    >>> dues = {due.task: due for due in calendar(surveyed, datetime.date(2026, 11, 12))}
    >>> dues["survey"].date.isoformat(), dues["survey"].every.days
    ('2027-06-01', 365)
    """
    arguments.instance("scenario", scenario, Scenario, "load one with Scenario.load")
    arguments.instance("today", today, datetime.date, "write datetime.date.today()")
    found = [*_regular(scenario, today), *_regalvanising(scenario, today), *_remedies(scenario, today)]
    return tuple(sorted(found, key=lambda due: (due.date, due.task)))


def reckoned_from(scenario: Scenario) -> datetime.date:
    """The day from which all that is written of a survey counts: its own, or today where it has none."""
    return scenario.survey.date or datetime.date.today()


def _condemned(scenario: Scenario) -> bool:
    """Whether the chain is to be renewed, so that it is neither turned nor dipped."""
    return any(entry.part == "chain" and effect(scenario, entry).renews for entry in all_findings(scenario))


def _regular(scenario: Scenario, today: datetime.date) -> Iterator[Due]:
    for row in table("upkeep"):
        if row["task"] == "turn end for end" and _condemned(scenario):
            continue
        if _applies(scenario, row):
            last, every = _last(scenario.survey, row), datetime.timedelta(round(row["every"] / _DAY))
            date = _next(last, every, today)
            yield Due(date, row["task"], row["part"], last, every, row.source, row.kind)
    severe = scenario.survey.log.severe_load
    laid_out = scenario.survey.log.laid_out
    if severe and (laid_out is None or laid_out < severe):
        yield Due(
            today, "heavy load", "chain", laid_out, None,
            "after heavy loading", "common practice, no source", loaded=severe,
        )  # fmt: skip


def _applies(scenario: Scenario, row: Row) -> bool:
    """Whether a task has its object aboard."""
    windlass = scenario.tackle.fittings.windlass.kind
    match row.get("needs"):
        case "chain":
            return si(scenario.tackle.chain.length) > 0
        case "windlass":
            return windlass != "none"
        case "electric":
            return windlass == "electric"
    return True


def _last(survey: Survey, row: Row) -> datetime.date | None:
    """When it was last done: new chain counts as laid out, a survey before this as inspected."""
    log = survey.log
    dates = {row["last"]: getattr(log, row["last"])}
    if row["task"] == "survey" and not survey.empty:
        dates["this one"] = survey.date
    if row["task"] in ("lay out", "turn end for end"):
        dates["chain_new"] = log.chain_new
    if row["task"] in ("lay out", "mouse"):
        dates["surveyed"] = log.surveyed
    return max((date for date in dates.values() if date is not None), default=None)


def _next(last: datetime.date | None, every: datetime.timedelta, today: datetime.date) -> datetime.date:
    return today if last is None else max(last + every, today)


def _regalvanising(scenario: Scenario, today: datetime.date) -> Iterator[Due]:
    """When the zinc will be gone, by the least measured; past the second time the chain is renewed."""
    survey = scenario.survey
    thin = [entry for entry in survey.findings if entry.row().get("law") == "zinc"]
    if not thin or _condemned(scenario):
        return
    since = survey.date or today
    least = min(thin, key=lambda entry: zinc_life(si(entry.measured), entry.grade)[0])
    days = min(zinc_life(si(least.measured), least.grade)[0] / _DAY, _LONG * _YEAR)
    times = times_regalvanised(scenario)
    date = max(since + datetime.timedelta(days=round(days)), today)
    row = least.row()
    yield Due(
        date, "regalvanise" if times < MOST_REGALVANISED else "renew chain", "chain",
        survey.log.regalvanised, None, row.source, row.kind, effect(scenario, least), times=times,
    )  # fmt: skip


def _remedies(scenario: Scenario, today: datetime.date) -> Iterator[Due]:
    """What was found: when its remedy is due, and when to check it again."""
    since = scenario.survey.date or today
    renewed = False
    for finding in dict.fromkeys(all_findings(scenario)):
        row, found = finding.row(), effect(scenario, finding)
        if found.condemned or (renewed and finding.part == "chain" and found.renews):
            continue  # the chain is renewed, once
        if finding not in scenario.survey.findings and not found.unfit:
            continue  # the log tells of it: nothing was found
        renewed = renewed or (finding.part == "chain" and found.renews)
        days = {"before use": 0, "this season": _SEASON, "at leisure": _LEISURE}[found.urgency]
        by = max(since + datetime.timedelta(days=days), today)
        yield Due(by, "remedy", finding.part, None, None, row.source, row.kind, found)
        every = datetime.timedelta(_AGAIN[row["again"]])
        again = _next(since, every, today)
        yield Due(again, "recheck", finding.part, since, every, row.source, row.kind, found)


__all__ = ["Due", "calendar", "reckoned_from"]
