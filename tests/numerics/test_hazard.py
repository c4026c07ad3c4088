"""The chance over a stretch against closed forms, scipy's multivariate normal law, and known truths."""

from __future__ import annotations

import functools
import math

import numpy as np
import pytest
import scipy.optimize
import scipy.stats
from hypothesis import given, settings
from hypothesis import strategies as st

from anchorsim.numerics.estimates import chance
from anchorsim.numerics.hazard import compound, over_stretch
from anchorsim.numerics.interval import Interval

NIGHT = 36.0  # spells of ten minutes in six hours
SLOPES, NOISE = np.array([-0.25, 0.18, -0.05]), 0.2


def one(share: float, slope: float, spells: float) -> float:
    return float(compound(np.array([share]), np.array([slope]), spells)[0])


def spells(
    count: int, seed: int, share: float, *, slopes: np.ndarray = SLOPES, capped: bool = True
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Outcomes, margins and scores of spells that each have the chance ``share``, by sampling alone."""
    rng = np.random.default_rng(seed)
    scores, noise = rng.standard_normal((count, 3)), rng.standard_normal((count, 3)).max(axis=1)
    margin = scores @ slopes + NOISE * noise - limit(share, tuple(slopes))
    return margin >= 0.0, np.minimum(margin, 0.0) if capped else margin, scores


def demands(count: int, seed: int, slopes: np.ndarray, of: int = 1) -> np.ndarray:
    """Greatest demand of ``of`` spells that keep their scores, by sampling."""
    rng = np.random.default_rng(seed)
    shares = rng.uniform(size=count) ** (1.0 / (3 * of))  # of the greatest of 3 · of normal values
    return rng.standard_normal((count, 3)) @ slopes + NOISE * scipy.special.ndtri(shares)


@functools.cache
def limit(share: float, slopes: tuple[float, ...]) -> float:
    """The demand that one spell passes with the chance ``share``, by sampling."""
    return float(np.quantile(demands(10**6, 10**6 + 1, np.array(slopes)), 1.0 - share))


def truth(share: float) -> float:
    return float(np.mean(demands(10**6, 10**6 + 2, SLOPES, round(NIGHT)) >= limit(share, tuple(SLOPES))))


@pytest.mark.parametrize("share", [0.001, 0.1, 0.7, 0.99])
@pytest.mark.parametrize("count", [2.0, 7.5, 36.0, 144.0])
def test_without_scores_spells_are_independent(share: float, count: float) -> None:
    assert one(share, 0.0, count) == pytest.approx(1.0 - (1.0 - share) ** count, rel=1e-9)


@pytest.mark.parametrize(("share", "slope"), [(0.05, 1.0), (0.3, 2.0), (0.6, 0.5)])
def test_two_spells_are_six_equicorrelated_normal_values(share: float, slope: float) -> None:
    """scipy.stats.multivariate_normal: none of 3 k values with the correlation ρ² / (1 + ρ²) over a level."""

    def none_over(level: float, count: int) -> float:
        alike = slope**2 / (1.0 + slope**2)
        matrix = np.full((count, count), alike) + (1.0 - alike) * np.eye(count)
        law = scipy.stats.multivariate_normal(cov=matrix, seed=1, abseps=1e-7, releps=1e-7, maxpts=10**6)
        return float(law.cdf(np.full(count, level)))

    level = scipy.optimize.brentq(lambda at: none_over(at, 3) - (1.0 - share), -5.0, 8.0, xtol=1e-9)
    assert one(share, slope, 2.0) == pytest.approx(1.0 - none_over(level, 6), abs=2e-4)


@pytest.mark.parametrize("share", [0.02, 0.4, 0.9])
def test_where_scores_are_nearly_all_it_stays_the_chance_of_one(share: float) -> None:
    assert share <= one(share, 20.0, NIGHT) < share + 0.06
    assert one(share, 20.0, NIGHT) < one(share, 2.0, NIGHT) < one(share, 0.2, NIGHT)


def test_margins_that_scores_do_not_move_make_independent_spells() -> None:
    sample = spells(400, 1, 0.02, slopes=np.zeros(3))
    counted, found = chance(sample[0]), over_stretch(*sample, NIGHT)
    independent = [1.0 - (1.0 - end) ** NIGHT for end in counted]
    assert 0.9 * independent[1] < found.likely <= independent[1]
    assert 0.9 * independent[0] < found.low
    assert 0.9 * independent[2] < found.high <= independent[2]


def test_margins_that_scores_alone_move_stay_the_chance_of_one() -> None:
    scores = np.random.default_rng(1).standard_normal((200, 3))
    margin = np.minimum(-0.3 * scores[:, 0] - 0.3, 0.0)
    found, counted = over_stretch(margin >= 0.0, margin, scores, NIGHT), chance(margin >= 0.0)
    assert counted.likely <= found.likely < counted.likely + 0.06
    assert found.high < counted.high + 0.06


@pytest.mark.parametrize("share", [0.004, 0.05, 0.3])
@pytest.mark.parametrize("count", [8, 200])
@pytest.mark.parametrize("seed", [1, 2])
def test_one_spell_is_as_counted(share: float, count: int, seed: int) -> None:
    """Wilson's band is scipy's, in ``estimates.chance``."""
    sample = spells(count, seed, share)
    found, counted = over_stretch(*sample, 1.0), chance(sample[0])
    if sample[0].any():
        assert tuple(found) == pytest.approx(tuple(counted), abs=1e-9)
    else:
        assert found.high <= counted.high + 1e-12
        assert found.likely < 0.7 / count  # a chance at which none of n would be seen half of the time


@pytest.mark.parametrize(
    ("share", "capped"), [(0.02, True), (0.02, False), (0.2, True), (0.2, False), (0.7, True)]
)
def test_nine_bands_of_ten_hold_the_truth(share: float, capped: bool) -> None:
    known, held, likely = truth(share), 0, []
    for seed in range(40):
        found = over_stretch(*spells(120, seed, share, capped=capped), NIGHT, capped=capped)
        held += found.low <= known <= found.high
        likely.append(found.likely)
    assert held >= 36
    assert np.median(likely) == pytest.approx(known, abs=0.05)


def test_where_it_never_happened_the_margins_tell() -> None:
    """A chance of 1 in 2000 a spell: 200 that held, of which the count alone would say up to 50 in 100."""
    known, likely = truth(0.0005), []
    for seed in range(20):
        sample = spells(200, seed, 0.0005)
        if not sample[0].any():
            found = over_stretch(*sample, NIGHT)
            assert found.high < 0.05
            likely.append(found.likely)
    assert np.median(likely) == pytest.approx(known, rel=0.4)


@pytest.mark.parametrize("seed", range(4))
def test_a_calm_night_is_said_to_be_one_and_a_near_thing_is_not(seed: int) -> None:
    """Eight that held at 5 % of their holding or so, and eight that held at about 85 %."""
    rng = np.random.default_rng(seed)
    scores, noise, none = rng.standard_normal((8, 3)), 0.15 * rng.standard_normal(8), np.zeros(8, bool)
    calm = over_stretch(none, -3.0 + scores @ SLOPES + noise, scores, NIGHT)
    near = over_stretch(none, np.minimum(-0.15 + 0.3 * (scores @ SLOPES + noise), -0.01), scores, NIGHT)
    assert calm.high < 0.02
    assert near.high > 0.15 and near.likely > 0.03


def test_a_stretch_in_which_it_always_happens() -> None:
    scores = np.random.default_rng(1).standard_normal((200, 3))
    found = over_stretch(np.ones(200, bool), np.zeros(200), scores, NIGHT)
    assert found.likely == found.high == 1.0
    assert found.low > 0.98  # Wilson's low end of 200 of 200


MARGINS = st.one_of(
    st.just(-math.inf), st.just(0.0), st.just(-0.3), st.floats(-8.0, 8.0), st.floats(-0.5, 0.1)
)


@st.composite
def samples(draw: st.DrawFn) -> tuple[np.ndarray, np.ndarray, np.ndarray, bool]:
    count = draw(st.sampled_from([1, 2, 8, 30]))
    margin = np.array(draw(st.lists(MARGINS, min_size=count, max_size=count)))
    if draw(st.booleans()):
        margin = np.full(count, margin[0])
    capped = draw(st.booleans())
    happened = margin >= 0.0
    if capped:
        margin = np.minimum(margin, 0.0)
        happened &= np.array(draw(st.lists(st.booleans(), min_size=count, max_size=count)))
    scores = np.random.default_rng(draw(st.integers(0, 99))).standard_normal((count, 3))
    return happened, margin, scores * draw(st.sampled_from([0.0, 1.0])), capped


@settings(max_examples=40, deadline=None)
@given(samples())
def test_more_spells_are_no_less_likely_and_all_is_a_chance(
    sample: tuple[np.ndarray, np.ndarray, np.ndarray, bool],
) -> None:
    *of, capped = sample
    found = [over_stretch(*of, count, capped=capped) for count in (1.0, 1.5, 6.0, 36.0, 1e4)]
    ends = np.array([tuple(each) for each in found])
    assert np.isfinite(ends).all()
    assert (ends >= 0.0).all() and (ends <= 1.0).all()
    assert (np.diff(ends, axis=0) >= -1e-9).all()
    assert isinstance(found[0], Interval) and found[0].kind == "95 % confidence"


def test_without_any_load_it_does_not_happen() -> None:
    scores = np.random.default_rng(1).standard_normal((8, 3))
    found = over_stretch(np.zeros(8, bool), np.full(8, -math.inf), scores, NIGHT)
    assert found.high < 0.01


def test_the_same_spells_come_to_the_same() -> None:
    sample = spells(50, 1, 0.1)
    assert tuple(over_stretch(*sample, NIGHT)) == tuple(over_stretch(*sample, NIGHT))


@pytest.mark.parametrize(
    ("happened", "margin", "scores", "count", "told"),
    [
        ([], [], np.zeros((0, 3)), 36.0, "scores do not match"),
        ([True], [0.0, 0.0], np.zeros((1, 3)), 36.0, "scores do not match"),
        ([False], [math.nan], np.zeros((1, 3)), 36.0, "some are not numbers"),
        ([False], [-1.0], np.full((1, 3), math.inf), 36.0, "some are not numbers"),
        ([False], [-1.0], np.zeros((1, 3)), 0.5, "Expected 1 or more"),
        ([False], [-1.0], np.zeros((1, 3)), math.nan, "Expected 1 or more"),
    ],
)
def test_what_cannot_be_is_refused(happened, margin, scores, count, told) -> None:
    with pytest.raises(ValueError, match=told):
        over_stretch(happened, margin, scores, count)


def test_a_fit_that_is_broken_off_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    search = functools.partial(scipy.optimize.minimize, options={"maxiter": 1})
    monkeypatch.setattr(scipy.optimize, "minimize", search)
    margin = demands(200, 1, SLOPES)
    with pytest.raises(RuntimeError, match="the fit to the spells' margins ended"):
        over_stretch(margin >= 0.0, margin, np.zeros((200, 1)), 36.0, capped=False)


def test_a_chance_of_which_no_level_is_found_is_told() -> None:
    with pytest.raises(RuntimeError, match="the search did not converge"):
        compound(np.array([0.2, np.nan]), np.array([1.0, 1.0]), 6.0)
