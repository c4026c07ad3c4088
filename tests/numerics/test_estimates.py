"""Quantiles, chances, differences, extreme-value fits: against scipy.stats, pyextremes, print, known laws."""

from __future__ import annotations

import functools
import math

import numpy as np
import pandas as pd
import pytest
import scipy.optimize
import scipy.stats
from pyextremes import EVA

from anchorsim.numerics.estimates import (
    FEWEST,
    Fit,
    certain,
    chance,
    change,
    counted_chance,
    fit,
    quantile,
    spells_needed,
)

GUMBEL = scipy.stats.gumbel_r(loc=5000.0, scale=800.0)


def sample(count: int = 200, seed: int = 1, shape: float = 0.0) -> np.ndarray:
    return scipy.stats.genextreme(-shape, loc=5000.0, scale=800.0).rvs(size=count, random_state=seed)


def eva(values: np.ndarray, law: str) -> EVA:
    days = pd.date_range("2000-01-01", periods=len(values), freq="YS")
    return EVA.from_extremes(pd.Series(values, index=days), method="BM", extremes_type="high")


@pytest.mark.parametrize("seed", range(5))
def test_gumbel_fit_is_that_of_scipy(seed: int) -> None:
    values = sample(seed=seed)
    location, scale = scipy.stats.gumbel_r.fit(values)
    found = fit(values, "Gumbel")
    np.testing.assert_allclose([found.location, found.scale], [location, scale], rtol=1e-6)
    assert found.quantile(0.99).likely == pytest.approx(
        scipy.stats.gumbel_r.ppf(0.99, location, scale), rel=1e-6
    )
    assert found.passing(8000.0).likely == pytest.approx(
        scipy.stats.gumbel_r.sf(8000.0, location, scale), rel=1e-5
    )


@pytest.mark.parametrize(("law", "name"), [("Gumbel", "gumbel_r"), ("GEV", "genextreme")])
@pytest.mark.parametrize("shape", [-0.15, 0.0, 0.1])
def test_fits_are_those_of_pyextremes(law: str, name: str, shape: float) -> None:
    # pyextremes fits in raw units, where its search stops short: loads here in units of thousands.
    values = sample(shape=shape) / 1000.0
    model = eva(values, law)
    model.fit_model("MLE", distribution=name)
    found = fit(values, law)  # type: ignore[arg-type]
    theirs = model.distribution.mle_parameters
    assert found.location == pytest.approx(theirs["loc"], rel=1e-3)
    assert found.scale == pytest.approx(theirs["scale"], rel=3e-3)
    assert found.shape == pytest.approx(-theirs.get("c", 0.0), abs=3e-3)
    hundred, _, _ = model.get_return_value(return_period=100)  # once in a hundred: a 99 % quantile
    assert found.quantile(0.99).likely == pytest.approx(float(hundred), rel=2e-3)


@pytest.mark.parametrize("shape", [-0.3, 0.0, 1e-7, 0.2])
def test_laws_are_those_of_scipy(shape: float) -> None:
    law = Fit("GEV", shape, 5000.0, 800.0, 1.0, np.array([[shape, 5000.0, 800.0]]))
    theirs = scipy.stats.genextreme(-shape, loc=5000.0, scale=800.0)
    for share in (0.01, 0.5, 0.999):
        assert law.quantile(share).likely == pytest.approx(theirs.ppf(share), rel=1e-6)
    for level in (1000.0, 5000.0, 7600.0, 20000.0):
        assert law.passing(level).likely == pytest.approx(theirs.sf(level), rel=1e-5, abs=1e-15)


def test_gumbel_fit_recovers_known_parameters() -> None:
    # Standard errors 1.053 σ/√n and 0.780 σ/√n: Johnson, Kotz & Balakrishnan, Continuous Univariate
    # Distributions, 22.9 (from memory); four of them, which one in 16 000 would miss.
    values = GUMBEL.rvs(size=20000, random_state=7)
    found = fit(values)
    assert found.location == pytest.approx(5000.0, abs=4 * 1.053 * 800 / math.sqrt(20000))
    assert found.scale == pytest.approx(800.0, abs=4 * 0.780 * 800 / math.sqrt(20000))


