"""The boat in a sea: how the waves carry her bow, and what that does to the rode and to her loads."""

from __future__ import annotations

import itertools
import math
from dataclasses import replace

import numpy as np
import pytest
from watch_parts import HEAVY, KNOT, ROW, SURE, watch

from anchorsim import simulate
from anchorsim.core.units import si
from anchorsim.dynamics import wave_kernel, wave_motion
from anchorsim.dynamics.line_motion import TENSION, W, X, Z
from anchorsim.dynamics.motion_kernel import HEADING
from anchorsim.dynamics.run import Track
from anchorsim.dynamics.wave_kernel import COLUMNS, STILL, Sea, ride
from anchorsim.dynamics.wave_motion import at_sea, waves
from anchorsim.environment import sea_state as sea_module
from anchorsim.environment.sea_state import growth
from anchorsim.planning.hours import circumstances
from anchorsim.scenario.forecast import make_forecast
from anchorsim.scenario.scenario import Scenario
from anchorsim.scenario.weather import means

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


def parts_at_sea(changes):
    scenario = Scenario().vary({**HEAVY, **changes})
    return scenario, at_sea(scenario, 3)


def sea_of(changes):
    return at_sea(Scenario().vary({**HEAVY, **changes}), 3)


def heaving(height, period, seconds, axis=2):
    """A sea that carries the bow along one axis (2: up) by ±height/2, as places and speeds every 0.05 s."""
    time, turn = np.arange(0.0, seconds + 1.0, 0.05), 2 * math.pi / period
    motion = np.zeros((len(time), COLUMNS))
    column = 0 if axis == 2 else 6
    motion[:, column : column + 3] = 0.5 * height * np.sin(turn * time)[:, None]
    motion[:, column + 9 : column + 12] = 0.5 * height * turn * np.cos(turn * time)[:, None]
    motion[:, 18 + (axis == 1)] = 1.0
    return Sea(motion, 0.05, 0.0, 0.0)


def rides(sea, time, heading):
    return np.array(wave_kernel.ride(sea, time, math.cos(heading), math.sin(heading)))


# --- how the waves carry her ---


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
    scenario, sea = parts_at_sea({**BARE, **told, "weather.duration": "10 min"})
    boat, depth = scenario.boat, scenario.water_depth
    heading = si(scenario.weather.direction) + math.radians(off)
    times = np.arange(0.0, 599.0, 0.25)
    risen = slice(40, None)  # after the first ten seconds, in which the sea rises
    up = np.array([rides(sea, float(time), heading)[2] for time in times])[risen]
    box = wave_motion._box(boat)
    heave, slope, _ = sea_module.response(sea_module.FREQUENCY, depth, box, math.cos(math.radians(off)))
    follows = heave + 1j * si(boat.roller) * math.cos(math.radians(off)) * slope
    root = np.sqrt(sea_module.spectrum(sea_module.FREQUENCY, 0.8, 4.0))
    wanted = sea_module.realise(3, [(follows * root,)], [0.0], 2401)[: len(times), 0][risen]
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
    assert not rides(wave_kernel.STILL, 5.0, 1.0).any()


def test_the_sea_rises_from_nothing_and_is_all_there_after_ten_seconds():
    """Her bow begins at rest at its place; speeds are the slopes of places while it rises, too."""
    sea = sea_of(swell(0.8, 4.0))
    assert not rides(sea, 0.0, 1.0).any()
    for at in (2.3, 6.1, 9.7):
        after, before = rides(sea, at + 1e-5, 1.0), rides(sea, at - 1e-5, 1.0)
        assert rides(sea, at, 1.0)[3:6] == pytest.approx((after - before)[:3] / 2e-5, abs=1e-5)
    whole = np.array([rides(sea, float(t), 1.0)[2] for t in np.arange(0.0, 60.0, 0.25)])
    assert np.abs(whole[:8]).max() < 0.2 * np.abs(whole[40:]).max()


# --- the bow and the rode ---


def test_the_sea_rises_by_a_smooth_share_and_is_untouched_after_that(monkeypatch):
    """Every column beside the same sea without its rise: 3s² − 2s³ of it at a share s of ten seconds."""
    risen = sea_of(swell(0.8, 4.0)).motion
    monkeypatch.setattr(wave_motion, "_COMES_UP", 1e-9)
    whole = sea_of(swell(0.8, 4.0)).motion
    late = round(10.0 / sea_of(swell(0.8, 4.0)).pace)
    assert np.array_equal(risen[late:], whole[late:])
    share = np.linspace(0.0, 1.0, late + 1)[1:, None]
    smooth = 3.0 * share**2 - 2.0 * share**3
    places = [*range(9), 20, 21]  # of what has a size; the rates are held to the slopes of these elsewhere
    assert risen[1 : late + 1, places] == pytest.approx(smooth * whole[1 : late + 1, places], abs=1.5e-6)
    assert np.array_equal(risen[1:, 18:20], whole[1:, 18:20]), "it comes from where it comes from"


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
        rest = replace(laid, rise=rise, friction=0.0, slope=0.0).solve_at_distance(distance).si
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
        for name in Track.__dataclass_fields__:
            assert np.array_equal(getattr(other.si, name), getattr(still.si, name)), (told, name)
        assert other.si.peak_load == still.si.peak_load


