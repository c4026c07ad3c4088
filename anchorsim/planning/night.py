"""A night at anchor: the hours of a forecast one by one, with the tide, on the rode that was let out at dusk.

Each hour is many spells of its own wind, the same spells in every hour.  Wind, tide and current stand still
through an hour and are those of its beginning; an anchor that dragged in one hour is let go anew in the next.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from concurrent.futures import CancelledError, Executor
from dataclasses import dataclass
from typing import Any, cast

import numpy as np
from numpy.typing import NDArray

from anchorsim.core.clock import Clock
from anchorsim.core.units import Measure, System, quantity, show, si
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
from anchorsim.risk.assessment import odds
from anchorsim.risk.monte_carlo import Cancel, Ints, Progress, Spells, numbers_from, spells_each
from anchorsim.risk.outlook import SAFE, Outlook, look, touching
from anchorsim.risk.swinging_room import surrounded
from anchorsim.scenario.forecast import Forecast
from anchorsim.scenario.scenario import Scenario
from anchorsim.strength.degradation import as_found

Floats = NDArray[np.float64]

_ALIKE = 0.01  # share of a figure by which the hours must differ for one to be called the worst (judgement)
_SEA_TELLS = 0.1  # of the load: a sea that adds less is not what makes an hour hard (judgement)
_SPELLS, _SPELL = 4, 600.0  # spells, and s of each, that are run in a sea and without it
_KNOT = 1852.0 / 3600.0  # m/s: a current of less is not what makes an hour hard (judgement)


@dataclass(frozen=True, eq=False)
class Hour(Circumstances):
    """An hour of the night: what it brings, and what that comes to.

    ``bearing`` (rad) and ``distance`` (m): where her middle lies from the anchor in the mean of one spell;
    ``sea`` (m): significant height of the waves; ``sea_adds``: what they add to the greatest load at the bow,
    as a share of what it were without them.  ``outlook`` is None, and these are as they stand here, where she
    is aground and where it was cancelled before.
    """

    bearing: float = math.nan
    distance: float = math.nan
    sea: float = 0.0
    sea_adds: float = 0.0
    outlook: Outlook | None = None

    @property
    def critical(self) -> bool:
        """Whether failing is likelier than counts as safe."""
        return self.outlook is not None and self.outlook.failing.likely > SAFE

    def sentence(self, clock: Clock, system: System = "metric") -> str:
        """How she lies and what may happen, in plain words."""
        water = show(quantity(self.depth, "m"), "m", system, 2)
        if self.aground:
            how_much = f"{water} of" if self.depth > 0.0 else "no"
            return f"At {clock.text(self.time)} she is aground in {how_much} water."
        told = f"At {clock.text(self.time)}: {water} of water, a scope of {self.scope:.2g}"
        if self.outlook is None:
            return f"{told}; not looked at to the end."
        if self.sea:
            told += f", a sea of {show(quantity(self.sea, 'm'), 'm', system, 2)}"
        away = show(quantity(self.distance, "m"), "m", system, 2)
        lies = f"she lies {away} from the anchor, bearing {math.degrees(self.bearing):03.0f}°"
        return f"{told}; {lies}; {_outcome(self.outlook)}."


@dataclass(frozen=True, eq=False)
class Night:
    """What a night comes to, hour by hour; ``paid_out``: rode out from dusk on, m; ``tide``: on the
    forecast's clock.

    ``scenario`` is as she was anchored, ``count`` how many spells each hour was to have.
    """

    scenario: Scenario
    forecast: Forecast
    tide: Tide | None
    count: int
    paid_out: float
    hours: tuple[Hour, ...]
    groundings: tuple[Grounding, ...]

    @property
    def complete(self) -> bool:
        """Whether every hour afloat has all spells that were asked for."""
        return all(_finished(hour, self.count) or hour.aground for hour in self.hours)

    @property
    def worst(self) -> Hour | None:
        """The hour afloat in which she fails most often; of several that in which she drags farthest, or
        else her weakest part is used hardest.  None where no hour afloat was looked at.
        """
        found = [hour for hour in self.hours if hour.outlook is not None]
        return max(found, key=_hardness, default=None)

    @property
    def critical(self) -> Hour | None:
        """The worst hour where that is critical, else None."""
        return self.worst if self.worst is not None and self.worst.critical else None

    @property
    def first_critical(self) -> Hour | None:
        """The first hour that is critical, or None."""
        return next((hour for hour in self.hours if hour.critical), None)

    @property
    def failing(self) -> Interval | None:
        """The chance that she fails in any hour afloat, with its band; None where some were not looked at.

        It is the share of spells that fail in at least one hour, so the least that it can be: the luck of the
        gusts is the same in all hours, while new gusts would give her more chances to fail.
        """
        fails = [hour.outlook.fails for hour in self.hours if hour.outlook is not None]
        return chance(np.any(fails, axis=0)) if fails and self.complete else None

    def why(self, hour: Hour, system: System = "metric") -> str:
        """What is at its worst in an hour, or else its wind and scope as they are, in plain words."""
        gusts, scopes, currents, seas = (
            np.array([getattr(each, name) for each in self.hours if not each.aground])
            for name in ("gust", "scope", "current", "sea")
        )
        gust = f"gusts of {_knots(hour.gust)}"
        found = []
        if _stands_out(hour.gust, gusts):
            found.append(f"the {gust} are the strongest of the night")
        if _stands_out(-hour.scope, -scopes):
            water = show(quantity(hour.depth, "m"), "m", system, 2)
            found.append(f"the scope of {hour.scope:.2g}, in {water} of water, is the least of the night")
        if hour.current >= _KNOT and _stands_out(hour.current, currents):
            found.append(f"the current of {_knots(hour.current)} is the strongest of the night")
        if hour.sea_adds > _SEA_TELLS:
            sea = f"a sea of {show(quantity(hour.sea, 'm'), 'm', system, 2)}"
            most = ", the highest of the night," if _stands_out(hour.sea, seas) else ""
            found.append(f"{sea}{most} adds about {round(100 * hour.sea_adds, -1):.0f} % to the load")
        return " and ".join(found) or f"there are {gust} on a scope of {hour.scope:.2g}"

    def sentence(self, system: System = "metric") -> str:
        """When it gets critical and why, and whether she takes the ground, in plain words."""
        clock, worst = self.forecast.clock, self.worst
        told = [] if self.complete else ["Not all of the night was looked at."]
        if worst is not None and worst.outlook is not None:
            at, what = clock.text(worst.time), f"{_outcome(worst.outlook)}, for {self.why(worst, system)}."
            first = self.first_critical
            if first is None:
                none = "No hour afloat is critical" if self.groundings else "No hour is critical"
                told.append(f"{none}. The hardest is that of {at}: {what}")
            elif first is worst:
                told.append(f"It gets critical at {at}: {what}")
            else:
                told.append(f"It gets critical at {clock.text(first.time)} and worst at {at}: {what}")
        if self.critical is not None and self.failing is not None:
            told.append(f"Over the whole night she fails in {odds(self.failing)} at the least.")
        if any(hour.outlook is not None and hour.outlook.dragging.likely > 0.0 for hour in self.hours[:-1]):
            told.append(
                "An hour in which the anchor drags says nothing of the next, in which it is let go anew "
                "where it lay at dusk."
            )
        if worst is not None and worst.outlook is not None and worst.outlook.barred:
            told.append(worst.outlook.barred)
        return " ".join([*(self._aground(grounding, system) for grounding in self.groundings), *told])

    def _aground(self, found: Grounding, system: System) -> str:
        clock, draught = self.forecast.clock, si(self.scenario.boat.draught)
        start, end, low = (clock.text(when) for when in (found.start, found.end, found.low_water))
        least, draws = (show(quantity(value, "m"), "m", system, 2) for value in (found.least, draught))
        water = f"only {least} of water" if found.least > 0.0 else "no water"
        return f"She is aground from {start} to {end}: at {low} there is {water}, and she draws {draws}."


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
    """The night of a forecast, from its first row to its last; ``forecast.between`` cuts one out.

    The forecast takes the place of the scenario's wind, with its shift, squall and record; tide and current
    are those of ``tide`` and the forecast, else those of the scenario.  The scope is that of the scenario at
    the first row, as far as the rode aboard goes; so much rode then stays out.  ``count``: spells in each
    hour, each as long as the hour.  What lies round her ends her room, at each hour's height of tide.

    ``executor``, ``progress`` and ``cancel`` are those of ``spells``; where it is cancelled,
    what was done is given back.  Raises TideError where the tide does not reach over the night or is given
    twice, ScenarioError with the hour where one cannot be, and what ``spells`` raises.

    A spell has the same anchor's holding, windage and gusts in every hour, as far as the hours' winds allow.
    """
    numbers = numbers_from(0, count)
    tide = None if tide is None else on_its_clock(forecast, tide)
    heights = heights_of_tide(scenario, forecast, tide)
    found = circumstances(scenario, forecast, heights)
    afloat = [each.scenario for each in found if each.scenario is not None]
    around = [surrounded(as_found(each)) for each in afloat]
    steps = _Steps(progress, len(afloat) * count, 2 if any(around) else 1)
    each_spells = spells_each(
        [as_found(each) for each in afloat],
        numbers,
        known=[None] * len(afloat),
        executor=executor,
        progress=steps.report,
        cancel=cancel,
    )
    results = []
    for place, (then, spells) in enumerate(zip(afloat, each_spells, strict=True)):
        touched = None
        if around[place] and spells.complete:
            steps.before = (len(afloat) + place) * count
            touched = _touched(then, numbers, executor, steps.report, cancel)
        known = len(spells) > 0 and not (around[place] and touched is None)
        results.append(_result(then, spells, touched) if known else {})
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


def _result(scenario: Scenario, spells: Spells, touched: NDArray[np.bool_] | None) -> dict[str, Any]:
    """What an hour's spells come to, by the names of an hour."""
    bearing, distance = _lie(scenario)
    sea = waves(as_found(scenario)).height
    return {
        "bearing": bearing,
        "distance": distance,
        "sea": sea,
        "sea_adds": _sea_adds(scenario) if sea else 0.0,
        "outlook": look(scenario, spells, touched=touched),
    }


