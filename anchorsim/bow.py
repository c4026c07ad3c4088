"""The bow in a sea: what waves there are at a spot, how they carry her bow, and what the rode makes of that.

She lies head to the waves, near enough, and they run with the mean wind.  They are at once what the wind
raises over the fetch that it blows along, so that a shift brings the sea in as fast as it goes: in truth it
needs tens of minutes for it, and for as long the old sea runs on from aside, which would roll her.
"""

from __future__ import annotations

import functools
import itertools
import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from anchorsim import sea
from anchorsim.bow_kernel import STILL, Sea
from anchorsim.scenario import Scenario
from anchorsim.seabed import spot_floats
from anchorsim.turbulence import STEP
from anchorsim.units import si
from anchorsim.weather import means
from anchorsim.wind_record import WindRecord

Floats = NDArray[np.float64]

_KNOT_STEP = 60.0  # s between the moments at which the sea is looked at anew
_LEAST_HEIGHT = 0.01  # m: lower waves are none
_follows = functools.lru_cache(maxsize=16)(functools.partial(sea.bow_follows, sea.FREQUENCY))
# Decimals of what the kernel gets of wind (m/s) and sea (m, m/s): processors differ in the last bits of a
# sine, and a boat that snatches at her chain makes much of little.
DECIMALS = 6


class Waves(NamedTuple):
    """A sea at one moment: significant height (m), period of the peak (s), where it comes from (rad)."""

    height: float
    period: float
    direction: float


def waves(scenario: Scenario, *, wind: float | None = None, direction: float | None = None) -> Waves:
    """The sea that a steady wind brings to a scenario's spot, or the one that its weather gives.

    ``wind`` (m/s at 10 m) and ``direction`` (rad, where it blows from) are the forecast's unless given.  Over
    its depth a sea comes to BREAKING of it at the most.  Raised by Young & Verhagen's growth over the fetch,
    it then runs on to the current where she lies; one that is given is as it is there.
    """
    weather, depth = scenario.weather, scenario.water_depth
    wind = si(weather.mean_wind) if wind is None else wind
    direction = si(weather.direction) if direction is None else direction
    height, period = si(weather.wave_height), si(weather.wave_period)
    if height == 0.0:
        height, period = sea.growth(wind, scenario.spot.fetch(direction), depth)
        _, north, east = spot_floats(scenario.spot)
        height = sea.on_current(height, period, -north * math.cos(direction) - east * math.sin(direction))
    height = min(height, sea.BREAKING * depth)
    return Waves(height, period, direction) if height >= _LEAST_HEIGHT else Waves(0.0, 0.0, direction)


def at_sea(scenario: Scenario, seed: int, record: WindRecord | None = None) -> Sea:
    """What the waves of a watch do to the bow, for the kernel; ``seed`` picks them, and nothing else does."""
    weather = scenario.weather
    if si(weather.wave_height) == 0.0 and not scenario.spot.fetches:
        return STILL
    duration = si(weather.duration)
    knots = np.linspace(0.0, duration, math.ceil(duration / _KNOT_STEP) + 1)
    courses = zip(*means(weather, knots, record), strict=True)
    each = [waves(scenario, wind=float(wind), direction=float(way)) for wind, way in courses]
    kept = _turning(each)
    if not any(each[place].height for place in kept):
        return STILL
    amplitudes = [_amplitudes(scenario, each[place]) for place in kept]
    count = round(duration / STEP) + 1
    motion = sea.realise(seed, amplitudes, [float(knots[place]) for place in kept], count)
    return Sea(np.ascontiguousarray(motion.round(DECIMALS)), STEP)


def _turning(each: list[Waves]) -> list[int]:
    """Which moments tell all: the first, and the ends of every stretch in which the sea stays the same."""
    same = [False, *(before == after for before, after in itertools.pairwise(each)), False]
    kept = [place for place in range(len(each)) if not (same[place] and same[place + 1])]
    return kept[:1] if all(each[place] == each[kept[0]] for place in kept) else kept


def _amplitudes(scenario: Scenario, waves: Waves) -> tuple[NDArray[np.complex128], ...]:
    """For each frequency the bow's motion north, east and up and their rates, times the root of the spectrum.

    North and east as they are with the waves' direction.
    """
    boat = scenario.boat
    none = np.zeros(len(sea.FREQUENCY), dtype=np.complex128)
    if not waves.height:
        return (none,) * 6
    root = np.sqrt(sea.spectrum(sea.FREQUENCY, waves.height, waves.period))
    sizes = (si(boat.waterline), si(boat.roller), si(boat.bow_height))
    astern, up = _follows(scenario.water_depth, *sizes)
    north, east = -math.cos(waves.direction), -math.sin(waves.direction)
    places = (north * astern * root, east * astern * root, up * root)
    return (*places, *(2j * math.pi * sea.FREQUENCY * place for place in places))
