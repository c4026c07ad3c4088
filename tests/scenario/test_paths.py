"""What of a scenario can be varied: all of it can, to either limit or to each choice, or says why not."""

from __future__ import annotations

import dataclasses
import re
from collections.abc import Iterator
from typing import Any

import pytest

from anchorsim.core.model import Thing
from anchorsim.core.tables import Choice
from anchorsim.core.units import Measure, quantity
from anchorsim.scenario.paths import Variable
from anchorsim.scenario.scenario import Scenario, ScenarioError

STOCK = Scenario()
SENTENCE = re.compile(r"[^\n]+\. Expected [^\n]+[.?]( [A-Z][^\n]+\.)?")
BY_PATH = {one.path: one for one in Scenario.paths()}


def _declared(thing: Thing, prefix: str = "") -> Iterator[tuple[str, Measure | Choice]]:
    for name, declaration in type(thing).declared().items():
        yield f"{prefix}{name}", declaration
    for name in type(thing).model_fields:
        if isinstance(value := getattr(thing, name), Thing):
            yield from _declared(value, f"{prefix}{name}.")


def values(one: Variable) -> list[Any]:
    if one.choices:
        return list(one.choices)
    ends = [one.low, one.high]
    return [quantity(end, one.unit) for end in ends] if one.unit else ends


@pytest.mark.parametrize("one", BY_PATH.values(), ids=BY_PATH)
def test_all_that_is_listed_can_be_varied_or_is_refused_in_a_sentence(one: Variable) -> None:
    taken = 0
    for value in values(one):
        try:
            varied = STOCK.vary({one.path: value})
        except ScenarioError as error:
            assert all(SENTENCE.fullmatch(said) for _, said in error.problems), error
        else:
            assert varied.get(one.path) == value
            taken += 1
    assert taken or not one.choices, "some choice is always there to be taken"


def test_what_the_controls_read_is_what_is_listed() -> None:
    for path, declaration in _declared(STOCK):
        found = BY_PATH[path]
        assert found.label == declaration.label
        if isinstance(declaration, Measure):
            span = (declaration.unit, declaration.low, declaration.high, declaration.step)
            assert (found.unit, found.low, found.high, found.step) == span
        else:
            assert list(found.choices) == declaration.options


def test_few_values_are_choices() -> None:
    assert BY_PATH["tackle.chain.grade"].choices == (30, 40, 43, 70)
    assert BY_PATH["tackle.snubber.legs"].choices == (1, 2)
    assert BY_PATH["tackle.fittings.bitter_end.reaches_deck"].choices == (True, False)
    assert "catamaran-12" in BY_PATH["boat.model"].choices


def test_a_listed_value_is_frozen_and_each_path_stands_once() -> None:
    with pytest.raises(dataclasses.FrozenInstanceError):
        Scenario.paths()[0].label = "x"  # type: ignore[misc]
    assert isinstance(Scenario.paths(), tuple)
    assert len(BY_PATH) == len(Scenario.paths())
    assert all(one.label for one in Scenario.paths())
