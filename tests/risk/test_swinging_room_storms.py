"""What lies round her: dangers, shoals and neighbours, against geometry in steady wind and one spell."""

from __future__ import annotations

import math
import threading
from concurrent.futures import Executor, Future, ThreadPoolExecutor
from typing import Any

import numpy as np
import pytest

import anchorsim as am
from anchorsim.core.units import quantity, si
from anchorsim.risk.monte_carlo import draw
from anchorsim.risk.swinging_room import (
    _OTHERS,
    Room,
    at_low_water,
    envelope,
    free_radius,
    gap,
    neighbours,
    room_needed,
)
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


def lies(scenario: Scenario) -> float:
    """How far amidships lies from the anchor, m.

    She surges by some two centimetres, as much as the rode in its few elements gives other than at rest.
    """
    track = am.simulate(scenario).track
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
    for at, shape in ((ends, "line"), ([post], "point")):
        around = {"dangers": [{"name": "the mole", "shape": shape, "at": at}]}
        (mole,) = room_needed(STEADY.vary({"surroundings": around}), 2).clearances
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
def thirty() -> Room:
    return room_needed(ROUND, 30)


def test_storms_are_those_of_everything_else(thirty: Room) -> None:
    spells = am.spells(ROUND, 30)
    # The outline is followed every half second, and the swing radius every tenth.
    np.testing.assert_allclose(thirty.reach.max(axis=1), spells.room, atol=0.2)
    run = am.simulate(ROUND, **draw(11)._asdict())
    np.testing.assert_allclose(thirty.reach[11], np.hypot(*envelope(run)[:-1].T), rtol=1e-12)
    np.testing.assert_allclose(thirty.ring(1.0)[:-1], room_of(thirty.reach.max(axis=0)), rtol=1e-12)
    assert (np.hypot(*thirty.ring(0.5).T) <= np.hypot(*thirty.ring(1.0).T) + 1e-9).all()
    assert thirty.complete and len(thirty) == 30
    with pytest.raises(ValueError, match="read-only"):
        thirty.reach[0, 0] = 1.0


def room_of(farthest: np.ndarray) -> np.ndarray:
    middle = np.radians((np.arange(144) + 0.5) * 2.5 - 180.0)
    return np.column_stack([farthest * np.cos(middle), farthest * np.sin(middle)])


def test_each_thing_is_as_near_as_in_that_one_watch(thirty: Room) -> None:
    by_name = {clearance.name: clearance for clearance in thirty.clearances}
    assert list(by_name) == ["perch", "far rock", "spit", "Ketch"]
    assert [clearance.kind for clearance in thirty.clearances] == ["danger", "danger", "shoal", "neighbour"]
    assert thirty.afloat == ("deep",)
    run = am.simulate(ROUND, **draw(7)._asdict())
    (ketch,) = neighbours(ROUND)
    other = am.simulate(ketch, **draw(7 + _OTHERS)._replace(seed=7)._asdict())
    east = 45 * math.sin(math.radians(135))
    assert by_name["Ketch"].closest[7] == pytest.approx(gap(run, other, -east, east).min(), abs=1e-9)
    # She lies to leeward of the anchor and the rock to windward: her stem is nearest, beyond the anchor.
    stem = np.hypot(run.track.x, run.track.y) - HALF
    assert by_name["far rock"].closest[7] == pytest.approx(90.0 + stem.min(), abs=1.0)
    assert by_name["perch"].touched.likely > 0.5 and by_name["far rock"].touched.likely == 0.0
    assert thirty.tightest is by_name["perch"]


def test_a_danger_where_she_lies_is_touched_and_one_beside_her_is_not() -> None:
    middle = lies(STEADY)
    dangers = [
        {"name": "beneath", "at": [place(45, middle)]},
        {"name": "astern", "at": [place(45, middle + HALF + 5.0)]},
        {"name": "wall", "shape": "line", "at": [place(45, middle - 30.0), place(45, 300.0)]},
    ]
    # spell 0, whose windage is its own
    found = room_needed(STEADY.vary({"surroundings": {"dangers": dangers}}), 1)
    moved = lies_in(STEADY) - middle
    beneath, astern, wall = found.clearances
    assert beneath.closest[0] == wall.closest[0] == 0.0
    assert astern.closest[0] == pytest.approx(5.0 - moved, abs=0.02)
    assert beneath.sentence().startswith("She touches beneath in 100 of 100 (21 to 100) of such storms.")


def lies_in(scenario: Scenario) -> float:
    """How far amidships lies from the anchor in spell 0 without gusts, m."""
    track = am.simulate(scenario, **draw(0)._asdict()).track
    return float(np.hypot(track.x, track.y).max())


def test_aground_where_the_water_is_less_than_she_draws_and_not_where_it_is_more() -> None:
    spot, draught = place(45, lies(STEADY)), si(STEADY.boat.draught)
    for more, kinds, afloat in ((0.01, [], ("patch",)), (-0.01, ["shoal"], ())):
        danger = {"name": "patch", "depth": quantity(draught - 0.4 + more, "m"), "at": [spot]}
        around = {"low_water": "0.4 m", "dangers": [danger]}
        found = room_needed(STEADY.vary({"surroundings": around}), 3)
        assert ([clearance.kind for clearance in found.clearances], found.afloat) == (kinds, afloat)
        if kinds:
            assert found.clearances[0].touched.likely == 1.0
            assert "takes the ground on patch in 100 of 100" in found.sentence()


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
    bank, post = room_needed(high.vary({"surroundings": {"dangers": [behind, dry]}}), 1).clearances
    assert bank.closest[0] == 0.0 < post.closest[0]


