"""What is drawn and over what range, by value: each spread typed here again, by the normal law of SciPy."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.stats import kstest, norm

import anchorsim as am
from anchorsim.core.units import si
from anchorsim.risk import monte_carlo
from anchorsim.risk.sensitivity import Key, watch

SCENARIO = am.Scenario().vary({"weather.mean_wind": "20 knot", "weather.gust": "30 knot", "tackle.scope": 5})


def at(key: Key, share: float, scenario: am.Scenario = SCENARIO) -> tuple[am.Scenario, dict[str, float]]:
    """The scenario and what chance gives it with one doubt at a quantile of its range."""
    varied, chance = watch(scenario, (key,), np.array([share]))
    return varied, chance._asdict()


@pytest.mark.parametrize(
    ("name", "spread"), [("windage", 0.15), ("line_drag", 0.25)]
)  # standard deviations of the logarithm, both judgement
def test_factors_are_drawn_with_their_spread(name: str, spread: float) -> None:
    logs = np.log([getattr(monte_carlo.draw(number), name) for number in range(2000)])
    # the standard deviation of a sample of 2000 is off by 1/√4000, so four of that
    assert logs.std() == pytest.approx(spread, rel=4 / math.sqrt(4000))
    assert logs.mean() == pytest.approx(0.0, abs=4 * spread / math.sqrt(2000))
    assert kstest(logs, "norm", args=(0.0, spread)).pvalue > 1e-3


def test_what_is_not_drawn_is_as_stated() -> None:
    assert {(one.water, one.friction) for one in map(monte_carlo.draw, range(20))} == {(1.0, 1.0)}


@pytest.mark.parametrize("share", [0.025, 0.2, 0.975])
@pytest.mark.parametrize(
    ("key", "factor", "spread"),
    [("windage", "windage", 0.15), ("water", "water", 0.20), ("friction", "friction", 0.15),
     ("line drag", "line_drag", 0.25)],
)  # fmt: skip
def test_a_factor_at_a_quantile(key: Key, factor: str, spread: float, share: float) -> None:
    varied, chance = at(key, share)
    assert chance[factor] == pytest.approx(math.exp(spread * norm.ppf(share)))  # judgement, all four
    others = {"windage", "water", "friction", "line_drag"} - {factor}
    assert all(chance[other] == 1.0 for other in others)
    assert varied == SCENARIO and chance["holding_quantile"] == 0.5 and chance["seed"] == 1


def test_holding_and_gusts_are_taken_as_they_are_drawn() -> None:
    assert at("holding", 0.9)[1]["holding_quantile"] == pytest.approx(0.9)
    assert at("gusts", 0.25)[1]["seed"] == 2**18  # of 2²⁰


@pytest.mark.parametrize("level", [0, 9, 31])
def test_the_mean_wind_stands_at_thirty_two_levels(level: int) -> None:
    """The middle of each thirty-second part of a lognormal law of 0.10 (judgement); gusts go with it."""
    wanted = math.exp(0.10 * norm.ppf((level + 0.5) / 32))
    for within in (0.01, 0.99):
        weather = at("wind", (level + within) / 32)[0].weather
        assert weather.mean_wind.m_as("knot") == pytest.approx(20.0 * wanted)
        assert weather.effective_gust.m_as("knot") == pytest.approx(30.0 * wanted)


def test_the_squall_goes_with_the_mean_wind_and_not_with_the_gusts() -> None:
    squall = SCENARIO.vary({"weather.squall_wind": "40 knot"})
    blows = math.exp(0.10 * norm.ppf(31.5 / 32))
    assert at("wind", 0.99, squall)[0].weather.squall_wind.m_as("knot") == pytest.approx(40.0 * blows)
    assert at("gustiness", 0.99, squall)[0].weather.squall_wind.m_as("knot") == pytest.approx(40.0)


@pytest.mark.parametrize("share", [0.025, 0.975])
def test_gusts_go_over_the_mean_by_more_or_less(share: float) -> None:
    weather = at("gustiness", share)[0].weather
    assert weather.mean_wind.m_as("knot") == pytest.approx(20.0)
    over = 10.0 * math.exp(0.15 * norm.ppf(share))  # judgement
    assert weather.effective_gust.m_as("knot") == pytest.approx(20.0 + over)


@pytest.mark.parametrize("share", [0.1, 0.9])
def test_length_let_out_is_more_or_less(share: float) -> None:
    wanted = SCENARIO.paid_out * math.exp(0.05 * norm.ppf(share))  # judgement
    varied = at("length", share)[0]
    assert varied.paid_out == pytest.approx(wanted)
    assert varied.water_depth == pytest.approx(SCENARIO.water_depth)


def test_the_depth_as_surveys_have_it() -> None:
    """IHO S-44 order 1 (from memory): √(0.5² + (0.013 depth)²) m at 95 %; 0.722 m over 40 m."""
    deep = am.Scenario().vary({"spot.depth": "40 m", "tackle.chain.length": "200 m"})
    ends = [at("depth", share, deep)[0].water_depth for share in (norm.cdf(-1.96), norm.cdf(1.96))]
    assert ends == pytest.approx([40 - 0.7214, 40 + 0.7214], abs=5e-5)


def test_the_depth_stays_where_she_floats() -> None:
    draught = si(SCENARIO.boat.draught)
    shallow = SCENARIO.vary({"spot.depth": f"{draught + 0.05} m", "tackle.scope": 7})
    assert si(at("depth", 0.001, shallow)[0].spot.depth) == pytest.approx(draught)


@pytest.mark.parametrize(("share", "left"), [(0.0, 0.7), (0.5, 0.85), (1.0, 1.0)])
def test_nylon_has_seven_tenths_of_its_stretch_left_or_all(share: float, left: float) -> None:
    stretch = at("stretch", min(max(share, 1e-9), 1 - 1e-9))[0].tackle
    assert (stretch.snubber.stretch, stretch.rope.stretch) == pytest.approx(
        (left, left), abs=1e-8
    )  # judgement
    old = SCENARIO.vary({"tackle.snubber.stretch": 0.25})  # 0.2 is the least that a scenario takes
    assert at("stretch", 0.5, old)[0].tackle.snubber.stretch == pytest.approx(max(0.85 * 0.25, 0.2))
    assert at("stretch", 1e-9, old)[0].tackle.snubber.stretch == pytest.approx(0.2)


@pytest.mark.parametrize(("share", "factor"), [(0.0, 0.95), (0.5, 1.05), (1.0, 1.15)])
def test_she_is_a_little_lighter_or_heavier(share: float, factor: float) -> None:
    boat = at("loading", min(max(share, 1e-9), 1 - 1e-9))[0].boat
    assert si(boat.displacement) / si(SCENARIO.boat.displacement) == pytest.approx(factor)  # judgement


def test_deeper_by_no_more_than_a_scope_of_1_2_takes() -> None:
    """All that is let out, hung upright, is a fifth more than the bow is high over the bottom."""
    short = SCENARIO.vary({"tackle.scope": 1.21, "spot.depth": "6 m"})
    varied = at("depth", 0.999, short)[0]
    above = si(short.boat.bow_height)
    assert si(varied.spot.depth) == pytest.approx(short.paid_out / 1.2 - above)
    assert varied.tackle.scope == pytest.approx(1.2) and varied.paid_out == pytest.approx(short.paid_out)
    tide = short.vary({"spot.tide": "2 m", "tackle.scope": 1.21})
    deeper = at("depth", 0.999, tide)[0]
    assert si(deeper.spot.depth) == pytest.approx(tide.paid_out / 1.2 - above - 2.0)


def test_shallower_by_no_more_than_she_draws_at_this_tide_or_half_a_metre() -> None:
    draught = si(SCENARIO.boat.draught)
    flood = SCENARIO.vary({"spot.depth": f"{draught - 0.95} m", "spot.tide": "1 m", "tackle.scope": 7})
    assert si(at("depth", 0.001, flood)[0].spot.depth) == pytest.approx(draught - 1.0)
    spring = SCENARIO.vary({"spot.depth": "0.55 m", "spot.tide": "4 m", "tackle.scope": 7})
    assert si(at("depth", 0.001, spring)[0].spot.depth) == pytest.approx(0.5)


def test_winds_stay_within_what_a_scenario_takes() -> None:
    """80 knots of mean wind, 140 in gusts, 100 in a squall."""
    strong = {"weather.mean_wind": "75 knot", "weather.gust": "130 knot", "weather.squall_wind": "95 knot"}
    storm = SCENARIO.vary({**strong, "weather.squall_start": "0 min"})
    weather = at("wind", 0.99, storm)[0].weather
    assert weather.mean_wind.m_as("knot") == pytest.approx(80.0)
    assert weather.squall_wind.m_as("knot") == pytest.approx(100.0)
    assert weather.effective_gust.m_as("knot") == pytest.approx(80.0 * 130.0 / 75.0)
    assert at("gustiness", 0.999, storm)[0].weather.effective_gust.m_as("knot") == pytest.approx(140.0)


def test_gusts_that_go_under_the_mean_are_those_of_a_steady_wind() -> None:
    steady = SCENARIO.vary({"weather.gust": "20 knot"})
    for share in (0.01, 0.99):
        assert at("gustiness", share, steady)[0].weather.effective_gust.m_as("knot") == pytest.approx(20.0)
