"""What chance gives a spell: Halton's sequence by hand and by SciPy, its evenness, and neighbours."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
import scipy.stats
from scipy.stats import qmc

from anchorsim.risk import spreads
from anchorsim.risk.draws import (
    Draw,
    draw,
    neighbours_draw,
    radical_inverse,
    scores,
    scores_of,
)

MANY = 2000
BASES = (2, 3, 5)


@pytest.fixture(scope="module")
def drawn() -> np.ndarray:
    """The three draws of many spells as shares from 0 to 1, (spells, 3)."""
    return shares([draw(number) for number in range(MANY)])


def shares(draws: list[Draw]) -> np.ndarray:
    return np.column_stack(
        [
            [one.holding_quantile for one in draws],
            scipy.stats.norm.cdf(np.log([one.windage for one in draws]) / spreads.WINDAGE),
            scipy.stats.norm.cdf(np.log([one.line_drag for one in draws]) / spreads.LINE_DRAG),
        ]
    )


@pytest.mark.parametrize(
    ("base", "numbers", "values"),
    [  # 6 is 110 in base 2: 0.011 = 3/8; 5 is 12 in base 3: 0.21 = 7/9; 7 is 12 in base 5: 0.21 = 11/25
        (2, range(9), [0, 1 / 2, 1 / 4, 3 / 4, 1 / 8, 5 / 8, 3 / 8, 7 / 8, 1 / 16]),
        (3, range(10), [0, 1 / 3, 2 / 3, 1 / 9, 4 / 9, 7 / 9, 2 / 9, 5 / 9, 8 / 9, 1 / 27]),
        (5, range(8), [0, 1 / 5, 2 / 5, 3 / 5, 4 / 5, 1 / 25, 6 / 25, 11 / 25]),
    ],
)
def test_digits_are_mirrored_at_the_point(base: int, numbers: range, values: list[float]) -> None:
    assert [radical_inverse(number, base) for number in numbers] == pytest.approx(values, rel=1e-14)


def test_the_first_spells_by_hand() -> None:
    """Points 1 and 2 of the sequence; the normal scores of 1/3, 2/3 and of 1/5, 2/5 from printed tables."""
    first, second = draw(0), draw(1)
    assert (first.seed, first.holding_quantile) == (0, 0.5)
    assert (second.seed, second.holding_quantile) == (1, 0.25)
    # z(2/3) = 0.4307, z(0.8) = 0.8416, z(0.6) = 0.2533: tables of the normal law, to four digits
    for one, windage, line_drag in ((first, -0.4307, -0.8416), (second, 0.4307, -0.2533)):
        assert math.log(one.windage) / spreads.WINDAGE == pytest.approx(windage, abs=5e-5)
        assert math.log(one.line_drag) / spreads.LINE_DRAG == pytest.approx(line_drag, abs=5e-5)
        assert (one.water, one.friction) == (1.0, 1.0), "not drawn"


def test_the_sequence_is_that_of_scipy(drawn: np.ndarray) -> None:
    """Its point 0, the corner of the cube, is no spell: the holding would be none."""
    theirs = qmc.Halton(d=3, scramble=False).random(MANY + 1)[1:]
    np.testing.assert_allclose(drawn, theirs, atol=1e-12)


def test_scores_are_those_of_the_draws() -> None:
    found = scores_of(np.array([17, 3, 900]))
    assert found.shape == (3, 3) and scores_of(np.array([], dtype=np.int64)).shape == (0, 3)
    for row, number in zip(found, (17, 3, 900), strict=True):
        assert tuple(row) == scores(number)
        one = draw(number)
        assert scipy.stats.norm.cdf(row[0]) == pytest.approx(one.holding_quantile, rel=1e-12)
        assert math.exp(spreads.WINDAGE * row[1]) == one.windage
        assert math.exp(spreads.LINE_DRAG * row[2]) == one.line_drag


@pytest.mark.parametrize("first", [0, 1, 77, 5000, 100_000])
def test_a_run_of_spells_has_one_in_each_part_wherever_it_begins(first: int) -> None:
    """Numbers in a row have all last digits, so the mirrored first ones; of the three together by the Chinese
    remainder theorem (Halton 1960): one of 360 spells in each of 8 x 9 x 5 boxes.  So none leans on another.
    """
    eight = [draw(number).holding_quantile for number in range(first, first + 8)]
    assert sorted(np.floor(8 * np.array(eight)).astype(int)) == list(range(8))
    found = shares([draw(number) for number in range(first, first + 360)])
    boxes = {tuple(box) for box in np.floor(found * (8, 9, 5) + 1e-9).astype(int)}
    assert len(boxes) == 360


@pytest.mark.parametrize("count", [8, 100, 777, MANY])
def test_shares_are_uniform_to_the_digits_of_their_count(drawn: np.ndarray, count: int) -> None:
    """The first n points, 0 among them, fall into as many whole blocks as n has units in its digits, and a
    block of b^k has one point in each b^k-th: so a share is off by that sum over n at the most, and 1 more
    for the point that is left out.  SciPy's Kolmogorov distance says how far it is off.
    """
    for column, base in zip(drawn[:count].T, BASES, strict=True):
        most = (_digit_sum(count + 1, base) + 1) / count
        assert scipy.stats.kstest(column, "uniform").statistic <= most


def _digit_sum(number: int, base: int) -> int:
    total = 0
    while number:
        number, digit = divmod(number, base)
        total += digit
    return total


def test_eight_spells_are_more_even_than_chance_would_have_them(drawn: np.ndarray) -> None:
    """Centred discrepancy (Hickernell 1998, SciPy's), beside 200 sets of as many random points."""
    random = np.random.default_rng(1)
    for count in (8, 64, 512):
        chance = [qmc.discrepancy(random.random((count, 3))) for _ in range(200)]
        assert qmc.discrepancy(drawn[:count]) < np.quantile(chance, 0.05)


def test_factors_are_lognormal_about_one(drawn: np.ndarray) -> None:
    logs = scipy.stats.norm.ppf(drawn)
    assert logs.mean(axis=0) == pytest.approx(np.zeros(3), abs=0.01)
    assert logs.std(axis=0) == pytest.approx(np.ones(3), abs=0.01)
    # Bound: what random draws would keep 3.5 times of, 1/√1999 each; these lie far closer.
    assert np.abs(np.corrcoef(logs.T) - np.eye(3)).max() < 0.02


@pytest.fixture(scope="module")
def theirs() -> list[list[Draw]]:
    """Of three neighbours, in many spells."""
    return [[neighbours_draw(number, place) for number in range(MANY)] for place in range(3)]


def test_neighbours_have_the_same_gusts_and_their_own_luck(
    drawn: np.ndarray, theirs: list[list[Draw]]
) -> None:
    """Rank correlations of her three draws and of each neighbour's: 3.5 of 1/√1999, of which one of 66 pairs
    would lie farther out once in thirty such sets; these are ever the same.
    """
    columns = [*drawn.T]
    for neighbour in theirs:
        assert [one.seed for one in neighbour] == list(range(MANY))
        assert {(one.water, one.friction) for one in neighbour} == {(1.0, 1.0)}
        columns += [*shares(neighbour).T]
    found: Any = scipy.stats.spearmanr(np.column_stack(columns)).statistic
    assert found.shape == (12, 12)
    assert np.abs(found - np.eye(12)).max() < 3.5 / math.sqrt(MANY - 1)


def test_neighbours_draws_follow_the_same_laws(theirs: list[list[Draw]]) -> None:
    """Kolmogorov and Smirnov's test, scipy.stats: of nine, one lies under 0.001 once in a hundred sets."""
    for neighbour in theirs:
        for column in shares(neighbour).T:
            assert scipy.stats.kstest(column, "uniform").pvalue > 1e-3


def test_a_neighbours_luck_is_hers_by_number_and_place() -> None:
    assert neighbours_draw(17, 1) == neighbours_draw(17, 1)
    found = [neighbours_draw(number, place).windage for number in (17, 18) for place in (0, 1)]
    assert len({*found, draw(17).windage, draw(18).windage}) == 6
