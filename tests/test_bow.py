"""The boat in a sea: what heave does to the rode, and what a sea does to her loads."""

from __future__ import annotations

import math

import numpy as np
import pytest
from watch_parts import HEAVY, KNOT, SURE, watch

from anchorsim import bow, bow_kernel, curve_kernel, line, simulate, swing, swing_kernel
from anchorsim.bow import at_sea, waves
from anchorsim.circumstances import circumstances
from anchorsim.forecast import make_forecast
from anchorsim.rode import lay_out
from anchorsim.scenario import Scenario
from anchorsim.sea import growth
from anchorsim.swing import longest_step
from anchorsim.units import si

BARE = {"tackle.snubber.length": "0 m"}
RODES = {
    "bare chain": BARE,
    "snubber": {},
    "rope": {"tackle.chain.length": "10 m", "tackle.rope.length": "80 m"},
    "chain on a rising bottom": {**BARE, "spot.slope": "2 degree", "spot.deepens_towards": "225 degree"},
    "snubber on a falling bottom": {"spot.slope": "4 degree", "spot.deepens_towards": "45 degree"},
}
BREEZE = {"weather.mean_wind": "25 knot", "weather.gust": "34 knot"}


def swell(height, period):
    return {"weather.wave_height": f"{height} m", "weather.wave_period": f"{period} s"}


def open_to(fetch):
    return {"spot.fetches": [{"bearing": "225 degree", "distance": f"{fetch} m"}]}


def rode_curve(rode, heave=0.0):
    return line.curve(
        segments=rode.segments,
        rise=rode.rise + heave,
        friction=rode.friction,
        depth=rode.depth,
        slope=rode.slope,
    )


def parts_at_sea(changes):
    scenario = Scenario().vary({**HEAVY, **changes})
    rode = lay_out(scenario)
    curve = rode_curve(rode)
    return scenario, rode, curve, at_sea(scenario, rode, curve, 3)


# --- heave and the rode ---


@pytest.mark.parametrize("rode", RODES)
def test_a_lifted_bow_is_worth_as_much_distance_as_the_statics_say(rode):
    """The table, between its rows and columns, against a rode worked out anew with the bow so much higher."""
    _, laid, curve, sea = parts_at_sea({**RODES[rode], **swell(0.8, 5.0)})
    for heave in (-0.61, -0.13, 0.07, 0.33, 0.74):
        higher = rode_curve(laid, heave)
        for load in (50.0, 400.0, 1500.0, 4000.0, 12000.0):
            distance = float(np.interp(load, higher.horizontal_load, higher.distance))
            wanted = higher.look_up(distance)
            longer, more, steeper, _ = bow_kernel.heaved(sea, distance, heave)
            found = curve.look_up(distance + longer)
            near = dict(rel=0.01, abs=8.0)
            assert found[0] == pytest.approx(wanted[0], **near), (heave, load)
            assert found[1] + more == pytest.approx(wanted[1], **near), (heave, load)
            assert found[3] + steeper == pytest.approx(wanted[3], abs=math.radians(0.15)), (heave, load)


def test_no_heave_is_worth_nothing():
    _, _, curve, sea = parts_at_sea({**BARE, **swell(0.8, 5.0)})
    for distance in np.linspace(float(curve.distance[0]) - 1.0, float(curve.distance[-1]), 57):
        assert bow_kernel.heaved(sea, float(distance), 0.0)[:3] == pytest.approx((0.0, 0.0, 0.0), abs=1e-5)


def test_a_straight_line_by_pythagoras():
    """A taut, all but weightless line: lifting the bow from h to h + z at one load is worth
    √(l² − h²) − √(l² − (h + z)²) of distance."""
    segment = line.Segment(length=40.0, weight=0.01, stiffness=1e8)
    table = bow._table((segment,), 7.0, 0.0, 30.0, 0.0, 1.0)
    sea = bow_kernel.Sea(np.zeros((2, 6)), 1.0, *table)
    for z in (-0.9, -0.5, 0.25, 1.0):
        taut = math.sqrt(40.0**2 - (7.0 + z) ** 2)
        longer = bow_kernel.heaved(sea, taut, z)[0]
        assert longer == pytest.approx(math.sqrt(40.0**2 - 49.0) - taut, abs=2e-3)


