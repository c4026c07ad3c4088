"""Scenarios to try things on, and every path into one."""

from __future__ import annotations

from collections.abc import Iterator

from anchorsim.core.model import Thing
from anchorsim.core.resources import folder
from anchorsim.core.tables import catalogue
from anchorsim.core.units import quantity, us_unit
from anchorsim.scenario.scenario import Scenario

SHARED = sorted(folder("shared").glob("*.toml"))
STOCK = Scenario()


def paths_of(thing: Thing, prefix: str = "") -> Iterator[str]:
    for name in type(thing).model_fields:
        value = getattr(thing, name)
        yield f"{prefix}{name}"
        if isinstance(value, Thing):
            yield from paths_of(value, f"{prefix}{name}.")


PATHS = list(paths_of(STOCK))
QUANTITIES = [
    path for path in PATHS if path != "weather.gust" and isinstance(STOCK.get(path), type(quantity(1.0, "m")))
]


def in_us_units(scenario: Scenario) -> Scenario:
    changes = {}
    for path in QUANTITIES:
        unit = us_unit(Scenario.declaration(path).unit)  # type: ignore[union-attr]
        changes[path] = quantity(float(scenario.get(path).m_as(unit)), unit)
    return scenario.vary(changes)


def boats() -> Iterator[Scenario]:
    for model in catalogue():
        yield STOCK.vary({"boat.model": model})


SAMPLES = {path.stem: Scenario.load(path) for path in SHARED} | {made.boat.model: made for made in boats()}
