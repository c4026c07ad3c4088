"""What each part of the gear carries and breaks at when sound: by hand from the printed tables."""

from __future__ import annotations

import math
from typing import Any

import pytest

from anchorsim.core.units import GRAVITY, quantity
from anchorsim.scenario.scenario import Scenario
from anchorsim.strength.components import (
    GearPart,
    anchor_proof,
    bend_share,
    bolts_break,
    gear,
    iso_strong_point,
)

LBF = 0.45359237 * GRAVITY / 1000  # kN, NIST SP 811
TON = 2000 * LBF  # short ton-force, kN
STOCK = Scenario()  # 12 m (10.6 m waterline), 8 mm chain of grade 40, 14 mm three-strand snubber
ROPE = {"tackle.chain.length": "10 m", "tackle.rope.length": "60 m", "tackle.rope.diameter": "16 mm"}
FIT = "tackle.fittings."
WET = 0.85  # nylon, UFC 4-159-03 Table 3-7
SNUBBER, CHAIN = 40.2 * WET, 40.0  # kN: 14 mm, ISO 1140, from memory; 8 mm of grade 40, ISO 4565 [reprint]
THICK = 52.0 * WET  # kN: 16 mm, ISO 1140, from memory
POINT = 4.3 * (12.0 + 10.6) / 2 - 5.4  # kN, ISO 15084, digits from memory
ROLLER = 1 - 0.5 / math.sqrt(2 * 40 / 14)  # 14 mm over a roller of 40 mm (judgement); curve from memory

