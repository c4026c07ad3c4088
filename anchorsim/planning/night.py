"""A night at anchor: the hours of a forecast one by one, with the tide, on the rode that was let out at dusk.

Each hour is many spells of its own wind, the same spells in every hour.  Wind, tide and current stand still
through an hour and are those of its beginning; an anchor that dragged in one hour is let go anew in the next.
"""

from __future__ import annotations

import math
from concurrent.futures import Executor
from dataclasses import dataclass
from typing import Any, Literal, cast

import numpy as np
from numpy.typing import NDArray

from anchorsim.core import arguments
from anchorsim.core.display import Drawn, Said, line
from anchorsim.core.units import Measure, quantity, si
from anchorsim.dynamics.simulation import simulate
from anchorsim.dynamics.wave_motion import waves
from anchorsim.environment.tide import Tide
from anchorsim.numerics.estimates import chance
from anchorsim.numerics.interval import Interval
from anchorsim.planning.hours import (
    Circumstances,
    Grounding,
    circumstances,
    groundings,
    heights_of_tide,
    on_its_clock,
    paid_out,
)
from anchorsim.risk.assessment import Assessment
from anchorsim.risk.monte_carlo import Cancel, Progress, Spells, numbers_from, spells_each
from anchorsim.risk.outcome import LIMIT
from anchorsim.scenario.forecast import Forecast
from anchorsim.scenario.scenario import Scenario
from anchorsim.strength.degradation import as_found

Floats = NDArray[np.float64]
Cause = Literal["strongest gusts", "lowest scope", "strongest current", "highest waves", "waves"]

_ALIKE = 0.01  # share of a figure by which the hours must differ for one to be called the worst (judgement)
_SEA_TELLS = 0.1  # of the load: a sea that adds less is not what makes an hour hard (judgement)
_SPELLS, _SPELL = 4, 600.0  # spells, and s of each, that are run in a sea and without it
_KNOT = 1852.0 / 3600.0  # m/s: a current of less is not what makes an hour hard (judgement)


@dataclass(frozen=True, eq=False)
class Hour(Circumstances):
    """An hour of the night: what it brings, and what that comes to.

    ``bearing`` (rad) and ``distance`` (m): where her middle lies from the anchor in the mean of one spell;
    ``sea`` (m): significant height of the waves; ``sea_adds``: what they add to the greatest load at the bow,
    as a share of what it were without them.  ``assessment`` is None, and these as here, where she
    is aground and where it was cancelled before.
    """

    bearing: float = math.nan
    distance: float = math.nan
    sea: float = 0.0
    sea_adds: float = 0.0
    assessment: Assessment | None = None

    @property
    def over_limit(self) -> bool:
        """Whether failing is likelier than is accepted."""
        return self.assessment is not None and self.assessment.chance("failed").likely > LIMIT


