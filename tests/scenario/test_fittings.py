"""Shackles, swivels, links, knots, strong points and anchors' proof loads against what is printed of them."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from anchorsim.core.tables import pick, table
from anchorsim.core.units import GRAVITY, quantity, si
from anchorsim.scenario.fittings import Fittings, JoiningLink, Shackle, Swivel, link_width
from anchorsim.scenario.scenario import Scenario, ScenarioError
from anchorsim.strength.components import anchor_proof, bend_share, gear, iso_strong_point

POUND_FORCE = 0.45359237 * GRAVITY  # N, NIST SP 811
SHORT_TON = 2000 * POUND_FORCE
INCH = 0.0254

# Carbon screw-pin bow shackle: size in inches, RR-C-271, read in a reprint
SHACKLES = {
    "6 mm": 1 / 4,
    "8 mm": 5 / 16,
    "10 mm": 3 / 8,
    "11 mm": 7 / 16,
    "13 mm": 1 / 2,
    "16 mm": 5 / 8,
    "19 mm": 3 / 4,
}


@pytest.mark.parametrize(("size", "inches"), SHACKLES.items())
def test_bow_shackles_as_printed(size: str, inches: float) -> None:
    row = pick("shackles", grade="carbon screw pin", size=size)
    assert row["diameter"] == pytest.approx(inches * INCH, rel=1e-9)
    assert row["break factor"] >= 5  # RR-C-271, read in a reprint: at least 5 times
    assert row["pin"] > row["diameter"]


def test_every_kind_in_a_choice_has_a_row_with_a_source() -> None:
    for name in ("shackles", "swivels", "joining_links", "quick_links", "leads", "snubber_ends", "backings"):
        assert all(row.source and row.kind for row in table(name))


# --- Sizes --------------------------------------------------------------------------------------------------


def test_a_trade_size_and_its_inches_are_the_same_shackle() -> None:
    for size in (quantity(8.0, "mm"), quantity(0.3125, "in")):
        assert Shackle(size=size).row(0.008)["size"] == "8 mm"


@pytest.mark.parametrize("link", [7, 8, 10, 12, 13, 14, 16])
@pytest.mark.parametrize("grade", ["carbon screw pin", "alloy screw pin"])
def test_a_shackle_without_a_size_passes_the_link(link: float, grade: str) -> None:
    row = Shackle(grade=grade).row(link / 1000)
    thinnest = next(row for row in table("shackles") if row["grade"] == grade)
    assert row["pin"] <= link_width(link / 1000) or row["size"] == thinnest["size"]
    bigger = [other for other in table("shackles") if other["grade"] == grade and other["pin"] > row["pin"]]
    assert all(other["pin"] > link_width(link / 1000) for other in bigger)


@pytest.mark.parametrize(
    ("path", "given", "sentence"),
    [
        ("tackle.fittings.anchor_shackle.size", "9 mm", "9 mm carbon screw pin shackle is not in the"),
        ("tackle.fittings.anchor_shackle.size", 8, "8 has no unit. Expected 0 to 20 mm."),
        ("tackle.fittings.swivel.size", "12 mm", "12 mm swivel is not in the swivel table"),
        ("tackle.fittings.strong_point.bolt_size", "7 mm", "7 mm bolt is not in the bolt table. Expected"),
        ("tackle.fittings.swivel.orientation", "upside down", '"upside down" is not known. Expected'),
    ],
)
def test_a_size_that_does_not_exist_is_refused_with_its_path(path: str, given: object, sentence: str) -> None:
    with pytest.raises(ScenarioError) as caught:
        Scenario().vary({path: given})
    assert caught.value.path == path
    assert caught.value.problems[0][1].startswith(sentence)


def test_fittings_have_sound_defaults_and_are_left_out_of_a_file() -> None:
    assert "fittings" not in Scenario().document()["tackle"]
    varied = Scenario().vary({"tackle.fittings.lead.kind": "chock"})
    assert varied.document()["tackle"]["fittings"] == {"lead": {"kind": "chock"}}
    assert Scenario.model_validate(varied.document()) == varied
    assert Fittings() == Scenario().tackle.fittings


# --- What they stand ----------------------------------------------------------------------------------------


def test_rope_over_a_bend() -> None:
    assert bend_share(4.0) == pytest.approx(0.75)  # 1 − 0.5/√4, from memory
    assert bend_share(1e12) == pytest.approx(1.0, abs=1e-6)


@given(st.floats(0.1, 100), st.floats(0.1, 100))
def test_a_wider_bend_never_weakens(one: float, other: float) -> None:
    assert (bend_share(one) <= bend_share(other)) == (one <= other) or bend_share(one) == bend_share(other)


def test_anchor_proof_loads_as_recalled() -> None:
    # IACS UR A1, ordinary anchors, kg: kN, from memory
    for mass, proof in ((50, 23.2), (60, 27.1), (70, 30.7), (80, 33.9), (100, 39.1)):
        assert pick_proof(mass) == pytest.approx(proof * 1000, rel=1e-12)
        assert anchor_proof("fisherman", mass) == pytest.approx(proof * 1000, rel=1e-12)
    assert anchor_proof("plough", 37.5) == pytest.approx(23200, abs=50)  # proved at 4/3 of its mass


def pick_proof(mass: float) -> float:
    return float(next(row["proof"] for row in table("anchor_proof") if row["mass"] == mass))


def part(scenario: Scenario, key: str) -> tuple[float, float, float]:
    return tuple(next(found.mbl for found in gear(scenario) if found.key == key))


def test_what_is_in_line_by_kind_of_rode() -> None:
    chain = Scenario()
    assert [found.key for found in gear(chain)] == [
        "anchor", "anchor shackle", "chain", "snubber end", "snubber", "lead", "strong point", "windlass",
        "bitter end",
    ]  # fmt: skip
    rope = chain.vary({"tackle.chain.length": "10 m", "tackle.rope.length": "60 m"})
    assert [found.key for found in gear(rope)] == [
        "anchor", "anchor shackle", "chain", "rope join", "rope", "lead", "strong point", "bitter end",
    ]  # fmt: skip
    bare = chain.vary({"tackle.snubber.length": "0 m"})
    assert [found.key for found in gear(bare)] == [
        "anchor", "anchor shackle", "chain", "lead", "windlass", "bitter end",
    ]  # fmt: skip


def test_a_knot_leaves_its_share_of_the_wet_rope() -> None:
    rope = {"tackle.chain.length": "10 m", "tackle.rope.length": "60 m", "tackle.rope.diameter": "14 mm"}
    knotted = Scenario().vary({**rope, "tackle.fittings.rope_join.kind": "knot"})
    wet = 40.2e3 * 0.85  # ISO 1140, 14 mm, from memory; wet −15 %, UFC 4-159-03 Table 3-7
    assert part(knotted, "rope join") == pytest.approx((0.55 * wet, 0.60 * wet, 0.65 * wet))
    spliced = knotted.vary({"tackle.fittings.rope_join.kind": "thimble and shackle"})
    # 0.90 of the wet rope is 30.75 kN, less than 5 · 0.75 short tons = 33.4 kN of the 8 mm shackle
    assert part(spliced, "rope join") == pytest.approx((0.9 * wet, 0.9 * wet, 0.9 * wet))
    heavy = spliced.vary({"tackle.rope.diameter": "24 mm"})
    assert part(heavy, "rope join")[1] == pytest.approx(5 * 0.75 * SHORT_TON), "then the shackle gives first"


def test_joining_links_and_swivels() -> None:
    quick = Scenario().vary({"tackle.fittings.joining_link.kind": "quick link"})
    assert part(quick, "joining link")[1] == pytest.approx(5 * 1760 * POUND_FORCE)  # 5/16 in, a dealer's list
    assert JoiningLink(kind="chain shackle").row(0.010)["size"] == "10 mm"
    forged = Scenario().vary({"tackle.fittings.swivel.orientation": "eye to the anchor"})
    assert part(forged, "swivel")[1] == pytest.approx(
        5 * 1250 * POUND_FORCE
    )  # 5/16 in, Drag Device Data Base
    turned = Scenario().vary({"tackle.fittings.swivel.orientation": "jaw to the anchor"})
    assert part(turned, "swivel") < part(forged, "swivel")
    assert Swivel(orientation="eye to the anchor").row(0.012)["size"] == "13 mm"


def test_a_strong_point_is_as_strong_as_what_holds_it() -> None:
    sound = Scenario()
    assert part(sound, "strong point")[1] == pytest.approx(iso_strong_point(12.0, 10.6))
    for path, value in (
        ("backing", "none"), ("backing", "large washers"), ("fastening", "screws"), ("bolt_size", "6 mm"),
        ("breaking_load", "10 kN"),
    ):  # fmt: skip
        weaker = sound.vary({f"tackle.fittings.strong_point.{path}": value})
        assert part(weaker, "strong point")[1] < part(sound, "strong point")[1]
    welded = sound.vary(
        {"tackle.fittings.strong_point.fastening": "welded", "tackle.fittings.strong_point.backing": "none"}
    )
    assert part(welded, "strong point")[1] == part(sound, "strong point")[1], "a welded one needs no plate"


def test_the_bitter_end() -> None:
    lashed = Scenario().vary(
        {"tackle.fittings.bitter_end.turns": 4, "tackle.fittings.bitter_end.diameter": "6 mm"}
    )
    # 8 parts of 6 mm nylon, 20.4 kN of 10 mm (ISO 1140, from memory) by the square of diameter, half of it
    assert part(lashed, "bitter end")[1] == pytest.approx(8 * 20.4e3 * 0.36 / 2)
    assert part(Scenario().vary({"tackle.fittings.bitter_end.made_fast": "nothing"}), "bitter end") == (
        0,
        0,
        0,
    )


def test_chain_bare_to_the_bow_hangs_on_the_windlass_and_not_on_the_strong_point() -> None:
    bare = Scenario().vary({"tackle.snubber.length": "0 m"})
    found = next(entry for entry in gear(bare) if entry.key == "windlass")
    assert found.load(5000.0, 4000.0) == 5000.0
    # 0.45 of the chain's break, IACS UR A3 (reprint): 40 kN of 8 mm grade 40, ISO 4565
    assert found.mbl.likely == pytest.approx(0.45 * 40e3)
    behind = next(
        entry for entry in gear(Scenario().vary({"tackle.snubber.slack": "1 m"})) if entry.key == "windlass"
    )
    assert behind.load(0.5 * behind.most, 0.0) == 0.0
    assert behind.load(behind.most + 100.0, 0.0) == pytest.approx(100.0)
    assert math.isfinite(behind.most)


def test_sizes_are_read_in_any_unit() -> None:
    assert si(Shackle(size=quantity(3 / 8, "in")).size) == pytest.approx(3 / 8 * INCH)
