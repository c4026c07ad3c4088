"""Whether she lies straight: the linearised motion against closed forms, published limits, and runs in time.

``SHEER_PROOF=1`` in the environment goes through every cell of the maps.
"""

from __future__ import annotations

import json
import math
import os
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from anchorsim import figures
from anchorsim.dynamics import lateral, sheering
from anchorsim.dynamics.boat_motion import gather_way, hull_force
from anchorsim.dynamics.lateral import Derivatives
from anchorsim.dynamics.motion_kernel import EAST, HEADING
from anchorsim.dynamics.sheering import STRONG, at_rest, modes, settle, sheer_map, straight_equilibrium
from anchorsim.dynamics.simulation import setting_of
from anchorsim.mooring.rode import assemble
from anchorsim.scenario.scenario import Scenario, ScenarioError

FULL = bool(os.environ.get("SHEER_PROOF"))

SAIL = {"boat.riding_sail": "4 m²"}
BARE = {"tackle.snubber.length": "0 m"}
ROPE = {"tackle.chain.length": "10 m", "tackle.rope.length": "60 m"}
ALL_ROPE = {"tackle.chain.length": "0 m", "tackle.rope.length": "60 m"}
BRIDLE = {"tackle.snubber.legs": 2}
LONG = {"tackle.chain.length": "120 m"}  # for any scope of a map


def scenario(*changes):
    return Scenario().vary({path: value for more in changes for path, value in more.items()})


def nearest(found, value):
    return found[np.argmin(np.abs(found - value))]


def sailed(given, wind, seconds, by=1e-9):
    """Heading (rad) and place to the east over 20 m, every 0.1 s, from a small sheer in a steady wind."""
    watch, rest, _ = at_rest(given, wind)
    rest.boat[HEADING] += by
    rows, _ = watch.run(rest, round(seconds * 10) + 1)
    return rows[3], rows[2] / 20


def exponents(series, lag, order, start=300):
    """Exponents (1/s) of the motions that samples every 0.1 s are the sum of; ``lag``: τ in samples.

    Any sum of n such motions satisfies h(t + nτ) = Σ cⱼ h(t + jτ), and the exponents are the logarithms of
    the roots of zⁿ − Σ cⱼ zʲ over τ (Prony's method).  Only what is small is used.
    """
    tables = []
    for one in series:
        large = np.abs(one) > 1e-4
        first = np.arange(start, (np.argmax(large) if large.any() else len(one)) - order * lag, 5)
        table = np.column_stack([one[first + j * lag] for j in range(order + 1)])
        tables.append(table / np.abs(table).max(axis=1, keepdims=True))
    every = np.vstack(tables)
    repeats = np.linalg.lstsq(every[:, :order], every[:, order], rcond=None)[0]
    return np.log(np.roots([1.0, *-repeats[::-1]]).astype(complex)) / (0.1 * lag)


# --- published limits ---

# Speed boat after Blendermann (1994), as printed in Fossen, Handbook of Marine Craft Hydrodynamics and Motion
# Control, ch. 10: A_F 10, A_L 25 m², L 12 m, 20 m/s, air 1.224 kg/m³; without rig.
SPEED_BOAT = {
    "boat.length": "12 m", "boat.windage": "speed boat", "boat.windage_centre": "0 m",
    "boat.frontal_area": "10 m²", "boat.lateral_area": "25 m²", "boat.rig_frontal_area": "0 m²",
    "boat.rig_lateral_area": "0 m²", "boat.roller": "6 m",
}  # fmt: skip
PULL, SIDE = 1346.4, 5508.0  # N: X at 0°, and C_Y as Y at 90°, 0.9 · 25 m² · ½ · 1.224 · 20²
AIR = 1.224


