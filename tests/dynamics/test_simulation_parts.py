"""What a spell is put together from, and what is read off it: by hand."""

from __future__ import annotations

import math
from dataclasses import fields, replace
from typing import Any

import numpy as np
import pytest

from anchorsim.core.units import si
from anchorsim.dynamics import simulation, wave_motion
from anchorsim.dynamics.run import Run, Track, positions
from anchorsim.dynamics.sheering import Equilibrium
from anchorsim.dynamics.simulation import Spell, State, laid_out, prepare, setting_of, simulate
from anchorsim.dynamics.wave_motion import WavesSI, snatches, waves
from anchorsim.mooring import line_mesh as of
from anchorsim.mooring.line_mesh import mesh
from anchorsim.mooring.statics import LoadElongation, Segment
from anchorsim.scenario.scenario import Scenario

SHORT = Scenario().vary({"weather.duration": "1 min", "weather.mean_wind": "30 knot"})


def test_what_is_left_unsaid_of_a_spell() -> None:
    """Gusts of seed 1, an anchor in the middle of its scatter, and everything else as stated."""
    said = simulate(SHORT, seed=1, holding_quantile=0.5, windage=1.0, water=1.0, friction=1.0, line_drag=1.0)
    unsaid = simulate(SHORT)
    for field in fields(Track):
        assert (getattr(unsaid.si, field.name) == getattr(said.si, field.name)).all(), field.name
    assert unsaid.si.holding == said.si.holding
    rode, curve = laid_out(SHORT)
    assert rode.friction == laid_out(SHORT, 1.0)[0].friction
    assert (curve.si.packed == laid_out(SHORT, 1.0)[1].si.packed).all()


def test_factors_multiply_what_surrounds_her() -> None:
    rode, _ = laid_out(SHORT, 1.2)
    assert rode.friction == pytest.approx(1.2 * laid_out(SHORT)[0].friction)
    spell = prepare(SHORT, rode, windage=1.3, water=0.8, line_drag=0.7)
    # air of 1.225 kg/m³ (ISO 2533, sea level), sea water of 1025 kg/m³ (the usual figure)
    assert (spell.setting.air, spell.setting.water, spell.setting.drag) == pytest.approx(
        (1.3 * 1.225, 820.0, 0.7)
    )
    plain = prepare(SHORT, rode).setting
    assert (plain.air, plain.water, plain.drag) == pytest.approx((1.225, 1025.0, 1.0))


def test_what_surrounds_her_is_the_scenario_s() -> None:
    stream = SHORT.vary({"spot.current": "2 knot", "spot.current_set": "120 degree", "spot.depth": "7 m"})
    rode, _ = laid_out(stream)
    found = setting_of(stream, rode)
    knots = 2 * 1852 / 3600
    towards = math.radians(120.0)
    assert (found.current_north, found.current_east) == pytest.approx(
        (knots * math.cos(towards), knots * math.sin(towards))
    )
    assert (found.depth, found.height) == pytest.approx((7.0, si(stream.boat.bow_height)))
    assert found.anchor == si(stream.tackle.anchor.mass) and found.friction == rode.friction


@pytest.mark.parametrize(("chain", "count"), [("18 m", 3), ("30.1 m", 4), ("57 m", 6)])
def test_elements_are_ten_metres_at_the_most_and_three_at_the_least(chain: str, count: int) -> None:
    bare = SHORT.vary({"tackle.snubber.length": "0 m", "tackle.chain.length": chain, "tackle.scope": 9})
    rode, _ = laid_out(bare)
    assert len(prepare(bare, rode).mesh.elements) == count
    assert len(prepare(bare, rode, elements=11).mesh.elements) == 11


def track(**columns: list[float]) -> Track:
    empty = {field.name: np.zeros(2) for field in fields(Track)}
    return Track(**{**empty, **{name: np.array(column) for name, column in columns.items()}})


def moved_about(run: Run, **columns: list[float]) -> Run:
    """The run with its track at rest but for some columns."""
    return replace(run, si=replace(run.si, **vars(track(**columns))))


def test_wind_by_speed_and_by_where_it_comes_from() -> None:
    """The air goes 3 m/s north and 4 east: from 233.1°; and 5 m/s to the west: from due east."""
    found = track(wind_north=[3.0, 0.0], wind_east=[4.0, -5.0])
    assert found.wind_speed == pytest.approx([5.0, 5.0])
    assert np.degrees(found.wind_direction) == pytest.approx([180.0 + math.degrees(math.atan2(4, 3)), 90.0])