def test_gev_fit_recovers_known_parameters() -> None:
    found = fit(sample(1000, seed=3, shape=0.15), "GEV")
    # The inverse of the GEV's information at shape 0.15 gives 0.026 for 1000 values (Prescott & Walden 1980,
    # from memory); four of them.
    assert found.shape == pytest.approx(0.15, abs=0.104)
    assert found.location == pytest.approx(5000.0, rel=0.024)
    assert found.scale == pytest.approx(800.0, rel=0.1)


def test_the_gumbel_bands_hold_the_truth_in_nineteen_of_twenty_cases() -> None:
    truth = GUMBEL.ppf(0.99)
    bands = [fit(sample(60, seed=seed)).quantile(0.99) for seed in range(60)]
    held = sum(band.low <= truth <= band.high for band in bands)
    # Of 60 at 0.95 fewer than 51 once in a thousand.
    assert held >= 51


def test_plain_bands_hold_the_truth_in_nineteen_of_twenty_cases() -> None:
    for share in (0.5, 0.9):
        truth = GUMBEL.ppf(share)
        bands = [quantile(sample(100, seed=seed), share) for seed in range(120)]
        held = sum(band.low <= truth <= band.high for band in bands)
        assert held >= 106  # of 120 at 0.95 or more: fewer once in a thousand
        assert all(band.low <= band.likely <= band.high for band in bands)


def test_a_law_that_does_not_suit_is_told() -> None:
    two_heaps = np.concatenate([sample(100), sample(100) + 9000.0])
    assert not fit(two_heaps).suits
    wrong = [fit(sample(80, seed=seed)).suits for seed in range(40)].count(False)
    assert wrong <= 7  # 2 expected of 40 at 1 in 20; more than 7 once in 1400


def test_units_do_not_matter() -> None:
    values = sample(40)
    for law in ("Gumbel", "GEV"):
        small, large = fit(values / 1e6, law), fit(values * 1e3, law)  # type: ignore[arg-type]
        assert large.scale / small.scale == pytest.approx(1e9, rel=1e-4)
        assert large.shape == pytest.approx(small.shape, abs=1e-4)


def test_a_fit_that_is_broken_off_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    search = functools.partial(scipy.optimize.minimize, options={"maxiter": 1})
    monkeypatch.setattr(scipy.optimize, "minimize", search)
    with pytest.raises(ValueError, match=r"no GEV could be fitted \(Maximum number of iterations"):
        fit(sample(40), "GEV")


def test_the_chance_itself_is_the_share() -> None:
    assert chance([True] * 81 + [False] * 182).likely == 81 / 263


def test_nothing_in_the_sample_is_not_never() -> None:
    found = chance([False] * 20)
    assert found.likely == 0.0
    assert found.high == pytest.approx(0.1611, abs=5e-5)  # z²/(n + z²) with z = 1.96: 3.8415/23.8415


def test_too_few_storms_leave_an_end_open() -> None:
    assert spells_needed(0.99) == 368  # 0.99³⁶⁸ = 0.0248, 0.99³⁶⁷ = 0.02501
    assert spells_needed(0.5) == 6  # 1/64 < 1/40 < 1/32
    assert spells_needed(0.05) == spells_needed(0.95) == 72  # 0.95⁷² = 0.0249
    for share in (0.5, 0.95, 0.99):
        needed = spells_needed(share)
        assert math.isfinite(quantile(sample(needed), share).high)
        assert quantile(sample(needed - 1), share).high == math.inf
    assert quantile(sample(70), 0.05).low == -math.inf


def test_refuses_what_cannot_be_fitted() -> None:
    with pytest.raises(
        ValueError, match=f"29 storms are too few; needed {FEWEST} at the least; run more storms"
    ):
        fit(sample(29))
    with pytest.raises(ValueError, match="all storms come to the same"):
        fit(np.full(50, 4000.0))
    with pytest.raises(ValueError, match="'Weibull' is not a law of extremes; needed 'Gumbel' or 'GEV'"):
        fit(sample(), "Weibull")  # type: ignore[arg-type]
    with pytest.raises(ValueError, match="0 storms are too few"):
        chance([])


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
