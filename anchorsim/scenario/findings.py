"""What a surveyor found: the survey of a scenario, its findings part by part, and the dates of the past.

It stands at ``scenario.survey``; in a file the findings are tables ``[[survey.findings]]``.  What a finding
means for strength and holding is told by ``degradation``.
"""

from __future__ import annotations

import datetime
import unicodedata
from typing import Annotated, Any

from pydantic import BeforeValidator, Field, PlainSerializer, field_validator, model_validator

from anchorsim.core.errors import AnchorsimError, sentence
from anchorsim.core.markup import TURNING
from anchorsim.core.model import Thing, complaint
from anchorsim.core.reading import NOTES, PHOTOGRAPHS
from anchorsim.core.tables import Choice, Row, nearest, table, unknown
from anchorsim.core.units import Measure, Quantity, parse, quantity, quoted, write

LONGEST_NOTE = 10_000  # characters
_MOST_FINDINGS, _MOST_PHOTOGRAPHS = 500, 50
_KEPT = "\n\t"  # control characters that a note may hold


def _plain(given: Any) -> Any:
    """Text without characters that cannot be shown; line ends of all kinds become one."""
    if not isinstance(given, str):
        return given
    text = given.replace("\r\n", "\n").replace("\r", "\n")
    for place, character in enumerate(text, 1):
        bad = unicodedata.category(character) in ("Cc", "Cs") and character not in _KEPT
        if bad or character in TURNING:
            wrong = f"the text holds the control character U+{ord(character):04X} at place {place}"
            raise AnchorsimError(sentence(wrong, "letters, signs and line ends", "delete it"))
    return text


def _one_line(given: Any) -> Any:
    text = _plain(given)
    if isinstance(text, str) and ("\n" in text or "\t" in text):
        raise AnchorsimError(sentence(f"{quoted(given)} has several lines", "one line of text", "join them"))
    return text


def _day(given: Any) -> Any:
    """A date, or its text as ISO 8601 writes it, neither a number nor a time of day."""
    if given is None or (isinstance(given, datetime.date) and not isinstance(given, datetime.datetime)):
        return given
    try:
        return datetime.date.fromisoformat(given) if isinstance(given, str) else _no_day(given)
    except ValueError:
        return _no_day(given)


def _no_day(given: Any) -> Any:
    raise AnchorsimError(
        sentence(f"{quoted(given)} is not a date", "year-month-day", "write for example 2024-05-31")
    )


def _amount(given: Any) -> Any:
    """What was measured, as far as it can be read before it is known what of."""
    try:
        return parse(given) if isinstance(given, str) else given
    except AnchorsimError as error:
        advice = 'write for example "7 mm"'
        raise AnchorsimError(sentence(str(error), "a number with its unit", advice)) from None


def _kind(given: Any) -> Any:
    """A kind that there is; an error that does not list them all, as they are a hundred."""
    known = Choice("", "findings", "finding").options
    if given in known:
        return given
    near = nearest(given, known) if isinstance(given, str) else ""
    fits = f"one of the {len(known)} in data/findings.csv{near}"
    advice = "" if near else "choose one of them"
    raise AnchorsimError(sentence(f"{quoted(given)} is not a kind of finding", fits, advice))


Note = Annotated[str, BeforeValidator(_plain), Field(max_length=LONGEST_NOTE)]
Line = Annotated[str, BeforeValidator(_one_line), Field(max_length=200)]
Photograph = Annotated[str, BeforeValidator(_one_line), Field(min_length=1, max_length=500)]
Day = Annotated[datetime.date | None, BeforeValidator(_day)]
_Measured = Annotated[
    Any,
    BeforeValidator(_amount),
    PlainSerializer(lambda value: write(value) if isinstance(value, Quantity) else value),
]


class Finding(Thing):
    """One thing found on one part.

    ``kind`` names it in ``data/findings.csv``; ``part`` may be left out where that kind is found on one part
    only; ``grade`` is needed where the kind has grades and ``measured`` where it is measured (a length with
    its unit, or a bare number for a count).  ``photographs`` are paths relative to the scenario's file.
    """

    kind: Annotated[str, Choice("Finding", "findings", "finding"), BeforeValidator(_kind)]
    part: str = ""
    grade: str = ""
    measured: _Measured = None
    note: Note = ""
    photographs: Annotated[tuple[Photograph, ...], Field(max_length=_MOST_PHOTOGRAPHS)] = ()

    @model_validator(mode="before")
    @classmethod
    def _part_of_its_kind(cls, given: Any) -> Any:
        """The part goes without saying where a kind is found on one only."""
        if isinstance(given, dict) and not given.get("part") and isinstance(given.get("kind"), str):
            known = parts_of(given["kind"])
            return {**given, "part": known[0]} if len(known) == 1 else given
        return given

    @model_validator(mode="after")
    def _as_its_kind_asks(self) -> Finding:
        known = parts_of(self.kind)
        if self.part not in known:
            raise complaint("part", unknown(self.part, known))
        grades = grades_of(self.kind)
        if self.grade not in grades:
            raise complaint("grade", unknown(self.grade, grades))
        wanted = measure_of(self.kind)
        if wanted is None and self.measured is not None:
            wrong = f'"{self.kind}" takes no measurement'
            raise complaint("measured", sentence(wrong, "nothing here", "delete the measurement"))
        if wanted is not None:
            try:
                wanted.read(self.measured)
            except ValueError as error:
                raise complaint("measured", str(error)) from None
        return self

    def row(self) -> Row:
        """This kind and grade in ``data/findings.csv``."""
        return next(row for row in rows_of(self.kind) if row.get("grade", "") == self.grade)


