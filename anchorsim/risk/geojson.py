"""Dangers from GeoJSON and the room she needs to GeoJSON (RFC 7946), for charts and other programs.

A danger is a feature whose properties ``name`` and ``depth`` (charted, m) are ours; other properties are
passed over.  Positions are longitude, then latitude, in degrees (WGS 84); areas are wound counterclockwise,
as the RFC asks.  Shapes across the 180th meridian are not cut there.
"""

from __future__ import annotations

import json
import math
import os
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
from pydantic import ValidationError

from anchorsim.core import arguments
from anchorsim.core.errors import AnchorsimError, sentence
from anchorsim.core.reading import GEOJSON, POSITIONS, ReadError, brief_path, check_values, read_text
from anchorsim.core.units import quantity, quoted, si
from anchorsim.core.writing import write_whole
from anchorsim.numerics.geodesy import Place, to_place
from anchorsim.risk.swinging_room import SECTORS, SwingingRoom
from anchorsim.scenario.hazards import MOST_POSITIONS, Danger, Position
from anchorsim.scenario.scenario import Scenario

# Kinds of geometry: whether there are several in one, and the shape of a danger.
_KINDS = {
    "Point": (False, "point"), "MultiPoint": (True, "point"), "LineString": (False, "line"),
    "MultiLineString": (True, "line"), "Polygon": (False, "area"), "MultiPolygon": (True, "area"),
}  # fmt: skip
_OURS = ("anchor", "neighbour", "room")  # what of our own is no danger
_FAR = 1e6  # m, beyond which a depth is not even looked at
_DIGITS = 9  # of a degree: a tenth of a millimetre


class GeoJsonError(AnchorsimError):
    """A file that is not GeoJSON, or holds what cannot be a danger; the sentence names the place in it.

    Examples
    --------
    >>> try:
    ...     write_geojson(Scenario(), "around.geojson")
    ... except GeoJsonError as error:
    ...     print(str(error).split(". ")[0])
    surroundings.anchor: missing
    """


def read_dangers(path: str | os.PathLike[str]) -> tuple[Danger, ...]:
    """Read the dangers in a GeoJSON file, for ``scenario.vary({"surroundings.dangers": …})``.

    Parameters
    ----------
    path : str or path
        The file: points, lines and polygons, with ``name`` and charted ``depth`` (m) among their properties.

    Returns
    -------
    tuple of Danger
        One for each, and one for each of several in one; of what :func:`write_geojson` wrote the dangers
        alone.

    Raises
    ------
    GeoJsonError
        With the place in the file that does not fit.

    References
    ----------
    RFC 7946, The GeoJSON Format.

    Examples
    --------
    >>> import tempfile
    >>> rock = '{"type": "Feature", "properties": {"name": "rock"}, "geometry": {"type": "Point", '
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     path = Path(folder, "dangers.geojson")
    ...     _ = path.write_text(rock + '"coordinates": [-4.5, 50.1]}}')
    ...     [(danger.name, danger.shape) for danger in read_dangers(path)]
    [('rock', 'point')]
    """
    found: list[Danger] = []
    positions, place = 0, f"{brief_path(Path(path))}: "
    for danger in _dangers(_parsed(Path(path)), place):
        positions += len(danger.at)
        if positions > POSITIONS:
            said = sentence(
                "too many positions", f"at most {POSITIONS}", "export a smaller part of the chart"
            )
            raise GeoJsonError(f"{place}{said}")
        found.append(danger)
    return tuple(found)


def _parsed(path: Path) -> Any:
    try:
        text = read_text(path, GEOJSON)
    except ReadError as error:
        raise GeoJsonError(str(error)) from None
    try:
        check_values(text, GEOJSON)
        return json.loads(text)
    except json.JSONDecodeError as error:
        wrong = f"not JSON (line {error.lineno}: {error.msg.lower()})"
        raise _wrong(brief_path(path), wrong, GEOJSON.name, "save it again") from None
    except AnchorsimError as error:
        raise GeoJsonError(f"{brief_path(path)}: {error}") from None


def _wrong(place: str, wrong: str, fits: str, action: str) -> GeoJsonError:
    return GeoJsonError(f"{place}: {sentence(wrong, fits, action)}")


def _dangers(document: Any, place: str) -> Iterator[Danger]:
    kind = document.get("type") if isinstance(document, dict) else None
    if kind == "FeatureCollection" and isinstance(document.get("features"), list):
        for i, feature in enumerate(document["features"]):
            if not isinstance(feature, dict) or feature.get("type") != "Feature":
                raise _wrong(
                    f"{place}features[{i}]", "not a feature", 'the type "Feature"', "correct or delete it"
                )
            yield from _of_feature(feature, f"{place}features[{i}].")
    elif kind == "Feature":
        yield from _of_feature(document, place)
    elif kind in (*_KINDS, "GeometryCollection"):
        yield from _of_geometry(document, {}, place)
    else:
        needed = "a FeatureCollection, a Feature or a geometry"
        raise _wrong(f"{place}type", f"{quoted(kind)} is not known", needed, "export it as GeoJSON")


