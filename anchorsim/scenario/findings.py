"""What a surveyor found: the survey of a scenario, its findings part by part, and the dates of the past.

It stands at ``scenario.survey``; in a file the findings are tables ``[[survey.findings]]``.  What a finding
means for strength and holding is told by ``degradation``.
"""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import BeforeValidator, Field, PlainSerializer, field_validator, model_validator

from anchorsim.core.errors import AnchorsimError, sentence
from anchorsim.core.model import OneOf, Thing, complaint
from anchorsim.core.reading import NOTES, PHOTOGRAPHS
from anchorsim.core.tables import Choice, Row, nearest, table, unknown
from anchorsim.core.units import Measure, Quantity, parse, quantity, quoted, write
from anchorsim.scenario.text import Day, File, Line, Note

_MOST_FINDINGS, _MOST_PHOTOGRAPHS, _MOST_READINGS, _MOST_WORKS = 500, 50, 50, 200
OTHER = "other defect"  # the kind that any part can have, in the surveyor's words
GROWING = ("elongation", "regalvanised", "age")  # laws by which the greatest reading counts, else the least


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


_Measured = Annotated[
    Any,
    BeforeValidator(_amount),
    PlainSerializer(lambda value: write(value) if isinstance(value, Quantity) else value),
]


class Reading(Thing):
    """What was measured at one place: one figure, or several of which the mean counts.

    A worn bar is measured across the wear in two directions at right angles; ``place`` says where it was.
    """

    place: Line = ""
    measured: Annotated[tuple[_Measured, ...], Field(min_length=1, max_length=4)]


class Finding(Thing):
    """One thing found on one part.

    ``kind`` names it in ``data/findings.csv``; ``part`` may be left out where that kind is found on one part
    only; ``grade`` is needed where the kind has grades and ``measured`` where it is measured (a length with
    its unit, or a bare number for a count).  Of several ``readings`` the worst becomes ``measured``.
    ``words`` say what an "other defect" is, and ``action`` what to do about it; with any other kind they are
    the surveyor's own in place of the table's.  ``photographs`` are paths relative to the scenario's file.
    """

    kind: Annotated[str, Choice("Finding", "findings", "finding"), BeforeValidator(_kind)]
    part: str = ""
    grade: str = ""
    measured: _Measured = None
    readings: Annotated[tuple[Reading, ...], Field(max_length=_MOST_READINGS)] = ()
    words: Line = ""
    action: Line = ""
    note: Note = ""
    photographs: Annotated[tuple[File, ...], Field(max_length=_MOST_PHOTOGRAPHS)] = ()

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
        if self.kind == OTHER and not self.words.strip():
            raise complaint("words", sentence("missing", "what the defect is", "write it in a few words"))
        self._read_measures(measure_of(self.kind))
        return self

    def _read_measures(self, wanted: Measure | None) -> None:
        """Check what was measured, and of several readings let the worst count."""
        if not self.readings:
            if wanted is not None or self.measured is not None:
                _measure(self.kind, wanted, "measured", self.measured)
            return
        means = []
        for place, reading in enumerate(self.readings):
            paths = [f"readings.{place}.measured.{number}" for number in range(len(reading.measured))]
            first, *more = (
                _measure(self.kind, wanted, path, given)
                for path, given in zip(paths, reading.measured, strict=True)
            )
            means.append(sum(more, first) / len(paths))
        worst = max if rows_of(self.kind)[0].get("law") in GROWING else min
        measured = _measure(self.kind, wanted, "readings", worst(means))
        object.__setattr__(self, "measured", measured)  # the value is still being made

    def row(self) -> Row:
        """This kind and grade in ``data/findings.csv``."""
        return next(row for row in rows_of(self.kind) if row.get("grade", "") == self.grade)


def _measure(kind: str, wanted: Measure | None, path: str, given: Any) -> Any:
    """A measurement of a kind of finding.  Raises an error at its path where it does not fit."""
    if wanted is None:
        wrong = f'"{kind}" takes no measurement'
        raise complaint(path, sentence(wrong, "nothing here", "delete the measurement"))
    try:
        return wanted.read(given)
    except ValueError as error:
        raise complaint(path, str(error)) from None


class Work(Thing):
    """What the surveyor says of one recommendation: the time and the cost of it, as typed.

    ``job`` is the recommendation's ``key``.
    """

    job: Line
    time: Line = ""
    cost: Line = ""


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

    ``number`` is the surveyor's own; ``asked`` what he was asked; ``lying`` whether she was seen afloat or
    ashore; ``letterhead`` the lines beneath his name and ``logo`` and ``previous`` files beside the
    scenario's: a picture, and the last survey of the same boat.  ``lifted_by`` is who lifts the anchor,
    ``crew_lift`` the heaviest anchor that they lift by hand and ``deepest`` the greatest depth of water,
    tide and all, that she anchors in; empty or 0 where nobody said.  ``looked_at`` names parts that were
    looked at whether or not anything was found on them.
    """

    number: Line = ""
    surveyor: Line = ""
    letterhead: Note = ""
    logo: Line = ""
    client: Line = ""
    place: Line = ""
    date: Day = None
    asked: Note = ""
    lying: Annotated[str, OneOf("", ("", "afloat", "ashore"))] = ""
    previous: Line = ""
    notes: Note = ""
    lifted_by: Annotated[str, OneOf("", ("", "windlass", "one person", "two people"))] = ""
    crew_lift: Annotated[Quantity, Measure("Heaviest lift by the crew", "kg", 0, 100, 1, "0 = not given")] = (
        quantity(0.0, "kg")
    )
    deepest: Annotated[Quantity, Measure("Deepest anchorage", "m", 0, 80, 1, "0 = not given")] = quantity(
        0.0, "m"
    )
    log: Log = Log()
    looked_at: tuple[Annotated[str, Choice("Part", "parts", "part")], ...] = ()
    findings: Annotated[tuple[Finding, ...], Field(max_length=_MOST_FINDINGS)] = ()
    works: Annotated[tuple[Work, ...], Field(max_length=_MOST_WORKS)] = ()

    @field_validator("looked_at")
    @classmethod
    def _in_order(cls, given: tuple[str, ...]) -> tuple[str, ...]:
        """Each part once, in the order of the walk."""
        return tuple(part for part in all_parts() if part in given)

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
        return tuple(part for part in all_parts() if part in found or part in self.looked_at)

    @property
    def unseen(self) -> tuple[str, ...]:
        """All other parts of ground tackle, whether she has them or not."""
        return tuple(part for part in all_parts() if part not in self.seen)

    @property
    def empty(self) -> bool:
        """Whether nothing was looked at and nothing was found: such a survey says nothing of the gear."""
        return not self.seen

    def work(self, job: str) -> Work:
        """The time and cost of a recommendation, by its key; empty where the surveyor gave none."""
        return next((work for work in self.works if work.job == job), Work(job=job))


def all_parts() -> list[str]:
    """Every part of ground tackle, in the order of the walk."""
    return Choice("", "parts", "part").options


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
    """The kinds of finding that a part can have, in the order of the table, beside :data:`OTHER`."""
    found = (
        row["finding"]
        for row in table("findings")
        if part in row["part"].split("; ") and row["finding"] != OTHER
    )
    return list(dict.fromkeys(found))
