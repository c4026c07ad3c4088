"""The bow in a sea: what waves there are at a spot, how they carry her bow, and what the rode makes of that.

The wind raises them over the fetch that it blows along, and they follow a shift as fast as such a sea grows;
a sea that is given may come from elsewhere.  She meets them as she lies at each moment.
"""

from __future__ import annotations

import functools
import math
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from anchorsim.core import arguments, display
from anchorsim.core.amount import Amount
from anchorsim.core.units import Quantity, si
from anchorsim.dynamics.wave_kernel import STILL, Sea
from anchorsim.environment import sea_state
from anchorsim.environment.turbulence import STEP
from anchorsim.environment.wind_record import WindRecord
from anchorsim.mooring.rode import assemble
from anchorsim.scenario.hull_form import WATERPLANE
from anchorsim.scenario.scenario import Scenario
from anchorsim.scenario.site import spot_floats
from anchorsim.scenario.vessel import Boat
from anchorsim.scenario.weather import Weather, means

Floats = NDArray[np.float64]

_KNOT_STEP = 60.0  # s between the moments at which the sea is looked at anew
SNATCHES = 0.02  # significant height over the chain out
_LEAST_HEIGHT = 0.01  # m: lower waves are none
_COMES_UP = 10.0  # s in which the sea rises at the start of a spell
_FOLLOWS = 0.737  # of the time a sea takes to grow, after which 0.63 of its energy is there: t^1.5 (JONSWAP)
_ALIKE = 0.04  # of height and period, by which a sea may change before it is drawn anew
_HEADINGS = (1.0, math.sqrt(0.5), 0.0)  # cosines: head to the waves, at 45° to them, abeam
_responds = functools.lru_cache(maxsize=48)(functools.partial(sea_state.response, sea_state.FREQUENCY))
# Decimals of what the kernel gets of wind (m/s) and sea (m, m/s): processors differ in the last bits of a
# sine, and a boat that snatches at her chain makes much of little.
DECIMALS = 6


class WavesSI(NamedTuple):
    """A sea at one moment: significant height (m), peak period (s), where it comes from (rad from north)."""

    height: float
    period: float
    direction: float


@dataclass(frozen=True, repr=False)
class Waves(display.Tabled):
    """A sea at one moment.

    Attributes
    ----------
    height : quantity
        Significant height.
    period : quantity
        Period of the peak of its spectrum.
    direction : quantity
        Where it comes from, clockwise from north.
    si : WavesSI
        The same as SI floats: m, s, rad.

    Examples
    --------
    >>> sea = waves(Scenario().vary({"weather.wave_height": "0.58 m", "weather.wave_period": "2.5 s"}))
    >>> sea
    <Waves: significant height 0.58 m, peak period 2.5 s, from 225°>
    >>> f"{sea.height.to('ft'):.1f~P}", sea.si.height
    ('1.9 ft', 0.58)
    """

    si: WavesSI

    height = Amount("m")
    period = Amount("s")
    direction = Amount("radian")

    def _facts(self) -> display.Facts:
        return [
            ("significant height", f"{self.si.height:.2g} m"),
            ("peak period", f"{self.si.period:.2g} s"),
            ("from", f"{round(math.degrees(self.si.direction)) % 360:03d}°"),
        ]


Given = float | str | Quantity | None


