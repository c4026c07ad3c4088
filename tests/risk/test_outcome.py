"""What happened in one spell: each word at its threshold, and on either side of it."""

from __future__ import annotations

import numpy as np
import pytest
from invented_spells import invented

from anchorsim.risk.clearances import SHELF
from anchorsim.risk.outcome import ENDINGS, LIMIT, SELDOM


@pytest.mark.parametrize(
    ("travel", "ending"),
    [(0.0, "held"), (0.0999, "held"), (0.1, "crept"), (0.999, "crept"), (1.0, "dragged"), (40.0, "dragged")],
)
def test_an_anchor_creeps_from_a_tenth_of_a_metre_and_drags_from_one(travel: float, ending: str) -> None:
    assert [outcome.ending for outcome in invented(drag=[travel]).outcomes] == [ending] * 8


def test_gear_may_break_over_its_least_strength_and_breaks_over_its_likely_one() -> None:
    """Just under and over the ends of the part that gives first; its range is that of what was found."""
    few_tucks = [{"kind": "splice of few tucks", "measured": 3.0}]
    worn = {
        "survey__findings": few_tucks,
        "tackle__rope__length": "60 m",
        "tackle__chain__length": "10 m",
        "tackle__snubber__length": "0 m",
    }
    states = invented(**worn).states
    least = min(part.strength_left.low for part in states)
    likely = min(part.strength_left.likely for part in states)
    assert least < 0.9 * likely
    loads = [factor * end for end in (least, likely) for factor in (0.999, 1.001)]
    found = invented(peak=loads, anchor=loads, count=4, **worn)
    assert [outcome.ending for outcome in found.outcomes] == [
        "held", "may have broken", "may have broken", "broke",
    ]  # fmt: skip
    first = next(part.name for part in states if part.strength_left.low == least)
    assert [first in outcome.gave_way for outcome in found.outcomes] == [False, True, True, True]


def test_the_gravest_word_is_the_ending() -> None:
    found = invented(peak=[1e6], drag=[5.0])
    assert {outcome.ending for outcome in found.outcomes} == {"broke"}
    assert found.count("dragged") == 0, "endings exclude each other"
    assert sum(found.count(ending) for ending in ENDINGS) == len(found)


def test_aground_is_on_a_shoal_at_low_water_or_in_the_water_of_now() -> None:
    assert not any(outcome.aground for outcome in invented(water=2.01).outcomes), "she draws 2 m"
    now = invented(water=1.99)
    assert all(outcome.grounded_on == (SHELF,) for outcome in now.outcomes)
    rocks = {
        "surroundings__dangers": [
            {"name": "the rock", "at": [{"bearing": "45 degree", "distance": "30 m"}]},
            {"name": "the bar", "depth": "1 m", "at": [{"bearing": "45 degree", "distance": "30 m"}]},
            {"name": "the deep", "depth": "9 m", "at": [{"bearing": "45 degree", "distance": "30 m"}]},
        ]
    }
    near = [[0.0, 3.0], [3.0, 0.0], [0.009, 0.011], [3.0, 3.0]]
    found = invented(count=4, closest=near, **rocks)
    assert [thing.name for thing in found.spells.things] == ["the rock", "the bar"], (
        "over the deep she floats"
    )
    assert [outcome.hit for outcome in found.outcomes] == [("the rock",), (), ("the rock",), ()]
    assert [outcome.grounded_on for outcome in found.outcomes] == [(), ("the bar",), (), ()]
    assert found.count("touched") == 2 and found.count("aground") == 1 and found.count("out of room") == 3


def test_outside_is_beyond_the_clear_radius() -> None:
    found = invented(radius=[49.0, 50.0, 50.1, 60.0], clear_radius=50.0, count=4)
    assert found.happened("outside").tolist() == [False, False, True, True]
    assert invented(radius=[1e6]).count("outside") == 0, "no end to the water she has"


def test_failing_is_any_of_what_it_is_said_to_be() -> None:
    cases = [invented(drag=[1.0]), invented(peak=[1e6]), invented(water=1.0), invented(clear_radius=10.0)]
    assert all(found.count("failed") == 8 for found in cases)
    for fine in (invented(), invented(drag=[0.99])):
        assert fine.count("failed") == 0


def test_overloaded_is_over_the_wll_of_any_part() -> None:
    parts = invented().states
    least = min(part.wll.likely for part in parts if part.as_new.carries in ("bow", "snubber"))
    assert invented(peak=[1.001 * least]).count("overloaded") == 8
    assert invented(peak=[0.999 * least]).count("overloaded") == 0


def test_an_unknown_word_is_refused() -> None:
    with pytest.raises(ValueError, match=r'^what: "sank" is not known\. Expected one of held, crept'):
        invented().happened("sank")  # type: ignore[arg-type]


def test_chances_are_the_counts() -> None:
    found = invented(drag=[2.0, 2.0, 0.5, 0.0])
    assert (found.count("dragged"), found.count("crept"), found.count("held")) == (2, 1, 5)
    assert found.chance("dragged").likely == np.mean([o.ending == "dragged" for o in found.outcomes]) == 0.25
    low, _, high = found.chance("dragged")
    assert (low, high) == pytest.approx((0.0715, 0.5907), abs=0.0001)  # Wilson (1927), by his formula, 2 of 8


def test_one_in_twenty_is_seldom_and_is_accepted() -> None:
    """Both judgement: a bad spell is one in twenty, and she may fail in one of twenty and no more."""
    assert (SELDOM, LIMIT) == (0.05, 0.05)
    assert invented(drag=[2.0, 0.0], count=20).within_limit
    assert not invented(drag=[2.0, 2.0, 0.0], count=20).within_limit