def test_the_nearest_danger_bounds_the_free_circle() -> None:
    # The wall's nearest point is square to it: 50 m at 30° off that line's end lies 50 cos 30° away.
    wall = {"shape": "line", "at": [place(30, 50), place(330, 50)]}
    over = {"depth": "9 m", "at": [place(180, 5)]}
    assert free_radius(SHORT.vary({"surroundings": {"dangers": [wall, over]}})) == pytest.approx(
        50 * math.cos(math.radians(30))
    )
    assert free_radius(SHORT) == math.inf
    inside = {"shape": "area", "at": [place(0, 30), place(120, 30), place(240, 30)]}
    assert free_radius(SHORT.vary({"surroundings": {"dangers": [inside]}})) == 0.0


def test_what_cannot_be_is_told_with_its_path() -> None:
    shallow = SHORT.vary({"spot.depth": "2.2 m", "boat.draught": "1.5 m", "tackle.scope": 8})
    deep = {"neighbours": [{"at": place(90, 60), "boat": {"model": "ketch-13", "draught": "2.5 m"}}]}
    with pytest.raises(
        ScenarioError, match=r"^surroundings\.neighbours\.0: too shallow\. Expected .* 2\.5 m;"
    ):
        room_needed(shallow.vary({"surroundings": deep}), 1)
    short = {"neighbours": [{"at": place(90, 60), "tackle": {"chain": {"length": "5 m"}}}]}
    with pytest.raises(
        ScenarioError,
        match=r"^surroundings\.neighbours\.0\.tackle\.chain\.length .*: the rode is too short.* got 5 m",
    ):
        room_needed(SHORT.vary({"surroundings": short}), 1)
    ebb = SHORT.vary({"spot.depth": "1 m", "spot.tide": "4 m", "tackle.scope": 8})
    with pytest.raises(ScenarioError, match=r"^spot\.depth .*: at low water too shallow"):
        room_needed(ebb.vary({"surroundings": {"dangers": [{"depth": "1 m", "at": [place(45, 30)]}]}}), 1)
    with pytest.raises(ValueError, match="count: 0 storms cannot be"):
        room_needed(SHORT, 0)


@pytest.mark.parametrize(
    ("given", "sentence"),
    [
        (
            {"dangers": [{"shape": "line", "at": [place(4, 30)]}]},
            r"dangers\.0\.at: 1 positions do not make a line; needed 2 positions at the least; write",
        ),
        (
            {"dangers": [{"at": [place(4, 30), place(5, 30)]}]},
            r"dangers\.0\.at: 2 positions do not make a point; needed 1 position; make it a \"line\" or",
        ),
        (
            {"dangers": [{"at": [{"bearing": "4 degree"}]}]},
            r"dangers\.0\.at\.0: the position is given by bearing; needed bearing and distance, or",
        ),
        (
            {"dangers": [{"at": [{"latitude": "50 degree", "longitude": "4 degree"}]}]},
            r"dangers\.0\.at\.0\.latitude: a latitude says nothing of where it lies .* needed the anchor's",
        ),
        (
            {
                "anchor": {"latitude": "50 degree", "longitude": "-4 degree"},
                "neighbours": [{"at": {"latitude": "50 degree", "longitude": "4 degree"}}],
            },
            r"neighbours\.0\.at\.latitude: the position lies 309 nautical miles from the anchor; needed",
        ),
        ({"dangers": [{"at": [{"bearing": 4, "distance": "3 m"}]}]}, r"dangers\.0\.at\.0\.bearing: 4 is a"),
        ({"dangers": [{"depht": "1 m"}]}, r"dangers\.0\.depht: unknown key.*nearest known name: depth"),
        ({"dangers": [{"name": "a\nb", "at": [place(4, 30)]}]}, r"dangers\.0\.name: .*control character"),
    ],
)  # fmt: skip
def test_surroundings_that_cannot_be_are_refused(given: dict[str, Any], sentence: str) -> None:
    with pytest.raises(ScenarioError, match=rf"(?m)^surroundings\.{sentence}"):
        SHORT.vary({"surroundings": given})


def test_surroundings_are_kept_in_the_scenarios_file(tmp_path: Any) -> None:
    around = {**AROUND, "anchor": {"latitude": "50.1234567 degree", "longitude": "-4.5 degree"}}
    around["neighbours"] = [
        {"at": place(9, 50), "boat": {"model": "catamaran-12", "hulls": 2, "draught": "1.3 m"}}
    ]
    scenario = SHORT.vary({"surroundings": around})
    scenario.save(tmp_path / "round.toml")
    assert Scenario.load(tmp_path / "round.toml") == scenario
    text = (tmp_path / "round.toml").read_text()
    assert '[surroundings.neighbours.boat]\nmodel = "catamaran-12"\ndraught = "1.3 m"\n' in text
    SHORT.save(tmp_path / "bare.toml")
    assert "surroundings" not in (tmp_path / "bare.toml").read_text()


class Failing(Executor):
    def submit(self, function: Any, /, *args: Any, **kwargs: Any) -> Future[Any]:
        failed: Future[Any] = Future()
        failed.set_exception(EOFError("the other end hung up"))
        return failed


def test_stopped_and_failed(thirty: Room) -> None:
    stop = threading.Event()
    part = room_needed(
        ROUND, 30, executor=ThreadPoolExecutor(1), progress=lambda *_: stop.set(), cancel=stop.is_set
    )
    assert 0 < len(part) < 30 and not part.complete
    np.testing.assert_array_equal(part.reach, thirty.reach[part.number])
    with pytest.raises(
        RuntimeError, match=r"stopped after 0 of 3 storms \(EOFError: the other end hung up\)"
    ):
        room_needed(ROUND, 3, executor=Failing())
