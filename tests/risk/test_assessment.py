"""Many spells of a scenario: what is counted, by hand from the figures."""

from __future__ import annotations

import numpy as np
import pytest
from invented_spells import invented

import anchorsim as am
from anchorsim.core.units import si
from anchorsim.risk.draws import draw
from anchorsim.risk.monte_carlo import spells
from anchorsim.strength.degradation import as_found
from anchorsim.wording import assessment as wording
from anchorsim.wording.warnings import warnings

SHORT = am.Scenario().vary({"weather.duration": "1 min", "weather.mean_wind": "38 knot"})


@pytest.fixture(scope="module")
def sixty() -> am.Assessment:
    return am.assess(SHORT, 60)


def test_what_is_counted_is_what_the_spells_hold(sixty: am.Assessment) -> None:
    assert len(sixty.outcomes) == len(sixty) == 60
    drag = sixty.spells.drag
    assert 0 < sixty.count("dragged") == np.count_nonzero(drag >= 1.0) < 60
    assert sixty.count("crept") == np.count_nonzero((drag >= 0.1) & (drag < 1.0))
    assert sixty.bad_peak_load.likely == np.quantile(sixty.spells.peak_load, 0.95)
    assert tuple(sixty.radius) == tuple(np.quantile(sixty.spells.radius, [0.05, 0.5, 0.95]))
    assert (sixty.peak_load.unit, sixty.peak_load.kind) == ("N", "1 in 20 beyond each end")


def test_of_few_spells_the_range_is_all_of_them() -> None:
    found = am.assess(SHORT, 8)
    loads = found.spells.peak_load
    assert tuple(found.peak_load) == (loads.min(), np.median(loads), loads.max())
    assert found.peak_load.kind == "lowest and highest"


def test_loads_and_use_of_the_parts_by_hand(sixty: am.Assessment) -> None:
    for state, part in zip(sixty.states, sixty.parts, strict=True):
        pulls = zip(sixty.spells.peak_load, sixty.spells.peak_anchor_load, strict=True)
        loads = np.array([state.as_new.load(float(bow), float(anchor)) for bow, anchor in pulls])
        assert part.overloaded.likely == np.mean(loads > state.wll.likely)
        assert part.may_break.likely == np.mean(loads > state.strength_left.low)
        assert part.use.likely == pytest.approx(np.quantile(loads / state.wll.likely, 0.95))
    assert sixty.most_loaded.use.likely == max(part.use.likely for part in sixty.parts)


def test_spells_are_gone_on_with_and_not_run_again(sixty: am.Assessment) -> None:
    twenty = am.assess(SHORT, 20)
    more = am.assess(SHORT, 60, known=twenty)
    assert more.spells.same_as(sixty.spells)
    other = am.assess(SHORT.vary({"tackle.scope": 7}), 4)
    with pytest.raises(ValueError, match=r"known: from another scenario\. Expected this scenario's"):
        am.assess(SHORT, 20, known=other)


def test_a_spell_can_be_seen_again(sixty: am.Assessment) -> None:
    run = sixty.run(17)
    assert run.peak_bow_load == sixty.spells.peak_load[17]
    assert run.holding == sixty.spells.holding[17]
    assert run.seed == draw(17).seed


def test_findings_count_in_the_motion_and_in_the_strength() -> None:
    bent = SHORT.vary({"survey.findings": [{"kind": "anchor shank bent", "grade": "marked"}]})
    found = am.assess(bent, 4)
    assert found.spells.scenario == as_found(bent) and found.spells.scenario != bent
    assert found.unfit and not found.within_limit


def test_the_neglected_sloop_is_told_the_same_everywhere() -> None:
    """With an anchor that holds, the gear gives: all that is said counts the same spells."""
    gale = {
        "tackle.anchor.type": "fluke",
        "tackle.anchor.mass": "60 kg",
        "weather.mean_wind": "30 knot",
        "weather.gust": "40 knot",
    }
    found = am.assess(am.Scenario.load("shared/survey-neglected-sloop.toml").vary(gale), 100)
    breaks = found.count("may have broken") + found.count("broke")
    assert breaks > 50
    assert wording.gist(found) == "Gear may break"
    assert f"in {breaks} of 100 spells" in wording.sentence(found)
    assert f"in {breaks} of 100 spells" in str(warnings(found)[0])
    assert found.count("failed") == breaks + found.count("dragged")
    assert wording.odds(found).startswith(f"In {found.count('failed')} of 100 ")


def test_the_shelving_beach_is_told_the_same_everywhere() -> None:
    beach = am.Scenario.load("shared/sloop-off-shelving-beach.toml").vary({"tackle.scope": 8})
    found = am.assess(beach, 40)
    aground = found.count("aground")
    assert aground > 30 and wording.gist(found) == "Goes aground"
    assert f"goes aground in {'all 40' if aground == 40 else f'{aground} of 40'} spells" in wording.sentence(
        found
    )
    assert found.chance("failed").likely >= aground / 40
    draught = si(beach.boat.draught)
    assert any(outcome.aground and outcome.water > draught for outcome in found.outcomes), "at low water only"


def test_spells_run_by_themselves_come_to_the_same(sixty: am.Assessment) -> None:
    assert spells(as_found(SHORT), 60).same_as(sixty.spells)


def test_it_shows_itself_on_one_line() -> None:
    assert repr(invented(drag=[2.0])) == "Assessment: Unnamed scenario, 8 spells, 8 fail"
