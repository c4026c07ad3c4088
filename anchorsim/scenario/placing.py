"""Things round the anchor put, moved and taken away by hand, as changes for :meth:`Scenario.vary`.

A thing is named by its path in the surroundings, ``dangers.0`` or ``neighbours.2``.  Places are metres north
and east of the anchor.  What was given by latitude and longitude stays so, the rest by bearing and distance.
"""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from typing import Any

from anchorsim.core.errors import AnchorsimError, sentence
from anchorsim.core.units import quantity, quoted, si
from anchorsim.numerics.geodesy import Place, to_place
from anchorsim.scenario.hazards import AnchorPlace, Danger, Neighbour, Position, Surroundings

Local = tuple[float, float]
Changes = dict[str, Any]

_MOST_NORTH, _MOST_EAST, _MINUTES = 90.0, 180.0, 60.0
_AS = "write for example 50°12.3'N 4°30.1'W, or 50.205 -4.502"
_ANGLE = (
    r"(?P<{0}d>[+\-−]?\d{{1,3}}(\.\d+)?)\s*°?\s*"
    r"((?P<{0}m>\d{{1,2}}(\.\d+)?)\s*'\s*)?"
    r'((?P<{0}s>\d{{1,2}}(\.\d+)?)\s*")?\s*'
)
_LATITUDE_LONGITUDE = re.compile(
    _ANGLE.format("a") + r"((?P<ah>[NS])\s*[,;]?|[,;]|\s)\s*" + _ANGLE.format("o") + r"(?P<oh>[EW])?"
)
_DEGREES, _METRES, _PLACES = (
    2,
    1,
    7,
)  # decimals of what is put by hand: a centimetre or two at a swinging radius


def found(hazards: Surroundings, key: str) -> Danger | Neighbour:
    """The thing of that name.  Raises KeyError where there is none."""
    kind, _, place = key.partition(".")
    if kind not in ("dangers", "neighbours"):
        raise KeyError(key)
    held: Sequence[Danger | Neighbour] = getattr(hazards, kind)
    if not place.isdecimal() or int(place) >= len(held):
        raise KeyError(key)
    return held[int(place)]


def shape_of(thing: Danger | Neighbour) -> str:
    """Point, line or area; a neighbour's anchor is a point."""
    return thing.shape if isinstance(thing, Danger) else "point"


def corners(hazards: Surroundings, key: str) -> list[Local]:
    """Where a thing lies: its positions, or a neighbour's anchor."""
    return [position.local(hazards.anchor) for position in _positions(found(hazards, key))]


def nearest(places: Sequence[Local], shape: str) -> Local:
    """The point of a point, a line or an area's edge that is nearest to the anchor."""
    ends = [*places[1:], *([places[0]] if shape == "area" else [])]
    sides = list(zip(places, ends, strict=False)) or [(places[0], places[0])]
    return min((_foot(*side) for side in sides), key=lambda foot: math.hypot(*foot))


def _foot(start: Local, end: Local) -> Local:
    """The point of a side that is nearest to the anchor."""
    north, east = end[0] - start[0], end[1] - start[1]
    squared = north * north + east * east
    share = -(start[0] * north + start[1] * east) / squared if squared else 0.0
    share = min(max(share, 0.0), 1.0)
    return start[0] + share * north, start[1] + share * east


def brought(places: Sequence[Local], shape: str, bearing: float, distance: float) -> list[Local]:
    """Places turned about the anchor and moved off until the nearest bears so (rad) and is so far off (m)."""
    north, east = nearest(places, shape)
    off = math.hypot(north, east)
    turn = bearing - math.atan2(east, north) if off else 0.0
    cos, sin = math.cos(turn), math.sin(turn)
    by = (distance - off) * math.cos(bearing), (distance - off) * math.sin(bearing)
    return [(n * cos - e * sin + by[0], n * sin + e * cos + by[1]) for n, e in places]


def placed(hazards: Surroundings, key: str, places: Sequence[Local]) -> Changes:
    """The thing at other places."""
    thing, anchor = found(hazards, key), hazards.anchor
    globe = anchor if _positions(thing)[0].place is not None else None
    at = [_position(place, globe) for place in places]
    return changed(hazards, key, at=at if isinstance(thing, Danger) else at[0])


def changed(hazards: Surroundings, key: str, **fields: Any) -> Changes:
    """The thing with other fields, as a file would hold them."""
    return _with(hazards, key, [{**dict(found(hazards, key)), **fields}])


def removed(hazards: Surroundings, key: str) -> Changes:
    """Without the thing."""
    found(hazards, key)
    return _with(hazards, key, [])


