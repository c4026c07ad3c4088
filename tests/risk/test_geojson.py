"""GeoJSON: there and back, opened by shapely, and what is no danger refused with its place.

RFC 7946: positions are longitude, latitude (3.1.1); areas are closed and wound counterclockwise (3.1.6); no
member ``crs`` (4).
"""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import shapely

import anchorsim as am
from anchorsim.core.units import si
from anchorsim.risk.clearances import shape
from anchorsim.risk.geojson import GeoJsonError, geojson, read_dangers, write_geojson
from anchorsim.risk.swinging_room import SwingingRoom, SwingingRoomSI, room_needed
from anchorsim.scenario.scenario import Scenario


def place(bearing: float, distance: float) -> dict[str, str]:
    return {"bearing": f"{bearing} degree", "distance": f"{distance} m"}


ANCHOR = {"latitude": "50.1234567 degree", "longitude": "-4.5 degree"}
AROUND = {
    "anchor": ANCHOR,
    "dangers": [
        {"name": "perch", "at": [place(45, 60)]},
        {"name": "wall", "shape": "line", "at": [place(0, 80), place(20, 90), place(40, 80)]},
        {"name": "bank", "shape": "area", "depth": "-0.5 m", "at": [place(b, 60) for b in (90, 100, 110)]},
        {"name": "lee", "shape": "area", "at": [place(110, 150), place(100, 160), place(90, 150)]},
    ],
    "neighbours": [{"name": "Ketch", "at": place(135, 60)}],
}  # fmt: skip
SCENARIO = am.Scenario().vary({"weather.duration": "1 min", "surroundings": AROUND})


@pytest.fixture(scope="module")
def needed() -> SwingingRoom:
    return room_needed(SCENARIO, 5)


def test_dangers_come_back_as_they_went(tmp_path: Path) -> None:
    write_geojson(SCENARIO, tmp_path / "around.geojson")
    read = read_dangers(tmp_path / "around.geojson")
    dangers, again = SCENARIO.surroundings.dangers, SCENARIO.vary({"surroundings.dangers": read})
    assert len(read) == 4  # and neither the anchor nor the neighbour
    for before, after in zip(dangers, read, strict=True):
        assert (after.name, after.shape, after.depth) == (before.name, before.shape, before.depth)
        ours, theirs = shape(SCENARIO, before).corners[0], shape(again, after).corners[0]
        if after.shape == "area":  # may be wound the other way
            ours, theirs = (np.array(sorted(rows.round(2).tolist())) for rows in (ours, theirs))
        # A file keeps nine digits of a degree, a tenth of a millimetre.
        np.testing.assert_allclose(theirs, ours, atol=2e-4)
    write_geojson(again, tmp_path / "again.geojson")
    assert read_dangers(tmp_path / "again.geojson") == read


def test_the_file_is_as_the_rfc_says(needed: SwingingRoom, tmp_path: Path) -> None:
    write_geojson(SCENARIO, tmp_path / "around.geojson", needed)
    text = (tmp_path / "around.geojson").read_text(encoding="utf-8")
    document = json.loads(text)
    assert document["type"] == "FeatureCollection" and "crs" not in text
    features = document["features"]
    assert all(set(feature) == {"type", "geometry", "properties"} for feature in features)
    assert features[0]["geometry"]["coordinates"] == [-4.5, 50.1234567]
    assert [feature["properties"]["what"] for feature in features] == [
        "anchor", *4 * ["danger"], "neighbour", "room"
    ]  # fmt: skip
    assert features[3]["properties"] == {"what": "danger", "name": "bank", "depth": -0.5}


def test_shapely_opens_it_and_measures_what_we_mean(needed: SwingingRoom) -> None:
    features = geojson(SCENARIO, needed)["features"]
    read = shapely.from_geojson(json.dumps({"type": "FeatureCollection", "features": features}))
    shapes = list(read.geoms)
    assert all(one.is_valid for one in shapes)
    kinds = [one.geom_type for one in shapes]
    assert kinds == ["Point", "Point", "LineString", "Polygon", "Polygon", "Point", "MultiPolygon"]
    for area in (*shapes[3:5], *shapes[6].geoms):
        assert area.exterior.is_ccw
    # A degree in metres by the radii of curvature of the ellipsoid: a = 6378137 m, e² = 0.00669438 (WGS 84).
    sine = math.sin(math.radians(50.1234567))
    bent = 1 - 0.00669438 * sine**2
    north = math.radians(6378137 * (1 - 0.00669438) / bent**1.5)
    east = math.radians(6378137 / math.sqrt(bent)) * math.sqrt(1 - sine**2)
    swept = shapely.transform(shapes[6], lambda rows: (rows - [-4.5, 50.1234567]) * [east, north])
    reach = needed.si.reach.max(axis=0)
    # Triangles of 2.5° between two equal sides: half their square times the sine.
    triangles = 0.5 * float(np.sum(reach**2)) * math.sin(math.radians(2.5))
    assert swept.area == pytest.approx(triangles, rel=1e-5)
    far = max(math.hypot(x, y) for lobe in swept.geoms for x, y in lobe.exterior.coords)
    assert far == pytest.approx(reach.max(), rel=1e-5)
    ring = shapely.Polygon(needed.si.ring()[:, ::-1]).buffer(0)
    assert swept.buffer(1.5).contains(ring)


