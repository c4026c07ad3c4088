"""The rode by value: what stays out, what it drags through the water, how its rope stretches."""

from __future__ import annotations

import math
from typing import Any

import pytest

from anchorsim.mooring.rode import assemble
from anchorsim.scenario.scenario import Scenario

STOCK = Scenario().vary({"spot.depth": "8.6 m", "tackle.scope": 5})  # 10 m to the roller, 50 m let out
ROPE = {"tackle.chain.length": "15 m", "tackle.rope.length": "60 m", "tackle.rope.diameter": "14 mm"}


def laid(changes: dict[str, Any]) -> Scenario:
    return STOCK.vary(changes)


def test_half_a_metre_of_chain_stays_before_the_snubber() -> None:
    short = {"tackle.scope": 1.5, "tackle.snubber.length": "20 m"}  # 15 m let out
    rode = assemble(laid(short))
    assert (rode.chain, rode.snubber) == pytest.approx((0.5, 14.5))  # so much for the hook (judgement)


@pytest.mark.parametrize(("length", "used"), [("0.29 m", 0.0), ("0.3 m", 0.3), ("0.31 m", 0.31)])
def test_a_snubber_of_less_than_a_foot_is_none(length: str, used: float) -> None:
    assert assemble(laid({"tackle.snubber.length": length})).snubber == pytest.approx(used)  # judgement


def test_drag_of_chain_and_rope_by_hand() -> None:
    chain, rope = assemble(laid(ROPE)).segments
    # DNV-OS-E301 [reprint], studless chain on the bar's diameter: 2.4 across, 1.15 along
    assert (chain.drag_across, chain.drag_along) == pytest.approx((2.4 * 0.008, 1.15 * 0.008))
    # rope: 1.6 across, 0.05 along, from memory
    assert (rope.drag_across, rope.drag_along) == pytest.approx((1.6 * 0.014, 0.05 * 0.014))


@pytest.mark.parametrize("legs", [1, 2])
def test_a_snubber_brings_its_loop_of_chain_along(legs: int) -> None:
    """8 m of it with 10 m of chain behind: ten eighths of chain to each metre, besides the legs."""
    changes = {"tackle.snubber.length": "8 m", "tackle.snubber.slack": "2 m", "tackle.snubber.legs": legs}
    chain, snubber = assemble(laid(changes)).segments
    assert snubber.drag_across == pytest.approx(legs * 1.6 * 0.014 + 1.25 * 2.4 * 0.008)
    assert snubber.drag_along == pytest.approx(legs * 0.05 * 0.014 + 1.25 * 1.15 * 0.008)
    nylon = 0.1176 * 9.80665  # N/m: 14 mm, ISO 1140 and the Cordage Institute's table of types, from memory
    assert snubber.weight_in_air is not None and chain.weight_in_air is not None
    assert chain.weight_in_air == pytest.approx(1.40 * 9.80665)  # ISO 4565, 8 mm [reprint]
    assert snubber.weight_in_air == pytest.approx(legs * nylon + 1.25 * 1.40 * 9.80665)
    water = 1 - 1025 / 1140  # nylon of 1140 kg/m³, handbooks
    assert snubber.weight == pytest.approx(legs * nylon * water + 1.25 * chain.weight)
    assert snubber.law is not None
    assert snubber.law.load[-1] == pytest.approx(legs * 0.85 * 40200)  # ISO 1140, from memory; wet: UFC


def test_rope_weighs_and_stretches_as_its_kind() -> None:
    whole, worn = (
        assemble(laid({**ROPE, "tackle.rope.stretch": share})).segments[-1] for share in (1.0, 0.7)
    )
    assert whole.law is not None and worn.law is not None
    assert worn.law.strain == pytest.approx([0.7 * strain for strain in whole.law.strain])
    assert worn.law.load == whole.law.load and worn.law.loss == whole.law.loss
    assert whole.weight_in_air == pytest.approx(0.1176 * 9.80665)
    assert whole.weight == pytest.approx(0.1176 * 9.80665 * (1 - 1025 / 1140))


def test_the_bed_falls_away_from_the_anchor() -> None:
    slope = {"spot.slope": "5 degree", "spot.deepens_towards": "45 degree", "weather.direction": "225 degree"}
    rode = assemble(laid(slope))
    assert rode.bed(0.0) == pytest.approx(-8.6)
    assert rode.bed(100.0) == pytest.approx(-8.6 - 100 * math.tan(math.radians(5)))
    north, east = rode.rises
    assert (north, east) == pytest.approx((-math.tan(math.radians(5)) / math.sqrt(2),) * 2)