def speed_boat(changes=()):
    """At rest in 20 m/s of that air, on rope alone; her derivatives."""
    watch, _, _ = at_rest(scenario(SPEED_BOAT, ALL_ROPE, dict(changes)), 20.0)
    watch = replace(watch, setting=watch.setting._replace(air=AIR))
    _, state, _ = at_rest(scenario(SPEED_BOAT, ALL_ROPE, dict(changes)), 20.0)
    assert settle(watch, state)
    return watch, state, lateral.derivatives(watch.body, watch.setting, 20.0)


def in_wind(tension, length, roller, side, centre):
    """K in wind, as published: [[T/l, T(1 + x_p/l) − C_Y], [x_p T/l, x_p T(1 + x_p/l) − x_w C_Y]]."""
    turn = tension * (1 + roller / length)
    return np.array(
        [[tension / length, turn - side], [roller * tension / length, roller * turn - centre * side]]
    )


def test_the_limit_in_wind_is_blendermanns():
    """With s_L 0 the side force acts 0.09π = 0.2827 of the length ahead as she falls off from the wind."""
    _, _, given = speed_boat()
    assert given.centre / 12.0 == pytest.approx(0.2827, abs=0.00005)
    assert given.centre / 12.0 == pytest.approx(0.09 * math.pi, rel=1e-5)
    assert given.heading[0] == pytest.approx(SIDE, rel=1e-5)


def test_the_stiffness_of_the_speed_boat():
    """Worked by hand from the published coefficients: l 30 m, x_p 6 m, det K = 644 468 N²."""
    _, _, given = speed_boat()
    back = lateral.stiffness(given, PULL, 30.0, 6.0)
    assert np.linalg.det(back) == pytest.approx(644_468, abs=0.5)
    assert back == pytest.approx(in_wind(PULL, 30.0, 6.0, SIDE, 0.09 * math.pi * 12), rel=1e-4)


@pytest.mark.parametrize(
    ("roller", "scope", "growing"), [(7.0, 3, 0), (6.0, 5, 2), (4.5, 5, 2), (3.0, 5, 1), (2.0, 5, 1)]
)
def test_the_speed_boat_sheers_in_a_run_as_by_the_published_stiffness(roller, scope, growing):
    """Growth and period out of the polynomial det(λ²M − λS + K) against the kernel's own run.

    Inertia and damping are the package's; K is the published form with the run's horizontal length, on rope
    that weighs and drags little.  ``growing``: how many grow without swinging, none where the leading one
    swings, an odd number where the roller is not ahead of the limit of 3.39 m.
    """
    changes = {"boat.roller": f"{roller} m", "tackle.scope": scope}
    watch, rest, given = speed_boat(changes)
    length = -rest.boat[0] - roller
    back = in_wind(PULL, length, roller, SIDE, 0.09 * math.pi * 12)
    mass, speed = given.mass, given.speed
    quartic = np.zeros(5)
    for sign, (i, j) in ((1.0, (0, 1)), (-1.0, (1, 0))):
        first = [mass[0, i], -speed[0, i], back[0, i]]
        second = [mass[1, j], -speed[1, j], back[1, j]]
        quartic += sign * np.polymul(first, second)
    worked = np.roots(quartic).astype(complex)
    lead = worked[np.argmax(worked.real)]
    assert ((worked.real > 0) & (worked.imag == 0)).sum() == growing
    assert (lead.imag == 0) == (growing > 0)
    rest.boat[HEADING] += 1e-9
    rows, _ = watch.run(rest, 4001)
    found = nearest(exponents((rows[3], rows[2] / 20), 15, 4), lead)
    assert abs(found - lead) < 0.02 * abs(lead), (found, lead)


