"""What findings mean: measured ones against closed forms and published limits; none ever strengthens."""

from __future__ import annotations

import math

import pytest
from findings_of_all_kinds import EVERY
from hypothesis import assume, given
from hypothesis import strategies as st

from anchorsim.core.units import quantity, si
from anchorsim.mooring.rode import assemble
from anchorsim.numerics.interval import WHOLE, Interval, exactly
from anchorsim.scenario.findings import Finding
from anchorsim.scenario.scenario import Scenario
from anchorsim.strength.degradation import (
    Measurement,
    behaving,
    described,
    effect,
    states,
    zinc_life,
)
from anchorsim.strength.wear import chain_wear_limit, wear_grades, wear_limit

INCH = 0.0254
STOCK = Scenario()  # 8 mm chain of grade 40, 14 mm snubber
COMBINED = STOCK.vary({"tackle.chain.length": "10 m", "tackle.rope.length": "60 m"})


def found(kind: str, scenario: Scenario = STOCK, **more: object) -> Interval:
    return effect(scenario, Finding.model_validate({"kind": kind, **more})).strength


def unfit(kind: str, scenario: Scenario = STOCK, **more: object) -> bool:
    return effect(scenario, Finding.model_validate({"kind": kind, **more})).unfit


# --- Chain worn ---------------------------------------------------------------------------------------------


def test_a_worn_link_by_its_section() -> None:
    worn = found("chain link worn", measured="7 mm")
    assert worn.likely == pytest.approx(49 / 64)  # π/4·7² over π/4·8²
    assert worn.low == pytest.approx(343 / 512)  # bending strength of a round bar goes as the cube
    assert worn.high == pytest.approx(7 / 8)  # worn one way only
    assert found("chain link worn", measured="8 mm") == WHOLE
    assert found("chain link worn", measured="8.2 mm") == WHOLE, "a thick coat of zinc is no gain"


@pytest.mark.parametrize(
    ("size", "inches"),
    [(7, 0.239), (8, 0.272), (10, 0.342), (13, 0.443), (16, 0.546)],
)
def test_inch_chain_is_at_its_wear_limit_where_asme_says(size: float, inches: float) -> None:
    # ASME B30.9, read in a reprint; its sizes are chains of 7, 8, 10, 13 and 16 mm
    assert wear_limit(size / 1000) * size / 1000 == pytest.approx(inches * INCH, abs=0.0005 * INCH)
    row = STOCK.vary({"tackle.chain.size": "3/8 in", "tackle.chain.grade": 43}).tackle.chain.row()
    assert chain_wear_limit(row) == (wear_limit(row["diameter"]), "ASME B30.9, OSHA 1926.251")


@pytest.mark.parametrize("size", [6, 8, 10, 13])
def test_metric_chain_goes_out_below_nine_tenths_of_its_mean_diameter(size: int) -> None:
    # EN 818-6, read in chain makers' manuals; DIN 685, read in DGUV 209-021
    scenario = STOCK.vary({"tackle.chain.size": f"{size} mm", "tackle.chain.grade": 30})
    assert not unfit("chain link worn", scenario, measured=f"{0.9 * size:.6g} mm")
    assert unfit("chain link worn", scenario, measured=f"{0.9 * size - 0.01:.6g} mm")


def test_a_worn_link_is_graded_as_the_standards_print_it() -> None:
    """NAVFAC MO-124, 6.2.2, Lloyd's Register naval survey guidance 12.1.1 and 12.1.2, EN 818-6: all read."""
    printed = {
        0.95: ("in use", "good", "in use"),
        0.90: ("in use", "good", "in use"),  # 90 % or greater: good
        0.89: ("withdraw", "fair", "in use"),
        0.88: ("withdraw", "fair", "renew"),  # worn by 12 % or greater
        0.85: ("withdraw", "fair", "remove at once"),  # 15 per cent or more
        0.81: ("withdraw", "fair", "remove at once"),
        0.80: ("withdraw", "poor", "remove at once"),  # 80 % or less
    }
    for share, grades in printed.items():
        assert tuple(wear_grades(share).values()) == grades, share


@pytest.mark.parametrize(("inches", "wear"), [(3 / 8, 5 / 64), (1 / 2, 7 / 64)])
def test_no_chain_beyond_the_wear_that_osha_allows_goes_free(inches: float, wear: float) -> None:
    assert wear_limit(inches * INCH) * inches >= inches - wear  # OSHA 1926.251 Table H-2, read in a reprint


