"""Advice: what each piece claims is what spells run apart from it say, and it keeps to what she has."""

from __future__ import annotations

import functools
import itertools
from concurrent.futures import CancelledError, ThreadPoolExecutor

import numpy as np
import pytest
from invented_spells import invented

import anchorsim as am
from anchorsim.core.units import quantity, si
from anchorsim.planning.advice import Advice, _Trial, advise
from anchorsim.planning.measures import Candidate, candidates
from anchorsim.risk.clearances import TOUCH
from anchorsim.risk.monte_carlo import Spells, spells
from anchorsim.risk.outcome import LIMIT
from anchorsim.strength.components import gear

COUNT = 40
GALE = am.Scenario().vary({
    "weather.duration": "1 min",
    "weather.mean_wind": "33 knot",
    "tackle.scope": 4,
    "tackle.fittings.second_anchor.mass": "12 kg",
})  # fmt: skip
CALM = GALE.vary({"weather.mean_wind": "8 knot", "tackle.scope": 5})
HOPELESS = GALE.vary({"weather.mean_wind": "60 knot", "spot.bottom": "soft mud"})
RUSTED = am.Scenario.load("shared/survey-neglected-sloop.toml").vary({"weather.duration": "1 min"})


@pytest.fixture(scope="module")
def found() -> list[Advice]:
    return advise(GALE, COUNT)


@functools.cache
def fails_at(scenario: am.Scenario) -> tuple[am.Limit, ...]:
    """The wind at which a scenario fails as often as the limit allows, sought by itself."""
    return am.limit_wind(scenario, 0.05, 50, of="failing")


def dragged(found: Spells) -> np.ndarray:
    """By hand: 1 m or more from where the anchor was set."""
    return found.drag >= 1.0


def overloaded(found: Spells) -> np.ndarray:
    """By hand: the load on some part in line is more than its WLL."""
    line = [part for part in gear(found.scenario) if part.carries != "if all runs out"]
    loads = zip(found.peak_load, found.peak_anchor_load, strict=True)
    return np.array([any(part.load(*load) > part.wll.likely for part in line) for load in loads])


def out_though_it_held(found: am.Assessment) -> float:
    return float(np.mean(found.happened("out of room") & ~dragged(found.spells)))


def may_break(found: am.Assessment) -> float:
    return (found.count("may have broken") + found.count("broke")) / len(found)


def changes(found: list[Advice]) -> list[Candidate]:
    return [one.change for one in found if one.change]


def kinds(found: list[Advice]) -> set[str]:
    return {one.kind for one in changes(found)}


def test_every_claim_is_what_spells_of_their_own_say(found: list[Advice]) -> None:
    before = spells(GALE, COUNT)
    told = [one for one in found if one.change]
    assert len(told) >= 4
    for one in told:
        assert one.change is not None
        after = spells(one.change.apply(GALE), COUNT)
        assert one.after.spells.same_as(after) and one.before.spells.same_as(before)
        for what, by_hand in (("dragged", dragged), ("overloaded", overloaded)):
            then, now = by_hand(after), by_hand(before)
            assert one.after.chance(what).likely == then.mean()  # type: ignore[arg-type]
            assert one.before.chance(what).likely == now.mean()  # type: ignore[arg-type]
            assert one.change_in(what).likely == pytest.approx(then.mean() - now.mean())  # type: ignore[arg-type]
        assert one.aboard == (one.change.source == "aboard")


def test_the_best_comes_first_and_all_help(found: list[Advice]) -> None:
    told = [one for one in found if one.change]
    ranks = [(one.after.chance("failed").likely, one.after.chance("overloaded").likely) for one in told]
    assert ranks == sorted(ranks)
    before = (told[0].before.chance("failed").likely, told[0].before.chance("overloaded").likely)
    assert all(rank < before for rank in ranks)


def test_a_heavier_anchor_never_drags_more_in_any_storm() -> None:
    drags = [
        dragged(spells(GALE.vary({"tackle.anchor.mass": f"{mass} kg"}), COUNT)) for mass in (16, 20, 25, 40)
    ]
    for lighter, heavier in itertools.pairwise(drags):
        assert not np.any(heavier & ~lighter)
    assert drags[0].mean() > drags[-1].mean()


