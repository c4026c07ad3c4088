"""Times of a table as people write them, ``21:14`` or ``2031-05-14T21:14``, on one clock.

Plain clock times need no date: a row earlier in the day than the one before it is past midnight.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

from anchorsim.core.errors import AnchorsimError, sentence
from anchorsim.core.units import Quantity, quoted, si

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

        Two clocks without dates begin on one day.  Raises AnchorsimError where their kinds differ.
        """
        if self.kind != other.kind:
            raise AnchorsimError(
                sentence("the times do not match", self.kind, "write both alike", got=other.kind)
            )
        if self.day is None or other.day is None:
            return 0.0
        shift = (other.day - self.day).total_seconds()
        if self.offset is not None and other.offset is not None:
            shift += (self.offset - other.offset).total_seconds()
        return shift

    def text(self, time: float | Quantity) -> str:
        """The time of day, to the minute, of a ``time`` on this clock: s, or a quantity.

        >>> from anchorsim.core.units import quantity
        >>> Clock(None, None).text(25 * 3600.0), Clock(None, None).text(quantity(25.0, "hour"))
        ('01:00', '01:00')
        """
        elapsed = time if isinstance(time, float | int) else si(time)
        minutes = math.floor(elapsed / 60.0 + 0.5) % 1440
        return f"{minutes // 60:02d}:{minutes % 60:02d}"

    def at(self, given: Given, after: float, place: str, error: type[AnchorsimError]) -> float:
        """A time in seconds; one without a date is the first from ``after`` on.  Raises ``error``."""
        value = _read(given, place, error)
        if isinstance(value, time):
            own = _seconds(value, Clock(None, None))
            return own + DAY * math.ceil((after - own) / DAY)
        if _clock_of(value).kind != self.kind:
            wrong, fits = f"{quoted(given)} does not match the table", f"{self.kind}, or a time of day"
            said = sentence(wrong, fits, 'write for example "21:14"', got=_clock_of(value).kind)
            raise error(f"{place}: {said}")
        return _seconds(value, self)

    def moment(self, seconds: float) -> datetime | None:
        """The date and time, None where no date is known."""
        if self.day is None:
            return None
        return datetime.combine(self.day, time()) + timedelta(seconds=seconds)


def on_one_clock(
    given: Sequence[Given], places: Sequence[str], error: type[AnchorsimError]
) -> tuple[Clock, tuple[float, ...]]:
    """The clock of a table's times, and each in seconds on it, rising.

    ``places`` tell where each stands.  Raises ``error`` where one is not a time, they are of different kinds,
    or one is not later than the one before it.
    """
    read = [_read(value, place, error) for value, place in zip(given, places, strict=True)]
    clock = _clock_of(read[0])
    for value, place in zip(read, places, strict=True):
        if _clock_of(value).kind != clock.kind:
            fits, got = f"{clock.kind} in every row", _clock_of(value).kind
            said = sentence("times of two kinds", fits, "write all in the same way", got=got)
            raise error(f"{place}: {said}")
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
    error: type[AnchorsimError],
) -> None:
    """Raise ``error`` where a table has nothing for more than ``longest`` seconds; ``what`` its rows are."""
    for (before, after), place in zip(itertools.pairwise(seconds), places[1:], strict=True):
        if after - before > longest:
            wrong = f"no {what} for {(after - before) / 3600.0:.3g} h, from {clock.text(before)}"
            fits = f"at least one every {longest / 3600.0:g} h"
            raise error(f"{place}: {sentence(wrong, fits, 'add what is missing, or sort the rows')}")


def _past_midnight(seconds: list[float]) -> list[float]:
    """Times of day as seconds that go on: a day more from each that is earlier than the one before."""
    nights = itertools.accumulate(
        (after < before for before, after in itertools.pairwise(seconds)), initial=0
    )
    return [second + DAY * night for second, night in zip(seconds, nights, strict=True)]


def _check_rising(seconds: list[float], places: Sequence[str], error: type[AnchorsimError]) -> None:
    for (before, after), place in zip(itertools.pairwise(seconds), places[1:], strict=True):
        if after <= before:
            wrong = "the time is that of the row before" if after == before else "the time goes back"
            advice = "sort the rows and keep one of each time"
            raise error(f"{place}: {sentence(wrong, 'a later time in every row', advice)}")


def _read(value: Given, place: str, error: type[AnchorsimError]) -> datetime | time:
    found = _parsed(value.strip()) if isinstance(value, str) else value
    if not isinstance(found, datetime | time):
        advice = 'write it like "21:14" or "2031-05-14T21:14"'
        said = sentence(f"{quoted(value)} is not a time", "a time of day or ISO 8601", advice)
        raise error(f"{place}: {said}")
    if isinstance(found, time) and found.tzinfo is not None:
        advice = 'write it like "21:14" or "2031-05-14T21:14+02:00"'
        wrong = f"{quoted(value)} has an offset from UTC but no date"
        raise error(f"{place}: {sentence(wrong, 'both or neither', advice)}")
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