class Log(Thing):
    """When what was last done to the tackle; left out where nobody knows."""

    laid_out: Day = None
    severe_load: Day = None
    turned_end_for_end: Day = None
    regalvanised: Day = None
    times_regalvanised: Annotated[float, Measure("Times regalvanised", "", 0, 10, 1)] = 0.0
    chain_new: Day = None
    rope_new: Day = None
    snubber_new: Day = None
    windlass_run: Day = None
    windlass_serviced: Day = None
    electrics_checked: Day = None
    drains_cleared: Day = None
    moused: Day = None
    surveyed: Day = None


class Survey(Thing):
    """A survey of the ground tackle: who, for whom, when, and what was found.

    ``crew_lift`` is the heaviest anchor that her crew lift by hand and ``deepest`` the greatest depth of
    water, tide and all, that she anchors in; both 0 where nobody said.  ``looked_at`` names parts that were
    looked at whether or not anything was found on them.
    """

    surveyor: Line = ""
    client: Line = ""
    place: Line = ""
    date: Day = None
    notes: Note = ""
    crew_lift: Annotated[Quantity, Measure("Heaviest lift by the crew", "kg", 0, 100, 1, "0 = not given")] = (
        quantity(0.0, "kg")
    )
    deepest: Annotated[Quantity, Measure("Deepest anchorage", "m", 0, 80, 1, "0 = not given")] = quantity(
        0.0, "m"
    )
    log: Log = Log()
    looked_at: tuple[Annotated[str, Choice("Part", "parts", "part")], ...] = ()
    findings: Annotated[tuple[Finding, ...], Field(max_length=_MOST_FINDINGS)] = ()

    @field_validator("looked_at")
    @classmethod
    def _in_order(cls, given: tuple[str, ...]) -> tuple[str, ...]:
        """Each part once, in the order of the walk."""
        return tuple(part for part in Choice("", "parts", "part").options if part in given)

    @model_validator(mode="after")
    def _within_bounds(self) -> Survey:
        notes = len(self.notes) + sum(len(finding.note) for finding in self.findings)
        photographs = sum(len(finding.photographs) for finding in self.findings)
        for what, number, most in (
            ("characters in all notes together", notes, NOTES),
            ("photographs", photographs, PHOTOGRAPHS),
        ):
            if number > most:
                said = sentence(f"too many {what}", f"at most {most}", "take some out", got=str(number))
                raise complaint("findings", said)
        return self

    @property
    def seen(self) -> tuple[str, ...]:
        """The parts that were looked at, which those are too that something was found on."""
        found = {finding.part for finding in self.findings}
        return tuple(
            part for part in Choice("", "parts", "part").options if part in found or part in self.looked_at
        )


def rows_of(kind: str) -> list[Row]:
    """The rows of a kind of finding, one a grade; none where there is no such kind."""
    return [row for row in table("findings") if row["finding"] == kind]


def parts_of(kind: str) -> list[str]:
    """The parts that a kind of finding is found on."""
    return [part for row in rows_of(kind)[:1] for part in row["part"].split("; ")]


def grades_of(kind: str) -> list[str]:
    """The grades of a kind of finding, the slightest first; one empty grade where it has none."""
    return [row.get("grade", "") for row in rows_of(kind)]


def measure_of(kind: str) -> Measure | None:
    """What is measured of a kind of finding, or None."""
    row = rows_of(kind)[0]
    if "measure" not in row:
        return None
    least, most = float(row["least"]), float(row["most"])
    return Measure(row["measure"], row.get("unit", ""), least, most, 1.0 if most - least > 1 else 0.1)


def kinds_on(part: str) -> list[str]:
    """The kinds of finding that a part can have, in the order of the table."""
    found = (row["finding"] for row in table("findings") if part in row["part"].split("; "))
    return list(dict.fromkeys(found))