def test_it_never_goes_beyond_the_rode_or_the_clear_radius(found: list[Advice]) -> None:
    radius = float(np.quantile(spells(GALE.vary({"tackle.scope": 4.5}), COUNT).radius, 0.9))
    narrow = advise(GALE, COUNT, clear_radius=radius)
    (all_of_it,) = (one for one in candidates(GALE) if one.kind == "let out all")
    assert all_of_it.amounts == pytest.approx((60 / 7.4, 60.0))  # 60 m aboard; roller 1.4 m over 6 m of water
    assert all_of_it in changes(found)
    assert "let out all" not in kinds(narrow)
    for one in changes([*found, *narrow]):
        if one.source == "aboard":
            assert one.apply(GALE).paid_out <= GALE.rode_aboard + 1e-9
    assert changes(narrow)
    for each in narrow:
        if each.change:
            assert out_though_it_held(each.after) <= max(LIMIT, out_though_it_held(each.before))
            assert each.after.clear_radius == quantity(radius, "m") and each.after.bounded
            assert may_break(each.after) <= max(LIMIT, may_break(each.before))


def test_what_helps_but_swings_her_outside_the_clear_radius_is_left_out() -> None:
    short = GALE.vary({"tackle.scope": 2, "weather.mean_wind": "25 knot"})
    (all_of_it,) = (one for one in candidates(short) if one.kind == "let out all")
    let_out = spells(all_of_it.apply(short), 20)
    wide, narrow = float(let_out.radius.max() + 1.0), float(np.median(let_out.radius))
    assert all_of_it in changes(advise(short, 20, clear_radius=wide))
    found = advise(short, 20, clear_radius=narrow)
    assert all_of_it not in changes(found)
    fails = dragged(let_out) | (let_out.radius > narrow)
    assert fails.mean() < found[0].before.chance("failed").likely  # it would help all the same


def test_what_lies_round_her_ends_her_room() -> None:
    rock = {"name": "a rock", "at": [{"bearing": "45 degree", "distance": "44 m"}]}  # downwind
    narrow = GALE.vary({"surroundings.dangers": [rock], "tackle.anchor.mass": "60 kg"})
    told: list[tuple[int, int]] = []
    found = advise(narrow, 20, progress=lambda done, count: told.append((done, count)))
    hit = spells(narrow, 20).closest[:, 0] < TOUCH
    assert found[0].before.chance("touched").likely == np.mean(hit)
    assert found[-1].after.bounded and found[-1].after.clear_radius is None
    for one in found:
        if one.change:
            hit = spells(one.change.apply(narrow), 20).closest[:, 0] < TOUCH
            assert one.after.chance("touched").likely == np.mean(hit)
            assert out_though_it_held(one.after) <= max(LIMIT, out_though_it_held(one.before))
    wild = [one for one in candidates(narrow) if one.kind in ("let out", "let out all", "longer")]
    assert wild and not any(one in changes(found) for one in wild)
    assert [done for done, _ in told] == sorted(done for done, _ in told)
    assert told[-1][0] == told[-1][1]


def test_a_calm_gets_no_alarm() -> None:
    assert advise(CALM, COUNT) == []
    breeze = advise(CALM.vary({"weather.mean_wind": "20 knot", "weather.duration": "2 min"}), 20)
    assert all(not one.leave and one.clear and one.within_limit for one in breeze)


def test_a_hopeless_one_says_leave() -> None:
    first = advise(HOPELESS, 50)[0]
    assert first.leave and first.aboard and not first.within_limit
    assert not first.after.within_limit
    assert dragged(spells(HOPELESS, 50)).all() and first.before.count("failed") == 50
    assert (first.wind,) == fails_at(HOPELESS)
    assert advise(HOPELESS, 8)[0].wind is None  # so few spells tell no wind


