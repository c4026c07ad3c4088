"""Sizes that nobody recorded: each is listed while the rode makes use of its part and none is recorded."""

from __future__ import annotations

from typing import Any

import pytest

from anchorsim.core.units import si
from anchorsim.scenario.scenario import Scenario
from anchorsim.strength.assumed import assumed
from anchorsim.wording.site_notes import assumed_note

STOCK = Scenario()
F = "tackle.fittings"
RECORDED = {f"{F}.anchor_shackle.size": "8 mm", f"{F}.lead.radius": "50 mm",
            f"{F}.strong_point.breaking_load": "30 kN"}  # fmt: skip
ROPE = {"tackle.chain.length": "20 m", "tackle.rope.length": "60 m"}


def fittings(changes: dict[str, Any]) -> list[str]:
    return [part.fitting for part in assumed(STOCK.vary(changes))]


def test_what_the_stock_boat_leaves_open_and_what_it_is_taken_to_be() -> None:
    """8 mm chain passes a pin of 9.6 mm (1.2 · 8, DIN 766): the 5/16 in shackle, pin 3/8 in (RR-C-271).

    The strong point by ISO 15084: 4.3 · (12 + 10.5)/2 − 5.4 = 43 kN.
    """
    shackle, lead, point = assumed(STOCK)
    assert (shackle.fitting, si(shackle.amount)) == ("anchor shackle", pytest.approx(0.008))
    assert (lead.fitting, si(lead.amount)) == ("radius of the lead", pytest.approx(0.04))  # data/leads.csv
    lengths = si(STOCK.boat.length) + si(STOCK.boat.waterline)
    assert si(point.amount) == pytest.approx(1000.0 * (4.3 * lengths / 2.0 - 5.4), rel=1e-9)


@pytest.mark.parametrize(
    ("changes", "named"),
    [
        ({}, []),
        ({f"{F}.swivel.orientation": "eye to the anchor"}, ["swivel"]),
        ({f"{F}.joining_link.kind": "quick link"}, ["joining link"]),
        ({f"{F}.joining_link.kind": "double-jaw"}, []),  # its strength is a share of the chain's, by no size
        ({f"{F}.rope_join.kind": "thimble and shackle"}, []),  # no rope is out
        ({**ROPE, f"{F}.rope_join.kind": "thimble and shackle"}, ["shackle of the rope join"]),
        ({f"{F}.snubber_end.kind": "shackle through a link"}, ["snubber shackle"]),
        ({f"{F}.snubber_end.kind": "shackle through a link", "tackle.snubber.length": "0 m"}, []),
    ],
)
def test_each_part_counts_where_it_is_used(changes: dict[str, Any], named: list[str]) -> None:
    assert fittings({**RECORDED, **changes}) == named


def test_bare_chain_asks_for_no_lead_and_no_strong_point() -> None:
    assert fittings({"tackle.snubber.length": "0 m"}) == ["anchor shackle"]


def test_it_is_told_in_either_units_or_not_at_all() -> None:
    assert assumed_note(STOCK.vary(RECORDED)) is None
    only = STOCK.vary({**RECORDED, f"{F}.anchor_shackle.size": "0 mm"})
    assert assumed_note(only) == "Assumed, for no size was recorded: anchor shackle 8 mm."
    assert assumed_note(only, "US") == "Assumed, for no size was recorded: anchor shackle 0.31 in."
