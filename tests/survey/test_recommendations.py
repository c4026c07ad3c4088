"""Recommendations: every finding has one, each is run before and after, and doing all of them leaves none."""

from __future__ import annotations

import dataclasses
import math

import pytest
from findings_of_all_kinds import EVERY
from hypothesis import given, settings
from hypothesis import strategies as st

from anchorsim import appraise, recommendations
from anchorsim.core.resources import folder
from anchorsim.core.tables import pick
from anchorsim.scenario.scenario import Scenario
from anchorsim.strength.compatibility import URGENCIES
from anchorsim.survey.recommendations import Recommendation, all_done, figures
from anchorsim.wording.recommendations import remedy, wrong

STOCK = Scenario.load(folder("shared") / "rode-all-chain.toml")  # sound in all parts
SURVEYS = ["survey-neglected-sloop", "survey-sound-ketch", "survey-light-motor-cruiser"]


def shared(name: str) -> Scenario:
    return Scenario.load(folder("shared") / f"{name}.toml")


def about(scenario: Scenario, part: str) -> Recommendation:
    [found] = [entry for entry in recommendations(scenario) if entry.part == part]
    return found


def test_sound_gear_needs_nothing() -> None:
    assert recommendations(STOCK) == ()
    assert all_done(STOCK) == STOCK


@pytest.mark.parametrize("finding", EVERY, ids=lambda found: " ".join(map(str, found.values())))
def test_every_finding_is_answered_and_gone_when_done(finding: dict[str, object]) -> None:
    scenario = STOCK.vary({"survey.findings": [finding]})
    if str(finding["part"]).startswith("rope"):
        scenario = scenario.vary({"tackle.rope.length": "20 m"})
    answers = [entry for entry in recommendations(scenario) if entry.effects]
    [answer] = answers
    assert answer.part == finding["part"]
    assert wrong(answer, "metric") and remedy(answer, "metric") and answer.source and answer.kind
    assert answer.effects[0].finding == scenario.survey.findings[0]
    left = scenario.survey.findings if answer.effects[0].watched else ()
    assert answer.apply(scenario).survey.findings == left, "what is only watched is still there"


def test_the_change_can_be_made_by_anyone_through_its_paths() -> None:
    scenario = STOCK.vary({"survey.findings": [{"kind": "chain link cracked"}, {"kind": "shackle pin bent"}]})
    answer = about(scenario, "chain")
    varied = scenario.vary(dict(answer.changes))
    done = answer.apply(scenario)
    assert varied == done.vary({"survey.looked_at": ()})
    assert done.survey.looked_at == ("anchor shackle", "chain"), "what is renewed was looked at"
    assert [found.kind for found in varied.survey.findings] == ["shackle pin bent"]


def test_before_and_after_are_appraisals_of_the_same_watches() -> None:
    scenario = STOCK.vary({"survey.findings": [{"kind": "chain rusted", "grade": "pitted"}]})
    answer = about(scenario, "chain")
    assert answer.before == figures(appraise(scenario), "chain")
    assert answer.after == figures(appraise(STOCK.vary({"survey.looked_at": ["chain"]})), "chain")
    assert answer.helps
    assert answer.before.safety == pytest.approx(0.65 * answer.after.safety)  # pitted: 0.65 (judgement)
    assert answer.before.si.peak == answer.after.si.peak, "strength alone does not change the load"


def test_a_snubber_that_has_gone_stiff_is_answered_by_a_lower_peak() -> None:
    gale = STOCK.vary(
        {"weather.mean_wind": "30 knot", "survey.findings": [{"kind": "rope stiff", "part": "snubber"}]}
    )
    answer = about(gale, "snubber")
    assert answer.after.si.peak < answer.before.si.peak


def test_a_part_that_is_renewed_is_renewed_once() -> None:
    worn = [
        {"kind": "chain link worn", "measured": "7.5 mm"},
        {"kind": "chain link cracked"},
        {"kind": "chain not marked"},
    ]
    answer = about(STOCK.vary({"survey.findings": worn}), "chain")
    assert {entry.finding.kind for entry in answer.effects} == {entry["kind"] for entry in worn}
    assert answer.urgency == "before use"
    assert remedy(answer, "metric") == "Renew the chain: 8 mm, grade 40, 60 m."


