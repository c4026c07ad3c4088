"""A scenario: one frozen value that holds boat, tackle, spot and weather, and the paths into it."""

from __future__ import annotations

import functools
import math
import os
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from pydantic import Field, PrivateAttr, ValidationError, field_validator, model_validator

from anchorsim.core import display
from anchorsim.core.errors import AnchorsimError, sentence
from anchorsim.core.model import Problem, Thing, refuse
from anchorsim.core.tables import Choice
from anchorsim.core.toml_file import read_toml, toml
from anchorsim.core.units import Measure, quantity, quoted, si, unit_name, write, write_in
from anchorsim.core.writing import write_whole
from anchorsim.environment.wind_record import WindRecord
from anchorsim.scenario import paths
from anchorsim.scenario.findings import Survey
from anchorsim.scenario.hazards import Surroundings
from anchorsim.scenario.recorded_wind import record_for
from anchorsim.scenario.site import Spot
from anchorsim.scenario.tackle import Snubber, Tackle
from anchorsim.scenario.vessel import Boat
from anchorsim.scenario.weather import Weather, hard_wind

_LEAST_SCOPE = 1.2
_UNMARKED = sentence("missing", "format = 1, as the first line of a scenario file", "write it there")
_ROUNDING = 0.9995  # a limit as it is shown, to four digits, still counts


class ScenarioError(AnchorsimError):
    """A scenario that does not fit together: a line for each thing wrong, with the path of its field.

    Attributes
    ----------
    problems : tuple of (str, str)
        Path and sentence of each; the path is empty where a file as a whole is wrong.
    path : str
        The first of the paths.

    Examples
    --------
    >>> try:
    ...     Scenario().vary({"spot.depth": "6"})
    ... except ScenarioError as error:
    ...     print(error)
    spot.depth (Charted depth): "6" has no unit. Expected 0.5 to 60 m. Write for example "12.5 m".
    """

    def __init__(self, problems: Sequence[Problem]) -> None:
        self.problems = tuple(problems)
        self.path = self.problems[0][0]
        super().__init__(self.problems)

    def __str__(self) -> str:
        return paths.lines(Scenario, self.problems)


