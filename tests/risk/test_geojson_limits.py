"""Where what is read as a danger begins and ends, and how rings are wound: by RFC 7946 and by hand."""

from __future__ import annotations

import json
import math
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import pytest

import anchorsim as am
from anchorsim.core.units import si
from anchorsim.risk import geojson as module
from anchorsim.risk.geojson import GeoJsonError, geojson, read_dangers, write_geojson
from anchorsim.risk.swinging_room import SwingingRoom, SwingingRoomSI

SQUARE = [[-4.5, 50.12], [-4.499, 50.12], [-4.499, 50.121], [-4.5, 50.121], [-4.5, 50.12]]


def read(document: Any, folder: Path) -> tuple[Any, ...]:
    (folder / "given.geojson").write_text(json.dumps(document), encoding="utf-8")
    return read_dangers(folder / "given.geojson")


def feature(kind: str, coordinates: Any, properties: Any = None) -> dict[str, Any]:
    return {
        "type": "Feature",
        "geometry": {"type": kind, "coordinates": coordinates},
        "properties": properties,
    }


@pytest.mark.parametrize("place", [[180, 90], [-180, -90], [0, 0], [12.5, -33.25, 4.0], [1, 2]])
def test_places_up_to_the_poles_and_the_180th_meridian_are_read(place: list[float], tmp_path: Path) -> None:
    [danger] = read(feature("Point", place), tmp_path)
    assert danger.at[0].longitude.m_as("degree") == place[0]
    assert danger.at[0].latitude.m_as("degree") == place[1]


@pytest.mark.parametrize(
    "place",
    [[180.001, 0], [-180.001, 0], [0, 90.001], [0, -90.001], [1], [], {}, None, "1 2", [True, 0], [0, False],
     ["1", 0], [0, None]],
)  # fmt: skip
def test_what_is_no_place_is_refused(place: Any, tmp_path: Path) -> None:
    with pytest.raises(GeoJsonError):
        read(feature("Point", place), tmp_path)


@pytest.mark.parametrize(
    ("kind", "coordinates"),
    [
        ("LineString", []),
        ("LineString", {}),
        ("LineString", "none"),
        ("MultiPoint", []),
        ("MultiPoint", 3),
        ("Polygon", []),
        ("Polygon", [[]]),
        ("Polygon", [SQUARE[:3]]),  # three, and open
        ("Polygon", [[*SQUARE[:2], SQUARE[0]]]),  # closed, but of two corners
        ("Polygon", [SQUARE[:4]]),
        ("Polygon", [SQUARE, SQUARE[::-1]]),
    ],
)
def test_what_is_no_line_or_area_is_refused(kind: str, coordinates: Any, tmp_path: Path) -> None:
    with pytest.raises(GeoJsonError):
        read(feature(kind, coordinates), tmp_path)


def test_a_triangle_is_an_area_of_three_corners(tmp_path: Path) -> None:
    [danger] = read(feature("Polygon", [[*SQUARE[:3], SQUARE[0]]]), tmp_path)
    assert danger.shape == "area" and len(danger.at) == 3


@pytest.mark.parametrize("depth", [0, -2, 1.5, None])
def test_depth_and_name_are_taken_and_all_else_is_passed_over(depth: float | None, tmp_path: Path) -> None:
    more = {"name": "bank", "depth": depth, "colour": "red"}
    [danger] = read(feature("Point", [1, 2], more), tmp_path)
    assert danger.name == "bank"
    assert (danger.depth is None) if depth is None else si(danger.depth) == depth


@pytest.mark.parametrize("depth", [True, "3", [3], {}])
def test_a_depth_that_is_no_number_is_refused(depth: Any, tmp_path: Path) -> None:
    with pytest.raises(GeoJsonError):
        read(feature("Point", [1, 2], {"depth": depth}), tmp_path)


@pytest.mark.parametrize("what", ["anchor", "neighbour", "room", "danger", "buoy", None])
def test_our_own_anchor_neighbours_and_room_are_no_dangers(what: str | None, tmp_path: Path) -> None:
    found = read(feature("Point", [1, 2], {"what": what}), tmp_path)
    assert len(found) == (0 if what in ("anchor", "neighbour", "room") else 1)


@pytest.mark.parametrize("properties", [None, [], "none", 3])
def test_properties_that_are_none_say_nothing(properties: Any, tmp_path: Path) -> None:
    [danger] = read(feature("Point", [1, 2], properties), tmp_path)
    assert danger.depth is None