def waves(scenario: Scenario, *, wind: Given = None, direction: Given = None) -> Waves:
    """The sea that a steady wind brings to a scenario's anchorage, or the one that its weather gives.

    Parameters
    ----------
    scenario : Scenario
        Its fetches, depth, current and weather count.
    wind : str, quantity or float, optional
        Mean wind at 10 m: ``"30 knot"``, a quantity, or a number in m/s.  The scenario's unless given.
    direction : str, quantity or float, optional
        Where it blows from: ``"225 degree"``, a quantity, or a number in radians.  The scenario's unless
        given.

    Returns
    -------
    Waves
        Significant height, peak period and direction that the waves come from.

    Raises
    ------
    ArgumentError
        Where the scenario, the wind or the direction does not fit.

    Notes
    -----
    Raised by the growth of Young & Verhagen (1996), Coastal Engineering 29, over the fetch, the sea runs on
    to the current where the boat lies.  Its significant height is at most BREAKING of the depth.  A sea that
    is given is as it is there, and comes from where it is said to, or with the wind.

    Examples
    --------
    >>> anchorage = Scenario().vary({"spot.fetches": [{"bearing": "225 degree", "distance": "5 km"}]})
    >>> sea = waves(anchorage, wind="30 knot")
    >>> f"{sea.height:.2f~P}, {sea.period:.1f~P}"
    '0.52 m, 3.0 s'
    """
    arguments.instance("scenario", scenario, Scenario, "load one with Scenario.load")
    weather = scenario.weather
    mean = weather.mean_wind if wind is None else wind
    way = weather.direction if direction is None else direction
    found = _brought(
        scenario,
        arguments.amount("wind", mean, Weather.measure("mean_wind"), least=0.0),
        arguments.amount("direction", way, Weather.measure("direction")),
    )
    return Waves(found)


def _brought(scenario: Scenario, wind: float, direction: float) -> WavesSI:
    """As :func:`waves`, of a wind in m/s and a direction in rad."""
    weather, depth = scenario.weather, scenario.water_depth
    height, period = si(weather.wave_height), si(weather.wave_period)
    if height == 0.0:
        height, period = sea_state.growth(wind, scenario.spot.fetch(direction), depth)
        _, north, east = spot_floats(scenario.spot)
        height = sea_state.on_current(
            height, period, -north * math.cos(direction) - east * math.sin(direction)
        )
    elif weather.wave_direction is not None:
        direction = si(weather.wave_direction)
    height = min(height, sea_state.BREAKING * depth)
    return WavesSI(height, period, direction) if height >= _LEAST_HEIGHT else WavesSI(0.0, 0.0, direction)


def snatches(scenario: Scenario) -> bool:
    """Whether a sea snatches at bare chain so that single peaks come out otherwise however finely computed.

    Of the cases on which two lines were held against each other (``full_line_cases``), these are the
    ones in which one spell's peak differs by a fifth: all chain, in a sea over SNATCHES of what is out.
    """
    rode = assemble(scenario)
    bare = rode.rope == 0.0 and rode.snubber == 0.0
    return bare and waves(scenario).si.height > SNATCHES * rode.chain


def at_sea(scenario: Scenario, seed: int, record: WindRecord | None = None) -> Sea:
    """What the waves of a spell do to the bow, for the kernel; ``seed`` picks them, and nothing else does."""
    weather = scenario.weather
    if si(weather.wave_height) == 0.0 and not scenario.spot.fetches:
        return STILL
    duration = si(weather.duration)
    knots = np.linspace(0.0, duration, math.ceil(duration / _KNOT_STEP) + 1)
    winds, ways = means(weather, knots, record)
    brought = [_brought(scenario, float(u), float(way)) for u, way in zip(winds, ways, strict=True)]
    each = _following(brought, winds, knots)
    if not any(one.height for one in each):
        return STILL
    box, kept = _box(scenario.boat), _turning(each)
    amplitudes = [_amplitudes(scenario.water_depth, box, each[place]) for place in kept]
    count = round(duration / STEP) + 1
    motion = sea_state.realise(seed, amplitudes, [float(knots[place]) for place in kept], count)
    whole = np.column_stack([motion, _ways(scenario.water_depth, box, each, knots, count)])
    roller, height = si(scenario.boat.roller), si(scenario.boat.bow_height)
    _come_up(whole, STEP * np.arange(count, dtype=np.float64))
    return Sea(np.ascontiguousarray(whole.round(DECIMALS)), STEP, roller, height)


def _come_up(motion: Floats, time: Floats) -> None:
    """Let the sea rise from nothing in the first seconds, for she begins at rest."""
    share = np.clip(time / _COMES_UP, 0.0, 1.0)[:, None]
    rising = np.where(share < 1.0, 6.0 * share * (1.0 - share) / _COMES_UP, 0.0)
    share = share**2 * (3.0 - 2.0 * share)
    motion[:, 9:18] = share * motion[:, 9:18] + rising * motion[:, :9]
    motion[:, :9] *= share
    motion[:, 20:] *= share


