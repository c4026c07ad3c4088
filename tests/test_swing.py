"""The boat's motion against closed forms: rest, steady wind, periods, the stop on a spring, and energy."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from watch_parts import HEAVY, ROW, Watch, crossings, on_a_line, watch

from anchorsim import simulate, swing_kernel
from anchorsim.line import Segment
from anchorsim.scenario import Scenario
from anchorsim.tables import catalogue
from anchorsim.units import si

STEADY = {"weather.mean_wind": "25 knot", "weather.gust": "25 knot"}  # no gusts
RODES = {
    "chain and snubber": {},
    "bare chain": {"tackle.snubber.length": "0 m"},
    "rope on some chain": {"tackle.chain.length": "10 m", "tackle.rope.length": "60 m"},
}
BRIDLE = {"boat.model": "catamaran-12", "tackle.snubber.legs": 2}


@pytest.mark.parametrize("boat", catalogue())
def test_without_wind_rest_stays_rest(boat):
    run = simulate(Scenario().vary({"boat.model": boat, "weather.mean_wind": "0 knot"}))
    for name in ("x", "y", "heading", "bow_load", "anchor_load"):
        values = getattr(run.track, name)
        assert np.ptp(values) == 0.0, name
    hanging = run.curve.load_at_bow[0]  # only the weight that hangs from the bow
    assert run.greatest_bow_load == pytest.approx(hanging, rel=1e-12)
    assert run.greatest_anchor_load == 0.0


@pytest.mark.parametrize("boat", ["sloop-8", "sloop-10", "ketch-13"])
@pytest.mark.parametrize("rode", RODES)
def test_a_steady_wind_is_held_by_its_closed_form(boat, rode):
    """½ρV²(C_l A_F + C_d A_rig), head to wind, with a riding sail, under which these boats lie straight."""
    told = {**STEADY, **HEAVY, "boat.model": boat, "boat.riding_sail": "4 m²", "weather.shift": "20 degree"}
    run = simulate(Scenario().vary({**told, "weather.duration": "60 min", **RODES[rode]}))
    boat_, track = run.scenario.boat, run.track
    along = (
        0.70 if boat == "ketch-13" else 0.55
    )  # Blendermann (1994), fishing vessel and speed boat, from ahead
    area = along * si(boat_.frontal_area) + 1.1 * si(
        boat_.rig_frontal_area
    )  # a cylinder: 0.98 at 40 diameters, 1.20 endless
    push = 0.5 * 1.225 * track.wind_speed[-1] ** 2 * area
    assert track.wind_speed[-1] == pytest.approx(track.wind_speed[0], abs=1.5e-6)  # m/s, as it is rounded
    pull = float(np.interp(track.bow_load[-1], run.curve.load_at_bow, run.curve.horizontal_load))
    assert pull == pytest.approx(push, rel=1e-5)
    assert track.heading[-1] % (2 * math.pi) == pytest.approx(track.wind_direction[-1], abs=1e-4)
    assert np.ptp(track.x[-600:]) < 1e-3, "she lies still"
    assert np.ptp(track.y[-600:]) < 1e-3


def test_the_period_of_a_small_surge():
    """2π/√(k/m − (c/2m)²) with the mass in surge and the rode's stiffness; c = 2 pull/V, of the air."""
    wind = 12.0
    parts = watch(RODES["bare chain"]).boat(surge_drag=0.0, astern_drag=0.0, wave_drag=0.0)
    state = parts.at_rest(wind)
    middle, stiffness = state[0], parts.curve.look_up(parts.distance(state))[6]
    pull = parts.curve.look_up(parts.distance(state))[0]
    mass = parts.body.mass + parts.body.added_surge
    state[0] += 0.002
    rows = parts.sail(state, [-wind, 0.0], 300.0)
    found = np.diff(crossings(rows[:, ROW["time"]], rows[:, ROW["x"]] - middle)).mean()
    closed = 2 * math.pi / math.sqrt(stiffness / mass - (pull / wind / mass) ** 2)
    assert found == pytest.approx(closed, rel=1e-3)


def hung(roller: float, pull: float) -> tuple[Watch, float]:
    """A boat on which nothing acts but a steady pull along her rig and the rode, and the wind for that."""
    parts = watch().without_damping().around(air=1.225)
    bare = parts.boat(
        roller=roller, frontal_area=0.0, lateral_area=1e-9, windage_centre=0.0, rig_lateral_area=0.0,
        sail_area=0.0, added_sway_yaw=0.0,
    )  # fmt: skip
    wind = math.sqrt(pull / (0.5 * 1.225 * bare.body.rig_drag * bare.body.rig_frontal_area))
    return on_a_line(bare, Segment(length=40.0, weight=0.0, stiffness=1e7)), wind


def test_the_period_of_a_point_mass_on_a_line():
    """2π√(ml/T), pulled at the centre of gravity, so that she does not turn: m is the mass in sway."""
    pull = 2000.0
    parts, wind = hung(0.0, pull)
    state = parts.at_rest(wind)
    length = parts.distance(state)
    state[swing_kernel.EAST] = 0.01
    rows = parts.sail(state, [-wind, 0.0], 600.0, dt=0.02)
    found = np.diff(crossings(rows[:, ROW["time"]], rows[:, ROW["y"]])).mean()
    mass = parts.body.mass + parts.body.added_sway
    assert found == pytest.approx(2 * math.pi * math.sqrt(mass * length / pull), rel=1e-3)
    assert np.abs(rows[:, ROW["heading"]]).max() < 1e-8