# Mariner hull, after Chislett and Strøm-Tejsen (1965), as reprinted in the public MSS library, mariner.m: by
# ½ρL³, ½ρL⁴, ½ρL⁵ for the masses, ½ρL²U, ½ρL³U, ½ρL⁴U for the speeds; Y_r and N_r hold −mU and −m x_G U.
L, U, RHO = 160.93, 2.0, 1025.0  # length and speed of the current: m (as printed), m/s (chosen)
M_, I_, X_G = 798e-5, 39.2e-5, -0.023
Y_VD, N_VD, Y_RD, N_RD = -748e-5, 4.646e-5, -9.354e-5, -43.8e-5
Y_V, N_V, Y_R, N_R = -1160e-5, -264e-5, -499e-5, -166e-5
X_U, X_UD = -184e-5, -42e-5
HALF = 0.5 * RHO * L**2
RESISTANCE = -0.5 * X_U * HALF * U**2  # N: drag that grows with the square of the speed, by its slope X_u
MASS = HALF * L * np.array([[M_ - Y_VD, L * (M_ * X_G - Y_RD)], [L * (M_ * X_G - N_VD), L**2 * (I_ - N_RD)]])
WATER = HALF * U * np.array([[Y_V, L * Y_R], [L * N_V, L**2 * N_R]])


def mariner():
    """Lying to a point in a current U from ahead, by her speed over the ground.

    Through the water she makes v − Uψ aside, and v̇ − Ur.
    """
    speed = WATER.copy()
    speed[:, 1] += MASS[:, 0] * U
    return Derivatives(MASS, speed, -U * WATER[:, 0])


def test_the_mariners_limit_in_a_current():
    """Attached farther ahead than N_v/Y_v, 0.2276 of the length, and only there, at any tension and length.

    Behind it one real eigenvalue grows: their product, det K/det M, is below nought.
    """
    given = mariner()
    assert given.centre / L == pytest.approx(0.2276, abs=0.00005)
    for tension in (0.03, 0.3, 1.0, 3.0, 30.0):
        for length in (0.1, 0.5, 2.0, 10.0):
            for roller, falls in ((0.2275, True), (0.2277, False), (0.0, True), (0.5, False)):
                found = lateral.eigenvalues(given, tension * RESISTANCE, length * L, roller * L)
                growing = (np.abs(found.imag) < 1e-9 * np.abs(found)) & (found.real > 0)
                assert (growing.sum() % 2 == 1) == falls, (tension, length, roller, found)


def mariner_run(roller, length, seconds):
    """Heading and place over 160 m, every second: her derivatives with all angles, on a stiff light line."""
    stiff = 50 * RESISTANCE / length
    start = length + RESISTANCE / stiff  # of the roller astern of the point, the line's stretch with it

    def rates(_, state):
        _x, _y, heading, u, v, r = state  # speeds through the water, which runs south at U
        cosine, sine = math.cos(heading), math.sin(heading)
        reach = np.array([-_x - roller * cosine, -_y - roller * sine])
        far = math.hypot(*reach)
        north, east = stiff * (far - length) * reach / far
        aside = -north * sine + east * cosine
        side = WATER @ [v, r] + [aside, roller * aside]
        ahead = north * cosine + east * sine - RESISTANCE * (u / U) ** 2
        sway, yaw = np.linalg.solve(MASS, side)
        surge = ahead / (HALF * L * (M_ - X_UD))
        return [u * cosine - v * sine - U, u * sine + v * cosine, r, surge, sway, yaw]

    heading = 1e-8
    begin = [-start - roller, 0.0, heading, U, U * -heading, 0.0]
    times = np.arange(0.0, seconds)
    run = solve_ivp(rates, (0.0, seconds), begin, "DOP853", times, rtol=1e-11, atol=1e-16)
    return run.y[2], run.y[1] / L


@pytest.mark.parametrize(
    ("roller", "length", "swings"), [(0.5, 1.0, True), (0.5, 3.0, True), (0.35, 1.0, True), (0.1, 1.0, False)]
)
def test_the_mariner_moves_in_time_as_her_eigenvalues_tell(roller, length, swings):
    """Growth and period, from the polynomial and from her equations with all their angles taken along."""
    values = lateral.eigenvalues(mariner(), RESISTANCE, length * L, roller * L)
    lead = values[0]
    assert (abs(lead.imag) > 0) == swings
    lag = round(0.4 / np.abs(values).max())
    series = mariner_run(roller * L, length * L, 2500.0)
    found = nearest(exponents(series, lag, 4, start=50) / 10, lead)  # samples are a second apart here
    assert abs(found - lead) < 0.01 * abs(lead), (found, lead)


