"""The boat in a sea: what heave does to the rode, and what a sea does to her loads."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
from watch_parts import HEAVY, KNOT, SURE, watch

from anchorsim import bow, bow_kernel, curve_kernel, line, simulate, swing, swing_kernel
from anchorsim import sea as sea_module
from anchorsim.bow import at_sea, waves
from anchorsim.circumstances import circumstances
from anchorsim.forecast import make_forecast
from anchorsim.rode import lay_out
from anchorsim.scenario import Scenario
from anchorsim.sea import growth
from anchorsim.swing import longest_step
from anchorsim.units import si
from anchorsim.weather import means

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
    sea = bow_kernel.Sea(np.zeros((2, bow_kernel.COLUMNS)), 1.0, 0.0, 0.0, *table)
    for z in (-0.9, -0.5, 0.25, 1.0):
        taut = math.sqrt(40.0**2 - (7.0 + z) ** 2)
        longer = bow_kernel.heaved(sea, taut, z)[0]
        assert longer == pytest.approx(math.sqrt(40.0**2 - 49.0) - taut, abs=2e-3)


def sea_of(changes):
    return parts_at_sea({**BARE, **changes})[3]


def rides(sea, time, heading):
    return np.array(bow_kernel.ride(sea, time, math.cos(heading), math.sin(heading)))


@pytest.mark.parametrize("time", [34.0, 37.0])
@pytest.mark.parametrize("heading", [0.3, 2.0, 4.0])
def test_places_and_speeds_go_together(time, heading):
    """Between two samples her speed is the slope of her place."""
    sea = sea_of(swell(0.8, 4.0))
    for at in (time + 1e-4, time + 0.06, time + 0.2):
        after, before = rides(sea, at + 1e-5, heading), rides(sea, at - 1e-5, heading)
        assert rides(sea, at, heading)[3:6] == pytest.approx((after - before)[:3] / 2e-5, abs=1e-5)


@pytest.mark.parametrize("off", [0.0, 45.0, 90.0, 135.0, 180.0, -45.0, 30.0, 70.0])
def test_the_bow_moves_as_the_hull_answers_at_her_angle(off):
    """The variance of how far it goes up, by the spectrum and the closed forms at that very angle.

    Over what is drawn in ten minutes it scatters; so does the surface itself that is drawn from the same
    numbers, and what is compared is the ratio of the two.
    """
    told = swell(0.8, 4.0)
    scenario, _, _, sea = parts_at_sea({**BARE, **told, "weather.duration": "10 min"})
    boat, depth = scenario.boat, scenario.water_depth
    heading = si(scenario.weather.direction) + math.radians(off)
    times = np.arange(0.0, 599.0, 0.25)
    up = np.array([rides(sea, float(time), heading)[2] for time in times])
    box = bow._box(boat)
    heave, slope, _ = sea_module.response(sea_module.FREQUENCY, depth, box, math.cos(math.radians(off)))
    follows = heave + 1j * si(boat.roller) * math.cos(math.radians(off)) * slope
    root = np.sqrt(sea_module.spectrum(sea_module.FREQUENCY, 0.8, 4.0))
    wanted = sea_module.realise(3, [(follows * root,)], [0.0], 2401)[: len(times), 0]
    assert up.std() == pytest.approx(wanted.std(), rel=0.02)
    assert np.abs(up - wanted).max() < (1e-5 if off % 45.0 == 0.0 else 0.06)


def test_head_to_the_waves_she_surges_along_them_and_abeam_she_sways():
    told = {**swell(0.6, 5.0), "weather.direction": "0 degree"}
    sea = sea_of(told)
    times = np.arange(0.0, 300.0, 0.25)
    head, abeam = (np.array([rides(sea, float(t), heading) for t in times]) for heading in (0.0, math.pi / 2))
    assert np.abs(head[:, 1]).max() == pytest.approx(0.0, abs=1e-6)
    assert np.abs(abeam[:, 1]).max() == pytest.approx(0.0, abs=1e-6), (
        "from the north: she is carried south and back"
    )
    assert head[:, 0].std() > 0.05
    assert abeam[:, 0].std() > 0.1
    assert abeam[:, 2].std() < 0.85 * head[:, 2].std(), "abeam she does not pitch"


def test_the_waves_push_the_way_they_go():
    """From the south-west: on a boat that heads north ahead and to starboard alike."""
    sea = sea_of(swell(0.8, 3.0))
    *_, ahead, abeam = rides(sea, 20.0, 0.0)
    assert ahead == pytest.approx(abeam, rel=1e-5)
    assert math.hypot(ahead, abeam) == pytest.approx(sea_module.reflected(0.8, 3.0, 8.0, 0.58), rel=0.02)
    *_, ahead, abeam = rides(sea, 20.0, math.radians(225.0))
    assert abeam == pytest.approx(0.0, abs=1e-6)
    assert ahead < 0.0
    assert not rides(bow_kernel.STILL, 5.0, 1.0).any()


def test_the_kernel_puts_it_into_the_state():
    sea, state = sea_of(swell(0.8, 4.0)), np.zeros(swing_kernel.STATE)
    swing_kernel.ride(sea, 31.3, math.cos(1.0), math.sin(1.0), state)
    assert state[swing_kernel.WAVE_NORTH :] == pytest.approx(rides(sea, 31.3, 1.0), abs=0.0)


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


SIDES = [
    {"bearing": f"{b} degree", "distance": f"{d} m"} for b, d in ((225, 0), (270, 0), (315, 6000), (90, 0))
]
TURN = {"weather.shift": "90 degree", "weather.shift_start": "3 min", "weather.shift_duration": "2 min"}


def test_a_shift_brings_the_sea_in_as_it_grows():
    """Sheltered where it blows from first, open where it shifts to: 0.63 of the energy is there when the sea
    that the wind raises out of a calm would have it, t^1.5 (JONSWAP, F ∝ t^1.5 and energy ∝ F) in that part
    of its time (Coastal Engineering Manual II-2-35).
    """
    told = {**BREEZE, "spot.fetches": SIDES, **TURN, "weather.duration": "180 min"}
    scenario, _, _, sea = parts_at_sea(told)
    heave, minute = sea.motion[:, 0], round(60.0 / sea.pace)
    assert not heave[: 3 * minute].any()
    full = waves(scenario, direction=math.radians(315.0))
    assert full.height > 0.4
    north, east = sea.motion[7 * minute :, 18], sea.motion[7 * minute :, 19]
    assert north == pytest.approx(-np.full(len(north), math.cos(math.radians(315.0))), abs=1e-3), (
        "the new wind's way"
    )
    assert east == pytest.approx(-np.full(len(east), math.sin(math.radians(315.0))), abs=1e-3)
    fetch = (9.81 * full.height / 0.0016 / (25 * KNOT) ** 2) ** 2 * (25 * KNOT) ** 2 / 9.81
    takes = 77.23 * fetch**0.67 / ((25 * KNOT) ** 0.34 * 9.81**0.33)
    push = np.hypot(sea.motion[:, 20], sea.motion[:, 21])
    knots = np.linspace(0.0, 180 * 60.0, 181)
    then = bow._following(*seas_of(scenario, knots), knots)
    when = float(np.interp(0.632, [(one.height / full.height) ** 2 for one in then], knots))
    assert when - 4.0 * 60.0 == pytest.approx(0.632 ** (1 / 1.5) * takes, rel=0.05)
    assert push[-1] > 10.0 * push[6 * minute] > 0.0


def seas_of(scenario, knots):
    winds, ways = means(scenario.weather, knots)
    each = [waves(scenario, wind=float(u), direction=float(way)) for u, way in zip(winds, ways, strict=True)]
    return each, winds


def test_through_a_shift_the_old_sea_runs_on():
    """Open all round: halfway the sea lies between, lower than it was, and at last it is the new wind's."""
    told = {**BREEZE, **TURN, "spot.fetches": [{"bearing": "0 degree", "distance": "3 km"}]}
    scenario = Scenario().vary({**told, "weather.direction": "180 degree", "weather.duration": "240 min"})
    knots = np.linspace(0.0, 240 * 60.0, 241)
    each = bow._following(*seas_of(scenario, knots), knots)
    degrees = [math.degrees(one.direction) % 360.0 for one in each]
    assert degrees[0] == pytest.approx(180.0)
    assert degrees[5] < 190.0, "hardly turned when the wind has"
    assert all(b >= a - 1e-9 for a, b in itertools.pairwise(degrees))
    assert degrees[-1] == pytest.approx(270.0, abs=1.0)
    middle = min(range(241), key=lambda i: abs(degrees[i] - 225.0))
    assert each[middle].height == pytest.approx(2**-0.25 * each[0].height, rel=0.02), (
        "half of either's energy"
    )
    steady = [bow.Waves(0.4, 2.5, 1.0)] * 4
    assert bow._following(steady, np.full(4, 10.0), np.arange(4) * 60.0) == steady