def _of_feature(feature: dict[str, Any], place: str) -> Iterator[Danger]:
    given = feature.get("properties") or {}
    if isinstance(given, dict) and given.get("what") in _OURS:
        return
    depth = given.get("depth") if isinstance(given, dict) else None
    if depth is not None and not (_is_number(depth) and abs(depth) < _FAR):
        wrong = f"{quoted(depth)} is not a number"
        raise _wrong(f"{place}properties.depth", wrong, "a depth in metres", "write one")
    about: dict[str, Any] = {} if depth is None else {"depth": quantity(float(depth), "m")}
    if isinstance(given, dict) and isinstance(given.get("name"), str):
        about["name"] = given["name"]
    if feature.get("geometry") is not None:  # RFC 7946, 3.2: a feature that lies nowhere
        yield from _of_geometry(feature["geometry"], about, f"{place}geometry.")


def _of_geometry(geometry: Any, about: dict[str, Any], place: str) -> Iterator[Danger]:
    kind = geometry.get("type") if isinstance(geometry, dict) else None
    if kind == "GeometryCollection" and isinstance(geometry.get("geometries"), list):
        for i, part in enumerate(geometry["geometries"]):
            yield from _of_geometry(part, about, f"{place}geometries[{i}].")
        return
    if not isinstance(kind, str) or kind not in _KINDS:
        wrong = f"{quoted(kind)} is not known"
        raise _wrong(f"{place}type", wrong, f"one of {', '.join(_KINDS)}", "export it as one")
    several, shape = _KINDS[kind]
    given = geometry.get("coordinates")
    if not several:
        yield _danger(given, shape, about, f"{place}coordinates")
        return
    for i, part in enumerate(_list(given, f"{place}coordinates")):
        yield _danger(part, shape, about, f"{place}coordinates[{i}]")


def _danger(part: Any, shape: str, about: dict[str, Any], place: str) -> Danger:
    if shape == "point":
        rows = [part]
    elif shape == "line":
        rows = _list(part, place)
    else:
        rings = _list(part, place)
        if len(rings) != 1:
            wrong = f"{len(rings)} rings"
            raise _wrong(place, wrong, "one, without holes", "cut the area so that it has no hole")
        rows, place = _list(rings[0], f"{place}[0]"), f"{place}[0]"
        if len(rows) < 4 or rows[0] != rows[-1]:
            raise _wrong(place, "not closed", "4 positions or more, the last as the first", "close it")
        rows = rows[:-1]
    if len(rows) > MOST_POSITIONS:
        advice = "cut it into several, or leave out what is far off"
        raise _wrong(place, f"has {len(rows)} positions", f"at most {MOST_POSITIONS}", advice)
    positions = [_position(row, place if shape == "point" else f"{place}[{i}]") for i, row in enumerate(rows)]
    try:
        return Danger.model_validate({**about, "shape": shape, "at": positions})
    except ValidationError as error:
        first = error.errors()[0]
        context = first.get("ctx", {})
        path = context.get("path", ".".join(map(str, first["loc"])))
        said = context.get("sentence", context.get("error", first["msg"]))
        raise GeoJsonError(f"{place} ({path}): {said}") from None


def _position(row: Any, place: str) -> Position:
    if (
        not isinstance(row, list)
        or len(row) < 2
        or not all(map(_is_number, row))
        or not (abs(row[0]) <= 180 and abs(row[1]) <= 90)
    ):
        needed = "longitude from -180 to 180 and latitude from -90 to 90, in degrees"
        raise _wrong(place, f"{quoted(row)} is not a position", needed, "export it in WGS 84")
    return Position(longitude=quantity(float(row[0]), "degree"), latitude=quantity(float(row[1]), "degree"))


def _is_number(given: Any) -> bool:
    return isinstance(given, int | float) and not isinstance(given, bool)


def _list(given: Any, place: str) -> list[Any]:
    if not isinstance(given, list) or not given:
        raise _wrong(place, f"{quoted(given)} is not a list", "a list of positions", "correct it")
    return given


