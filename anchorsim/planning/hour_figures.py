"""What a few spells tell of an hour besides its outcome: where she lies, and what the sea adds."""

from __future__ import annotations

import math
from typing import cast

import numpy as np

from anchorsim.core.units import Measure, quantity, si
from anchorsim.dynamics.simulation import simulate
from anchorsim.scenario.scenario import Scenario
from anchorsim.strength.degradation import as_found

_SPELLS, _SPELL = 4, 600.0  # spells, and s of each, that are run in a sea and without it


def mean_place(scenario: Scenario) -> tuple[float, float]:
    """Bearing (rad) and distance (m) of her middle from the anchor, in the mean of half a spell.

    The first half is left out, in which a current still moves her from where a spell begins.
    """
    track = simulate(as_found(scenario), seed=0).si
    half = len(track.time) // 2
    north, east = (
        float(np.mean(place[half:] - anchor[half:]))
        for place, anchor in ((track.x, track.anchor_x), (track.y, track.anchor_y))
    )
    return math.atan2(east, north) % (2.0 * math.pi), math.hypot(north, east)


def sea_adds(scenario: Scenario) -> float:
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
        sum(simulate(each, seed=seed).si.peak_load for seed in range(_SPELLS)) for each in (rough, still)
    ]
    return loads[0] / loads[1] - 1.0
