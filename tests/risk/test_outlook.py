"""Outlooks count spells, know what the survey left of the parts, and tell differences from chance."""

from __future__ import annotations

import numpy as np
import pytest
import scipy.stats

import anchorsim as am
from anchorsim.risk.assessment import assess
from anchorsim.risk.outlook import as_found, certain, change, look
from anchorsim.strength.components import gear
from anchorsim.survey.weakest_link import appraise

SHORT = am.Scenario().vary({"weather.duration": "1 min", "weather.mean_wind": "32 knot"})
RUSTED = am.Scenario.load("shared/survey-neglected-sloop.toml").vary({"weather.duration": "1 min"})


@pytest.fixture(scope="module")
def spells() -> am.Spells:
    return am.spells(SHORT, 60)


def test_it_counts_what_the_storms_hold(spells: am.Spells) -> None:
    found = look(SHORT, spells, 45.0)
    assert as_found(SHORT) == SHORT
    line = [part for part in gear(SHORT) if part.carries != "if all runs out"]
    pulls = list(zip(spells.peak_load, spells.peak_anchor_load, strict=True))
    strained = [any(part.load(*pull) > part.wll.likely for part in line) for pull in pulls]
    broken = [any(part.load(*pull) > part.mbl.low for part in line) for pull in pulls]
    fails = spells.dragged | (spells.room > 45.0) | np.array(broken)
    assert found.strained.likely == np.mean(strained)
    assert found.parted.likely == np.mean(broken)
    assert found.failing.likely == np.mean(fails)
    assert found.outside.likely == np.mean(spells.room > 45.0)
    assert 0 < found.swung_out == np.mean((spells.room > 45.0) & ~spells.dragged)
    assert found.dragging == assess(spells).dragging
    assert (found.peak, found.room) == (assess(spells).peak, assess(spells).room)
    assert found.condemned == ()
    assert not found.safe
    assert "drags, a part breaks or she leaves her room" in found.odds_sentence()


def test_room_without_end_is_never_left(spells: am.Spells) -> None:
    found = look(SHORT, spells)
    assert found.outside.likely == found.swung_out == 0
    assert "the anchor drags or a part breaks" in found.odds_sentence()


def test_parts_are_as_the_survey_left_them() -> None:
    found = look(RUSTED, am.spells(as_found(RUSTED), 10))
    told = {part.key: part for part in appraise(RUSTED).parts if not part.spare}
    assert {part.key for part in found.parts} == set(told)
    for part in found.parts:
        assert part.wll == told[part.key].wll.likely
        assert part.condemned == told[part.key].condemned
    assert found.condemned == ("Chain 8 mm grade 30", "Snubber 14 mm")
    assert found.barred == (
        "Do not lie to the chain 8 mm grade 30 and the snubber 14 mm before that is put right."
    )
    calm = RUSTED.vary({"weather.mean_wind": "3 knot"})
    fair = look(calm, am.spells(as_found(calm), 10))
    assert fair.failing.likely == 0
    assert not fair.safe  # for what is condemned must not be lain to in any wind


def test_what_breaks_is_counted_by_the_least_it_may_break_at() -> None:
    spell = RUSTED.vary({"weather.mean_wind": "45 knot", "spot.bottom": "stiff clay"})
    spells = am.spells(as_found(spell), 30)
    found = look(spell, spells)
    line = [part for part in appraise(spell).parts if not part.spare]
    pulls = list(zip(spells.peak_load, spells.peak_anchor_load, strict=True))
    broken = [any(part.sound.load(*pull) > part.strength_left.low for part in line) for pull in pulls]
    assert 0 < np.mean(broken) == found.parted.likely < 1
    assert found.failing.likely == np.mean(spells.dragged | np.array(broken))
    for part, told in zip(line, found.parts, strict=True):
        assert told.parted.likely == np.mean(
            [part.sound.load(*pull) > part.strength_left.low for pull in pulls]
        )


def test_storms_of_another_scenario_are_refused(spells: am.Spells) -> None:
    with pytest.raises(
        ValueError, match="storms: these are storms of another scenario; needed those of as_found"
    ):
        look(SHORT.vary({"tackle.scope": 7}), spells)


def test_the_band_of_a_difference_holds_the_truth() -> None:
    random = np.random.default_rng(1)
    for mended, arisen in ((0.05, 0.01), (0.2, 0.1), (0.3, 0.0)):
        outcome = random.choice(3, p=[mended, arisen, 1 - mended - arisen], size=(1000, 100))
        found = [change(row == 0, row == 1) for row in outcome]
        held = np.mean([one.low <= arisen - mended <= one.high for one in found])
        assert held > 0.93  # of 0.95; a thousand times, and chance takes off a hundredth
        assert np.mean([one.likely for one in found]) == pytest.approx(arisen - mended, abs=0.01)


def test_what_is_certain_agrees_with_the_exact_sign_test() -> None:
    for mended in range(15):
        for arisen in range(15):
            before = np.arange(100) < mended
            after = (np.arange(100) >= mended) & (np.arange(100) < mended + arisen)
            found = change(before, after)
            exact = scipy.stats.binomtest(mended, mended + arisen).pvalue if mended + arisen else 1.0
            if exact < 0.02:
                assert certain(found)
            if exact > 0.15:
                assert not certain(found)
            assert found.likely == pytest.approx((arisen - mended) / 100)


def test_a_difference_turned_round_is_the_same_the_other_way() -> None:
    random = np.random.default_rng(2)
    one, two = random.random(80) < 0.4, random.random(80) < 0.2
    there, back = change(one, two), change(two, one)
    assert (there.low, there.likely, there.high) == pytest.approx((-back.high, -back.likely, -back.low))
    assert change(one, one).likely == 0
    assert not certain(change(one, one))


def test_what_was_found_counts_once() -> None:
    bent = SHORT.vary({"survey.findings": [{"kind": "anchor shank bent", "grade": "marked"}]})
    once = as_found(bent)
    assert once.tackle.anchor.mass < bent.tackle.anchor.mass
    assert as_found(once) == once
