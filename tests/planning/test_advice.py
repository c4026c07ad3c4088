"""Advice: what each sentence claims is what spells run apart from it say, and it keeps to what she has."""

from __future__ import annotations

import itertools
from concurrent.futures import CancelledError, ThreadPoolExecutor

import numpy as np
import pytest
from anchorsim.risk.outlook import SAFE, as_found

import anchorsim as am
from anchorsim.numerics.estimates import chance
from anchorsim.planning.advice import Advice, advise
from anchorsim.planning.measures import candidates
from anchorsim.risk.assessment import odds
from anchorsim.risk.swinging_room import TOUCH, room_needed
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


def strained(spells: am.Spells) -> np.ndarray:
    line = [part for part in gear(spells.scenario) if part.carries != "if all runs out"]
    pulls = zip(spells.peak_load, spells.peak_anchor_load, strict=True)
    return np.array([any(part.load(*pull) > part.wll.likely for part in line) for pull in pulls])


def test_every_claim_is_what_storms_of_their_own_say(found: list[Advice]) -> None:
    before = am.spells(GALE, COUNT)
    told = [one for one in found if one.change]
    assert len(told) >= 4
    for one in told:
        assert one.change is not None
        after = am.spells(one.change.apply(GALE), COUNT)
        assert one.after.spells.same_as(after)
        text = one.sentence()
        for then, now in ((after.dragged, before.dragged), (strained(after), strained(before))):
            assert odds(chance(then)) in text
            if then.mean() != now.mean():
                assert f"in {odds(chance(then))} instead of {odds(chance(now))}" in text
        assert text.startswith(one.action())
        assert ("(aboard now)" in text) == (one.change.source == "aboard")
        assert one.dragging.likely == pytest.approx(after.dragged.mean() - before.dragged.mean())


def test_the_best_comes_first_and_all_help(found: list[Advice]) -> None:
    told = [one for one in found if one.change]
    ranks = [(one.after.failing.likely, one.after.strained.likely) for one in told]
    assert ranks == sorted(ranks)
    before = (told[0].before.failing.likely, told[0].before.strained.likely)
    assert all(rank < before for rank in ranks)


def test_a_heavier_anchor_never_drags_more_in_any_storm() -> None:
    drags = [
        am.spells(GALE.vary({"tackle.anchor.mass": f"{mass} kg"}), COUNT).dragged for mass in (16, 20, 25, 40)
    ]
    for lighter, heavier in itertools.pairwise(drags):
        assert not np.any(heavier & ~lighter)
    assert drags[0].mean() > drags[-1].mean()


def test_it_never_goes_beyond_the_rode_or_the_room(found: list[Advice]) -> None:
    room = float(np.quantile(am.spells(GALE.vary({"tackle.scope": 4.5}), COUNT).room, 0.9))
    narrow = advise(GALE, COUNT, room=room)
    wide = {one.action() for one in found}
    assert "Let out all her rode, to a scope of 8.1, 60 m in all" in wide
    assert "Let out all her rode, to a scope of 8.1, 60 m in all" not in {one.action() for one in narrow}
    for one in [*found, *narrow]:
        if one.change and one.change.source == "aboard":
            assert one.change.apply(GALE).paid_out <= GALE.rode_aboard + 1e-9
    for one in narrow:
        if one.change:
            assert one.after.swung_out <= max(SAFE, one.before.swung_out)
            assert "she leaves her room in" in one.sentence()
            assert one.after.parted.likely <= max(SAFE, one.before.parted.likely)


def test_what_helps_but_swings_her_out_of_her_room_is_left_out() -> None:
    short = GALE.vary({"tackle.scope": 2, "weather.mean_wind": "25 knot"})
    out = "Let out all her rode, to a scope of 8.1, 60 m in all"
    (all_of_it,) = (one for one in candidates(short) if one.action() == out)
    spells = am.spells(all_of_it.apply(short), 20)
    wide, narrow = float(spells.room.max() + 1.0), float(np.median(spells.room))
    assert out in {one.action() for one in advise(short, 20, room=wide)}
    found = advise(short, 20, room=narrow)
    assert out not in {one.action() for one in found}
    fails = spells.dragged | (spells.room > narrow)
    assert fails.mean() < found[0].before.failing.likely  # it would help all the same


def test_what_lies_round_her_ends_her_room() -> None:
    rock = {"name": "a rock", "at": [{"bearing": "45 degree", "distance": "44 m"}]}  # downwind
    narrow = GALE.vary({"surroundings.dangers": [rock], "tackle.anchor.mass": "60 kg"})
    told: list[tuple[int, int]] = []
    found = advise(narrow, 20, progress=lambda done, count: told.append((done, count)))
    before = room_needed(narrow, 20)
    assert found[0].before.outside.likely == np.mean(before.clearances[0].closest < TOUCH)
    assert "she comes upon what lies round her in" in found[-1].sentence()
    for one in found:
        if one.change:
            after = room_needed(one.change.apply(narrow), 20)
            assert one.after.outside.likely == np.mean(after.clearances[0].closest < TOUCH)
            assert one.after.swung_out <= max(SAFE, one.before.swung_out)
    tried = {candidate.action() for candidate in candidates(narrow)}
    wild = {action for action in tried if "Let out" in action or "let out" in action}
    assert wild and wild.isdisjoint(one.action() for one in found)
    assert [done for done, _ in told] == sorted(done for done, _ in told)
    assert told[-1][0] == told[-1][1]