def write_geojson(
    scenario: Scenario, path: str | os.PathLike[str], room: SwingingRoom | None = None, share: float = 1.0
) -> None:
    """Write anchor, dangers and neighbours' anchors to a GeoJSON file: whole or not at all.

    Parameters
    ----------
    scenario : Scenario
        With the anchor's latitude and longitude.
    path : str or path
        The file.
    room : SwingingRoom, optional
        Drawn too: what she stays within.
    share : float
        In what share of the spells of ``room``, from 0 to 1.

    Raises
    ------
    GeoJsonError
        Where the file cannot be written, or the anchor has no place.
    ArgumentError
        Where another argument does not fit.

    References
    ----------
    RFC 7946, The GeoJSON Format.

    Examples
    --------
    >>> import tempfile
    >>> placed = Scenario().vary({"surroundings.anchor": {
    ...     "latitude": "50.1 degree", "longitude": "-4.5 degree",
    ... }})
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     write_geojson(placed, f"{folder}/around.geojson")
    ...     "Point" in Path(folder, "around.geojson").read_text(encoding="utf-8")
    True
    """
    arguments.instance("scenario", scenario, Scenario, "load one with Scenario.load")
    if room is not None:
        arguments.instance("room", room, SwingingRoom, "find one with room_needed")
    arguments.within("share", share, "a share from 0 to 1", 0.0, 1.0)
    try:
        write_whole(Path(path), json.dumps(geojson(scenario, room, share), indent=1).encode())
    except GeoJsonError:
        raise
    except ValueError as error:
        raise GeoJsonError(str(error)) from None


def geojson(scenario: Scenario, room: SwingingRoom | None = None, share: float = 1.0) -> dict[str, Any]:
    """What :func:`write_geojson` writes: a FeatureCollection.  Each feature's property ``what`` says what it
    is: anchor, danger, neighbour or room."""
    anchor = scenario.surroundings.anchor
    if anchor is None:
        raise _wrong(
            "surroundings.anchor",
            "missing",
            "the anchor's latitude and longitude, to place things on a chart",
            "enter them",
        )
    features = [_feature("Point", _row(anchor.place), what="anchor", name=scenario.boat.name)]
    for danger in scenario.surroundings.dangers:
        depth = {} if danger.depth is None else {"depth": si(danger.depth)}
        rows = [_row(_place(position, anchor.place)) for position in danger.at]
        features.append(_drawn(danger.shape, rows, what="danger", name=danger.name, **depth))
    for neighbour in scenario.surroundings.neighbours:
        row = _row(_place(neighbour.at, anchor.place))
        features.append(_feature("Point", row, what="neighbour", name=neighbour.name))
    if room is not None:
        lobes = [[_wound(lobe)] for lobe in _lobes(room, share, anchor.place)]
        features.append(_feature("MultiPolygon", lobes, what="room", name=scenario.boat.name, share=share))
    return {"type": "FeatureCollection", "features": features}


def _drawn(shape: str, rows: list[list[float]], **about: Any) -> dict[str, Any]:
    if shape == "point":
        return _feature("Point", rows[0], **about)
    if shape == "line":
        return _feature("LineString", rows, **about)
    return _feature("Polygon", [_wound([*rows, rows[0]])], **about)


def _feature(kind: str, coordinates: Any, **about: Any) -> dict[str, Any]:
    geometry = {"type": kind, "coordinates": coordinates}
    return {"type": "Feature", "geometry": geometry, "properties": about}


def _place(position: Position, origin: Place) -> Place:
    if position.place is not None:
        return position.place
    return to_place(*position.local(None), origin)


def _row(place: Place) -> list[float]:
    return [round(place[1], _DIGITS), round(place[0], _DIGITS)]


def _wound(ring: list[list[float]]) -> list[list[float]]:
    """A closed ring counterclockwise: the RFC's right-hand rule."""
    (x, y), middle = np.array(ring).T, math.radians(ring[0][1])
    x = (x - x[0]) * math.cos(middle)
    area = float(np.sum(x[:-1] * (y[1:] - y[0]) - x[1:] * (y[:-1] - y[0])))
    return ring if area >= 0 else ring[::-1]


def _lobes(room: SwingingRoom, share: float, origin: Place) -> Iterator[list[list[float]]]:
    """Closed rings of what she stays within: of neighbouring sectors one, from the anchor out and back."""
    farthest = np.hypot(*room.si.ring(share)[:-1].T)
    edge = (np.arange(SECTORS + 1) / SECTORS - 0.5) * 2 * math.pi
    entered = farthest > 0
    if entered.all():
        arc = [_corner(farthest[i], edge[k], origin) for i in range(SECTORS) for k in (i, i + 1)]
        yield [*arc, arc[0]]
        return
    middle, start = _row(origin), int(np.flatnonzero(~entered)[0])
    arc = []
    for i in ((start + step) % SECTORS for step in range(1, SECTORS + 1)):
        if entered[i]:
            arc += [_corner(farthest[i], edge[k], origin) for k in (i, i + 1)]
        elif arc:
            yield [middle, *arc, middle]
            arc = []


def _corner(far: float, bearing: float, origin: Place) -> list[float]:
    return _row(to_place(far * math.cos(bearing), far * math.sin(bearing), origin))
