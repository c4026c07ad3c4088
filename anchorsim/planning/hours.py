"""What each hour of a night brings her: wind, current, tide, and the scope that is left of the rode let out.

No spells yet: those are for ``night``.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Any, cast

import numpy as np
from numpy.typing import NDArray

from anchorsim.core.amount import Amount
from anchorsim.core.clock import DAY
from anchorsim.core.errors import AnchorsimError, sentence
from anchorsim.core.units import Measure, quantity, si
from anchorsim.environment.tide import Tide, TideError
from anchorsim.scenario.forecast import Forecast
from anchorsim.scenario.scenario import Scenario, ScenarioError

Floats = NDArray[np.float64]

# m/s: a gale begins at 34 knots, force 8 of Beaufort (WMO-No. 8, part I, chapter 5, wind speed equivalents)
GALE = 34.0 * 1852.0 / 3600.0
_MINUTE = 60.0  # s between the moments at which it is looked whether she is aground


@dataclass(frozen=True, eq=False)
class Circumstances:
    """What an hour brings, or as long as a row of the forecast stands; SI floats, angles in rad.

    ``time`` (s on the forecast's clock) and how long it ``lasts`` (s); ``mean_wind`` and ``gust`` at 10 m
    (m/s), the ``direction`` it blows from; ``current`` (m/s) and the direction of its ``current_set``; height
    of ``tide``, least ``depth`` of water from the anchor to her stern (m); ``scope``: rode out over the
    height of the roller above the bottom at the anchor.  ``scenario`` is None where she is aground.
    """

    time: float
    lasts: float
    mean_wind: float
    gust: float
    direction: float
    current: float
    current_set: float
    tide: float
    depth: float
    scope: float
    scenario: Scenario | None

    @property
    def aground(self) -> bool:
        """Whether she draws more than there is water."""
        return self.scenario is None


@dataclass(frozen=True)
class GroundingSI:
    """A time aground in SI floats: see :class:`Grounding`; s, and m of water."""

    start: float
    end: float
    low_water: float
    least: float


@dataclass(frozen=True)
class Grounding:
    """A time aground, from ``start`` to ``end``, with the ``least`` water at ``low_water``, on the clock.

    ``start`` and ``end`` may be those of the night itself.  ``si`` has the same as SI floats.
    """

    si: GroundingSI

    start = Amount("s")
    end = Amount("s")
    low_water = Amount("s")
    least = Amount("m")


def on_its_clock(forecast: Forecast, tide: Tide) -> Tide:
    """The tide with its times on the forecast's clock.  Raises TideError where that cannot be.

    A table of times without dates begins on the forecast's first day, or on the evening before where only
    then it reaches over the night.
    """
    time, rows = tide.si.time, forecast.si.time
    if tide.clock.day is None:
        before = time[0] > rows[0] and time[-1] >= rows[-1] + DAY
        return Tide(replace(tide.si, clock=forecast.clock, time=time - DAY if before else time))
    try:
        later = forecast.clock.behind(tide.clock)
        return Tide(replace(tide.si, clock=forecast.clock, time=time + later))
    except AnchorsimError:
        wrong, fits = "its times are not of the forecast's kind", forecast.clock.kind
        said = sentence(wrong, fits, "write both alike", got=tide.clock.kind)
        raise TideError(f"tide: {said}") from None


def heights_of_tide(scenario: Scenario, forecast: Forecast, tide: Tide | None) -> Floats:
    """Height of tide at each row, m: that of the tide or of the forecast, else that of the scenario.

    ``tide`` is on the forecast's clock.  Raises TideError where it does not reach over the rows, or the
    forecast has a tide of its own.
    """
    given = np.isfinite(forecast.si.tide)
    if tide is None:
        return np.where(given, forecast.si.tide, si(scenario.spot.tide))
    if given.any():
        wrong, advice = "the forecast has a tide too", "omit the tide table, or the forecast's column"
        raise TideError(f"tide: {sentence(wrong, 'one of the two', advice)}")
    return tide.si.at(forecast.si.time)


def paid_out(scenario: Scenario, depth: float) -> float:
    """Rode let out in a depth of water (m) by the scope of the scenario, as far as there is any, m."""
    return min(scenario.tackle.scope * _roller(scenario, depth), scenario.rode_aboard)


def _roller(scenario: Scenario, depth: float) -> float:
    return depth + si(scenario.boat.bow_height)


def circumstances(scenario: Scenario, forecast: Forecast, heights: Floats) -> list[Circumstances]:
    """What each row brings, ``heights`` m of tide being there.

    The rode that the scope asks for at the first row stays out.  Raises ScenarioError with the hour where it
    cannot be.
    """
    draught = si(scenario.boat.draught)
    depths = si(scenario.spot.depth) + heights
    if depths[0] < draught:
        wrong = f"at {forecast.clock.text(float(forecast.si.time[0]))}, when the night begins: too shallow"
        fits, got = f"at least the draught, {draught:.3g} m", f"{depths[0]:.3g} m"
        said = sentence(wrong, fits, "begin at another hour or choose deeper water", got)
        raise ScenarioError([("spot.depth", said)])
    out, found = paid_out(scenario, float(depths[0])), []
    least = depths - _shelving(scenario, forecast, depths)
    for row, (height, depth) in enumerate(zip(heights, depths, strict=True)):
        roller = _roller(scenario, float(depth))
        scope = out / roller if roller > 0.0 else math.inf
        then = None
        if least[row] >= draught:
            then = _at(scenario, forecast, row, float(height), scope)
        found.append(_hour(scenario, forecast, row, (float(height), float(least[row]), scope), then))
    return found


def _shelving(scenario: Scenario, forecast: Forecast, depths: Floats) -> Floats:
    """How much less water than at the anchor there is under her in each row's wind or strong current, m.

    With her rode straight, and as far as the after end of her waterline; 0 where the bottom falls that way.
    """
    out, boat = paid_out(scenario, float(depths[0])), scenario.boat
    rollers = np.array([_roller(scenario, float(depth)) for depth in depths])
    away = np.sqrt(np.maximum(out**2 - rollers**2, 0.0)) + si(boat.roller) + 0.5 * si(boat.waterline)
    slopes = [max(_slopes(scenario, forecast, row)) for row in range(len(depths))]
    return np.asarray(away * np.maximum(np.tan(slopes), 0.0))


def _slopes(scenario: Scenario, forecast: Forecast, row: int) -> list[float]:
    """How the bottom rises from the anchor to where she may lie in an hour, rad."""
    current, current_set = _current(scenario, forecast, row)
    mean, direction = float(forecast.si.mean_wind[row]), float(forecast.si.direction[row])
    return scenario.spot.slopes_towards(mean, [direction], current, current_set)


def _current(scenario: Scenario, forecast: Forecast, row: int) -> tuple[float, float]:
    """The current of an hour (m/s), and where it sets (rad)."""
    spot = scenario.spot
    if math.isfinite(forecast.si.current[row]):
        return float(forecast.si.current[row]), float(forecast.si.current_set[row])
    return si(spot.current), si(spot.current_set)


def _hour(
    scenario: Scenario,
    forecast: Forecast,
    row: int,
    water: tuple[float, float, float],
    then: Scenario | None,
) -> Circumstances:
    tide, depth, scope = water
    mean, gust = float(forecast.si.mean_wind[row]), float(forecast.si.gust[row])
    current, current_set = _current(scenario, forecast, row)
    return Circumstances(
        time=float(forecast.si.time[row]),
        lasts=float(forecast.si.lasts[row]),
        mean_wind=mean,
        gust=gust if math.isfinite(gust) else mean * scenario.weather.exposure_factor,
        direction=float(forecast.si.direction[row]),
        current=current,
        current_set=current_set,
        tide=tide,
        depth=depth,
        scope=scope,
        scenario=then,
    )


def _at(scenario: Scenario, forecast: Forecast, row: int, tide: float, scope: float) -> Scenario:
    """The scenario of an hour: the same rode out, in that hour's wind and water."""
    when = forecast.clock.text(float(forecast.si.time[row]))
    least = cast(Measure, Scenario.declaration("tackle.scope")).low
    if scope < least:
        wrong, fits = f"at {when}: too little rode is out", f"a scope of at least {least:g}"
        said = sentence(wrong, fits, "let out more at dusk, or choose shallower water", f"{scope:.2g}")
        raise ScenarioError([("tackle.scope", said)])
    gust = float(forecast.si.gust[row])
    changes: dict[str, Any] = {
        "tackle.scope": scope,
        "spot.tide": quantity(max(tide, 0.0), "m"),
        "surroundings.low_water": quantity(max(tide, 0.0), "m"),
        "weather.mean_wind": quantity(float(forecast.si.mean_wind[row]), "m/s"),
        "weather.gust": quantity(gust, "m/s") if math.isfinite(gust) else None,
        "weather.direction": quantity(math.degrees(forecast.si.direction[row]), "degree"),
        "weather.duration": quantity(float(forecast.si.lasts[row]), "s"),
        **dict.fromkeys(f"weather.{name}" for name in ("shift", "squall_wind", "record", "record_start")),
    }
    if tide < 0.0:  # a height of tide is not held below the datum, so depths take it
        changes["spot.depth"] = quantity(si(scenario.spot.depth) + tide, "m")
        changes["surroundings.dangers"] = tuple(
            danger
            if danger.depth is None
            else danger.model_copy(update={"depth": quantity(si(danger.depth) + tide, "m")})
            for danger in scenario.surroundings.dangers
        )
    if math.isfinite(forecast.si.current[row]):
        changes["spot.current"] = quantity(float(forecast.si.current[row]), "m/s")
        changes["spot.current_set"] = quantity(math.degrees(forecast.si.current_set[row]), "degree")
    try:
        return scenario.vary(changes)
    except ScenarioError as error:
        problems = [(path, f"at {when}: {sentence}") for path, sentence in error.problems]
        raise ScenarioError(problems) from None


def groundings(
    scenario: Scenario, forecast: Forecast, tide: Tide | None, heights: Floats
) -> tuple[Grounding, ...]:
    """Times aground to the minute: on the tide's curve, or on straight lines from row to row without one.

    On a slope where the wind of the row has her lie.  ``tide`` is on the forecast's clock.
    """
    end = forecast.si.end if tide is None else min(forecast.si.end, float(tide.si.time[-1]))
    time = np.append(np.arange(forecast.si.time[0], end, _MINUTE), end)
    height = np.interp(time, forecast.si.time, heights) if tide is None else tide.si.at(time)
    row = np.clip(np.searchsorted(forecast.si.time, time, side="right") - 1, 0, len(forecast.si.time) - 1)
    charted = si(scenario.spot.depth)
    water = charted + height - _shelving(scenario, forecast, charted + heights)[row]
    dry = np.concatenate([[False], water < si(scenario.boat.draught), [False]])
    edges = np.flatnonzero(np.diff(dry.astype(int)))
    return tuple(
        Grounding(
            GroundingSI(
                float(time[start]), float(time[min(stop, len(time) - 1)]), *_least(time, water, start, stop)
            )
        )
        for start, stop in zip(edges[::2], edges[1::2], strict=True)
    )


def _least(time: Floats, water: Floats, start: int, stop: int) -> tuple[float, float]:
    least = start + int(np.argmin(water[start:stop]))
    return float(time[least]), float(water[least])


def gale_from(scenario: Scenario, forecast: Forecast) -> float | None:
    """Where the strongest gale of a forecast blows from, rad, if nothing is known of the sea that it raises.

    By its mean wind or its gusts.  None where there is no gale, or open water or waves are given.
    """
    if scenario.spot.fetches or si(scenario.weather.wave_height) > 0.0:
        return None
    blows = np.fmax(forecast.si.mean_wind, forecast.si.gust)
    row = int(np.argmax(blows))
    return float(forecast.si.direction[row]) if blows[row] >= GALE * (1.0 - 1e-9) else None
