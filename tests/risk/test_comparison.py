"""Variants side by side: every cell is what spells and limits of their own say."""

from __future__ import annotations

from concurrent.futures import CancelledError, ThreadPoolExecutor

import numpy as np
import pytest

import anchorsim as am
from anchorsim.core.units import quantity
from anchorsim.risk.comparison import MOST, Comparison, compare
from anchorsim.risk.limits import limit_wind
from anchorsim.risk.monte_carlo import spells
from anchorsim.strength.degradation import as_found

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
    return compare(TRIED, COUNT, clear_radius={"more rode": 40.0})


def test_each_variant_is_what_its_own_spells_and_limit_say(found: Comparison) -> None:
    assert [variant.name for variant in found.variants] == list(TRIED)
    for name, scenario in TRIED.items():
        alone = am.assess(scenario, COUNT)
        assert found[name].scenario == scenario
        assert found[name].assessment.spells.same_as(spells(as_found(scenario), COUNT))
        assert found[name].assessment.chance("dragged") == alone.chance("dragged")
        assert found[name].assessment.bad_peak_load == alone.bad_peak_load
    (limit,) = limit_wind(TRIED["more rode"], [0.05], COUNT)
    assert found["more rode"].limit == limit
    assert [part.name for part in found["neglected"].assessment.unfit] == [
        "Chain 8 mm grade 30", "Snubber 14 mm",
    ]  # fmt: skip


def test_a_clear_radius_is_for_those_it_is_given_for(found: Comparison) -> None:
    assert found["as she lies"].assessment.clear_radius is None
    assert found["as she lies"].assessment.count("outside") == 0
    more = found["more rode"].assessment
    assert more.clear_radius == quantity(40.0, "m")
    assert more.chance("outside").likely == np.mean(more.spells.radius > 40.0)
    assert more.chance("failed").likely >= more.chance("outside").likely > 0


def test_more_rode_holds_in_more_wind(found: Comparison) -> None:
    low, high = found["as she lies"].limit, found["more rode"].limit
    assert low and high and low.found and high.found
    assert low.found.likely < high.found.likely


def test_two_side_by_side(found: Comparison) -> None:
    apart = found.difference("as she lies", "neglected")
    fails = [found[name].assessment.happened("failed").mean() for name in ("as she lies", "neglected")]
    assert apart.likely == pytest.approx(fails[1] - fails[0])
    back = found.difference("neglected", "as she lies")
    assert tuple(back) == pytest.approx((-apart.high, -apart.likely, -apart.low))
    same = compare({"one": SHORT, "other": SHORT}, COUNT)
    none = same.difference("one", "other")
    assert none.low < none.likely == 0 < none.high
    with pytest.raises(am.ArgumentError, match=r'^name: "nowhere" is not known\. Expected one of as'):
        found["nowhere"]


def test_what_is_round_her_counts() -> None:
    """A rock in her way: she hits it in every spell, and so fails in every one."""
    rock = {"name": "rock", "at": [{"bearing": "45 degree", "distance": "15 m"}]}
    found = compare({"free": SHORT, "rock": SHORT.vary({"surroundings.dangers": [rock]})}, COUNT)
    assert found["rock"].assessment.count("touched") == found["rock"].assessment.count("failed") == COUNT
    assert found["free"].assessment.count("touched") == 0


def test_a_wind_that_cannot_be_raised_has_no_limit() -> None:
    calm = SHORT.vary({"weather.mean_wind": "0 knot"})
    (only,) = compare({"calm": calm}, COUNT).variants
    assert only.limit is None


def test_progress_rises_to_the_end_and_any_executor_will_do(found: Comparison) -> None:
    told: list[tuple[int, int]] = []
    with ThreadPoolExecutor(1) as one:
        again = compare(
            {"as she lies": SHORT},
            COUNT,
            executor=one,
            progress=lambda done, count: told.append((done, count)),
        )
    assert again["as she lies"].assessment.spells.same_as(found["as she lies"].assessment.spells)
    assert again["as she lies"].limit == found["as she lies"].limit
    assert [done for done, _ in told] == sorted(done for done, _ in told)
    assert told[-1] == (7 * COUNT, 7 * COUNT)


def test_it_can_be_stopped_at_any_time() -> None:
    for after, where in ((0, r"^Stopped\. Start again"), (COUNT, r"^Stopped\. Start again to get a result")):
        told = [0]

        def progress(done: int, _: int, told: list[int] = told) -> None:
            told[0] = done

        def cancel(told: list[int] = told, after: int = after) -> bool:
            return told[0] >= after

        with pytest.raises(CancelledError, match=where):
            compare({"one": SHORT}, COUNT, progress=progress, cancel=cancel)


def test_what_makes_no_sense_is_refused() -> None:
    many = {f"variant {number}": SHORT for number in range(MOST + 1)}
    with pytest.raises(ValueError, match=r"^variants: 13 given\. Expected 1 to 12\. Compare the likeliest"):
        compare(many)
    with pytest.raises(ValueError, match=r"^variants: 0 given\. Expected 1 to 12"):
        compare({})
    with pytest.raises(ValueError, match=r"^variants: a name is blank\. Expected a name for each\. Give one"):
        compare({" ": SHORT})
    with pytest.raises(ValueError, match=r'^clear_radius: "other" is not known\. Expected one of one'):
        compare({"one": SHORT}, clear_radius={"other": 40})
    with pytest.raises(ValueError, match=r"^chance: 2 is out of range"):
        compare({"one": SHORT}, chance=2)
    with pytest.raises(ValueError, match=r"^count: 0 is out of range\. Expected a whole number, 1 or more"):
        compare({"one": SHORT}, 0)


def test_too_few_spells_for_a_limit_are_enough_to_compare() -> None:
    (only,) = compare({"one": SHORT}, 20).variants
    assert only.limit is None and len(only.assessment) == 20
