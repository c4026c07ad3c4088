"""What matches what: each rule with a part that fits and one that does not, and the change that mends it."""

from __future__ import annotations

from typing import Any

import pytest

from anchorsim.scenario.scenario import Scenario
from anchorsim.strength.compatibility import URGENCIES, Misfit, misfits
from anchorsim.wording.compatibility import remedy, sentence

STOCK = Scenario()  # 8 mm chain with a snubber
MIXED = STOCK.vary(
    {"tackle.chain.length": "10 m", "tackle.rope.length": "60 m", "tackle.rope.diameter": "14 mm"}
)
FIT = "tackle.fittings."

CASES: list[tuple[Scenario, dict[str, Any], str, str]] = [
    # pin of a 10 mm shackle: 7/16 in, 11.1 mm, a rigger's card; 8 mm chain: 1.2 · 8 mm inside, from memory
    (
        STOCK,
        {f"{FIT}anchor_shackle.size": "10 mm"},
        "anchor shackle",
        "shackle (11.1 mm) does not fit the chain link (9.6 mm inside).",
    ),
    (
        STOCK,
        {f"{FIT}anchor_shackle.size": "6 mm"},
        "anchor shackle",
        "The 6 mm shackle is thinner than the 8 mm chain.",
    ),
    (
        STOCK,
        {f"{FIT}swivel.orientation": "eye to the anchor", f"{FIT}swivel.size": "6 mm"},
        "swivel",
        "The 6 mm swivel is smaller than the 8 mm chain.",
    ),
    (
        STOCK,
        {f"{FIT}swivel.orientation": "jaw to the anchor"},
        "swivel",
        "where a side load can prise it open",
    ),
    (
        STOCK,
        {f"{FIT}joining_link.kind": "quick link"},
        "joining link",
        "It is about 60 % bulkier than the link it is sized for.",
    ),
    (
        STOCK,
        {f"{FIT}joining_link.kind": "riveted"},
        "joining link",
        "depends on its riveting, which",
    ),
    (STOCK, {f"{FIT}joining_link.kind": "chain shackle"}, "joining link", "does not run through the gypsy"),
    (
        STOCK,
        {f"{FIT}windlass.gypsy_size": "10 mm"},
        "gypsy",
        "WARNING The gypsy is for 10 mm chain; the chain is 8 mm.",
    ),
    # 10 mm chain: ISO 4565 has links of 30 mm, DIN 766 of 28 mm, read in a reprint
    (
        STOCK,
        {"tackle.chain.size": "10 mm", f"{FIT}windlass.gypsy_standard": "DIN 766"},
        "gypsy",
        "The gypsy is for links of 28 mm pitch (DIN 766); the chain's are 30 mm.",
    ),
    (
        STOCK,
        {f"{FIT}snubber_end.kind": "shackle through a link", f"{FIT}snubber_end.shackle.size": "11 mm"},
        "snubber end",
        "does not fit the chain link",
    ),
    (
        MIXED,
        {f"{FIT}rope_join.kind": "knot"},
        "rope join",
        "the anchor bend leaves 55 to 65 % of its strength",
    ),
    (
        MIXED,
        {f"{FIT}rope_join.kind": "thimble and shackle", f"{FIT}rope_join.thimble": "10 mm"},
        "rope join",
        "made for 10 mm rope. In 14 mm rope it is too small",
    ),
    (
        MIXED,
        {"tackle.rope.diameter": "24 mm"},
        "rope join",
        "24 mm rope is too thick to be spliced through links of 8 mm.",
    ),
    (
        MIXED,
        {f"{FIT}lead.radius": "10 mm"},
        "lead",
        "14 mm rope bends over the bow roller on a radius of 10 mm.",
    ),
    # ISO 15084: 4.3 · 11.3 − 5.4 = 43.19 kN, digits from memory
    (
        STOCK,
        {f"{FIT}strong_point.breaking_load": "30 kN"},
        "strong point",
        "is rated for about 30 kN. ISO 15084 asks for 43 kN",
    ),
    (
        STOCK,
        {f"{FIT}strong_point.backing": "none"},
        "strong point",
        "ISO 15084 asks for 43 kN",
    ),
    (
        STOCK,
        {f"{FIT}strong_point.bolt_size": "6 mm"},
        "strong point",
        "is rated for about 34 kN",
    ),  # 4 · 0.6 · 700 · 20.1
    (
        STOCK,
        {"tackle.snubber.length": "0 m"},
        "snubber",
        "The chain has no snubber: the windlass alone takes the load.",
    ),
    (STOCK, {f"{FIT}bitter_end.made_fast": "nothing"}, "bitter end", "The bitter end is not secured"),
    (STOCK, {f"{FIT}bitter_end.made_fast": "shackle"}, "bitter end", "cannot be cut on deck"),
    (STOCK, {f"{FIT}bitter_end.reaches_deck": False}, "bitter end", "cannot be cut on deck"),
]


def found_on(scenario: Scenario, part: str) -> list[Misfit]:
    return [found for found in misfits(scenario) if found.part == part]


@pytest.mark.parametrize(("base", "changes", "part", "words"), CASES, ids=[case[3][:30] for case in CASES])
def test_a_misfit_is_told_and_its_change_cures_it(
    base: Scenario, changes: dict[str, Any], part: str, words: str
) -> None:
    assert not found_on(base, part), "what fits is not complained of"
    wrong = base.vary(changes)
    [misfit] = found_on(wrong, part)
    assert words in sentence(misfit, "metric")
    assert misfit.urgency in URGENCIES
    assert remedy(misfit, "metric") and misfit.source and misfit.kind
    mended = wrong.vary(dict(misfit.changes))
    assert mended != wrong
    assert not found_on(mended, part)


@pytest.mark.parametrize("base", [STOCK, MIXED])
def test_the_defaults_fit(base: Scenario) -> None:
    assert misfits(base) == ()


@pytest.mark.parametrize(
    "size", ["7 mm", "8 mm", "10 mm", "12 mm", "13 mm", "14 mm", "16 mm", "5/16 in", "3/8 in", "1/2 in"]
)
def test_what_nobody_recorded_fits_every_chain(size: str) -> None:
    scenario = STOCK.vary(
        {"tackle.chain.size": size, "tackle.chain.grade": 30, f"{FIT}swivel.orientation": "eye to the anchor"}
    )
    assert misfits(scenario) == ()


def test_sizes_are_told_in_inches_to_who_wants_them() -> None:
    [misfit] = misfits(
        STOCK.vary({f"{FIT}swivel.orientation": "eye to the anchor", f"{FIT}swivel.size": "6 mm"})
    )
    assert "the 0.315 in chain" in sentence(misfit, "US")


def test_rope_alone_has_no_gypsy_no_snubber_and_no_splice() -> None:
    rope = MIXED.vary({"tackle.chain.length": "0 m", f"{FIT}windlass.gypsy_size": "10 mm"})
    assert misfits(rope) == ()
