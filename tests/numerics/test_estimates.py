"""Quantiles, chances and differences against scipy.stats, printed values and known laws."""

from __future__ import annotations

import math

import numpy as np
import pytest
import scipy.optimize
import scipy.stats

from anchorsim.numerics.estimates import (
    certain,
    chance,
    change,
    counted_chance,
    quantile,
    spells_needed,
)


def sample(count: int = 200, seed: int = 1, shape: float = 0.0) -> np.ndarray:
    return scipy.stats.genextreme(-shape, loc=5000.0, scale=800.0).rvs(size=count, random_state=seed)


def test_the_chance_itself_is_the_share() -> None:
    assert chance([True] * 81 + [False] * 182).likely == 81 / 263


def test_nothing_in_the_sample_is_not_never() -> None:
    found = chance([False] * 20)
    assert found.likely == 0.0
    assert found.high == pytest.approx(0.1611, abs=5e-5)  # z²/(n + z²) with z = 1.96: 3.8415/23.8415


def test_too_few_spells_leave_an_end_open() -> None:
    assert spells_needed(0.99) == 368  # 0.99³⁶⁸ = 0.0248, 0.99³⁶⁷ = 0.02501
    assert spells_needed(0.5) == 6  # 1/64 < 1/40 < 1/32
    assert spells_needed(0.05) == spells_needed(0.95) == 72  # 0.95⁷² = 0.0249
    for share in (0.5, 0.95, 0.99):
        needed = spells_needed(share)
        assert math.isfinite(quantile(sample(needed), share).high)
        assert quantile(sample(needed - 1), share).high == math.inf
    assert quantile(sample(70), 0.05).low == -math.inf


def test_a_counted_chance_is_the_chance() -> None:
    happened = np.arange(40) % 3 == 0
    assert counted_chance(happened) == chance(happened)


def test_the_band_of_a_difference_holds_the_truth() -> None:
    random = np.random.default_rng(1)
    for mended, arisen in ((0.05, 0.01), (0.2, 0.1), (0.3, 0.0)):
        outcome = random.choice(3, p=[mended, arisen, 1 - mended - arisen], size=(1000, 100))
        found = [change(row == 0, row == 1) for row in outcome]
        held = np.mean([one.low <= arisen - mended <= one.high for one in found])
        assert held > 0.93  # of 0.95; a thousand times, and chance takes off a hundredth
        assert np.mean([one.likely for one in found]) == pytest.approx(arisen - mended, abs=0.01)


def test_what_is_certain_agrees_with_the_exact_sign_test() -> None:
    for mended in range(15):
        for arisen in range(15):
            before = np.arange(100) < mended
            after = (np.arange(100) >= mended) & (np.arange(100) < mended + arisen)
            found = change(before, after)
            exact = scipy.stats.binomtest(mended, mended + arisen).pvalue if mended + arisen else 1.0
            if exact < 0.02:
                assert certain(found)
            if exact > 0.15:
                assert not certain(found)
            assert found.likely == pytest.approx((arisen - mended) / 100)


def test_a_difference_turned_round_is_the_same_the_other_way() -> None:
    random = np.random.default_rng(2)
    one, two = random.random(80) < 0.4, random.random(80) < 0.2
    there, back = change(one, two), change(two, one)
    assert (there.low, there.likely, there.high) == pytest.approx((-back.high, -back.likely, -back.low))
    assert change(one, one).likely == 0
    assert not certain(change(one, one))
