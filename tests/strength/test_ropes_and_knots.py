"""What the lengths of the rode stand."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest

from anchorsim.core.resources import folder
from anchorsim.core.units import si
from anchorsim.scenario import tackle
from anchorsim.scenario.scenario import Scenario
from anchorsim.scenario.site import holding_range
from anchorsim.strength.ropes_and_knots import Part, parts

STOCK = Scenario().vary({"weather.duration": "1 min", "weather.mean_wind": "15 knot"})
SHARED = sorted(folder("shared").glob("*.toml"))


def named(scenario: Scenario) -> dict[str, Part]:
    return {part.name: part for part in parts(scenario)}


def test_parts_stand_what_is_printed() -> None:
    found = named(STOCK)
    assert list(found) == ["Chain 8 mm grade 40", "Snubber 14 mm"]
    chain, snubber = found.values()
    assert (chain.mbl, chain.wll) == (40000.0, 10000.0)  # ISO 4565 / DIN 766: 40 kN; a fourth of it
    assert snubber.mbl == pytest.approx(0.85 * 40200)  # ISO 1140: 40.2 kN, from memory; UFC: wet −15 %
    assert snubber.wll == pytest.approx(snubber.mbl / 9, rel=1e-4)  # Cordage Institute: 1/12 to 1/9
    assert "ISO 4565" in chain.source and chain.kind == "published"
    assert "ISO 1140" in snubber.source and snubber.kind == "from memory"


@pytest.mark.parametrize(
    ("changes", "names"),
    [
        ({"tackle.snubber.length": "0 m"}, ["Chain 8 mm grade 40"]),
        (
            {"tackle.chain.length": "8 m", "tackle.rope.length": "60 m"},
            ["Chain 8 mm grade 40", "Rope 14 mm"],
        ),
        ({"tackle.chain.length": "0 m", "tackle.rope.length": "60 m"}, ["Rope 14 mm"]),
        ({"tackle.snubber.legs": 2}, ["Chain 8 mm grade 40", "Bridle leg 14 mm"]),
        (
            {"tackle.chain.size": "5/16 in", "tackle.chain.grade": 70, "tackle.snubber.diameter": "5/8 in"},
            ["Chain 5/16 in grade 70", "Snubber 5/8 in"],
        ),
    ],
)
def test_only_what_is_out_counts(changes: dict[str, object], names: list[str]) -> None:
    assert list(named(STOCK.vary(changes))) == names


@pytest.mark.parametrize(("chain", "names"), [
    (0.4, ["Chain 8 mm grade 40", "Rope 14 mm"]),
    (36.6, ["Chain 8 mm grade 40", "Rope 14 mm"]),
])  # fmt: skip
def test_half_a_metre_of_it_counts_as_well(chain: float, names: list[str]) -> None:
    assert STOCK.paid_out == pytest.approx(37.0)
    lengths = {"tackle.chain.length": f"{chain} m", "tackle.rope.length": "60 m"}
    assert list(named(STOCK.vary(lengths))) == names


def test_a_snubber_of_less_than_a_metre_counts_as_well() -> None:
    assert "Snubber 14 mm" in named(STOCK.vary({"tackle.snubber.length": "0.6 m"}))


def test_a_bridle_leg_counts_as_carrying_the_whole_pull() -> None:
    leg, snubber = (parts(STOCK.vary({"tackle.snubber.legs": legs}))[1] for legs in (2, 1))
    assert (leg.wll, leg.mbl) == (snubber.wll, snubber.mbl)
    assert leg.most == math.inf


@pytest.mark.parametrize("left", [1.0, 0.7])
@pytest.mark.parametrize("slack", [0.3, 1.0, 1.7])
def test_chain_takes_over_when_its_slack_is_used_up(slack: float, left: float) -> None:
    """At the greatest load on the snubber it has stretched by just the slack of the chain behind it."""
    scenario = STOCK.vary({"tackle.snubber.slack": f"{slack} m", "tackle.snubber.stretch": left})
    snubber = parts(scenario)[1]
    load, strain, _ = tackle.stretch("three-strand nylon")
    stretched = (
        left * np.interp(snubber.most / snubber.mbl, load, strain) * si(scenario.tackle.snubber.length)
    )
    assert stretched == pytest.approx(slack, rel=1e-9)
    assert parts(scenario)[0].most == math.inf


def test_a_snubber_with_much_slack_behind_it_breaks_first() -> None:
    assert parts(STOCK.vary({"tackle.snubber.slack": "15 m"}))[1].most == math.inf
    assert parts(STOCK.vary({"tackle.snubber.slack": "0 m"}))[1].most == 0.0


@pytest.mark.parametrize("path", SHARED, ids=[path.stem for path in SHARED])
def test_the_anchor_drags_before_the_chain_breaks(path: Path) -> None:
    """As UFC 4-159-03 Table 3-18 wants it: any part breaks at more than the best the anchor may hold."""
    scenario = Scenario.load(path)
    anchor = scenario.tackle.anchor
    _, best = holding_range(anchor.type, si(anchor.mass), scenario.spot.bottom)
    for part in parts(scenario):
        assert best < part.mbl, part.name
