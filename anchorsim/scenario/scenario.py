"""A scenario: one frozen value that holds boat, tackle, spot and weather, and the paths into it."""

from __future__ import annotations

import functools
import math
import os
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any, get_args, get_origin

from pydantic import Field, PrivateAttr, ValidationError, field_validator, model_validator

from anchorsim.core.model import Problem, Thing, refuse
from anchorsim.core.tables import Choice, nearest
from anchorsim.core.toml_file import read_toml, relative, write_toml
from anchorsim.core.units import Measure, System, quantity, show, si, told, unit_name
from anchorsim.environment.wind_record import WindRecord
from anchorsim.scenario.findings import Survey
from anchorsim.scenario.hazards import Surroundings
from anchorsim.scenario.site import Spot
from anchorsim.scenario.tackle import Snubber, Tackle
from anchorsim.scenario.vessel import Boat
from anchorsim.scenario.weather import Weather, hard_wind

_LEAST_SCOPE = 1.2
_ROUNDING = 0.9995  # a limit as it is shown, to four digits, still counts


class ScenarioError(ValueError):
    """A scenario that cannot be: one line for each thing wrong, each with the path of its field.

    ``problems`` holds them as (path, sentence); the path is empty where a file as a whole is wrong.
    """

    def __init__(self, problems: Sequence[Problem]) -> None:
        self.problems = tuple(problems)
        self.path = self.problems[0][0]
        super().__init__(self.problems)

    def __str__(self) -> str:
        return "\n".join(f"{path}: {sentence}" if path else sentence for path, sentence in self.problems)


