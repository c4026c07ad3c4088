"""What lies round her: dangers, shoals and neighbours, against geometry in steady wind and one spell."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest

import anchorsim as am
from anchorsim.core.units import quantity, si
from anchorsim.numerics.clearance import Shape, separation
from anchorsim.risk.assessment import Assessment
from anchorsim.risk.clearances import Clearance, around, at_low_water, gap, neighbours, shape, surrounded
from anchorsim.risk.draws import draw, neighbours_draw
from anchorsim.risk.monte_carlo import spells
from anchorsim.scenario.scenario import Scenario, ScenarioError

SHORT = am.Scenario().vary({"weather.duration": "1 min"})
# Wind from the south-west (225°) with no gusts, on an anchor that holds: she lies still, to the north-east.
STEADY = SHORT.vary(
    {"weather.mean_wind": "30 knot", "weather.gust": "30 knot", "tackle.anchor.mass": "150 kg"}
)
HALF = si(STEADY.boat.length) / 2
BEAM = si(STEADY.boat.beam)


def place(bearing: float, distance: float) -> dict[str, str]:
    return {"bearing": f"{bearing} degree", "distance": f"{distance} m"}


def clearances(scenario: Scenario, count: int = 1) -> tuple[Clearance, ...]:
    return am.assess(scenario, count).clearances


def lies(scenario: Scenario) -> float:
    """How far amidships lies from the anchor, m.

    She surges by some two centimetres, as much as the rode in its few elements gives other than at rest.
    """
    track = am.simulate(scenario).si
    assert np.ptp(np.hypot(track.x, track.y)) < 0.03, "she lies still"
    return float(np.hypot(track.x, track.y)[0])


def off(scenario: Scenario, north: float, east: float, **changes: Any) -> tuple[float, float]:
    """The least and the greatest distance from a neighbour with some changes."""
    found = gap(am.simulate(scenario), am.simulate(scenario.vary(changes)), north, east)
    return float(found.min()), float(found.max())


@pytest.mark.parametrize(("bearing", "touched"), [(45.0, True), (225.0, False), (135.0, False)])
def test_what_lies_between_her_and_her_anchor_counts_as_touched(bearing: float, touched: bool) -> None:
    """She lies to the north-east: a wall across the way there, astern of her anchor, and abeam of it."""
    ends = [place(bearing - 20.0, 15.0), place(bearing + 20.0, 15.0)]
    post = place(bearing, 15.0)
    for at, kind in ((ends, "line"), ([post], "point")):
        round_her = {"dangers": [{"name": "the mole", "shape": kind, "at": at}]}
        (mole,) = clearances(STEADY.vary({"surroundings": round_her}), 2)
        assert (mole.touched.likely == 1.0) == touched
    assert lies(STEADY) - HALF > 20.0, "all of her is beyond it"


def test_like_boats_abreast_keep_their_anchors_distance_less_a_beam() -> None:
    across = 40.0 * math.cos(math.radians(135)), 40.0 * math.sin(math.radians(135))
    assert off(STEADY, *across) == pytest.approx((40.0 - BEAM, 40.0 - BEAM), abs=0.01)


def test_boats_in_line_keep_their_anchors_distance_and_what_their_rodes_differ_less_a_length() -> None:
    leeward = 60.0 * math.cos(math.radians(45)), 60.0 * math.sin(math.radians(45))
    assert off(STEADY, *leeward)[0] == pytest.approx(60.0 - 2 * HALF, abs=0.02)
    longer = STEADY.vary({"tackle.scope": 7})
    differ = lies(longer) - lies(STEADY)
    # Two more times the 7.x m from the bottom to the roller are out; nearly all of it lies to leeward.
    assert differ == pytest.approx(2 * STEADY.height, rel=0.1)
    found = off(STEADY, *leeward, **{"tackle.scope": 7})[0]
    assert found == pytest.approx(60.0 + differ - 2 * HALF, abs=0.03)
    closer = off(STEADY, -leeward[0], -leeward[1], **{"tackle.scope": 7})[0]
    assert closer == pytest.approx(60.0 - differ - 2 * HALF, abs=0.03)


def test_boats_at_one_place_touch() -> None:
    assert off(STEADY, 3.0, 3.0)[1] == 0.0


def test_like_boats_swing_together_and_unlike_ones_meet() -> None:
    """Anchors 35 m apart: what keeps them off each other is that they lie to the wind alike."""
    veering = SHORT.vary(
        {
            "weather.duration": "10 min",
            "weather.shift": "170 degree",
            "weather.shift_start": "1 min",
            "weather.shift_duration": "3 min",
            "tackle.anchor.mass": "100 kg",
        }
    )
    alike, _ = off(veering, 0.0, 35.0)
    shorter, _ = off(veering, 0.0, 35.0, **{"tackle.scope": 2.5, "boat.model": "motor-cruiser-11"})
    assert alike > 20.0
    assert shorter < 0.5 * alike


SPIT = [(20, 70), (70, 70), (45, 45)]
AROUND = {
    "low_water": "0.5 m",
    "dangers": [
        {"name": "perch", "at": [place(45, 40)]},
        {"name": "far rock", "at": [place(225, 90)]},
        {"name": "spit", "shape": "area", "depth": "0.5 m", "at": [place(b, d) for b, d in SPIT]},
        {"name": "deep", "shape": "line", "depth": "3 m", "at": [place(45, 10), place(45, 50)]},
    ],
    "neighbours": [
        {"name": "Ketch", "at": place(135, 45), "boat": {"model": "ketch-13"}, "tackle": {"scope": 4}}
    ],
}  # fmt: skip
ROUND = SHORT.vary({"weather.mean_wind": "28 knot", "surroundings": AROUND})


@pytest.fixture(scope="module")
def thirty() -> Assessment:
    return am.assess(ROUND, 30)


def test_each_thing_is_as_near_as_in_that_one_run(thirty: Assessment) -> None:
    by_name = {clearance.thing.name: clearance for clearance in thirty.clearances}
    assert list(by_name) == ["perch", "far rock", "spit", "Ketch"]
    kinds = [clearance.thing.kind for clearance in thirty.clearances]
    assert kinds == ["danger", "danger", "shoal", "neighbour"]
    assert around(ROUND).afloat == ("deep",)
    run = am.simulate(ROUND, **draw(7)._asdict())
    (ketch,) = neighbours(ROUND)
    other = am.simulate(ketch, **neighbours_draw(7, 0)._asdict())
    east = 45 * math.sin(math.radians(135))
    assert by_name["Ketch"].si.closest[7] == pytest.approx(gap(run, other, -east, east).min(), abs=1e-9)
    # She lies to leeward of the anchor and the rock to windward: her stem is nearest, beyond the anchor.
    stem = np.hypot(run.si.x, run.si.y) - HALF
    assert by_name["far rock"].si.closest[7] == pytest.approx(90.0 + stem.min(), abs=1.0)
    assert by_name["perch"].touched.likely > 0.5 and by_name["far rock"].touched.likely == 0.0
    nearest = thirty.spells.closest.min(axis=0)
    assert [one.si.closest.min() for one in thirty.clearances] == nearest.tolist()


def test_neighbours_differ_by_their_own_luck_and_not_by_her_list() -> None:
    """Two like boats at one place: each as near as by draws of her own; the first alone is where she was."""
    at = {"at": place(135, 45), "boat": {"model": "ketch-13"}, "tackle": {"scope": 4}}
    pair = SHORT.vary({"surroundings": {"neighbours": [{"name": "one", **at}, {"name": "other", **at}]}})
    alone = SHORT.vary({"surroundings": {"neighbours": [{"name": "one", **at}]}})
    one, other = clearances(pair, 4)
    assert (one.si.closest != other.si.closest).all()
    np.testing.assert_array_equal(clearances(alone, 4)[0].si.closest, one.si.closest)


def test_what_is_counted_of_them_is_what_was_touched(thirty: Assessment) -> None:
    touched = {clearance.thing.name: clearance.si.closest < 0.01 for clearance in thirty.clearances}
    hit = touched["perch"] | touched["far rock"] | touched["Ketch"]
    np.testing.assert_array_equal(thirty.happened("touched"), hit)
    np.testing.assert_array_equal(thirty.happened("aground"), touched["spit"])
    np.testing.assert_array_equal(thirty.happened("out of room"), hit | touched["spit"])
    assert surrounded(ROUND) and thirty.bounded and not am.assess(SHORT, 1).bounded


def test_known_spells_keep_what_they_met(thirty: Assessment) -> None:
    assert spells(ROUND, 30, known=spells(ROUND, 8, first=3)).same_as(thirty.spells)


def test_a_danger_where_she_lies_is_touched_and_one_beside_her_is_not() -> None:
    middle = lies(STEADY)
    dangers = [
        {"name": "beneath", "at": [place(45, middle)]},
        {"name": "astern", "at": [place(45, middle + HALF + 5.0)]},
        {"name": "wall", "shape": "line", "at": [place(45, middle - 30.0), place(45, 300.0)]},
    ]
    # spell 0, whose windage is its own
    beneath, astern, wall = clearances(STEADY.vary({"surroundings": {"dangers": dangers}}))
    moved = lies_in(STEADY) - middle
    assert beneath.si.closest[0] == wall.si.closest[0] == 0.0
    assert astern.si.closest[0] == pytest.approx(5.0 - moved, abs=0.02)
    assert tuple(beneath.touched) == pytest.approx((0.2065, 1.0, 1.0), abs=5e-5)  # Wilson: 1/(1 + 1.96²)
    assert beneath.near.likely == 0.0 and astern.near.likely == astern.si.closest[0]


def lies_in(scenario: Scenario) -> float:
    """How far amidships lies from the anchor in spell 0 without gusts, m."""
    track = am.simulate(scenario, **draw(0)._asdict()).si
    return float(np.hypot(track.x, track.y).max())


def test_aground_where_the_water_is_less_than_she_draws_and_not_where_it_is_more() -> None:
    spot, draught = place(45, lies(STEADY)), si(STEADY.boat.draught)
    for more, kinds, afloat in ((0.01, [], ("patch",)), (-0.01, ["shoal"], ())):
        danger = {"name": "patch", "depth": quantity(draught - 0.4 + more, "m"), "at": [spot]}
        scenario = STEADY.vary({"surroundings": {"low_water": "0.4 m", "dangers": [danger]}})
        found = am.assess(scenario, 3)
        assert [clearance.thing.kind for clearance in found.clearances] == kinds
        assert around(scenario).afloat == afloat
        assert found.count("aground") == (3 if kinds else 0) and found.count("touched") == 0
        if kinds:
            assert found.clearances[0].touched.likely == 1.0


def test_at_low_water_the_same_rode_reaches_farther() -> None:
    high = STEADY.vary({"spot.tide": "4 m", "weather.mean_wind": "45 knot", "weather.gust": "45 knot"})
    low = at_low_water(high)
    assert low.paid_out == pytest.approx(high.paid_out, rel=1e-12)
    # √(rode² − height²) of a rode that is nearly taut
    rode = high.paid_out
    taut = math.sqrt(rode**2 - low.height**2) - math.sqrt(rode**2 - high.height**2)
    assert lies(low) - lies(high) == pytest.approx(taut, abs=0.35)
    # A shoal just astern of where she lies at high water: it is at low water that she comes on to it.
    behind = {"name": "bank", "depth": "1 m", "at": [place(45, lies_in(high) + HALF + 0.4 * taut)]}
    dry = {**behind, "depth": None, "name": "post"}
    bank, post = clearances(high.vary({"surroundings": {"dangers": [behind, dry]}}))
    assert bank.si.closest[0] == 0.0 < post.si.closest[0]


def test_a_shape_is_as_far_from_the_anchor_as_its_nearest_point() -> None:
    """A wall's nearest point is square to it: 50 m at 30° off that line's end lies 50 cos 30° away."""
    wall = {"shape": "line", "at": [place(30, 50), place(330, 50)]}
    inside = {"shape": "area", "at": [place(0, 30), place(120, 30), place(240, 30)]}
    scenario = SHORT.vary({"surroundings": {"dangers": [wall, inside]}})
    anchor = Shape(np.zeros((1, 1, 2)), False)
    far = [separation(anchor, shape(scenario, danger)).min() for danger in scenario.surroundings.dangers]
    assert far == pytest.approx([50 * math.cos(math.radians(30)), 0.0])


def test_what_cannot_be_is_told_with_its_path() -> None:
    shallow = SHORT.vary({"spot.depth": "2.2 m", "boat.draught": "1.5 m", "tackle.scope": 8})
    deep = {"neighbours": [{"at": place(90, 60), "boat": {"model": "ketch-13", "draught": "2.5 m"}}]}
    with pytest.raises(
        ScenarioError, match=r"^surroundings\.neighbours\.0: too shallow\. Expected .* 2\.5 m;"
    ):
        am.assess(shallow.vary({"surroundings": deep}), 1)
    short = {"neighbours": [{"at": place(90, 60), "tackle": {"chain": {"length": "5 m"}}}]}
    with pytest.raises(
        ScenarioError,
        match=r"^surroundings\.neighbours\.0\.tackle\.chain\.length .*: the rode is too short.* got 5 m",
    ):
        am.assess(SHORT.vary({"surroundings": short}), 1)
    ebb = SHORT.vary({"spot.depth": "1 m", "spot.tide": "4 m", "tackle.scope": 8})
    with pytest.raises(ScenarioError, match=r"^spot\.depth .*: at low water too shallow"):
        am.assess(ebb.vary({"surroundings": {"dangers": [{"depth": "1 m", "at": [place(45, 30)]}]}}), 1)


@pytest.mark.parametrize(
    ("given", "sentence"),
    [
        (
            {"dangers": [{"shape": "line", "at": [place(4, 30)]}]},
            r"dangers\.0\.at: 1 positions do not make a line\. Expected at least 2 positions\. Write",
        ),
        (
            {"dangers": [{"at": [place(4, 30), place(5, 30)]}]},
            r"dangers\.0\.at: 2 positions do not make a point\. Expected 1 position\. Make it a \"line\" or",
        ),
        (
            {"dangers": [{"at": [{"bearing": "4 degree"}]}]},
            r"dangers\.0\.at\.0: the position is not complete\. .*; got bearing\.",
        ),
        (
            {"dangers": [{"at": [{"latitude": "50 degree", "longitude": "4 degree"}]}]},
            r"dangers\.0\.at\.0\.latitude .*: a latitude without that of the anchor",
        ),
        (
            {
                "anchor": {"latitude": "50 degree", "longitude": "-4 degree"},
                "neighbours": [{"at": {"latitude": "50 degree", "longitude": "4 degree"}}],
            },
            r"neighbours\.0\.at\.latitude .*: too far from the anchor.*; got 309",
        ),
        ({"dangers": [{"at": [{"bearing": 4, "distance": "3 m"}]}]}, r"dangers\.0\.at\.0\.bearing .*no unit"),
        ({"dangers": [{"depht": "1 m"}]}, r"dangers\.0\.depht: unknown key depht.*did you mean depth"),
        ({"dangers": [{"name": "a\nb", "at": [place(4, 30)]}]}, r"dangers\.0\.name: .*control character"),
    ],
)  # fmt: skip
def test_surroundings_that_cannot_be_are_refused(given: dict[str, Any], sentence: str) -> None:
    with pytest.raises(ScenarioError, match=rf"(?m)^surroundings\.{sentence}"):
        SHORT.vary({"surroundings": given})


def test_surroundings_are_kept_in_the_scenarios_file(tmp_path: Any) -> None:
    given = {**AROUND, "anchor": {"latitude": "50.1234567 degree", "longitude": "-4.5 degree"}}
    given["neighbours"] = [
        {"at": place(9, 50), "boat": {"model": "catamaran-12", "hulls": 2, "draught": "1.3 m"}}
    ]
    scenario = SHORT.vary({"surroundings": given})
    scenario.save(tmp_path / "round.toml")
    assert Scenario.load(tmp_path / "round.toml") == scenario
    text = (tmp_path / "round.toml").read_text()
    assert '[surroundings.neighbours.boat]\nmodel = "catamaran-12"\ndraught = "1.3 m"\n' in text
    SHORT.save(tmp_path / "bare.toml")
    assert "surroundings" not in (tmp_path / "bare.toml").read_text()
