"""The door for a recorded wind: a CSV file that a person brings becomes plain arrays, or a clear complaint.

What is taken: a heading line, then rows in the order of time.  Columns are known by the words of their
headings, with the unit in brackets or at the end: ``time``, ``mean wind [knot]``, ``gust_kn``, ``wind_dir``.
Columns that are none of these are left alone.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from anchorsim.core.csv_columns import (
    ANGLES,
    SPEEDS,
    TIMES,
    Cell,
    ColumnError,
    CsvRow,
    Role,
    fault,
    number_in,
    read_table,
)
from anchorsim.core.errors import AnchorsimError
from anchorsim.core.units import quoted

Floats = NDArray[np.float64]

GREATEST = 100.0  # m/s; beyond it a cell is taken for a slip (judgement)
CALM = 3.1  # m/s; up to 6 knots a report may call the direction variable and leave it out
FROM = "the degrees it blows from"
_UNRECORDED = "correct it, or leave the cell blank where nothing was recorded"


class WindRecordError(AnchorsimError):
    """A wind record that does not fit; the text begins with the file, the line and the column.

    Examples
    --------
    >>> try:
    ...     read_record(Path("nowhere.csv"))
    ... except WindRecordError as error:
    ...     print(str(error).split(". ")[0])
    nowhere.csv: could not be read (no such file or directory)
    """


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


TIME = Role(
    "time",
    "time date datetime timestamp elapsed",
    "utc gmt local of and observation obs valid iso hour",
    TIMES,
    "time [s]",
    "always",
)
MEAN = Role(
    "mean wind",
    "mean average avg speed wind windspeed sustained",
    "10 m min minute minutes at of the true",
    SPEEDS,
    "mean wind [knot]",
)
GUST = Role(
    "gust",
    "gust gusts windgust",
    "wind speed peak max maximum 3 s second 10 m at of the",
    SPEEDS,
    "gust [knot]",
)
DIRECTION = Role(
    "wind direction",
    "direction dir winddir winddirection",
    "wind from mean true average avg of the",
    ANGLES,
    "wind direction [degree]",
    "plain",
)
ROLES = (TIME, MEAN, GUST, DIRECTION)


@dataclass(frozen=True)
class _Entry:
    """A row that holds a mean wind, in SI; ``offset``: its time is given with an offset from UTC."""

    line: int
    time: float
    offset: bool
    mean: float
    gust: float
    direction: float


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
    try:
        return read_table(source, ROLES, (TIME, MEAN, DIRECTION), _taken)
    except ColumnError as error:
        raise WindRecordError(str(error)) from None


def _taken(rows: Iterator[CsvRow]) -> WindRecord:
    return _record([entry for entry in map(_entry, rows) if entry])


def _entry(cells: CsvRow) -> _Entry | None:
    """What a row holds, or nothing where its mean wind is blank."""
    when, wind = cells["time"], cells["mean wind"]
    if not when.text:
        raise fault(when.where, "it is blank", "a time", "fill it in or delete the line")
    time, offset = _time(when)
    if not wind.text:
        return None
    mean, gust = speeds(cells)
    return _Entry(when.line, time, offset, mean, gust, cells["wind direction"].bearing(FROM))


def speeds(cells: CsvRow) -> tuple[float, float]:
    """Mean wind and gust of a row in m/s, the gust NaN where it is blank or there is no such column.

    Raises ColumnError where one is no speed, or the gust is less than the mean.
    """
    wind, gusts = cells["mean wind"], cells.get("gust")
    mean = wind.number(0.0, GREATEST, _UNRECORDED)
    if gusts is None or not gusts.text:
        return mean, math.nan
    gust = gusts.number(0.0, GREATEST, _UNRECORDED)
    if gust < mean * (1.0 - 1e-9):
        fits = f"at least {quoted(wind.text)[1:-1]} {wind.column.unit}"
        advice = "correct it, or leave the cell blank where no gust was recorded"
        raise fault(gusts.where, f"{quoted(gusts.text)} is below the mean wind", fits, advice)
    return mean, gust


def _time(entry: Cell) -> tuple[float, bool]:
    """Seconds from some start, and whether the cell carries an offset from UTC."""
    cell, column = entry.text, entry.column
    number = number_in(cell)
    if number is not None and column.unit:
        return number * column.factor, False
    if number is not None:
        advice = f'write the heading like "{TIME.example}"'
        raise fault(
            entry.where, f"{quoted(cell)} has no unit", f"ISO 8601, or {TIME.expected} in the heading", advice
        )
    try:
        moment = datetime.fromisoformat(cell)
    except ValueError:
        raise fault(
            entry.where, f"{quoted(cell)} is not a time", "ISO 8601", 'write it like "2031-05-14T18:30"'
        ) from None
    if moment.tzinfo:
        return moment.timestamp(), True
    return (moment - datetime(1970, 1, 1)).total_seconds(), False


def _record(entries: list[_Entry]) -> WindRecord:
    if len(entries) < 2:
        wrong, got = "too few rows with a mean wind", str(len(entries))
        raise fault("whole file", wrong, "at least 2", "use a longer record", got)
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
        raise fault(
            "whole file", "no row has a wind direction", "at least one", "fill in where it blows from"
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
        raise fault(where, wrong, "the same kind in every row", "write all with one or all without")
    if after.time <= before.time:
        wrong = "the time is the same" if after.time == before.time else "the time goes back"
        raise fault(where, wrong, "a later time in every row", "sort the rows and keep one for each time")


def _check_gaps(entries: list[_Entry], allowed: float, what: str) -> None:
    for before, after in itertools.pairwise(entries):
        gap = after.time - before.time
        if gap > allowed * (1.0 + 1e-9):
            wrong = f"no {what} for {gap / 60.0:.4g} min"
            fits = f"one every {allowed / 60.0:.4g} min (an hour, or three times the usual step)"
            advice = "fill the gap, or use only the part before or after it"
            raise fault(f"lines {before.line} to {after.line}", wrong, fits, advice)