def test_chain_that_grew() -> None:
    assert not unfit("chain links stretched", measured="4.9 percent")
    assert unfit("chain links stretched", measured="5 percent")  # BG BAU, read
    assert found("chain links stretched", measured="0 percent") == WHOLE


def test_regalvanised_no_more_than_twice() -> None:
    assert found("chain regalvanised", measured=0) == WHOLE
    assert not unfit("chain regalvanised", measured=2)  # common practice, no source: twice at the most
    assert unfit("chain regalvanised", measured=3)
    hard = STOCK.vary({"tackle.chain.size": "5/16 in", "tackle.chain.grade": 70})
    assert (
        found("chain regalvanised", hard, measured=1).likely < found("chain regalvanised", measured=1).likely
    )
    assert found("chain regalvanised", hard, measured=0) == WHOLE


# --- Shackle, splice, rope ----------------------------------------------------------------------------------


def test_a_worn_shackle() -> None:
    # out below 9.0 mm: EN 13889, read in a maker's manual; inch by ASME B30.26 [reprint]
    metric = STOCK.vary({"tackle.fittings.anchor_shackle.size": "10 mm"})
    assert found("shackle worn", metric, measured="9.5 mm").likely == pytest.approx(0.95**2)
    assert not unfit("shackle worn", metric, measured="9 mm")
    assert unfit("shackle worn", metric, measured="8.99 mm")
    inch = STOCK.vary({"tackle.fittings.anchor_shackle.size": "3/8 in"})  # 9.525 mm, out below 8.5725
    assert found("shackle worn", inch, measured="9 mm").likely == pytest.approx((9 / 9.525) ** 2)
    assert not unfit("shackle worn", inch, measured="8.58 mm")
    assert unfit("shackle worn", inch, measured="8.57 mm")


@pytest.mark.parametrize(("grade", "share"), [("45 degrees", 0.70), ("90 degrees", 0.50)])
def test_a_shackle_pulled_sideways(grade: str, share: float) -> None:
    assert found("shackle pulled sideways", grade=grade) == exactly(share)  # riggers' charts, read


def test_tucks_counted() -> None:
    # six full tucks at the least: common practice, no source
    assert found("splice of few tucks", COMBINED, measured=6) == WHOLE
    assert found("splice of few tucks", COMBINED, measured=3).likely == pytest.approx(0.5)
    assert found("splice of few tucks", COMBINED, measured=0).likely == 0.0
    assert unfit("splice of few tucks", COMBINED, measured=2)
    assert not unfit("splice of few tucks", COMBINED, measured=4)


def test_a_strand_of_three() -> None:
    assert found("rope cut", part="rope", grade="a strand").high <= 2 / 3 + 0.001  # geometry


def test_old_rope_as_broken_in_a_test() -> None:
    old = found("rope old and in the sun", part="snubber", measured="11 year")
    # seven dock lines, 10–12 years old, broke at 0.25–0.51 of new strength, read in a magazine test
    assert (old.low, old.high) == pytest.approx((0.25, 0.51), abs=0.005)
    assert old.low < old.likely < old.high
    assert found("rope old and in the sun", part="snubber", measured="0 year") == WHOLE


def test_rope_by_class() -> None:
    # the classes and their shares are a judgement; what holds is their order
    new = si(STOCK.tackle.snubber.diameter)
    left = [found("rope diameter lost", part="snubber", measured=f"{share * new * 1000:.6g} mm").likely
            for share in (1.0, 0.96, 0.92, 0.85)]  # fmt: skip
    assert left[0] == 1.0
    assert left == sorted(left, reverse=True)
    assert unfit("rope diameter lost", part="snubber", measured=f"{0.85 * new * 1000:.6g} mm")


# --- Zinc ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("place", "low", "high"), [("C3", 0.7, 2), ("C4", 2, 4), ("C5", 4, 8)])
def test_zinc_lasts_as_long_as_it_is_thick(place: str, low: float, high: float) -> None:
    # µm a year, ISO 14713, read in a reprint
    year = 365.25 * 86400  # s, the Julian year
    assert zinc_life(85e-6, place) == pytest.approx((85 / high * year, 85 / low * year), rel=1e-9)


