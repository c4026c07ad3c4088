"""A night at anchor: the hours of a forecast one by one, with the tide, on the rode that was let out at dusk.

Each hour is many spells of its own wind, the same spells in every hour.  Wind, tide and current stand still
through an hour and are those of its beginning; an anchor that dragged in one hour is let go anew in the next.
"""

from __future__ import annotations

import functools
import math
from collections.abc import Mapping
from concurrent.futures import Executor
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from anchorsim.core import arguments
from anchorsim.core.amount import Amount
from anchorsim.core.display import Drawn, Said, line
from anchorsim.core.units import Quantity, quantity, si
from anchorsim.dynamics.wave_motion import waves
from anchorsim.environment.tide import Tide
from anchorsim.numerics.estimates import chance
from anchorsim.numerics.interval import Interval
from anchorsim.planning.hour_figures import mean_place, sea_adds
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
_KNOT = 1852.0 / 3600.0  # m/s: a current of less is not what makes an hour hard (judgement)


@dataclass(frozen=True, eq=False)
class HourSI(Circumstances):
    """An hour of the night in SI floats: see :class:`Hour`; s, m/s, m, rad."""

    bearing: float = math.nan
    distance: float = math.nan
    sea: float = 0.0
    sea_adds: float = 0.0


@dataclass(frozen=True, eq=False)
class Hour:
    """An hour of the night: what it brings, and what that comes to.

    ``time`` on the forecast's clock and how long it ``lasts``; ``mean_wind`` and ``gust`` at 10 m, the
    ``direction`` it blows from; ``current`` and the direction of its ``current_set``; height of ``tide``,
    least ``depth`` of water from the anchor to her stern, ``scope``.  ``bearing`` and ``distance``: where her
    middle lies from the anchor in the mean of one spell; ``sea``: significant height of the waves;
    ``sea_adds``: what they add to the greatest load at the bow, as a share of what it were without them.
    ``assessment`` is None, and these NaN or 0, where she is aground and where it was cancelled before;
    ``scenario`` is None where she is aground.  ``si`` has the same as SI floats.
    """

    si: HourSI
    assessment: Assessment | None = None

    time = Amount("s")
    lasts = Amount("s")
    mean_wind = Amount("m/s")
    gust = Amount("m/s")
    direction = Amount("radian")
    current = Amount("m/s")
    current_set = Amount("radian")
    tide = Amount("m")
    depth = Amount("m")
    bearing = Amount("radian")
    distance = Amount("m")
    sea = Amount("m")

    @property
    def scope(self) -> float:
        """Rode out over the height of the roller above the bottom at the anchor."""
        return self.si.scope

    @property
    def sea_adds(self) -> float:
        """What the waves add to the greatest load at the bow, as a share."""
        return self.si.sea_adds

    @property
    def scenario(self) -> Scenario | None:
        """The scenario of the hour, None where she is aground."""
        return self.si.scenario

    @property
    def aground(self) -> bool:
        """Whether she draws more than there is water."""
        return self.si.aground

    @property
    def over_limit(self) -> bool:
        """Whether failing is likelier than is accepted."""
        return self.assessment is not None and self.assessment.chance("failed").likely > LIMIT


@dataclass(frozen=True)
class NightSI:
    """The night's own amount as an SI float: rode ``paid_out`` (m)."""

    paid_out: float


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
    hours : tuple of Hour
        Each with its ``time`` and how long it ``lasts``, wind and current, ``depth`` and ``scope``, and its
        ``assessment``, None where she is aground.
    groundings : tuple of Grounding
        Times aground, with the least water.
    paid_out : quantity
        Rode out from dusk on.
    si : NightSI
        The same as an SI float: m.
    worst, first_over_limit : Hour or None
        The hour afloat in which she fails most often, and the first in which she fails in more than 5 in 100.
    clear_radius : quantity or None
        Free water about where the anchor was set, besides what lies round her.
    failing : Interval or None
        The least chance that she fails in any hour afloat, with its 95 % band; None where some were not run.
    fails : (hours, spells) bool array
        Whether she fails, in each hour afloat and each spell.
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
    hours: tuple[Hour, ...]
    groundings: tuple[Grounding, ...]
    si: NightSI
    clear_radius: Quantity | None = None

    paid_out = Amount("m")

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
        return chance(self.fails.any(axis=0)) if self.complete and self.fails.size else None

    @functools.cached_property
    def fails(self) -> NDArray[np.bool_]:
        """Which spells fail in which hours afloat, (hours, spells); of a night that is complete."""
        found = [hour.assessment.happened("failed") for hour in self.hours if hour.assessment is not None]
        return np.array(found, dtype=bool)

    def causes(self, hour: Hour) -> tuple[Cause, ...]:
        """What is at its worst of the night in an ``hour``, or counts beside that."""
        gusts, scopes, currents, seas = (
            np.array([getattr(each.si, name) for each in self.hours if not each.aground])
            for name in ("gust", "scope", "current", "sea")
        )
        found, at = list[Cause](), hour.si
        if _stands_out(at.gust, gusts):
            found.append("strongest gusts")
        if _stands_out(-at.scope, -scopes):
            found.append("lowest scope")
        if at.current >= _KNOT and _stands_out(at.current, currents):
            found.append("strongest current")
        if at.sea_adds > _SEA_TELLS:
            found.append("highest waves" if _stands_out(at.sea, seas) else "waves")
        return tuple(found)