# --- the linearisation ---


def jacobian(watch, tension, length, roller):
    """Eigenvalues of her continuous equations on a straight spring without weight, by differences.

    State: place to north and east, heading, speeds ahead, abeam, of turning.  The spring is stiff, so that
    surge goes fast and by itself.
    """
    stiff = 200.0 * tension / length

    def rates(state):
        x, y, heading, u, v, r = state
        cosine, sine = math.cos(heading), math.sin(heading)
        reach = np.array([-x - roller * cosine, -y - roller * sine])
        far = math.hypot(*reach)
        pull = (tension + stiff * (far - length)) * reach / far
        wind = watch.wind[0]
        load = hull_force(watch.body, watch.setting, cosine, sine, u, v, r, wind[0], wind[1])
        ahead, aside = pull[0] * cosine + pull[1] * sine, -pull[0] * sine + pull[1] * cosine
        speeds = gather_way(watch.body, load[0] + ahead, load[1] + aside, load[2] + roller * aside)
        return np.array([u * cosine - v * sine, u * sine + v * cosine, r, *speeds])

    rest = np.array([-length - roller, 0.0, 0.0, 0.0, 0.0, 0.0])
    assert np.abs(rates(rest)).max() < 1e-3
    step = 1e-6 * np.eye(6)
    return np.linalg.eigvals(np.column_stack([(rates(rest + d) - rates(rest - d)) / 2e-6 for d in step]))


@pytest.mark.parametrize("wind", [8.0, 16.0])
@pytest.mark.parametrize("changes", [{}, SAIL, {"boat.model": "ketch-13"}], ids=["sloop", "sail", "ketch"])
def test_a_light_taut_line_is_a_pendulum(changes, wind):
    """Three ways to the same: differences of the equations, the few derivatives, and the kernel on rope."""
    given = scenario(ALL_ROPE, changes)
    watch, rest, _ = at_rest(given, wind)
    told = straight_equilibrium(given, wind)
    roller = watch.body.roller
    length = -rest.boat[0] - roller
    whole = jacobian(watch, told.load, length, roller)
    few = lateral.eigenvalues(
        lateral.derivatives(watch.body, watch.setting, wind), told.load, length, roller
    )  # fmt: skip
    for value in few:
        assert abs(nearest(whole, value) - value) < 1e-3 * abs(value)
    assert told.lead.real == pytest.approx(few[0].real, rel=0.02, abs=2e-4)
    assert abs(told.lead.imag) == pytest.approx(abs(few[0].imag), rel=0.06)


@pytest.mark.parametrize(
    ("changes", "wind"),
    [
        ({}, 5.0),
        ({}, 10.0),
        (BARE, 10.0),
        ({**SAIL, **ROPE}, 10.0),
        ({"boat.model": "sloop-8", **SAIL, **BARE}, 15.0),
        ({"boat.model": "ketch-13", **SAIL}, 8.0),
        ({"boat.model": "motor-cruiser-11"}, 10.0),
        ({"boat.model": "catamaran-12", **BRIDLE}, 20.0),
        ({"boat.model": "catamaran-12", **BRIDLE}, 11.0),
        (BRIDLE, 10.0),
        (BRIDLE, 20.0),
    ],
)
def test_a_small_sheer_moves_as_linearised(changes, wind):
    """Growth and period of the leading sheer, out of a run in time that stays small."""
    told = straight_equilibrium(scenario(changes), wind)
    lag = round(min(10.0 * told.sheer_period / 14, 50))
    run = sailed(scenario(changes), wind, 400.0, by=1e-6 if told.stable else 1e-9)
    found = nearest(exponents(run, lag, 4), told.lead)
    assert abs(found.real - told.lead.real) < max(0.01 * abs(told.lead.real), 2e-4)
    assert abs(found.imag - told.lead.imag) < 0.01 * abs(told.lead)


