"""What lies round the anchor: dangers, depths, and neighbours on their own rodes.

It stands at ``scenario.surroundings``; in a file the dangers are tables ``[[surroundings.dangers]]`` and the
neighbours ``[[surroundings.neighbours]]``.  What comes of it is told by ``swinging_room``.
"""

from __future__ import annotations

import math
import unicodedata
from typing import Annotated, Any

from pydantic import BeforeValidator, Field, WrapValidator, field_serializer, model_validator

from anchorsim.core.errors import AnchorsimError, sentence
from anchorsim.core.model import OneOf, Problem, Thing, complaint, refuse
from anchorsim.core.reading import POSITIONS
from anchorsim.core.units import Measure, Quantity, quantity, quoted, si
from anchorsim.numerics.geodesy import Place, to_local
from anchorsim.scenario.tackle import Tackle
from anchorsim.scenario.vessel import Boat

SHAPES = {"point": 1, "line": 2, "area": 3}  # and how many positions each takes at the least
_FARTHEST = 30 * 1852.0  # m from the anchor: beyond it a sign or a degree was mistaken (judgement)
_MOST = 200  # dangers or neighbours
MOST_POSITIONS = 2000
_EARTH = 6371008.8  # m, mean radius (IUGG)

_optional = WrapValidator(lambda given, read: None if given is None else read(given))


def _one_line(given: Any) -> Any:
    if isinstance(given, str) and any(unicodedata.category(character) in ("Cc", "Cs") for character in given):
        wrong = f"{quoted(given)} holds a control character"
        raise AnchorsimError(sentence(wrong, "one line of text", "delete it"))
    return given


Name = Annotated[str, BeforeValidator(_one_line), Field(max_length=200)]
Latitude = Measure("Latitude", "degree", -90, 90, 0.0001, "north positive, WGS 84")
Longitude = Measure("Longitude", "degree", -180, 180, 0.0001, "east positive, WGS 84")


class AnchorPlace(Thing):
    """Where the anchor was let go, by latitude and longitude (WGS 84)."""

    latitude: Annotated[Quantity, Latitude]
    longitude: Annotated[Quantity, Longitude]

    @property
    def place(self) -> Place:
        """Degrees north and east."""
        return float(self.latitude.m_as("degree")), float(self.longitude.m_as("degree"))


class Position(Thing):
    """A place by bearing and distance from where the anchor was let go, or by latitude and longitude."""

    bearing: Annotated[
        Quantity | None, Measure("Bearing from the anchor", "degree", 0, 360, 1, "true"), _optional
    ] = None
    distance: Annotated[Quantity | None, Measure("Distance from the anchor", "m", 0, 20000, 1), _optional] = (
        None
    )
    latitude: Annotated[Quantity | None, Latitude, _optional] = None
    longitude: Annotated[Quantity | None, Longitude, _optional] = None

    @model_validator(mode="after")
    def _one_way(self) -> Position:
        given = [name for name in type(self).model_fields if getattr(self, name) is not None]
        if given not in (["bearing", "distance"], ["latitude", "longitude"]):
            advice = 'write two of them, for example {bearing = "40 degree", distance = "60 m"}'
            fits, got = "bearing and distance, or latitude and longitude", " and ".join(given) or "neither"
            raise complaint("", sentence("the position is not complete", fits, advice, got))
        return self

    @property
    def place(self) -> Place | None:
        """Degrees north and east, or None where it is given from the anchor."""
        if self.latitude is None or self.longitude is None:
            return None
        return float(self.latitude.m_as("degree")), float(self.longitude.m_as("degree"))

    def local(self, anchor: AnchorPlace | None) -> tuple[float, float]:
        """Metres north and east of the anchor."""
        if self.bearing is not None and self.distance is not None:
            bearing, distance = si(self.bearing), si(self.distance)
            return distance * math.cos(bearing), distance * math.sin(bearing)
        assert self.place is not None and anchor is not None
        return to_local(self.place, anchor.place)