@dataclass(frozen=True, eq=False)
class Night(Said, Drawn):
    """What a night comes to, hour by hour.

    Attributes
    ----------
    scenario : Scenario
        As she was anchored.
    forecast : Forecast
        Its rows are the hours; times are those of its clock.
    tide : Tide or None
        On the forecast's clock.
    count : int
        How many spells each hour was to have.
    paid_out : float
        Rode out from dusk on, m.
    hours : tuple of Hour
        Each with its ``time`` and how long it ``lasts`` (s), wind and current (m/s, rad), ``depth`` (m) and
        ``scope``, and its ``assessment``, None where she is aground.
    groundings : tuple of Grounding
        Times aground, s, with the least water, m.
    worst, first_over_limit : Hour or None
        The hour afloat in which she fails most often, and the first in which she fails in more than 5 in 100.
    failing : Interval or None
        The least chance that she fails in any hour afloat, with its 95 % band; None where some were not run.
    complete : bool
        Whether every hour afloat has all spells that were asked for.

    Examples
    --------
    >>> from anchorsim import make_forecast
    >>> evening = make_forecast([
    ...     {"time": "20:00", "mean_wind": "15 knot", "direction": "225 degree"},
    ...     {"time": "20:10", "mean_wind": "30 knot", "direction": "225 degree"},
    ... ])
    >>> overnight(Scenario(), evening, count=2)
    <Night: hours 2, spells in each 2, scenario Unnamed scenario>
    """

    scenario: Scenario
    forecast: Forecast
    tide: Tide | None
    count: int
    paid_out: float
    hours: tuple[Hour, ...]
    groundings: tuple[Grounding, ...]

    def __repr__(self) -> str:
        facts = [("hours", str(len(self.hours))), ("spells in each", str(self.count))]
        return line("Night", [*facts, ("scenario", self.scenario.title)])

    @property
    def complete(self) -> bool:
        """Whether every hour afloat has all spells that were asked for."""
        return all(_finished(hour, self.count) or hour.aground for hour in self.hours)

    @property
    def worst(self) -> Hour | None:
        """The hour afloat in which she fails most often; of several that in which she drags farthest, or
        else her most loaded part carries most of its WLL.  None where no hour afloat was run.
        """
        found = [hour for hour in self.hours if hour.assessment is not None]
        return max(found, key=_hardness, default=None)

    @property
    def first_over_limit(self) -> Hour | None:
        """The first hour over the limit, or None."""
        return next((hour for hour in self.hours if hour.over_limit), None)

    @property
    def failing(self) -> Interval | None:
        """The chance that she fails in any hour afloat, with its band; None where some were not run.

        It is the share of spells that fail in at least one hour, so the least that it can be: the luck of the
        gusts is the same in all hours, while new gusts would give her more chances to fail.
        """
        fails = [hour.assessment.happened("failed") for hour in self.hours if hour.assessment is not None]
        return chance(np.any(fails, axis=0)) if fails and self.complete else None

    def causes(self, hour: Hour) -> tuple[Cause, ...]:
        """What is at its worst of the night in an ``hour``, or counts beside that."""
        gusts, scopes, currents, seas = (
            np.array([getattr(each, name) for each in self.hours if not each.aground])
            for name in ("gust", "scope", "current", "sea")
        )
        found: list[Cause] = []
        if _stands_out(hour.gust, gusts):
            found.append("strongest gusts")
        if _stands_out(-hour.scope, -scopes):
            found.append("lowest scope")
        if hour.current >= _KNOT and _stands_out(hour.current, currents):
            found.append("strongest current")
        if hour.sea_adds > _SEA_TELLS:
            found.append("highest waves" if _stands_out(hour.sea, seas) else "waves")
        return tuple(found)


def overnight(
    scenario: Scenario,
    forecast: Forecast,
    tide: Tide | None = None,
    *,
    count: int = 20,
    executor: Executor | None = None,
    progress: Progress | None = None,
    cancel: Cancel | None = None,
) -> Night:
    """Go through a night hour by hour, in the winds of a forecast.

    Parameters
    ----------
    scenario : Scenario
        As she is anchored at the first row: its scope is let out there, and so much rode stays out.
    forecast : Forecast
        From its first row to its last (``forecast.between`` cuts a night out).  It takes the place of the
        scenario's wind, with its shift, squall and record, and its tide and current that of the scenario.
    tide : Tide, optional
        In place of one in the forecast.
    count : int
        How many spells in each hour, each as long as the hour.
    executor : concurrent.futures.Executor, optional
        Any, in place of threads on this machine; the result is the same to the last bit.
    progress : callable, optional
        Called now and then with how many spells are done and how many there are.
    cancel : callable, optional
        Asked several times a second whether to stop.

    Returns
    -------
    Night
        Where it was cancelled, of what was done.

    Raises
    ------
    ArgumentError
        Where an argument does not fit.
    TideError
        Where the tide does not reach over the night or is given twice.
    ScenarioError
        With the hour that does not fit.
    SpellsStoppedError
        Where workers stop; it holds the spells that were finished.

    Notes
    -----
    A spell has the same anchor's holding, windage and gusts in every hour, as far as the hours' winds allow.
    What lies round her ends her room, at each hour's height of tide.

    Examples
    --------
    >>> from anchorsim import make_forecast
    >>> evening = make_forecast([
    ...     {"time": "20:00", "mean_wind": "15 knot", "direction": "225 degree"},
    ...     {"time": "20:10", "mean_wind": "30 knot", "direction": "225 degree"},
    ... ])
    >>> night = overnight(Scenario(), evening, count=2)
    >>> night.forecast.clock.text(night.worst.time), [hour.assessment.count("held") for hour in night.hours]
    ('20:10', [2, 0])
    """
    arguments.instance("scenario", scenario, Scenario, "load one with Scenario.load")
    arguments.instance("forecast", forecast, Forecast, "read one with read_forecast")
    if tide is not None:
        arguments.instance("tide", tide, Tide, "make one with tide_curve")
    numbers = numbers_from(0, count)
    tide = None if tide is None else on_its_clock(forecast, tide)
    heights = heights_of_tide(scenario, forecast, tide)
    found = circumstances(scenario, forecast, heights)
    afloat = [each.scenario for each in found if each.scenario is not None]
    each_spells = spells_each(
        [as_found(each) for each in afloat],
        numbers,
        known=[None] * len(afloat),
        executor=executor,
        progress=progress,
        cancel=cancel,
    )
    results = [
        _result(then, spells) if len(spells) else {} for then, spells in zip(afloat, each_spells, strict=True)
    ]
    left = iter(results)
    return Night(
        scenario=scenario,
        forecast=forecast,
        tide=tide,
        count=count,
        paid_out=paid_out(scenario, si(scenario.spot.depth) + float(heights[0])),
        hours=tuple(Hour(**vars(each), **({} if each.aground else next(left))) for each in found),
        groundings=groundings(scenario, forecast, tide, heights),
    )


