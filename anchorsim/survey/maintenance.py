"""The maintenance calendar: when what is due next, from what was done last and what was found.

``calendar(scenario, today)`` gives the dates; ``to_icalendar`` writes them as RFC 5545 has it.
"""

from __future__ import annotations

import datetime
import hashlib
from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

import icalendar

from anchorsim.core.tables import Row, table
from anchorsim.core.units import si
from anchorsim.scenario.findings import Finding, Log
from anchorsim.scenario.scenario import Scenario
from anchorsim.strength.degradation import effect, zinc_life

_DAY = 86400.0  # s
_YEAR = 365.25  # days
_MOST_REGALVANISED = 2  # common practice, no source
_SEASON, _LEISURE = 91, 365  # days in which a remedy is to be done (judgement)
_AGAIN = {  # how often a finding's table says to look again, in days
    "every time it is let go": 14,
    "daily while she lies to it": 14,
    "monthly": 30,
    "yearly": 365,
    "every second year": 730,
    "every third year": 1096,
}
_LONG = 60  # years ahead that a date is still given


@dataclass(frozen=True)
class Due:
    """Something to do by a date.

    ``last`` is when it was done last, None where nobody knows: it is then due at once.  ``every`` is how many
    days lie between two times, 0 for what is done once.
    """

    date: datetime.date
    task: str
    why: str
    part: str
    last: datetime.date | None
    every: int
    source: str
    kind: str


def calendar(scenario: Scenario, today: datetime.date) -> tuple[Due, ...]:
    """What is due, the soonest first; what is overdue or was never done is due ``today``."""
    found = [*_regular(scenario, today), *_regalvanising(scenario, today), *_remedies(scenario, today)]
    return tuple(sorted(found, key=lambda due: (due.date, due.task)))


def to_icalendar(dues: Iterable[Due], *, stamp: datetime.datetime, title: str = "") -> bytes:
    """The calendar as a file of RFC 5545: one all-day event each, repeated where the task is.

    ``stamp``: when the calendar was made, with its time zone.  Raises ValueError where it has none.
    """
    if stamp.tzinfo is None:
        raise ValueError(f"{stamp.isoformat()} has no time zone; needed one; give it tzinfo, such as UTC")
    book = icalendar.Calendar()
    book.add("prodid", "-//anchorsim//ground tackle upkeep//EN")
    book.add("version", "2.0")
    if title:
        plain = "".join(character if character.isprintable() else " " for character in title)
        book.add("x-wr-calname", icalendar.vText(" ".join(plain.split())))
    seen: Counter[str] = Counter()
    for due in dues:
        name = f"{due.task}|{due.part}"
        book.add_component(_event(due, f"{name}|{seen[name]}", stamp))
        seen[name] += 1
    return bytes(book.to_ical())


def _event(due: Due, name: str, stamp: datetime.datetime) -> icalendar.Event:
    """One event; it keeps its name in a later calendar, so that it is moved there and not doubled."""
    event = icalendar.Event()
    event.add("uid", f"{hashlib.sha256(name.encode()).hexdigest()[:24]}@anchorsim.invalid")
    event.add("dtstamp", stamp.astimezone(datetime.UTC))
    event.add("dtstart", due.date)
    event.add("dtend", due.date + datetime.timedelta(days=1))
    event.add("summary", due.task)
    event.add("description", f"{due.why} ({due.kind})")
    event.add("transp", "TRANSPARENT")
    if due.every:
        event.add("rrule", {"freq": "daily", "interval": due.every})
    return event


def _regular(scenario: Scenario, today: datetime.date) -> Iterator[Due]:
    for row in table("upkeep"):
        if _applies(scenario, row):
            last, why = _last(scenario.survey.log, row)
            days = round(row["every"] / _DAY)
            yield Due(
                _next(last, days, today), row["label"], f"{why}{row.source}", row["part"], last, days,
                row.source, row.kind,
            )  # fmt: skip
    severe = scenario.survey.log.severe_load
    laid_out = scenario.survey.log.laid_out
    if severe and (laid_out is None or laid_out < severe):
        yield Due(
            today, "Lay the rode out and inspect it: it was loaded severely",
            f"loaded severely on {severe.isoformat()} and not laid out since", "chain", laid_out, 0,
            "after severe loading", "common practice, no source",
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


def _last(log: Log, row: Row) -> tuple[datetime.date | None, str]:
    """When it was last done: new chain counts as laid out, a survey as looked at."""
    dates = {row["last"]: getattr(log, row["last"])}
    if row["task"] in ("lay out", "turn end for end"):
        dates["chain_new"] = log.chain_new
    if row["task"] in ("lay out", "mouse"):
        dates["surveyed"] = log.surveyed
    known = [date for date in dates.values() if date is not None]
    last = max(known, default=None)
    return last, f"last done {last.isoformat()}; " if last else "no date known; "


def _next(last: datetime.date | None, days: int, today: datetime.date) -> datetime.date:
    return today if last is None else max(last + datetime.timedelta(days=days), today)


def _regalvanising(scenario: Scenario, today: datetime.date) -> Iterator[Due]:
    """When the zinc will be gone, by the least measured; past the second time the chain is renewed."""
    survey = scenario.survey
    thin = [entry for entry in survey.findings if entry.row().get("law") == "zinc"]
    if not thin:
        return
    since = survey.date or today
    least = min(thin, key=lambda entry: zinc_life(si(entry.measured), entry.grade)[0])
    years = min(zinc_life(si(least.measured), least.grade)[0], _LONG)
    counts = [entry.measured for entry in survey.findings if entry.row().get("law") == "regalvanised"]
    times = max([survey.log.times_regalvanised, *counts])
    task = "Have the chain galvanised again" if times < _MOST_REGALVANISED else "Renew the chain"
    date = max(since + datetime.timedelta(days=round(years * _YEAR)), today)
    row = least.row()
    why = f"zinc {effect(scenario, least).measured}; regalvanised {times:g} times, twice at the most"
    yield Due(date, task, why, "chain", survey.log.regalvanised, 0, row.source, row.kind)


def _remedies(scenario: Scenario, today: datetime.date) -> Iterator[Due]:
    """What was found: when its remedy is due, and when to look again."""
    since = scenario.survey.date or today
    for finding in dict.fromkeys(scenario.survey.findings):
        row, found = finding.row(), effect(scenario, finding)
        for_it = f"{row['what']} ({finding.part})"
        days = {"before use": 0, "this season": _SEASON, "at leisure": _LEISURE}[found.urgency]
        by = max(since + datetime.timedelta(days=days), today)
        yield Due(by, f"{row['remedy']}: {finding.part}", for_it, finding.part, None, 0, row.source, row.kind)
        yield _look_again(finding, row, since, today)


def _look_again(finding: Finding, row: Row, since: datetime.date, today: datetime.date) -> Due:
    days = _AGAIN[row["again"]]
    task = f"Look again at the {finding.part}: {finding.kind}"
    return Due(_next(since, days, today), task, row["look"], finding.part, since, days, row.source, row.kind)


__all__ = ["Due", "calendar", "to_icalendar"]
