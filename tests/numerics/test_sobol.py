"""Sobol's indices against functions whose indices are known in closed form."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from anchorsim.core.units import quoted
from anchorsim.numerics.interval import Interval
from anchorsim.numerics.sobol import indices

Floats = NDArray[np.float64]


def ishigami(shares: Floats) -> Floats:
    one, two, three = np.pi * (2.0 * shares.T - 1.0)
    return (np.sin(one) + 7.0 * np.sin(two) ** 2 + 0.1 * three**4 * np.sin(one))[None]


def values(found: list[Interval]) -> Floats:
    return np.array([one.likely for one in found])


def test_the_ishigami_indices_as_its_variance_gives_them() -> None:
    # V = a²/8 + bπ⁴/5 + b²π⁸/18 + 1/2, V₁ = (1 + bπ⁴/5)²/2, V₂ = a²/8, V₁₃ = 8b²π⁸/225: closed form.
    square, fourth = 7.0**2 / 8.0, 0.1 * np.pi**4
    variance = square + fourth / 5.0 + fourth**2 / 18.0 + 0.5
    alone, both = 0.5 * (1.0 + fourth / 5.0) ** 2, 8.0 * fourth**2 / 225.0
    _, [(first, total)] = indices(ishigami, 3, 4096, seed=3)
    np.testing.assert_allclose(values(first), np.array([alone, square, 0.0]) / variance, atol=0.02)
    np.testing.assert_allclose(values(total), np.array([alone + both, square, both]) / variance, atol=0.02)


def test_a_sum_gives_each_its_share_of_the_variance() -> None:
    # Σ cᵢ xᵢ: first-order and total index are both cᵢ²/Σc².
    weight = np.array([3.0, 2.0, 1.0, 0.0])
    share = weight**2 / (weight**2).sum()
    _, [(first, total)] = indices(lambda shares: (shares @ weight)[None], 4, 1024)
    np.testing.assert_allclose(values(first), share, atol=0.01)
    np.testing.assert_allclose(values(total), share, atol=0.01)
    assert total[3].likely == total[3].low == total[3].high == 0.0  # what is not read has no part at all


def test_a_happening_that_takes_two_has_the_indices_of_its_chances() -> None:
    # 1 where x < p and y < q: the variance is pq(1 − pq), of which x alone makes q²p(1 − p).
    p, q = 0.4, 0.7
    variance = p * q * (1.0 - p * q)
    one, two = q * q * p * (1.0 - p) / variance, p * p * q * (1.0 - q) / variance

    def happens(shares: Floats) -> Floats:
        return ((shares[:, 0] < p) & (shares[:, 1] < q)).astype(float)[None]

    base, [(first, total)] = indices(happens, 2, 4096)
    assert base.mean() == pytest.approx(p * q, abs=0.005)
    np.testing.assert_allclose(values(first), [one, two], atol=0.02)
    np.testing.assert_allclose(values(total), [1.0 - two, 1.0 - one], atol=0.02)


def test_bands_hold_the_truth() -> None:
    weight = np.array([3.0, 2.0, 1.0])
    share = weight**2 / (weight**2).sum()
    held = np.zeros(2)
    for seed in range(20):
        _, [found] = indices(lambda shares: (shares @ weight)[None], 3, 64, seed=seed)
        held += [
            sum(one.low <= truth <= one.high for one, truth in zip(kind, share, strict=True))
            for kind in found
        ]
    assert (held >= 51).all()  # of 60 at 0.95, fewer once in three hundred; they are too wide if anything


def test_each_value_has_indices_of_its_own_and_one_that_does_not_vary_none() -> None:
    def three(shares: Floats) -> Floats:
        return np.array([shares[:, 0], np.full(len(shares), 7.0), 5.0 - 2.0 * shares[:, 1]])

    base, [one, flat, other] = indices(three, 2, 256)
    assert base.shape == (3, 512)
    assert flat == ([], [])
    np.testing.assert_allclose(values(one[1]), [1.0, 0.0], atol=0.01)
    np.testing.assert_allclose(values(other[1]), [0.0, 1.0], atol=0.01)


def test_the_same_seed_gives_the_same_bits() -> None:
    assert indices(ishigami, 3, 64, seed=5)[1] == indices(ishigami, 3, 64, seed=5)[1]
    assert indices(ishigami, 3, 64, seed=5)[1] != indices(ishigami, 3, 64, seed=6)[1]


@pytest.mark.parametrize("count", [0, 8, 100, 64.0, True])
def test_counts_that_are_no_power_of_two_are_refused(count: int) -> None:
    sentence = rf"count: {quoted(count)} is out of range\. Expected a power of two, 16 or more"
    with pytest.raises(ValueError, match=sentence):
        indices(ishigami, 3, count)
