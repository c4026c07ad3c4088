"""What is put round the anchor by hand lies where it was put, by plain geometry and by the ellipsoid."""

from __future__ import annotations

import math

import pytest
from geographiclib.geodesic import Geodesic

from anchorsim.core.errors import AnchorsimError
from anchorsim.core.units import quantity, si
from anchorsim.scenario import placing
from anchorsim.scenario.scenario import Scenario, ScenarioError

ROCK = Scenario().vary(placing.with_danger(Scenario().surroundings, "Rock", [(30.0, 40.0)], "point"))


def test_a_rock_lies_where_it_was_put_by_bearing_and_distance() -> None:
    """3, 4, 5: 50 m off, and atan(4/3) east of north; put so to a hundredth of a degree."""
    (rock,) = ROCK.surroundings.dangers
    (at,) = rock.at
    assert at.distance == quantity(50.0, "m") and at.bearing is not None
    assert at.bearing.m_as("degree") == pytest.approx(math.degrees(math.atan2(4, 3)), abs=0.01)
    assert placing.corners(ROCK.surroundings, "dangers.0")[0] == pytest.approx((30.0, 40.0), abs=0.01)


def test_the_nearest_point_of_a_shore_is_on_it_and_of_an_area_on_its_edge() -> None:
    shore = placing.shore((0.0, 80.0), 60.0)
    assert shore == [pytest.approx((60.0, 80.0)), pytest.approx((-60.0, 80.0))]
    assert placing.nearest(shore, "line") == pytest.approx((0.0, 80.0))
    assert placing.nearest(shore[:1], "point") == pytest.approx((60.0, 80.0))
    square = [(10.0, -5.0), (10.0, 5.0), (20.0, 5.0), (20.0, -5.0)]
    assert placing.nearest(square, "area") == pytest.approx((10.0, 0.0))
    round_her = [(-5.0, -9.0), (8.0, -9.0), (8.0, 9.0), (-5.0, 9.0)]
    assert placing.nearest(round_her, "line") == pytest.approx((8.0, 0.0))
    assert placing.nearest(round_her, "area") == pytest.approx((-5.0, 0.0)), "the side that closes it"


@pytest.mark.parametrize("shape", ["line", "area"])
def test_a_shape_is_brought_to_a_bearing_and_a_distance_without_changing_form(shape: str) -> None:
    before = placing.ring((30.0, 40.0), 12.0)
    after = placing.brought(before, shape, math.radians(200.0), 77.0)
    north, east = placing.nearest(after, shape)
    assert math.hypot(north, east) == pytest.approx(77.0)
    assert math.degrees(math.atan2(east, north)) % 360.0 == pytest.approx(200.0)
    sides = [[math.dist(a, b) for a in places for b in places] for places in (before, after)]
    assert sides[0] == pytest.approx(sides[1])


def test_what_lies_at_the_anchor_itself_is_brought_off_it() -> None:
    assert placing.brought([(0.0, 0.0)], "point", math.radians(90.0), 10.0)[0] == pytest.approx((0.0, 10.0))


def test_what_was_given_by_latitude_and_longitude_stays_so_when_it_is_moved() -> None:
    """Its new place is that of the geodesic of WGS 84, 100 m to the east."""
    anchor = {"latitude": "50.2 degree", "longitude": "-4.5 degree"}
    at = [{"latitude": "50.201 degree", "longitude": "-4.5 degree"}]
    given = {"anchor": anchor, "dangers": [{"name": "Rock", "at": at}]}
    scenario = Scenario().vary({"surroundings": given})
    moved = scenario.vary(placing.placed(scenario.surroundings, "dangers.0", [(0.0, 100.0)]))
    (position,) = moved.surroundings.dangers[0].at
    expected = Geodesic.WGS84.Direct(50.2, -4.5, 90.0, 100.0)
    assert position.bearing is None
    assert position.place == pytest.approx((expected["lat2"], expected["lon2"]), abs=1e-7)  # a centimetre


def test_a_neighbour_lets_out_rode_and_gets_chain_where_it_takes_more() -> None:
    scenario = ROCK.vary(placing.with_neighbour(ROCK.surroundings, "Ketch", (-20.0, 10.0)))
    (ketch,) = scenario.surroundings.neighbours
    for rode, chain in ((40.0, 60.0), (90.0, 90.0)):  # she carries 60 m
        tackle = placing.let_out(ketch, rode, height=8.0)
        changed = scenario.vary(placing.changed(scenario.surroundings, "neighbours.0", tackle=tackle))
        found = changed.surroundings.neighbours[0].tackle
        assert (found.scope * 8.0, si(found.chain.length)) == (pytest.approx(rode), pytest.approx(chain))


def test_removing_takes_that_one_and_no_other() -> None:
    two = ROCK.vary(placing.with_danger(ROCK.surroundings, "Reef", [(50.0, 0.0)], "point"))
    left = two.vary(placing.removed(two.surroundings, "dangers.0"))
    assert [danger.name for danger in left.surroundings.dangers] == ["Reef"]
    for key in ("dangers.7", "neighbours.0", "dangers.x", "spot.0"):
        with pytest.raises(KeyError):
            placing.removed(two.surroundings, key)


def test_what_cannot_be_is_refused_with_its_path() -> None:
    with pytest.raises(ScenarioError, match=r"surroundings\.dangers\.0\.at\.0\.distance"):
        ROCK.vary(placing.placed(ROCK.surroundings, "dangers.0", [(30_000.0, 0.0)]))
    with pytest.raises(ScenarioError, match=r"surroundings\.dangers\.0\.depth"):
        ROCK.vary(placing.changed(ROCK.surroundings, "dangers.0", depth=quantity(500.0, "m")))


@pytest.mark.parametrize(
    ("typed", "place"),
    [
        ("50.205 -4.502", (50.205, -4.502)),
        ("50.205, -4.502", (50.205, -4.502)),
        ("50°12.3'N 4°30.1'W", (50.205, -4.0 - 30.1 / 60.0)),
        ("50 12.3' N, 004 30.1' W", (50.205, -4.0 - 30.1 / 60.0)),
        ("33°30′36″S 151°0′E", (-33.51, 151.0)),
    ],
)
def test_a_position_is_read_as_people_write_it_and_written_so_that_it_is_read_again(
    typed: str, place: tuple[float, float]
) -> None:
    found = placing.read_place(typed)
    assert found is not None and found.place == pytest.approx(place)
    again = placing.read_place(placing.written(found.place))
    assert again is not None and again.place == pytest.approx(found.place, abs=1e-6)


@pytest.mark.parametrize("typed", ["here", "50.205", "95 10", "50 200", "50°75'N 4°0'W", "50°12.3'N"])
def test_what_is_no_position_is_refused(typed: str) -> None:
    with pytest.raises(AnchorsimError, match=r"surroundings\.anchor: the position cannot be read"):
        placing.read_place(typed)
    assert placing.read_place("  ") is None