def _following(brought: list[WavesSI], winds: Floats, knots: Floats) -> list[WavesSI]:
    """The sea at each moment, which makes for what the wind would bring: energy and direction as one vector.

    It comes nearer to that in the time that the higher of the two takes to grow, shortened by _FOLLOWS.
    """
    now, each = brought[0], [brought[0]]
    for place in range(1, len(brought)):
        then = brought[place]
        if then != now:
            grows = sea_state.growth_time(max(then.height, now.height), float(winds[place]))
            share = -math.expm1(-float(knots[place] - knots[place - 1]) / max(_FOLLOWS * grows, 1e-6))
            now = _between(now, then, share)
        each.append(now)
    return each


def _between(now: WavesSI, then: WavesSI, share: float) -> WavesSI:
    old, new = (1.0 - share) * now.height**2, share * then.height**2
    north = old * math.cos(now.direction) + new * math.cos(then.direction)
    east = old * math.sin(now.direction) + new * math.sin(then.direction)
    height = math.sqrt(math.hypot(north, east))
    if height < _LEAST_HEIGHT:
        return WavesSI(0.0, 0.0, then.direction)
    period = (old * now.period + new * then.period) / (old + new)
    return WavesSI(height, period, math.atan2(east, north))


def _turning(each: list[WavesSI]) -> list[int]:
    """Which moments tell all of height and period: the first, the ends of rest, and each of some change."""
    kept = [0]
    for place in range(1, len(each)):
        if _differ(each[place], each[kept[-1]]) > _ALIKE:
            if place - 1 > kept[-1] and _differ(each[place - 1], each[kept[-1]]) < 0.25 * _ALIKE:
                kept.append(place - 1)
            kept.append(place)
    return kept


def _differ(one: WavesSI, other: WavesSI) -> float:
    """By how much of the larger, at the most, of height and period."""
    pairs = ((one.height, other.height), (one.period, other.period))
    return max(abs(a - b) / max(a, b, 1e-9) for a, b in pairs)


def _box(boat: Boat) -> sea_state.Box:
    """Her hull for the waves: the mean breadth of its waterplane, and how far two of them are apart."""
    breadth = si(boat.waterline_beam)
    apart = si(boat.beam) - breadth if boat.hulls == 2 else 0.0
    return sea_state.Box(si(boat.waterline), WATERPLANE * breadth, si(boat.canoe_draught), apart)


def _amplitudes(depth: float, box: sea_state.Box, waves: WavesSI) -> tuple[NDArray[np.complex128], ...]:
    """For each frequency the columns of the kernel's motion and rates, times the root of the spectrum."""
    none = np.zeros(len(sea_state.FREQUENCY), dtype=np.complex128)
    if not waves.height:
        return (none,) * 18
    root = np.sqrt(sea_state.spectrum(sea_state.FREQUENCY, waves.height, waves.period))
    heave, slope, way = zip(*(_responds(depth, box, cosine) for cosine in _HEADINGS), strict=True)
    # cos ωt is the real part of e^{iωt}: a wave lifts her bow before it is amidships, and carries her along
    # behind its crest.
    phased = ((1.0, heave), (1j, slope), (-1j, way))
    moves = tuple(phase * one * root for phase, three in phased for one in three)
    return (*moves, *(2j * math.pi * sea_state.FREQUENCY * one for one in moves))


def _ways(depth: float, box: sea_state.Box, each: list[WavesSI], knots: Floats, count: int) -> Floats:
    """Where the waves go, north and east, and how they push that way: the motion's last columns."""
    found: dict[tuple[float, float], float] = {}
    columns = []
    for one in each:
        sort = one[:2]
        if sort not in found:
            found[sort] = sea_state.reflected(*sort, depth, box.draught) if one.height else 0.0
        columns.append((-math.cos(one.direction), -math.sin(one.direction), found[sort]))
    time = STEP * np.arange(count)
    north, east, push = (np.interp(time, knots, column) for column in zip(*columns, strict=True))
    long = np.maximum(np.hypot(north, east), 1e-9)
    return np.column_stack([north / long, east / long, push * north / long, push * east / long])