def test_points_of_the_boat_go_round_with_her() -> None:
    run = moved_about(simulate(SHORT), x=[1.0, -2.0], y=[5.0, 0.5], heading=[0.3, math.pi / 2])
    points = np.array([[6.0, 0.0], [-5.0, 1.8]])
    north, east = positions(run.si, points)
    for n, (x, y, heading) in enumerate([(1.0, 5.0, 0.3), (-2.0, 0.5, math.pi / 2)]):
        turn = np.array([[math.cos(heading), -math.sin(heading)], [math.sin(heading), math.cos(heading)]])
        found = np.column_stack([north[n], east[n]])
        assert found == pytest.approx(points @ turn.T + (x, y))
    assert len(positions(run.si, points, every=2)[0]) == 1


def test_how_far_the_anchor_went() -> None:
    run = simulate(SHORT)
    moved = moved_about(run, anchor_x=[0.0, 3.0], anchor_y=[0.0, -4.0])
    assert si(moved.drag_distance) == pytest.approx(5.0) and moved.dragged
    for column in ("anchor_x", "anchor_y"):
        assert moved_about(run, **{column: [0.0, 1.1]}).dragged
    assert not moved_about(run, anchor_x=[1.0, 0.99]).dragged


# --- The step -----------------------------------------------------------------------------------------------

CHAIN = Segment(length=2.0, weight=10.0, weight_in_air=11.5, stiffness=4e6)
DINGHY = Scenario().vary({
    "boat.length": "4 m", "boat.waterline": "3 m", "boat.beam": "1 m",
    "boat.waterline_beam": "0.4 m",
    "boat.displacement": "300 kg", "boat.draught": "0.3 m", "boat.canoe_draught": "0.243902439024 m",
    "boat.bow_height": "0.3 m", "boat.roller": "1 m", "boat.bridle_spread": "0 m",
    "boat.windage": "speed boat",
    "boat.frontal_area": "0.5 m²", "boat.lateral_area": "1 m²", "boat.windage_centre": "-2.4 m",
    "boat.windage_height": "0.5 m", "boat.rig_frontal_area": "0 m²", "boat.rig_lateral_area": "0 m²",
    "boat.rig_centre": "-2.4 m", "boat.keel_area": "0 m²", "boat.keel_centre": "-2.4 m",
    "boat.rudder_area": "0 m²", "boat.rudder_centre": "-2.4 m",
    "tackle.scope": 5.943529411764706, "tackle.anchor": {"type": "fluke", "mass": "2 kg"},
    "tackle.chain": {"size": "8 mm", "grade": 30, "length": "92.5490196078 m"},
    "tackle.snubber.length": "0 m",
    "tackle.rope": {"construction": "double-braid nylon", "diameter": "14 mm", "length": "149.019607843 m"},
    "spot.depth": "32.2333333333 m", "spot.tide": "8.88235294118 m", "spot.bottom": "stiff clay",
    "spot.slope": "12.862745098 degree", "spot.deepens_towards": "0 degree",
    "weather.mean_wind": "0 knot", "weather.gust": None, "weather.direction": "0 degree",
    "weather.duration": "1 min", "weather.shift": "-180 degree", "weather.shift_duration": "0 min",
    "weather.shift_start": "0 min",
})  # fmt: skip
NYLON = Segment(length=5.0, weight=1.0, weight_in_air=9.0, slack=1.0, backup_stiffness=6e5,
                law=LoadElongation(load=(0.0, 1e4), strain=(0.0, 0.25), loss=0.4))  # fmt: skip


def test_how_far_elements_give() -> None:
    """Chain L/EA; rope at its law's steepest, a quarter more for what it loses, and the chain behind it."""
    elements, laws, _ = mesh((CHAIN, NYLON), (1, 1), False)
    assert simulation._give(elements[0], laws) == pytest.approx(2.0 / 4e6)
    assert simulation._give(elements[1], laws) == pytest.approx(1 / (1e4 / 0.25 / 5.0 * 1.25 + 1e5))


