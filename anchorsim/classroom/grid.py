"""What a page lets the class choose: a few values of one to three paths, and the scenario of each choice."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from anchorsim.core import arguments
from anchorsim.core.errors import ArgumentError
from anchorsim.core.tables import nearest
from anchorsim.core.units import quoted, write
from anchorsim.scenario.paths import Variable
from anchorsim.scenario.scenario import Scenario, ScenarioError

MOST_AXES, MOST_VALUES, MOST_CELLS = 3, 8, 120
Place = tuple[int, ...]


@dataclass(frozen=True)
class Axis:
    """A path and its ``values``, as the scenario holds them."""

    variable: Variable
    values: tuple[Any, ...]

    def setting(self, place: int) -> str:
        """What sets one of the values on the command line: ``tackle.scope=3``."""
        return f"{self.variable.path}={_written(self.values[place])}"


def _written(value: Any) -> str:
    if isinstance(value, float):
        return f"{value:.10g}"
    return str(value) if isinstance(value, str | int) else write(value)


def axes(scenario: Scenario, over: Mapping[str, Sequence[Any]]) -> tuple[Axis, ...]:
    """The axes of a page, in the order given.

    Raises ArgumentError for too many or too few paths or values, for a path that cannot be varied and for a
    value that does not fit.
    """
    given = arguments.mapping("over", over, '{"tackle.scope": [3, 5, 7]}')
    if not 1 <= len(given) <= MOST_AXES:
        wrong = f"{len(given)} paths" if given else "no path"
        raise arguments.refused("over", wrong, f"1 to {MOST_AXES}", "give each path once")
    found = tuple(_axis(scenario, path, values) for path, values in given.items())
    count = len(places(found))
    if count > MOST_CELLS:
        fits = f"{MOST_CELLS} or fewer"
        raise arguments.refused("over", f"{count} combinations", fits, "leave out some values")
    return found


def _axis(scenario: Scenario, path: str, values: Sequence[Any]) -> Axis:
    known = {variable.path: variable for variable in Scenario.paths()}
    if path not in known:
        fits = f"the path of a quantity or a choice, such as tackle.scope{nearest(str(path), list(known))}"
        raise arguments.refused(f"over {quoted(path)}", "unknown path", fits, "correct it")
    name = f"over {path}"
    listed = arguments.sequence(name, values, "values")
    if not 2 <= len(listed) <= MOST_VALUES:
        wrong, example = (
            f"{len(listed)} value{'' if len(listed) == 1 else 's'}",
            "write for example tackle.scope=3,5,7",
        )
        raise arguments.refused(name, wrong, f"2 to {MOST_VALUES}", example)
    held = tuple(_varied(scenario, {path: value}).get(path) for value in listed)
    if any(one == other for one, other in itertools.combinations(held, 2)):
        raise arguments.refused(name, "a value appears twice", "each once", "leave out one")
    return Axis(known[path], held)


def places(grid: Sequence[Axis]) -> list[Place]:
    """Every choice as the place of its value on each axis, the last axis fastest."""
    return list(itertools.product(*(range(len(axis.values)) for axis in grid)))


def scenarios(scenario: Scenario, grid: Sequence[Axis]) -> Iterator[Scenario]:
    """The scenario at each place, in order.  Raises ArgumentError for one that does not fit."""
    for place in places(grid):
        pairs = zip(grid, place, strict=True)
        yield _varied(scenario, {axis.variable.path: axis.values[at] for axis, at in pairs})


def _varied(scenario: Scenario, changes: Mapping[str, Any]) -> Scenario:
    try:
        return scenario.vary(changes)
    except ScenarioError as error:
        chosen = ", ".join(f"{path} {_written(value)}" for path, value in changes.items())
        raise ArgumentError(f"over {quoted(chosen)[1:-1]}: {error}") from None