Breaks = tuple[float, float, float]
CASES: list[tuple[str, dict[str, Any], str, float, Breaks, str]] = [
    # what, changes, part, breaking over working load, breaking load in kN, which load comes on it
    ("shackle", {}, "anchor shackle", 5, (5 * 0.75 * TON,) * 3, "anchor"),  # RR-C-271, 5/16 in [reprint]
    ("shackle by size", {f"{FIT}anchor_shackle.size": "6 mm"}, "anchor shackle", 5,
     (2.5 * TON,) * 3, "anchor"),
    ("chain to the bow", {}, "chain", 4, (CHAIN,) * 3, "bow"),
    ("chain below rope", ROPE, "chain", 4, (CHAIN,) * 3, "anchor"),
    ("rope", ROPE, "rope", 9, (THICK,) * 3, "bow"),  # Cordage Institute: 1/12 to 1/9
    ("snubber", {}, "snubber", 9, (SNUBBER,) * 3, "snubber"),
    ("bridle", {"tackle.snubber.legs": 2}, "snubber", 9, (SNUBBER,) * 3, "snubber"),
    # swivel of 5/16 in, 1250 lbf, breaks at 5 times that [read]; jaw to the anchor 0.3 to 0.8 (judgement)
    ("swivel", {f"{FIT}swivel.orientation": "eye to the anchor"}, "swivel", 5, (6250 * LBF,) * 3, "anchor"),
    ("swivel the wrong way", {f"{FIT}swivel.orientation": "jaw to the anchor"}, "swivel", 5,
     (0.3 * 6250 * LBF, 0.5 * 6250 * LBF, 0.8 * 6250 * LBF), "anchor"),
    ("quick link", {f"{FIT}joining_link.kind": "quick link"}, "joining link", 5,  # 5/16 in, 1760 lbf [read]
     (5 * 1760 * LBF,) * 3, "anchor"),
    ("chain shackle", {f"{FIT}joining_link.kind": "chain shackle"}, "joining link", 5,
     (5 * 0.75 * TON,) * 3, "anchor"),
    ("riveted link", {f"{FIT}joining_link.kind": "riveted"}, "joining link", 4,  # judgement
     (0.5 * CHAIN, 0.75 * CHAIN, CHAIN), "anchor"),
    ("double-jaw link", {f"{FIT}joining_link.kind": "double-jaw"}, "joining link", 4,  # judgement
     (0.9 * CHAIN, CHAIN, CHAIN), "anchor"),
    ("chain splice", ROPE, "rope join", 9, (0.8 * THICK, 0.85 * THICK, 0.9 * THICK), "bow"),  # judgement
    # Cordage Institute [reprint]: bowline 0.67 to 0.75, eye splice on a thimble about 0.90
    ("bowline", {**ROPE, f"{FIT}rope_join.kind": "knot", f"{FIT}rope_join.knot": "bowline"}, "rope join", 9,
     (0.67 * THICK, 0.71 * THICK, 0.75 * THICK), "bow"),
    ("thimble", {**ROPE, f"{FIT}rope_join.kind": "thimble and shackle",
                 f"{FIT}rope_join.shackle.size": "13 mm"}, "rope join", 9, (0.9 * THICK,) * 3, "bow"),
    ("hook", {}, "snubber end", 4, (0.8 * CHAIN, 0.9 * CHAIN, CHAIN), "snubber"),  # judgement
    ("rolling hitch", {f"{FIT}snubber_end.kind": "rolling hitch"}, "snubber end", 9,  # [reprint]
     (0.6 * SNUBBER, 0.65 * SNUBBER, 0.7 * SNUBBER), "snubber"),
    ("snubber's shackle", {f"{FIT}snubber_end.kind": "shackle through a link",
                           f"{FIT}snubber_end.shackle.size": "10 mm"}, "snubber end", 5,
     (5 * TON,) * 3, "snubber"),  # RR-C-271, 3/8 in [reprint]
    ("roller", {}, "lead", 9, (0.9 * ROLLER * SNUBBER, 0.95 * ROLLER * SNUBBER, ROLLER * SNUBBER), "snubber"),
    ("rope over 32 mm", {**ROPE, f"{FIT}lead.radius": "32 mm"}, "lead", 9,  # D/d is 4: 0.75
     (0.9 * 0.75 * THICK, 0.95 * 0.75 * THICK, 0.75 * THICK), "bow"),
    ("chain on a roller", {"tackle.snubber.length": "0 m"}, "lead", 4,  # judgement
     (36.0, 38.0, 40.0), "bow"),
    # a third of the breaking load is the working load (judgement, after UFC 4-159-03 Table 3-7)
    ("cleat", {}, "strong point", 3, (0.9 * POINT, POINT, POINT), "snubber"),
    ("cleat with rope", ROPE, "strong point", 3, (0.9 * POINT, POINT, POINT), "bow"),
    ("bitts as stated", {f"{FIT}strong_point.breaking_load": "30 kN", f"{FIT}strong_point.kind": "bitts"},
     "strong point", 3, (30.0,) * 3, "snubber"),
    ("washers", {f"{FIT}strong_point.kind": "bitts", f"{FIT}strong_point.backing": "large washers"},
     "strong point", 3, (0.5 * POINT, 0.7 * POINT, 0.9 * POINT), "snubber"),  # judgement
    ("screws", {f"{FIT}strong_point.kind": "bitts", f"{FIT}strong_point.fastening": "screws"},
     "strong point", 3, (0.1 * POINT, 0.2 * POINT, 0.3 * POINT), "snubber"),  # judgement
    ("welded, no plate", {f"{FIT}strong_point.kind": "bitts", f"{FIT}strong_point.fastening": "welded",
                          f"{FIT}strong_point.backing": "none", f"{FIT}strong_point.bolt_size": "6 mm"},
     "strong point", 3, (POINT,) * 3, "snubber"),
    ("thin bolts", {f"{FIT}strong_point.kind": "bitts", f"{FIT}strong_point.bolt_size": "6 mm"},
     "strong point", 3, (4 * 0.6 * 0.7 * 20.1,) * 3, "snubber"),  # ISO 898-1 and ISO 3506 A4-70 [reprints]
    ("thick bolts", {f"{FIT}strong_point.kind": "bitts", f"{FIT}strong_point.bolt_size": "16 mm"},
     "strong point", 3, (POINT,) * 3, "snubber"),
    # brake 0.3 to 0.8 of the chain's break, stopper 0.7 to 0.9: IACS UR A3 [reprint], lows a judgement
    ("brake", {}, "windlass", 3, (12.0, 18.0, 32.0), "behind the snubber"),
    ("stopper", {f"{FIT}windlass.chain_held_by": "chain stopper", "tackle.snubber.length": "0 m"},
     "windlass", 3, (28.0, 32.0, 36.0), "bow"),
    # a lashing of 4 turns has 8 parts, 6 mm has 0.36 of the strength of 10 mm (20.4 kN); shares a judgement
    ("lashing", {}, "bitter end", 3,
     (8 * 0.36 * 20.4 * 0.3, 8 * 0.36 * 20.4 * 0.5, 8 * 0.36 * 20.4 * 0.6), "if all runs out"),
    ("shackled", {f"{FIT}bitter_end.made_fast": "shackle"}, "bitter end", 3, (3.75 * TON,) * 3,
     "if all runs out"),
    ("loose", {f"{FIT}bitter_end.made_fast": "nothing"}, "bitter end", 3, (0.0,) * 3, "if all runs out"),
]  # fmt: skip


