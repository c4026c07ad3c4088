"""The weakest link: three invented surveys by hand, and what no finding may ever do."""

from __future__ import annotations

import math

import pytest
from findings_of_all_kinds import EVERY
from hypothesis import given, settings
from hypothesis import strategies as st

from anchorsim import appraise
from anchorsim.core.resources import folder
from anchorsim.core.units import GRAVITY
from anchorsim.numerics.interval import WHOLE, Interval
from anchorsim.scenario.scenario import Scenario
from anchorsim.survey.weakest_link import Appraisal, held, watched
from anchorsim.wording.cautions import Caution
from anchorsim.wording.weakest_link import first_to_fail, sentence

POUND_FORCE = 0.45359237 * GRAVITY  # N, NIST SP 811
SHORT_TON = 2000 * POUND_FORCE
WET = 0.85  # nylon, UFC 4-159-03 Table 3-7
STOCK = Scenario()


def shared(name: str) -> Scenario:
    return Scenario.load(folder("shared") / f"{name}.toml")


def likely(found: Appraisal, key: str) -> float:
    """What a part still breaks at, kN."""
    return found.part(key).strength_left.likely / 1000


# --- Three surveys by hand ----------------------------------------------------------------------------------


def test_the_neglected_sloop_by_hand() -> None:
    found = appraise(shared("survey-neglected-sloop"))
    proof = 23.2 * (16 * 4 / 3 / 50) ** (
        math.log(39.1 / 23.2) / math.log(2)
    )  # IACS UR A1, 50 and 100 kg, memory
    snubber = (
        40.2 * WET * 0.38
    )  # 14 mm, ISO 1140, memory; 11 years old, the middle of 0.25–0.51 (magazine test)
    bend = 1 - 0.5 / math.sqrt(2 * 40 / 14)  # over a roller of 40 mm (judgement), curve from memory
    sections = {
        "anchor": 2 * proof,
        "anchor shackle": 5
        * 0.75
        * SHORT_TON
        / 1000,  # RR-C-271 5/16 in [reprint]; not moused: told in words
        "swivel": 5 * 1250 * POUND_FORCE / 1000 * 0.5,  # 5/16 in, memory; jaw to the anchor (judgement)
        "joining link": 5 * 1760 * POUND_FORCE / 1000,  # quick link of 5/16 in, memory
        # ISO 4565 8 mm grade 30 [reprint]; worn, measured bright: not reduced for rust again; regalvanised
        # once, by the log (judgement)
        "chain": 32 * (6.8 / 8) ** 2 * 0.95,
        "snubber end": 32 * 0.9,  # hook on the chain (judgement)
        "snubber": snubber,
        "lead": snubber * bend * 0.95,
        "strong point": (4.3 * (11 + 9.6) / 2 - 5.4) * 0.4 * 0.8,  # ISO 15084; no backing; leaks (judgements)
    }
    for key, load in sections.items():
        assert likely(found, key) == pytest.approx(load, rel=0.002), key
    bow, anchor = found.peak.likely / 1000, found.part("anchor").load.likely / 1000
    loads = {
        key: anchor if key in ("anchor", "anchor shackle", "swivel", "joining link") else bow
        for key in sections
    }
    first, second = sorted(sections, key=lambda key: sections[key] / loads[key])[:2]
    assert (first, second) == ("lead", "strong point")
    assert (found.weakest.key, found.next_weakest.key) == (first, second)
    assert {part.key for part in found.unfit} == {"chain", "snubber"}  # 6.8 < 7.2 mm, EN 818-6; 0.38 < half
    assert sentence(found, "metric").startswith(
        "WARNING The chain 8 mm grade 30 and the snubber 14 mm are not fit for use. They can fail under load "
        "and leave the boat adrift. Do not anchor on them until they are replaced or repaired. "
        "Weakest link: snubber at the bow roller, safety factor "
    )


