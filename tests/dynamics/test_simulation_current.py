"""Wind and tide, with and against each other: the load in balance, and how she ranges about."""

from __future__ import annotations

import math

import numpy as np
import pytest
from watch_parts import HEAVY, KNOT, ROW, SURE, watch

from anchorsim import simulate
from anchorsim.dynamics.hull_loads import air_load, water_load
from anchorsim.dynamics.line_motion import EX, TENSION, U, W
from anchorsim.dynamics.motion_kernel import HEADING
from anchorsim.scenario.scenario import Scenario

WITH, AGAINST = "180 degree", "0 degree"  # the set, in wind from the north


@pytest.mark.parametrize("boat", ["sloop-12", "catamaran-12"])
@pytest.mark.parametrize("knots", [-2.0, -1.0, 1.0, 2.0])
def test_the_stream_takes_its_drag_from_the_pull_of_the_wind_or_adds_it(boat, knots):
    """Head to wind, straight: the rode's level pull is the wind's push and the stream's."""
    stream = knots * KNOT
    parts = watch({"boat.model": boat}).around(current_north=stream)
    parts = parts.boat(yaw_inertia=1e30, added_sway_yaw=0.0)
    state = parts.at_rest(12.0)
    for _ in range(3):
        rows = parts.sail(state, [-12.0, 0.0], 600.0, stride=20)
    push = -air_load(parts.body, -12.0, 0.0, parts.setting.air)[0]
    drag = -water_load(parts.body, -stream, 0.0, 0.0, parts.setting.water)[0]
    last = state.rows[-1]
    assert -last[TENSION] * last[EX] == pytest.approx(push + drag, rel=2e-3)
    assert not rows[:, ROW["heading"]].any(), "nothing turns her from a straight lie"


@pytest.mark.parametrize("knots", [-3.0, 3.0])
def test_a_watch_in_a_stream_starts_with_the_rode_at_rest_in_it(knots):
    parts = watch().around(current_east=knots * KNOT)
    state = parts.at_rest(12.0)
    assert np.abs(state.nodes[:, U : W + 1]).max() < 0.02
    bight = state.nodes[1 : parts.last, 1]
    assert (np.sign(bight[np.abs(bight) > 1e-3]) == np.sign(knots)).all(), "it bellies down-stream"
    rows = parts.sail(state, [-12.0, 0.0], 3.0)
    load = rows[:, ROW["at_bow"]]
    assert np.abs(np.diff(load)).max() < 0.025 * load[0], "no jerk: it eases as the stream takes her"


def spells(knots, sets):
    wind = {"weather.mean_wind": "20 knot", "weather.gust": "27 knot", "weather.direction": "0 degree"}
    scenario = Scenario().vary({**HEAVY, **wind, "spot.current": f"{knots} knot", "spot.current_set": sets})
    runs = [simulate(scenario, seed=seed, holding_quantile=SURE) for seed in (1, 2, 3)]
    peak = np.mean([run.si.peak_load for run in runs])
    settled = [(run.si.heading[1500:], run.si.y[1500:]) for run in runs]
    return peak, *(np.mean([values.std() for values in column]) for column in zip(*settled, strict=True))


def test_wind_against_tide_she_ranges_about():
    """Common practice, no source: with the tide she lies steadily, against it she sails over her rode.

    That she snatches then, as sailors say too, does not come of the stream alone, which takes off the wind's
    push; and here is no sea to throw her about.
    """
    calm_peak, calm_yaw, calm_range = spells(0, AGAINST)
    _, fair_yaw, fair_range = spells(2, WITH)
    foul_peak, foul_yaw, foul_range = spells(2, AGAINST)
    assert fair_yaw < 0.5 * calm_yaw < foul_yaw
    assert foul_range > 3.0 * max(calm_range, fair_range)
    assert foul_peak < calm_peak


def test_a_strong_stream_beats_a_light_air():
    """Four knots of tide against a breath of wind: she swings to the tide, down-stream of her anchor."""
    parts = watch({"spot.current": "4 knot", "spot.current_set": AGAINST})
    state = parts.at_rest(2.0)
    state.boat[HEADING] += 0.1
    rows = parts.sail(state, [-2.0, 0.0], 3600.0, stride=10)
    end = rows[-600:]
    off = np.abs(np.degrees(np.angle(np.exp(1j * (end[:, ROW["heading"]] - math.pi)))))
    assert off.max() < 10.0
    assert (end[:, ROW["x"]] > 30.0).all()
