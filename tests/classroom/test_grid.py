"""What a page may be made over, and the sentence for what it may not."""

from __future__ import annotations

from typing import Any

import pytest

from anchorsim.classroom.grid import MOST_CELLS, axes, places, scenarios
from anchorsim.core.errors import ArgumentError
from anchorsim.scenario.scenario import Scenario


def test_each_choice_is_the_scenario_varied_by_hand() -> None:
    grid = axes(Scenario(), {"tackle.scope": [3, 7], "weather.mean_wind": ["15 knot", "25 knot", "10 m/s"]})
    found = list(scenarios(Scenario(), grid))
    assert len(found) == len(places(grid)) == 6
    assert places(grid)[4] == (1, 1)
    assert found[4] == Scenario().vary({"tackle.scope": 7, "weather.mean_wind": "25 knot"})
    assert [axis.setting(1) for axis in grid] == ["tackle.scope=7", "weather.mean_wind=25 knot"]


@pytest.mark.parametrize(
    ("over", "said"),
    [
        ({}, r"over: no path\. Expected 1 to 3"),
        ({f"tackle.{each}": [1, 2] for each in "abcd"}, "over: 4 paths"),
        ({"tackle.scop": [3, 5]}, r'over "tackle.scop": unknown path.*did you mean tackle\.scope'),
        ({"survey.findings": [[], []]}, "unknown path"),
        ({"title": ["a", "b"]}, "unknown path"),
        ({"tackle.scope": [3]}, r"over tackle\.scope: 1 value\. Expected 2 to 8"),
        ({"tackle.scope": list(range(2, 11))}, "9 values"),
        ({"tackle.scope": [3, 3.0]}, r"over tackle\.scope: a value appears twice"),
        ({"spot.depth": ["5 m", "500 cm"]}, r"over spot\.depth: a value appears twice"),
        ({"tackle.scope": [3, 99]}, r"over tackle\.scope 99: tackle\.scope \(Scope\): 99 is out of range"),
        ({"spot.depth": [5, 6]}, r"over spot\.depth 5: .*has no unit"),
        ({"spot.bottom": ["firm sand", "treacle"]}, r"spot\.bottom"),
        (
            {
                "tackle.scope": range(2, 10),
                "spot.depth": [f"{k} m" for k in range(3, 11)],
                "spot.tide": ["0 m", "1 m"],
            },
            f"over: 128 combinations. Expected {MOST_CELLS} or fewer",
        ),
    ],
)
def test_what_does_not_fit_is_told_with_its_path(over: dict[str, Any], said: str) -> None:
    with pytest.raises(ArgumentError, match=said):
        axes(Scenario(), over)


def test_a_combination_that_does_not_fit_is_named() -> None:
    grid = axes(Scenario(), {"tackle.chain.length": ["20 m", "60 m"], "spot.depth": ["5 m", "40 m"]})
    with pytest.raises(ArgumentError, match=r"over tackle\.chain\.length 20 m, spot\.depth 40 m: "):
        list(scenarios(Scenario(), grid))