def test_what_is_told_of_a_lie():
    falls = straight_equilibrium(scenario({"boat.model": "motor-cruiser-11"}), 10.0)
    assert not falls.stable and not falls.swings and falls.sheer_period == math.inf
    assert falls.growth_time == pytest.approx(1 / falls.growth_rate)
    assert falls.sheering == "strong" and falls.growth_time < STRONG * falls.time_scale
    steady = straight_equilibrium(scenario({"boat.model": "sloop-10"}, SAIL), 10.0)
    if steady.stable:
        assert steady.sheering == "stable" and steady.growth_time == math.inf and steady.growth_rate < 0
    for one in (falls, steady):
        assert np.all(np.diff(one.eigenvalues.real) <= 0)
        assert one.hers.sum() >= 4


def test_the_weather_of_the_scenario_does_not_matter():
    """Nor where it blows from: on a level bottom she lies as she lies."""
    plain = straight_equilibrium(scenario(), 12.0)
    for changes in (
        {"weather.direction": "40 degree"},
        {"weather.mean_wind": "45 knot", "weather.gust": "60 knot", "weather.duration": "60 min"},
    ):
        assert straight_equilibrium(scenario(changes), 12.0).eigenvalues == pytest.approx(plain.eigenvalues)


@pytest.mark.parametrize("flow", [(0.0, 0.0), (-5.0, 1.0), (5.0, -1.0)])
def test_she_lies_to_what_comes_from_ahead(flow):
    with pytest.raises(ValueError, match="nothing to lie to"):
        straight_equilibrium(scenario(), *flow)


def test_the_bottom_slopes_along_the_rode_whatever_the_bearing():
    """Wind from the north and a bottom that falls to the south is the setting of a run; turned, the same."""
    steep = {"spot.slope": "6 degree", "tackle.scope": 7}
    south = {"spot.deepens_towards": "180 degree", "weather.direction": "0 degree"}
    west = {"spot.deepens_towards": "270 degree", "weather.direction": "90 degree"}
    given = scenario(steep, south)
    setting, own = at_rest(given, 8.0)[0].setting, setting_of(given, assemble(given))
    assert (setting.rise_north, setting.rise_east) == pytest.approx(
        (own.rise_north, own.rise_east), abs=1e-12
    )
    down = straight_equilibrium(given, 8.0)
    assert straight_equilibrium(scenario(steep, west), 8.0).eigenvalues == pytest.approx(
        down.eigenvalues, rel=1e-6
    )
    up = straight_equilibrium(scenario(steep, {**south, "spot.deepens_towards": "0 degree"}), 8.0)
    assert abs(up.lead - down.lead) > 1e-3 * abs(down.lead)


def test_rounding_does_not_grow_to_a_sheer_while_she_comes_to_rest():
    """On a bridle the two legs never round alike, and the straight lie in a gale is one that she leaves."""
    watch, rest, _ = at_rest(scenario(BRIDLE), 20.0)
    before, _ = modes(watch, rest)
    assert before[0].real > 0.05
    for _ in range(20):
        settle(watch, rest)
    assert rest.boat[HEADING] == rest.boat[EAST] == 0.0
    after, _ = modes(watch, rest)
    assert after[0] == pytest.approx(before[0], rel=1e-3)


def test_one_that_does_not_come_to_rest_says_so(monkeypatch):
    assert straight_equilibrium(scenario(BRIDLE), 20.0).converged
    monkeypatch.setattr(sheering, "_CHUNKS", 3)
    assert not straight_equilibrium(scenario(BRIDLE), 20.0).converged


# --- the map ---