class Scenario(Thing):
    """One frozen value: boat, ground tackle, anchorage, weather, survey and surroundings.

    ``vary`` gives another scenario with some paths changed, ``paths`` lists what can be varied; ``load`` and
    ``save`` go through a TOML file.  The file holds ``format = 1``, a title and the tables boat, tackle (with
    anchor, chain, rope and snubber), spot and weather.  Quantities are texts with their unit,
    ``depth = "6 m"``; what is left out takes its default (a whole tackle left out comes with a snubber); of
    the boat it holds her model and what differs from it; a key that is not known is refused.

    Examples
    --------
    >>> scenario = Scenario().vary({"tackle.scope": 7, "weather.mean_wind": "35 knot"})
    >>> scenario
    <Scenario: boat sloop-12, anchor concave scoop 20 kg, scope 7:1, depth 6 m, mean wind 35 knot>
    >>> scenario.get("tackle.scope")
    7.0
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
    _chosen: bool = PrivateAttr(default=True)

    def __init__(self, /, **fields: Any) -> None:
        try:
            super().__init__(**fields)
        except ValidationError as error:
            raise ScenarioError(paths.all_problems(Scenario, error.errors())) from None

    @field_validator("format", mode="before")
    @classmethod
    def _one_that_is_read(cls, given: Any) -> Any:
        if type(given) is int and given == 1:
            return given
        advice = "write format = 1, or open the file with a newer version of anchorsim"
        raise AnchorsimError(sentence(f"{quoted(given)} is not a format that is read here", "1", advice))

    @model_validator(mode="after")
    def _in_her_depth(self) -> Scenario:
        problems, least = [], _LEAST_SCOPE * self.height
        if self.rode_aboard < least * _ROUNDING:
            path = "tackle.chain.length" if si(self.tackle.chain.length) > 0 else "tackle.rope.length"
            fits = f"at least {self._shown(least)}, {_LEAST_SCOPE:g} times the height of the bow roller"
            advice = "add chain or rope, or choose shallower water"
            got = self._shown(self.rode_aboard)
            problems.append((path, sentence("the rode is too short", fits, advice, got)))
        draught = si(self.boat.draught)
        if draught * _ROUNDING > self.water_depth:
            fits, got = f"at least the draught, {self._shown(draught)}", self._shown(self.water_depth)
            said = sentence("too shallow", fits, "choose deeper water or a higher tide", got)
            problems.append(("spot.depth", said))
        if self.weather.record is None:
            problems += self.shelving(min(self.slopes()))
        refuse(problems)
        return self

    def _shown(self, length: float) -> str:
        """A length in metres as an error tells it: in the unit of the depth."""
        return write_in(quantity(length, "m"), unit_name(self.spot.depth), 4)

    def __repr__(self) -> str:
        return display.line("Scenario", self._facts())

    def __str__(self) -> str:
        return repr(self)

    def _repr_html_(self) -> str:
        return display.table(self.title, self._facts())

    def _facts(self) -> display.Facts:
        anchor = self.tackle.anchor
        return [
            ("boat", self.boat.model),
            ("anchor", f"{anchor.type} {write(anchor.mass)}"),
            ("scope", f"{self.tackle.scope:.3g}:1"),
            ("depth", write_in(quantity(self.water_depth, "m"), unit_name(self.spot.depth))),
            ("mean wind", "as recorded" if self.weather.record else write(self.weather.mean_wind)),
        ]

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
        given, most = (write_in(quantity(angle, "radian"), "degree") for angle in angles)
        wrong = f"the bottom rises out of the water within the {self._shown(self.paid_out)} of rode out"
        fits, advice = f"less than {most} towards the boat", "let out less, or anchor where it shelves less"
        return [("spot.slope", sentence(wrong, fits, advice, got=given))]

    @property
    def folder(self) -> Path | None:
        """The folder of the file that it was read from, which its paths are relative to; None without one."""
        return self._folder

    @property
    def record_path(self) -> Path | None:
        """The file of the wind record, if any; its place is relative to the scenario's own file."""
        record = self.weather.record
        return None if record is None else (self._folder or Path()) / record

    @property
    def record_chosen(self) -> bool:
        """Whether a person named the wind record here, and not the file that the scenario was read from."""
        return self._chosen

    def vary(self, changes: Mapping[str, Any]) -> Scenario:
        """This scenario with some paths changed.

        Parameters
        ----------
        changes : mapping of str to value
            Path to value, ``{"tackle.scope": 7, "weather.mean_wind": "35 knot"}``.  A value is what the file
            would hold, a quantity or a thing; None stands for what a file that is silent there means.

        Returns
        -------
        Scenario
            A new one; a new ``boat.model`` brings all of that boat's own figures.

        Raises
        ------
        ScenarioError
            With the path of each field that does not fit.

        Examples
        --------
        >>> Scenario().vary({"spot.depth": "20 ft"}).get("spot.depth").units
        <Unit('foot')>
        """
        document: dict[str, Any] = dict(self)
        if changes.get("boat.model", self.boat.model) != self.boat.model:
            document["boat"] = {}
        for path, value in changes.items():
            paths.put(document, _known(path), value)
        varied = self.of_document(document, self._folder)
        varied._chosen = (
            self._chosen or "weather.record" in changes or varied.weather.record != self.weather.record
        )
        return varied

    def get(self, path: str) -> Any:
        """The value at a path.  Raises ScenarioError where there is no such path."""
        value: Any = self
        for name in _known(path):
            value = getattr(value, name)
        return value

    @classmethod
    def paths(cls) -> tuple[paths.Variable, ...]:
        """All that can be varied, in the order of the file.

        Texts, dates and lists, such as ``survey.findings``, can be varied too and are not among them.

        Returns
        -------
        tuple of Variable
            Frozen values with path, label, unit, limits and step, or choices.

        Examples
        --------
        >>> found = {one.path: one for one in Scenario.paths()}
        >>> depth = found["spot.depth"]
        >>> depth.label, depth.low, depth.high, depth.step, depth.unit
        ('Charted depth', 0.5, 60, 0.5, 'm')
        >>> found["tackle.chain.grade"].choices
        (30, 40, 43, 70)
        """
        return tuple(paths.variables(cls))

    @classmethod
    def declaration(cls, path: str) -> Measure | Choice:
        """What is declared of the field at a path: label, unit, range or choices.

        Raises ScenarioError where there is no such path, or it leads to neither a quantity nor a choice.
        """
        *parents, name = _known(path)
        thing = paths.model_at(cls, parents) or cls
        if name not in thing.declared():
            fits = "a quantity or a name out of a table"
            raise ScenarioError([(path, sentence("has neither unit nor table", fits, "name another path"))])
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

    @classmethod
    def of_document(cls, document: Mapping[str, Any], folder: Path | None = None) -> Scenario:
        """A scenario of what :meth:`document` gave, its paths relative to a folder.  Raises ScenarioError."""
        scenario = cls(**document)
        scenario._folder, scenario._chosen = folder, False
        return scenario

    def save(self, path: str | os.PathLike[str]) -> None:
        """Write the scenario's TOML file to a path: whole or not at all.  Raises ScenarioError otherwise.

        A wind record from another folder is copied beside it, so that the two can be moved together.
        """
        target = Path(path)
        try:
            write_whole(target, self.content(target.parent))
        except AnchorsimError as error:
            raise ScenarioError([("", str(error))]) from None

    def content(self, folder: Path) -> bytes:
        """What its TOML file holds in a folder; a record is copied there.  Raises AnchorsimError."""
        document, record = self.document(), record_for(self, folder.absolute())
        document["weather"] |= {} if record is None else {"record": record}
        return toml(document)

    @classmethod
    def load(cls, path: str | os.PathLike[str]) -> Scenario:
        """Read a scenario's TOML file.

        Parameters
        ----------
        path : str or path
            The file; paths in it are relative to its folder.

        Returns
        -------
        Scenario
            What is left out of the file has its default.

        Raises
        ------
        ScenarioError
            With the file and the line where it is not TOML, else with the path of each field that does not
            fit.

        Examples
        --------
        >>> import tempfile
        >>> with tempfile.TemporaryDirectory() as folder:
        ...     Scenario().save(f"{folder}/night.toml")
        ...     Scenario.load(f"{folder}/night.toml") == Scenario()
        True
        """
        source = Path(path)
        try:
            document = read_toml(source)
        except AnchorsimError as error:
            raise ScenarioError([("", str(error))]) from None
        unmarked = [] if "format" in document else [("format", _UNMARKED)]
        try:
            scenario = cls.of_document(document, source.parent.absolute())
        except ScenarioError as error:
            raise ScenarioError([*unmarked, *error.problems]) from None
        if unmarked:
            raise ScenarioError(unmarked)
        return scenario


@functools.cache
def _stock(model: str) -> Boat:
    return Boat.model_validate({"model": model})


def _known(path: str) -> list[str]:
    """The names along a path, or an error that offers the nearest known one."""
    found = paths.names(Scenario, path)
    if not found:
        raise ScenarioError([paths.unknown_path(Scenario, path)])
    return found
