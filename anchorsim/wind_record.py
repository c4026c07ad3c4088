"""The door for a recorded wind: a CSV file that a person brings becomes plain arrays, or a clear complaint.

What is taken: a heading line, then rows in the order of time.  Columns are known by the words of their
headings, with the unit in brackets or at the end: ``time``, ``mean wind [knot]``, ``gust_kn``, ``wind_dir``.
Columns that are none of these are left alone.
"""

from __future__ import annotations

import codecs
import csv
import itertools
import math
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from anchorsim.tables import nearest

Floats = NDArray[np.float64]

GREATEST = 100.0  # m/s; beyond it a cell is taken for a slip (judgement)
CALM = 3.1  # m/s; up to 6 knots a report may call the direction variable and leave it out
_TIMES = {"s": 1.0, "min": 60.0, "h": 3600.0}
_SPEEDS = {"knot": 1852.0 / 3600.0, "m/s": 1.0, "mph": 1609.344 / 3600.0, "km/h": 1.0 / 3.6}
_ANGLES = {"degree": math.pi / 180.0}
_SPELLINGS = {
    "s": "s sec secs second seconds",
    "min": "min mins minute minutes",
    "h": "h hr hrs hour hours",
    "knot": "knot knots kn kt kts",
    "m/s": "m/s ms-1 m.s-1 mps",
    "mph": "mph mi/h",
    "km/h": "km/h kmh kph kmph",
    "degree": "degree degrees deg degs °",
}
_CANONICAL = {spelling: unit for unit, group in _SPELLINGS.items() for spelling in group.split()}
_BLANK = {"", "-", "--", "na", "n/a", "nan", "null", "none"}
_NUMBER = re.compile(r"[-+]?(\d+\.?\d*|\.\d+)(e[-+]?\d+)?", re.I)
_BRACKETED = re.compile(r"(?P<words>.*?)\s*[\[(](?P<unit>[^\])]*)[\])]")
_TRAILING = re.compile(rf"(?P<words>.+?)[\s_]+(?P<unit>{'|'.join(map(re.escape, _CANONICAL))})", re.I)


class WindRecordError(ValueError):
    """A wind record that cannot be taken as it stands; the sentence says where, what and how to mend it."""


