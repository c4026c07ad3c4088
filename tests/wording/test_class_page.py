"""What the class's page says."""

from __future__ import annotations

import numpy as np
import pytest

from anchorsim.scenario.scenario import Scenario
from anchorsim.wording import class_page

VARIABLES = {variable.path: variable for variable in Scenario.paths()}


@pytest.mark.parametrize(
    ("path", "given", "metric", "us"),
    [
        ("tackle.scope", 5, "5:1", "5:1"),
        ("weather.mean_wind", "25 knot", "25 kn", "25 kn"),
        ("weather.direction", "0 degree", "0°", "0°"),
        ("spot.depth", "6 m", "6 m", "19.7 ft"),  # 6 / 0.3048 = 19.685
        ("tackle.snubber.length", "0 m", "none", "none"),
        ("tackle.anchor.type", "plough", "plough", "plow"),
        ("tackle.chain.grade", 40, "40", "40"),
        ("tackle.fittings.bitter_end.reaches_deck", False, "no", "no"),
        ("tackle.rope.stretch", 0.5, "0.5", "0.5"),
    ],
)
def test_a_value_reads_as_people_say_it(path: str, given: object, metric: str, us: str) -> None:
    held = Scenario().vary({path: given}).get(path)
    assert class_page.value(VARIABLES[path], held, "metric") == metric
    assert class_page.value(VARIABLES[path], held, "US") == us


@pytest.mark.parametrize(
    ("ratio", "choice"),
    # Half way between two choices is where the quotients are equal: 1.5 and 2 meet at the root of 3, 1.732.
    [(0.1, 0), (0.4, 0), (0.42, 1), (0.7, 1), (0.72, 2), (1.2, 2), (1.24, 3), (1.73, 3), (1.74, 4), (2.44, 4), (2.46, 5), (9, 5)],
)  # fmt: skip
def test_the_nearest_choice_is_that_of_the_least_quotient(ratio: float, choice: int) -> None:
    assert class_page.nearest(ratio) == choice


def test_what_happened_is_told_with_its_range_and_its_cap() -> None:
    said = class_page.outcome(
        "peak load at the bow", 1.7, (2940.0, 1730.0), np.array([1.42, 2.13, 1.8]), "metric"
    )
    assert said == "It was 1.7 times: 2.94 kN against 1.73 kN. In 3 other spells it was 1.4 to 2.1 times."
    said = class_page.outcome("swinging radius", 0.5, (30.48, 60.96), np.array([0.5, 0.5]), "US")
    assert said.startswith("It was 0.5 times: 100 ft against 200 ft.")
    assert (
        class_page.capped([("scope 3:1", 95.9)], "metric")
        == "With scope 3:1 the anchor dragged 96 m. A dragging anchor caps the load."
    )
    assert class_page.capped([], "metric") == ""
