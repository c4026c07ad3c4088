"""Chances over a stretch of time: for one spell, where all ends alike, and in order."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from invented_spells import invented

import anchorsim as am
from anchorsim.numerics.hazard import over_stretch
from anchorsim.numerics.interval import Interval
from anchorsim.risk import stretch
from anchorsim.risk.draws import scores
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


@pytest.mark.parametrize(("seed", "scatter"), [*((seed, 0.2) for seed in range(12)), (12, 0.02)])
def test_failing_is_no_less_likely_than_any_way_of_it(seed: int, scatter: float) -> None:
    """Any range in which the holding, the water and the room beside it are used.

    Holding that is used evenly stands before the margins of the room, which then say less than by themselves.
    """
    random = np.random.default_rng(seed)
    used = random.uniform(0.2, 1.0) * random.lognormal(0.0, scatter, 60)
    drag = np.where(used > 1.0, 3.0, random.choice([0.0, 0.4], 60, p=[0.95, 0.05]))
    water = 8.0 if seed % 2 else random.uniform(2.2, 8.0, 60)
    found = invented(drag=drag, used=np.minimum(used, 1.0), water=water, count=60)
    failed = found.share("failed")
    for what in ("dragged", "may have broken", "broke", "out of room", "aground"):
        for less, more in zip(found.share(what), failed, strict=True):
            assert less <= more + 1e-12, what


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


# --- How near each spell came -------------------------------------------------------------------------------


def test_demands_by_hand() -> None:
    """Water over draught, how far she came over how far that and what was left, and over the clear radius."""
    rock = [{"name": "rock", "at": [{"bearing": "45 degree", "distance": "60 m"}]}]
    given = {"radius": [40.0, 49.0, 60.0, 30.0], "closest": [[10.0], [21.0], [0.0], [90.0]], "count": 4}
    found = invented(**given, water=8.0, surroundings__dangers=rock, clear_radius=50.0)
    # 2 m of draught in 8 m of water: a quarter; 40/(40 + 10); 49/50; at the rock and outside; 30/50
    assert found._demands.room == pytest.approx([0.8, 0.98, 1.0, 0.6])
    assert found._demands.travel.tolist() == [0.0] * 4 and found._demands.holding.tolist() == [0.3] * 4
    wide = invented(**given, water=2.5, surroundings__dangers=rock)
    assert wide._demands.room == pytest.approx([0.8, 0.8, 1.0, 0.8])
    assert invented(water=0.0)._demands.room == pytest.approx([1.0] * 8), "dry, she is aground and no more"
    assert invented(water=1.0)._demands.room == pytest.approx([1.0] * 8)
    assert found._demands.scores == pytest.approx(np.array([scores(number) for number in range(4)]))


def test_loads_over_strength_are_those_of_the_part_nearest_to_it() -> None:
    found = invented(peak=[3e3, 9e3], anchor=[2e3, 0.0], count=2)
    for place in range(2):
        ratios = [
            [state.as_new.load((3e3, 9e3)[place], (2e3, 0.0)[place]) / end for end in ends]
            for state in found.states
            for ends in [(state.strength_left.low, state.strength_left.likely, state.wll.likely)]
        ]
        least, likely, wll = np.max(ratios, axis=0)
        demands = found._demands
        assert (demands.least[place], demands.likely[place], demands.wll[place]) == pytest.approx(
            (least, likely, wll)
        )


@pytest.mark.parametrize(
    ("spells", "enough"), [(1.0, 1.0), (2.0, 0.5), (3.0, 1 / 3), (4.0, 0.28), (36.0, 0.28)]
)
def test_creep_adds_up_to_a_metre_at_the_end(spells: float, enough: float) -> None:
    """A metre over the number of spells, and 0.28 m at the least (fitted to runs of many hours)."""
    demands = invented(drag=[enough - 1e-9, enough, enough + 1e-9])._demands
    assert stretch._far_off_in_the_end(demands, spells).tolist() == [False, *[True] * 7]


def test_each_word_over_six_hours_is_told_from_its_own_margin(windy: am.Assessment) -> None:
    """The words' events and demands put together by hand, and told over 36 spells by the one law."""
    drag, scored = windy.spells.drag, np.array([scores(number) for number in range(100)])
    strengths = [(part.strength_left.low, part.strength_left.likely) for part in windy.states]
    least, likely = (
        np.max([load / ends[which] for load, ends in zip(windy.loads.m, strengths, strict=True)], axis=0)
        for which in (0, 1)
    )
    room = windy._demands.room
    holds = np.maximum(windy.spells.holding_used, least)
    off, may, broke = drag >= 0.28, least > 1.0, likely > 1.0

    def told(happened: np.ndarray, near: np.ndarray, capped: bool) -> Interval:
        return over_stretch(happened, np.log(near), scored, 36.0, capped=capped)

    overloaded = told(windy.use.max(axis=0) > 1.0, windy.use.max(axis=0), False)
    assert tuple(windy.share("overloaded")) == tuple(overloaded)
    assert tuple(windy.share("out of room")) == tuple(told(windy.happened("out of room"), room, True))
    failed = told(windy.happened("failed") | off, np.maximum(holds, room), True)
    assert tuple(windy.share("failed")) == tuple(failed)
    assert tuple(windy.share("broke")) == tuple(told(broke, likely, False))
    moves, drags = told((drag >= 0.1) | may, holds, True), told(off | may, holds, True)
    assert tuple(windy.share("held")) == pytest.approx((1 - moves.high, 1 - moves.likely, 1 - moves.low))
    may_break, breaks = told(may, least, False), told(broke, likely, False)
    for ending, these, graver in (
        ("crept", moves, drags), ("dragged", drags, may_break), ("may have broken", may_break, breaks)
    ):  # fmt: skip
        wanted = np.clip(np.array(tuple(these)) - graver.likely, 0.0, 1.0)
        assert tuple(windy.share(ending)) == pytest.approx(tuple(wanted))  # type: ignore[arg-type]
        assert windy.share(ending).kind == "95 % confidence"  # type: ignore[arg-type]


def test_a_stretch_is_at_the_most_ten_days(windy: am.Assessment) -> None:
    assert windy.share("held", "240 hour").likely <= windy.share("held", "200 hour").likely
    with pytest.raises(ValueError, match="stretch"):
        windy.share("held", "241 hour")
