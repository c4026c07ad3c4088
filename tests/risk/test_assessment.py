"""Many spells of a scenario: what is counted, by hand from the figures."""

from __future__ import annotations

import numpy as np
import pytest
from invented_spells import invented

import anchorsim as am
from anchorsim.core.units import si
from anchorsim.risk import assessment as module
from anchorsim.risk.draws import draw
from anchorsim.risk.monte_carlo import spells
from anchorsim.risk.part_loads import over
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
    assert run.si.peak_load == sixty.spells.peak_load[17]
    assert run.si.holding == sixty.spells.holding[17]
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
    assert any(outcome.aground and outcome.si.water > draught for outcome in found.outcomes), (
        "at low water only"
    )


def test_spells_run_by_themselves_come_to_the_same(sixty: am.Assessment) -> None:
    assert spells(as_found(SHORT), 60).same_as(sixty.spells)


def test_it_shows_itself_on_one_line() -> None:
    assert repr(invented(drag=[2.0])) == "<Assessment: spells 8, failed 8, scenario Unnamed scenario>"


# --- By hand, of invented spells ----------------------------------------------------------------------------


def test_the_range_of_twenty_spells_leaves_one_out_at_each_end() -> None:
    loads = np.linspace(1000.0, 2900.0, 20)
    assert tuple(invented(peak=loads[:19], count=19).peak_load) == (1000.0, 1900.0, 2800.0)
    # the fifth part of a hundred of nineteen steps from the end: by NumPy's rule 0.95 of a step
    assert tuple(invented(peak=loads, count=20).peak_load) == pytest.approx((1095.0, 1950.0, 2805.0))


def test_what_one_spell_in_twenty_passes() -> None:
    found = invented(
        peak=np.arange(1.0, 101.0), radius=np.arange(201.0, 301.0), count=100, anchor=np.arange(100.0) / 2
    )
    assert (found.bad_peak_load.unit, found.bad_radius.unit) == ("N", "m")
    assert found.bad_peak_load.likely == pytest.approx(95.0, abs=1.0)
    assert found.bad_radius.likely == pytest.approx(295.0, abs=1.0)
    ranges = (found.peak_load, found.peak_anchor_load, found.uplift, found.radius, found.drag)
    assert [each.unit for each in ranges] == ["N", "N", "radian", "m", "m"]
    assert [each.likely for each in ranges] == pytest.approx([50.5, 24.75, 0.0, 250.5, 0.0])


def test_what_she_touches_is_counted_thing_by_thing() -> None:
    things = [{"name": name, "at": [{"bearing": "45 degree", "distance": "60 m"}]} for name in "abc"]
    near = [[0.0, 5.0, 0.009], [0.0, 6.0, 4.0], [9.0] * 3, [9.0] * 3]
    found = invented(closest=near, surroundings__dangers=things, count=4)
    assert [one.touched.likely for one in found.clearances] == [0.5, 0.0, 0.25]


def test_a_part_with_nothing_left_is_overloaded_by_any_load() -> None:
    loads, none = np.array([[0.0, 5.0], [2.0, 4.0]]), np.array([[0.0], [8.0]])
    assert over(loads, none).tolist() == [[0.0, np.inf], [0.25, 0.5]]


def test_parts_over_their_wll_in_half_of_the_spells_come_first() -> None:
    sound = invented()
    weakest = min(sound.states, key=lambda part: part.wll.likely / max(part.as_new.load(1.0, 1.0), 1e-9))
    found = invented(peak=[50.0 * weakest.wll.likely], anchor=[50.0 * weakest.wll.likely])
    over = [part.utilisation.likely for part in found.overloaded]
    assert over == sorted(over, reverse=True) and len(over) > 1 and over[-1] > 1.0
    assert len(over) == sum(part.utilisation.likely > 1.0 for part in found.states)
    assert sound.overloaded == ()


def test_equal_assessments_are_of_one_scenario_room_and_of_like_spells() -> None:
    one = invented(drag=[0.5])
    assert one == invented(drag=[0.5]) and hash(one) == hash(invented(drag=[0.5]))
    assert one != invented(drag=[0.6]) and one != invented(drag=[0.5], clear_radius=50.0) and one != "one"
    assert one != invented(drag=[0.5], count=7)


def test_how_many_spells_are_run_and_from_which_on(monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[list[int]] = []

    def noted(scenarios: object, numbers: np.ndarray, **_: object) -> list[am.Assessment]:
        asked.append([int(numbers[0]), len(numbers)])
        return [invented()]

    monkeypatch.setattr(module, "assess_each", noted)
    am.assess(SHORT)
    am.assess(SHORT, 7, first=3)
    assert asked == [[0, 200], [3, 7]]
    for radius in (0.0, -1.0, "wide"):
        with pytest.raises(ValueError, match="clear_radius"):
            am.assess(SHORT, 1, clear_radius=radius)  # type: ignore[arg-type]


@pytest.mark.parametrize("minutes", [9.99, 10.0])
def test_a_stretch_is_a_spell_at_the_least(minutes: float) -> None:
    found = invented(drag=[2.0, 0.0])
    if minutes < 10.0:
        with pytest.raises(ValueError, match=r"shorter than a spell\. Expected 10 minute or more"):
            found.share("dragged", f"{minutes} minute")
    else:
        assert found.share("dragged", f"{minutes} minute").likely == pytest.approx(1 / 8, abs=1e-6)