MAPS = [
    ("sloop", LONG, "boat.rig_centre", (-5.0, 3.0), 10.0),
    ("ketch", {**LONG, "boat.model": "ketch-13"}, "boat.windage_centre", (-4.0, 2.0), 10.0),
]
BAND = 5e-4  # 1/s: a sheer that takes over half an hour to grow or die e-fold may go either way


def grows(given, wind):
    """Whether a small sheer grows in a run of twenty minutes; how far its rate can be told, twice as long."""
    heading, aside = sailed(given, wind, 1200.0, by=1e-6)
    size = np.maximum(np.abs(heading), np.abs(aside))
    early, late = size[3000:7500].max(), size[7500:].max()
    return bool(late > early or late > 1e-3)


@pytest.mark.parametrize(("name", "changes", "path", "ends", "wind"), MAPS, ids=[row[0] for row in MAPS])
def test_the_map_is_that_of_runs(name, changes, path, ends, wind):
    """Straight or sheering in at least 95 of 100 cells: 12 by 12 with SHEER_PROOF=1, else every third."""
    every = slice(None) if FULL else slice(None, None, 3)
    scopes, centres = np.linspace(3.0, 12.0, 12)[every], np.linspace(*ends, 12)[every]
    given = scenario(changes)
    found = sheer_map(given, wind, across=("tackle.scope", scopes), up=(path, centres))
    told = found.sheering != "stable"
    run = np.array(
        [
            [grows(given.vary({path: f"{y} m", "tackle.scope": float(x)}), wind) for x in scopes]
            for y in centres
        ]
    )
    clear = np.abs(found.growth_rate) > BAND
    wrong = np.argwhere(clear & (told != run))
    print(f"{name}: {told.size} cells, {(~clear).sum()} within the band, {len(wrong)} of the others wrong")
    assert len(wrong) <= 0.05 * clear.sum(), [(scopes[j], centres[i]) for i, j in wrong]
    assert clear.mean() > 0.9, "the band is narrow"
    assert 0.05 < told.mean() < 0.95, "a map that has both"


def test_a_map_says_what_it_is_of():
    found = sheer_map(
        scenario(), 10.0, across=("tackle.scope", [4, 6, 8]), up=("boat.rig_centre", [-5.0, 1.7])
    )
    assert (found.across.label, found.across.unit, list(found.across.values)) == ("Scope", "", [4, 6, 8])
    assert (found.up.label, found.up.unit) == ("Centre of the rig's windage", "m")
    for table in (found.growth_rate, found.period, found.swings, found.sheering):
        assert table.shape == (2, 3)
    one = straight_equilibrium(scenario({"tackle.scope": 6, "boat.rig_centre": "1.7 m"}), 10.0)
    assert found.growth_rate[1, 1] == one.growth_rate
    assert found.period[1, 1] == one.sheer_period
    assert found.sheering[1, 1] == one.sheering


def test_a_map_refuses_what_has_no_scale():
    with pytest.raises(ValueError, match=r"boat\.windage"):
        sheer_map(scenario(), 10.0, across=("boat.windage", [1]), up=("tackle.scope", [5]))
    with pytest.raises(ScenarioError, match="unknown path"):
        sheer_map(scenario(), 10.0, across=("boat.rig_center", [1]), up=("tackle.scope", [5]))
    with pytest.raises(ScenarioError, match=r"boat\.rig_centre"):
        sheer_map(scenario(), 10.0, across=("boat.rig_centre", [9.9]), up=("tackle.scope", [5]))