@dataclass(frozen=True)
class WindRecord:
    """A recorded wind, taken as at 10 m, in SI.

    Float64 arrays of one length, two rows at the least: ``time`` in s from the first row, rising;
    ``mean`` and ``gust`` in m/s, the gust NaN where none was recorded; ``direction_from`` in rad.
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
    """What a column can be: its heading has one of ``keys`` and nothing else beside but ``company``."""

    name: str
    keys: str
    company: str
    units: Mapping[str, float]
    example: str

    def fits(self, words: set[str]) -> bool:
        keys = set(self.keys.split())
        return bool(words & keys) and words <= keys | set(self.company.split())

    @property
    def needed(self) -> str:
        *rest, last = self.units
        return f"{', '.join(rest)} or {last}" if rest else last


_TIME = _Role(
    "time",
    "time date datetime timestamp elapsed",
    "utc gmt local of and observation obs valid iso hour",
    _TIMES,
    "time [s]",
)
_MEAN = _Role(
    "mean wind",
    "mean average avg speed wind windspeed sustained",
    "10 m min minute minutes at of the true",
    _SPEEDS,
    "mean wind [knot]",
)
_GUST = _Role(
    "gust",
    "gust gusts windgust",
    "wind speed peak max maximum 3 s second 10 m at of the",
    _SPEEDS,
    "gust [knot]",
)
_DIRECTION = _Role(
    "wind direction",
    "direction dir winddir winddirection",
    "wind from mean true average avg of the",
    _ANGLES,
    "wind direction [degree]",
)
_ROLES = (_TIME, _MEAN, _GUST, _DIRECTION)


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
    """A row that holds a mean wind, in SI; ``offset``: its time is given with an offset from UTC."""

    line: int
    time: float
    offset: bool
    mean: float
    gust: float
    direction: float


def _fault(where: str, wrong: str, needed: str, advice: str) -> WindRecordError:
    return WindRecordError(f"{where}: {wrong}; needed {needed}; {advice}")


def read_record(source: Path | str | Iterable[str]) -> WindRecord:
    """Read a recorded wind from a CSV file (its path) or from lines of text.

    - Cells are separated by commas, semicolons or tabs; with the latter two a decimal comma is understood.
    - Times are ISO 8601, or numbers with a unit in the heading (s, min, h), and rise from row to row.
    - Wind and gust are in knot, m/s, mph or km/h as their heading says; directions in degrees it blows from.
    - A cell that is empty, ``NA``, ``NaN``, ``null`` or ``-`` is blank.  A blank gust means that none was
      recorded.  A row without a mean wind is passed over.  A blank direction is bridged from its neighbours.
    - No more than an hour, or three times the usual step where that is longer, may lie between rows with a
      mean wind, or with a direction unless it blows no more than 6 knots: over so much the wind is
      interpolated, over more it would be invented.

    Raises WindRecordError.

    >>> read_record(["time [min],mean [m/s],dir", "0,8,350", "10,9,10"]).mean
    array([8., 9.])
    """
    if not isinstance(source, Path | str):
        return _read(list(source))
    path = Path(source)
    try:
        return _read(_decode(path.read_bytes()).splitlines())
    except OSError as error:
        raise _fault(
            str(path), str(error.strerror), "a CSV file that can be read", "check the path"
        ) from None
    except WindRecordError as error:
        raise WindRecordError(f"{path.name}: {error}") from None


def _decode(raw: bytes) -> str:
    if raw.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        return raw.decode("utf-16", errors="replace")
    if b"\0" in raw or raw.startswith(b"PK"):
        raise _fault("whole file", "this is not text", "CSV", "save it as CSV from the program that made it")
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError:
        return raw.decode("cp1252", errors="replace")  # what spreadsheet programs on Windows write


def _read(lines: Sequence[str]) -> WindRecord:
    heading = next((line for line in lines if line.strip()), None)
    if heading is None:
        raise _fault(
            "whole file", "it is empty", "a heading line and two rows at the least", "choose another file"
        )
    delimiter = max(",;\t", key=heading.count)
    reader = csv.reader(lines, delimiter=delimiter, skipinitialspace=True, strict=True)
    try:
        rows = [(reader.line_num, row) for row in reader if any(cell.strip() for cell in row)]
    except csv.Error as error:
        where = f"line {reader.line_num}"
        raise _fault(
            where, f"this is not CSV ({error})", "quotation marks in pairs", "correct the line"
        ) from None
    line, headings = rows[0]
    if len(headings) == 1:
        wrong, needed = (
            f'"{heading.strip()}" is a single column',
            "columns parted by commas, semicolons or tabs",
        )
        raise _fault(f"line {line}", wrong, needed, "save the file as CSV")
    columns = _columns([cell.strip().removeprefix("\ufeff") for cell in headings], f"line {line}")
    decimal = "." if delimiter == "," else ","
    entries = [_entry(row, len(headings), f"line {line}", columns, decimal, line) for line, row in rows[1:]]
    return _record([entry for entry in entries if entry])


def _columns(headings: list[str], where: str) -> dict[str, _Column]:
    found: dict[str, _Column] = {}
    for index, heading in enumerate(headings):
        column = _column(index, heading, where)
        if column and column.role.name in found:
            rival, name = found[column.role.name].heading, column.role.name
            wrong = f'"{rival}" and "{heading}" could both be the {name}'
            raise _fault(where, wrong, "one such column", "rename or remove one, or join them")
        if column:
            found[column.role.name] = column
    for role in (_TIME, _MEAN, _DIRECTION):
        if role.name not in found:
            wrong = (
                f"no column is the {role.name}{nearest(role.name, headings).replace('known name', 'heading')}"
            )
            raise _fault(
                where, wrong, f'a heading like "{role.example}"', f"were given {', '.join(headings)}"
            )
    return found


def _column(index: int, heading: str, where: str) -> _Column | None:
    bracketed, trailing = _BRACKETED.fullmatch(heading), _TRAILING.fullmatch(heading)
    for found in (bracketed, trailing):
        role = _role(found["words"]) if found else None
        unit = _CANONICAL.get(found["unit"].strip().lower()) if found else None
        if role and unit in role.units:
            return _Column(index, heading, role, unit)
    role = _role(heading) or (_role(bracketed["words"]) if bracketed else None)
    if role is None:
        return None
    plain = _role(heading) is not None
    if (role is _DIRECTION and plain) or role is _TIME:
        return _Column(index, heading, role, None)
    wrong = (
        "there is no unit" if plain or not bracketed else f'"{bracketed["unit"]}" is not a unit known here'
    )
    advice = f'write the heading like "{role.example}"'
    raise _fault(f'{where}, column "{heading}"', wrong, role.needed, advice)


def _role(heading: str) -> _Role | None:
    parted = re.sub(r"(?<=[a-z])(?=[A-Z])", " ", heading).lower()
    words = set(re.findall(r"[^\W\d_]+|\d+|[^\w\s()\[\]-]", parted))
    return next((role for role in _ROLES if role.fits(words)), None)


def _entry(
    row: list[str], width: int, where: str, columns: Mapping[str, _Column], decimal: str, line: int
) -> _Entry | None:
    """What a row holds, or nothing where its mean wind is blank."""
    if len(row) != width:
        advice = "look for a missing or stray separator, or a decimal comma"
        raise _fault(where, f"there are {len(row)} cells", f"{width} as in the heading line", advice)
    cells = {name: row[column.index].strip() for name, column in columns.items()}
    cells = {
        name: "" if cell.lower() in _BLANK else cell.replace(decimal, ".") for name, cell in cells.items()
    }
    places = {name: f'{where}, column "{column.heading}"' for name, column in columns.items()}
    if not cells["time"]:
        raise _fault(places["time"], "it is blank", "a time", "fill it in or remove the line")
    time, offset = _time(cells["time"], columns["time"], places["time"])
    if not cells["mean wind"]:
        return None
    mean = _speed(cells["mean wind"], columns["mean wind"], places["mean wind"])
    gust = _speed(cells["gust"], columns["gust"], places["gust"]) if cells.get("gust") else math.nan
    if gust < mean * (1.0 - 1e-9):
        needed = f"at least the mean wind of {cells['mean wind']} {columns['mean wind'].unit}"
        advice = "correct it, or leave the cell blank where no gust was recorded"
        raise _fault(places["gust"], f'"{cells["gust"]}" is less than the mean wind', needed, advice)
    return _Entry(
        line, time, offset, mean, gust, _direction(cells["wind direction"], places["wind direction"])
    )


def _number(cell: str) -> float | None:
    value = float(cell) if _NUMBER.fullmatch(cell) else math.inf
    return value if abs(value) < 1e15 else None


def _time(cell: str, column: _Column, where: str) -> tuple[float, bool]:
    """Seconds from some start, and whether the cell carries an offset from UTC."""
    number = _number(cell)
    if number is not None and column.unit:
        return number * column.factor, False
    if number is not None:
        advice = f'write the heading like "{_TIME.example}"'
        raise _fault(
            where, f'"{cell}" is a bare number', f"ISO 8601, or {_TIME.needed} in the heading", advice
        )
    try:
        moment = datetime.fromisoformat(cell)
    except ValueError:
        raise _fault(
            where, f'"{cell}" is not a time', "ISO 8601", 'write it like "2031-05-14T18:30"'
        ) from None
    if moment.tzinfo:
        return moment.timestamp(), True
    return (moment - datetime(1970, 1, 1)).total_seconds(), False


def _speed(cell: str, column: _Column, where: str) -> float:
    number, top = _number(cell), GREATEST / column.factor
    if number is None or not 0.0 <= number <= top:
        wrong = f'"{cell}" is {"not a number" if number is None else "out of range"}'
        advice = "correct it, or leave the cell blank where nothing was recorded"
        raise _fault(where, wrong, f"0 to {top:.4g} {column.unit}", advice)
    return number * column.factor


def _direction(cell: str, where: str) -> float:
    number = _number(cell)
    if not cell:
        return math.nan
    if number is None or not 0.0 <= number <= 360.0:
        wrong = f'"{cell}" is {"not a number" if number is None else "out of range"}'
        advice = "correct it, or leave the cell blank"
        raise _fault(where, wrong, "the degrees it blows from, 0 to 360", advice)
    return math.radians(number)


def _record(entries: list[_Entry]) -> WindRecord:
    if len(entries) < 2:
        wrong = f"rows with a mean wind: {len(entries)}"
        raise _fault("whole file", wrong, "two at the least", "bring a longer record")
    for before, after in itertools.pairwise(entries):
        _check_order(before, after)
    time = np.array([entry.time for entry in entries])
    allowed = max(3600.0, 3.0 * float(np.median(np.diff(time))))
    turned = [entry for entry in entries[1:-1] if entry.mean <= CALM or math.isfinite(entry.direction)]
    _check_gaps(entries, allowed, "mean wind")
    _check_gaps([entries[0], *turned, entries[-1]], allowed, "wind direction")
    direction = np.array([entry.direction for entry in entries])
    known = np.isfinite(direction)
    if not known.any():
        raise _fault(
            "whole file", "no row has a wind direction", "one at the least", "fill in where it blows from"
        )
    bridged = np.interp(time, time[known], np.unwrap(direction[known])) % (2.0 * np.pi)
    mean, gust = (np.array([getattr(entry, name) for entry in entries]) for name in ("mean", "gust"))
    for array in (time := time - time[0], mean, gust, bridged):
        array.flags.writeable = False
    return WindRecord(time, mean, gust, bridged)


def _check_order(before: _Entry, after: _Entry) -> None:
    where = f"lines {before.line} and {after.line}"
    if after.offset != before.offset:
        wrong = "one time has an offset from UTC and the other has none"
        raise _fault(where, wrong, "the same kind in every row", "write all with one or all without")
    if after.time <= before.time:
        wrong = "the time is the same" if after.time == before.time else "the time goes back"
        raise _fault(where, wrong, "a later time in every row", "sort the rows and keep one for each time")


def _check_gaps(entries: list[_Entry], allowed: float, what: str) -> None:
    for before, after in itertools.pairwise(entries):
        gap = after.time - before.time
        if gap > allowed * (1.0 + 1e-9):
            wrong = f"there is no {what} for {gap / 60.0:.4g} min"
            needed = f"one every {allowed / 60.0:.4g} min (an hour, or three times the usual step)"
            advice = "fill the gap, or bring only the part before or after it"
            raise _fault(f"lines {before.line} to {after.line}", wrong, needed, advice)