class Scenario(Thing):
    """Boat, tackle, spot and weather.

    ``vary`` gives another scenario with some paths changed; ``load`` and ``save`` go through a TOML file.
    The file holds ``format = 1``, a title and the tables boat, tackle (with anchor, chain, rope and snubber),
    spot and weather.  Quantities are texts with their unit, ``depth = "6 m"``; what is left out takes its
    default (a whole tackle left out comes with a snubber); of the boat it holds her model and what differs
    from it; a key that is not known is refused.
    """

    format: int = 1
    title: str = Field(default="Unnamed scenario", max_length=200)
    boat: Boat = Field(default_factory=lambda: Boat.model_validate({}))
    tackle: Tackle = Field(default_factory=lambda: Tackle(snubber=Snubber(length=quantity(8.0, "m"))))
    spot: Spot = Field(default_factory=Spot)
    weather: Weather = Field(default_factory=Weather)
    survey: Survey = Survey()
    surroundings: Surroundings = Surroundings()
    _folder: Path | None = PrivateAttr(default=None)

    @field_validator("format", mode="before")
    @classmethod
    def _one_that_is_read(cls, given: Any) -> Any:
        if type(given) is int and given == 1:
            return given
        raise ValueError(
            f"{told(given)} is not a format that this version of anchorsim reads; needed 1; "
            "write format = 1, or read the file with a newer version"
        )

    @model_validator(mode="after")
    def _in_her_depth(self) -> Scenario:
        problems, least = [], _LEAST_SCOPE * self.height
        if self.rode_aboard < least * _ROUNDING:
            path = "tackle.chain.length" if si(self.tackle.chain.length) > 0 else "tackle.rope.length"
            problems.append((path, (
                f"the {self._shown(self.rode_aboard)} of rode aboard does not reach; "
                f"needed {self._shown(least)} at the least, {_LEAST_SCOPE:g} times the "
                f"{self._shown(self.height)} from the bottom to the bow roller; "
                "carry more chain or rope, or choose a shallower spot"
            )))  # fmt: skip
        draught = si(self.boat.draught)
        if draught * _ROUNDING > self.water_depth:
            problems.append(("spot.depth", (
                f"she draws {self._shown(draught)} and takes the ground in "
                f"{self._shown(self.water_depth)} of water; "
                f"needed {self._shown(draught)} with the tide at the least; choose a deeper spot"
            )))  # fmt: skip
        if self.weather.record is None:
            problems += self.shelving(min(self.slopes()))
        refuse(problems)
        return self

    def _shown(self, length: float) -> str:
        """A length in metres as an error tells it: in the unit of the depth."""
        return show(quantity(length, "m"), unit_name(self.spot.depth), digits=4)

    def __eq__(self, other: object) -> bool:
        """Scenarios are equal where all their fields are; the folder they were read from does not count."""
        if not isinstance(other, Scenario):
            return NotImplemented
        return all(getattr(self, name) == getattr(other, name) for name in Scenario.model_fields)

    def __hash__(self) -> int:
        return hash(tuple(getattr(self, name) for name in Scenario.model_fields))

    @property
    def water_depth(self) -> float:
        """Depth of water now, m: charted depth and tide."""
        return si(self.spot.depth) + si(self.spot.tide)

    @property
    def height(self) -> float:
        """Height of the bow roller above the bottom, m: what scope is measured by."""
        return self.water_depth + si(self.boat.bow_height)

    @property
    def rode_aboard(self) -> float:
        """Chain and rope aboard, m."""
        return si(self.tackle.chain.length) + si(self.tackle.rope.length)

    @property
    def paid_out(self) -> float:
        """Length from roller to anchor, m: what the scope asks for, as far as the rode aboard goes."""
        return min(self.tackle.scope * self.height, self.rode_aboard)

    @property
    def scope_achieved(self) -> float:
        """Length paid out over the height of the roller above the bottom."""
        return self.paid_out / self.height

    def slopes(self, record: WindRecord | None = None) -> list[float]:
        """Angles (rad) at which the bottom rises from the anchor to where she may lie; below 0: falls.

        That is where the wind blows to while it is hard, and where a strong current sets.  ``record`` is
        needed where the weather names one and the bottom slopes.
        """
        if si(self.spot.slope) == 0.0:
            return [0.0]
        greatest, ways = hard_wind(self.weather, record)
        current, towards = si(self.spot.current), si(self.spot.current_set)
        return self.spot.slopes_towards(greatest, ways.tolist(), current, towards)

    def shelving(self, slope: float) -> list[Problem]:
        """What is wrong with a slope along the pull (rad): the bottom may come out of the water."""
        if math.sin(slope) * self.paid_out <= _ROUNDING * self.water_depth:
            return []
        angles = slope, math.asin(min(self.water_depth / self.paid_out, 1.0))
        given, most = (show(quantity(angle, "radian"), "degree", digits=3) for angle in angles)
        return [("spot.slope", (
            f"rising by {given} towards her in this wind, the bottom comes out of the water within the "
            f"{self._shown(self.paid_out)} of rode that is out; needed less than {most} there; let out less, "
            "or anchor where it shelves less"
        ))]  # fmt: skip

    @property
    def folder(self) -> Path | None:
        """The folder of the file that it was read from, which its paths are relative to; None without one."""
        return self._folder

    @property
    def record_path(self) -> Path | None:
        """The file of the wind record, if any; its place is relative to the scenario's own file."""
        record = self.weather.record
        return None if record is None else (self._folder or Path()) / record

    def vary(self, changes: Mapping[str, Any]) -> Scenario:
        """This scenario with paths changed, ``{"tackle.scope": 7, "weather.mean_wind": "35 knot"}``.

        A value is what the file would hold, a quantity or a thing; None stands for what a file that is silent
        there means.  A new ``boat.model`` brings all of that boat's own figures.  Raises ScenarioError.
        """
        document: dict[str, Any] = dict(self)
        if changes.get("boat.model", self.boat.model) != self.boat.model:
            document["boat"] = {}
        for path, value in changes.items():
            _set(document, path, value)
        return _build(document, self._folder)

    def get(self, path: str) -> Any:
        """The value at a path.  Raises ScenarioError where there is no such path."""
        value: Any = self
        for name in _known(path):
            value = getattr(value, name)
        return value

    @classmethod
    def declaration(cls, path: str) -> Measure | Choice:
        """What is declared of the field at a path: label, unit, range or choices.

        Raises ScenarioError where there is no such path, or it leads to neither a quantity nor a choice.
        """
        *parents, name = _known(path)
        thing = _model_at(parents) or cls
        if name not in thing.declared():
            sentence = "has no unit or table; needed a quantity or a name out of a table; name another path"
            raise ScenarioError([(path, sentence)])
        return thing.declared()[name]

    def document(self) -> dict[str, Any]:
        """The scenario as nested plain values, as its file holds it.

        Of the boat it holds what differs from her model, of fittings, survey and surroundings what is not
        default.
        """
        document = self.model_dump(mode="json", exclude_none=True)
        stock = _stock(self.boat.model)
        document["boat"] = {
            name: value
            for name, value in document["boat"].items()
            if name == "model" or getattr(self.boat, name) != getattr(stock, name)
        }
        if not self.spot.fetches:
            del document["spot"]["fetches"]
        for holder, name, thing in (
            (document["tackle"], "fittings", self.tackle.fittings),
            (document, "survey", self.survey),
            (document, "surroundings", self.surroundings),
        ):
            del holder[name]
            if changed := thing.model_dump(mode="json", exclude_none=True, exclude_defaults=True):
                holder[name] = changed
        return document

    def save(self, path: str | os.PathLike[str]) -> None:
        """Write the scenario's TOML file: whole or not at all.  Raises ScenarioError where that fails.

        A wind record in the file's folder is named relative to it, so that the two can be moved together.
        """
        target = Path(path)
        document = self.document()
        if self.record_path is not None:
            document["weather"]["record"] = self._record_from(self.record_path, target.parent.absolute())
        try:
            write_toml(target, document)
        except ValueError as error:
            raise ScenarioError([("", str(error))]) from None

    def _record_from(self, record: Path, folder: Path) -> str:
        given = str(self.weather.record)
        return (
            given if Path(given).is_absolute() and folder not in record.parents else relative(record, folder)
        )

    @classmethod
    def load(cls, path: str | os.PathLike[str]) -> Scenario:
        """Read a scenario's TOML file.  Raises ScenarioError with the path of each bad field."""
        source = Path(path)
        try:
            document = read_toml(source)
        except ValueError as error:
            raise ScenarioError([("", str(error))]) from None
        return _build(document, source.parent.absolute())