@pytest.mark.parametrize("dark", [False, True])
def test_the_map_is_drawn(dark):
    found = sheer_map(
        scenario(), 10.0, across=("tackle.scope", [4, 6]), up=("boat.rig_centre", [-5.5, -4.2, 1.7])
    )
    look = figures.theme(dark)
    view = figures.where_she_sheers(found, look=look, units=figures.units_of("US"))
    json.loads(view.to_json())
    (heat,) = view.data
    kinds = ["stable", "slow", "strong"]
    assert [[kinds[z] for z in row] for row in heat.z] == found.sheering.tolist()
    assert view.layout.paper_bgcolor == look.paper
    assert view.layout.xaxis.title.text == "Scope"
    assert view.layout.yaxis.title.text == "Centre of the rig's windage (ft)"
    assert heat.y[2] == pytest.approx(1.7 / 0.3048)
    for i, row in enumerate(heat.text):
        for j, text in enumerate(row):
            if found.sheering[i, j] == "stable":
                assert text == ""
            else:
                assert float(text.rstrip(" ▸")) == pytest.approx(1 / found.growth_rate[i, j], abs=0.5)
                assert text.endswith("▸") != found.swings[i, j]


# --- practice that emerges ---


def width(given, wind):
    """Degrees, root mean square, that her heading ends up sheering by in a steady wind."""
    heading, _ = sailed(given, wind, 1800.0, by=0.02)
    return float(np.degrees(heading[9000:]).std())


def test_in_any_wind_she_sheers_alike_only_faster():
    """All forces grow with the square of the wind: on a taut line time goes with its inverse, width stays."""
    light, strong = (straight_equilibrium(scenario(ALL_ROPE), wind) for wind in (10.0, 20.0))
    assert strong.growth_rate == pytest.approx(2 * light.growth_rate, rel=0.02)
    assert strong.growth_time / strong.time_scale == pytest.approx(
        light.growth_time / light.time_scale, rel=0.02
    )
    assert width(scenario(ALL_ROPE), 20.0) == pytest.approx(width(scenario(ALL_ROPE), 10.0), rel=0.1)


def test_who_sheers_strongly_sheers_widely():
    """What the names stand for: the width that comes of it in runs, whatever the boat and the wind."""
    widths = {"stable": [], "slow": [], "strong": []}
    for boat in ("sloop-12", "ketch-13", "catamaran-12"):
        for area in (0, 1, 3, 4, 5):
            for wind in (8.0, 16.0):
                given = scenario({"boat.model": boat, "boat.riding_sail": f"{area} m²"})
                widths[straight_equilibrium(given, wind).sheering].append(width(given, wind))
    assert min(len(row) for row in widths.values()) >= 2, widths
    assert max(widths["stable"]) < 0.5
    assert max(widths["slow"]) < 1.2 * min(widths["strong"]), "one passes into the other"
    assert np.median(widths["strong"]) > 5.0


BOATS = ["sloop-8", "sloop-12", "ketch-13", "motor-cruiser-11", "catamaran-12"]


def growth(*changes, wind=10.0):
    """How fast the leading sheer grows (1/s), nought where none does."""
    return max(straight_equilibrium(scenario(*changes), wind).growth_rate, 0.0)


@pytest.mark.parametrize("boat", BOATS)
def test_the_larger_the_riding_sail_the_steadier(boat):
    """Common practice, no source: a small sail right aft steadies her."""
    rates = [growth({"boat.model": boat, "boat.riding_sail": f"{area} m²"}) for area in (0, 1, 2, 4, 6)]
    assert all(more < less or more == less == 0 for less, more in pairwise(rates)), rates
    assert rates[-1] < 0.4 * rates[0]


@pytest.mark.parametrize("boat", BOATS)
@pytest.mark.parametrize("wind", [6.0, 12.0, 18.0])
def test_a_bridle_steadies_her(boat, wind):
    """Common practice, no source; and a catamaran, with her wide one, most of all: she then lies straight."""
    model = {"boat.model": boat}
    one, two = growth(model, wind=wind), growth(model, BRIDLE, wind=wind)
    assert two < 0.9 * one
    if boat == "catamaran-12":
        assert straight_equilibrium(scenario(model, BRIDLE), wind).stable


