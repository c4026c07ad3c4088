"""Times of a table as people write them, ``21:14`` or ``2031-05-14T21:14``, on one clock.

Plain clock times need no date: a row earlier in the day than the one before it is past midnight.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

from anchorsim.core.units import told

DAY = 86400.0  # s
Given = str | datetime | time


@dataclass(frozen=True)
class Clock:
    """What seconds are counted from: the midnight before the first row of a table.

    ``day`` is the date of that midnight, None where only clock times were given; ``offset`` is how far the
    clock is ahead of UTC, None where that was not given.
    """

    day: date | None
    offset: timedelta | None

    @property
    def kind(self) -> str:
        """What its times are, in words."""
        if self.day is None:
            return "clock times without a date"
        return "dates and times" + ("" if self.offset is None else " with an offset from UTC")

    def behind(self, other: Clock) -> float:
        """Seconds to add to times of the other clock to have them on this one.

        Two clocks without dates begin on one day.  Raises ValueError where the two are of different kinds.
        """
        if self.kind != other.kind:
            raise ValueError(f"{other.kind} cannot be laid beside {self.kind}")
        if self.day is None or other.day is None:
            return 0.0
        shift = (other.day - self.day).total_seconds()
        if self.offset is not None and other.offset is not None:
            shift += (self.offset - other.offset).total_seconds()
        return shift

    def text(self, seconds: float) -> str:
        """The time of day, to the minute.

        >>> Clock(None, None).text(25 * 3600.0)
        '01:00'
        """
        minutes = math.floor(seconds / 60.0 + 0.5) % 1440
        return f"{minutes // 60:02d}:{minutes % 60:02d}"

    def at(self, given: Given, after: float, place: str, error: type[ValueError]) -> float:
        """A time in seconds; one without a date is the first from ``after`` on.  Raises ``error``."""
        value = _read(given, place, error)
        if isinstance(value, time):
            own = _seconds(value, Clock(None, None))
            return own + DAY * math.ceil((after - own) / DAY)
        if _clock_of(value).kind != self.kind:
            raise error(
                f"{place}: {told(given)} is among {_clock_of(value).kind}; needed {self.kind}, as the table "
                'has them, or a time of day; write for example "21:14"'
            )
        return _seconds(value, self)

    def moment(self, seconds: float) -> datetime | None:
        """The date and time, None where no date is known."""
        if self.day is None:
            return None
        return datetime.combine(self.day, time()) + timedelta(seconds=seconds)


def on_one_clock(
    given: Sequence[Given], places: Sequence[str], error: type[ValueError]
) -> tuple[Clock, tuple[float, ...]]:
    """The clock of a table's times, and each in seconds on it, rising.

    ``places`` tell where each stands.  Raises ``error`` where one is no time, they are of different kinds,
    or one is not later than the one before it.
    """
    read = [_read(value, place, error) for value, place in zip(given, places, strict=True)]
    clock = _clock_of(read[0])
    for value, place in zip(read, places, strict=True):
        if _clock_of(value).kind != clock.kind:
            raise error(
                f"{place}: {_clock_of(value).kind} stand among {clock.kind}; needed one kind in the whole "
                "table; write all in the same way"
            )
    seconds = [_seconds(value, clock) for value in read]
    if clock.day is None:
        seconds = _past_midnight(seconds)
    _check_rising(seconds, places, error)
    return clock, tuple(seconds)


def check_gaps(
    clock: Clock,
    seconds: Iterable[float],
    places: Sequence[str],
    longest: float,
    what: str,
    error: type[ValueError],
) -> None:
    """Raise ``error`` where a table has nothing for more than ``longest`` seconds; ``what`` its rows are."""
    for (before, after), place in zip(itertools.pairwise(seconds), places[1:], strict=True):
        if after - before > longest:
            raise error(
                f"{place}: there is no {what} from {clock.text(before)} for "
                f"{(after - before) / 3600.0:.3g} h; needed one every {longest / 3600.0:g} h at the least; "
                "fill in what is missing, or sort the rows"
            )


def _past_midnight(seconds: list[float]) -> list[float]:
    """Times of day as seconds that go on: a day more from each that is earlier than the one before."""
    nights = itertools.accumulate(
        (after < before for before, after in itertools.pairwise(seconds)), initial=0
    )
    return [second + DAY * night for second, night in zip(seconds, nights, strict=True)]


def _check_rising(seconds: list[float], places: Sequence[str], error: type[ValueError]) -> None:
    for (before, after), place in zip(itertools.pairwise(seconds), places[1:], strict=True):
        if after <= before:
            wrong = "the time is that of the row before" if after == before else "the time goes back"
            raise error(
                f"{place}: {wrong}; needed a later time in every row; sort the rows and keep one of each time"
            )


def _read(value: Given, place: str, error: type[ValueError]) -> datetime | time:
    found = _parsed(value.strip()) if isinstance(value, str) else value
    if not isinstance(found, datetime | time):
        raise error(
            f"{place}: {told(value)} is not a time; needed a time of day or ISO 8601; write it like "
            '"21:14" or "2031-05-14T21:14"'
        )
    if isinstance(found, time) and found.tzinfo is not None:
        raise error(
            f"{place}: {told(value)} has an offset from UTC but no date; needed both or neither; write it "
            'like "21:14" or "2031-05-14T21:14+02:00"'
        )
    return found


def _parsed(text: str) -> datetime | time | None:
    for kind, whole in ((time, text if text[1:2] != ":" else f"0{text}"), (datetime, text)):
        try:
            if ":" in whole:
                return kind.fromisoformat(whole)
        except ValueError:
            continue
    return None


def _clock_of(value: datetime | time) -> Clock:
    return Clock(value.date() if isinstance(value, datetime) else None, value.utcoffset())


def _seconds(value: datetime | time, clock: Clock) -> float:
    if isinstance(value, time) or clock.day is None:
        return timedelta(hours=value.hour, minutes=value.minute, seconds=value.second).total_seconds()
    midnight = datetime.combine(clock.day, time())
    own = (value.replace(tzinfo=None) - midnight).total_seconds()
    return own + clock.behind(Clock(clock.day, value.utcoffset()))
