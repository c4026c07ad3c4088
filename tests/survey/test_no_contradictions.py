"""What a survey says in one place it says in all: each contradiction that was once found, gone."""

from __future__ import annotations

import datetime
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from findings_of_all_kinds import EVERY

from anchorsim import appraise, recommendations
from anchorsim.core.tables import table
from anchorsim.core.units import si
from anchorsim.explorer.survey.screen import inspect_tackle
from anchorsim.mooring.rode import assemble
from anchorsim.report import write_report
from anchorsim.scenario.findings import measure_of
from anchorsim.scenario.scenario import Scenario
from anchorsim.scenario.tackle import wet_break
from anchorsim.strength.compatibility import misfits
from anchorsim.strength.degradation import effect
from anchorsim.survey.maintenance import calendar
from anchorsim.survey.recommendations import Recommendation, all_done
from anchorsim.survey.remedies import remedies
from anchorsim.survey.suitability import suitability_of
from anchorsim.wording import findings, maintenance, weakest_link
from anchorsim.wording.recommendations import advice, benefit, duties, remedy, risk

PARTS = [str(row["part"]) for row in table("parts")]
TODAY = datetime.date(2026, 11, 29)
STOCK = Scenario().vary({"weather.duration": "1 min", "weather.mean_wind": "25 knot"})


def surveyed(*found: dict[str, Any], looked: list[str] | None = None, **changes: Any) -> Scenario:
    """The stock boat with findings, every part looked at unless said."""
    paths = {path.replace("__", "."): value for path, value in changes.items()}
    return STOCK.vary(
        {**paths, "survey.findings": found, "survey.looked_at": PARTS if looked is None else looked}
    )


def about(scenario: Scenario, part: str) -> list[Recommendation]:
    return [entry for entry in recommendations(scenario) if entry.part == part]


# --- Nothing is certified that was not looked at ------------------------------------------------------------


def test_default_gear_is_no_fact_of_the_weakest_link() -> None:
    weak = {"tackle__anchor__mass": "3 kg", "tackle__anchor__type": "claw"}  # the weakest, if it counted
    partly = appraise(surveyed({"kind": "chain link worn", "measured": "7.6 mm"}, looked=[], **weak))
    assert (partly.weakest.key, partly.next_weakest, partly.partial) == ("chain", None, True)
    assert weakest_link.sentence(partly).startswith("Weakest link of what was recorded: chain 8 mm grade 40")
    assert partly.in_line[0].key == "anchor"
    assert {"anchor", "swivel", "rope", "locker"} <= set(partly.not_recorded), "of all parts, aboard or not"
    whole = appraise(surveyed(**weak))
    assert (whole.weakest.key, whole.partial, whole.not_recorded) == ("anchor", False, ())
    assert weakest_link.sentence(whole).startswith("Weakest link: anchor, claw")


@pytest.mark.parametrize("looked", ["second anchor", "bitter end", "locker"])
def test_where_no_part_in_line_was_recorded_that_is_said_and_what_is_assumed(
    looked: str, tmp_path: Path
) -> None:
    beside = surveyed(looked=[looked])
    found = appraise(beside)
    assert (found.nothing_in_line, found.partial, found.empty) == (True, True, False)
    said = weakest_link.sentence(found)
    assert said == (
        "No part that carries load was recorded. Assumed as described and as new: anchor, anchor shackle, "
        "chain, snubber attachment, snubber, lead and chafe gear, strong point and windlass."
    )
    write_report(beside, tmp_path / "report.html")
    report = " ".join((tmp_path / "report.html").read_text(encoding="utf-8").split())
    assert report.count(said) == 2, "in the outcome, and over the parts"
    assert "eakest link of" not in report and "drags first" not in report
    screen = inspect_tackle(beside, tmp_path)
    screen.go("overview")
    assert said in screen.summary.value
    assert screen.strip.outcome["sentence"] == "No part that carries load was recorded."
    assert [figure["value"] for figure in screen.strip.figures[:2]] == ["–", "–"], "no safety factor"


def test_an_anchor_that_nobody_looked_at_is_said_to_be_assumed() -> None:
    said = " The anchor was not recorded: its holding is assumed."
    assert weakest_link.sentence(appraise(surveyed(looked=["chain"]))).endswith(said)
    assert said not in weakest_link.sentence(appraise(surveyed())) + weakest_link.sentence(appraise(STOCK))


