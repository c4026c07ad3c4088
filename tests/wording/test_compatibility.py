"""What does not fit, in sentences: one pair for each rule, in either unit system."""

from __future__ import annotations

import ast
import dataclasses
import math
import re
from pathlib import Path
from typing import Any

import pytest

from anchorsim.numerics.interval import Interval
from anchorsim.scenario.scenario import Scenario
from anchorsim.strength import compatibility as strength
from anchorsim.strength.compatibility import Misfit
from anchorsim.survey import suitability
from anchorsim.survey.suitability import AnchorFit, suitability_of
from anchorsim.wording.compatibility import _RULES, remedy, sentence
from anchorsim.wording.suitability import anchor

STOCK = Scenario()  # 8 mm chain with a snubber


def misfit(rule: str, **facts: Any) -> Misfit:
    return Misfit("chain", rule, strength.facts(**facts), "before use", (), "", "")


@pytest.mark.parametrize(
    ("found", "system", "said", "job"),
    [
        (
            misfit("pin too thick", size="10 mm", pin=0.0111, width=0.0096, suits="8 mm"), "metric",
            "The pin of the 10 mm shackle (11.1 mm) does not fit the chain link (9.6 mm inside).",
            "Fit a shackle of 8 mm, with a WLL no less than the chain's.",
        ),
        (
            misfit("swivel too small", size="6 mm", link=0.008, suits="8 mm"), "US",
            "The 1/4 in (6 mm) swivel is smaller than the 5/16 in (8 mm) chain.",  # trade sizes: common practice
            "Fit a swivel of 5/16 in (8 mm).",
        ),
        (
            misfit("gypsy of another size", gypsy="10 mm", link=0.008), "metric",
            "WARNING The gypsy is for 10 mm chain; the chain is 8 mm. The chain can jump and run out.",
            "Fit the matching gypsy before use.",
        ),
        (
            misfit("knot", knot="anchor bend", low=0.55, high=0.65), "metric",
            "The rope is knotted to the chain: the anchor bend leaves 55 to 65 % of its strength.",
            "Splice an eye round a thimble and shackle it to the chain.",
        ),
        (
            misfit("bend too tight", rope="14 mm", lead="chock", radius="10 mm", least_radius=0.014),
            "metric",
            "14 mm rope bends over the chock on a radius of 10 mm.",
            "Fit a lead with a radius of 14 mm or more.",
        ),
        (
            misfit("strong point too weak", fitting="cleat", rated=30e3, needed=43.19e3), "metric",
            "The cleat is rated for about 30 kN. ISO 15084 asks for 43 kN at this length.",
            "Fit a cleat rated for 43 kN, through-bolted on a backing plate.",
        ),
        (
            misfit("windlass alone", snubber=8.0), "US",
            "The chain has no snubber: the windlass alone takes the load.",
            "Rig a snubber of 26 ft or more to a strong point.",  # 8 m = 26.2 ft, NIST SP 811
        ),
        (
            misfit("rode too short", depth=20.0, least=85.6, aboard=60.0, scope=2.804, part="chain"),
            "metric",
            "In 20 m of water the boat needs at least 86 m of rode. Aboard is 60 m, 2.8:1.",
            "Carry more chain.",
        ),
        (
            misfit("no second anchor", other="fluke", mass=17), "metric",
            "No second anchor aboard.",
            "Carry a fluke anchor of 17 kg with a rode of its own.",
        ),
    ],
)  # fmt: skip
def test_a_misfit_and_its_remedy(found: Misfit, system: Any, said: str, job: str) -> None:
    assert (sentence(found, system), remedy(found, system)) == (said, job)


def test_every_rule_is_in_use_and_every_misfit_has_a_rule() -> None:
    keys = set()
    for module in (strength, suitability):
        for node in ast.walk(ast.parse(Path(str(module.__file__)).read_text(encoding="utf-8"))):
            if isinstance(node, ast.Constant) and isinstance(node.value, str):
                keys.add(node.value)
    assert set(_RULES) <= keys


ANCHOR = AnchorFit(
    type="plough", bottom="firm sand", mass=10.0, mean_length=10.0,
    code_mass=13.0, published={},
    pull=Interval(2.4e3, 2.9e3, 3.2e3), holding=(1.6e3, 3.3e3), needed_mass=20.0, crew_lift=0.0,
)  # fmt: skip
LIGHT = (
    "Anchor 10 kg. The code for small commercial vessels asks for 13 kg at this length. "
    "Peak load 3.2 kN, the highest of the spells."
)
HELD = "Nine in ten such anchors hold 1.6 kN or more here."


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({}, f"{HELD} At 20 kg nine in ten hold this load."),
        ({"needed_mass": 9.0}, f"{HELD} One in ten may drag."),
        # more than 2.5 times the code's
        ({"needed_mass": 90.0}, f"{HELD} No plough the boat can carry is heavy enough here."),
        ({"needed_mass": math.inf, "bottom": "rock"}, "Do not count on any holding on rock."),
        (
            {"crew_lift": 11.0},
            f"{HELD} At 20 kg nine in ten hold this load. "
            "Its weight suits what the crew can lift (11 kg), not what the boat needs. "
            "Fit the heavier anchor and lift it with a windlass or a block and tackle.",
        ),
    ],
)
def test_the_anchor_by_code_and_by_load(changes: dict[str, Any], said: str) -> None:
    assert anchor(dataclasses.replace(ANCHOR, **changes), "metric") == f"{LIGHT} {said}"


def test_an_anchor_that_is_too_light_is_told_with_its_figures() -> None:
    light = STOCK.vary({"tackle.anchor.mass": "5 kg", "weather.duration": "1 min"})
    found = next(entry for entry in suitability_of(light).misfits if entry.rule == "anchor too light")
    assert sentence(found, "metric").startswith(
        "Anchor 5 kg. The code for small commercial vessels asks for 17 kg"
    )
    assert re.fullmatch(
        r"Fit a concave scoop anchor of \d+ kg or more: 17 kg by the code for small commercial vessels, \d+ kg "
        r"to hold the highest load of the spells on firm sand. Check that roller and windlass can take it.",
        remedy(found, "metric"),
    )
