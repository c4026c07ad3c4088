"""The maintenance calendar in sentences, and as a file of RFC 5545 that other calendars open."""

from __future__ import annotations

import datetime
import hashlib
from collections import Counter
from collections.abc import Iterable

import icalendar

from anchorsim.core.arguments import refused
from anchorsim.core.tables import pick
from anchorsim.core.units import System
from anchorsim.strength.degradation import MOST_REGALVANISED
from anchorsim.survey.maintenance import Due
from anchorsim.wording import amounts, cautions, findings, sources
from anchorsim.wording.terms import local

_CHAIN = {"regalvanise": "Have the chain regalvanised", "renew chain": "Renew the chain"}


def sentence(due: Due, system: System = "metric") -> str:
    """When what is to be done, and why."""
    return f"{amounts.day(due.date)}: {amounts.lower(task(due, system))}. {why(due, system)}"


def task(due: Due, system: System = "metric") -> str:
    """What is to be done."""
    if due.loaded is not None:
        return f"Inspect the whole rode after the heavy load of {amounts.day(due.loaded)}"
    if due.task in _CHAIN:
        return local(_CHAIN[due.task], system)
    if due.effect is None:
        return local(str(pick("upkeep", task=due.task)["label"]), system)
    if due.task == "recheck":
        part, title = findings.part(due.part, system), findings.title(due.effect.finding.kind, system)
        return f"Recheck the {amounts.lower(part)}: {amounts.lower(title)}"
    job = findings.job(due.effect, system).removesuffix(".")
    return f"{findings.part(due.part, system)}: {amounts.lower(job)}"


def why(due: Due, system: System) -> str:
    """Why it is due, in sentences."""
    if due.loaded is not None:
        said = [f"Heavily loaded on {amounts.day(due.loaded)}, not inspected since."]
    elif due.task in _CHAIN and due.effect is not None:
        said = [
            findings.measured(due.effect, system),
            local(findings.regalvanised(due.times, MOST_REGALVANISED), system),
        ]
    elif due.effect is None:
        last = f"Last done {amounts.day(due.last)}." if due.last else "No record."
        last += f" Overdue since {amounts.day(due.overdue)}." if due.overdue else ""
        said = [last, f"{amounts.upper(due.source)}."]
    elif due.task == "recheck":
        said = [findings.how_to_check(due.effect.finding.kind, system)]
    else:
        finding = due.effect.finding
        said = [f"{findings.named(finding, system)}.", findings.what(finding, system)]
    if due.task in ("lay out", "heavy load"):
        said.append(str(cautions.RUNNING_CHAIN))
    return " ".join(said)


def every(time: datetime.timedelta | None) -> str:
    """How often, in the largest unit that comes out even enough to be said.

    >>> every(None), every(datetime.timedelta(14)), every(datetime.timedelta(365))
    ('once', 'every 2 weeks', 'every year')
    """
    if time is None:
        return "once"
    days = time.days
    for unit, length in (("year", 365.25), ("month", 30.4), ("week", 7.0)):
        number = round(days / length)
        if number and abs(number * length - days) <= 0.03 * days:
            return f"every {unit}" if number == 1 else f"every {number} {unit}s"
    return f"every {days} days"


def to_icalendar(
    dues: Iterable[Due], *, stamp: datetime.datetime, title: str = "", system: System = "metric"
) -> bytes:
    """The calendar as a file of RFC 5545: one all-day event each, repeated where the task is.

    ``stamp``: when the calendar was made, with its time zone.  Raises ArgumentError where it has none.
    """
    if stamp.tzinfo is None:
        wrong = f"{stamp.isoformat()} has no time zone"
        raise refused("stamp", wrong, "a time with its zone", "give it tzinfo, such as UTC")
    book = icalendar.Calendar()
    book.add("prodid", "-//anchorsim//ground tackle upkeep//EN")
    book.add("version", "2.0")
    if title:
        plain = "".join(character if character.isprintable() else " " for character in title)
        book.add("x-wr-calname", icalendar.vText(" ".join(plain.split())))
    seen: Counter[str] = Counter()
    for due in dues:
        name = "|".join((due.task, due.part, *_finding(due)))
        book.add_component(_event(due, f"{name}|{seen[name]}", stamp, system))
        seen[name] += 1
    return bytes(book.to_ical())


def _finding(due: Due) -> tuple[str, ...]:
    return (due.effect.finding.kind, due.effect.finding.grade) if due.effect else ()


def _event(due: Due, name: str, stamp: datetime.datetime, system: System) -> icalendar.Event:
    """One event; its name is made of keys, so that it is moved in a later calendar and not doubled."""
    event = icalendar.Event()
    event.add("uid", f"{hashlib.sha256(name.encode()).hexdigest()[:24]}@anchorsim.invalid")
    event.add("dtstamp", stamp.astimezone(datetime.UTC))
    event.add("dtstart", due.date)
    event.add("dtend", due.date + datetime.timedelta(days=1))
    event.add("summary", task(due, system))
    event.add("description", f"{why(due, system)} ({sources.KINDS[due.kind].lower()})")
    event.add("transp", "TRANSPARENT")
    if due.every:
        event.add("rrule", {"freq": "daily", "interval": due.every.days})
    return event
