"""A forecast of wind, hour by hour, with tide and current where it has them: typed, or from a CSV file.

Each row stands until the next, the last for as long as the one before it.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, fields, replace
from pathlib import Path
from typing import Any, cast

import numpy as np
from numpy.typing import NDArray

from anchorsim.core import arguments, display
from anchorsim.core.amount import Amount
from anchorsim.core.clock import Clock, Given, check_gaps, on_one_clock
from anchorsim.core.csv_columns import ANGLES, LENGTHS, SPEEDS, ColumnError, CsvRow, Role, fault, read_table
from anchorsim.core.errors import AnchorsimError, sentence
from anchorsim.core.reading import FORECAST_ROWS
from anchorsim.core.tables import nearest
from anchorsim.core.units import Measure, quantity, quoted, si
from anchorsim.environment.tide import HEIGHT
from anchorsim.environment.wind_record import CALM, DIRECTION, FROM, GUST, MEAN, TIME, speeds
from anchorsim.scenario.site import Spot
from anchorsim.scenario.weather import Weather

Floats = NDArray[np.float64]

SHORTEST, LONGEST = 60.0, 3.0 * 3600.0  # s between rows; over more a tide is nearly missed (judgement)
_MEASURES: dict[str, Measure] = {
    "mean_wind": Weather.measure("mean_wind"),
    "gust": Weather.measure("gust"),
    "direction": Weather.measure("direction"),
    "tide": HEIGHT,
    "current": Spot.measure("current"),
    "current_set": Spot.measure("current_set"),
}
_TIDE = Role("tide", "tide tidal", "height of level the", LENGTHS, "tide [m]")
_CURRENT = Role("current", "current stream", "speed rate drift tidal tide of the", SPEEDS, "current [knot]")
_SET = Role(
    "current set",
    "set sets",
    "current stream tidal tide of the towards to direction",
    ANGLES,
    "current set [degree]",
    "plain",
)


class ForecastError(AnchorsimError):
    """A forecast that does not fit; the text begins with the row, or the file and the line.

    Examples
    --------
    >>> try:
    ...     make_forecast([{"time": "21:00", "mean_wind": "20 knot"}])
    ... except ForecastError as error:
    ...     print(error)
    forecast.0.direction: missing. Expected a value. Write one.
    """


@dataclass(frozen=True, eq=False)
class ForecastSI:
    """A forecast row by row in SI floats, (n,) each: see :class:`Forecast`; s, m/s, rad, m."""

    clock: Clock
    time: Floats
    lasts: Floats
    mean_wind: Floats
    gust: Floats
    direction: Floats
    tide: Floats
    current: Floats
    current_set: Floats

    def __len__(self) -> int:
        return len(self.time)

    @property
    def end(self) -> float:
        """When the last row is over, s on :attr:`clock`."""
        return float(self.time[-1] + self.lasts[-1])

    def rows(self, kept: NDArray[np.bool_]) -> ForecastSI:
        """Only the rows that are ``kept``."""
        names = (entry.name for entry in fields(self) if entry.name != "clock")
        told: dict[str, Any] = {name: _fixed(getattr(self, name)[kept]) for name in names}
        return replace(self, **told)


@dataclass(frozen=True, eq=False, repr=False)
class Forecast(display.Tabled):
    """A forecast of the wind at 10 m, row by row, at least two.

    Attributes
    ----------
    time, lasts : quantity
        When each row begins on the clock, rising, and for how long it stands: arrays, as all are below.
    mean_wind, gust : quantity
        Mean wind, and gusts: NaN where none is given.
    direction : quantity
        Where the wind blows from.
    tide, current, current_set : quantity
        Height above the datum of the charted depths, speed, and where it flows to; NaN where there is none.
    end : quantity
        When the last row is over on the clock.
    clock : Clock
        What the times are counted from.
    si : ForecastSI
        The same as SI floats: s, m/s, rad, m.

    Examples
    --------
    >>> read_forecast(["time,wind [knot],gust [knot],dir", "18:00,10,15,200", "19:00,12,18,210"])
    <Forecast: rows 2, from 18:00, to 20:00, mean wind 10 to 12 knot, highest gust 18 knot>
    """

    si: ForecastSI

    time = Amount("s")
    lasts = Amount("s")
    mean_wind = Amount("m/s")
    gust = Amount("m/s")
    direction = Amount("radian")
    tide = Amount("m")
    current = Amount("m/s")
    current_set = Amount("radian")
    end = Amount("s")

    @property
    def clock(self) -> Clock:
        """What the times are counted from."""
        return self.si.clock

    def _facts(self) -> display.Facts:
        mean, gusts = self.si.mean_wind, self.si.gust
        low, high = (end / SPEEDS["knot"] for end in (mean.min(), mean.max()))
        known = gusts[np.isfinite(gusts)]
        return [
            ("rows", str(len(self))),
            ("from", self.clock.text(float(self.si.time[0]))),
            ("to", self.clock.text(self.si.end)),
            ("mean wind", f"{low:.3g} to {high:.3g} knot"),
            ("highest gust", _knots(float(known.max())) if known.size else "not given"),
        ]

    def __len__(self) -> int:
        return len(self.si)

    def between(self, dusk: Given, dawn: Given) -> Forecast:
        """The rows of a night: those that stand at any time from dusk until dawn.

        A time of day is the first from the forecast's beginning, or from dusk, on.  Raises ForecastError
        where one is no time, or the forecast does not reach from the one to the other.

        >>> rows = [{"time": f"{hour}:00", "mean_wind": "9 knot", "direction": "0 degree"} for hour in
        ...         (18, 19, 20, 21)]
        >>> night = make_forecast(rows).between("19:30", "21:00")
        >>> [night.clock.text(time) for time in night.time]
        ['19:00', '20:00']
        """
        told, clock = self.si, self.clock
        first = float(told.time[0])
        start = clock.at(dusk, first, "dusk", ForecastError)
        end = clock.at(dawn, start, "dawn", ForecastError)
        if not first <= start < end <= told.end:
            span = f"{clock.text(first)} to {clock.text(told.end)}"
            got = f"{clock.text(start)} to {clock.text(end)}"
            advice = "choose other times, or use a longer forecast"
            said = sentence("the night is outside the forecast", f"times within {span}", advice, got)
            raise ForecastError(f"forecast: {said}")
        return Forecast(told.rows((told.time + told.lasts > start) & (told.time < end)))


def make_forecast(rows: Sequence[Mapping[str, Any]]) -> Forecast:
    """A forecast from typed rows.

    Parameters
    ----------
    rows : sequence of dict
        At least two, each with ``time``, ``mean_wind`` and ``direction``, and if known ``gust``, ``tide``,
        ``current`` and ``current_set``: texts with their unit, or quantities.  Times are those of a clock,
        and then go on past midnight, or ISO 8601.  Tide and current are in all rows or in none.

    Returns
    -------
    Forecast
        Its rows.

    Raises
    ------
    ArgumentError, ForecastError
        With the number of the row that does not fit.

    Examples
    --------
    >>> make_forecast([
    ...     {"time": "23:00", "mean_wind": "15 knot", "direction": "225 degree"},
    ...     {"time": "00:00", "mean_wind": "18 knot", "direction": "225 degree", "gust": "26 knot"},
    ... ]).time.to("hour").m
    array([23., 24.])
    """
    given = arguments.sequence("rows", rows, "rows, each a dict of time, mean_wind and direction")
    places = [f"forecast.{number}" for number in range(len(given))]
    values = [_typed(row, place) for row, place in zip(given, places, strict=True)]
    return _gathered([row["time"] for row in given], values, places)


def read_forecast(source: Path | str | Iterable[str]) -> Forecast:
    """Read a forecast from a CSV file.

    Parameters
    ----------
    source : path, str or iterable of str
        The file's path, or its lines.  Columns are known by their headings, with wind and current in knot,
        m/s, mph or km/h and the tide in m or ft as the heading says.

    Returns
    -------
    Forecast
        Its rows.

    Raises
    ------
    ForecastError
        With the file, the line and the column that do not fit.

    Notes
    -----
    Times are those of a clock, and then go on past midnight, or ISO 8601.  A blank gust is left to the
    exposure; a blank direction, which is allowed up to 6 knots, is bridged from its neighbours.

    Examples
    --------
    >>> rows = ["time,wind [knot],dir,tide [ft]", "18:00,10,200,10", "19:00,12,210,8"]
    >>> read_forecast(rows).mean_wind.to("knot").m.round(3)
    array([10., 12.])
    """
    if not isinstance(source, Path | str):
        source = arguments.sequence("source", source, "lines of text, or the path of a CSV file")
    roles = (TIME, MEAN, GUST, DIRECTION, _TIDE, _CURRENT, _SET)
    try:
        return read_table(source, roles, (TIME, MEAN, DIRECTION), _taken, FORECAST_ROWS)
    except ColumnError as error:
        raise ForecastError(str(error)) from None


Values = dict[str, float]


def _typed(row: Mapping[str, Any], place: str) -> Values:
    """A typed row in SI, without its time."""
    if not isinstance(row, Mapping):
        fits = "a dict such as {'time': '21:00', 'mean_wind': '20 knot', 'direction': '225 degree'}"
        raise ForecastError(f"{place}: {sentence(f'{quoted(row)} is not a row', fits)}")
    values = {}
    for name, given in row.items():
        if name not in _MEASURES and name != "time":
            known = ["time", *_MEASURES]
            fits = f"one of {', '.join(known)}{nearest(name, known)}"
            said = sentence(f"unknown name {quoted(name)[1:-1]}", fits, "correct or delete it")
            raise ForecastError(f"{place}.{name}: {said}")
        if name in _MEASURES and given is not None:
            try:
                values[name] = si(cast(Any, _MEASURES[name].read(given)))
            except AnchorsimError as error:
                raise ForecastError(f"{place}.{name}: {error}") from None
    for name in ("time", "mean_wind", "direction"):
        if row.get(name) is None:
            raise ForecastError(f"{place}.{name}: {sentence('missing', 'a value', 'write one')}")
    return values


def _taken(rows: Iterator[CsvRow]) -> Forecast:
    times, values, places = [], [], []
    for cells in rows:
        for name in ("time", "mean wind"):
            if not cells[name].text:
                raise fault(cells[name].where, "it is blank", f"a {name}", "fill it in or delete the line")
        mean, gust = speeds(cells)
        found = {"mean_wind": mean, "gust": gust, "direction": cells["wind direction"].bearing(FROM)}
        low, high = (si(quantity(end, HEIGHT.unit)) for end in (HEIGHT.low, HEIGHT.high))
        if "tide" in cells and cells["tide"].text:
            found["tide"] = cells["tide"].number(low, high, "correct it")
        if "current" in cells and cells["current"].text:
            most = si(quantity(_MEASURES["current"].high, _MEASURES["current"].unit))
            found["current"] = cells["current"].number(0.0, most, "correct it")
        if "current set" in cells:
            found["current_set"] = cells["current set"].bearing("the degrees it sets towards")
        values.append(found)
        times.append(cells["time"].text)
        places.append(f"line {cells['time'].line}")
    try:
        return _gathered(times, values, places)
    except ForecastError as error:
        raise ColumnError(str(error)) from None  # the door puts the file's name before it


def _gathered(times: Sequence[Given], values: Sequence[Values], places: Sequence[str]) -> Forecast:
    if len(values) < 2:
        said = sentence("too few rows", "at least 2", "use a longer forecast", got=str(len(values)))
        raise ForecastError(f"forecast: {said}")
    clock, seconds = on_one_clock(times, places, ForecastError)
    time = np.array(seconds)
    check_gaps(clock, time, places, LONGEST, "row", ForecastError)
    steps = np.diff(time)
    _check_steps(steps, places)
    columns = {name: np.array([row.get(name, math.nan) for row in values]) for name in _MEASURES}
    _check_winds(columns, places)
    _check_all_or_none(columns, places)
    slack = columns["current"] == 0.0
    columns["current_set"][slack & np.isnan(columns["current_set"])] = 0.0
    known = np.isfinite(columns["direction"])
    columns["direction"] = np.interp(
        time, time[known], np.unwrap(columns["direction"][known])
    ) % (2.0 * np.pi)  # fmt: skip
    lasts = np.append(steps, steps[-1])
    told = {name: _fixed(column) for name, column in columns.items()}
    return Forecast(ForecastSI(clock, _fixed(time), _fixed(lasts), **told))


def _check_steps(steps: Floats, places: Sequence[str]) -> None:
    for step, place in zip(steps, places[1:], strict=True):
        if step < SHORTEST:
            got = f"{step:g} s"
            said = sentence("too soon after the row before", f"at least {SHORTEST:g} s", "delete one", got)
            raise ForecastError(f"{place}: {said}")


def _check_winds(columns: Mapping[str, Floats], places: Sequence[str]) -> None:
    most = {name: si(quantity(_MEASURES[name].high, "knot")) for name in ("mean_wind", "gust")}
    for i, place in enumerate(places):
        mean, gust, direction = (float(columns[name][i]) for name in ("mean_wind", "gust", "direction"))
        for name, value in (("mean_wind", mean), ("gust", gust)):
            if value > most[name] * (1.0 + 1e-9):
                wrong = f"{_knots(value)} of {_MEASURES[name].label.lower()} is out of range"
                fits = f"at most {_knots(most[name])}"
                raise ForecastError(f"{place}: {sentence(wrong, fits, 'correct it')}")
        if gust < mean * (1.0 - 1e-9):
            wrong, fits = f"gusts of {_knots(gust)} are below the mean wind", f"at least {_knots(mean)}"
            advice = "correct them, or leave them blank for a typical value"
            raise ForecastError(f"{place}: {sentence(wrong, fits, advice)}")
        if math.isnan(direction) and mean > CALM:
            wrong = f"the wind of {_knots(mean)} has no direction"
            said = sentence(wrong, "one in every wind above 6 knots", "fill in where it blows from")
            raise ForecastError(f"{place}: {said}")
    if not np.isfinite(columns["direction"]).any():
        said = sentence("no row has a wind direction", "at least one", "fill in where it blows from")
        raise ForecastError(f"forecast: {said}")


def _knots(speed: float) -> str:
    return f"{speed / SPEEDS['knot']:.4g} knot"


def _check_all_or_none(columns: Mapping[str, Floats], places: Sequence[str]) -> None:
    current, towards = (np.isfinite(columns[name]) for name in ("current", "current_set"))
    given = (("tide", np.isfinite(columns["tide"])), ("current", current))
    for name, known in given:
        if known.any() and not known.all():
            said = sentence(f"no {name}, which other rows have", "it in all rows or in none", "fill it in")
            raise ForecastError(f"{places[int(np.argmin(known))]}: {said}")
    lost = np.flatnonzero((columns["current"] > 0.0) & ~towards)
    if lost.size:
        said = sentence("the current has no set", "the direction it flows to", "fill that in")
        raise ForecastError(f"{places[int(lost[0])]}: {said}")


def _fixed(array: Floats) -> Floats:
    array.flags.writeable = False
    return array