def test_a_room_all_round_is_one_ring(needed: SwingingRoom) -> None:
    whole = SwingingRoom(SCENARIO, 1, needed.number[:1], SwingingRoomSI(np.full((1, 144), 40.0)))
    (only,) = shapely.from_geojson(json.dumps(geojson(SCENARIO, whole)["features"][-1]["geometry"])).geoms
    assert only.is_valid and only.exterior.is_ccw
    two = np.zeros((1, 144))
    two[0, [3, 4, 90]] = 50.0
    apart = SwingingRoom(SCENARIO, 1, needed.number[:1], SwingingRoomSI(two))
    lobes = shapely.from_geojson(json.dumps(geojson(SCENARIO, apart)["features"][-1]["geometry"]))
    assert len(lobes.geoms) == 2 and lobes.is_valid


def feature(kind: str, coordinates: Any, **properties: Any) -> dict[str, Any]:
    geometry = {"type": kind, "coordinates": coordinates}
    return {"type": "Feature", "geometry": geometry, "properties": properties}


SQUARE = [[-4.5, 50.12], [-4.499, 50.12], [-4.499, 50.121], [-4.5, 50.121], [-4.5, 50.12]]


@pytest.mark.parametrize(
    ("document", "shapes"),
    [
        (feature("MultiPoint", [[-4.5, 50.12], [-4.51, 50.12, 3.0]]), ["point", "point"]),
        (feature("MultiLineString", [SQUARE[:2], SQUARE[1:3]]), ["line", "line"]),
        (feature("MultiPolygon", [[SQUARE], [SQUARE]], name="bank", depth=2), ["area", "area"]),
        ({"type": "Polygon", "coordinates": [SQUARE]}, ["area"]),
        ({"type": "Feature", "geometry": None, "properties": None}, []),
        (
            {
                "type": "FeatureCollection",
                "features": [
                    {
                        "type": "Feature",
                        "properties": {"name": 3},
                        "geometry": {
                            "type": "GeometryCollection",
                            "geometries": [{"type": "Point", "coordinates": [0, 0]}],
                        },
                    }
                ],
            },
            ["point"],
        ),
    ],
)
def test_all_kinds_are_read(document: Any, shapes: list[str], tmp_path: Path) -> None:
    (tmp_path / "given.geojson").write_text(json.dumps(document), encoding="utf-8")
    found = read_dangers(tmp_path / "given.geojson")
    assert [danger.shape for danger in found] == shapes
    if shapes == ["area", "area"]:
        assert {(danger.name, si(danger.depth)) for danger in found} == {("bank", 2.0)}  # type: ignore[arg-type]
        assert [len(danger.at) for danger in found] == [4, 4]


@pytest.mark.parametrize(
    ("document", "sentence"),
    [
        ("{", r"not JSON \(.*\)\. Expected a GeoJSON file\. Save it again\."),
        (
            [],
            r": type: nothing is not known\. Expected a FeatureCollection, a Feature or a geometry",
        ),
        ({"type": "Topology"}, r': type: "Topology" is not known\. Expected a FeatureCollection, a Feature'),
        (
            feature("Circle", [0, 0]),
            r': geometry\.type: "Circle" is not known\. Expected one of Point, MultiPoint',
        ),
        (
            feature("Point", [200, 0]),
            r": geometry\.coordinates: .* is not a position\. Expected longitude from -180",
        ),
        (feature("Point", ["a", 0]), r": geometry\.coordinates: .* is not a position"),
        (feature("LineString", [[0, 0]]), r"coordinates \(at\): 1 positions do not make a line"),
        (feature("Polygon", [SQUARE[:4]]), r"coordinates\[0\]: not closed\. Expected 4 positions or more"),
        (feature("Polygon", [SQUARE, SQUARE]), r"coordinates: 2 rings\. Expected one, without holes"),
        (
            feature("Point", [0, 0], depth="3 m"),
            r': properties\.depth: "3 m" is not a number\. Expected a depth in metres',
        ),
        (
            {"type": "FeatureCollection", "features": [feature("Point", [0, 0]), 3]},
            r": features\[1\]: not a feature\. Expected the type",
        ),
        (
            feature("Point", [0, 0], depth=900),
            r"coordinates \(depth\): .*out of range\. Expected -20 to",
        ),
    ],
)
def test_what_is_no_danger_is_refused(document: Any, sentence: str, tmp_path: Path) -> None:
    path = tmp_path / "given.geojson"
    path.write_text(document if isinstance(document, str) else json.dumps(document), encoding="utf-8")
    with pytest.raises(GeoJsonError, match=rf"^{path}.*{sentence}"):
        read_dangers(path)


def test_what_cannot_be_read_or_written_is_told(tmp_path: Path) -> None:
    with pytest.raises(GeoJsonError, match=r"gone\.geojson: could not be read \(no such file"):
        read_dangers(tmp_path / "gone.geojson")
    with pytest.raises(
        GeoJsonError, match=r"could not be written \(.*\)\. Expected a folder that you may write"
    ):
        write_geojson(SCENARIO, tmp_path / "none" / "a.geojson")
    with pytest.raises(
        GeoJsonError, match=r"^surroundings\.anchor: missing\. Expected the anchor's latitude"
    ):
        write_geojson(Scenario(), tmp_path / "a.geojson")