@pytest.mark.parametrize(
    "document",
    [None, 3, [], {}, {"type": "FeatureCollection"}, {"type": "FeatureCollection", "features": {}},
     {"type": "FeatureCollection", "features": [[]]}, {"type": "FeatureCollection", "features": [{}]},
     {"type": "GeometryCollection"}, {"type": "Feature", "geometry": 3}],
)  # fmt: skip
def test_what_is_no_geojson_is_refused(document: Any, tmp_path: Path) -> None:
    with pytest.raises(GeoJsonError):
        read(document, tmp_path)


def test_a_collection_of_geometries_by_itself_is_read(tmp_path: Path) -> None:
    parts = [{"type": "Point", "coordinates": [1, 2]}, {"type": "LineString", "coordinates": SQUARE[:2]}]
    assert [one.shape for one in read({"type": "GeometryCollection", "geometries": parts}, tmp_path)] == [
        "point", "line"
    ]  # fmt: skip
    assert read({"type": "FeatureCollection", "features": []}, tmp_path) == ()


@pytest.mark.parametrize("turn", [1, -1])
@pytest.mark.parametrize("latitude", [0.0, 60.0, -75.0])
def test_rings_are_wound_counterclockwise(turn: int, latitude: float) -> None:
    """RFC 7946, 3.1.6.  By the shoelace formula, and the same ring if it was already."""
    ring = [[x, y + latitude] for x, y in [(3.0, 0.0), (3.2, 0.1), (3.1, 0.4), (2.9, 0.2), (3.0, 0.0)]][
        ::turn
    ]
    found = module._wound(ring)
    area = sum(a[0] * b[1] - b[0] * a[1] for a, b in pairwise(found))
    assert area > 0 and sorted(found) == sorted(ring)
    assert (found == ring) == (turn == 1)


def test_places_are_written_with_nine_digits() -> None:
    """A degree of latitude is some 111 km, so the ninth digit is a tenth of a millimetre."""
    anchor = {"latitude": "50.12345678912 degree", "longitude": "-4.5 degree"}
    at = {"bearing": "90 degree", "distance": "100 m"}
    scenario = am.Scenario().vary(
        {
            "surroundings": {
                "anchor": anchor,
                "dangers": [{"name": "rock", "at": [at]}, {"at": [at], "depth": "2 m"}],
            }
        }
    )
    first, rock, deep = geojson(scenario)["features"]
    assert first["geometry"]["coordinates"] == [-4.5, 50.123456789]
    assert "depth" not in rock["properties"] and deep["properties"]["depth"] == 2.0
    # 100 m to the east on WGS 84: a = 6378137 m, e² = 0.00669438
    sine = math.sin(math.radians(50.12345679))
    east = math.radians(6378137 / math.sqrt(1 - 0.00669438 * sine**2)) * math.sqrt(1 - sine**2)
    longitude, latitude = rock["geometry"]["coordinates"]
    assert (longitude + 4.5) * east == pytest.approx(100.0, abs=1e-3)
    assert latitude == pytest.approx(50.12345679, abs=2e-8)
    assert longitude == round(longitude, 9) and latitude == round(latitude, 9)


def test_what_is_left_unsaid_is_all_that_was_swept(tmp_path: Path) -> None:
    """Of two spells, the farther in each sector; half of them the nearer."""
    scenario = am.Scenario().vary(
        {"surroundings": {"anchor": {"latitude": "50 degree", "longitude": "-4.5 degree"}}}
    )
    reach = np.stack([np.full(144, 30.0), np.full(144, 50.0)])
    room = SwingingRoom(scenario, 2, np.arange(2), SwingingRoomSI(reach))
    write_geojson(scenario, tmp_path / "room.geojson", room)
    written = json.loads((tmp_path / "room.geojson").read_text())
    assert written == geojson(scenario, room) == geojson(scenario, room, 1.0)
    for share, far in ((1.0, 50.0), (0.5, 30.0)):
        feature = geojson(scenario, room, share)["features"][-1]
        assert feature["properties"]["share"] == share
        ring = np.array(feature["geometry"]["coordinates"][0][0])
        # metres in a degree of latitude and of longitude at 50° N, WGS 84 (handbooks)
        metres = (ring - [-4.5, 50.0]) * [71695.7, 111229.0]
        assert np.hypot(*metres.T) == pytest.approx(np.full(len(ring), far), rel=1e-4)
        bearings = np.degrees(np.arctan2(*metres.T)) % 2.5
        assert np.minimum(bearings, 2.5 - bearings).max() < 1e-3, "corners stand between the sectors"
