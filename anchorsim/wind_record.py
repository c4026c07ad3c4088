"""The door for a recorded wind: a CSV file that a person brings becomes plain arrays, or a clear complaint.

What is taken: a heading line, then rows in the order of time.  Columns are known by the words of their
headings, with the unit in brackets or after an underscore or space: ``time``, ``mean wind [knot]``,
``gust_kn``, ``wind_dir``.  Columns that are none of these are left alone.
"""

from __future__ import annotations

import codecs
import csv
import itertools
import math
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from anchorsim.tables import nearest

Floats = NDArray[np.float64]

GREATEST = 100.0  # m/s; beyond it a cell is taken for a slip (judgement)
CALM = 3.1  # m/s; up to 6 knots a report may call the direction variable and leave it out
_SPEEDS = {
    "m/s": 1.0,
    "knot": 1852.0 / 3600.0,
    "mph": 1609.344 / 3600.0,
    "km/h": 1.0 / 3.6,
}
_TIMES = {"s": 1.0, "min": 60.0, "h": 3600.0}
_ANGLES = {"degree": math.pi / 180.0}
_SPELLINGS = {
    "knot": "knot knots kn kt kts",
    "m/s": "m/s ms-1 m.s-1 mps",
    "mph": "mph mi/h",
    "km/h": "km/h kmh kph kmph",
    "s": "s sec secs second seconds",
    "min": "min mins minute minutes",
    "h": "h hr hrs hour hours",
    "degree": "degree degrees deg degs °",
}
_CANONICAL = {spelling: unit for unit, group in _SPELLINGS.items() for spelling in group.split()}
_BLANK = {"", "-", "--", "na", "n/a", "nan", "null", "none"}
_BRACKETED = re.compile(r"(?P<words>.*?)\s*[\[(](?P<unit>[^\])]*)[\])]\s*")
_TRAILING = re.compile(
    r"(?P<words>.+?)[\s_]+(?P<unit>"
    + "|".join(sorted(map(re.escape, _CANONICAL), key=len, reverse=True))
    + r")\s*",
    re.I,
)


class WindRecordError(ValueError):
    """A wind record that cannot be taken as it stands; the sentence says where, what and how to mend it."""


@dataclass(frozen=True)
class WindRecord:
    """A recorded wind, taken as at 10 m: ``time`` s from the first row, ``mean``, ``gust`` m/s,
    ``direction_from`` rad.

    All are float64 arrays of one length (at least 2), times rising.  ``gust`` is NaN where none was
    recorded; the others hold no NaN.
    """

    time: Floats
    mean: Floats
    gust: Floats
    direction_from: Floats

    @property
    def length(self) -> float:
        """Seconds from the first row to the last."""
        return float(self.time[-1])


@dataclass(frozen=True)
class _Role:
    """How a column is known: one of ``keys`` in its heading and nothing beside ``keys`` and ``company``."""

    name: str
    keys: frozenset[str]
    company: frozenset[str]
    units: dict[str, float]
    example: str

    def fits(self, words: frozenset[str]) -> bool:
        return bool(words & self.keys) and words <= self.keys | self.company


def _role(name: str, keys: str, company: str, units: dict[str, float], example: str) -> _Role:
    return _Role(name, frozenset(keys.split()), frozenset(company.split()), units, example)


_ROLES = (
    _role(
        "time",
        "time date datetime timestamp elapsed",
        "utc gmt local of and observation obs valid iso hour",
        _TIMES,
        "time",
    ),
    _role(
        "mean wind",
        "mean average avg speed wind windspeed sustained",
        "10 m min minute minutes at of the true",
        _SPEEDS,
        "mean wind [knot]",
    ),
    _role(
        "gust",
        "gust gusts windgust",
        "wind speed peak max maximum 3 s second 10 m at of the",
        _SPEEDS,
        "gust [knot]",
    ),
    _role(
        "wind direction",
        "direction dir winddir winddirection",
        "wind from mean true average avg of the",
        _ANGLES,
        "wind direction [degree]",
    ),
)


@dataclass(frozen=True)
class _Column:
    index: int
    heading: str
    role: _Role
    unit: str | None

    @property
    def factor(self) -> float:
        return self.role.units[self.unit] if self.unit else 1.0


@dataclass(frozen=True)
class _Entry:
    """One row that holds a mean wind, in SI; ``offset``: its time is given with an offset from UTC."""

    line: int
    time: float
    offset: bool
    mean: float
    gust: float
    direction: float


def read_record(source: Path | str | Iterable[str]) -> WindRecord:
    """Read a recorded wind from a CSV file (a path) or from its lines.

    - Cells are separated by commas, semicolons or tabs; with the latter two a decimal comma is understood.
    - Times are ISO 8601, or numbers with a unit in the heading (s, min, h), and rise from row to row.
    - Wind and gust are in knot, m/s, mph or km/h as their heading says, direction in degrees it blows from.
    - Blank, ``NA``, ``NaN`` and ``-`` are blanks.  A blank gust means none was recorded.  A blank direction
      is bridged where the wind is no more than 6 knots.  A row without a mean wind is passed over.
    - No more than an hour, or three times the usual step where that is longer, may lie between rows: across
      that the wind is interpolated, across more it would be invented.

    Raises WindRecordError.
    """
    name, lines = _open(source)
    where = f"{name}: " if name else ""
    try:
        return _read(lines)
    except WindRecordError as error:
        raise WindRecordError(f"{where}{error}") from None


