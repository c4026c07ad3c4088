"""Wind and tide, with and against each other: the load in balance, and how she ranges about."""

from __future__ import annotations

import math

import numpy as np
import pytest
from watch_parts import HEAVY, KNOT, ROW, SURE, watch

from anchorsim import simulate
from anchorsim.hull_loads import air_load
from anchorsim.scenario import Scenario

WITH, AGAINST = "180 degree", "0 degree"  # the set, in wind from the north


@pytest.mark.parametrize("boat", ["sloop-12", "catamaran-12"])
@pytest.mark.parametrize("knots", [-2.0, -1.0, 1.0, 2.0])
def test_the_stream_takes_its_drag_from_the_pull_of_the_wind_or_adds_it(boat, knots):
    """Head to wind, straight, the load is the wind's push and what the stream makes of her resistance."""
    stream = knots * KNOT
    parts = watch({"boat.model": boat}).around(current_north=stream)
    state = parts.at_rest(12.0)
    rows = parts.sail(state, [-12.0, 0.0], 900.0, stride=20)
    push = -air_load(parts.body, -12.0, 0.0, parts.setting.air)[0]
    pull = parts.curve.look_up(parts.distance(state))[0]
    assert pull == pytest.approx(push + parts.drag(-stream), rel=1e-6)
    assert not rows[:, ROW["heading"]].any(), "nothing turns her from a straight lie"


def watches(knots, sets):
    wind = {"weather.mean_wind": "20 knot", "weather.gust": "27 knot", "weather.direction": "0 degree"}
    scenario = Scenario().vary({**HEAVY, **wind, "spot.current": f"{knots} knot", "spot.current_set": sets})
    runs = [simulate(scenario, seed=seed, holding_quantile=SURE) for seed in (1, 2, 3)]
    peak = np.mean([run.greatest_bow_load for run in runs])
    settled = [(run.track.heading[1500:], run.track.y[1500:]) for run in runs]
    return peak, *(np.mean([values.std() for values in column]) for column in zip(*settled, strict=True))


def test_wind_against_tide_she_ranges_about_and_snatches():
    """Common practice, no source: with the tide she lies steadily, against it she sails over her rode."""
    calm_peak, calm_yaw, calm_range = watches(0, AGAINST)
    fair_peak, fair_yaw, fair_range = watches(3, WITH)
    foul_peak, foul_yaw, foul_range = watches(3, AGAINST)
    assert fair_yaw < 0.5 * calm_yaw < foul_yaw
    assert foul_range > 3.0 * max(calm_range, fair_range)
    assert foul_peak > 1.5 * max(calm_peak, fair_peak)


def test_a_strong_stream_beats_a_light_air():
    """Four knots of tide against a breath of wind: she lies to the tide, down-stream of her anchor."""
    told = {"spot.current": "4 knot", "spot.current_set": AGAINST}
    parts = watch(told)
    state = parts.put(35.0, 5.0, math.radians(170.0))
    rows = parts.sail(state, [-2.0, 0.0], 1800.0, stride=20)
    end = rows[-300:]
    off = np.abs(np.degrees(np.angle(np.exp(1j * (end[:, ROW["heading"]] - math.pi)))))
    assert off.max() < 10.0
    assert (end[:, ROW["x"]] > 30.0).all()
