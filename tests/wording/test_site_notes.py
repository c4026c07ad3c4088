"""What is said of how the rode lies and of how far holding can be trusted."""

from __future__ import annotations

from typing import Any

import pytest

from anchorsim.core.units import System
from anchorsim.scenario.scenario import Scenario
from anchorsim.wording.site_notes import holding_notes, rode_notes, short_of_rode

STOCK = Scenario().vary({"spot.depth": "8.6 m", "tackle.scope": 5})
# 8.6 m and 1.4 m of bow: 10 m to the roller


def test_less_rode_than_the_scope_needs() -> None:
    scenario = STOCK.vary({"tackle.scope": 7})
    assert short_of_rode(STOCK) is None
    assert short_of_rode(scenario) == (
        "Scope 7:1 needs 70 m of rode here; 60 m is aboard. Calculated with all of it out, 6:1."
    )
    assert short_of_rode(scenario, "US") == (
        "Scope 7:1 needs 230 ft of rode here; 197 ft is aboard. Calculated with all of it out, 6:1."
    )


@pytest.mark.parametrize(
    ("changes", "system", "notes"),
    [
        ({}, "metric", []),
        (
            {"tackle.chain.length": "15 m", "tackle.rope.length": "60 m"},
            "metric",
            ["The snubber is not used: the rode at the bow is rope."],
        ),
        (
            {"tackle.chain.length": "0 m", "tackle.rope.length": "60 m"},
            "US",
            ["The snubber is not used: the rode at the bow is rope."],
        ),
        (
            {"tackle.scope": 1.5, "tackle.snubber.length": "20 m", "tackle.snubber.slack": "0 m"},
            "metric",
            ["Only 14.5 m of the snubber is used: there is too little chain outside the roller."],
        ),
        (
            {"tackle.scope": 1.5, "tackle.snubber.length": "20 m"},
            "US",
            ["Only 47.6 ft of the snubber is used: there is too little chain outside the roller."],
        ),
        (
            {"boat.model": "catamaran-12", "tackle.snubber.legs": 2, "tackle.snubber.length": "2 m"},
            "metric",
            ["The bridle legs are too short to meet: the strong points are 5.3 m apart. Lengthen each leg."],
        ),
    ],
)
def test_what_a_person_is_told_of_the_rode(changes: dict[str, Any], system: System, notes: list[str]) -> None:
    assert rode_notes(STOCK.vary(changes), system) == notes


@pytest.mark.parametrize(
    ("anchor", "mass", "bottom", "system", "notes"),
    [
        ("plough", 20.0, "firm sand", "metric", []),
        ("concave scoop", 20.0, "soft mud", "metric", []),
        (
            "fluke",
            20.0,
            "gravel",
            "metric",
            ["Holding in gravel is our estimate: no figure is published."],
        ),
        (
            "plough",
            60.0,
            "firm sand",
            "metric",
            [
                "NOTICE Published small-craft holding covers anchors of 5 to 50 kg. For 60 kg it is "
                "extrapolated: allow a wide margin."
            ],
        ),
        (
            "plough",
            4.0,
            "sticky clay",
            "US",
            [
                "NOTICE Published small-craft holding covers anchors of 11 to 110 lb. For 8.8 lb it is "
                "extrapolated: allow a wide margin."
            ],
        ),
        (
            "plough",
            20.0,
            "rock",
            "metric",
            [
                "WARNING Do not count on holding over rock. The anchor holds only where it catches, and it "
                "can break out or jam as the boat swings."
            ],
        ),
        (
            "plough",
            20.0,
            "weed over sand",
            "metric",
            ["Holding in weed over sand is our estimate: no figure is published."],
        ),
        (
            "claw",
            20.0,
            "firm sand",
            "metric",
            [
                "Published holding for a claw in firm sand differs: 1.6 to 2.9 kN from small-craft figures "
                "(used here), 15 kN from a naval rule for far heavier anchors."
            ],
        ),
        (
            "claw",
            20.0,
            "firm sand",
            "US",
            [
                "Published holding for a claw in firm sand differs: 350 to 660 lbf from small-craft figures "
                "(used here), 3300 lbf from a naval rule for far heavier anchors."
            ],
        ),
    ],
)
def test_how_far_holding_can_be_trusted(
    anchor: str, mass: float, bottom: str, system: str, notes: list[str]
) -> None:
    assert holding_notes(anchor, mass, bottom, system) == notes  # type: ignore[arg-type]