def _open(source: Path | str | Iterable[str]) -> tuple[str, list[str]]:
    if not isinstance(source, Path | str):
        return "", list(source)
    path = Path(source)
    try:
        raw = path.read_bytes()
    except FileNotFoundError:
        raise WindRecordError(
            f"there is no file {path}; needed a wind record as CSV; check the path"
        ) from None
    except OSError as error:
        raise WindRecordError(
            f"{path} cannot be read ({error.strerror}); needed a wind record as CSV"
        ) from None
    return path.name, _decode(raw, path.name).splitlines()


def _decode(raw: bytes, name: str) -> str:
    if raw.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        return raw.decode("utf-16", errors="replace")
    if b"\0" in raw or raw.startswith(b"PK"):
        raise WindRecordError(f"{name}: this is not a text file; needed a CSV; save it as CSV first")
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError:
        return raw.decode("cp1252", errors="replace")  # what spreadsheets on Windows write


def _read(lines: Sequence[str]) -> WindRecord:
    lines = [line.removeprefix("\ufeff") if number == 0 else line for number, line in enumerate(lines)]
    if not any(line.strip() for line in lines):
        raise WindRecordError("the record is empty; needed a heading line and at least two rows")
    delimiter = _delimiter(next(line for line in lines if line.strip()))
    reader = csv.reader(lines, delimiter=delimiter, skipinitialspace=True)
    try:
        rows = [(reader.line_num, row) for row in reader if any(cell.strip() for cell in row)]
    except csv.Error as error:
        raise WindRecordError(
            f"line {reader.line_num} is not CSV ({error}); check its quotation marks"
        ) from None
    columns = _columns(rows[0][1], rows[0][0])
    entries = [
        entry
        for line, row in rows[1:]
        if (entry := _entry(row, line, len(rows[0][1]), columns, delimiter != ",")) is not None
    ]
    return _record(entries)


def _delimiter(heading: str) -> str:
    best = max(",;\t", key=heading.count)
    if not heading.count(best):
        raise WindRecordError(
            f'the heading line "{heading.strip()}" has one column only; needed columns separated by commas, '
            "semicolons or tabs; save the file as CSV"
        )
    return best


def _columns(headings: list[str], line: int) -> dict[str, _Column]:
    found: dict[str, _Column] = {}
    for index, heading in enumerate(headings):
        column = _column(index, heading.strip())
        if column is None:
            continue
        name = column.role.name
        if name in found:
            raise WindRecordError(
                f'line {line}: "{found[name].heading}" and "{column.heading}" could both be the {name}; '
                "needed one such column; rename or remove the other"
            )
        found[name] = column
    for role in _ROLES:
        if role.name not in found and role.name != "gust":
            near = nearest(role.name, [heading.strip() for heading in headings])
            raise WindRecordError(
                f'line {line}: no column is the {role.name}{near}; needed a heading like "{role.example}"; '
                f"given {', '.join(headings)}"
            )
    return found


def _column(index: int, heading: str) -> _Column | None:
    for pattern in (_BRACKETED, _TRAILING, None):
        match = pattern.fullmatch(heading) if pattern else None
        if pattern and not match:
            continue
        words = frozenset(_words(match["words"] if match else heading))
        role = next((role for role in _ROLES if role.fits(words)), None)
        if role:
            return _Column(index, heading, role, _unit(heading, match["unit"] if match else None, role))
    return None


def _words(text: str) -> list[str]:
    return re.findall(r"[a-z]+|\d+", re.sub(r"(?<=[a-z])(?=[A-Z])", " ", text).lower())


def _unit(heading: str, given: str | None, role: _Role) -> str | None:
    needed = " or ".join(filter(None, (", ".join(list(role.units)[:-1]), list(role.units)[-1])))
    unit = _CANONICAL.get(given.strip().lower()) if given is not None else None
    if unit in role.units:
        return unit
    if given is not None and role.units is not _TIMES:
        raise WindRecordError(
            f'column "{heading}": "{given}" is no unit known for the {role.name}; needed {needed}; write the '
            f'heading like "{role.example}"'
        )
    if role.units is _SPEEDS:
        raise WindRecordError(
            f'column "{heading}" has no unit; needed {needed} in its heading; write it like "{role.example}"'
        )
    return None