def test_what_was_not_recorded_is_no_misfit_either() -> None:
    assert "second anchor" in {entry.part for entry in suitability_of(STOCK).misfits}
    only = surveyed({"kind": "chain not marked"}, looked=[])
    assert [entry.part for entry in remedies(only)] == ["chain"]
    assert "second anchor" in [entry.part for entry in remedies(surveyed())]


def test_an_empty_survey_says_that_it_is_empty() -> None:
    empty = appraise(STOCK.vary({"survey.surveyor": "R. Askew", "survey.date": "2026-11-29"}))
    assert empty.surveyed and empty.empty
    assert weakest_link.sentence(empty) == weakest_link.EMPTY
    assert recommendations(empty.scenario) == ()
    assert not appraise(STOCK).surveyed and not appraise(STOCK).empty


# --- One thing, one meaning ---------------------------------------------------------------------------------


def test_a_temporary_link_means_the_same_in_card_table_and_text() -> None:
    found = {"kind": "temporary link left in"}
    by_finding = surveyed(found)
    described = surveyed(found, tackle__fittings__joining_link__kind="quick link")
    by_gear = surveyed(tackle__fittings__joining_link__kind="quick link")
    strengths = {
        tuple(appraise(one).part("joining link").strength_left) for one in (by_finding, described, by_gear)
    }
    assert len(strengths) == 1, "the table"
    card = effect(described, described.survey.findings[0])
    assert findings.leaves(card) == "Counted already in the part as described."
    for one in (by_finding, described, by_gear):
        [entry] = about(one, "joining link")
        assert entry.urgency == "before use", "the text"
        assert "ermanent link" in remedy(entry, "metric") or "double-jaw link" in remedy(entry, "metric")


def test_a_windlass_used_as_strong_point_carries_the_load() -> None:
    used = surveyed({"kind": "windlass used as strong point"})
    assert si(used.tackle.snubber.length) == 8
    found, spared = appraise(used), appraise(surveyed())
    assert found.part("windlass").load.likely == found.peak.likely > 0
    assert spared.part("windlass").load.likely == 0
    [entry] = about(used, "windlass")
    assert entry.after.si.load < entry.before.si.load
    assert si(entry.apply(used).tackle.snubber.length) == 8, "the snubber aboard is the one that is rigged"


RODES = {
    "all chain": {"tackle__rope__length": "0 m", "tackle__chain__length": "60 m"},
    "mixed, chain alone out": {"tackle__rope__length": "40 m", "tackle__chain__length": "60 m"},
    "mixed": {"tackle__rope__length": "50 m", "tackle__chain__length": "10 m"},
    "rope": {"tackle__rope__length": "60 m", "tackle__chain__length": "0 m"},
}


@pytest.mark.parametrize("rode", RODES.values(), ids=RODES)
def test_whatever_the_rode_a_windlass_used_as_strong_point_carries_all_of_the_load(
    rode: dict[str, str],
) -> None:
    used, spared = surveyed({"kind": "windlass used as strong point"}, **rode), surveyed(**rode)
    found = appraise(used)
    assert [part.key for part in found.in_line if part.key in ("strong point", "windlass")] == ["windlass"]
    assert tuple(found.part("windlass").load) == tuple(found.peak)
    assert "strong point" in [part.key for part in appraise(spared).in_line]
    chain, rope = used.tackle.chain.row(), used.tackle.rope
    held = wet_break(rope.construction, rope.row()) if assemble(used).rope else chain["break"]
    # 0.45 of what it holds: IACS UR A3 of ships' chain, read in a reprint; of rope a judgement
    assert found.part("windlass").strength_left.likely == pytest.approx(0.45 * held)
    [entry] = about(used, "windlass")
    assert (entry.urgency, entry.effects[0].finding.kind) == ("before use", "windlass used as strong point")
    done = appraise(entry.apply(used))
    assert "strong point" in [part.key for part in done.in_line]
    assert [path for path, _ in entry.changes if "snubber" in path] == [], "one is aboard, or rope needs none"


