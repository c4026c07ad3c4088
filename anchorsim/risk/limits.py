"""How far it goes well: the wind, the scope and the snubber at which the odds pass a stated level.

Each is sought with spells that are the same at every value tried, and comes with the doubt that so many
spells leave.  A thing's odds are over gusts, holding and windage together, as in ``monte_carlo``.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from concurrent.futures import CancelledError, Executor
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from anchorsim.core import arguments
from anchorsim.core.display import Said, line
from anchorsim.core.units import Measure, quantity, si
from anchorsim.dynamics.anchor_travel import DRAGS_FROM
from anchorsim.mooring.rode import assemble
from anchorsim.numerics.estimates import FEWEST, quantile
from anchorsim.numerics.interval import Interval
from anchorsim.numerics.threshold import Bools, Floats, Ints, change_overs, smooth
from anchorsim.risk.assessment import Assessment
from anchorsim.risk.draws import scores_of
from anchorsim.risk.monte_carlo import Cancel, Progress, Spells, numbers_from, spells_numbered
from anchorsim.risk.outcome import SELDOM
from anchorsim.scenario.scenario import Scenario
from anchorsim.strength.degradation import as_found

FEWEST_SPELLS = 50  # to smooth over (judgement)
SEARCHES = 5  # times its spells that a search runs, as far as can be told before
_CALM = 5.0 * 1852.0 / 3600.0  # m/s: winds below this are not sought in
_LEAST_SNUBBER = 1.0  # m
_UNDER_WATER = 0.999  # of the rode with which a bottom that rises comes out of the water
_SEEN = 3.0  # spells on the rarer side, below which a limit rests on the smoothing more than on spells
Event = Callable[[Scenario, Spells], Bools]


@dataclass(frozen=True)
class Limit(Said):
    """The value of ``path`` (SI) at which the chance of something passes ``chance``, with its 95 % band.

    ``found`` is None where the chance passes that level at no value: it then lies ``beyond`` the least or the
    greatest that was tried, ``tried``.  ``spells`` is how many the search used.  ``converged``: whether the
    smoothing of the spells came to rest.
    """

    path: str
    chance: float
    found: Interval | None
    tried: tuple[float, float]
    beyond: Literal["", "least", "greatest"]
    spells: int
    converged: bool = True

    def __repr__(self) -> str:
        return line("Limit", [(self.path, self.sentence()), ("for a chance of", f"{self.chance:g}")])

    @property
    def extrapolated(self) -> bool:
        """Whether it rests on the smoothing more than on spells, for too few lie on its rarer side."""
        return min(self.chance, 1.0 - self.chance) * self.spells < _SEEN


@dataclass(frozen=True)
class ScopeLimits(Said):
    """The least scope at which the anchor holds, and the greatest that keeps her in the room.

    ``room``: what she needs at the least scope, m, in 0.95 of spells; None where no scope is enough.
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
        return self.least.found.likely if self.least.found else self.least.tried[0]


@dataclass(frozen=True)
class _Search:
    """What all searches share: the spells, where they run, and who spells."""

    scenario: Scenario
    numbers: Ints
    executor: Executor | None
    progress: Progress | None
    cancel: Cancel | None

    def run(self, scenario: Scenario, numbers: Ints) -> Spells:
        """Spells of a variant as found.  Raises CancelledError where they were stopped."""
        found = spells_numbered(as_found(scenario), numbers, executor=self.executor, cancel=self.cancel)
        if not found.complete:
            raise CancelledError("Stopped. Start again to get a result.")
        return found

    def limits(
        self,
        path: str,
        vary: Callable[[float], Scenario],
        event: Event,
        span: tuple[float, float],
        chances: Sequence[float],
        *,
        rising: bool,
    ) -> list[Limit]:
        """The values at which the chance of an event passes each of some chances."""
        done = 0

        def happens(value: float, numbers: Ints) -> Bools:
            nonlocal done
            variant = vary(value)
            outcome = event(variant, self.run(variant, numbers))
            done += len(numbers)
            if self.progress:
                self.progress(done, max(done, SEARCHES * len(self.numbers)))
            return outcome

        changes = change_overs(happens, self.numbers, *span, rising=rising)
        inside = np.count_nonzero((changes >= span[0]) & (changes <= span[1]))
        law = (
            smooth(changes, scores_of(self.numbers)[:, [1, 0]], *span, rising=rising)
            if inside >= FEWEST
            else None
        )

        def limit(chance: float) -> Limit:
            share = chance if rising else 1.0 - chance
            found = law.crossing(chance, *span) if law else _counted(changes, share, span)
            under = float(np.mean(changes < math.sqrt(span[0] * span[1]))) >= share
            beyond: Literal["", "least", "greatest"] = "" if found else "least" if under else "greatest"
            settled = law is None or law.converged
            return Limit(path, chance, found, span, beyond, len(self.numbers), settled)

        return [limit(chance) for chance in chances]