class _Steps:
    """Progress over the spells, and then over the search for what she touches."""

    def __init__(self, progress: Progress | None, spells: int, rounds: int) -> None:
        self._progress, self._total = progress, spells * rounds
        self.before = 0

    def report(self, done: int, _: int) -> None:
        if self._progress:
            self._progress(self.before + done, self._total)


def _touched(
    scenario: Scenario, numbers: Ints, executor: Executor | None, progress: Progress, cancel: Cancel | None
) -> NDArray[np.bool_] | None:
    try:
        return touching(scenario, numbers, executor=executor, progress=progress, cancel=cancel)
    except CancelledError:
        return None


def _lie(scenario: Scenario) -> tuple[float, float]:
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
    return hour.outlook is not None and len(hour.outlook.spells) == count


def _hardness(hour: Hour) -> tuple[float, float, float]:
    """How often she fails, how far the anchor comes in the mean (m), and how hard the weakest part is used.

    In an hour in which the anchor drags at once the loads are lower than they would be.
    """
    found = hour.outlook
    assert found is not None
    return found.failing.likely, float(found.spells.drag.mean()), found.weakest.used.likely


def _stands_out(value: float, among: Floats) -> bool:
    """Whether a figure is the greatest of a night in which it differs from hour to hour."""
    most, least = float(np.max(among)), float(np.min(among))
    return value >= most and most - least > _ALIKE * max(abs(most), abs(least))


def _outcome(found: Outlook) -> str:
    """What happens in an hour's spells, in plain words."""
    happens: Sequence[tuple[str, float, str]] = (
        ("the anchor drags", found.dragging.likely, odds(found.dragging)),
        ("a part breaks", found.parted.likely, odds(found.parted)),
        (found.leaves, found.outside.likely, odds(found.outside)),
    )
    told = [f"{what} in {how_often} of such hours" for what, often, how_often in happens if often > 0.0]
    weak = found.weakest
    if math.isfinite(weak.used.likely) and (weak.used.likely > 1.0 or not told):
        name = f"the {weak.name[:1].lower()}{weak.name[1:]}"
        told.append(f"{name} comes to {100 * weak.used.likely:.0f} % of its working load")
    if found.failing.likely == 0.0:
        count = len(found.spells)
        told.insert(0, f"the anchor holds in {f'all {count} storms' if count > 1 else 'the one storm'} tried")
    return " and ".join(told)


def _knots(speed: float) -> str:
    return show(quantity(speed, "m/s"), "knot", digits=2)


__all__ = ["SAFE", "Grounding", "Hour", "Night", "overnight"]