def test_leaving_comes_with_the_wind_at_which_the_anchor_drags_as_often_as_the_limit_allows() -> None:
    calm = {"weather.mean_wind": "0 knot"}
    for changes, sought in (({}, True), (calm, False)):
        scenario = HOPELESS.vary(changes)
        trial = _Trial(scenario, np.arange(50), None, None, None, None, 0)
        wind = trial.wind(invented(count=50, drag=[5.0], scenario=scenario))
        assert (wind is not None) == sought
        if wind is not None:
            assert (wind,) == fails_at(scenario)
            assert wind.found is not None and wind.found.likely < si(scenario.weather.mean_wind)
    assert _Trial(HOPELESS, np.arange(50), None, None, None, None, 0).wind(invented(count=50)) is None


def test_what_only_the_shore_can_mend_says_leave_and_what_to_buy() -> None:
    aboard = {"boat.riding_sail": "6 m²", "tackle.chain.length": "30 m"}  # all set and let out already
    aboard["tackle.fittings.second_anchor.mass"] = "5 kg"
    bad = GALE.vary({"tackle.anchor.mass": "6 kg", **aboard})
    found = advise(bad, COUNT)
    assert found[0].leave
    assert found[0].best is not None and found[0].best.source == "ashore"
    assert found[0].after.within_limit
    assert any(one.within_limit for one in found[1:])
    assert not any(one.within_limit and one.aboard for one in found)


def test_where_something_aboard_is_enough_it_does_not_say_leave() -> None:
    short = GALE.vary({"tackle.scope": 2, "weather.mean_wind": "23 knot"})
    found = advise(short, 20)
    assert not found[0].before.within_limit
    assert not any(one.leave for one in found)
    assert any(one.within_limit and one.aboard for one in found)
    assert max(one.before.spells.uplift.max() for one in found) > 0.2  # short scope pulls the anchor upwards


def test_what_is_not_fit_for_use_is_barred_until_it_is_renewed() -> None:
    found = advise(RUSTED.vary({"weather.mean_wind": "8 knot"}), 10)
    assert found[0].leave
    assert [part.name for part in found[0].before.unfit] == ["Chain 8 mm grade 30", "Snubber 14 mm"]
    for one in found[1:]:
        assert one.within_limit == (not one.after.unfit and one.after.chance("failed").likely <= LIMIT)
    assert found[1].within_limit and found[1].change is not None


def test_a_difference_within_the_chance_of_so_few_spells_is_told_from_a_clear_one(
    found: list[Advice],
) -> None:
    few = [one for one in advise(GALE, 10) if one.change and not one.clear]
    assert few
    for one in few:
        drags = one.change_in("dragged")
        assert drags.low < 0 < drags.high or drags.likely == 0
    assert [one for one in found if one.change and one.clear]


def test_spells_that_were_run_are_not_run_again_and_any_executor_gives_the_same(found: list[Advice]) -> None:
    told: list[tuple[int, int]] = []
    known = am.assess(GALE, COUNT)
    with ThreadPoolExecutor(1) as one:
        again = advise(
            GALE, known=known, executor=one, progress=lambda done, count: told.append((done, count))
        )
    assert again[0].before.spells.same_as(known.spells)
    assert [each.change for each in again] == [each.change for each in found]
    assert all(one.after.spells.same_as(two.after.spells) for one, two in zip(again, found, strict=True))
    assert [done for done, _ in told] == sorted(done for done, _ in told)
    assert told[0][0] > COUNT  # the first that is told of has been run before
    assert len({count for _, count in told}) == 1
    assert told[-1][0] == told[-1][1] == (len(candidates(GALE)) + 3) * COUNT
    with pytest.raises(ValueError, match=r"known: from another scenario\. Expected this scenario's\. Omit"):
        advise(CALM, known=known)


def test_it_can_be_stopped() -> None:
    with pytest.raises(CancelledError, match=r"Stopped\. Start again to get a result\."):
        advise(GALE, COUNT, cancel=lambda: True)


def test_numbers_that_make_no_sense_are_refused() -> None:
    metres = r"^clear_radius: -3 is out of range\. Expected a number of metres above 0\."
    with pytest.raises(ValueError, match=metres):
        advise(GALE, COUNT, clear_radius=-3)
    with pytest.raises(ValueError, match=r"^count: 0 is out of range\. Expected a whole number, 1 or more\."):
        advise(GALE, 0)
