"""What parts still carry as found: by hand from the tables and the shares that findings leave."""

from __future__ import annotations

import math

import numpy as np
import pytest

from anchorsim.numerics.interval import Interval, exactly
from anchorsim.scenario.scenario import Scenario
from anchorsim.strength.capacity import PartState, carried, in_line, loaded

STOCK = Scenario()  # 8 mm chain of grade 40 on a 14 mm snubber
MIXED = STOCK.vary({"tackle.chain.length": "10 m", "tackle.rope.length": "60 m"})
PULL = Interval(3000.0, 5000.0, 8000.0)  # N
LOW = Interval(2000.0, 4000.0, 6000.0)  # N


def part(scenario: Scenario, key: str, *findings: dict[str, object]) -> PartState:
    [found] = [
        one for one in loaded(scenario.vary({"survey.findings": list(findings)}), PULL, LOW) if one.key == key
    ]
    return found


def test_each_part_has_the_load_that_comes_on_it() -> None:
    assert part(STOCK, "anchor").load == LOW
    assert part(STOCK, "chain").load == PULL
    assert part(STOCK, "snubber").load == PULL
    assert part(STOCK, "windlass").load == exactly(0.0)
    assert part(MIXED, "chain").load == LOW


def test_factors_by_hand() -> None:
    chain = part(STOCK, "chain", {"kind": "chain rusted", "grade": "flaking"})
    # 10 and 40 kN, ISO 4565 [reprint]; flaking rust leaves 0.75, 0.88, 0.97 (judgement)
    assert tuple(chain.wll) == pytest.approx((7500, 8800, 9700))
    assert tuple(chain.strength_left) == pytest.approx((30000, 35200, 38800))
    assert tuple(chain.utilisation) == pytest.approx((3000 / 9700, 5000 / 8800, 8000 / 7500))
    assert tuple(chain.safety_factor) == pytest.approx((30000 / 8000, 35200 / 5000, 38800 / 3000))
    assert tuple(chain.bow_load_at_break) == pytest.approx((30000, 35200, 38800))
    assert not chain.unfit
    assert [effect.finding.kind for effect in chain.effects] == ["chain rusted"]


def test_nothing_on_it_is_infinitely_many_times_enough() -> None:
    idle = part(STOCK, "windlass")
    assert idle.safety_factor == exactly(math.inf)
    assert idle.utilisation == exactly(0.0)
    loose = part(STOCK, "bitter end", {"kind": "bitter end loose"})
    assert loose.wll == exactly(0.0) and loose.utilisation == exactly(math.inf)
    [nothing] = [one for one in loaded(STOCK.vary({"survey.findings": [{"kind": "bitter end loose"}]}))
                 if one.key == "bitter end"]  # fmt: skip
    assert nothing.utilisation == nothing.safety_factor == exactly(0.0)


def test_what_ails_the_gypsy_ails_the_windlass() -> None:
    as_new, worn = part(STOCK, "windlass"), part(STOCK, "windlass", {"kind": "gypsy worn"})
    slips = part(STOCK, "windlass", {"kind": "gypsy worn"}, {"kind": "windlass brake slips"})
    # worn pockets leave 0.3, 0.6, 0.9, and so does a brake that slips (judgements)
    for found, shares in ((worn, (0.3, 0.6, 0.9)), (slips, (0.09, 0.36, 0.81))):
        assert tuple(found.strength_left) == pytest.approx(
            [share * load for share, load in zip(shares, as_new.strength_left, strict=True)]
        )
    assert len(slips.effects) == 2


def test_rope_that_is_old_is_old_in_its_bends() -> None:
    old = {"kind": "rope old and in the sun", "part": "snubber", "measured": "11 year"}
    cut = {"kind": "rope cut", "part": "snubber", "grade": "a strand"}
    as_new, aged, worse = part(STOCK, "lead"), part(STOCK, "lead", old), part(STOCK, "lead", old, cut)
    # dock lines of 10 to 12 years broke at 0.25 to 0.51 of new strength [magazine test]; the middle is ours
    shares = [left / new for left, new in zip(aged.strength_left, as_new.strength_left, strict=True)]
    assert shares == pytest.approx([0.25, 0.38, 0.51])
    assert worse.strength_left == aged.strength_left, "a cut is in one place"
    assert part(STOCK, "snubber", old).unfit
    assert not aged.unfit, "only the part that was inspected is unfit"
    assert [effect.finding.kind for effect in aged.effects] == ["rope old and in the sun"]


def test_a_lighter_anchor_stands_in_for_the_holding_only() -> None:
    """What it breaks at is that of the anchor aboard."""
    assert (
        part(STOCK, "anchor", {"kind": "anchor tip blunt"}).strength_left
        == part(STOCK, "anchor").strength_left
    )


def test_a_snubber_with_chain_behind_it() -> None:
    tight = STOCK.vary({"tackle.snubber.slack": "0.8 m"})
    snubber, holder = part(tight, "snubber"), part(tight, "windlass")
    most = snubber.as_new.most
    assert snubber.bow_load_at_break == exactly(math.inf), "the chain comes tight before"
    broken = (12000, 18000, 32000)  # 0.3, 0.45, 0.8 of 40 kN: IACS UR A3 [reprint], the low a judgement
    assert tuple(holder.bow_load_at_break) == pytest.approx([most + load for load in broken])
    rotten = {"kind": "rope old and in the sun", "part": "snubber", "measured": "40 year"}
    weak = part(tight.vary({"tackle.snubber.slack": "1.5 m"}), "snubber", rotten)
    assert weak.bow_load_at_break.low == pytest.approx(0.05 * 0.85 * 40200)  # 0.05 is the least left (ours)


def test_what_pulls_only_if_all_runs_out_is_not_in_line() -> None:
    assert [one.key for one in loaded(STOCK) if one.spare] == ["bitter end"]
    assert [one.key for one in in_line(STOCK, PULL, LOW)] == [one.key for one in loaded(STOCK)][:-1]
    assert in_line(STOCK, PULL, LOW)[0].load == LOW and in_line(STOCK, PULL, LOW)[-2].load == PULL


def test_many_pulls_at_once() -> None:
    parts = [one for one in loaded(STOCK) if one.key in ("anchor", "chain", "windlass")]
    bow, anchor = np.array([1000.0, 2000.0]), np.array([500.0, 700.0])
    assert carried(parts, bow, anchor).tolist() == [[500.0, 700.0], [1000.0, 2000.0], [0.0, 0.0]]


def test_a_part_that_nobody_described_is_brought_in() -> None:
    found = part(STOCK, "swivel", {"kind": "swivel the wrong way round"})
    five = 5 * 1250 * 0.45359237 * 9.80665  # N: 5/16 in, 1250 lbf, breaks at 5 times that [read]
    assert tuple(found.strength_left) == pytest.approx(
        (0.3 * five, 0.5 * five, 0.8 * five)
    )  # judgement, once