class Danger(Thing):
    """What she must not come to: a point, a line or an area.

    ``depth``: charted depth over it (drying heights negative); it is then a danger only where she draws more
    than that and the height of the tide at low water.  Without a depth, she must never come to it.
    """

    name: Name = "Danger"
    shape: Annotated[str, OneOf("", tuple(SHAPES))] = "point"
    depth: Annotated[Quantity | None, Measure("Charted depth over it", "m", -20, 100, 0.1), _optional] = None
    at: Annotated[tuple[Position, ...], Field(max_length=MOST_POSITIONS)] = ()

    @model_validator(mode="after")
    def _enough_places(self) -> Danger:
        needed = SHAPES[self.shape]
        if len(self.at) < needed or (needed == 1 and len(self.at) > 1):
            some = "1 position" if needed == 1 else f"at least {needed} positions"
            advice = (
                "write them as at = [{…}, {…}]" if len(self.at) < needed else 'make it a "line" or an "area"'
            )
            wrong = f"{len(self.at)} positions do not make {_article(self.shape)}"
            raise complaint("at", sentence(wrong, some, advice))
        return self


def _article(shape: str) -> str:
    return f"an {shape}" if shape == "area" else f"a {shape}"


class Neighbour(Thing):
    """A boat at an anchor of her own, in the same spot and the same wind; ``at`` is where her anchor lies."""

    name: Name = "Neighbour"
    at: Position
    boat: Boat = Field(default_factory=lambda: Boat.model_validate({}))
    tackle: Tackle = Field(default_factory=Tackle)

    @field_serializer("boat")
    def _what_differs(self, boat: Boat) -> dict[str, Any]:
        """As in a scenario's own file: her model, and what differs from it."""
        stock, held = Boat.model_validate({"model": boat.model}), boat.model_dump(mode="json")
        differs = {name for name in held if getattr(boat, name) != getattr(stock, name)}
        return {name: value for name, value in held.items() if name in differs or name == "model"}


class Surroundings(Thing):
    """The surroundings of the anchor.

    ``anchor`` is needed only where something is given by latitude and longitude.  ``low_water`` is the height
    of the tide, above the datum of the charted depths, at the lowest that is to be expected.
    """

    anchor: AnchorPlace | None = None
    low_water: Annotated[Quantity, Measure("Height of tide at low water", "m", 0, 15, 0.1)] = quantity(
        0.0, "m"
    )
    dangers: Annotated[tuple[Danger, ...], Field(max_length=_MOST)] = ()
    neighbours: Annotated[tuple[Neighbour, ...], Field(max_length=_MOST)] = ()

    @model_validator(mode="after")
    def _within_reach(self) -> Surroundings:
        count = sum(len(danger.at) for danger in self.dangers)
        if count > POSITIONS:
            wrong, advice = "too many positions in all dangers together", "leave out those farther off"
            raise complaint("dangers", sentence(wrong, f"at most {POSITIONS}", advice, got=str(count)))
        positions = [
            (f"dangers.{i}.at.{j}", position)
            for i, danger in enumerate(self.dangers)
            for j, position in enumerate(danger.at)
        ]
        positions += [(f"neighbours.{i}.at", neighbour.at) for i, neighbour in enumerate(self.neighbours)]
        refuse(
            [problem for path, position in positions for problem in _misplaced(path, position, self.anchor)]
        )
        return self


def _misplaced(path: str, position: Position, anchor: AnchorPlace | None) -> list[Problem]:
    if position.place is None:
        return []
    if anchor is None:
        said = sentence(
            "a latitude without that of the anchor",
            "the anchor's own position too",
            "give surroundings.anchor its latitude and longitude, or give bearing and distance",
        )
        return [(f"{path}.latitude", said)]
    (north, east), (own_north, own_east) = position.place, anchor.place
    across = math.remainder(east - own_east, 360.0) * math.cos(math.radians(own_north))
    far = math.radians(math.hypot(north - own_north, across)) * _EARTH
    if far <= _FARTHEST:
        return []
    said = sentence(
        "too far from the anchor",
        f"at most {_FARTHEST / 1852:.0f} nautical miles",
        "look for a wrong sign (west and south are negative) or a wrong degree",
        got=f"{far / 1852:.0f}",
    )
    return [(f"{path}.latitude", said)]