def test_a_safe_scenario_gets_no_alarm() -> None:
    assert advise(CALM, COUNT) == []
    breeze = advise(CALM.vary({"weather.mean_wind": "20 knot", "weather.duration": "2 min"}), 20)
    assert all(not one.leave and one.certain and one.safe for one in breeze)


def test_a_hopeless_one_says_leave() -> None:
    first = advise(HOPELESS, 20)[0]
    assert first.leave and first.aboard and not first.safe
    assert first.action() == "Leave while it can be done"
    assert first.sentence().startswith(
        "Nothing within your means makes this safe: leave. As she lies, in 100 of 100 (84 to 100) of such "
    )
    assert am.spells(HOPELESS, 20).dragged.all()


def test_what_only_the_shore_can_mend_says_leave_and_what_to_buy() -> None:
    aboard = {"boat.riding_sail": "6 m²", "tackle.chain.length": "30 m"}  # all set and let out already
    aboard["tackle.fittings.second_anchor.mass"] = "5 kg"
    bad = GALE.vary({"tackle.anchor.mass": "6 kg", **aboard})
    found = advise(bad, COUNT)
    assert found[0].leave
    assert found[0].best is not None and found[0].best.source == "ashore"
    assert found[0].after.safe
    assert found[0].sentence().startswith("Nothing aboard makes this safe: leave.")
    assert f"then she fails in {odds(found[0].after.failing)}." in found[0].sentence()
    assert any(one.safe for one in found[1:])
    assert not any(one.safe and one.aboard for one in found)


def test_where_something_aboard_is_enough_it_does_not_say_leave() -> None:
    short = GALE.vary({"tackle.scope": 2, "weather.mean_wind": "23 knot"})
    found = advise(short, 20)
    assert not found[0].before.safe
    assert not any(one.leave for one in found)
    assert any(one.safe and one.aboard for one in found)
    assert max(one.before.spells.uplift.max() for one in found) > 0.2  # short scope pulls the anchor upwards


def test_what_is_condemned_is_barred_until_it_is_renewed() -> None:
    found = advise(RUSTED.vary({"weather.mean_wind": "8 knot"}), 10)
    assert found[0].leave
    assert "Do not lie to the chain 8 mm grade 30 and the snubber 14 mm before that is put right." in (
        found[0].sentence()
    )
    for one in found[1:]:
        assert one.safe == (not one.after.condemned and one.after.failing.likely <= SAFE)
        assert ("Even so: do not lie to" in one.sentence()) == bool(one.after.condemned)
    assert found[1].safe and found[1].change is not None


def test_a_difference_within_the_chance_of_so_few_storms_is_said_to_be(found: list[Advice]) -> None:
    few = [one for one in advise(GALE, 10) if one.change and not one.certain]
    assert few
    for one in few:
        assert one.dragging.low < 0 < one.dragging.high or one.dragging.likely == 0
        assert (
            one.sentence().count("What it buys lies within the chance of 10 storms: do not count on it") == 1
        )
    sure = [one for one in found if one.change and one.certain]
    assert sure and not any("What it buys lies" in one.sentence() for one in sure)


def test_storms_that_were_run_are_not_run_again_and_any_executor_gives_the_same(found: list[Advice]) -> None:
    told: list[tuple[int, int]] = []
    spells = am.spells(GALE, COUNT)
    with ThreadPoolExecutor(1) as one:
        again = advise(
            GALE, spells=spells, executor=one, progress=lambda done, count: told.append((done, count))
        )
    assert again[0].before.spells.same_as(spells)
    assert [each.sentence() for each in again] == [each.sentence() for each in found]
    assert [done for done, _ in told] == sorted(done for done, _ in told)
    assert told[0][0] > COUNT  # the first that is told of has been run before
    assert len({count for _, count in told}) == 1
    assert told[-1][0] == told[-1][1] == (len(candidates(GALE)) + 3) * COUNT
    with pytest.raises(
        ValueError, match="storms: these are storms of another scenario; needed some of this one"
    ):
        advise(CALM, spells=spells)


def test_it_can_be_stopped() -> None:
    with pytest.raises(CancelledError, match="the search for advice was stopped; begin it again"):
        advise(GALE, COUNT, cancel=lambda: True)


def test_numbers_that_make_no_sense_are_refused() -> None:
    with pytest.raises(
        ValueError, match="room: -3 m is no room; needed more than 0 m, or None for no end of it"
    ):
        advise(GALE, COUNT, room=-3)
    with pytest.raises(ValueError, match="count: 0 storms cannot be"):
        advise(GALE, 0)


def test_sentences_in_us_units(found: list[Advice]) -> None:
    text = " ".join(one.sentence("US") for one in found)
    assert " ft in all" in text and " lb" in text
    assert as_found(GALE) == GALE