def test_the_same_waves_whatever_else_changes():
    """Rode and gusts leave the waves alone: with the same hull the bow moves the same, bit by bit."""
    told = swell(0.6, 3.5)
    first = sea_of({**BARE, **told}).motion
    for changes in ({"tackle.scope": 7}, {"weather.mean_wind": "35 knot"}, {"tackle.anchor.mass": "30 kg"}):
        assert np.array_equal(sea_of({**told, **changes}).motion, first)


def test_given_waves_go_before_those_of_the_wind_and_break_on_a_shoal():
    scenario = Scenario().vary({**open_to(3000), **BREEZE})
    raised = waves(scenario).si
    assert 0.3 < raised.height < 0.6
    assert waves(scenario.vary(swell(0.9, 5.0))).si[:2] == pytest.approx((0.9, 5.0))
    assert waves(scenario.vary({**swell(3.0, 5.0), "spot.depth": "3 m"})).si.height == pytest.approx(1.8)


def test_wind_against_tide_makes_a_steeper_sea():
    """Common practice, no source: the sea gets up when the stream turns against the wind."""
    open_water = Scenario().vary(
        {"spot.fetches": [{"bearing": "225 degree", "distance": "3 km"}], "weather.direction": "225 degree"}
    )
    sets = {"against": "225 degree", "with": "45 degree", "across": "135 degree"}
    found = {
        name: waves(open_water.vary({"spot.current": "1.2 knot", "spot.current_set": towards})).si.height
        for name, towards in sets.items()
    }
    slack = waves(open_water).si.height
    assert found["with"] < 0.95 * slack and found["against"] > 1.05 * slack
    assert found["across"] == pytest.approx(slack)
    given = open_water.vary({"weather.wave_height": "0.5 m", "spot.current": "1.2 knot"})
    assert waves(given).si.height == 0.5, "as it is where she lies"


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
    scenario, sea = parts_at_sea(told)
    heave, minute = sea.motion[:, 0], round(60.0 / sea.pace)
    assert not heave[: 3 * minute].any()
    full = waves(scenario, direction=math.radians(315.0)).si
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
    then = wave_motion._following(*seas_of(scenario, knots), knots)
    when = float(np.interp(0.632, [(one.height / full.height) ** 2 for one in then], knots))
    assert when - 4.0 * 60.0 == pytest.approx(0.632 ** (1 / 1.5) * takes, rel=0.05)
    assert push[-1] > 10.0 * push[6 * minute] > 0.0


def seas_of(scenario, knots):
    winds, ways = means(scenario.weather, knots)
    blown = zip(winds, ways, strict=True)
    return [waves(scenario, wind=float(u), direction=float(way)).si for u, way in blown], winds


def test_through_a_shift_the_old_sea_runs_on():
    """Open all round: halfway the sea lies between, lower than it was, and at last it is the new wind's."""
    told = {**BREEZE, **TURN, "spot.fetches": [{"bearing": "0 degree", "distance": "3 km"}]}
    scenario = Scenario().vary({**told, "weather.direction": "180 degree", "weather.duration": "240 min"})
    knots = np.linspace(0.0, 240 * 60.0, 241)
    each = wave_motion._following(*seas_of(scenario, knots), knots)
    degrees = [math.degrees(one.direction) % 360.0 for one in each]
    assert degrees[0] == pytest.approx(180.0)
    assert degrees[5] < 190.0, "hardly turned when the wind has"
    assert all(b >= a - 1e-9 for a, b in itertools.pairwise(degrees))
    assert degrees[-1] == pytest.approx(270.0, abs=1.0)
    middle = min(range(241), key=lambda i: abs(degrees[i] - 225.0))
    assert each[middle].height == pytest.approx(2**-0.25 * each[0].height, rel=0.02), (
        "half of either's energy"
    )
    steady = [wave_motion.WavesSI(0.4, 2.5, 1.0)] * 4
    assert wave_motion._following(steady, np.full(4, 10.0), np.arange(4) * 60.0) == steady


def test_a_given_sea_may_come_from_elsewhere():
    across = {**swell(0.6, 6.0), "weather.wave_direction": "135 degree"}
    scenario = Scenario().vary(across)
    assert waves(scenario).si == pytest.approx((0.6, 6.0, math.radians(135.0)))
    assert waves(Scenario().vary(swell(0.6, 6.0))).si.direction == si(Scenario().weather.direction)
    raised = Scenario().vary({**open_to(3000), "weather.wave_direction": "135 degree"})
    assert waves(raised).si.direction == si(raised.weather.direction), "what the wind raises runs with it"
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
    assert calm.si.y[6000:].mean() == pytest.approx(0.0, abs=2.0)
    assert rough.si.y[6000:].mean() < -4.0, "carried west"


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
    each = [hour.scenario for hour in circumstances(scenario, hours, hours.si.tide)]
    sheltered, low, high = (waves(then).si.height for then in each if then)
    assert sheltered < 0.06
    assert low == pytest.approx(growth(22 * KNOT, 6000.0, 4.0)[0])
    assert high == pytest.approx(growth(22 * KNOT, 6000.0, 7.0)[0])
    assert high > 1.03 * low > 5.0 * sheltered


def peaks(changes, seeds=(1, 2, 3, 4)):
    scenario = Scenario().vary({**HEAVY, **BREEZE, **changes})
    return np.array([simulate(scenario, seed=s, holding_quantile=SURE).si.peak_load for s in seeds])


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
    assert run.si.bow_load.std() > 1.0
    assert np.isfinite(run.si.bow_load).all()
    assert np.hypot(run.si.x, run.si.y).max() < si(scenario.boat.length) + float(run.curve.si.distance[-1])


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