@pytest.mark.parametrize("distance", [34.0, 37.0])
def test_places_and_speeds_go_together(distance):
    """What the state holds between two samples: its speed is the slope of its place, and samples are met."""
    _, _, _, sea = parts_at_sea({**BARE, **swell(0.8, 4.0)})
    state, before, after = (np.zeros(swing_kernel.STATE) for _ in range(3))
    where = slice(swing_kernel.WAVE_NORTH, swing_kernel.WAVE_UP + 1)
    for time in (distance, distance + 0.06, distance + 0.2):
        for at, into in ((time, state), (time - 1e-5, before), (time + 1e-5, after)):
            swing_kernel.ride(sea, at, into)
        slope = (after[where] - before[where]) / 2e-5
        assert state[swing_kernel.TO_NORTH :] == pytest.approx(slope, abs=1e-6)
    swing_kernel.ride(sea, distance, state)
    assert state[where] == pytest.approx(sea.motion[round(distance / sea.pace), :3], abs=1e-12)


# --- the sea of a scenario ---


def test_no_sea_leaves_every_bit_as_it_is():
    """Nothing given, a fetch to leeward only, or no fetch: not one bit moves."""
    still = simulate(Scenario().vary(BREEZE), seed=4)
    sides = [{"bearing": "45 degree", "distance": "9 km"}, {"bearing": "180 degree", "distance": "0 m"}]
    sides += [{"bearing": "270 degree", "distance": "0 m"}]
    for told in ({"spot.fetches": sides}, {"weather.wave_period": "7 s"}, open_to(0)):
        other = simulate(Scenario().vary({**BREEZE, **told}), seed=4)
        for name in still.track.__dataclass_fields__:
            assert np.array_equal(getattr(other.track, name), getattr(still.track, name)), (told, name)
        assert other.greatest_bow_load == still.greatest_bow_load


def test_the_same_waves_whatever_else_changes():
    """Rode and gusts leave the waves alone: with the same hull the bow moves the same, bit by bit."""
    told = swell(0.6, 3.5)
    first = parts_at_sea({**BARE, **told})[3].motion
    for changes in ({"tackle.scope": 7}, {"weather.mean_wind": "35 knot"}, {"tackle.anchor.mass": "30 kg"}):
        assert np.array_equal(parts_at_sea({**told, **changes})[3].motion, first)


def test_given_waves_go_before_those_of_the_wind_and_break_on_a_shoal():
    scenario = Scenario().vary({**open_to(3000), **BREEZE})
    raised = waves(scenario)
    assert 0.3 < raised.height < 0.6
    assert waves(scenario.vary(swell(0.9, 5.0)))[:2] == pytest.approx((0.9, 5.0))
    assert waves(scenario.vary({**swell(3.0, 5.0), "spot.depth": "3 m"})).height == pytest.approx(1.8)


def test_wind_against_tide_makes_a_steeper_sea():
    """Common practice, no source: the sea gets up when the stream turns against the wind."""
    open_water = Scenario().vary(
        {"spot.fetches": [{"bearing": "225 degree", "distance": "3 km"}], "weather.direction": "225 degree"}
    )
    sets = {"against": "225 degree", "with": "45 degree", "across": "135 degree"}
    found = {
        name: waves(open_water.vary({"spot.current": "1.2 knot", "spot.current_set": towards})).height
        for name, towards in sets.items()
    }
    slack = waves(open_water).height
    assert found["with"] < 0.95 * slack and found["against"] > 1.05 * slack
    assert found["across"] == pytest.approx(slack)
    given = open_water.vary({"weather.wave_height": "0.5 m", "spot.current": "1.2 knot"})
    assert waves(given).height == 0.5, "as it is where she lies"


def test_a_shift_brings_the_sea_in():
    """Sheltered where it blows from first, open where it shifts to."""
    sides = [{"bearing": f"{b} degree", "distance": f"{d} m"} for b, d in ((225, 0), (270, 0), (315, 6000))]
    sides.append({"bearing": "90 degree", "distance": "0 m"})
    turn = {"weather.shift": "90 degree", "weather.shift_start": "3 min", "weather.shift_duration": "2 min"}
    scenario, _, _, sea = parts_at_sea({**BREEZE, "spot.fetches": sides, **turn})
    heave = sea.motion[:, 2]
    minute = round(60.0 / sea.pace)
    assert not heave[: 3 * minute].any()
    assert heave[6 * minute :].std() > 0.03
    north, east = sea.motion[7 * minute :, 0], sea.motion[7 * minute :, 1]
    assert east == pytest.approx(-north), "along the new wind, from north-west to south-east"
    assert waves(scenario, direction=math.radians(315.0)).height > 0.4