def _counted(changes: Floats, share: float, span: tuple[float, float]) -> Interval | None:
    """The value under which a share of spells change over, where too few do inside to smooth over."""
    low, high = span
    found = quantile(np.clip(changes, 0.5 * low, 2.0 * high), share)
    if not low <= found.likely <= high:
        return None
    least, most = found.low if found.low >= low else 0.0, found.high if found.high <= high else math.inf
    return replace(found, low=least, high=most)


def limit_wind(
    scenario: Scenario,
    chances: float | Sequence[float] = (0.01, 0.05, 0.5),
    count: int = 200,
    *,
    first: int = 0,
    executor: Executor | None = None,
    progress: Progress | None = None,
    cancel: Cancel | None = None,
) -> tuple[Limit, ...]:
    """The mean wind (m/s) at which the chance of dragging passes each of some chances, or one.

    Gusts and a squall keep their proportion to the mean.  Raises ArgumentError where the scenario's wind
    cannot be raised or lowered in proportion, and CancelledError where it was stopped.
    """
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

    search = _Search(scenario, _numbers(count, first), executor, progress, cancel)
    span = (_CALM, highest)
    found = search.limits("weather.mean_wind", vary, _dragged, span, wanted, rising=True)
    return tuple(found)


def scope_limits(
    scenario: Scenario,
    room: float | None = None,
    chance: float = 0.05,
    count: int = 200,
    *,
    first: int = 0,
    executor: Executor | None = None,
    progress: Progress | None = None,
    cancel: Cancel | None = None,
) -> ScopeLimits:
    """The least scope with which the chance of dragging is ``chance``, and the greatest within ``room`` (m).

    As far as the rode aboard goes, and a bottom that rises along it stays under water.  The greatest is that
    at which any part of her comes beyond the room with the same chance, spells in which the anchor drags
    apart.  What lies round her is not looked at here, but by ``advise``.  Raises CancelledError
    where it was stopped.
    """
    search = _Search(scenario, _numbers(count, first), executor, progress, cancel)
    measure = Scenario.declaration("tackle.scope")
    assert isinstance(measure, Measure)
    steep = math.sin(assemble(scenario).slope)
    under_water = _UNDER_WATER * scenario.water_depth / steep if steep > 0.0 else math.inf
    longest = min(scenario.rode_aboard, under_water) / scenario.height
    span = (measure.low, min(measure.high, longest))

    def vary(scope: float) -> Scenario:
        return scenario.vary({"tackle.scope": scope})

    def outside(variant: Scenario, spells: Spells) -> Bools:
        return np.asarray((spells.radius > (math.inf if room is None else room)) & ~_dragged(variant, spells))

    (least,) = search.limits("tackle.scope", vary, _dragged, span, [chance], rising=False)
    greatest = None
    if room is not None:
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
    """The least snubber (m) with which a part in line passes its working load with the chance ``chance``.

    Raises ArgumentError where no snubber is in use for there is too little chain, and CancelledError where it
    was stopped.
    """
    chain = min(si(scenario.tackle.chain.length), scenario.paid_out) - 0.5
    if chain <= _LEAST_SNUBBER or scenario.paid_out > si(scenario.tackle.chain.length) + 1e-9:
        raise arguments.refused(
            "tackle.snubber",
            "a snubber hooks on to chain, and the rode at the bow is rope",
            "chain for all that is let out",
            "add chain or let out less",
        )
    search = _Search(scenario, _numbers(count, first), executor, progress, cancel)
    span = (_LEAST_SNUBBER, min(_top("length", "tackle.snubber"), chain))

    def vary(length: float) -> Scenario:
        return scenario.vary({"tackle.snubber.length": quantity(length, "m")})

    def overloaded(variant: Scenario, spells: Spells) -> Bools:
        return Assessment(variant, spells).happened("overloaded")

    (found,) = search.limits("tackle.snubber.length", vary, overloaded, span, [chance], rising=False)
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