def _entry(row: list[str], line: int, width: int, columns: dict[str, _Column], comma: bool) -> _Entry | None:
    if len(row) != width:
        raise WindRecordError(
            f"line {line} has {len(row)} cells; needed {width} as in the heading line; a stray or missing "
            "separator is the usual cause"
        )
    cells = {name: row[column.index].strip() for name, column in columns.items()}
    cells = {name: "" if cell.lower() in _BLANK else cell for name, cell in cells.items()}
    if comma:
        cells = {name: cell.replace(",", ".") for name, cell in cells.items()}
    if not cells["time"]:
        raise _bad(line, columns["time"], "is blank", "a time", "fill it in or remove the line")
    if not cells["mean wind"]:
        return None
    time, offset = _time(cells["time"], line, columns["time"])
    mean = _speed(cells["mean wind"], line, columns["mean wind"])
    gust = _speed(cells["gust"], line, columns["gust"]) if cells.get("gust") else math.nan
    if gust < mean * (1.0 - 1e-9):
        raise _bad(
            line,
            columns["gust"],
            f'"{cells["gust"]}" is less than the mean wind',
            f'at least the mean of "{cells["mean wind"]}" in {columns["mean wind"].unit}',
            "correct it, or leave the cell blank where no gust was recorded",
        )
    direction = _direction(cells["wind direction"], mean, line, columns["wind direction"])
    return _Entry(line, time, offset, mean, gust, direction)


def _bad(line: int, column: _Column, wrong: str, needed: str, advice: str) -> WindRecordError:
    return WindRecordError(f'line {line}, column "{column.heading}": {wrong}; needed {needed}; {advice}')


def _number(cell: str) -> float | None:
    try:
        value = float(cell)
    except ValueError:
        return None
    return value if math.isfinite(value) else None


def _time(cell: str, line: int, column: _Column) -> tuple[float, bool]:
    """Seconds from some start, and whether the cell carries an offset from UTC."""
    number = _number(cell)
    if number is not None and column.unit:
        return number * column.factor, False
    if number is not None:
        advice = 'write the heading like "time [s]"'
        raise _bad(
            line, column, f'"{cell}" is a number without a unit', "ISO 8601, or a unit in the heading", advice
        )
    try:
        moment = datetime.fromisoformat(cell)
    except ValueError:
        advice = 'write it like "2031-05-14T18:30", or as numbers under a heading like "time [s]"'
        raise _bad(line, column, f'"{cell}" is not a time', "ISO 8601", advice) from None
    if moment.tzinfo:
        return moment.timestamp(), True
    return (moment - datetime(1970, 1, 1)).total_seconds(), False


def _speed(cell: str, line: int, column: _Column) -> float:
    number = _number(cell)
    top = GREATEST / column.factor
    if number is None or not 0.0 <= number <= top * (1.0 + 1e-9):
        wrong = f'"{cell}" is not a number' if number is None else f'"{cell}" is out of range'
        advice = "correct the cell, or leave it blank where nothing was recorded"
        raise _bad(line, column, wrong, f"0 to {top:.4g} {column.unit}", advice)
    return number * column.factor


def _direction(cell: str, mean: float, line: int, column: _Column) -> float:
    number = _number(cell)
    if not cell and mean <= CALM:
        return math.nan
    if number is None or not 0.0 <= number <= 360.0:
        wrong = (
            "is blank"
            if not cell
            else f'"{cell}" is not a number'
            if number is None
            else f'"{cell}" is out of range'
        )
        advice = "correct the cell; it may be blank only where the mean wind is no more than 6 knots"
        raise _bad(line, column, wrong, "the degrees it blows from, 0 to 360", advice)
    return math.radians(number)


def _record(entries: list[_Entry]) -> WindRecord:
    if len(entries) < 2:
        raise WindRecordError(
            f"the record has {len(entries)} row(s) with a mean wind; needed two; bring a longer record"
        )
    for before, after in itertools.pairwise(entries):
        _check_order(before, after)
    time = np.array([entry.time for entry in entries])
    steps = np.diff(time)
    allowed = max(3600.0, 3.0 * float(np.median(steps)))
    widest = int(np.argmax(steps))
    if steps[widest] > allowed * (1.0 + 1e-9):
        raise WindRecordError(
            f"lines {entries[widest].line} to {entries[widest + 1].line}: no mean wind for "
            f"{steps[widest] / 60.0:.4g} min; needed one at least every {allowed / 60.0:.4g} min (an hour, "
            "or three times the usual step); fill the gap in or bring only the part before or after it"
        )
    direction = np.array([entry.direction for entry in entries])
    known = np.isfinite(direction)
    if not known.any():
        raise WindRecordError(
            "no row has a wind direction; needed at least one; add the direction it blows from"
        )
    return WindRecord(
        _frozen(time - time[0]),
        _frozen(np.array([entry.mean for entry in entries])),
        _frozen(np.array([entry.gust for entry in entries])),
        _frozen(np.interp(time, time[known], np.unwrap(direction[known])) % (2.0 * np.pi)),
    )


def _check_order(before: _Entry, after: _Entry) -> None:
    if after.offset != before.offset:
        raise WindRecordError(
            f"lines {before.line} and {after.line}: one time has an offset from UTC and the other none; "
            "needed the same kind in every row; write all with or all without"
        )
    if after.time <= before.time:
        wrong = "have the same time" if after.time == before.time else "go back in time"
        raise WindRecordError(
            f"lines {before.line} and {after.line} {wrong}; needed a later time in every row; sort the rows "
            "by time and keep one row for each"
        )


def _frozen(array: Floats) -> Floats:
    array.flags.writeable = False
    return array