def test_zinc_lasts_and_takes_no_strength() -> None:
    thin = effect(STOCK, Finding(kind="chain zinc thin", grade="C4", measured=quantity(40.0, "micrometer")))
    assert thin.strength == WHOLE
    assert thin.measured is not None and thin.measured.lasts is not None
    year = 365.25 * 86400  # s, the Julian year
    assert [lasts / year for lasts in thin.measured.lasts] == pytest.approx([10, 20])  # 2 to 4 µm a year


def test_a_measurement_is_kept_as_numbers_with_its_limit() -> None:
    worn = effect(STOCK, Finding(kind="chain link worn", measured=quantity(7.0, "mm"))).measured
    limit = 0.9 * 8e-3  # of the mean diameter, EN 818-6, read in chain makers' manuals
    assert worn == Measurement(
        "link wear", pytest.approx(7e-3), pytest.approx(8e-3), pytest.approx(limit), "EN 818-6"
    )
    assert effect(STOCK, Finding(kind="chain link cracked")).measured is None


# --- Behaviour ----------------------------------------------------------------------------------------------


def test_a_stiff_snubber_stretches_less_in_the_simulation() -> None:
    stiff = STOCK.vary({"survey.findings": [{"kind": "rope stiff", "part": "snubber"}]})
    sound, aged = (assemble(scenario).segments[-1].law for scenario in (STOCK, behaving(stiff)))
    assert sound is not None and aged is not None
    assert aged.strain == pytest.approx([0.6 * strain for strain in sound.strain])
    assert aged.load == sound.load


def test_an_anchor_that_holds_less_is_simulated_by_a_lighter_one() -> None:
    bent = STOCK.vary({"survey.findings": [{"kind": "anchor fluke bent", "grade": "marked"}]})
    lighter = si(behaving(bent).tackle.anchor.mass)
    # holding grows as mass to the power 0.8 in sand, UFC 4-159-03 eq. 26 (power from memory); 0.6 is left
    assert (lighter / 20.0) ** 0.8 == pytest.approx(0.6)


def test_what_is_not_found_behaves_as_it_did() -> None:
    assert behaving(STOCK) is STOCK
    only_strength = STOCK.vary({"survey.findings": [{"kind": "chain link cracked"}]})
    assert behaving(only_strength) is only_strength


def test_a_finding_on_a_part_that_nobody_described_brings_it_in() -> None:
    bare = STOCK.vary({"survey.findings": [{"kind": "swivel the wrong way round"}]})
    assert described(bare).tackle.fittings.swivel.orientation == "jaw to the anchor"
    assert described(STOCK) is STOCK


def test_what_the_description_says_already_is_not_taken_twice() -> None:
    screwed = STOCK.vary({"tackle.fittings.strong_point.fastening": "screws"})
    assert found("strong point held by screws", screwed) == WHOLE
    assert found("strong point held by screws").likely == pytest.approx(0.2)


# --- None ever strengthens ----------------------------------------------------------------------------------


@pytest.mark.parametrize("finding", EVERY, ids=lambda found: " ".join(map(str, found.values())))
def test_no_finding_leaves_more_than_there_was(finding: dict[str, object]) -> None:
    for scenario in (STOCK, COMBINED):
        told = effect(scenario, Finding.model_validate(finding))
        for share in (told.strength, told.holding):
            assert 0.0 <= share.low <= share.likely <= share.high <= 1.0
        assert 0.0 < told.stretch <= 1.0


MEASURED = {  # kind: part, unit, range, whether more of it is better
    "chain link worn": ("chain", "mm", 2.0, 20.0, True),
    "shackle worn": ("anchor shackle", "mm", 1.0, 30.0, True),
    "swivel worn": ("swivel", "mm", 1.0, 30.0, True),
    "rope diameter lost": ("snubber", "mm", 4.0, 32.0, True),
    "splice of few tucks": ("rope join", "", 0.0, 12.0, True),
    "chain links stretched": ("chain", "percent", 0.0, 30.0, False),
    "chain regalvanised": ("chain", "", 0.0, 10.0, False),
    "rope old and in the sun": ("rope", "year", 0.0, 40.0, False),
}


