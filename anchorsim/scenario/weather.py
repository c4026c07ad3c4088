"""The weather a person describes, and the wind that comes of it.

A forecast gives a mean and gusts at 10 m; :func:`realise` draws one wind from that at the height of a
boat's windage.  Shifts, a squall and a recorded wind move the mean, and the turbulence follows it.
Stands on ``turbulence`` and ``wind_record``.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Any

import numpy as np
from numpy.typing import NDArray
from pydantic import Field, WrapValidator, model_validator

from anchorsim.core.errors import ArgumentError, TableError, sentence
from anchorsim.core.model import Thing, complaint
from anchorsim.core.tables import Choice, pick
from anchorsim.core.units import Measure, Quantity, quantity, si, write
from anchorsim.environment import turbulence
from anchorsim.environment.turbulence import STEP
from anchorsim.environment.wind_record import WindRecord, WindRecordError

Floats = NDArray[np.float64]

LOWEST, HIGHEST = 0.5, 60.0  # m, the heights at which a wind is realised
# s that a squall takes to its peak: gust fronts mostly a minute or less, never over two (about 500 of them in
# 4.5 years, UFC 4-159-03 §3-8.2, read).  One of less than three minutes takes a third of its length; what is
# left it holds for half and falls for half, so that it is no sharper out than in (judgement).
_RISE, _LONGEST_RISE, _HOLD = 60.0, 1.0 / 3.0, 0.5
_MOMENTS = 241  # of a spell at which the direction of its wind is looked at
HARD = 0.8  # of the greatest mean wind: what blows as hard counts for the way she lies (judgement)
_ROUNDING = 1.0 - 1e-9  # a limit converted to other units and back still counts
_optional = WrapValidator(lambda given, read: None if given is None else read(given))


class Weather(Thing):
    """Wind as a forecast gives it, at 10 m, and what happens during the spell.

    What does not fit is refused with a sentence at its field.
    """

    mean_wind: Annotated[
        Quantity,
        Measure("Mean wind", "knot", 0.0, 80.0, 1.0, "10-minute mean at 10 m, as forecasts give it"),
    ] = quantity(20.0, "knot")
    exposure: Annotated[str, Choice("Exposure", "gust_factors", "exposure")] = "off-sea"
    gust: Annotated[
        Quantity | None,
        Measure("Gust", "knot", 0.0, 140.0, 1.0, "highest 3-second gust in 10 minutes, at 10 m height"),
        _optional,
    ] = None
    direction: Annotated[
        Quantity,
        Measure("Wind direction", "degree", 0.0, 360.0, 5.0, "direction the wind blows from, true"),
    ] = quantity(225.0, "degree")
    duration: Annotated[Quantity, Measure("Simulated time", "min", 1.0, 360.0, 1.0)] = quantity(10.0, "min")
    shift: Annotated[
        Quantity,
        Measure("Wind shift", "degree", -180.0, 180.0, 5.0, "+ veers (clockwise), − backs"),
    ] = quantity(0.0, "degree")
    shift_start: Annotated[Quantity, Measure("Shift starts after", "min", 0.0, 360.0, 1.0)] = quantity(
        3.0, "min"
    )
    shift_duration: Annotated[Quantity, Measure("Shift lasts", "min", 0.0, 360.0, 1.0)] = quantity(2.0, "min")
    record: str | None = Field(
        default=None, description="path of a CSV file whose wind replaces mean wind, gusts and direction"
    )
    record_start: Annotated[Quantity, Measure("Start in the record", "h", 0.0, 8784.0, 1.0)] = quantity(
        0.0, "h"
    )
    squall_wind: Annotated[
        Quantity,
        Measure("Squall", "knot", 0.0, 100.0, 1.0, "mean wind at its peak; 0 = none"),
    ] = quantity(0.0, "knot")
    squall_start: Annotated[Quantity, Measure("Squall starts after", "min", 0.0, 360.0, 1.0)] = quantity(
        3.0, "min"
    )
    squall_duration: Annotated[Quantity, Measure("Squall lasts", "min", 0.5, 360.0, 1.0)] = quantity(
        5.0, "min"
    )
    squall_shift: Annotated[
        Quantity,
        Measure("Shift in the squall", "degree", -180.0, 180.0, 5.0, "at its peak; + veers, − backs"),
    ] = quantity(30.0, "degree")  # as about 60 % of gust fronts (UFC 4-159-03 §3-8.2); which way: judgement

    wave_height: Annotated[
        Quantity,
        Measure("Wave height", "m", 0.0, 6.0, 0.1, "significant; 0 = calculated from wind and fetch"),
    ] = quantity(0.0, "m")
    wave_period: Annotated[
        Quantity,
        Measure("Wave period", "s", 1.0, 20.0, 0.1, "peak period; needs a wave height"),
    ] = quantity(4.0, "s")
    wave_direction: Annotated[
        Quantity | None,
        Measure("Waves from", "degree", 0.0, 360.0, 5.0, "true; needs a wave height; blank = with the wind"),
        _optional,
    ] = None

    @model_validator(mode="after")
    def _holds_together(self) -> Weather:
        mean = self.mean_wind
        if self.gust is not None and si(self.gust) < si(mean) * _ROUNDING:
            advice = "raise the gust, lower the mean wind, or leave the gust blank for a typical value"
            wrong = f"{write(self.gust)} is below the mean wind"
            raise complaint("gust", sentence(wrong, f"at least {write(mean)}", advice))
        if not self.record and 0.0 < si(self.squall_wind) < si(mean) * _ROUNDING:
            wrong = f"{write(self.squall_wind)} is below the mean wind"
            fits = f"0 knot for no squall, or at least {write(mean)}"
            advice = "raise the squall or lower the mean wind"
            raise complaint("squall_wind", sentence(wrong, fits, advice))
        if self.record is not None and not self.record.strip():
            said = sentence("the path is blank", "the path of a CSV file", "name one or delete the record")
            raise complaint("record", said)
        self._check_start("shift", si(self.shift))
        self._check_start("squall", si(self.squall_wind))
        return self

    def _check_start(self, happening: str, size: float) -> None:
        start: Quantity = getattr(self, f"{happening}_start")
        if size and si(start) >= si(self.duration):
            wrong = f"{write(start)} is after the end of the spell"
            fits, advice = (
                f"less than {write(self.duration)}",
                f"begin the {happening} earlier or lengthen the spell",
            )
            raise complaint(f"{happening}_start", sentence(wrong, fits, advice))

    @property
    def exposure_factor(self) -> float:
        """Greatest 3-second gust of ten minutes over their mean, by the exposure class."""
        return gust_factor(self.exposure)

    @property
    def effective_gust(self) -> Quantity:
        """The 3-second gust to expect in ten minutes at 10 m: as stated, else from the exposure."""
        return self.gust if self.gust is not None else self.mean_wind * self.exposure_factor


def gust_factor(exposure: str, mean_time: float = turbulence.WINDOW) -> float:
    """Greatest 3-second gust of ``mean_time`` seconds over their mean, at 10 m over an exposure class.

    Harper, Kepert & Ginger (2010), WMO/TD-No. 1555, Table 1.1; factors of different times do not chain.
    Raises TableError where the table has no such class or time.
    """
    row, column = pick("gust_factors", exposure=exposure), f"factor {mean_time:g} s"
    if column not in row:
        times = ", ".join(name.split()[1] for name in row if name.startswith("factor"))
        wrong = f"no gust factor {exposure} for means of {mean_time:g} s"
        raise TableError(f"mean_time: {sentence(wrong, f'one of {times} s', 'choose one of them')}")
    return float(row[column])


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
    """What the weather does apart from turbulence, at 10 m: m/s, m/s, rad.

    On the time grid, or of no dimension where it stays the same.
    """

    mean: Floats
    gust: Floats
    direction: Floats
    reference: float  # m/s, the mean that sets the eddies' time scale


def realise(weather: Weather, *, seed: int, height: float, record: WindRecord | None = None) -> Wind:
    """One wind out of those the weather can bring, at ``height`` m above the water.

    ``seed`` picks the turbulence: same seed, same weather, same bits.  The draws behind it depend on the
    seed alone, so two weathers with one seed have the same eddies in the same order, scaled.  A longer spell
    begins with the shorter one (with a record only nearly so: there the mean of the spell sets the eddies'
    time scale; through a shift or a squall it stays that of the mean wind).

    The expected (not every) greatest 3-second gust of ten minutes at 10 m is the stated one.  In gusts far
    over the mean the wind along its mean direction may be negative for a moment: it is a vector, and the air
    then moves the other way.  The stated mean is that of the wind along its mean direction; the mean of the
    speed lies above it by half the square of the across-wind intensity.

    A ``record`` must be given where ``weather.record`` names one, and takes the place of mean wind, gusts
    and direction.  Raises WindRecordError where it is missing or too short, ArgumentError where the
    height is out of range.
    """
    if not LOWEST <= height <= HIGHEST:
        fits = f"{LOWEST:g} to {HIGHEST:g} m above the water"
        raise ArgumentError(f"height: {sentence(f'{height:g} m is out of range', fits)}")
    time = STEP * np.arange(round(si(weather.duration) / STEP) + 1, dtype=np.float64)
    course = _with_squall(weather, _with_shift(weather, _course(weather, record, time), time), time)
    mean_ratio, deviation_ratio = turbulence.profile(course.mean, height)
    along, across = turbulence.eddies(seed, len(time), course.reference)
    deviation = deviation_ratio * turbulence.deviation_for(course.mean, course.gust, course.reference)
    ahead = mean_ratio * course.mean + deviation * along
    aside = deviation * across
    cos, sin = np.cos(course.direction), np.sin(course.direction)
    return Wind(STEP, _frozen(-ahead * cos + aside * sin), _frozen(-ahead * sin - aside * cos))


def means(weather: Weather, time: Floats, record: WindRecord | None = None) -> tuple[Floats, Floats]:
    """Mean wind at 10 m (m/s) and where it blows from (rad) at times (s): with a shift, without a squall.

    It is what raises a sea, for which a squall is too short.  Raises as :func:`realise` does.
    """
    course = _with_shift(weather, _course(weather, record, time), time)
    return np.broadcast_to(course.mean, time.shape), np.broadcast_to(course.direction, time.shape)


def hard_wind(weather: Weather, record: WindRecord | None = None) -> tuple[float, Floats]:
    """The greatest mean wind at 10 m (m/s), a squall's too, and where it blows from (rad) while it is hard.

    That is at those of many moments of the spell at which it comes to HARD of the greatest.
    """
    time = np.linspace(0.0, si(weather.duration), _MOMENTS)
    course = _with_squall(weather, _with_shift(weather, _course(weather, record, time), time), time)
    mean, direction = np.broadcast_arrays(course.mean, course.direction + 0.0 * time)
    return float(mean.max()), np.asarray(direction[mean >= HARD * mean.max()])


def _course(weather: Weather, record: WindRecord | None, time: Floats) -> _Course:
    if record is not None:
        return _recorded(weather, record, time)
    if weather.record is not None:
        said = sentence(f"{weather.record} was not read", "its wind", "read it first with read_record")
        raise WindRecordError(f"weather.record: {said}")
    mean = si(weather.mean_wind)
    return _Course(
        np.asarray(mean),
        np.asarray(max(mean, si(weather.effective_gust))),
        np.asarray(si(weather.direction)),
        mean,
    )


def _recorded(weather: Weather, record: WindRecord, time: Floats) -> _Course:
    start, length = si(weather.record_start), si(weather.duration)
    if start + length > record.length + 1e-6:
        said = sentence(
            "the record is too short",
            f"at least {(start + length) / 60.0:.4g} min",
            "shorten the spell (duration), begin it earlier (record_start) or use a longer record",
            got=f"{record.length / 60.0:.4g} min",
        )
        raise WindRecordError(f"weather.record: {said}")
    gust = np.where(np.isfinite(record.gust), record.gust, weather.exposure_factor * record.mean)
    instant = start + time
    mean = np.interp(instant, record.time, record.mean)
    return _Course(
        mean,
        np.interp(instant, record.time, gust),
        np.interp(instant, record.time, np.unwrap(record.direction_from)),
        float(mean.mean()),
    )


def _ramp(share: Any) -> Floats:
    """0 up to 1 as the share goes from 0 to 1, by half a cosine: no kink at either end."""
    return np.asarray(0.5 - 0.5 * np.cos(np.pi * np.clip(share, 0.0, 1.0)))


def _with_shift(weather: Weather, course: _Course, time: Floats) -> _Course:
    if not si(weather.shift):
        return course
    since, length = time - si(weather.shift_start), si(weather.shift_duration)
    part = _ramp(since / length) if length else (since >= 0.0).astype(np.float64)
    return _Course(course.mean, course.gust, course.direction + si(weather.shift) * part, course.reference)


def _with_squall(weather: Weather, course: _Course, time: Floats) -> _Course:
    """Rise, hold and fall of the mean, and a veer in step with it; the rise is that of a gust front.

    Its gusts are those of the exposure, for the forecast's are those of the wind outside the squall.
    """
    peak = si(weather.squall_wind)
    if not peak:
        return course
    since, length = time - si(weather.squall_start), si(weather.squall_duration)
    rise = min(_RISE, _LONGEST_RISE * length)
    envelope = _ramp(since / rise) * _ramp((length - since) / ((1.0 - _HOLD) * (length - rise)))
    mean = course.mean + np.maximum(peak - course.mean, 0.0) * envelope
    gust = course.gust + np.maximum(weather.exposure_factor * peak - course.gust, 0.0) * envelope
    direction = course.direction + si(weather.squall_shift) * envelope
    return _Course(mean, np.maximum(gust, mean), direction, course.reference)


def _frozen(array: Floats) -> Floats:
    array.flags.writeable = False
    return array