def part(scenario: Scenario, key: str) -> GearPart:
    [found] = [one for one in gear(scenario) if one.key == key]
    return found


@pytest.mark.parametrize(
    ("changes", "key", "factor", "breaks", "carries"), [c[1:] for c in CASES], ids=[c[0] for c in CASES]
)
def test_a_part_by_hand(
    changes: dict[str, Any], key: str, factor: float, breaks: Breaks, carries: str
) -> None:
    found = part(STOCK.vary(changes), key)
    assert tuple(found.mbl) == pytest.approx([1000 * load for load in breaks], rel=1e-4)
    assert tuple(found.wll) == pytest.approx([1000 * load / factor for load in breaks], rel=1e-4)
    assert found.carries == carries


ALL_CHAIN = ["anchor", "anchor shackle", "chain", "lead", "windlass", "bitter end"]


@pytest.mark.parametrize(
    ("changes", "keys"),
    [
        ({"tackle.snubber.length": "0 m"}, ALL_CHAIN),
        ({}, [*ALL_CHAIN[:3], "snubber end", "snubber", "lead", "strong point", *ALL_CHAIN[4:]]),
        (ROPE, [*ALL_CHAIN[:3], "rope join", "rope", "lead", "strong point", "bitter end"]),
        ({**ROPE, "tackle.chain.length": "0 m"},
         [*ALL_CHAIN[:2], "rope", "lead", "strong point", "bitter end"]),
    ],
    ids=["bare chain", "snubber", "chain and rope", "rope"],
)  # fmt: skip
def test_which_parts_are_in_line(changes: dict[str, Any], keys: list[str]) -> None:
    assert [one.key for one in gear(STOCK.vary(changes))] == keys


def test_a_thin_shackle_at_the_thimble_gives_before_the_rope() -> None:
    thin = {f"{FIT}rope_join.kind": "thimble and shackle", f"{FIT}rope_join.shackle.size": "6 mm"}
    found = part(STOCK.vary({**ROPE, **thin, "tackle.rope.diameter": "20 mm"}), "rope join")
    assert tuple(found.mbl) == pytest.approx(
        (2500 * TON,) * 3, rel=1e-6
    )  # RR-C-271, 1/4 in, 0.5 ton [reprint]
    assert tuple(found.wll) == pytest.approx((500 * TON,) * 3, rel=1e-6)
    assert found.made_of == "rope"


def test_what_is_of_rope_ails_with_it() -> None:
    assert [one.key for one in gear(STOCK) if one.made_of == "snubber"] == ["lead"]
    assert [one.key for one in gear(STOCK.vary(ROPE)) if one.made_of == "rope"] == ["rope join", "lead"]
    hitch = STOCK.vary({f"{FIT}snubber_end.kind": "rolling hitch"})
    assert [one.key for one in gear(hitch) if one.made_of == "snubber"] == ["snubber end", "lead"]


