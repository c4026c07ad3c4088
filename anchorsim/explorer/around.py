"""What lies round her, put, moved and typed by hand, read from a file, or taken over with another's place."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any, Protocol

import ipywidgets as widgets

from anchorsim.core.errors import AnchorsimError
from anchorsim.core.tables import catalogue
from anchorsim.core.units import System, quantity, si, unit_in
from anchorsim.explorer.files import kept, listed
from anchorsim.explorer.kept import SetUp
from anchorsim.explorer.parts.around import Around
from anchorsim.risk.assessment import Assessment
from anchorsim.risk.clearances import around, kind_of
from anchorsim.risk.geojson import read_dangers
from anchorsim.scenario import placing
from anchorsim.scenario.hazards import Danger, Neighbour
from anchorsim.scenario.placing import Local
from anchorsim.scenario.scenario import Scenario, ScenarioError
from anchorsim.wording import around as wording
from anchorsim.wording.terms import local

_SHOAL, _SHORE = 12.0, 1.0  # m, radius of a shoal as put; half a shore's length over its distance
_BEYOND = 15.0  # m beyond what she reaches, where a thing is put without the picture
_CHARTED = 1.0  # m over a shoal as put


class Surrounded(Protocol):
    """The explorer, as far as what lies round her goes."""

    system: System
    assessment: Assessment | None

    @property
    def wanted(self) -> Scenario: ...
    @property
    def kept(self) -> tuple[SetUp, ...]: ...
    def turn_to(self, scenario: Scenario, moved: str = "") -> None: ...
    def refuse(self, error: Exception) -> None: ...


class RoundHer:
    """The widgets of the group, and what they do to the scenario on screen."""

    def __init__(self, screen: Surrounded, over: Callable[[Callable[[], None]], None]) -> None:
        self._screen = screen
        self.part = Around()
        self.bring = widgets.FileUpload(accept=".geojson,.json", description="Open dangers (GeoJSON)")
        self.anchor = widgets.Text(
            description="Anchor at",
            placeholder="50°12.3'N 4°30.1'W",
            tooltip="Latitude and longitude (WGS 84); only charts and GeoJSON need it",
            continuous_update=False,
            layout={"width": "auto"},
            style={"description_width": "92px"},
        )
        self.place = widgets.Dropdown(
            description="Use place of",
            tooltip="Use the anchorage of another set-up or file, with its dangers and neighbours",
            options=[(wording.PLACE, None)],
            layout={"width": "auto"},
            style={"description_width": "92px"},
        )
        self._showing = False
        self.widgets: list[widgets.Widget] = [self.part, self.place, self.anchor, self.bring]
        self.part.on_msg(lambda _, content, __: over(lambda: self._do(content)))
        self.bring.observe(lambda change: over(lambda: self._bring(change["new"])), "value")
        self.anchor.observe(lambda change: over(lambda: self._set_anchor(change["new"])), "value")
        self.place.observe(lambda change: over(lambda: self._use(change["new"])), "value")

    def show(self) -> None:
        """Put what lies round the scenario on screen into the rows and the picture."""
        scenario, system, found = self._screen.wanted, self._screen.system, self._screen.assessment
        unit, anchor = unit_in("m", system), scenario.surroundings.anchor
        self._showing = True
        try:
            with self.part.hold_sync():
                self.part.unit, self.part.per = unit, float(quantity(1.0, "m").m_as(unit))
                self.part.words = _local(wording.WORDS, system)
                self.part.boats = [[model, str(row["name"])] for model, row in catalogue().items()]
                self.part.things = things(scenario, found, system)
            self.anchor.value = "" if anchor is None else placing.written(anchor.place)
            self._list()
        finally:
            self._showing = False

    def _list(self) -> None:
        kept = [(f"{one.letter}: {one.name}", one.scenario) for one in self._screen.kept]
        options = [(wording.PLACE, None), *kept, *listed("toml")]
        if [name for name, _ in options] != [option[0] for option in self.place.options]:
            self.place.options = options
        self.place.value = None

    def _do(self, content: Mapping[str, Any]) -> None:
        act = {"put": self._put, "move": self._move, "set": self._set, "remove": self._remove}
        scenario = self._screen.wanted
        try:
            if content.get("do") in act:
                changes, moved = act[content["do"]](scenario, content)
                self._screen.turn_to(scenario.vary(changes), moved)
        except ScenarioError as error:
            self._screen.refuse(error)
            self.part.send({"do": "again"})
        except KeyError:  # of a thing that was taken away meanwhile
            self.part.send({"do": "again"})

    def _put(self, scenario: Scenario, content: Mapping[str, Any]) -> tuple[placing.Changes, str]:
        kind, hazards = str(content["kind"]), scenario.surroundings
        place = _local_of(content["at"]) if content.get("at") else _to_leeward(scenario)
        taken = [*(one.name for one in hazards.dangers), *(one.name for one in hazards.neighbours)]
        name = wording.named(kind, taken)
        if kind == "neighbour":
            return placing.with_neighbour(hazards, name, place), ""
        far = math.hypot(*place)
        if kind == "line":
            return placing.with_danger(hazards, name, placing.shore(place, _SHORE * far), kind), ""
        if kind == "area":
            ring = placing.ring(place, min(_SHOAL, 0.6 * far))
            return placing.with_danger(hazards, name, ring, kind, _CHARTED), ""
        return placing.with_danger(hazards, name, [place], "point"), ""

    def _move(self, scenario: Scenario, content: Mapping[str, Any]) -> tuple[placing.Changes, str]:
        key, places = content["key"], [_local_of(place) for place in content["corners"]]
        moved = f"{key} by keys" if content.get("keys") else ""
        return placing.placed(scenario.surroundings, key, places), moved

    def _remove(self, scenario: Scenario, content: Mapping[str, Any]) -> tuple[placing.Changes, str]:
        return placing.removed(scenario.surroundings, content["key"]), ""

    def _set(self, scenario: Scenario, content: Mapping[str, Any]) -> tuple[placing.Changes, str]:
        key, field, value = content["key"], content["field"], content["value"]
        hazards, unit = scenario.surroundings, unit_in("m", self._screen.system)
        thing = placing.found(hazards, key)
        if field in ("bearing", "distance"):
            shape, places = placing.shape_of(thing), placing.corners(hazards, key)
            north, east = placing.nearest(places, shape)
            bearing, far = math.atan2(east, north), math.hypot(north, east)
            if field == "bearing":
                bearing = math.radians(value)
            else:
                far = si(quantity(value, unit))
            changes = placing.placed(hazards, key, placing.brought(places, shape, bearing, far))
        elif field == "rode" and isinstance(thing, Neighbour):
            height = around(scenario).neighbours[int(key.partition(".")[2])][0].height
            tackle = placing.let_out(thing, si(quantity(value, unit)), height)
            changes = placing.changed(hazards, key, tackle=tackle)
        elif field == "depth":
            changes = placing.changed(hazards, key, depth=None if value is None else quantity(value, unit))
        elif field == "boat":
            changes = placing.changed(hazards, key, boat={"model": value})
        else:
            changes = placing.changed(hazards, key, name=value)
        return changes, ""

    def _set_anchor(self, typed: str) -> None:
        if self._showing:
            return
        try:
            self._vary({"surroundings.anchor": placing.read_place(typed)})
        except AnchorsimError as error:
            self._screen.refuse(error)

    def _bring(self, uploaded: tuple[dict[str, Any], ...]) -> None:
        try:
            path = kept(uploaded, "dangers")
            if path is not None:
                held = self._screen.wanted.surroundings.dangers
                new = tuple(one for one in read_dangers(path) if one not in held)
                self._vary({"surroundings.dangers": (*held, *new)})
        except AnchorsimError as error:
            self._screen.refuse(error)

    def _use(self, other: Scenario | Path | None) -> None:
        if other is None or self._showing:
            return
        try:
            read = Scenario.load(other) if isinstance(other, Path) else other
            self._vary({"spot": read.spot, "surroundings": read.surroundings})
        except AnchorsimError as error:
            self._screen.refuse(error)

    def _vary(self, changes: placing.Changes) -> None:
        self._screen.turn_to(self._screen.wanted.vary(changes))


def things(scenario: Scenario, found: Assessment | None, system: System) -> list[dict[str, Any]]:
    """What lies round her, as the rows and the picture take it."""
    notes = _notes(scenario, found, system)
    unit = unit_in("m", system)
    hazards = scenario.surroundings
    try:
        rodes = [other.paid_out for other, _ in around(scenario).neighbours]
    except ScenarioError:
        rodes = []
    told = [_thing(scenario, f"dangers.{place}", unit) for place in range(len(hazards.dangers))]
    for place, other in enumerate(hazards.neighbours):
        boat = {"boat": other.boat.model, "rode": _in(rodes[place], unit) if rodes else None}
        told.append({**_thing(scenario, f"neighbours.{place}", unit), **boat})
    for one in told:
        one["note"], one["tone"] = notes.get(one["key"], ("", "none"))
    return told


def _thing(scenario: Scenario, key: str, unit: str) -> dict[str, Any]:
    hazards = scenario.surroundings
    thing, places = placing.found(hazards, key), placing.corners(hazards, key)
    shape = placing.shape_of(thing)
    north, east = placing.nearest(places, shape)
    depth = thing.depth if isinstance(thing, Danger) else None
    return {
        "key": key,
        "kind": shape if isinstance(thing, Danger) else "neighbour",
        "name": thing.name,
        "corners": [list(place) for place in places],
        "at": [north, east],
        "bearing": round(math.degrees(math.atan2(east, north)) % 360.0, 1) % 360.0,
        "distance": _in(math.hypot(north, east), unit),
        "depth": None if depth is None else _in(si(depth), unit),
        "boat": None,
        "rode": None,
    }


def _notes(scenario: Scenario, found: Assessment | None, system: System) -> dict[str, tuple[str, str]]:
    """How she clears each, by its name in the surroundings."""
    hazards = scenario.surroundings
    met = [kind_of(scenario, danger) is not None for danger in hazards.dangers]
    notes: dict[str, tuple[str, str]] = {
        f"dangers.{place}": (wording.AFLOAT, "ok") for place, meets in enumerate(met) if not meets
    }
    if found is None or found.scenario != scenario:
        return notes
    clearances, others = found.clearances, len(hazards.neighbours)
    keys = [f"dangers.{place}" for place, meets in enumerate(met) if meets]
    notes |= {key: wording.clears(one, system) for key, one in zip(keys, clearances, strict=False)}
    last = clearances[len(clearances) - others :]
    return notes | {f"neighbours.{k}": wording.clears(one, system) for k, one in enumerate(last)}


def _in(metres: float, unit: str) -> float:
    return round(float(quantity(metres, "m").m_as(unit)), 1)


def _local_of(place: Any) -> Local:
    north, east = place
    return float(north), float(east)


def _to_leeward(scenario: Scenario) -> Local:
    """Down the wind from the anchor, beyond what she reaches."""
    far = scenario.paid_out + si(scenario.boat.length) + _BEYOND
    blows_to = si(scenario.weather.direction) + math.pi
    return far * math.cos(blows_to), far * math.sin(blows_to)


def _local(words: Any, system: System) -> Any:
    if isinstance(words, str):
        return local(words, system)
    return {key: _local(value, system) for key, value in words.items()}
