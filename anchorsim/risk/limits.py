"""How far it goes well: the wind, the scope and the snubber at which the odds pass a stated level.

Each is sought with spells that are the same at every value tried, and comes with the doubt that so many
spells leave.  A thing's odds are over gusts, holding and windage together, as in ``monte_carlo``.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from concurrent.futures import Executor
from dataclasses import dataclass
from typing import Literal

import numpy as np

from anchorsim.core import arguments
from anchorsim.core.display import Said, line
from anchorsim.core.units import Measure, Quantity, quantity, si
from anchorsim.dynamics.anchor_travel import DRAGS_FROM
from anchorsim.mooring.rode import assemble
from anchorsim.numerics.estimates import quantile
from anchorsim.numerics.interval import Interval
from anchorsim.numerics.threshold import Bools, Ints
from anchorsim.risk.assessment import Assessment
from anchorsim.risk.limit_search import SEARCHES, Limit, Search
from anchorsim.risk.monte_carlo import Cancel, Progress, Spells, numbers_from
from anchorsim.risk.outcome import SELDOM
from anchorsim.scenario.scenario import Scenario

FEWEST_SPELLS = 50  # to smooth over (judgement)
_CALM = 5.0 * 1852.0 / 3600.0  # m/s: winds below this are not sought in
_LEAST_SNUBBER = 1.0  # m
_UNDER_WATER = 0.999  # of the rode with which a bottom that rises comes out of the water


@dataclass(frozen=True)
class ScopeLimits(Said):
    """The least scope at which the anchor holds, and the greatest that keeps her in the room.

    Attributes
    ----------
    least : Limit
        The scope at which the anchor drags with the chance that was asked for.
    greatest : Limit or None
        The scope at which any part of her leaves the room with that chance; None where no room was given.
    room : Interval or None
        Swinging radius at the least scope that one spell in twenty passes; None where no scope is enough.
    fits : bool
        Whether some scope both holds and keeps her in the room.

    Examples
    --------
    >>> from anchorsim.risk.limit_search import LimitSI
    >>> at = Interval(3.9, 4.2, 4.6, kind="95 % confidence")
    >>> least = Limit("tackle.scope", 0.05, at, LimitSI((1.2, 8.1)), beyond="", spells=200)
    >>> ScopeLimits(least, greatest=None, room=None)
    <ScopeLimits: least 4.2 (3.9 to 4.6), greatest not sought>
    """

    least: Limit
    greatest: Limit | None
    room: Interval | None

    def __repr__(self) -> str:
        greatest = self.greatest.sentence() if self.greatest else "not sought"
        return line("ScopeLimits", [("least", self.least.sentence()), ("greatest", greatest)])

    @property
    def fits(self) -> bool:
        """Whether some scope both holds and keeps her in the room."""
        if self.least.beyond == "greatest":
            return False
        if self.greatest is None or self.greatest.beyond == "greatest":
            return True
        return self.greatest.found is not None and self._needed <= self.greatest.found.likely

    @property
    def _needed(self) -> float:
        return self.least.found.likely if self.least.found else self.least.si.tried[0]


def limit_wind(
    scenario: Scenario,
    chances: float | Sequence[float] = (0.01, 0.05, 0.5),
    count: int = 200,
    *,
    of: Literal["dragging", "failing"] = "dragging",
    clear_radius: float | str | Quantity | None = None,
    first: int = 0,
    executor: Executor | None = None,
    progress: Progress | None = None,
    cancel: Cancel | None = None,
) -> tuple[Limit, ...]:
    """Find the mean wind at which the chance of dragging, or of failing, passes each of some levels.

    Parameters
    ----------
    scenario : Scenario
        Boat, gear, anchorage and weather, with its survey and surroundings.
    chances : float or sequence of float
        The levels, of a chance per spell, above 0 and below 1.
    count : int
        How many spells, 50 or more; the same at every wind that is tried.
    of : {"dragging", "failing"}
        Of what: that the anchor drags, whatever becomes of the gear, or any way to fail (``Outcome.failed``).
    clear_radius : float, str or quantity, optional
        Free water about where the anchor is set (m, or with its unit), outside of which is failing;
        it ends at what lies round her too.
    first : int
        Number of the first spell, 0 or more.  A spell has the same gusts, holding and windage wherever its
        number is run.
    executor : concurrent.futures.Executor, optional
        Any, in place of threads on this machine; the result is the same to the last bit.
    progress : callable, optional
        Called now and then with how many spells are done and how many there are.
    cancel : callable, optional
        Asked several times a second whether to stop.

    Returns
    -------
    tuple of Limit
        One for each level, in m/s.

    Raises
    ------
    ArgumentError
        Where an argument does not fit, or the scenario's wind cannot be raised or lowered in proportion.
    CancelledError
        Where it was stopped.
    SpellsStoppedError
        Where workers stop; it holds the spells that were finished.

    Notes
    -----
    Gusts and a squall keep their proportion to the mean.  What happens in a spell at some wind is taken to
    happen in it at any stronger one.

    Examples
    --------
    >>> minute = Scenario().vary({"weather.duration": "60 s"})
    >>> (limit,) = limit_wind(minute, chances=0.5, count=50)
    >>> f"{limit.found.to('knot').likely:.0f} knot", limit.sentence()
    ('40 knot', '40 kn (39 to 41)')
    """
    arguments.instance("scenario", scenario, Scenario, "load one with Scenario.load")
    arguments.one_of("of", of, ("dragging", "failing"))
    free = arguments.room("clear_radius", clear_radius)
    radius = None if free is None else quantity(free, "m")
    wanted, weather = arguments.shares("chances", chances), scenario.weather
    if weather.record is not None:
        raise arguments.refused(
            "weather.record", "a recorded wind has no mean to raise", "a mean wind", "leave the record out"
        )
    mean = si(weather.mean_wind)
    if mean <= 0:
        raise arguments.refused(
            "weather.mean_wind", "no wind to raise", "more than 0 knot", "give a mean wind"
        )
    followers = [name for name in ("gust", "squall_wind") if getattr(weather, name) is not None]
    ratios = {name: si(getattr(weather, name)) / mean for name in followers}
    tops = [(_top("mean_wind"), 1.0), *((_top(name), ratio) for name, ratio in ratios.items() if ratio)]
    highest = 0.999 * min(top / ratio for top, ratio in tops)

    def vary(wind: float) -> Scenario:
        followed = {f"weather.{name}": quantity(ratio * wind, "m/s") for name, ratio in ratios.items()}
        return scenario.vary({"weather.mean_wind": quantity(wind, "m/s"), **followed})

    def failed(variant: Scenario, spells: Spells) -> Bools:
        return Assessment(variant, spells, radius).happened("failed")

    event = {"dragging": _dragged, "failing": failed}[of]
    search = Search(scenario, _numbers(count, first), executor, progress, cancel)
    span = (_CALM, highest)
    found = search.limits("weather.mean_wind", vary, event, span, wanted, rising=True, unit="m/s")
    return tuple(found)


def scope_limits(
    scenario: Scenario,
    room: float | str | Quantity | None = None,
    chance: float = 0.05,
    count: int = 200,
    *,
    first: int = 0,
    executor: Executor | None = None,
    progress: Progress | None = None,
    cancel: Cancel | None = None,
) -> ScopeLimits:
    """Find the least scope with which the anchor holds, and the greatest that keeps her within a room.

    Parameters
    ----------
    scenario : Scenario
        Boat, gear, anchorage and weather, with its survey and surroundings.
    room : float, str or quantity, optional
        Free water about where the anchor is set: m, or with its unit.
    chance : float
        Of dragging, and of leaving the room, per spell; above 0 and below 1.
    count : int
        How many spells, 50 or more; the same at every scope that is tried.
    first : int
        Number of the first spell, 0 or more.  A spell has the same gusts, holding and windage wherever its
        number is run.
    executor : concurrent.futures.Executor, optional
        Any, in place of threads on this machine; the result is the same to the last bit.
    progress : callable, optional
        Called now and then with how many spells are done and how many there are.
    cancel : callable, optional
        Asked several times a second whether to stop.

    Returns
    -------
    ScopeLimits
        As far as the rode aboard goes, and a bottom that rises along it stays under water.

    Raises
    ------
    ArgumentError
        Where an argument does not fit.
    CancelledError
        Where it was stopped.
    SpellsStoppedError
        Where workers stop; it holds the spells that were finished.

    Notes
    -----
    Spells in which the anchor drags do not count as leaving the room.  What lies round her is not looked at
    here, but by ``advise``.

    Examples
    --------
    >>> minute = Scenario().vary({"weather.duration": "60 s"})
    >>> scope_limits(minute, room=30.0, chance=0.5, count=50).fits
    True
    """
    arguments.instance("scenario", scenario, Scenario, "load one with Scenario.load")
    arguments.share("chance", chance)
    end = arguments.room("room", room)
    search = Search(scenario, _numbers(count, first), executor, progress, cancel)
    measure = Scenario.declaration("tackle.scope")
    assert isinstance(measure, Measure)
    steep = math.sin(assemble(scenario).slope)
    under_water = _UNDER_WATER * scenario.water_depth / steep if steep > 0.0 else math.inf
    longest = min(scenario.rode_aboard, under_water) / scenario.height
    span = (measure.low, min(measure.high, longest))

    def vary(scope: float) -> Scenario:
        return scenario.vary({"tackle.scope": scope})

    def outside(variant: Scenario, spells: Spells) -> Bools:
        return np.asarray((spells.radius > (math.inf if end is None else end)) & ~_dragged(variant, spells))

    (least,) = search.limits("tackle.scope", vary, _dragged, span, [chance], rising=False)
    greatest = None
    if end is not None:
        (greatest,) = search.limits("tackle.scope", vary, outside, span, [chance], rising=True)
    needed = None
    if least.beyond != "greatest":
        at = least.found.likely if least.found else span[0]
        needed = quantile(search.run(vary(at), search.numbers).radius, 1.0 - SELDOM, unit="m")
    return ScopeLimits(least, greatest, needed)


def least_snubber(
    scenario: Scenario,
    chance: float = 0.05,
    count: int = 200,
    *,
    first: int = 0,
    executor: Executor | None = None,
    progress: Progress | None = None,
    cancel: Cancel | None = None,
) -> Limit:
    """Find the least length of snubber with which a part in line passes its WLL with a chance.

    Parameters
    ----------
    scenario : Scenario
        Boat, gear, anchorage and weather, with its survey and surroundings.
    chance : float
        That some part passes its WLL, per spell; above 0 and below 1.
    count : int
        How many spells, 50 or more; the same at every length that is tried.
    first : int
        Number of the first spell, 0 or more.  A spell has the same gusts, holding and windage wherever its
        number is run.
    executor : concurrent.futures.Executor, optional
        Any, in place of threads on this machine; the result is the same to the last bit.
    progress : callable, optional
        Called now and then with how many spells are done and how many there are.
    cancel : callable, optional
        Asked several times a second whether to stop.

    Returns
    -------
    Limit
        In m.

    Raises
    ------
    ArgumentError
        Where an argument does not fit, or a snubber cannot be used, for there is too little chain.
    CancelledError
        Where it was stopped.
    SpellsStoppedError
        Where workers stop; it holds the spells that were finished.

    Examples
    --------
    >>> minute = Scenario().vary({"weather.duration": "60 s", "weather.mean_wind": "30 knot"})
    >>> least_snubber(minute, chance=0.5, count=50).sentence()
    '11 m (5.3 to 18)'
    """
    arguments.instance("scenario", scenario, Scenario, "load one with Scenario.load")
    arguments.share("chance", chance)
    chain = min(si(scenario.tackle.chain.length), scenario.paid_out) - 0.5
    if chain <= _LEAST_SNUBBER or scenario.paid_out > si(scenario.tackle.chain.length) + 1e-9:
        raise arguments.refused(
            "tackle.snubber",
            "a snubber hooks on to chain, and the rode at the bow is rope",
            "chain for all that is let out",
            "add chain or let out less",
        )
    search = Search(scenario, _numbers(count, first), executor, progress, cancel)
    span = (_LEAST_SNUBBER, min(_top("length", "tackle.snubber"), chain))

    def vary(length: float) -> Scenario:
        return scenario.vary({"tackle.snubber.length": quantity(length, "m")})

    def overloaded(variant: Scenario, spells: Spells) -> Bools:
        return Assessment(variant, spells).happened("overloaded")

    (found,) = search.limits(
        "tackle.snubber.length", vary, overloaded, span, [chance], rising=False, unit="m"
    )
    return found


def _dragged(_: Scenario, spells: Spells) -> Bools:
    """The anchor alone, whatever becomes of the gear."""
    return np.asarray(spells.drag >= DRAGS_FROM)


def _top(name: str, parent: str = "weather") -> float:
    """The greatest that a quantity can be set to, SI."""
    measure = Scenario.declaration(f"{parent}.{name}")
    assert isinstance(measure, Measure)
    return si(quantity(measure.high, measure.unit))


def _numbers(count: int, first: int) -> Ints:
    return numbers_from(first, arguments.count("count", count, FEWEST_SPELLS))


__all__ = ["FEWEST_SPELLS", "SEARCHES", "Limit", "ScopeLimits", "least_snubber", "limit_wind", "scope_limits"]