def test_the_period_of_a_boat_on_a_line():
    """Pulled at the roller R ahead: with q = (y, ψ), M q̈ = −T (1, R)ᵀ (1/l, 1 + R/l) q.

    The matrix has rank one, so there is one swing: ω² = T [1/(m l) + R (1 + R/l)/I].
    """
    pull, roller = 2000.0, 6.1
    parts, wind = hung(roller, pull)
    state = parts.at_rest(wind)
    length, body = parts.distance(state), parts.body
    state[swing_kernel.HEADING] = 0.002
    rows = parts.sail(state, [-wind, 0.0], 300.0, dt=0.02)
    heading = rows[:, ROW["heading"]]
    found = np.diff(crossings(rows[:, ROW["time"]], heading - heading.mean())).mean()
    sway, yaw = body.mass + body.added_sway, body.yaw_inertia + body.added_yaw
    square = pull * (1 / (sway * length) + roller * (1 + roller / length) / yaw)
    assert found == pytest.approx(2 * math.pi / math.sqrt(square), rel=2e-3)


@pytest.mark.parametrize("speed", [0.5, 1.0, 2.0])
def test_a_linear_spring_stops_her_at_v_root_km(speed):
    """Peak v√(km), m with the added mass in surge, k = EA/L of a line as good as level and weightless."""
    line = Segment(length=40.0, weight=0.0, stiffness=80e3)
    parts = on_a_line(watch().without_damping(), line)
    state = parts.at_rest()
    state[swing_kernel.AHEAD] = -speed
    rows = parts.sail(state, [0.0, 0.0], 6.0, dt=0.01)
    mass = parts.body.mass + parts.body.added_surge
    peak = speed * math.sqrt(80e3 / 40.0 * mass)
    assert rows[:, ROW["at_bow"]].max() == pytest.approx(peak, rel=2e-3)


def thrown(parts: Watch, calm: Watch) -> np.ndarray:
    """A state drawn out by 40 knots of wind, and moving every way at once."""
    state = calm.at_rest(20.0)
    state[swing_kernel.AHEAD : swing_kernel.TURN + 1] = 0.5, 0.6, 0.05
    return state


@pytest.mark.parametrize("rode", [*RODES, "bridle"])
def test_without_damping_energy_is_kept(rode):
    """½νᵀMν + the rode's energy over ten minutes: the Munk moment and Coriolis forces do no work."""
    changes = RODES.get(rode, BRIDLE)
    parts = watch(changes).without_damping()
    if rode == "bridle":  # the hook as far ahead as it gets, for it moves from step to step
        parts = parts.around(out=1.0)
    state = thrown(parts, watch(changes).around(lying_friction=0.0))
    parts.sail(state, [0.0, 0.0], 0.01, dt=0.01)
    first = parts.energy(state)
    for _ in range(60):
        parts.sail(state, [0.0, 0.0], 10.0, dt=0.01)
        assert parts.energy(state) == pytest.approx(first, rel=1e-6 if rode == "bridle" else 1e-7)


@pytest.mark.parametrize("rode", RODES)
@pytest.mark.parametrize("damped", ["by all", "by what lies", "by the rope"])
def test_in_still_air_energy_never_grows(rode, damped):
    """Neither the chain that is lifted, laid and swept round nor the rope's loss brings any in."""
    whole = watch(RODES[rode])
    parts = whole
    if damped == "by what lies":
        parts = whole.without_damping().around(lying_friction=whole.setting.lying_friction)
    elif damped == "by the rope":
        parts = whole.without_damping()
        parts = Watch(parts.body, parts.setting, whole.curve)
    state = thrown(parts, whole if parts.setting.lying_friction else whole.around(lying_friction=0.0))
    found = [parts.energy(state)]
    for _ in range(1500):
        parts.sail(state, [0.0, 0.0], 0.2, dt=0.02)
        found.append(parts.energy(state))
    assert max(b - a for a, b in pairwise(found)) < 1e-6 * found[0]
    lossless = damped == "by the rope" and rode == "bare chain"
    assert found[-1] < (1.0 if lossless else 0.95) * found[0] * (1 + 1e-7)


@pytest.mark.parametrize("boat", ["catamaran-12", "ketch-13"])
def test_a_bridle_brings_in_next_to_no_energy(boat):
    """Its hook moves from step to step: that shifts up to a hundredth to and fro, but makes none."""
    changes = {**BRIDLE, "boat.model": boat}
    free = watch(changes).without_damping()
    state = thrown(free, watch(changes).around(lying_friction=0.0))
    found = [free.energy(state)]
    for _ in range(60):
        free.sail(state, [0.0, 0.0], 100.0, dt=0.05)
        found.append(free.energy(state))
    assert max(found) < 1.01 * found[0]
    damped = watch(changes)
    state = thrown(damped, damped)
    energy = [damped.energy(state)]
    for _ in range(600):
        damped.sail(state, [0.0, 0.0], 0.5, dt=0.05)
        energy.append(damped.energy(state))
    rise = max(b - a for a, b in pairwise(energy))
    assert rise < 1e-6 * energy[0], f"{rise:.2g} J of {energy[0]:.0f} J"
    assert energy[-1] < 0.01 * energy[0]