@pytest.mark.parametrize("enough", [3, 6, 12, 24, 25])
def test_steps_that_do_not_hold_the_line_are_made_finer(enough: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """Three steps to a sample at first, then twice as many, up to 24; each begins where the first began.

    With six its loads are beyond any that a rode carries.
    """
    rode, curve = laid_out(SHORT)
    spell = prepare(SHORT, rode)
    state, tried = simulation.equilibrium(spell, curve, rode), []

    def sails(*given: Any) -> None:
        held, steps, rows, peaks = given[8], given[11], given[12], given[13]
        tried.append((steps, held.boat[0]))
        held.boat[0] += 5.0
        rows[...] = 0.0 if steps >= enough else math.nan
        peaks[0] = 1e9 if steps == 6 else 1.0

    monkeypatch.setattr(simulation, "integrate", sails)
    start = state.boat[0]
    if enough > 24:
        with pytest.raises(RuntimeError, match="not held by 24 steps in"):
            spell.run(state, 10)
    else:
        spell.run(state, 10)
        assert state.boat[0] == start + 5.0
    last = 12 if enough == 6 else enough
    assert tried == [(steps, start) for steps in (3, 6, 12, 24) if steps <= last]


def test_a_dinghy_on_all_her_rode_in_deep_water_is_held() -> None:
    """Found among random scenarios: in three steps to a sample her line shook itself to pieces."""
    loads = simulate(DINGHY, seed=0).si.bow_load
    assert np.isfinite(loads).all() and loads.max() < 1e3


@pytest.mark.parametrize("legs", [1, 2])
def test_a_light_boat_on_a_short_stiff_rode_needs_a_shorter_step(legs: int) -> None:
    """0.3 over the angular frequency of her bow on it (judgement); she gives way by 1/m + (x² + s²/4)/I."""
    rode, _ = laid_out(SHORT)
    whole = prepare(SHORT, rode)
    body = whole.body._replace(
        mass=300.0, added_surge=20.0, added_sway=200.0, yaw_inertia=500.0, added_yaw=100.0, roller=3.0
    )
    spell = replace(whole, body=body, mesh=mesh((CHAIN, NYLON), (1, 1), legs == 2))
    spell = replace(spell, setting=spell.setting._replace(spread=1.0 if legs == 2 else 0.0))
    gives = 2.0 / 4e6 + 1 / (1e4 / 0.25 / 5.0 * 1.25 + 1e5)  # two legs half as stiff each, side by side
    light = 1 / 320.0 + (9.0 + (0.25 if legs == 2 else 0.0)) / 600.0
    assert spell._line_step() == pytest.approx(min(0.1 / 3, 0.3 * math.sqrt(gives / light)))
    assert spell._line_step() < 0.03
    assert whole._line_step() == pytest.approx(0.1 / 3), "any other boat makes three to a sample"


# --- Sheering -----------------------------------------------------------------------------------------------


def lies(*values: complex, hers: list[bool] | None = None, scale: float = 10.0) -> Equilibrium:
    given = hers or [True] * len(values)
    known = {"eigenvalues": np.array(values, dtype=complex), "hers": np.array(given), "side_centre": 1.0,
             "load": 2000.0, "time_scale": scale}  # fmt: skip
    return Equilibrium(**{field.name: known.get(field.name, True) for field in fields(Equilibrium)})


@pytest.mark.parametrize(
    ("rate", "sheering"), [(-0.01, "stable"), (0.024, "slow"), (0.026, "strong"), (0.3, "strong")]
)
def test_a_sheer_is_strong_where_it_grows_in_fewer_than_four_of_her_times(rate: float, sheering: str) -> None:
    """Four of 10 s: 0.025 a second (judgement)."""
    found = lies(rate + 0.2j, rate - 0.2j)
    assert found.sheering == sheering and found.stable == (rate < 0)
    assert found.growth_rate == rate
    assert found.growth_time == (pytest.approx(1 / rate) if rate > 0 else math.inf)


def test_the_fastest_growing_of_all_tells_whether_she_lies_still() -> None:
    assert not lies(0.1 + 0j, -0.3 + 0j).stable and lies(-0.1 + 0j, -0.3 + 0j).stable
    assert lies(0.1 + 0j, -0.3 + 0j).growth_rate == 0.1
    assert not lies(0.0 + 0j).stable, "neither grows nor dies away"


def test_a_sheer_that_swings_has_a_period() -> None:
    found = lies(-0.05 + 0j, -0.1 + 0.5j, -0.1 - 0.5j)
    assert not found.swings and found.sheer_period == pytest.approx(2 * math.pi / 0.5)
    assert lies(0.1 + 0.4j).swings and not lies(0.1 + 5e-5j).swings and not lies(0j).swings
    assert lies(-0.1 + 0j).sheer_period == math.inf


def test_what_is_the_rode_s_own_is_not_hers() -> None:
    found = lies(-0.01 + 9j, -0.1 + 0.5j, hers=[False, True])
    assert found.lead == -0.1 + 0.5j and found.sheer_period == pytest.approx(4 * math.pi)


# --- The sea ------------------------------------------------------------------------------------------------


def test_a_sea_between_two() -> None:
    """Energy and direction as one vector: 0.09 from the north and 0.16 from the east, half of each."""
    found = wave_motion._between(WavesSI(0.3, 2.0, 0.0), WavesSI(0.4, 4.0, math.pi / 2), 0.5)
    assert found.height == pytest.approx(math.hypot(0.045, 0.08) ** 0.5)
    assert found.direction == pytest.approx(math.atan2(0.08, 0.045))
    assert found.period == pytest.approx((0.045 * 2.0 + 0.08 * 4.0) / 0.125)
    assert wave_motion._between(WavesSI(0.3, 2.0, 0.0), WavesSI(0.3, 2.0, math.pi), 0.5) == WavesSI(
        0.0, 0.0, math.pi
    )


def test_how_two_seas_differ() -> None:
    assert wave_motion._differ(WavesSI(0.4, 3.0, 0.0), WavesSI(0.5, 3.3, 0.0)) == pytest.approx(0.2)
    assert wave_motion._differ(WavesSI(0.5, 3.3, 0.0), WavesSI(0.49, 3.0, 1.0)) == pytest.approx(0.3 / 3.3)
    assert wave_motion._differ(WavesSI(0.0, 0.0, 0.0), WavesSI(0.0, 0.0, 1.0)) == 0.0


def test_the_moments_that_tell_all_of_a_sea() -> None:
    """Anew from 4 % on (ours), with the end of a rest before it."""
    heights = [0.50, 0.50, 0.50, 0.60, 0.61, 0.61, 0.63, 0.63, 0.66]
    each = [WavesSI(height, 3.0, 0.0) for height in heights]
    assert wave_motion._turning(each) == [0, 2, 3, 6, 7, 8]


@pytest.mark.parametrize(("height", "found"), [("0.5 m", False), ("0.9 m", True)])
def test_bare_chain_snatches_in_a_sea_of_a_fiftieth_of_it(height: str, found: bool) -> None:
    sea = {"weather.wave_height": height, "weather.wave_period": "4 s"}
    bare = SHORT.vary({**sea, "tackle.snubber.length": "0 m"})
    assert bare.paid_out == pytest.approx(37.0)  # a fiftieth is 0.74 m
    assert snatches(bare) == found
    assert not snatches(SHORT.vary(sea))
    assert not snatches(bare.vary({"tackle.chain.length": "20 m", "tackle.rope.length": "60 m"}))


def test_a_given_sea_stands_as_it_is_up_to_what_breaks() -> None:
    sea = SHORT.vary({"weather.wave_height": "0.6 m", "weather.wave_period": "3 s"})
    assert waves(sea).si == pytest.approx((0.6, 3.0, si(sea.weather.direction)))
    elsewhere = sea.vary({"weather.wave_direction": "200 degree"})
    assert waves(elsewhere).si.direction == pytest.approx(math.radians(200))
    assert waves(sea.vary({"weather.wave_height": "0.009 m"})).si[:2] == (0.0, 0.0)  # lower are none (ours)
    assert waves(sea.vary({"weather.wave_height": "0.011 m"})).si.height == pytest.approx(0.011)


def test_a_spell_is_made_of_its_parts() -> None:
    rode, _ = laid_out(SHORT)
    spell = prepare(SHORT, rode)
    assert isinstance(spell, Spell) and spell.mesh.elements[:, of.LENGTH].sum() == pytest.approx(37.0)


@pytest.mark.parametrize(("finer", "steps"), [(None, 3), (1, 3), (2, 6)])
def test_the_line_makes_three_steps_to_a_sample(
    finer: int | None, steps: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    rode, _ = laid_out(SHORT)
    spell, given = prepare(SHORT, rode), []

    def sails(*all_of: Any) -> None:
        given.append(all_of)
        all_of[12][...] = 0.0

    monkeypatch.setattr(simulation, "integrate", sails)
    state = State(*np.zeros((3, 1)))
    rows, peaks = spell.run(state, 7) if finer is None else spell.run(state, 7, finer)
    dt, stride, parts = given[0][9:12]
    assert (dt, stride, parts) == (0.1, 1, steps)
    assert rows.shape == (11, 7) and peaks.tolist() == [0.0, 0.0, 0.0]


def test_no_wind_at_all_raises_no_sea() -> None:
    bay = SHORT.vary({"spot.fetches": [{"bearing": "225 degree", "distance": "5 km"}]})
    assert waves(bay, wind=0.0).si[:2] == (0.0, 0.0)
    assert 0.0 <= waves(bay, wind=0.9).si.height < waves(bay, wind=5.0).si.height
    with pytest.raises(ValueError, match="wind"):
        waves(bay, wind=-0.1)