def _result(scenario: Scenario, spells: Spells) -> dict[str, Any]:
    """What an hour's spells come to, by the names of an hour."""
    bearing, distance = _mean_place(scenario)
    sea = waves(as_found(scenario)).height
    return {
        "bearing": bearing,
        "distance": distance,
        "sea": sea,
        "sea_adds": _sea_adds(scenario) if sea else 0.0,
        "assessment": Assessment(scenario, spells),
    }


def _mean_place(scenario: Scenario) -> tuple[float, float]:
    """Bearing (rad) and distance (m) of her middle from the anchor, in the mean of half a spell.

    The first half is left out, in which a current still moves her from where a spell begins.
    """
    track = simulate(as_found(scenario), seed=0).track
    half = len(track.time) // 2
    north, east = (
        float(np.mean(place[half:] - anchor[half:]))
        for place, anchor in ((track.x, track.anchor_x), (track.y, track.anchor_y))
    )
    return math.atan2(east, north) % (2.0 * math.pi), math.hypot(north, east)


def _sea_adds(scenario: Scenario) -> float:
    """What the waves add to the greatest load, as a share of that in the same gusts without them.

    With an anchor that stays: one that gives way would cap both.
    """
    heaviest = cast(Measure, Scenario.declaration("tackle.anchor.mass")).high
    spell = min(si(scenario.weather.duration), _SPELL)
    rough = as_found(scenario).vary(
        {"tackle.anchor.mass": quantity(heaviest, "kg"), "weather.duration": quantity(spell, "s")}
    )
    still = rough.vary({"spot.fetches": (), "weather.wave_height": quantity(0.0, "m")})
    loads = [
        sum(simulate(each, seed=seed).peak_bow_load for seed in range(_SPELLS)) for each in (rough, still)
    ]
    return loads[0] / loads[1] - 1.0


def _finished(hour: Hour, count: int) -> bool:
    return hour.assessment is not None and len(hour.assessment) == count


def _hardness(hour: Hour) -> tuple[float, float, float]:
    """How often she fails, how far the anchor comes in the mean (m), and how loaded the worst part is.

    In an hour in which the anchor drags at once the loads are lower than they would be.
    """
    found = hour.assessment
    assert found is not None
    return found.chance("failed").likely, float(found.spells.drag.mean()), found.most_loaded.use.likely


def _stands_out(value: float, among: Floats) -> bool:
    """Whether a figure is the greatest of a night in which it differs from hour to hour."""
    most, least = float(np.max(among)), float(np.min(among))
    return value >= most and most - least > _ALIKE * max(abs(most), abs(least))
