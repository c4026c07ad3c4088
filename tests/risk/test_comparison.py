"""Variants side by side: every cell is what spells and limits of their own say."""

from __future__ import annotations

from concurrent.futures import CancelledError, ThreadPoolExecutor

import numpy as np
import pytest
from anchorsim.risk.outlook import as_found

import anchorsim as am
from anchorsim.risk.assessment import assess, odds
from anchorsim.risk.comparison import COLUMNS, MOST, Comparison, compare
from anchorsim.risk.limits import limit_wind

COUNT = 50
SHORT = am.Scenario().vary({"weather.duration": "1 min", "weather.mean_wind": "30 knot", "tackle.scope": 4})
RUSTED = am.Scenario.load("shared/survey-neglected-sloop.toml").vary({"weather.duration": "1 min"})
TRIED = {
    "as she lies": SHORT,
    "more rode": SHORT.vary({"tackle.scope": 7}),
    "neglected": RUSTED.vary({"weather.mean_wind": "30 knot"}),
}


@pytest.fixture(scope="module")
def found() -> Comparison:
    return compare(TRIED, COUNT, room={"more rode": 40.0})


def test_each_row_is_what_its_own_storms_and_limit_say(found: Comparison) -> None:
    rows = found.table()
    assert [row["Variant"] for row in rows] == list(TRIED)
    for name, row in zip(TRIED, rows, strict=True):
        spells = am.spells(as_found(TRIED[name]), COUNT)
        assert found[name].outlook.spells.same_as(spells)
        assert tuple(row) == COLUMNS
        assert row["Drags"] == odds(assess(spells).dragging)
        assert found[name].outlook.peak == assess(spells).peak
    (limit,) = limit_wind(TRIED["more rode"], [0.05], COUNT)
    assert found["more rode"].limit == limit
    assert rows[1]["Wind it stands"] == limit.show()
    assert "condemned: Chain 8 mm grade 30, Snubber 14 mm" in rows[2]["Weakest part"]
    assert found.table("US")[0]["Room"].split()[1] == "ft"


def test_room_is_for_those_it_is_given_for(found: Comparison) -> None:
    assert found["as she lies"].outlook.limit is None
    more = found["more rode"].outlook
    assert more.outside.likely == np.mean(more.spells.room > 40.0)
    assert more.failing.likely >= more.outside.likely > 0
    cause = f": she leaves her room in {odds(more.outside)}"
    assert found["more rode"].cells()[COLUMNS.index("Fails")] == f"{odds(more.failing)}{cause}"


def test_more_rode_stands_more_wind(found: Comparison) -> None:
    low, high = found["as she lies"].limit, found["more rode"].limit
    assert low and high and low.found and high.found
    assert low.found.likely < high.found.likely


def test_two_side_by_side(found: Comparison) -> None:
    apart = found.difference("as she lies", "neglected")
    fails = [found[name].outlook.fails.mean() for name in ("as she lies", "neglected")]
    assert apart.likely == pytest.approx(fails[1] - fails[0])
    told = odds(found["as she lies"].outlook.failing), odds(found["neglected"].outlook.failing)
    assert found.sentence("as she lies", "neglected") == (
        f"as she lies fails in {told[0]} of such storms, neglected in {told[1]}: more than chance explains."
    )
    same = compare({"one": SHORT, "other": SHORT}, COUNT)
    assert same.sentence("one", "other").startswith("50 storms cannot tell one from other: one fails in")
    with pytest.raises(KeyError, match="'nowhere' is none of as she lies, more rode, neglected"):
        found["nowhere"]


def test_a_wind_that_cannot_be_raised_has_no_limit() -> None:
    calm = SHORT.vary({"weather.mean_wind": "0 knot"})
    (row,) = compare({"calm": calm}, COUNT).table()
    assert row["Wind it stands"] == "no wind to raise"


def test_progress_rises_to_the_end_and_any_executor_will_do(found: Comparison) -> None:
    told: list[tuple[int, int]] = []
    with ThreadPoolExecutor(1) as one:
        again = compare(
            {"as she lies": SHORT},
            COUNT,
            executor=one,
            progress=lambda done, count: told.append((done, count)),
        )
    assert again["as she lies"].cells() == found["as she lies"].cells()
    assert [done for done, _ in told] == sorted(done for done, _ in told)
    assert told[-1] == (7 * COUNT, 7 * COUNT)


def test_it_can_be_stopped_at_any_time() -> None:
    for after in (0, COUNT):
        told = [0]

        def progress(done: int, _: int, told: list[int] = told) -> None:
            told[0] = done

        def cancel(told: list[int] = told, after: int = after) -> bool:
            return told[0] >= after

        with pytest.raises(CancelledError, match="was stopped; begin it again"):
            compare({"one": SHORT}, COUNT, progress=progress, cancel=cancel)


def test_what_makes_no_sense_is_refused() -> None:
    many = {f"variant {number}": SHORT for number in range(MOST + 1)}
    with pytest.raises(
        ValueError, match="variants: 13 were given; needed 1 to 12, as a table of more cannot"
    ):
        compare(many)
    with pytest.raises(ValueError, match="variants: 0 were given; needed 1 to 12"):
        compare({})
    with pytest.raises(ValueError, match="variants: a name is blank; needed a name for each; give one"):
        compare({" ": SHORT})
    with pytest.raises(
        ValueError, match="room: 40 m for 'other'; needed more than 0 m and the name of a var"
    ):
        compare({"one": SHORT}, room={"other": 40})
    with pytest.raises(ValueError, match="chance: 2 is no chance; needed more than 0 and less than 1"):
        compare({"one": SHORT}, chance=2)
    with pytest.raises(ValueError, match="count: 20 storms are too few for a limit; needed 50 at the least"):
        compare({"one": SHORT}, 20)
