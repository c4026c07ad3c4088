"""Where each rule of what matches what begins: a size on either side of its limit, and what is advised."""

from __future__ import annotations

from typing import Any

import pytest

from anchorsim.scenario.scenario import Scenario
from anchorsim.strength.compatibility import Misfit, misfits

STOCK = Scenario()  # 8 mm chain of grade 40 on a 14 mm snubber; 12 m (10.6 m waterline)
MIXED = STOCK.vary(
    {"tackle.chain.length": "10 m", "tackle.rope.length": "60 m", "tackle.rope.diameter": "14 mm"}
)
TEN = STOCK.vary({"tackle.chain.size": "10 mm"})
FIT = "tackle.fittings."
EYE = {f"{FIT}swivel.orientation": "eye to the anchor"}
THIMBLE = {f"{FIT}rope_join.kind": "thimble and shackle"}
THROUGH = {f"{FIT}snubber_end.kind": "shackle through a link"}
BITTS = {f"{FIT}strong_point.kind": "bitts"}


def found_on(scenario: Scenario, part: str) -> list[Misfit]:
    return [found for found in misfits(scenario) if found.part == part]


@pytest.mark.parametrize(
    ("base", "part", "path", "fits", "wrong"),
    [
        # a short link is 1.2 diameters wide inside (DIN 766, from memory): 9.6 mm; pins of 9.5 and 11.1 mm
        (STOCK, "anchor shackle", "anchor_shackle.size", "8 mm", "10 mm"),
        # a trade size in mm may stand for an inch size 6.5 % under it (ours): 9.5 mm on 10 mm, not 7.9
        (TEN, "anchor shackle", "anchor_shackle.size", "10 mm", "8 mm"),
        (STOCK.vary(EYE), "swivel", "swivel.size", "8 mm", "6 mm"),
        (TEN.vary(EYE), "swivel", "swivel.size", "10 mm", "8 mm"),
        (MIXED.vary(THIMBLE), "rope join", "rope_join.shackle.size", "8 mm", "10 mm"),
        (STOCK.vary(THROUGH), "snubber end", "snubber_end.shackle.size", "8 mm", "10 mm"),
        # a tenth of the rope's diameter (judgement)
        (MIXED.vary(THIMBLE), "rope join", "rope_join.thimble", "12.7 mm", "12.5 mm"),
        (MIXED.vary(THIMBLE), "rope join", "rope_join.thimble", "15.3 mm", "15.5 mm"),
        # two sizes are one within 2 % (ours)
        (STOCK, "gypsy", "windlass.gypsy_size", "8.15 mm", "8.17 mm"),
        (STOCK, "gypsy", "windlass.gypsy_size", "7.85 mm", "7.83 mm"),
        # no bend of less than twice the rope's own diameter (judgement)
        (STOCK, "lead", "lead.radius", "14 mm", "13.9 mm"),
        (STOCK.vary({"tackle.snubber.length": "0.8 m"}), "lead", "lead.radius", "14 mm", "13.9 mm"),
        (MIXED.vary({"tackle.rope.diameter": "16 mm"}), "lead", "lead.radius", "16 mm", "15.9 mm"),
        # ISO 15084, digits from memory: 4.3 · 11.3 − 5.4 = 43.19 kN
        (STOCK.vary(BITTS), "strong point", "strong_point.breaking_load", "43.2 kN", "43.1 kN"),
    ],
)
def test_on_either_side_of_the_limit(base: Scenario, part: str, path: str, fits: str, wrong: str) -> None:
    assert not found_on(base.vary({FIT + path: fits}), part)
    assert len(found_on(base.vary({FIT + path: wrong}), part)) == 1


@pytest.mark.parametrize(
    ("chain", "rope", "fits", "how"),
    [  # rope over chain of 1.25 to 2 (ours; the small vessel code has 1.5 to 2)
        ("8 mm", "10 mm", True, ""),
        ("8 mm", "16 mm", True, ""),
        ("8 mm", "18 mm", False, "thick"),
        ("10 mm", "12 mm", False, "thin"),
        ("10 mm", "14 mm", True, ""),
    ],
)
def test_what_rope_can_be_spliced_to_chain(chain: str, rope: str, fits: bool, how: str) -> None:
    found = found_on(MIXED.vary({"tackle.chain.size": chain, "tackle.rope.diameter": rope}), "rope join")
    assert len(found) == (0 if fits else 1)
    assert fits or f"too {how}" in repr(found[0])


