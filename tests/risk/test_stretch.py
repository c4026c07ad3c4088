"""Chances over a stretch of time: for one spell, where all ends alike, and in order."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from invented_spells import invented

import anchorsim as am
from anchorsim.risk.outcome import ENDINGS

WINDY = am.Scenario().vary({"weather.mean_wind": "36 knot", "weather.gust": "48 knot"})


@pytest.fixture(scope="module")
def windy() -> am.Assessment:
    return am.assess(WINDY, 100)


def test_one_spell_is_what_was_counted(windy: am.Assessment) -> None:
    assert 10 < windy.count("dragged") < 90
    for ending in ENDINGS:
        assert windy.share(ending, "10 minute").likely == pytest.approx(windy.chance(ending).likely, abs=1e-6)


@pytest.mark.parametrize("stretch", ["10 minute", "1 hour", "6 hour", "24 hour"])
def test_endings_exclude_each_other_over_any_stretch(windy: am.Assessment, stretch: str) -> None:
    assert sum(windy.share(ending, stretch).likely for ending in ENDINGS) == pytest.approx(1.0, abs=1e-6)


def test_the_longer_it_blows_the_likelier_she_fails(windy: am.Assessment) -> None:
    found = [windy.share("failed", stretch) for stretch in ("10 minute", "1 hour", "6 hour", "24 hour")]
    for less, more in itertools.pairwise(found):
        assert less.likely < more.likely and less.low <= more.low and less.high <= more.high
    alone = windy.chance("failed").likely
    assert found[2].likely < 1.0 - (1.0 - alone) ** 36, "spells are not so many throws of a die"


def test_six_hours_unless_told_otherwise(windy: am.Assessment) -> None:
    assert windy.share("dragged") == windy.share("dragged", "6 hour")


def test_what_always_happens_does_so_over_any_stretch() -> None:
    found = invented(drag=[5.0], count=40)
    assert found.share("dragged").likely == pytest.approx(1.0) and found.share(
        "held"
    ).likely == pytest.approx(0.0)


def test_a_calm_night_is_not_said_to_be_dangerous() -> None:
    """Never more than a tenth of the holding was asked for: six hours of that change little."""
    calm = invented(count=200, used=np.random.default_rng(0).uniform(0.05, 0.1, 200))
    assert calm.share("dragged").high < 0.1


@pytest.mark.parametrize(
    ("stretch", "sentence"),
    [
        ("1 minute", "stretch: 1 minute is shorter than a spell. Expected 10 minute or more"),
        ("6 m", "is a length"),
    ],
)
def test_a_stretch_that_is_none_is_refused(windy: am.Assessment, stretch: str, sentence: str) -> None:
    with pytest.raises(ValueError, match=sentence):
        windy.share("dragged", stretch)