def test_rope_that_is_described_as_held_by_the_windlass_is_a_misfit() -> None:
    held = surveyed(**RODES["mixed"], tackle__fittings__windlass__rope_held_by="windlass")
    [entry] = about(held, "windlass")
    assert remedy(entry, "metric") == "Make the rope fast to a strong point, with no load on the windlass."
    assert entry.apply(held).tackle.fittings.windlass.rope_held_by == "strong point"
    chain = surveyed(tackle__fittings__windlass__rope_held_by="windlass")
    assert not about(chain, "windlass"), "she has no rope"


def test_regalvanising_is_one_thing_in_log_finding_and_calendar() -> None:
    logged, found = (
        surveyed(survey__log__times_regalvanised=3),
        surveyed({"kind": "chain regalvanised", "measured": 3}),
    )
    for one in (logged, found):
        assert appraise(one).part("chain").unfit  # more than twice: common practice, no source
        assert appraise(one).part("chain").strength_left.likely == pytest.approx(0.8 * 40e3)  # judgement
        [entry] = about(one, "chain")
        assert remedy(entry, "metric") == "Renew the chain: 8 mm, grade 40, 60 m."
        done = appraise(entry.apply(one)).part("chain")
        assert not done.unfit and done.strength_left.likely == 40e3
        jobs = [maintenance.task(due) for due in calendar(one, TODAY) if due.part == "chain"]
        assert sum("enew the chain" in job for job in jobs) == 1


# --- A part that is renewed ---------------------------------------------------------------------------------


def test_replacing_a_part_clears_what_was_found_on_the_old_one() -> None:
    bent = surveyed(
        {"kind": "anchor fluke bent", "grade": "slight"},
        {"kind": "anchor zinc gone"},
        {"kind": "chain not marked"},
        tackle__anchor__mass="6 kg",
    )
    [entry] = about(bent, "anchor")
    assert entry.misfit is not None and len(entry.effects) == 2
    assert [left.kind for left in entry.apply(bent).survey.findings] == ["chain not marked"]
    assert advice(entry, bent.survey).numbers == (1, 2)
    assert "Bent fluke" in advice(entry, bent.survey).deficiency


def test_deck_and_edges_stay_when_a_fitting_is_replaced() -> None:
    weak = surveyed({"kind": "strong point leaks"}, tackle__fittings__strong_point__breaking_load="10 kN")
    assert len(about(weak, "strong point")) == 2
    assert {"dry and fill the deck" in remedy(one, "metric") for one in about(weak, "strong point")} == {
        True,
        False,
    }


CONDEMNED = surveyed(
    {"kind": "chain rusted", "grade": "flaking"},
    {"kind": "chain link worn", "measured": "7.1 mm"},
    {"kind": "chain zinc thin", "grade": "C4", "measured": "10 micrometer"},
    {"kind": "temporary link left in"},
    survey__deepest="15 m",
)


def test_a_condemned_chain_is_renewed_in_one_line() -> None:
    [entry] = [one for one in recommendations(CONDEMNED) if one.part in ("chain", "joining link")]
    # the least scope of an all-chain rode, 4:1 (common practice, no source), in 15 m with a roller at 1.4 m
    assert remedy(entry, "metric") == "Renew the chain: 8 mm, grade 40, 66 m."  # 4 x 16.4 = 65.6
    said = advice(entry, CONDEMNED.survey)
    assert said.numbers == (1, 2, 3, 4)
    assert "7.1 mm of 8 mm left" in said.deficiency and "In 15 m of water" in said.deficiency
    assert (said.standard, entry.urgency) == ("EN 818-6.", "before use")
    done = entry.apply(CONDEMNED)
    assert done.survey.findings == () and done.tackle.fittings.joining_link.kind == "none"


def test_a_condemned_chain_is_never_turned_or_dipped() -> None:
    jobs = [maintenance.task(due) for due in calendar(CONDEMNED, TODAY) if due.part == "chain"]
    assert not [job for job in jobs if "egalvanis" in job or "end for end" in job]
    assert sum("enew the chain" in job for job in jobs) == 1
    assert not [due for due in calendar(CONDEMNED, TODAY) if due.part == "joining link"], (
        "of a chain that goes"
    )
    effects = [effect(CONDEMNED, finding) for finding in CONDEMNED.survey.findings]
    cards = [findings.job(one) for one in effects]
    assert set(cards) == {"Renew the chain now."}
    told = [duty.remedy for duty in duties(effects, (), "metric") if duty.part == "chain"]
    assert told == ["Renew the chain now."], "once"