@given(st.data(), st.sampled_from(sorted(MEASURED)))
def test_more_wear_never_leaves_more(data: st.DataObject, kind: str) -> None:
    part, unit, low, high, better = MEASURED[kind]
    one, other = (data.draw(st.floats(low, high, allow_subnormal=False)) for _ in range(2))
    assume(not math.isclose(one, other, rel_tol=1e-9))
    worse, milder = (min(one, other), max(one, other)) if better else (max(one, other), min(one, other))
    left = [
        found(kind, part=part, measured=quantity(amount, unit) if unit else amount)
        for amount in (worse, milder)
    ]
    assert all(bad <= good + 1e-12 for bad, good in zip(*left, strict=True))


@given(st.lists(st.sampled_from(EVERY), max_size=25), st.randoms(use_true_random=False))
def test_order_does_not_matter(findings: list[dict[str, object]], random: object) -> None:
    shuffled = list(findings)
    random.shuffle(shuffled)  # type: ignore[attr-defined]
    one, other = (
        {
            part: (state.strength, state.holding, state.stretch, state.unfit)
            for part, state in states(s).items()
        }
        for s in (STOCK.vary({"survey.findings": f}) for f in (findings, shuffled))
    )
    assert one == other


@given(st.lists(st.sampled_from(EVERY), max_size=15), st.sampled_from(EVERY))
def test_one_more_finding_never_leaves_more(
    findings: list[dict[str, object]], more: dict[str, object]
) -> None:
    before = states(STOCK.vary({"survey.findings": findings}))
    after = states(STOCK.vary({"survey.findings": [*findings, more]}))
    for part, state in before.items():
        for one, other in ((state.strength, after[part].strength), (state.holding, after[part].holding)):
            assert all(then <= first for then, first in zip(other, one, strict=True))
        assert after[part].stretch <= state.stretch
        assert after[part].unfit or not state.unfit


def test_what_cannot_be_seen_widens_the_range() -> None:
    for kind in ("chain coated", "anchor hidden by coating"):
        share = found(kind)
        assert share.high == 1.0, "it may be sound"
        assert share.high - share.low >= 0.3, "and it may not"


@pytest.mark.parametrize(
    ("kind", "more"),
    [
        ("shackle pin not moused", {}),
        ("rope join shackle not moused", {}),
        ("swivel hidden rust", {}),
        ("strong point hidden beneath", {}),
        ("rope core hidden", {"part": "rope"}),
    ],
)
def test_a_doubt_is_told_in_words_and_takes_no_share(kind: str, more: dict[str, str]) -> None:
    doubt = effect(STOCK, Finding.model_validate({"kind": kind, **more}))
    assert (doubt.strength, doubt.counted) == (WHOLE, "words")
    assert doubt.finding.row()["behaviour"]


def test_wear_measured_bright_is_not_reduced_for_rust_again() -> None:
    """The caliper stood on clean steel: the lower of section and rust counts, not their product."""
    worn, rusted = (
        {"kind": "chain link worn", "measured": "7.2 mm"},
        {"kind": "chain rusted", "grade": "flaking"},
    )
    both = states(STOCK.vary({"survey.findings": [rusted, worn]}))["chain"]
    assert both.strength.likely == pytest.approx(0.81)  # 7.2² over 8²; flaking alone leaves 0.88
    pitted = {"kind": "chain rusted", "grade": "pitted"}
    deep = states(STOCK.vary({"survey.findings": [pitted, worn]}))["chain"]
    assert deep.strength.likely == 0.65  # pits elsewhere go deeper (judgement, as in the table)
    told = [entry.counted for entry in both.effects]
    assert told == ["measured", ""]


@pytest.mark.parametrize(("logged", "found"), [(2, None), (0, 2), (2, 2), (1, 2), (2, 1)])
def test_regalvanising_counts_once_wherever_it_was_entered(logged: int, found: int | None) -> None:
    entered = [] if found is None else [{"kind": "chain regalvanised", "measured": found}]
    scenario = STOCK.vary({"survey.log.times_regalvanised": logged, "survey.findings": entered})
    assert tuple(states(scenario)["chain"].strength) == (0.8, 0.9, 0.97)  # twice, judgement


def test_a_windlass_used_as_strong_point_holds_the_chain_whatever_snubber_is_aboard() -> None:
    used = STOCK.vary({"survey.findings": [{"kind": "windlass used as strong point"}]})
    assert si(used.tackle.snubber.length) > 0
    behaves = behaving(used)
    assert si(behaves.tackle.snubber.length) == 0
    assert behaves.tackle.fittings.windlass.chain_held_by == "windlass"
    assert not any(segment.law for segment in assemble(behaves).segments)