@pytest.mark.parametrize("boat", BOATS)
def test_the_farther_forward_the_windage_the_worse(boat):
    """Common practice, no source: a mast or a furled jib right forward makes her sheer, a mizzen does not."""
    given = scenario(
        LONG, {"boat.model": boat, "boat.rig_frontal_area": "4 m²", "boat.rig_lateral_area": "6 m²"}
    )
    for path in ("boat.rig_centre", "boat.windage_centre"):
        found = sheer_map(
            given, 10.0, across=("tackle.scope", [4, 7]), up=(path, [-4.0, -2.0, -1.0, 0.0, 1.0, 2.0])
        )
        rates = np.maximum(found.growth_rate, 0.0)
        assert np.all((np.diff(rates, axis=0) > 0) | (rates[1:] == 0)), rates


@pytest.mark.parametrize("boat", BOATS)
def test_a_longer_rode_makes_her_sheer_slower_not_less(boat):
    """Common practice, no source: more rode gives a slower and wider swing, and does not cure it."""
    rope = {"boat.model": boat, "tackle.chain.length": "0 m", "tackle.rope.length": "120 m"}
    lies = [straight_equilibrium(scenario(rope, {"tackle.scope": scope}), 10.0) for scope in (3, 5, 8, 12)]
    assert all(b.sheer_period > a.sheer_period or not b.swings for a, b in pairwise(lies))
    assert not any(one.stable for one in lies)
    assert lies[-1].growth_rate > 0.85 * lies[0].growth_rate


@pytest.mark.parametrize("boat", BOATS)
def test_chain_that_lies_holds_her_a_little(boat):
    """Common practice, no source: in light wind she sheers less on chain than on rope; in fresh wind alike.

    Friction on the bottom shortens the pendulum and takes from its swing; once the chain is up there is none.
    """
    model, rope = {"boat.model": boat}, {"tackle.chain.length": "10 m", "tackle.rope.length": "60 m"}
    chain, on_rope = (straight_equilibrium(scenario(model, rode), 5.0) for rode in (BARE, rope))
    assert chain.growth_rate < on_rope.growth_rate
    assert chain.sheer_period < on_rope.sheer_period or not chain.swings
    chain, on_rope = (straight_equilibrium(scenario(model, rode), 20.0) for rode in (BARE, rope))
    assert chain.growth_rate == pytest.approx(on_rope.growth_rate, rel=0.03)


def test_a_current_from_ahead_is_another_wind():
    """In a current alone the keel decides: the water's side force acts far less forward than the wind's.

    A keel makes her lie straight where the wind would not let her, and as strongly as the current runs.
    """
    wind, current = (
        straight_equilibrium(scenario(ALL_ROPE), 10.0),
        straight_equilibrium(scenario(ALL_ROPE), 0.0, 1.0),
    )
    assert current.side_centre < wind.side_centre
    assert current.stable and not wind.stable
    twice = straight_equilibrium(scenario(ALL_ROPE), 0.0, 2.0)
    assert twice.growth_rate < current.growth_rate < 0


@pytest.mark.parametrize(
    ("boat", "wind", "current"), [("sloop-12", 10.0, 0.0), ("ketch-13", 0.0, 1.0), ("catamaran-12", 0.0, 1.0)]
)
def test_the_roller_must_be_ahead_of_the_side_force(boat, wind, current):
    """In the kernel as in the published limits: behind it one sheer more grows without a swing."""
    centre = straight_equilibrium(scenario(ALL_ROPE, {"boat.model": boat}), wind, current).side_centre
    for scope in (3, 8):
        for off, odd in ((-0.3, True), (0.3, False)):
            changes = {"boat.model": boat, "boat.roller": f"{centre + off} m", "tackle.scope": scope}
            told = straight_equilibrium(scenario(ALL_ROPE, changes), wind, current)
            growing = told.eigenvalues[(told.eigenvalues.imag == 0) & (told.eigenvalues.real > 0)]
            assert (len(growing) % 2 == 1) == odd, (scope, off, told.eigenvalues)
