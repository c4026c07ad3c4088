"""The boat in a sea: how the waves carry her bow, and what a sea does to her loads."""

from __future__ import annotations

import math

import numpy as np
import pytest
from watch_parts import HEAVY, KNOT, ROW, SURE, watch

from anchorsim import line, simulate
from anchorsim.bow import at_sea, waves
from anchorsim.bow_kernel import STILL, Sea, ride
from anchorsim.circumstances import circumstances
from anchorsim.forecast import make_forecast
from anchorsim.line_motion import TENSION, W, X, Z
from anchorsim.scenario import Scenario
from anchorsim.sea import growth
from anchorsim.swing_kernel import HEADING
from anchorsim.units import si

BARE = {"tackle.snubber.length": "0 m"}
RODES = {
    "bare chain": BARE,
    "snubber": {},
    "rope": {"tackle.chain.length": "10 m", "tackle.rope.length": "80 m"},
}
BREEZE = {"weather.mean_wind": "25 knot", "weather.gust": "34 knot"}


def swell(height, period):
    return {"weather.wave_height": f"{height} m", "weather.wave_period": f"{period} s"}


def open_to(fetch):
    return {"spot.fetches": [{"bearing": "225 degree", "distance": f"{fetch} m"}]}


def sea_of(changes):
    return at_sea(Scenario().vary({**HEAVY, **changes}), 3)


def heaving(height, period, seconds, axis=2):
    """A sea that carries the bow along one axis (2: up) by ±height/2, as places and speeds every 0.05 s."""
    time, turn = np.arange(0.0, seconds + 1.0, 0.05), 2 * math.pi / period
    motion = np.zeros((len(time), 6))
    motion[:, axis] = 0.5 * height * np.sin(turn * time)
    motion[:, 3 + axis] = 0.5 * height * turn * np.cos(turn * time)
    return Sea(motion, 0.05)


# --- the bow and the rode ---


@pytest.mark.parametrize("heading", [0.0, 2.0])
@pytest.mark.parametrize("seconds", [7.0, 23.4])
def test_the_waves_carry_the_bow_as_they_do(heading, seconds):
    """Its node is the roller's place without waves and what ``ride`` says of that moment, and its speed."""
    parts = watch({**BARE, **swell(0.8, 4.0)}).fast()
    parts = parts.put(sea=sea_of({**BARE, **swell(0.8, 4.0)}))
    state = parts.at_rest(10.0)
    state.boat[HEADING] += heading
    parts.sail(state, [0.0, 0.0], seconds)
    cosine, sine = math.cos(state.boat[HEADING]), math.sin(state.boat[HEADING])
    north, east, up = ride(parts.whole.sea, seconds, cosine, sine)[:3]
    roller, bow = parts.body.roller, state.nodes[parts.last]
    assert bow[X] == pytest.approx(state.boat[0] + roller * cosine + north, abs=1e-9)
    assert bow[X + 1] == pytest.approx(state.boat[1] + roller * sine + east, abs=1e-9)
    assert bow[Z] == pytest.approx(parts.setting.height + up, abs=1e-9)
    before = ride(parts.whole.sea, seconds - 0.1 / 3, cosine, sine)[2]
    assert bow[W] == pytest.approx((up - before) / (0.1 / 3), abs=1e-6)
    assert abs(up) > 1e-3


@pytest.mark.parametrize("axis", [0, 1, 2])
def test_ride_meets_its_samples_and_goes_smoothly_between_them(axis):
    sea = heaving(1.0, 3.0, 10.0, axis)
    for time in (0.0, 1.05, 3.3, 7.77):
        wanted = 0.5 * math.sin(2 * math.pi / 3.0 * time)
        assert ride(sea, time, 1.0, 0.0)[axis] == pytest.approx(wanted, abs=1e-7)
    assert ride(STILL, 5.0, 1.0, 0.0)[:3] == (0.0, 0.0, 0.0)


