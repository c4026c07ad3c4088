"""What is said of the sources of uncertainty: for typed-in shares, and that every source has a name."""

from __future__ import annotations

from typing import Literal, get_args

import pytest

from anchorsim.numerics.interval import Interval
from anchorsim.risk.sensitivity import Influence, Key, Ranking, RankingSI, Sensitivity, doubts
from anchorsim.scenario.scenario import Scenario
from anchorsim.wording.sensitivity import LABELS, OF, RANGES, ranking, sentence

Of = Literal["peak load", "dragging"]


def influence(key: Key, low: float, likely: float, high: float) -> Influence:
    share = Interval(low, likely, high)
    return Influence(key, share, share)


WIND = influence("wind", 0.41, 0.52, 0.63)
WINDAGE = influence("windage", 0.2, 0.301, 0.4)
GUSTS = influence("gusts", 0.01, 0.11, 0.2)
HOLDING = influence("holding", 0.02, 0.06, 0.1)
DEPTH = influence("depth", -0.01, 0.01, 0.03)
LENGTH = influence("length", 0.0, 0.0, 0.0)
STRETCH = influence("stretch", 0.0, 0.02, 0.049)
UNSEEN = influence("friction", -0.1, 0.2, 0.5)


def ranked(*influences: Influence, of: Of = "peak load") -> Ranking:
    return Ranking(of, RankingSI(2600.0, 400.0), influences)


def found(dragging: Ranking | None, dragged: float = 0.3) -> Sensitivity:
    return Sensitivity(Scenario(), 896, ranked(WIND, DEPTH), dragging, dragged, ())


def test_the_three_largest_are_told_with_their_ranges_and_what_makes_little_difference() -> None:
    assert ranking(ranked(WIND, WINDAGE, GUSTS, HOLDING, STRETCH, DEPTH, LENGTH)) == (
        "Largest sources of uncertainty in peak load at the bow: mean wind against the forecast 52 % (41 to 63), "
        "then windage 30 % (20 to 40), then the order of gusts 11 % (1 to 20). Stretch left in the nylon, depth "
        "of water and rode really out make little difference."
    )
    assert ranking(ranked(HOLDING, LENGTH, of="dragging")) == (
        "Largest sources of uncertainty in whether the anchor drags: how well the anchor has set 6 % (2 to 10). "
        "Rode really out makes little difference."
    )


def test_shares_stay_between_none_and_all() -> None:
    """A sample's estimate of a share may lie outside, which nobody can read."""
    assert "against the forecast 98 % (70 to 100)." in ranking(ranked(influence("wind", 0.7, 0.98, 1.2)))


def test_what_cannot_be_told_from_none_is_not_ranked() -> None:
    assert ranking(ranked(UNSEEN)) == (
        "Too few spells to rank what matters for peak load at the bow. Run more."
    )
    assert "friction" not in ranking(ranked(WIND, UNSEEN))
    # At a twentieth it is worth a word, just under it is not.
    assert "gusts 5 %" in ranking(ranked(influence("gusts", 0.01, 0.05, 0.1)))
    assert "gusts" not in ranking(ranked(WIND, influence("gusts", 0.01, 0.0499, 0.1)))


def test_both_are_told_or_that_nothing_decides_dragging() -> None:
    peak = ranking(ranked(WIND, DEPTH))
    both = ranked(HOLDING, of="dragging")
    assert sentence(found(both)) == f"{peak} {ranking(both)}"
    assert sentence(found(None, 0.0)) == (
        f"{peak} The anchor drags in none of 896 spells, so nothing can be ranked. It may still drag."
    )
    assert sentence(found(None, 1.0)) == (
        f"{peak} The anchor drags in all of 896 spells, so nothing can be ranked."
    )


@pytest.mark.parametrize("of", ["peak load", "dragging"])
def test_every_source_and_every_ranking_has_a_name(of: Of) -> None:
    assert set(LABELS) == set(get_args(Key)) and len(set(LABELS.values())) == len(LABELS)
    assert of in OF
    for doubt in doubts(Scenario()):
        told = ranking(ranked(Influence(doubt, WIND.first, WIND.total), of=of))
        assert told == f"Largest sources of uncertainty in {OF[of]}: {LABELS[doubt]} 52 % (41 to 63)."


def test_each_has_a_name_a_range_and_where_the_range_is_from() -> None:
    assert set(RANGES) == set(LABELS) == set(get_args(Key))
    assert all(words and source for words, source in RANGES.values())


def test_a_range_is_that_which_is_drawn() -> None:
    """19 of 20 of a normal law lie within 1.96 standard deviations: 1.96 · 0.15 = 0.294."""
    assert RANGES["windage"][0] == "the push of a given wind: within 29 %, 19 times in 20"
    assert RANGES["loading"][0] == "95 to 115 % of the displacement"