@pytest.mark.parametrize(
    ("base", "changes", "part", "urgency", "mended"),
    [
        (STOCK, {f"{FIT}anchor_shackle.size": "13 mm"}, "anchor shackle", "before use",
         {f"{FIT}anchor_shackle.size": "8 mm"}),
        (TEN, {f"{FIT}anchor_shackle.size": "8 mm"}, "anchor shackle", "this season",
         {f"{FIT}anchor_shackle.size": "10 mm"}),
        (STOCK, {**EYE, f"{FIT}swivel.size": "6 mm"}, "swivel", "before use", {f"{FIT}swivel.size": "8 mm"}),
        (MIXED, {**THIMBLE, f"{FIT}rope_join.thimble": "10 mm"}, "rope join", "this season",
         {f"{FIT}rope_join.thimble": "14 mm"}),
        (STOCK, {f"{FIT}windlass.gypsy_size": "10 mm"}, "gypsy", "before use",
         {f"{FIT}windlass.gypsy_size": "8 mm"}),
        (TEN, {f"{FIT}windlass.gypsy_standard": "DIN 766"}, "gypsy", "before use",
         {f"{FIT}windlass.gypsy_standard": "ISO 4565"}),
        (STOCK, {f"{FIT}lead.radius": "5 mm"}, "lead", "this season", {f"{FIT}lead.radius": "14 mm"}),
        (STOCK, {**BITTS, f"{FIT}strong_point.breaking_load": "9 kN"}, "strong point", "before use",
         {f"{FIT}strong_point.breaking_load": "0 kN", f"{FIT}strong_point.fastening": "through bolts",
          f"{FIT}strong_point.backing": "plate"}),
        (STOCK, {**BITTS, f"{FIT}strong_point.bolt_size": "6 mm"}, "strong point", "before use",
         {f"{FIT}strong_point.bolt_size": "0 mm", f"{FIT}strong_point.fastening": "through bolts",
          f"{FIT}strong_point.backing": "plate"}),
        (STOCK, {"tackle.snubber.length": "0 m"}, "snubber", "before use", {"tackle.snubber.length": "8 m"}),
        (STOCK, {f"{FIT}bitter_end.made_fast": "nothing"}, "bitter end", "before use",
         {f"{FIT}bitter_end.made_fast": "lashing", f"{FIT}bitter_end.reaches_deck": True}),
        (STOCK, {f"{FIT}bitter_end.made_fast": "shackle"}, "bitter end", "this season",
         {f"{FIT}bitter_end.made_fast": "lashing", f"{FIT}bitter_end.reaches_deck": True}),
    ],
)  # fmt: skip
def test_what_is_advised_and_when(
    base: Scenario, changes: dict[str, Any], part: str, urgency: str, mended: dict[str, Any]
) -> None:
    [misfit] = found_on(base.vary(changes), part)
    assert misfit.urgency == urgency
    assert dict(misfit.changes) == mended


@pytest.mark.parametrize(
    "changes",
    [
        {f"{FIT}windlass.kind": "none", f"{FIT}windlass.gypsy_size": "10 mm"},
        {**THROUGH, f"{FIT}snubber_end.shackle.size": "13 mm", "tackle.snubber.length": "0 m",
         "tackle.rope.length": "60 m", f"{FIT}rope_join.kind": "thimble and shackle"},
        {**THIMBLE, f"{FIT}rope_join.shackle.size": "13 mm", f"{FIT}rope_join.thimble": "10 mm"},
        {f"{FIT}lead.radius": "5 mm", "tackle.snubber.length": "0 m"},
    ],
    ids=["no windlass", "no snubber", "no rope", "chain over the lead"],
)  # fmt: skip
def test_what_is_not_there_cannot_misfit(changes: dict[str, Any]) -> None:
    assert [found.part for found in misfits(STOCK.vary(changes)) if found.part != "snubber"] == []


@pytest.mark.parametrize("nylon", ["tackle.snubber.length", "tackle.rope.length"])
def test_a_little_nylon_is_not_bare_chain(nylon: str) -> None:
    assert not found_on(STOCK.vary({"tackle.snubber.length": "0 m", nylon: "0.8 m"}), "snubber")


def test_bare_chain_is_told_what_holds_it() -> None:
    bare = {"tackle.snubber.length": "0 m"}
    [alone] = found_on(STOCK.vary(bare), "snubber")
    [stopped] = found_on(STOCK.vary({**bare, f"{FIT}windlass.chain_held_by": "chain stopper"}), "snubber")
    assert "windlass alone" in repr(alone) and "windlass alone" not in repr(stopped)