@pytest.mark.parametrize("rode", RODES)
@pytest.mark.parametrize("surge", [0, 2], ids=["to and fro", "up and down"])
def test_a_bow_that_goes_slowly_has_the_loads_of_the_rode_at_rest(rode, surge):
    """Half a metre in a minute, drawn tight enough that little lies: the statics at each place and height."""
    parts = watch(RODES[rode], elements=12).around(friction=0.0).fast()
    seconds = 120.0
    parts = parts.put(sea=heaving(0.6, 60.0, seconds, surge))
    state = watch(RODES[rode], elements=12).around(friction=0.0).at_rest(16.0)
    laid = parts.rode
    rows = parts.sail(state, [0.0, 0.0], seconds)
    far = -state.boat[0] - parts.body.roller
    for at in (300, 450, 700, 900, 1050):
        up = 0.3 * math.sin(2 * math.pi / 60.0 * rows[at, ROW["time"]])
        rise, distance = (laid.rise + up, far) if surge == 2 else (laid.rise, far - up)
        spread = 0.0
        rest = line.solve_at_distance(
            segments=laid.segments, rise=rise, distance=distance + spread, friction=0.0, depth=laid.depth,
        )  # fmt: skip
        assert rows[at, ROW["at_bow"]] == pytest.approx(rest.load_at_bow, rel=0.06), at
        assert rows[at, ROW["at_anchor"]] == pytest.approx(rest.load_at_anchor, rel=0.06), at


def test_a_bow_that_is_thrown_up_loads_bare_chain_by_its_inertia_and_drag():
    """Faster heave of one height: no load at rest knows the difference, the moving rode does."""
    peak = []
    for period in (20.0, 5.0, 2.5):
        parts = watch(BARE).fast().put(sea=heaving(0.8, period, 60.0))
        state = watch(BARE).at_rest(8.0)
        rows = parts.sail(state, [0.0, 0.0], 60.0)
        assert np.isfinite(rows).all()
        assert state.rows[:, TENSION].min() >= 0.0
        peak.append(rows[300:, ROW["at_bow"]].max())
    assert peak == sorted(peak), peak
    assert peak[2] > 1.3 * peak[0]


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
    first = sea_of({**BARE, **told}).motion
    for changes in ({"tackle.scope": 7}, {"weather.mean_wind": "35 knot"}, {"tackle.anchor.mass": "30 kg"}):
        assert np.array_equal(sea_of({**told, **changes}).motion, first)


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
    told = {**BREEZE, "spot.fetches": sides, **turn}
    scenario, sea = Scenario().vary(told), sea_of(told)
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
    assert (on_chain - calm_chain).mean() > 2.0 * (on_snubber - calm_snubber).mean() > 0.0


def test_more_sea_is_more_load():
    means = [peaks({**BARE, **swell(height, 4.0)}).mean() for height in (0.0, 0.4, 0.8)]
    assert means == sorted(means)


def test_swell_in_a_calm_surges_about_her_place():
    """Hardly any wind: the load comes of the waves alone, and she stays where the slack rode lets her."""
    scenario = Scenario().vary({**HEAVY, **swell(0.5, 6.0), "weather.mean_wind": "5 knot"})
    run = simulate(scenario, seed=2)
    assert run.track.bow_load.std() > 1.0
    assert np.isfinite(run.track.bow_load).all()
    assert np.hypot(run.track.x, run.track.y).max() < si(scenario.boat.length) + float(run.curve.distance[-1])


@pytest.mark.parametrize("rode", RODES)
@pytest.mark.parametrize("height", [0.3, 0.8])
def test_half_the_step_moves_the_peak_little(rode, height):
    """Two minutes of a sea in a steady breeze: a fortieth."""
    told = {**RODES[rode], **swell(height, 4.0), "weather.direction": "0 degree"}
    parts = watch(told).put(sea=sea_of(told))
    top = []
    for dt, substeps in ((0.1, 3), (0.05, 3)):
        rows = parts.sail(parts.at_rest(13.0), [-13.0, 0.0], 120.0, dt=dt, substeps=substeps)
        top.append(rows[rows[:, ROW["time"]] > 5.0, ROW["at_bow"]].max())
    assert top[1] == pytest.approx(top[0], rel=0.025)