AT_ONCE = re.compile(r"\b(now|at once|immediately|before use)\b", re.IGNORECASE)
IN_TIME = re.compile(r"\b(this season|when convenient|at leisure|in good time)\b", re.IGNORECASE)


def at_its_ends(found: dict[str, Any]) -> list[dict[str, Any]]:
    """A finding as it is, and measured least and most where it is measured."""
    measure = measure_of(found["kind"])
    if measure is None:
        return [found]
    ends = [f"{end:g} {measure.unit}" if measure.unit else end for end in (measure.low, measure.high)]
    return [found, *({**found, "measured": end} for end in ends)]


CONDEMNING = ({"kind": "chain link worn", "measured": "7.1 mm"}, {"kind": "chain rusted", "grade": "pitted"})
ENDS = [one for found in EVERY for one in at_its_ends(found)]
OF_A_PART = [[one for one in ENDS if one["part"] == part] for part in PARTS]
ON_CHAIN = OF_A_PART[PARTS.index("chain")]
BESIDE = [list(pair) for bad in CONDEMNING for one in ON_CHAIN for pair in ((one, bad), (bad, one))]


def told_when(scenario: Scenario) -> Iterator[tuple[str, str]]:
    """Every urgency that is given to what was found, with the sentences beside it."""
    effects = [effect(scenario, finding) for finding in scenario.survey.findings]
    for one in effects:
        yield one.urgency, findings.job(one)
    for duty in duties(effects, (), "metric"):
        yield duty.urgency, duty.remedy
    for entry in remedies(scenario):
        yield entry.urgency, f"{remedy(entry, 'metric')} {risk(entry, 'metric')}"
    for due in calendar(scenario, TODAY):
        if due.task == "remedy" and due.effect:
            yield due.effect.urgency, maintenance.task(due)


def test_no_sentence_says_another_urgency_than_its_class() -> None:
    wrong = [
        (urgency, said)
        for found in (*([one] for one in ENDS), *BESIDE, *OF_A_PART)
        for urgency, said in told_when(surveyed(*found))
        if (IN_TIME if urgency == "before use" else AT_ONCE).search(said)
    ]
    assert wrong == []


def test_of_the_same_job_twice_the_more_urgent_is_told() -> None:
    rusted = ({"kind": "shackle rusted", "grade": grade} for grade in ("flaking", "pitted"))
    worn = {"kind": "chain link worn", "measured": "7.1 mm"}
    for found in ([*rusted], [{"kind": "chain rusted", "grade": "flaking"}, worn]):
        scenario = surveyed(*found)
        told = duties([effect(scenario, one) for one in scenario.survey.findings], (), "metric")
        assert [duty.urgency for duty in told] == ["before use"]


def test_wear_within_its_limit_is_watched_and_gains_nothing() -> None:
    worn = surveyed({"kind": "chain link worn", "measured": "7.6 mm"})
    [entry] = about(worn, "chain")
    assert (entry.urgency, entry.helps) == ("at leisure", False)
    assert entry.apply(worn).survey.findings == worn.survey.findings


# --- Figures that mislead -----------------------------------------------------------------------------------


def test_a_doubt_is_told_in_words_and_not_as_a_range() -> None:
    loose = appraise(surveyed({"kind": "shackle pin not moused"})).part("anchor shackle")
    plain = appraise(surveyed()).part("anchor shackle")
    assert loose.utilisation == plain.utilisation
    assert weakest_link.doubts(loose) == (
        "Shackle pin not moused: its strength counts in full. The pin can work out, and then the boat is "
        "adrift."
    )
    [entry] = about(surveyed({"kind": "shackle pin not moused"}), "anchor shackle")
    assert (entry.urgency, entry.quick) == ("before use", True)


def test_a_cracked_chain_has_no_safety_factor() -> None:
    cracked = surveyed({"kind": "chain link cracked"})
    found = appraise(cracked)
    assert (found.weakest.key, weakest_link.factor(found.weakest)) == ("chain", "–")
    assert "It is cracked and has no safety factor." in weakest_link.sentence(found)
    assert "safety factor" not in weakest_link.link(found, "metric").partition("Next:")[0].replace(
        "no safety factor", ""
    )
    [entry] = about(cracked, "chain")
    assert benefit(entry, "metric")[0].startswith("no safety factor while cracked → ")