def overnight(
    scenario: Scenario,
    forecast: Forecast,
    tide: Tide | None = None,
    *,
    count: int = 20,
    clear_radius: float | str | Quantity | None = None,
    known: Night | None = None,
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
    clear_radius : float, str or quantity, optional
        Free water about where the anchor is set, besides what lies round her; a float in m.
    known : Night, optional
        Of the same scenario, forecast and tide: its spells are not run again.
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
    if known is not None:
        arguments.instance("known", known, Night, "give what overnight gave for this night")
    metres = arguments.room("clear_radius", clear_radius)
    room = None if metres is None else quantity(metres, "m")
    numbers = numbers_from(0, count)
    tide = None if tide is None else on_its_clock(forecast, tide)
    heights = heights_of_tide(scenario, forecast, tide)
    found = circumstances(scenario, forecast, heights)
    afloat = [each.scenario for each in found if each.scenario is not None]
    each_spells = spells_each(
        [as_found(each) for each in afloat],
        numbers,
        known=_known(found, known),
        executor=executor,
        progress=progress,
        cancel=cancel,
    )
    results = [
        _result(then, spells, room) if len(spells) else {}
        for then, spells in zip(afloat, each_spells, strict=True)
    ]
    left = iter(results)
    return Night(
        scenario=scenario,
        forecast=forecast,
        tide=tide,
        count=count,
        hours=tuple(_hour(each, {} if each.aground else next(left)) for each in found),
        groundings=groundings(scenario, forecast, tide, heights),
        si=NightSI(paid_out(scenario, si(scenario.spot.depth) + float(heights[0]))),
        clear_radius=room,
    )


def _hour(brings: Circumstances, result: Mapping[str, Any]) -> Hour:
    places = {name: value for name, value in result.items() if name != "assessment"}
    return Hour(HourSI(**vars(brings), **places), result.get("assessment"))


def leave_before(found: Night) -> float | None:
    """When to have left, s on the forecast's clock; None where she may stay, or some hours were not run.

    The beginning of the hour by whose end she has failed in more spells than is accepted, or of the first
    time aground where that is earlier.
    """
    if not found.complete:
        return None
    times = [each.si.start for each in found.groundings[:1]]
    looked = [hour for hour in found.hours if hour.assessment is not None]
    so_far = np.logical_or.accumulate(found.fails, axis=0).mean(axis=1) if looked else []
    times += [hour.si.time for hour, share in zip(looked, so_far, strict=True) if share > LIMIT][:1]
    return min(times, default=None)


def _known(found: list[Circumstances], known: Night | None) -> list[Spells | None]:
    """The spells that there are already of the hours afloat; an hour of another scenario has none."""
    held = {hour.scenario: hour.assessment for hour in known.hours} if known is not None else {}
    each = [held.get(hour.scenario) for hour in found if not hour.aground]
    return [None if assessment is None else assessment.spells for assessment in each]


def _result(scenario: Scenario, spells: Spells, clear_radius: Quantity | None) -> dict[str, Any]:
    """What an hour's spells come to, by the names of an hour."""
    bearing, distance = mean_place(scenario)
    sea = waves(as_found(scenario)).si.height
    return {
        "bearing": bearing,
        "distance": distance,
        "sea": sea,
        "sea_adds": sea_adds(scenario) if sea else 0.0,
        "assessment": Assessment(scenario, spells, clear_radius),
    }


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