def test_the_sound_ketch_by_hand() -> None:
    found = appraise(shared("survey-sound-ketch"))
    proof = 23.2 * (35 * 4 / 3 / 50) ** (
        math.log(39.1 / 23.2) / math.log(2)
    )  # IACS UR A1, 50 and 100 kg, memory
    sections = {
        "anchor": 2 * proof,
        "anchor shackle": 5 * 2 * SHORT_TON / 1000,  # alloy 3/8 in, design factor 5, a rigger's card
        "chain": 63,  # ISO 4565 10 mm grade 40 [reprint]
        "snubber end": 63 * 0.9,
        "snubber": 81.4 * WET * 0.95,  # 20 mm, ISO 1140, memory; fuzzy (judgement)
        "lead": 81.4 * WET * (1 - 0.5 / math.sqrt(2 * 60 / 20)) * 0.95,  # chafed elsewhere
        "strong point": 60,  # as stated
    }
    for key, load in sections.items():
        assert likely(found, key) == pytest.approx(load, rel=0.002), key
    assert (found.weakest.key, found.next_weakest.key) == ("anchor", "lead")
    assert not found.unfit
    assert found.anchor_drags_first
    assert {outcome.ending for outcome in found.assessment.outcomes} == {"held"}
    assert all(part.utilisation.high < 1 for part in found.in_line)


def test_the_motor_cruiser_by_hand() -> None:
    found = appraise(shared("survey-light-motor-cruiser"))
    proof = 23.2 * (10 * 4 / 3 / 50) ** (
        math.log(39.1 / 23.2) / math.log(2)
    )  # IACS UR A1, 50 and 100 kg, memory
    wet = 40.2 * WET  # 14 mm, ISO 1140, from memory
    bolts = 0.6 * 700 * 20.1 * 4 / 1000  # four M6 in shear: ISO 898-1, ISO 3506 A4-70, reprints
    sections = {
        "anchor": 2 * proof,
        "anchor shackle": 5 * 0.75 * SHORT_TON / 1000,  # RR-C-271 5/16 in [reprint]
        "chain": 32,  # ISO 4565 8 mm grade 30 [reprint]
        "rope join": wet * 0.60,  # anchor bend 0.55–0.65, Cordage Institute [reprint]
        "rope": wet * 0.9,  # a few yarns cut (judgement)
        "lead": wet
        * (1 - 0.5 / math.sqrt(2 * 12 / 14))
        * 0.95
        * 0.85
        * 0.6,  # no chafe gear; sharp (judgements)
        "strong point": bolts * 0.7,  # washers (judgement); hidden: told in words
    }
    for key, load in sections.items():
        assert likely(found, key) == pytest.approx(load, rel=0.002), key
    assert (found.weakest.key, found.next_weakest.key) == ("lead", "anchor")
    assert found.anchor_drags_first, "an anchor that a man lifts drags long before it breaks anything"
    assert found.assessment.count("dragged") == 8


# --- What no finding may do ---------------------------------------------------------------------------------


def capacities(found: Appraisal) -> dict[str, tuple[Interval, Interval]]:
    return {part.key: (part.wll, part.strength_left) for part in found.parts}


def test_nothing_found_is_the_table() -> None:
    found = appraise(STOCK)
    assert found.part("chain").wll == WHOLE * 10e3  # ISO 4565, 8 mm grade 40: a fourth of 40 kN [reprint]
    assert found.part("chain").strength_left == WHOLE * 40e3  # ISO 4565, read in a reprint
    assert all(part.wll == part.as_new.wll for part in found.parts)
    assert not any(part.effects for part in found.parts)


def test_all_findings_taken_away_restore_the_table() -> None:
    sick = STOCK.vary({"survey.findings": EVERY})
    assert capacities(appraise(sick)) != capacities(appraise(STOCK))
    healed = sick.vary({"survey.findings": ()})
    assert capacities(appraise(healed)) == capacities(appraise(STOCK))
    assert appraise(healed).weakest == appraise(STOCK).weakest


# A windlass used as strong point takes the snubber's place: other parts are then in line.
OF_STRENGTH = [found for found in EVERY if found["kind"] != "windlass used as strong point"]


@settings(max_examples=40, deadline=None)
@given(st.lists(st.sampled_from(OF_STRENGTH), max_size=12), st.sampled_from(OF_STRENGTH))
def test_no_finding_ever_raises_a_capacity(
    findings: list[dict[str, object]], more: dict[str, object]
) -> None:
    before = appraise(STOCK.vary({"survey.findings": findings}))
    after = appraise(STOCK.vary({"survey.findings": [*findings, more]}))
    for key, loads in capacities(before).items():
        for first, then in zip(loads, capacities(after)[key], strict=True):
            assert all(now <= once * (1 + 1e-12) for once, now in zip(first, then, strict=True)), key
    assert all(now <= once for once, now in zip(before.holding, after.holding, strict=True))