@functools.cache
def _stock(model: str) -> Boat:
    return Boat.model_validate({"model": model})


def _build(document: Mapping[str, Any], folder: Path | None) -> Scenario:
    try:
        scenario = Scenario.model_validate(document)
    except ValidationError as error:
        raise ScenarioError([problem for entry in error.errors() for problem in _problems(entry)]) from None
    scenario._folder = folder
    return scenario


def _problems(entry: Any) -> list[Problem]:
    """One error of the model as paths and sentences."""
    parts = [part if part.isprintable() else told(part) for part in map(str, entry["loc"])]
    if entry["type"] != "at":
        return [(".".join(parts), _sentence(entry, parts))]
    context = entry["ctx"]
    found = [(context["path"], context["sentence"]), *context["more"]]
    return [(".".join([*parts, *filter(None, [path])]), sentence) for path, sentence in found]


def _sentence(entry: Any, parts: list[str]) -> str:
    given, context = told(entry["input"]), entry.get("ctx", {})
    if entry["type"] == "value_error":
        return str(context["error"])
    if entry["type"] == "extra_forbidden":
        known = list((_model_at(parts[:-1]) or Scenario).model_fields)
        near = nearest(parts[-1], known)
        return f"unknown key, was given {given}; needed one of {', '.join(known)}{near}; mend it or drop it"
    if "max_length" in context:
        unit = " characters" if isinstance(entry["input"], str) else ""
        length, most = len(entry["input"]), context["max_length"]
        return f"{given} is {length}{unit} long; needed {most}{unit} at the most; shorten it"
    listed = [part for part in parts if not part.isdigit()]
    heading = f"[{'.'.join(listed)}]" if listed == parts else f"[[{'.'.join(listed)}]]"
    plain = {
        "missing": "nothing is given; needed a value; write one",
        "string_type": "is not text; needed text; put it in quotation marks",
        "tuple_type": "is not a list; needed a list; put it in brackets",
        "too_short": "is blank; needed some text; write it or drop it",
        "model_type": f"is not a table of keys; needed a heading {heading} and keys beneath it; write it so",
    }
    wrong = plain.get(entry["type"], f"cannot stand here; needed {entry['msg']}; change it")
    return wrong if entry["type"] == "missing" else f"{given} {wrong}"


def _model(thing: type[Thing], name: str) -> type[Thing] | None:
    info = thing.model_fields.get(name)
    inner = info.annotation if info else None
    return inner if isinstance(inner, type) and issubclass(inner, Thing) else None


def _model_at(parts: list[str]) -> type[Thing] | None:
    thing: type[Thing] | None = Scenario
    for part in parts:
        if thing and not part.isdigit():
            thing = _model(thing, part) or _listed(thing, part)
    return thing


def _listed(thing: type[Thing], name: str) -> type[Thing] | None:
    """What a field holds several of, such as the findings of a survey."""
    info = thing.model_fields.get(name)
    inner = get_args(info.annotation)[:1] if info and get_origin(info.annotation) is tuple else ()
    return next((kind for kind in inner if isinstance(kind, type) and issubclass(kind, Thing)), None)


def _known(path: str) -> list[str]:
    """The names along a path, or an error that offers the nearest known one."""
    names = path.split(".")
    thing: type[Thing] | None = Scenario
    for name in names:
        if thing is None or name not in thing.model_fields:
            near = nearest(path, list(_paths(Scenario, "")))
            sentence = f"unknown path; needed the path of a field, such as tackle.scope{near}; mend it"
            raise ScenarioError([(path, sentence)])
        thing = _model(thing, name)
    return names


def _paths(thing: type[Thing], prefix: str) -> Iterator[str]:
    for name in thing.model_fields:
        inner = _model(thing, name)
        yield f"{prefix}{name}"
        if inner:
            yield from _paths(inner, f"{prefix}{name}.")


def _set(document: dict[str, Any], path: str, value: Any) -> None:
    *parents, name = _known(path)
    for parent in parents:
        inner = document.get(parent, {})
        document[parent] = dict(inner) if isinstance(inner, Thing | Mapping) else {}
        document = document[parent]
    if value is None:
        document.pop(name, None)
    else:
        document[name] = value


def short_of_rode(scenario: Scenario, system: System = "metric") -> str | None:
    """The sentence that says she has not as much rode as the scope asks for, or None."""
    asked = scenario.tackle.scope * scenario.height
    if asked <= scenario.rode_aboard * (1 + 1e-9):
        return None
    lengths = [show(quantity(length, "m"), "m", system) for length in (asked, scenario.rode_aboard)]
    return (
        f"A scope of {scenario.tackle.scope:.3g} asks for {lengths[0]} of rode here, but she carries "
        f"{lengths[1]}: all of it is out, which gives {scenario.scope_achieved:.2g}."
    )
