"""The boat's motion against closed forms: rest, steady wind, periods, the stop on a spring, and energy."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from watch_parts import HEAVY, ROW, SURE, Spell, crossings, on_a_line, watch

from anchorsim import line, simulate
from anchorsim.core.tables import catalogue
from anchorsim.dynamics import motion_kernel
from anchorsim.dynamics.hull_loads import air_load
from anchorsim.dynamics.line_motion import TENSION, U, W, X
from anchorsim.mooring.statics import Segment
from anchorsim.scenario.scenario import Scenario

STEADY = {"weather.mean_wind": "25 knot", "weather.gust": "25 knot"}  # no gusts
RODES = {
    "chain and snubber": {},
    "bare chain": {"tackle.snubber.length": "0 m"},
    "rope on some chain": {"tackle.chain.length": "10 m", "tackle.rope.length": "60 m"},
}
BRIDLE = {"boat.model": "catamaran-12", "tackle.snubber.legs": 2}
ALL = {**RODES, "bridle": BRIDLE}


@pytest.mark.parametrize("boat", catalogue())
def test_without_wind_rest_stays_rest(boat):
    """She hangs on the weight of what does not lie: a millimetre in ten minutes is all that moves."""
    run = simulate(Scenario().vary({"boat.model": boat, "weather.mean_wind": "0 knot"}))
    for name in ("x", "y", "heading"):
        assert np.ptp(getattr(run.si, name)) < 1e-3, name
    assert np.ptp(run.si.bow_load) < 0.01 * run.si.bow_load[0]
    assert run.si.peak_anchor_load < run.rode.friction * 12.0 * 14.0 * run.rode.chain
    assert run.drag_distance.m == 0.0


@pytest.mark.parametrize("rode", ALL)
@pytest.mark.parametrize("wind", [6.0, 12.0, 20.0])
def test_she_starts_from_rest_without_a_jerk(rode, wind):
    """In the first seconds of a steady wind the loads stay where the statics have them.

    To five per cent and fifteen newtons: the rode's elements are few.
    """
    parts = watch(ALL[rode])
    rows = parts.sail(parts.at_rest(wind), [-wind, 0.0], 10.0)
    push = -air_load(parts.body, -wind, 0.0, parts.setting.air)[0]
    rest = statics(parts, push)
    assert rows[:, ROW["at_bow"]] == pytest.approx(rest.load_at_bow, rel=0.07, abs=15.0)
    slack = parts.setting.friction * 17.0 * rest.length_on_bottom  # friction may be used up either way
    assert rows[:, ROW["at_anchor"]].max() < 1.05 * (rest.load_at_anchor + slack) + 15.0
    assert np.ptp(rows[:, ROW["x"]]) < 0.1


def statics(parts: Spell, push: float) -> line.LineState:
    return replace(parts.rode, friction=parts.setting.friction).solve(push).si


@pytest.mark.parametrize("rode", ALL)
@pytest.mark.parametrize("wind", [8.0, 15.0, 25.0])
def test_in_a_steady_wind_the_rode_comes_to_rest_as_the_statics_have_it(rode, wind):
    """Load at the bow, pull and lift at the anchor, of twelve elements to a segment."""
    parts = watch(ALL[rode], elements=12).around(friction=0.0)
    held = parts.boat(yaw_inertia=1e30, added_sway_yaw=0.0)  # so that she does not sheer
    state = held.at_rest(wind)
    for _ in range(3):
        rows = held.sail(state, [-wind, 0.0], 200.0, stride=20)
    push = -air_load(parts.body, -wind, 0.0, parts.setting.air)[0]
    rest = statics(parts, push)
    assert rows[-1, ROW["at_bow"]] == pytest.approx(rest.load_at_bow, rel=0.01)
    assert rows[-1, ROW["at_anchor"]] == pytest.approx(rest.load_at_anchor, rel=0.01)
    assert rows[-1, ROW["uplift"]] == pytest.approx(rest.angle_at_anchor, abs=math.radians(0.5))
    far = -rows[-1, ROW["x"]] - parts.body.roller
    spread = parts.rode.snubber - math.sqrt(parts.rode.snubber**2 - (0.5 * parts.rode.spread) ** 2)
    assert far == pytest.approx(rest.distance - spread, abs=0.12)


@pytest.mark.parametrize("boat", ["sloop-8", "sloop-10", "ketch-13"])
@pytest.mark.parametrize("rode", RODES)
def test_a_steady_wind_is_held_by_what_pushes_her(boat, rode):
    """With a riding sail, under which these boats lie straight, she comes to rest head to the wind."""
    told = {**STEADY, **HEAVY, "boat.model": boat, "boat.riding_sail": "4 m²", "weather.shift": "20 degree"}
    told |= {"weather.duration": "60 min", **RODES[rode]}
    run = simulate(Scenario().vary(told), holding_quantile=SURE)
    track = run.si
    parts = watch({**told})
    push = -air_load(parts.body, -track.wind_speed[-1], 0.0, parts.setting.air)[0]
    assert track.wind_speed[-1] == pytest.approx(track.wind_speed[0], abs=1.5e-6)  # m/s, as it is rounded
    assert track.bow_load[-1] == pytest.approx(statics(parts, push).load_at_bow, rel=0.02)
    assert track.heading[-1] % (2 * math.pi) == pytest.approx(track.wind_direction[-1], abs=2e-3)
    assert np.ptp(track.x[-600:]) < 0.02, "she lies still"
    assert np.ptp(track.y[-600:]) < 0.02


# --- periods ---


def light(length: float = 40.0, stiffness: float = 80e3) -> Segment:
    """A line as good as weightless."""
    return Segment(length=length, weight=1e-4, weight_in_air=1e-3, stiffness=stiffness)


@pytest.mark.parametrize("speed", [0.5, 1.0, 2.0])
def test_a_linear_spring_stops_her_at_v_root_km(speed):
    """Peak v√(km), m with the added mass in surge, k = EA/L of a line as good as level and weightless."""
    parts = on_a_line(watch().without_damping(), light())
    state = parts.at_rest()
    state.boat[:2] = -40.0 - parts.body.roller, 0.0
    state.nodes[-1, X] = -40.0
    state.boat[motion_kernel.AHEAD] = -speed
    rows = parts.sail(state, [0.0, 0.0], 6.0, dt=0.01, substeps=2)
    mass = parts.body.mass + parts.body.added_surge
    peak = speed * math.sqrt(80e3 / 40.0 * mass)
    assert rows[:, ROW["at_bow"]].max() == pytest.approx(peak, rel=5e-3)


@pytest.mark.parametrize("surge", [0.05, 0.2])
def test_the_period_of_a_surge_on_a_spring(surge):
    """2π√(m/k) about a steady pull, with the added mass in surge."""
    pull = 2000.0
    parts, wind = hung(0.0, pull, light())
    state = parts.at_rest(wind)
    middle = state.boat[0]
    state.boat[0] += surge
    rows = parts.sail(state, [-wind, 0.0], 120.0, dt=0.02, substeps=2)
    found = np.diff(crossings(rows[:, ROW["time"]], rows[:, ROW["x"]] - middle)).mean()
    mass = parts.body.mass + parts.body.added_surge
    assert found == pytest.approx(2 * math.pi * math.sqrt(mass / (80e3 / 40.0)), rel=3e-3)


def hung(roller: float, pull: float, segment: Segment) -> tuple[Spell, float]:
    """A boat on which nothing acts but a steady pull along her rig and the rode, and the wind for that."""
    parts = watch().without_damping().around(air=1.225)
    bare = parts.boat(
        roller=roller, frontal_area=0.0, lateral_area=1e-9, windage_centre=0.0, rig_lateral_area=0.0,
        sail_area=0.0, added_sway_yaw=0.0, rig_drag=1.0, rig_frontal_area=10.0,
    )  # fmt: skip
    # so heavy an air, and so little of it, that her own speed does not change its push
    bare = bare.around(air=1e-4)
    wind = math.sqrt(pull / (-air_load(bare.body, -1.0, 0.0, 1e-4)[0]))
    return on_a_line(bare, segment), wind


def test_the_period_of_a_point_mass_on_a_line():
    """2π√(ml/T), pulled at the centre of gravity, so that she does not turn: m is the mass in sway."""
    pull = 2000.0
    parts, wind = hung(0.0, pull, light(stiffness=1e6))
    state = parts.at_rest(wind)
    length = -state.boat[0]
    state.boat[motion_kernel.EAST] = 0.01
    rows = parts.sail(state, [-wind, 0.0], 600.0, dt=0.02, substeps=1)
    found = np.diff(crossings(rows[:, ROW["time"]], rows[:, ROW["y"]])).mean()
    mass = parts.body.mass + parts.body.added_sway
    assert found == pytest.approx(2 * math.pi * math.sqrt(mass * length / pull), rel=2e-3)
    assert np.abs(rows[:, ROW["heading"]]).max() < 1e-8


def test_the_period_of_a_boat_on_a_line():
    """Pulled at the roller R ahead: with q = (y, ψ), M q̈ = −T (1, R)ᵀ (1/l, 1 + R/l) q.

    The matrix has rank one, so there is one swing: ω² = T [1/(m l) + R (1 + R/l)/I].
    """
    pull, roller = 2000.0, 6.1
    parts, wind = hung(roller, pull, light(stiffness=1e6))
    state = parts.at_rest(wind)
    length, body = -state.boat[0] - roller, parts.body
    state.boat[motion_kernel.HEADING] = 0.002
    rows = parts.sail(state, [-wind, 0.0], 300.0, dt=0.02, substeps=1)
    heading = rows[:, ROW["heading"]]
    found = np.diff(crossings(rows[:, ROW["time"]], heading - heading.mean())).mean()
    sway, yaw = body.mass + body.added_sway, body.yaw_inertia + body.added_yaw
    square = pull * (1 / (sway * length) + roller * (1 + roller / length) / yaw)
    assert found == pytest.approx(2 * math.pi / math.sqrt(square), rel=3e-3)


# --- energy ---


def under_water(parts: Spell) -> Spell:
    """All of the rode wet, so that its weight has a potential: the roller a little under the surface."""
    deep = parts.setting.depth + parts.setting.height + 1.0
    return parts.around(depth=deep, height=-1.0)


def thrown(parts: Spell, wind: float = 20.0):
    """A state drawn out by 40 knots of wind, and moving every way at once."""
    state = parts.at_rest(wind)
    state.boat[motion_kernel.AHEAD : motion_kernel.TURN + 1] = 0.5, 0.6, 0.05
    return state


def kept(rode, step, seconds=20.0):
    """The share of the energy above that of rest that is left each second, with nothing to take it."""
    whole = watch(ALL[rode])
    parts = under_water(whole.without_damping())
    state, calm = thrown(under_water(whole)), parts.at_rest()
    least = parts.line_energy(calm)
    first, found = parts.energy(state) - least, [1.0]
    for _ in range(round(seconds)):
        parts.sail(state, [0.0, 0.0], 1.0, dt=step, substeps=1)
        found.append((parts.energy(state) - least) / first)
    return np.array(found)


@pytest.mark.parametrize("rode", ALL)
def test_boat_and_rode_gain_no_energy(rode):
    """With drag, air, loss and friction left out: what the hull's forces bring in shrinks with their step.

    What is lost besides goes when chain lands on the bottom, whatever the step.
    """
    gained = [np.diff(kept(rode, step)).max() for step in (1 / 30, 1 / 200)]
    assert gained[0] < 1.5e-3
    assert gained[1] < 3e-4
    assert kept(rode, 1 / 200)[-1] > 0.97


@pytest.mark.parametrize("rode", ALL)
def test_in_still_air_and_water_she_comes_to_rest(rode):
    parts = watch(ALL[rode])
    state = thrown(parts)
    found = []
    for _ in range(60):
        rows = parts.sail(state, [0.0, 0.0], 20.0)
        found.append(float(np.hypot(*state.boat[motion_kernel.AHEAD : motion_kernel.ABEAM + 1])))
    assert np.isfinite(rows).all()
    assert found[-1] < 0.01
    assert np.abs(state.nodes[:, U : W + 1]).max() < 0.02
    assert state.rows[:, TENSION].min() >= 0.0