@settings(max_examples=25, deadline=None)
@given(st.permutations(EVERY[::4]))
def test_the_order_of_findings_changes_nothing(findings: list[dict[str, object]]) -> None:
    one, other = (appraise(STOCK.vary({"survey.findings": order})) for order in (EVERY[::4], findings))
    assert capacities(one) == capacities(other)
    assert one.weakest.key == other.weakest.key
    assert one.peak == other.peak


@settings(max_examples=30, deadline=None)
@given(st.floats(2.5, 8.0), st.floats(2.5, 8.0))
def test_more_wear_never_lowers_utilisation(one: float, other: float) -> None:
    thin, thick = sorted((one, other))
    used = [
        appraise(STOCK.vary({"survey.findings": [worn]})).part("chain").utilisation
        for worn in ({"kind": "chain link worn", "measured": f"{left:.12g} mm"} for left in (thin, thick))
    ]  # fmt: skip
    assert all(worse >= better * (1 - 1e-12) for worse, better in zip(*used, strict=True))


# --- Loads, breaking and dragging ---------------------------------------------------------------------------


def test_loads_are_those_of_an_anchor_that_holds() -> None:
    light = STOCK.vary({"tackle.anchor.mass": "3 kg", "tackle.anchor.type": "fisherman"})
    assert min(watched(light).drag) > 0.0
    assert max(held(light).drag) == 0.0
    assert appraise(light).peak == appraise(STOCK).peak, "a poor anchor must not make gear look strong"
    rock = STOCK.vary({"spot.bottom": "rock"})
    assert max(held(rock).drag) == 0.0


def test_utilisation_is_load_over_wll() -> None:
    for part in appraise(STOCK).in_line:
        if part.load.likely:
            assert part.utilisation.likely == pytest.approx(part.load.likely / part.wll.likely)
            assert part.utilisation.low == pytest.approx(part.load.low / part.wll.high)
            assert part.utilisation.low <= part.utilisation.likely <= part.utilisation.high


def test_the_anchor_drags_before_the_chain_breaks() -> None:
    assert appraise(STOCK).anchor_drags_first  # UFC 4-159-03 Table 3-18: the anchor should drag first
    heavy = STOCK.vary(
        {"tackle.anchor.mass": "100 kg", "tackle.chain.size": "6 mm", "tackle.chain.grade": 30}
    )
    found = appraise(heavy)
    assert not found.anchor_drags_first
    assert found.bow_load_at_break.likely < found.holding.likely
    told = first_to_fail(found, "metric")
    assert isinstance(told, Caution) and told.signal == "WARNING"
    assert " breaks first, at about " in told.text and "The boat would be adrift." in told.text


def test_chain_behind_a_snubber_spares_it() -> None:
    short = STOCK.vary({"tackle.snubber.length": "10 m", "tackle.snubber.slack": "0.5 m"})
    found = appraise(short)
    snubber = found.part("snubber")
    assert snubber.as_new.most < snubber.strength_left.likely
    assert snubber.bow_load_at_break.likely == math.inf, "it cannot be loaded so far"
    holder = found.part("windlass")
    assert holder.bow_load_at_break.likely == pytest.approx(snubber.as_new.most + holder.strength_left.likely)


def test_rotten_rope_is_rotten_in_its_bends_and_splices_too() -> None:
    rope = STOCK.vary({"tackle.chain.length": "10 m", "tackle.rope.length": "60 m"})
    old = {"kind": "rope old and in the sun", "part": "rope", "measured": "11 year"}
    cut = {"kind": "rope cut", "part": "rope", "grade": "a strand"}
    new, aged, cut_once = (appraise(rope.vary({"survey.findings": f})) for f in ([], [old], [cut]))
    for key in ("rope", "rope join", "lead"):
        assert likely(aged, key) == pytest.approx(0.38 * likely(new, key)), "age is throughout"
    assert likely(cut_once, "rope join") == likely(new, "rope join"), "a cut is in one place"


def test_findings_on_what_is_not_in_line_are_kept() -> None:
    found = appraise(STOCK.vary({"survey.findings": [{"kind": "second anchor not ready"}]}))
    assert [effect.finding.kind for effect in found.ashore] == ["second anchor not ready"]


def test_the_names_of_people_do_not_reach_the_physics() -> None:
    named = STOCK.vary({"survey.client": "A. Person", "title": "Another"})
    assert watched(named).drag is watched(STOCK).drag, "the same spells serve"
