"""Candidates: only what this boat can do with what she carries, and what can be had ashore."""

from __future__ import annotations

import pytest

import anchorsim as am
from anchorsim.core.units import si
from anchorsim.mooring.rode import assemble
from anchorsim.planning.measures import _MASSES, Candidate, candidates, together

SLOOP = am.Scenario()
RUSTED = am.Scenario.load("shared/survey-neglected-sloop.toml")
FILES = ("catamaran-bridle", "weekender-combination", "ketch-deep-anchorage", "survey-neglected-sloop")
CARRIED = ("tackle.chain.length", "tackle.rope.length", "tackle.chain.size", "tackle.chain.grade")


def of(found: list[Candidate], group: str, source: str) -> list[Candidate]:
    return [one for one in found if one.group == group and one.source == source]


def test_masses_are_preferred_numbers() -> None:
    for mass in _MASSES:  # ISO 3 series R 10, rounded values of 10^(k/10)
        near = min((10 ** (k / 10) for k in range(40)), key=lambda exact: abs(exact - mass))
        assert mass == pytest.approx(near, rel=0.0127)  # ISO 3: no rounded value is farther off than 1.26 %


@pytest.mark.parametrize("name", FILES)
def test_all_can_be_done_and_none_aboard_asks_for_more_than_is_carried(name: str) -> None:
    scenario = am.Scenario.load(f"shared/{name}.toml")
    found = candidates(scenario, room=True)
    assert len({(one.kind, one.amounts, one.names) for one in found}) == len(found)
    for one in found:
        changed = one.apply(scenario)
        assert changed != scenario
        assert changed.weather == scenario.weather and changed.spot == scenario.spot
        assert changed.paid_out <= changed.rode_aboard + 1e-9
        if one.source == "aboard":
            assert all(changed.get(path) == scenario.get(path) for path in CARRIED)
            assert changed.paid_out <= scenario.rode_aboard + 1e-9
    assert [one.source for one in found] == sorted(one.source for one in found)  # aboard first


def test_more_scope_as_far_as_the_rode_goes() -> None:
    found = of(candidates(SLOOP), "length", "aboard")
    assert [one.apply(SLOOP).scope_achieved for one in found] == pytest.approx([7.0, 60 / 7.4])
    assert [(one.kind, one.amounts) for one in found] == [
        ("let out", pytest.approx((7.0, 7 * 7.4))),
        ("let out all", pytest.approx((60 / 7.4, 60.0))),
    ]
    assert not of(candidates(SLOOP.vary({"tackle.scope": 30})), "length", "aboard")
    shorter = of(candidates(SLOOP, room=True), "length", "aboard")[:2]
    assert [one.apply(SLOOP).scope_achieved for one in shorter] == pytest.approx([4.0, 3.0])


def test_the_anchor_that_she_carries_besides() -> None:
    two = SLOOP.vary({"tackle.fittings.second_anchor.mass": "30 kg"})
    (second,) = of(candidates(two), "anchor", "aboard")
    changed = second.apply(two)
    assert (changed.tackle.anchor.type, si(changed.tackle.anchor.mass)) == ("fluke", 30.0)
    kept = changed.tackle.fittings.second_anchor
    assert (kept.type, si(kept.mass)) == ("concave scoop", 20.0)
    assert not of(candidates(SLOOP), "anchor", "aboard")


def test_anchors_to_buy_suit_the_bottom_and_hold_more() -> None:
    sand = of(candidates(SLOOP), "anchor", "ashore")
    assert [dict(one.changes).get("tackle.anchor.type") for one in sand] == [None, None, "fluke", "fluke"]
    assert [si(one.apply(SLOOP).tackle.anchor.mass) for one in sand] == [25.0, 31.5, 20.0, 31.5]
    rock = SLOOP.vary({"spot.bottom": "rock"})  # nothing can be counted on there, whatever its type
    assert all("tackle.anchor.type" not in dict(one.changes) for one in candidates(rock))


def test_spare_rope_makes_a_longer_snubber() -> None:
    roped = SLOOP.vary({"tackle.rope.length": "20 m", "tackle.rope.diameter": "16 mm"})
    (found,) = of(candidates(roped), "snubber", "aboard")
    assert (found.kind, found.amounts, found.names) == ("spare rope", (20.0,), ("16 mm",))
    assert assemble(found.apply(roped)).snubber == pytest.approx(20.0)
    assert not of(candidates(am.Scenario.load("shared/weekender-combination.toml")), "snubber", "aboard")


def test_a_snubber_for_her_who_has_none() -> None:
    bare = SLOOP.vary({"tackle.snubber.length": "0 m"})
    inches = bare.vary({"tackle.chain.size": "3/8 in", "tackle.chain.grade": 43})
    for scenario, size in ((bare, "16 mm"), (inches, "5/8 in")):
        (found,) = of(candidates(scenario), "snubber", "ashore")
        assert (found.kind, found.names) == ("new snubber", (size, "three-strand nylon"))
        assert found.amounts == (8.0,)
        changed = found.apply(scenario)
        assert assemble(changed).snubber == pytest.approx(8.0)
        assert changed.tackle.snubber.row()["size"] == size


def test_the_next_thicker_chain_and_rope_are_of_her_kind() -> None:
    (chain,) = of(candidates(SLOOP), "chain", "ashore")
    assert chain.apply(SLOOP).tackle.chain.row()["size"] == "10 mm"  # 8 mm is next under it in the table
    rope_rode = am.Scenario.load("shared/weekender-combination.toml")
    (rope,) = of(candidates(rope_rode), "rope", "ashore")
    assert rope.apply(rope_rode).tackle.rope.row()["size"] == "14 mm"
    assert rope.apply(rope_rode).tackle.rope.construction == rope_rode.tackle.rope.construction


def test_what_the_survey_found_is_put_right() -> None:
    mends = [one for one in candidates(RUSTED) if one.mends]
    assert {one.mends[0].part for one in mends} >= {"chain", "snubber"}
    for one in mends:
        left = one.apply(RUSTED).survey.findings
        assert not set(left) & set(one.mends)
        assert one.source == "ashore"
    whole = together(mends).apply(RUSTED)
    assert len(whole.survey.findings) == len(RUSTED.survey.findings) - sum(len(one.mends) for one in mends)
    new = next(one for one in candidates(RUSTED) if one.renews == ("chain",))
    assert not [entry for entry in new.apply(RUSTED).survey.findings if entry.part == "chain"]


def test_several_at_once() -> None:
    found = candidates(SLOOP)
    scope, sail = of(found, "length", "aboard")[0], of(found, "sail", "aboard")[0]
    both = together([scope, sail])
    assert both.source == "aboard"
    assert (both.kind, both.of) == ("together", (scope, sail))
    changed = both.apply(SLOOP)
    assert changed.scope_achieved == pytest.approx(7.0)
    assert si(changed.boat.riding_sail) == pytest.approx(3.6)
    assert together([scope, of(found, "anchor", "ashore")[0]]).source == "ashore"


def test_a_riding_sail_is_for_boats_with_a_backstay() -> None:
    assert not of(candidates(SLOOP.vary({"boat.model": "motor-cruiser-11"})), "sail", "aboard")
    assert not of(candidates(SLOOP.vary({"boat.riding_sail": "3 m²"})), "sail", "aboard")
