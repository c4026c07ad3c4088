"""The tide between high and low water, from the times and heights that a tide table gives."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from anchorsim.core import arguments, display
from anchorsim.core.amount import Amount
from anchorsim.core.clock import Clock, Given, check_gaps, on_one_clock
from anchorsim.core.errors import AnchorsimError, sentence
from anchorsim.core.reading import WATERS
from anchorsim.core.units import Measure, Quantity, quantity, quoted, si

Floats = NDArray[np.float64]

HEIGHT = Measure("Height of tide", "m", -5.0, 15.0, 0.1, "above the datum of the charted depths")
_LINE = re.compile(r"((?:\d{4}-\d\d-\d\d )?[^\s,;]+)[\s,;]+(.+)")  # a time, or date and time, and a height
_LONGEST_LINE = 100  # characters on the average
_IN_TURN = "high and low water in turn"
LONGEST = 16.0 * 3600.0  # s from high to low water; a tide once a day takes half a day (judgement)


class TideError(AnchorsimError):
    """A tide table that does not fit, or a time outside it; the text begins with the row or the line.

    Examples
    --------
    >>> try:
    ...     read_tide("15:00 4.2 m\\n21:00 high")
    ... except TideError as error:
    ...     print(error)
    line 2: "high" is not a number with a unit. Expected -5 to 15 m. Write for example "3 m".
    """


@dataclass(frozen=True, eq=False)
class TideSI:
    """High and low waters in turn, SI floats: ``time`` (s on the ``clock``) and ``height`` (m), (n,) each."""

    clock: Clock
    time: Floats
    height: Floats

    def at(self, time: ArrayLike) -> Floats:
        """Height of tide in m at times in s on :attr:`clock`, in the shape of ``time``.

        Half a cosine from each high or low water to the next, so that it stands still at both; the rule of
        twelfths is this curve in round numbers.  Raises TideError outside the table's times.
        """
        asked = np.asarray(time, dtype=np.float64)
        self._within(asked)
        last = len(self.time) - 2
        before = np.clip(np.searchsorted(self.time, asked, side="right") - 1, 0, last)
        share = (asked - self.time[before]) / (self.time[before + 1] - self.time[before])
        start, end = self.height[before], self.height[before + 1]
        return np.asarray(0.5 * (start + end) + 0.5 * (start - end) * np.cos(np.pi * share))

    def lowest(self, start: float, end: float) -> tuple[float, float]:
        """Time (s) and height (m) of the least water from ``start`` to ``end``, s on :attr:`clock`.

        Raises TideError where either is outside the table's times.
        """
        inside = self.time[(self.time > start) & (self.time < end)]
        times = np.concatenate([[start], inside, [end]])
        heights = self.at(times)
        least = int(np.argmin(heights))
        return float(times[least]), float(heights[least])

    def _within(self, asked: Floats) -> None:
        first, last = float(self.time[0]), float(self.time[-1])
        outside = asked[(asked < first) | (asked > last)]
        if outside.size:
            early = bool(outside.flat[0] < first)
            side = "before" if early else "after"
            wrong = f"{self.clock.text(float(outside.flat[0]))} is {side} the table"
            fits = f"{self.clock.text(first)} to {self.clock.text(last)}"
            raise TideError(f"tide: {sentence(wrong, fits, f'add the high or low water {side} that')}")


@dataclass(frozen=True, eq=False, repr=False)
class Tide(display.Tabled):
    """High and low waters in turn.

    Attributes
    ----------
    time : quantity
        Times of high and low water on the clock, rising: an array.
    height : quantity
        Heights of tide above the datum of the charted depths: an array.
    clock : Clock
        What the times are counted from.
    si : TideSI
        The same as SI floats: s, m.

    Examples
    --------
    >>> tide_curve([("15:00", "4.2 m"), ("21:00", "1.0 m")])
    <Tide: high and low waters 2, from 15:00, to 21:00, lowest 1 m, highest 4.2 m>
    """

    si: TideSI

    time = Amount("s")
    height = Amount("m")

    @property
    def clock(self) -> Clock:
        """What the times are counted from."""
        return self.si.clock

    def _facts(self) -> display.Facts:
        time, height = self.si.time, self.si.height
        return [
            ("high and low waters", str(len(time))),
            ("from", self.clock.text(float(time[0]))),
            ("to", self.clock.text(float(time[-1]))),
            ("lowest", f"{height.min():.3g} m"),
            ("highest", f"{height.max():.3g} m"),
        ]

    def at(self, time: Given | Quantity) -> Quantity:
        """Height of tide at a ``time``: a time of day or ISO 8601, or times counted as :attr:`time` is.

        Half a cosine from each high or low water to the next.  Raises TideError outside the table's times.
        """
        return quantity(self.si.at(self._seconds("time", time)), "m")

    def lowest(self, start: Given | Quantity, end: Given | Quantity) -> tuple[Quantity, Quantity]:
        """Time and height of the least water from ``start`` to ``end``, each as :meth:`at` takes it.

        Raises TideError where either is outside the table's times.
        """
        ends = (float(self._seconds(name, each)) for name, each in (("start", start), ("end", end)))
        time, height = self.si.lowest(*ends)
        return quantity(time, "s"), quantity(height, "m")

    def _seconds(self, name: str, given: Given | Quantity) -> Floats:
        if isinstance(given, Given):
            return np.asarray(self.clock.at(given, float(self.si.time[0]), name, TideError))
        try:
            return np.asarray(given.m_as("s"), dtype=np.float64)
        except (AttributeError, TypeError):  # no quantity, or one of another kind
            said = sentence(f"{quoted(given)} is not a time", "a time of day, or seconds on the clock")
            raise TideError(f"{name}: {said}") from None


def tide_curve(waters: Sequence[tuple[Given, str | Quantity]]) -> Tide:
    """The tide from the times and heights of high and low water.

    Parameters
    ----------
    waters : sequence of (time, height)
        In the order of time, at least 2.  Times are those of a clock, and then go on past midnight, or ISO
        8601; heights are texts with their unit or quantities, above the datum of the charted depths.

    Returns
    -------
    Tide
        Its height at any time between the first and the last.

    Raises
    ------
    ArgumentError, TideError
        Where the times are out of order, two neighbours are more than 16 hours apart, or heights do not go
        up and down in turn.

    Examples
    --------
    >>> f"{tide_curve([('15:00', '4.2 m'), ('21:00', '1.0 m')]).at('18:00'):.1f~P}"
    '2.6 m'
    """
    given = arguments.sequence("waters", waters, "times and heights")
    places = [f"tide.{row}" for row in range(len(given))]
    for water, place in zip(given, places, strict=True):
        if not isinstance(water, tuple | list) or len(water) != 2:
            said = sentence(f"{quoted(water)} is not a time and a height", "both", 'write ("21:40", "4.2 m")')
            raise TideError(f"{place}: {said}")
    return _gathered(given, places)


def read_tide(text: str) -> Tide:
    """The tide from a text that a person wrote.

    Parameters
    ----------
    text : str
        A line for each high or low water, its time and its height with the unit; empty lines do not count.

    Returns
    -------
    Tide
        As of :func:`tide_curve`.

    Raises
    ------
    TideError
        With the number of the line that does not fit.

    Examples
    --------
    >>> tide = read_tide("15:00 4.2 m\\n21:00 1.0 m")
    >>> f"{tide.at('18:00'):.1f~P}"
    '2.6 m'
    """
    if not isinstance(text, str):
        raise arguments.refused("text", f"{quoted(text)} is not text", "a line for each high or low water")
    if len(text) > WATERS * _LONGEST_LINE or text.count("\n") > WATERS:
        said = sentence("the table is too long", f"at most {WATERS} high and low waters", "use a part of it")
        raise TideError(f"tide: {said}")
    waters, places = [], []
    for number, line in enumerate(text.splitlines(), 1):
        if not line.strip():
            continue
        place, found = f"line {number}", _LINE.fullmatch(line.strip())
        if found is None:
            wrong = f"{quoted(line.strip())} is not a time and a height"
            said = sentence(wrong, "both, of a high or low water", 'write it like "21:40 4.2 m"')
            raise TideError(f"{place}: {said}")
        waters.append((found[1], found[2]))
        places.append(place)
    return _gathered(waters, places)


def _gathered(waters: Sequence[tuple[Given, str | Quantity]], places: Sequence[str]) -> Tide:
    if len(waters) < 2:
        fits, got = "at least 2, one before and one after every time asked for", str(len(waters))
        said = sentence("too few high and low waters", fits, "add the next one", got)
        raise TideError(f"tide: {said}")
    heights = np.array([_height(given, place) for (_, given), place in zip(waters, places, strict=True)])
    clock, seconds = on_one_clock([when for when, _ in waters], places, TideError)
    time = np.array(seconds)
    check_gaps(clock, time, places, LONGEST, "high or low water", TideError)
    _check_turns(heights, places)
    for array in (time, heights):
        array.flags.writeable = False
    return Tide(TideSI(clock, time, heights))


def _height(given: str | Quantity, place: str) -> float:
    try:
        value = HEIGHT.read(given)
    except AnchorsimError as error:
        raise TideError(f"{place}: {error}") from None
    assert not isinstance(value, float)
    return si(value)


def _check_turns(heights: Floats, places: Sequence[str]) -> None:
    steps = np.diff(heights)
    for row, step in enumerate(steps):
        if step == 0.0:
            said = sentence("as high as the one before", _IN_TURN, "delete one, or correct its height")
            raise TideError(f"{places[row + 1]}: {said}")
    for row in range(1, len(steps)):
        if steps[row] * steps[row - 1] > 0.0:
            on = "rising" if steps[row] > 0.0 else "falling"
            wrong = f"the water goes on {on} after it"
            said = sentence(wrong, _IN_TURN, "add the one that is missing, or delete this one")
            raise TideError(f"{places[row]}: {said}")
