"""The weather a person describes, and the wind that comes of it.

A forecast gives a mean and gusts at 10 m; :func:`realise` draws one wind from that at the height of a
boat's windage.  Shifts, a squall and a recorded wind move the mean, and the turbulence follows it.
Stands on ``turbulence`` and ``wind_record``.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Any, Literal, get_args

import numpy as np
from numpy.typing import NDArray
from pydantic import Field, ValidationInfo, WrapValidator, field_validator

from anchorsim import turbulence
from anchorsim.tables import pick
from anchorsim.thing import Thing
from anchorsim.turbulence import STEP
from anchorsim.units import Measure, Quantity, quantity, si, write
from anchorsim.wind_record import WindRecord

Floats = NDArray[np.float64]

Exposure = Literal["in-land", "off-land", "off-sea", "at-sea"]
EXPOSURES: tuple[Exposure, ...] = get_args(Exposure)

LOWEST, HIGHEST = 0.5, 60.0  # m, the heights at which a wind is realised; over 60 m Kaimal's length stays put
_RISE, _HOLD = 0.2, 0.4  # shares of a squall's length before and at its peak: sharper in than out (judgement)
_optional = WrapValidator(lambda given, read: None if given is None else read(given))


class Weather(Thing):
    """Wind as a forecast gives it, at 10 m, and what happens during the watch.

    Raises ValueError (pydantic's) with a sentence at the field that is wrong.
    """

    mean_wind: Annotated[
        Quantity,
        Measure("mean wind", "knot", 0.0, 80.0, 1.0, "ten-minute mean at 10 m, as forecasts give it"),
    ] = quantity(20.0, "knot")
    exposure: Exposure = Field(
        default="off-sea", description="where the anchorage lies; says how gusty it is when no gust is given"
    )
    gust: Annotated[
        Quantity | None,
        Measure("gusts", "knot", 0.0, 140.0, 1.0, "greatest 3-second gust to expect in ten minutes, at 10 m"),
        _optional,
    ] = None
    direction: Annotated[
        Quantity,
        Measure("wind direction", "degree", 0.0, 360.0, 5.0, "where it blows from, clockwise from north"),
    ] = quantity(225.0, "degree")
    duration: Annotated[Quantity, Measure("length of the watch", "min", 1.0, 360.0, 1.0)] = quantity(
        10.0, "min"
    )
    shift: Annotated[
        Quantity,
        Measure("wind shift", "degree", -180.0, 180.0, 5.0, "positive veers (clockwise), negative backs"),
    ] = quantity(0.0, "degree")
    shift_start: Annotated[Quantity, Measure("shift begins", "min", 0.0, 360.0, 1.0)] = quantity(3.0, "min")
    shift_duration: Annotated[Quantity, Measure("shift takes", "min", 0.0, 360.0, 1.0)] = quantity(2.0, "min")
    record: str | None = Field(
        default=None, description="path of a CSV file whose wind replaces mean wind, gusts and direction"
    )
    record_start: Annotated[Quantity, Measure("watch begins, into the record", "h", 0.0, 8784.0, 1.0)] = (
        quantity(0.0, "h")
    )
    squall_wind: Annotated[
        Quantity,
        Measure("squall", "knot", 0.0, 100.0, 1.0, "mean wind at the squall's peak; 0 for no squall"),
    ] = quantity(0.0, "knot")
    squall_start: Annotated[Quantity, Measure("squall begins", "min", 0.0, 360.0, 1.0)] = quantity(3.0, "min")
    squall_duration: Annotated[Quantity, Measure("squall lasts", "min", 0.5, 360.0, 1.0)] = quantity(
        5.0, "min"
    )
    squall_shift: Annotated[
        Quantity, Measure("shift in the squall", "degree", -180.0, 180.0, 5.0, "veer (positive) at its peak")
    ] = quantity(0.0, "degree")

    @field_validator("gust")
    @classmethod
    def _gust_over_mean(cls, gust: Quantity | None, info: ValidationInfo) -> Quantity | None:
        mean = info.data.get("mean_wind")
        if gust is None or mean is None or si(gust) >= si(mean) * (1.0 - 1e-9):
            return gust
        raise ValueError(
            f"gusts of {write(gust)} are less than the mean wind; needed at least the mean wind of "
            f"{write(mean)}; raise the gusts, lower the mean wind, "
            "or leave the gusts out to have them from the exposure"
        )

    @field_validator("squall_wind")
    @classmethod
    def _squall_over_mean(cls, squall: Quantity, info: ValidationInfo) -> Quantity:
        mean = info.data.get("mean_wind")
        if mean is None or info.data.get("record") or not si(squall) or si(squall) >= si(mean) * (1.0 - 1e-9):
            return squall
        raise ValueError(
            f"a squall of {write(squall)} is less than the mean wind; needed 0 knot for no squall, or at "
            f"least the mean wind of {write(mean)}; raise the squall or lower the mean wind"
        )

    @field_validator("record")
    @classmethod
    def _record_named(cls, record: str | None) -> str | None:
        if record is None or record.strip():
            return record
        raise ValueError("the path is blank; needed the path of a CSV file; name one or leave the record out")

    @property
    def gust_factor(self) -> float:
        """Gust over mean: as stated, else by the exposure class (Harper, Kepert & Ginger 2010)."""
        if self.gust is not None and si(self.mean_wind):
            return max(1.0, si(self.gust) / si(self.mean_wind))
        return float(pick("gust_factors", exposure=self.exposure)["factor"])

    @property
    def effective_gust(self) -> Quantity:
        """The 3-second gust to expect in ten minutes at 10 m: as stated, else from the exposure."""
        return self.gust if self.gust is not None else self.mean_wind * self.gust_factor


@dataclass(frozen=True)
class Wind:
    """One wind: the air's velocity to the ``north`` and to the ``east``, m/s, every ``step`` seconds.

    A wind from the south-west has both positive.  The arrays are of one length and cannot be written to.
    """

    step: float
    north: Floats
    east: Floats

    @property
    def time(self) -> Floats:
        """Seconds from the start."""
        return self.step * np.arange(len(self.north), dtype=np.float64)

    @property
    def speed(self) -> Floats:
        """m/s."""
        return np.hypot(self.north, self.east)

    @property
    def direction_from(self) -> Floats:
        """Where it blows from, radians clockwise from north, 0 to 2π (0 where there is no wind)."""
        return np.where(self.speed > 0.0, np.arctan2(-self.east, -self.north) % (2.0 * np.pi), 0.0)


@dataclass(frozen=True)
class _Course:
    """What the weather does apart from turbulence, at 10 m on the time grid: m/s, m/s, rad."""

    mean: Floats
    gust: Floats
    direction: Floats
    reference: float  # m/s, the mean that sets the eddies' time scale; the same for any length of watch


def realise(weather: Weather, *, seed: int, height: float, record: WindRecord | None = None) -> Wind:
    """One wind out of those the weather can bring, at ``height`` m above the water.

    ``seed`` picks the turbulence: same seed, same weather, same bits.  The draws behind it depend on the
    seed alone, so two weathers with one seed have the same eddies in the same order, scaled; and a longer
    watch begins with the shorter one.  The expected (not every) greatest 3-second gust of ten minutes at
    10 m is the stated one.  In a gust far over the mean the wind along its mean direction may come out
    negative for a moment: it is a vector, the air then moves the other way.

    A ``record`` must be given where ``weather.record`` names one, and takes the place of mean wind, gusts
    and direction.  Raises ValueError where it is missing or too short, or the height is out of range.
    """
    if not LOWEST <= height <= HIGHEST:
        raise ValueError(
            f"height: {height:g} m is out of range; needed {LOWEST:g} to {HIGHEST:g} m above the water"
        )
    time = STEP * np.arange(round(si(weather.duration) / STEP) + 1, dtype=np.float64)
    course = _with_squall(weather, _with_shift(weather, _course(weather, record, time), time), time)
    mean_ratio, deviation_ratio = turbulence.profile(course.mean, height)
    at_height = course.reference * float(turbulence.profile(course.reference, height)[0])
    along, across = turbulence.eddies(seed, len(time), at_height, height)
    deviation = deviation_ratio * turbulence.deviation_for(course.mean, course.gust, course.reference)
    ahead = mean_ratio * course.mean + deviation * along
    aside = deviation * across
    cos, sin = np.cos(course.direction), np.sin(course.direction)
    return Wind(STEP, _frozen(-ahead * cos + aside * sin), _frozen(-ahead * sin - aside * cos))


def _course(weather: Weather, record: WindRecord | None, time: Floats) -> _Course:
    if record is not None:
        return _recorded(weather, record, time)
    if weather.record is not None:
        raise ValueError(f"record: {weather.record} was not read; needed its wind; read it and hand it over")
    mean = si(weather.mean_wind)
    return _Course(
        np.full_like(time, mean),
        np.full_like(time, max(mean, si(weather.effective_gust))),
        np.full_like(time, si(weather.direction)),
        mean,
    )


def _recorded(weather: Weather, record: WindRecord, time: Floats) -> _Course:
    start, length = si(weather.record_start), si(weather.duration)
    if start + length > record.length + 1e-6:
        raise ValueError(
            f"record: it holds {record.length / 60.0:.4g} min of wind; needed {(start + length) / 60.0:.4g} "
            "min; shorten the watch (duration), begin it earlier (record_start) or bring a longer record"
        )
    factor = float(pick("gust_factors", exposure=weather.exposure)["factor"])
    gust = np.where(np.isfinite(record.gust), record.gust, factor * record.mean)
    instant = start + time
    return _Course(
        np.interp(instant, record.time, record.mean),
        np.interp(instant, record.time, gust),
        np.interp(instant, record.time, np.unwrap(record.direction_from)),
        float(record.mean.mean()),
    )


def _ramp(share: Any) -> Floats:
    """0 up to 1 as the share goes from 0 to 1, by half a cosine: no kink at either end."""
    return np.asarray(0.5 - 0.5 * np.cos(np.pi * np.clip(share, 0.0, 1.0)))


def _with_shift(weather: Weather, course: _Course, time: Floats) -> _Course:
    since, length = time - si(weather.shift_start), si(weather.shift_duration)
    part = _ramp(since / length) if length else (since >= 0.0).astype(np.float64)
    return _Course(course.mean, course.gust, course.direction + si(weather.shift) * part, course.reference)


def _with_squall(weather: Weather, course: _Course, time: Floats) -> _Course:
    """Rise, hold and fall of the mean, and a veer in step with it; the gust factor stays what it was."""
    peak = si(weather.squall_wind)
    if not peak:
        return course
    share = (time - si(weather.squall_start)) / si(weather.squall_duration)
    envelope = _ramp(share / _RISE) * _ramp((1.0 - share) / (1.0 - _RISE - _HOLD))
    mean = course.mean + np.maximum(peak - course.mean, 0.0) * envelope
    factor = np.divide(
        course.gust, course.mean, out=np.full_like(mean, weather.gust_factor), where=course.mean > 0
    )
    direction = course.direction + si(weather.squall_shift) * envelope
    return _Course(mean, np.maximum(course.gust, factor * mean), direction, course.reference)


def _frozen(array: Floats) -> Floats:
    array.flags.writeable = False
    return array
