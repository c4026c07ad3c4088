"""A scenario: one frozen value that holds boat, tackle, spot and weather, and the paths into it."""

from __future__ import annotations

import os
import tempfile
import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import Any, Literal, NoReturn

import tomli_w
from pydantic import Field, PrivateAttr, ValidationError, model_validator

from anchorsim.boat import Boat
from anchorsim.seabed import Spot
from anchorsim.tables import Choice, catalogue, nearest
from anchorsim.tackle import Snubber, Tackle
from anchorsim.thing import Thing, complaint
from anchorsim.units import Measure, Quantity, System, parse, quantity, show, si
from anchorsim.weather import Weather

_LEAST_SCOPE = 1.2


class ScenarioError(ValueError):
    """A scenario that cannot be: one sentence for each thing wrong, each with the path of its field."""

    def __init__(self, problems: list[tuple[str, str]]) -> None:
        self.problems = tuple(problems)
        self.path = problems[0][0]
        super().__init__(
            "\n".join(f"{path}: {sentence}" if path else sentence for path, sentence in problems)
        )


class Scenario(Thing):
    """Boat, tackle, spot and weather.

    ``vary`` gives another scenario with some paths changed; ``load`` and ``save`` go through a TOML file in
    which every quantity carries its unit.
    """

    format: Literal[1] = 1
    title: str = Field(default="Unnamed scenario", max_length=200)
    boat: Boat = Field(default_factory=lambda: Boat.model_validate({}))
    tackle: Tackle = Field(default_factory=lambda: Tackle(snubber=Snubber(length=quantity(8.0, "m"))))
    spot: Spot = Field(default_factory=Spot)
    weather: Weather = Field(default_factory=Weather)
    _folder: Path | None = PrivateAttr(default=None)

    @model_validator(mode="after")
    def _reaches_the_bottom(self) -> Scenario:
        height, aboard = self.height, self.rode_aboard
        if aboard < _LEAST_SCOPE * height:
            raise complaint(
                "tackle.chain.length",
                f"the {aboard:.3g} m of rode aboard does not reach; needed at least {_LEAST_SCOPE * height:.3g} m, "
                f"{_LEAST_SCOPE:g} times the {height:.3g} m from the bottom to the roller; "
                "carry more chain or rope, or choose a shallower spot",
            )
        if si(self.boat.draught) > self.water_depth:
            raise complaint(
                "spot.depth",
                f"{self.water_depth:.3g} m of water is less than her draught; needed more than "
                f"{si(self.boat.draught):.3g} m; choose a deeper spot",
            )
        return self

    def __eq__(self, other: object) -> bool:
        """Scenarios are equal where all their fields are; the folder they were read from does not count."""
        if not isinstance(other, Scenario):
            return NotImplemented
        return all(getattr(self, name) == getattr(other, name) for name in Scenario.model_fields)

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

    @property
    def record_path(self) -> Path | None:
        """The file of the wind record, if any; its place is relative to the scenario's own file."""
        record = self.weather.record
        return None if record is None else (self._folder or Path()) / record

    def vary(self, changes: Mapping[str, Any]) -> Scenario:
        """This scenario with the given paths changed, ``{"tackle.scope": 7, "weather.mean_wind": "35 knot"}``.

        A new ``boat.model`` brings all of that boat's own figures.  Raises ScenarioError.
        """
        document = self.document()
        if "boat.model" in changes:
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
        """What is declared of the field at a path: label, unit, range or choices."""
        *parents, name = _known(path)
        thing: type[Thing] = cls
        for parent in parents:
            thing = _model(thing, parent) or thing
        return thing.declared()[name]

    def document(self) -> dict[str, Any]:
        """The scenario as nested plain values, as its file holds it: the boat by what differs from her model."""
        document = self.model_dump(mode="json", exclude_none=True)
        stock = catalogue()[self.boat.model]
        own = document["boat"]
        document["boat"] = {
            name: value
            for name, value in own.items()
            if name == "model" or not _same(stock.get(name), value, name)
        }
        return document

    def save(self, path: str | os.PathLike[str]) -> None:
        """Write the scenario's TOML file: whole or not at all.  Raises ScenarioError where that fails."""
        target = Path(path)
        try:
            with tempfile.NamedTemporaryFile(
                "wb", dir=target.parent, prefix=".", suffix=".tmp", delete=False
            ) as file:
                tomli_w.dump(self.document(), file)
                file.flush()
                os.fsync(file.fileno())
            Path(file.name).chmod(0o644)
            Path(file.name).replace(target)
        except OSError as error:
            raise ScenarioError(
                [("", f"{target} could not be written: {error.strerror}; choose another folder")]
            ) from None

    @classmethod
    def load(cls, path: str | os.PathLike[str]) -> Scenario:
        """Read a scenario's TOML file.  Raises ScenarioError with the path of each bad field."""
        source = Path(path)
        try:
            document = tomllib.loads(source.read_text(encoding="utf-8"))
        except OSError as error:
            _refuse(f"{source} could not be read: {error.strerror}; give the path of a scenario file")
        except UnicodeDecodeError:
            _refuse(f"{source} is not text in UTF-8; save it as plain UTF-8 text")
        except tomllib.TOMLDecodeError as error:
            _refuse(f"{source} is not a TOML file: {error}; mend that line")
        return _build(document, source.parent)