def test_a_remedy_that_lowers_its_own_figure_says_why() -> None:
    shackled = surveyed(tackle__fittings__bitter_end__made_fast="shackle")
    [entry] = about(shackled, "bitter end")
    assert entry.harms
    assert any(
        one.startswith("its safety factor falls because the new part is rated lower")
        for one in benefit(entry, "metric")
    )
    every = [one for found in (shackled, CONDEMNED, surveyed()) for one in recommendations(found)]
    assert all(any("because" in line for line in benefit(one, "metric")) for one in every if one.harms)


# --- Two loads, and the order of advice ---------------------------------------------------------------------


@pytest.fixture(scope="module")
def dragging() -> Scenario:
    old = {"kind": "rope old and in the sun", "part": "snubber", "measured": "11 year"}
    return surveyed(old, tackle__anchor__mass="4 kg", tackle__anchor__type="claw")


def test_two_loads_are_told_apart(dragging: Scenario) -> None:
    found = appraise(dragging)
    assert found.drags == 8
    assert found.today_peak.likely < found.peak.likely
    for part, today in zip(found.parts, found.today, strict=True):
        assert (part.key, part.wll) == (today.key, today.wll)
        assert today.load.likely <= part.load.likely
    said = weakest_link.two_loads(found)
    assert said.startswith("As she lies today her anchor drags") and "With an anchor that holds" in said
    assert weakest_link.two_loads(appraise(surveyed())) == ""


def test_within_a_grade_quick_things_come_first_and_then_by_gain(dragging: Scenario) -> None:
    more = [*dragging.survey.findings, {"kind": "shackle pin not moused"}, {"kind": "locker not washed"}]
    found = recommendations(dragging.vary({"survey.findings": more}))
    order = [("before use", "this season", "at leisure").index(entry.urgency) for entry in found]
    assert order == sorted(order)
    for urgency in ("before use", "this season", "at leisure"):
        quick = [entry.quick for entry in found if entry.urgency == urgency]
        assert quick == sorted(quick, reverse=True)
    assert (found[0].part, found[0].quick) == ("anchor shackle", True)
    last = [entry for entry in found if entry.urgency == "before use" and not entry.quick]
    gains = [entry.after.weakest_safety / entry.before.weakest_safety for entry in last]
    assert gains == sorted(gains, reverse=True)


@pytest.mark.parametrize("bottom", ["firm sand", "weed over sand", "gravel", "soft mud", "rock"])
@pytest.mark.parametrize("kind", ["fluke", "fisherman", "claw"])
def test_no_anchor_is_advised_that_sets_badly_again(kind: str, bottom: str) -> None:
    light = surveyed(tackle__anchor__type=kind, tackle__anchor__mass="5 kg", spot__bottom=bottom)
    for misfit in (one for one in suitability_of(light).misfits if one.part == "anchor"):
        advised = dict(misfit.changes).get("tackle.anchor.type")
        if advised is not None:
            row = next(row for row in table("anchors") if row["type"] == advised)
            assert row["set share"] >= 0.7
            suits = next(
                row for row in table("anchor_bottoms") if row["type"] == advised and row["bottom"] == bottom
            )
            assert suits["suits"] != "poor"


def test_each_recommendation_stands_alone(dragging: Scenario) -> None:
    survey = dragging.survey.model_validate(
        {
            **dragging.survey.model_dump(),
            "works": [{"job": "snubber: rope old and in the sun", "time": "1 h"}],
        }
    )
    scenario = dragging.vary({"survey": survey})
    for entry in recommendations(scenario):
        said = advice(entry, scenario.survey)
        assert all((said.deficiency, said.risk, said.action, said.standard, said.benefit)), entry
        assert said.deficiency.endswith(".") and said.risk.endswith(".")
    times = [advice(entry, scenario.survey).time for entry in recommendations(scenario)]
    assert times.count("1 h") == 1


def test_all_done_leaves_nothing_to_be_done() -> None:
    done = all_done(CONDEMNED)
    assert done.survey.findings == ()
    assert not [entry for entry in recommendations(done) if entry.changes and entry.urgency == "before use"]
    assert misfits(done) == ()