def test_a_measurement_past_its_limit_says_renew_now() -> None:
    answer = about(
        STOCK.vary({"survey.findings": [{"kind": "chain link worn", "measured": "6.5 mm"}]}), "chain"
    )
    assert answer.worn_out and remedy(answer, "metric") == "Renew the chain: 8 mm, grade 40, 60 m."
    assert answer.urgency == "before use"


def test_a_misfit_that_a_finding_says_already_is_not_told_twice() -> None:
    turned = {"tackle.fittings.swivel.orientation": "jaw to the anchor"}
    scenario = STOCK.vary({**turned, "survey.findings": [{"kind": "swivel the wrong way round"}]})
    answer = about(scenario, "swivel")
    assert answer.effects
    assert answer.apply(scenario).tackle.fittings.swivel.orientation == "eye to the anchor"


@pytest.mark.parametrize("name", SURVEYS)
def test_the_urgent_comes_first(name: str) -> None:
    order = [URGENCIES.index(entry.urgency) for entry in recommendations(shared(name))]
    assert order == sorted(order)


@pytest.mark.parametrize("name", SURVEYS)
def test_all_done_leaves_nothing_that_could_still_be_done(name: str) -> None:
    scenario = shared(name)
    done = all_done(scenario)
    assert done.survey.findings == ()
    assert [entry for entry in recommendations(done) if entry.changes] == []
    before, after = appraise(scenario), appraise(done)
    assert after.weakest.safety_factor.likely >= before.weakest.safety_factor.likely
    assert after.unfit == ()


def test_what_each_survey_is_told_first() -> None:
    first = {name: recommendations(shared(name))[0] for name in SURVEYS}
    assert first["survey-neglected-sloop"].part == "anchor shackle", "a mousing takes minutes"
    assert first["survey-light-motor-cruiser"].part == "lead"
    assert first["survey-sound-ketch"].urgency == "at leisure", "nothing is urgent on sound gear"


def test_the_motor_cruisers_anchor_is_said_to_be_what_her_owner_can_lift() -> None:
    answer = about(shared("survey-light-motor-cruiser"), "anchor")
    assert "suits what the crew can lift (10 kg), not what the boat needs" in wrong(answer, "metric")
    assert answer.misfit is not None
    kind = dict(answer.misfit.changes).get("tackle.anchor.type", "plough")
    assert pick("anchors", type=kind)["set share"] >= 0.7, "never a type that sets badly again"
    assert remedy(answer, "metric").startswith(f"Fit a {kind} anchor of ")
    assert answer.after.drags < answer.before.drags


def test_a_remedy_that_cannot_be_computed_stands_as_words() -> None:
    answer = about(STOCK.vary({"survey.findings": [{"kind": "locker drain blocked"}]}), "locker")
    assert remedy(answer, "metric") == "Clear the drain."
    assert not answer.helps
    assert math.isnan(answer.before.safety)


@settings(max_examples=12, deadline=None)
@given(st.lists(st.sampled_from(EVERY), max_size=6))
def test_no_recommendation_makes_the_weakest_link_weaker(findings: list[dict[str, object]]) -> None:
    scenario = STOCK.vary({"survey.findings": findings})
    for answer in recommendations(scenario):
        if answer.effects and not math.isnan(answer.before.weakest_safety):  # of what was recorded in line
            assert answer.after.weakest_safety >= answer.before.weakest_safety * (1 - 0.05)


def test_of_two_that_exclude_each_other_the_first_is_done() -> None:
    found = recommendations(shared("survey-neglected-sloop"))
    first = dataclasses.replace(found[0], changes=(("tackle.chain.length", "50 m"),), effects=())
    second = dataclasses.replace(found[0], changes=(("spot.depth", "80 m"),), effects=())
    assert all_done(STOCK, [first, second]) == STOCK.vary({"tackle.chain.length": "50 m"})