def _refuse(sentence: str) -> NoReturn:
    raise ScenarioError([("", sentence)]) from None


def _build(document: Mapping[str, Any], folder: Path | None) -> Scenario:
    try:
        scenario = Scenario.model_validate(document)
    except ValidationError as error:
        raise ScenarioError([_problem(entry) for entry in error.errors()]) from None
    scenario._folder = folder
    return scenario


def _problem(entry: Any) -> tuple[str, str]:
    """One error of the model as a path and a sentence."""
    parts = [str(part) for part in entry["loc"]]
    context = entry.get("ctx", {})
    if entry["type"] == "at":
        return ".".join([*parts, *filter(None, [context["path"]])]), context["sentence"]
    path, given = ".".join(parts), entry["input"]
    if entry["type"] == "value_error":
        return path, str(context["error"])
    if entry["type"] == "extra_forbidden":
        known = list((_model_at(parts[:-1]) or Scenario).model_fields)
        return (
            path,
            f"unknown key{nearest(parts[-1], known)}; needed one of {', '.join(known)}; was given {given!r}",
        )
    if entry["type"] == "literal_error":
        return path, f"{given!r} is not a choice; needed {context['expected']}"
    if entry["type"] == "missing":
        return path, "is missing; needed a value"
    if entry["type"] in ("model_type", "model_attributes_type", "dict_type"):
        return path, f"{given!r} is not a table of keys; needed [{path}] with its keys beneath"
    return path, f"{entry['msg'][0].lower()}{entry['msg'][1:]}; was given {given!r}"


def _model(thing: type[Thing], name: str) -> type[Thing] | None:
    info = thing.model_fields.get(name)
    inner = info.annotation if info else None
    return inner if isinstance(inner, type) and issubclass(inner, Thing) else None


def _model_at(parts: list[str]) -> type[Thing] | None:
    thing: type[Thing] | None = Scenario
    for part in parts:
        thing = _model(thing, part) if thing else None
    return thing


def _known(path: str) -> list[str]:
    """The names along a path, or an error that offers the nearest known one."""
    names = path.split(".")
    thing: type[Thing] | None = Scenario
    for name in names:
        if thing is None or name not in thing.model_fields:
            paths = list(_paths(Scenario, ""))
            raise ScenarioError(
                [(path, f"unknown path{nearest(path, paths)}; needed the path of a field of a scenario")]
            )
        thing = _model(thing, name)
    return names


def _paths(thing: type[Thing], prefix: str) -> list[str]:
    found: list[str] = []
    for name in thing.model_fields:
        inner = _model(thing, name)
        found += _paths(inner, f"{prefix}{name}.") if inner else [f"{prefix}{name}"]
    return found


def _set(document: dict[str, Any], path: str, value: Any) -> None:
    *parents, name = _known(path)
    for parent in parents:
        document = document.setdefault(parent, {})
    if value is None:
        document.pop(name, None)
    else:
        document[name] = value


def _same(stock: Any, value: Any, name: str) -> bool:
    """Whether a figure of the boat is her model's own (or, where the model is silent, the default)."""
    if stock is None:
        default = Boat.model_fields[name].get_default()
        return bool(si(default) == si(parse(value)) if isinstance(default, Quantity) else default == value)
    if isinstance(stock, str) and isinstance(Boat.declared().get(name), Measure):
        return si(parse(stock)) == si(parse(value))
    return bool(stock == value)


def short_of_rode(scenario: Scenario, system: System = "metric") -> str | None:
    """The sentence that says she has not as much rode as the scope asks for, or None."""
    asked = scenario.tackle.scope * scenario.height
    if asked <= scenario.rode_aboard * (1 + 1e-9):
        return None
    lengths = [show(quantity(length, "m"), "m", system) for length in (asked, scenario.rode_aboard)]
    return (
        f"A scope of {scenario.tackle.scope:.3g} asks for {lengths[0]} of rode here, but she carries {lengths[1]}: "
        f"all of it is out, which gives {scenario.scope_achieved:.2g}."
    )
