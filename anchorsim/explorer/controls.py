"""One control for each path into the scenario, made from what is declared there, in either unit system."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

import ipywidgets as widgets

from anchorsim.core.tables import Choice, Row, catalogue, table
from anchorsim.core.units import Measure, Quantity, System, quantity, si, sign, unit_in
from anchorsim.explorer.parts.amount import Amount
from anchorsim.explorer.parts.dial import Dial
from anchorsim.scenario.scenario import Scenario
from anchorsim.scenario.site import Fetch
from anchorsim.wording.terms import local

Changes = Mapping[str, Any]
_LAYOUT = {"width": "auto"}
_STYLE = {"description_width": "104px"}
LEGS = [("one strong point", 1), ("two strong points (bridle)", 2)]


@dataclass(frozen=True)
class Control:
    """A widget bound to ``path`` in the scenario: ``changes`` reads it, ``show`` puts a scenario into it.

    ``serves`` tells whether it has an effect in a scenario; one that has none is not shown.
    """

    path: str
    widget: widgets.DOMWidget
    changes: Callable[[], Changes]
    show: Callable[[Scenario, System], None]
    serves: Callable[[Scenario], bool] = lambda _: True

    @property
    def label(self) -> str:
        """What it is called beside its widget."""
        return str(self.widget.label if isinstance(self.widget, Amount) else self.widget.description)

    def where(self, serves: Callable[[Scenario], bool]) -> Control:
        """The same, shown only where it has an effect."""
        return dataclasses.replace(self, serves=serves)


def given(*paths: str) -> Callable[[Scenario], bool]:
    """Whether any of some amounts is given and not zero."""
    return lambda scenario: any((held := scenario.get(path)) is not None and si(held) for path in paths)


def slider(
    path: str, label: str, low: float, high: float, read: Callable[[Scenario], Any] | None = None
) -> Control:
    """An amount for the quantity at a path, from ``low`` to ``high`` as is usual, in its metric unit."""
    measure = Scenario.declaration(path)
    if not isinstance(measure, Measure):
        raise TypeError(f"{path} is not a quantity; use a choice")
    return _amount(path, measure, label, low, high, read or (lambda scenario: scenario.get(path)), dict.copy)


def bearing(
    path: str, label: str, read: Callable[[Scenario], Any] | None = None, *, large: bool = False
) -> Control:
    """A dial for the bearing at a path."""
    measure = Scenario.declaration(path)
    assert isinstance(measure, Measure), path
    read = read or (lambda scenario: scenario.get(path))
    return _amount(path, measure, label, 0, 360, read, dict.copy, Dial(large=large))


def _waves_from(scenario: Scenario) -> Quantity:
    """Where a given sea comes from: with the wind where nothing else is said."""
    given = scenario.weather.wave_direction
    return scenario.weather.direction if given is None else given


def _amount(
    path: str,
    measure: Measure,
    label: str,
    low: float,
    high: float,
    read: Callable[[Scenario], Any],
    put: Callable[[dict[str, Any]], Changes],
    widget: Amount | None = None,
) -> Control:
    """An amount that ``read`` takes from a scenario; ``put`` makes the changes of {path: value}."""
    help_ = f"{measure.label}: {measure.help}" if measure.help else measure.label
    widget = Amount() if widget is None else widget
    widget.label, widget.help = label, help_

    def changes() -> Changes:
        return put({path: quantity(widget.value, widget.unit) if measure.unit else widget.value})

    def show(scenario: Scenario, system: System) -> None:
        unit = unit_in(measure.unit, system) if measure.unit else ""
        value = read(scenario)
        with widget.hold_sync():
            widget.unit, widget.label, widget.help = sign(unit), local(label, system), local(help_, system)
            widget.low, widget.high = (_in_unit(bound, measure.unit, unit) for bound in (low, high))
            widget.step = _round_step(_in_unit(measure.step, measure.unit, unit))
            widget.value = float(value.m_as(unit)) if unit else float(value)

    return Control(path, widget, changes, show)


def _in_unit(value: float, unit: str, other: str) -> float:
    return value if unit == other else float(quantity(value, unit).m_as(other))


def _round_step(step: float) -> float:
    """The nearest of 0.05, 0.1, 0.25, 0.5, 1, 2, 5, 10 …: a step people count in."""
    steps = (0.05, 0.1, 0.25, 0.5, 1, 2, 5, 10, 20, 50, 100, 200, 500)
    return min(steps, key=lambda nice: abs(nice - step))


def fetch() -> Control:
    """Open water to windward; moved, it counts all round in place of what was given by bearing."""

    def read(scenario: Scenario) -> Quantity:
        return quantity(scenario.spot.fetch(si(scenario.weather.direction)), "m")

    def put(changes: dict[str, Any]) -> Changes:
        far = changes["spot.fetches"]
        return {"spot.fetches": ({"bearing": "0 degree", "distance": far},) if si(far) else ()}

    measure = dataclasses.replace(
        Fetch.measure("distance"), help="open water to windward; 0 = no waves simulated"
    )
    return _amount("spot.fetches", measure, "Fetch", 0, 10_000, read, put)


def mean_wind(label: str = "Mean") -> Control:
    """The mean wind; where gusts are given they stay as many times the mean."""
    control = slider("weather.mean_wind", label, 0, 60)
    factor: dict[str, float | None] = {"gust": None}

    def changes() -> Changes:
        mean = control.changes()["weather.mean_wind"]
        return {"weather.mean_wind": mean, "weather.gust": mean * factor["gust"] if factor["gust"] else None}

    def show(scenario: Scenario, system: System) -> None:
        weather = scenario.weather
        given = weather.gust is not None and si(weather.mean_wind) > 0
        factor["gust"] = si(weather.effective_gust) / si(weather.mean_wind) if given else None
        control.show(scenario, system)

    return Control(control.path, control.widget, changes, show)


def choice(path: str, label: str, options: list[tuple[str, Any]] | None = None) -> Control:
    """A drop-down list for the names that a field takes."""
    terms = options is None
    if options is None:
        declared = Scenario.declaration(path)
        if not isinstance(declared, Choice):
            raise TypeError(f"{path} is not a choice; use a slider")
        options = [(name, name) for name in declared.options]

    def read(scenario: Scenario) -> Any:
        return scenario.get(path)

    return _dropdown(path, label, options, lambda value: {path: value}, read, terms)


def chains() -> Control:
    """A drop-down list of the chains in the table: size and grade go together."""
    rows = table("chain")
    options = [(f"{row['size']} grade {row['grade']}", index) for index, row in enumerate(rows)]

    def changes(index: int) -> Changes:
        row = rows[index]
        return {"tackle.chain.size": _size(row), "tackle.chain.grade": int(row["grade"])}

    return _dropdown(
        "tackle.chain.size",
        "Chain",
        options,
        changes,
        lambda scenario: rows.index(scenario.tackle.chain.row()),
    )


def _size(row: Row) -> Quantity:
    """A diameter as a person would write it into a file: in millimetres."""
    return quantity(round(1000.0 * row["diameter"], 6), "mm")


def ropes(path: str, construction_path: str, label: str, read: Callable[[Scenario], Row]) -> Control:
    """A drop-down list of the ropes in the table: construction and diameter go together."""
    rows = table("rope")
    options = [(f"{row['size']} {row['construction']}", index) for index, row in enumerate(rows)]

    def changes(index: int) -> Changes:
        row = rows[index]
        return {path: _size(row), construction_path: row["construction"]}

    return _dropdown(path, label, options, changes, lambda scenario: rows.index(read(scenario)))


def _dropdown(
    path: str,
    label: str,
    options: list[tuple[str, Any]],
    changes: Callable[[Any], Changes],
    read: Callable[[Scenario], Any],
    terms: bool = False,
) -> Control:
    """``terms``: whether the options are terms of the trade, which the US view may have others for."""
    widget = widgets.Dropdown(description=label, options=options, layout=_LAYOUT, style=_STYLE)

    def show(scenario: Scenario, system: System) -> None:
        widget.description = local(label, system)
        said = [(local(name, system), value) for name, value in options]
        if terms and said != list(widget.options):
            widget.options = said
        widget.value = read(scenario)

    return Control(path, widget, lambda: changes(widget.value), show)


def _shoals(scenario: Scenario) -> bool:
    """Whether there is anything that she may touch once the tide is out."""
    return bool(si(scenario.spot.slope)) or any(
        one.depth is not None for one in scenario.surroundings.dangers
    )


def groups() -> dict[str, list[Control]]:
    """The groups of entries, the one used most first."""
    boats = [(str(row["name"]), model) for model, row in catalogue().items()]
    rope, snubber = given("tackle.rope.length"), given("tackle.snubber.length")
    waves, stream = given("weather.wave_height"), given("spot.current")
    return {
        "Wind": [
            bearing("weather.direction", "Wind from", large=True),
            mean_wind(),
            slider("weather.gust", "Gusts", 0, 90, lambda scenario: scenario.weather.effective_gust),
            slider("weather.shift", "Shift", -180, 180),
            slider("weather.squall_wind", "Squall", 0, 70),
        ],
        "Rode": [
            slider("tackle.scope", "Scope", 2, 12),
            slider("tackle.snubber.length", "Snubber", 0, 20),
            ropes(
                "tackle.snubber.diameter",
                "tackle.snubber.rope",
                "Snubber rope",
                lambda scenario: scenario.tackle.snubber.row(),
            ).where(snubber),
            choice("tackle.snubber.legs", "Made fast to", LEGS).where(snubber),
            slider("tackle.chain.length", "Chain aboard", 0, 120),
            chains().where(given("tackle.chain.length")),
            slider("tackle.rope.length", "Rope aboard", 0, 120),
            ropes(
                "tackle.rope.diameter",
                "tackle.rope.construction",
                "Rope",
                lambda scenario: scenario.tackle.rope.row(),
            ).where(rope),
        ],
        "Anchor": [choice("tackle.anchor.type", "Type"), slider("tackle.anchor.mass", "Weight", 5, 60)],
        "Spot": [
            slider("spot.depth", "Charted depth", 2, 25),
            choice("spot.bottom", "Bottom"),
            slider("spot.tide", "Height of tide", 0, 8),
            slider("surroundings.low_water", "At low water", 0, 8).where(_shoals),
            slider("spot.slope", "Bottom slope", 0, 10),
            bearing("spot.deepens_towards", "Deepens to").where(given("spot.slope")),
        ],
        "Sea": [
            fetch(),
            slider("weather.wave_height", "Wave height", 0, 3),
            slider("weather.wave_period", "Wave period", 1, 12).where(waves),
            bearing("weather.wave_direction", "Waves from", _waves_from).where(waves),
            slider("spot.current", "Stream", 0, 4),
            bearing("spot.current_set", "Sets towards").where(stream),
        ],
        "Boat": [choice("boat.model", "Boat", boats), slider("boat.riding_sail", "Riding sail", 0, 10)],
    }
