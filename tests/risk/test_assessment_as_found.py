"""What the survey left of the parts, in what is counted; and that what was found counts once."""

from __future__ import annotations

import numpy as np

import anchorsim as am
from anchorsim.strength.components import gear
from anchorsim.strength.degradation import as_found
from anchorsim.survey.weakest_link import appraise

SHORT = am.Scenario().vary({"weather.duration": "1 min", "weather.mean_wind": "32 knot"})
RUSTED = am.Scenario.load("shared/survey-neglected-sloop.toml").vary({"weather.duration": "1 min"})


def test_sound_parts_are_counted_by_their_published_strength() -> None:
    """All of it from the figures of the spells and the table of parts, spell by spell."""
    assert as_found(SHORT) == SHORT
    found = am.assess(SHORT, 60, clear_radius=45.0)
    held = found.spells
    line = [part for part in gear(SHORT) if part.carries != "if all runs out"]
    pulls = list(zip(held.peak_load, held.peak_anchor_load, strict=True))
    overloaded = [any(part.load(*pull) > part.wll.likely for part in line) for pull in pulls]
    broken = np.array([any(part.load(*pull) > part.mbl.low for part in line) for pull in pulls])
    dragged = held.drag >= 1.0
    assert found.chance("overloaded").likely == np.mean(overloaded)
    breaks = found.happened("may have broken") | found.happened("broke")
    np.testing.assert_array_equal(breaks, broken)
    np.testing.assert_array_equal(found.happened("failed"), dragged | (held.radius > 45.0) | broken)
    np.testing.assert_array_equal(found.happened("outside"), held.radius > 45.0)
    assert ((held.radius > 45.0) & ~dragged).any(), "she can leave it with an anchor that holds"
    assert found.unfit == () and not found.within_limit


def test_parts_are_as_the_survey_left_them() -> None:
    found = am.assess(RUSTED, 10)
    told = {part.key: part for part in appraise(RUSTED).parts if not part.spare}
    assert {part.key for part in found.parts} == set(told)
    for part in found.parts:
        assert part.state.wll.likely == told[part.key].wll.likely
        assert part.state.unfit == told[part.key].unfit
    assert [part.name for part in found.unfit] == ["Chain 8 mm grade 30", "Snubber 14 mm"]
    fair = am.assess(RUSTED.vary({"weather.mean_wind": "3 knot"}), 10)
    assert fair.chance("failed").likely == 0
    assert not fair.within_limit, "what is not fit must not be used in any wind"


def test_what_breaks_is_counted_by_the_least_it_may_break_at() -> None:
    """The ending is the gravest that holds, so that a spell in which gear broke and she dragged is one."""
    blow = RUSTED.vary({"weather.mean_wind": "45 knot", "spot.bottom": "stiff clay"})
    found = am.assess(blow, 30)
    line = [part for part in appraise(blow).parts if not part.spare]
    pulls = list(zip(found.spells.peak_load, found.spells.peak_anchor_load, strict=True))
    broken = np.array(
        [any(part.as_new.load(*pull) > part.strength_left.low for part in line) for pull in pulls]
    )
    breaks = found.happened("may have broken") | found.happened("broke")
    np.testing.assert_array_equal(breaks, broken)
    assert 0 < broken.mean() < 1
    dragged = found.spells.drag >= 1.0
    assert found.chance("failed").likely == np.mean(dragged | broken)
    np.testing.assert_array_equal(found.happened("dragged"), dragged & ~broken)
    for part, told in zip(line, found.parts, strict=True):
        loads = [part.as_new.load(*pull) > part.strength_left.low for pull in pulls]
        assert told.may_break.likely == np.mean(loads)


def test_what_was_found_counts_once() -> None:
    bent = SHORT.vary({"survey.findings": [{"kind": "anchor shank bent", "grade": "marked"}]})
    once = as_found(bent)
    assert once.tackle.anchor.mass < bent.tackle.anchor.mass
    assert as_found(once) == once