def test_a_night_has_the_sea_of_each_hour():
    """Off the land till ten, then over six kilometres of open water, and a little more with the tide."""
    sides = [{"bearing": f"{b} degree", "distance": f"{d} m"} for b, d in ((225, 50), (310, 6000), (90, 50))]
    scenario = Scenario().vary({"spot.fetches": sides, "spot.depth": "3 m"})
    winds = ((21, 225, 1), (22, 310, 1), (23, 310, 4))
    rows = [
        {"time": f"{h}:00", "mean_wind": "22 knot", "direction": f"{d} degree", "tide": f"{t} m"}
        for h, d, t in winds
    ]
    hours = make_forecast(rows)
    each = [hour.scenario for hour in circumstances(scenario, hours, hours.tide)]
    sheltered, low, high = (waves(then).height for then in each if then)
    assert sheltered < 0.06
    assert low == pytest.approx(growth(22 * KNOT, 6000.0, 4.0)[0])
    assert high == pytest.approx(growth(22 * KNOT, 6000.0, 7.0)[0])
    assert high > 1.03 * low > 5.0 * sheltered


# --- loads ---


def peaks(changes, seeds=(1, 2, 3, 4)):
    scenario = Scenario().vary({**HEAVY, **BREEZE, **changes})
    return np.array([simulate(scenario, seed=s, holding_quantile=SURE).greatest_bow_load for s in seeds])


def test_a_sea_loads_bare_chain_more_and_a_snubber_takes_the_most_of_it():
    rough = swell(0.8, 4.0)
    on_chain, calm_chain = peaks({**BARE, **rough}), peaks(BARE)
    on_snubber, calm_snubber = peaks(rough), peaks({})
    assert (on_chain > calm_chain).all()
    assert on_chain.mean() > 1.15 * calm_chain.mean()
    assert (on_chain - calm_chain).mean() > 3.0 * (on_snubber - calm_snubber).mean() > 0.0


def test_more_sea_is_more_load():
    means = [peaks({**BARE, **swell(height, 4.0)}).mean() for height in (0.0, 0.4, 0.8)]
    assert means == sorted(means)


def test_swell_in_a_calm_surges_about_her_place():
    """No wind: the load comes of the waves alone, and she stays where the slack rode lets her."""
    scenario = Scenario().vary({**HEAVY, **swell(0.5, 6.0), "weather.mean_wind": "0 knot"})
    run = simulate(scenario, seed=2)
    assert run.track.bow_load.std() > 1.0
    assert np.isfinite(run.track.bow_load).all()
    assert np.hypot(run.track.x, run.track.y).max() < si(scenario.boat.length) + float(run.curve.distance[-1])


@pytest.mark.parametrize("rode", RODES)
@pytest.mark.parametrize("fetch", [2000, 8000])
def test_half_the_step_moves_the_peak_by_less_than_a_hundredth(rode, fetch, monkeypatch):
    """In higher seas, that snatch bare chain to over twice her gust load, watches part whatever the step."""
    scenario = Scenario().vary({**HEAVY, **BREEZE, **RODES[rode], **open_to(fetch)})
    run = simulate(scenario, seed=3, holding_quantile=SURE)
    monkeypatch.setattr(swing, "longest_step", lambda *given: 0.5 * longest_step(*given))
    finer = simulate(scenario, seed=3, holding_quantile=SURE)
    assert finer.greatest_bow_load == pytest.approx(run.greatest_bow_load, rel=0.01)


def test_compiled_and_plain_are_the_same_in_a_sea(monkeypatch):
    _, _, _, sea = parts_at_sea({**BARE, **swell(0.8, 4.0)})
    parts = watch(BARE).around(sea=sea)
    start = parts.at_rest(14.0)
    state, plain_state = start.copy(), start.copy()
    rows = parts.sail(state, [-14.0, 0.0], 15.0, dt=0.1)
    for module in (swing_kernel, curve_kernel, bow_kernel):
        for name, function in vars(module).copy().items():
            if hasattr(function, "py_func"):
                monkeypatch.setattr(module, name, function.py_func)
    plain = parts.sail(plain_state, [-14.0, 0.0], 15.0, dt=0.1)
    assert not hasattr(swing_kernel.heaved, "py_func")
    assert plain == pytest.approx(rows, rel=1e-12, abs=1e-12)
    assert np.ptp(rows[:, 4]) > 100.0


@pytest.mark.parametrize("changes", RODES.values(), ids=RODES)
def test_the_distance_for_a_load_is_where_the_curve_comes_to_it(changes):
    curve = rode_curve(lay_out(Scenario().vary(changes)))
    loads = np.concatenate([np.geomspace(1e-3, 1e6, 300), curve.horizontal_load[1:]])  # on nodes, and beyond
    found = [bow_kernel.distance_for(curve.packed, float(load)) for load in loads]
    again = [curve.look_up(distance)[0] for distance in found]
    np.testing.assert_allclose(
        again, loads, rtol=1e-8, atol=1e-9
    )  # bar-tight, 1e-12 of the distance is so much
    np.testing.assert_allclose(found[300:], curve.distance[1:], rtol=1e-12)