def test_a_given_sea_may_come_from_elsewhere():
    across = {**swell(0.6, 6.0), "weather.wave_direction": "135 degree"}
    scenario = Scenario().vary(across)
    assert waves(scenario) == pytest.approx((0.6, 6.0, math.radians(135.0)))
    assert waves(Scenario().vary(swell(0.6, 6.0))).direction == si(Scenario().weather.direction)
    raised = Scenario().vary({**open_to(3000), "weather.wave_direction": "135 degree"})
    assert waves(raised).direction == si(raised.weather.direction), "what the wind raises runs with it"
    sea = sea_of(across)
    assert sea.motion[0, 18:20] == pytest.approx(
        [-math.cos(math.radians(135.0)), -math.sin(math.radians(135.0))], abs=1e-6
    )


def test_a_short_sea_from_abeam_of_the_wind_pushes_her_aside():
    """In a breeze her mean place is down the sea of where it would be without."""
    wind = {**HEAVY, "weather.mean_wind": "10 knot", "weather.gust": "10 knot",
            "weather.direction": "0 degree", "boat.riding_sail": "4 m²",
            "weather.duration": "20 min"}  # fmt: skip
    calm = simulate(Scenario().vary(wind), holding_quantile=SURE)
    waves_ = {**swell(0.6, 2.2), "weather.wave_direction": "90 degree"}
    rough = simulate(Scenario().vary({**wind, **waves_}), holding_quantile=SURE)
    assert calm.track.y[6000:].mean() == pytest.approx(0.0, abs=2.0)
    assert rough.track.y[6000:].mean() < -4.0, "carried west"


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