@pytest.mark.parametrize("end", ["chain hook", "rolling hitch", "shackle through a link"])
def test_chain_behind_a_snubber_bounds_what_holds_it(end: str) -> None:
    """A snubber with 0.8 m of slack chain behind it carries no more than its stretch by 0.8 m takes."""
    scenario = STOCK.vary({"tackle.snubber.slack": "0.8 m", f"{FIT}snubber_end.kind": end})
    most = part(scenario, "snubber").most
    assert 0.0 < most < 1000 * SNUBBER
    for key in ("snubber end", "lead", "strong point"):
        assert part(scenario, key).most == most
        assert part(scenario, key).load(2 * most, 7.0) == most
        assert part(scenario, key).load(0.5 * most, 7.0) == 0.5 * most
    assert part(scenario, "windlass").load(most + 5.0, 7.0) == pytest.approx(5.0, abs=1e-9)
    assert part(scenario, "windlass").load(0.5 * most, 7.0) == 0.0
    assert part(scenario, "anchor shackle").load(2 * most, 7.0) == 7.0
    assert part(scenario, "chain").load(2 * most, 7.0) == 2 * most


@pytest.mark.parametrize(
    ("kind", "mass", "proof"),
    [
        ("fisherman", 50.0, 23.2),  # IACS UR A1, from memory, as are the next three
        ("fisherman", 80.0, 33.9),
        ("plough", 37.5, 23.2),  # high-holding: at 4/3 of its mass
        ("plough", 75.0, 39.1),
        # between two rows a straight line on logarithmic paper, beyond them that through both ends (ours)
        ("fisherman", math.sqrt(50 * 60), math.sqrt(23.2 * 27.1)),
        ("fisherman", 25.0, 23.2**2 / 39.1),
        ("fisherman", 200.0, 39.1**2 / 23.2),
    ],
)
def test_the_proof_load_of_an_anchor(kind: str, mass: float, proof: float) -> None:
    assert anchor_proof(kind, mass) == pytest.approx(1000 * proof, rel=1e-6)
    anchor = part(
        STOCK.vary({"tackle.anchor.type": kind, "tackle.anchor.mass": quantity(mass, "kg")}), "anchor"
    )
    assert tuple(anchor.wll) == pytest.approx((500 * proof,) * 3, rel=1e-6)  # 49 CFR 393.108 [reprint]
    assert tuple(anchor.mbl) == pytest.approx(
        (1500 * proof, 2000 * proof, 3000 * proof), rel=1e-6
    )  # judgement
    assert anchor.carries == "anchor"


def test_rope_over_a_bend_by_hand() -> None:
    # 1 - 0.5/√(D/d), the curve of wire rope slings, from memory
    assert bend_share(25.0) == pytest.approx(0.9)
    assert bend_share(1.0) == pytest.approx(0.5)
    assert bend_share(0.16) == 0.25, "no less than a quarter (ours)"
    assert bend_share(0.64) == pytest.approx(0.375)


@pytest.mark.parametrize(("design", "share"), [("A", 1.0), ("B", 1.0), ("C", 0.9), ("D", 0.75)])
def test_a_strong_point_by_the_standard(design: str, share: float) -> None:
    # ISO 15084:2003, digits from memory: X (4.3 · 10 − 5.4) kN
    assert iso_strong_point(11.0, 9.0, design) == pytest.approx(share * 37600)
    assert iso_strong_point(11.0, 9.0) == pytest.approx(37600)


def test_bolts_in_shear_by_hand() -> None:
    point = STOCK.vary({f"{FIT}strong_point.bolts": 6, f"{FIT}strong_point.bolt_size": "10 mm"})
    # 58.0 mm² of ISO 898-1, 700 MPa of ISO 3506 A4-70 [reprints]; in shear 0.6 (from memory)
    assert bolts_break(point.tackle.fittings.strong_point) == pytest.approx(6 * 58.0 * 700 * 0.6)