def with_danger(
    hazards: Surroundings, name: str, places: Sequence[Local], shape: str, depth: float | None = None
) -> Changes:
    """With one more danger; ``depth``: charted, m, over a shoal."""
    over = None if depth is None else quantity(depth, "m")
    at = [_position(place, None) for place in places]
    new = {"name": name, "shape": shape, "depth": over, "at": at}
    return {"surroundings.dangers": (*hazards.dangers, new)}


def with_neighbour(hazards: Surroundings, name: str, place: Local) -> Changes:
    """With one more boat, a stock one, whose anchor lies there."""
    return {"surroundings.neighbours": (*hazards.neighbours, {"name": name, "at": _position(place, None)})}


def let_out(other: Neighbour, rode: float, height: float) -> dict[str, Any]:
    """The gear of a neighbour with ``rode`` m out, and more chain where that is needed.

    ``height``: of her roller above the bottom, m.
    """
    tackle = other.tackle
    chain = max(si(tackle.chain.length), rode - si(tackle.rope.length))
    longer = {**dict(tackle.chain), "length": quantity(round(chain, 2), "m")}
    return {**dict(tackle), "chain": longer, "scope": round(rode / height, 3)}


def shore(place: Local, half: float) -> list[Local]:
    """The ends of a straight shore whose nearest point is that place, ``half`` m to each side."""
    north, east = place
    off = math.hypot(north, east) or 1.0
    across = (-east / off * half, north / off * half)
    return [(north - across[0], east - across[1]), (north + across[0], east + across[1])]


def ring(place: Local, radius: float, count: int = 6) -> list[Local]:
    """The corners of an even shoal about a place."""
    turns = [2 * math.pi * k / count for k in range(count)]
    return [(place[0] + radius * math.cos(turn), place[1] + radius * math.sin(turn)) for turn in turns]


def _positions(thing: Danger | Neighbour) -> tuple[Position, ...]:
    return thing.at if isinstance(thing, Danger) else (thing.at,)


def _position(place: Local, anchor: AnchorPlace | None) -> dict[str, Any]:
    if anchor is not None:
        latitude, longitude = (round(degrees, _PLACES) for degrees in to_place(*place, anchor.place))
        return {"latitude": quantity(latitude, "degree"), "longitude": quantity(longitude, "degree")}
    bearing = round(math.degrees(math.atan2(place[1], place[0])) % 360.0, _DEGREES) % 360.0
    distance = round(math.hypot(*place), _METRES)
    return {"bearing": quantity(bearing, "degree"), "distance": quantity(distance, "m")}


def _with(hazards: Surroundings, key: str, things: Sequence[Any]) -> Changes:
    """With some things in the place of one."""
    kind, _, place = key.partition(".")
    held = list(getattr(hazards, kind))
    held[int(place) : int(place) + 1] = things
    return {f"surroundings.{kind}": tuple(held)}


def read_place(typed: str) -> AnchorPlace | None:
    """A latitude and a longitude as people write them: 50.205 -4.5, or 50°12.3'N 4°30'W; None of nothing.

    Raises AnchorsimError where it is neither.
    """
    text = typed.strip()
    if not text:
        return None
    found = _LATITUDE_LONGITUDE.fullmatch(text.upper().replace("′", "'").replace("″", '"'))
    if found is None:
        raise _unread(typed)
    latitude, longitude = _degrees(found, "a"), _degrees(found, "o")
    minutes = [float(found[name] or 0.0) for name in ("am", "as", "om", "os")]
    if abs(latitude) > _MOST_NORTH or abs(longitude) > _MOST_EAST or max(minutes) >= _MINUTES:
        raise _unread(typed)
    return AnchorPlace(latitude=quantity(latitude, "degree"), longitude=quantity(longitude, "degree"))


def written(place: Place) -> str:
    """A latitude and a longitude in degrees and minutes, as a chart has them: ``50°12.300'N 4°30.000'W``."""
    return " ".join(_written(degrees, *ends) for degrees, ends in zip(place, ("NS", "EW"), strict=True))


def _written(degrees: float, plus: str, minus: str) -> str:
    whole, minutes = divmod(round(abs(degrees) * 60.0, 4), 60.0)
    return f"{whole:.0f}°{minutes:.4f}".rstrip("0").rstrip(".") + f"'{minus if degrees < 0 else plus}"


def _degrees(found: re.Match[str], which: str) -> float:
    parts = [float(found[f"{which}{unit}"] or 0.0) for unit in ("d", "m", "s")]
    size = abs(parts[0]) + parts[1] / 60.0 + parts[2] / 3600.0
    negative = found[f"{which}d"].startswith(("-", "−")) or found[f"{which}h"] in ("S", "W")
    return -size if negative else size


def _unread(typed: str) -> AnchorsimError:
    fits = "latitude and longitude in degrees, or in degrees and minutes"
    return AnchorsimError(
        f"surroundings.anchor: {sentence('the position cannot be read', fits, _AS, quoted(typed))}"
    )
