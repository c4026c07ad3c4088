"""What a change is called: an imperative with its amount, in both unit views, and what to take care of."""

from __future__ import annotations

import re

import pytest

from anchorsim.planning.measures import Candidate, candidates, together
from anchorsim.scenario.scenario import Scenario
from anchorsim.wording import measures

SLOOP = Scenario()
FILES = ("catamaran-bridle", "weekender-combination", "ketch-deep-anchorage", "survey-neglected-sloop")
BANNED = r"\b(lie|carry|her|hers|put right|safe|secure|sound|strained|working load|needed|was given)\b"


def told(scenario: Scenario, kind: str, system: str = "metric", **more: bool) -> list[str]:
    return [measures.action(one, system) for one in candidates(scenario, **more) if one.kind == kind]  # type: ignore[arg-type]


def test_scope_is_told_with_the_rode_let_out() -> None:
    """By hand: 1.4 m from roller to water over 6 m, so 7:1 is 51.8 m; all of 60 m aboard is 8.1:1."""
    assert told(SLOOP, "let out") == ["Let out rode to 7:1 (52 m)"]
    assert told(SLOOP, "let out", "US") == ["Let out rode to 7:1 (170 ft)"]
    assert told(SLOOP, "let out all") == [
        "Let out all the rode, 8.1:1 (60 m). First check that the bitter end is secured and there is room"
    ]
    assert told(SLOOP, "shorten", room=True) == [
        "Shorten scope to 4:1 (30 m). Only where room runs out: the anchor holds less",
        "Shorten scope to 3:1 (22 m). Only where room runs out: the anchor holds less",
    ]


def test_snubbers_are_told_with_their_rope() -> None:
    roped = SLOOP.vary({"tackle.rope.length": "20 m", "tackle.rope.diameter": "16 mm"})
    assert told(roped, "spare rope") == ["Rig 20 m of the 16 mm rope aboard as a snubber"]
    bare = SLOOP.vary({"tackle.snubber.length": "0 m"})
    inches = bare.vary({"tackle.chain.size": "3/8 in", "tackle.chain.grade": 43})
    assert told(bare, "new snubber") == ["Fit an 8 m snubber of 16 mm three-strand nylon"]
    assert told(inches, "new snubber", "US") == ["Fit a 26 ft snubber of 5/8 in three-strand nylon"]
    longer, both = told(SLOOP, "longer snubber")
    own, thicker = (re.search(r"snubber of (\d+) mm rope$", text) for text in (longer, both))
    assert own and thicker and int(thicker[1]) > int(own[1])
    assert told(SLOOP, "thicker snubber") == [f"Fit a {thicker[1]} mm snubber of the same length"]


def test_anchors_are_told_with_type_and_weight() -> None:
    two = SLOOP.vary({"tackle.fittings.second_anchor.mass": "30 kg"})
    assert told(two, "second anchor") == [
        "Use the second anchor (30 kg fluke) instead. Change over before the wind rises"
    ]
    assert told(SLOOP, "heavier anchor") == [
        "Fit a 25 kg concave scoop anchor",
        "Fit a 32 kg concave scoop anchor",
    ]
    assert told(SLOOP, "other anchor", "US")[0] == (
        "Replace the concave scoop with a 44 lb fluke anchor. Check that roller and windlass can take it"
    )


def test_sail_chain_and_rope() -> None:
    assert told(SLOOP, "riding sail") == [
        "Set a riding sail of about 3.6 m² on the backstay, sheeted flat. A storm jib serves only if set there, never "
        "at the bow"
    ]
    assert told(SLOOP, "heavier chain") == [
        "Fit 10 mm chain of the same grade, with a gypsy and joining link to match"
    ]
    assert told(SLOOP, "longer")[0] == "Lengthen the chain to 80 m and let it all out, 11:1"
    weekender = Scenario.load("shared/weekender-combination.toml")
    assert told(weekender, "thicker rope") == ["Fit 14 mm rope"]


def test_a_remedy_is_told_with_its_part() -> None:
    found = told(Scenario.load("shared/survey-neglected-sloop.toml"), "remedy")
    assert any(text.endswith(" (chain)") for text in found) and any(
        text.endswith(" (snubber)") for text in found
    )
    assert not any("." in text[-10:] for text in found)


def test_several_together_are_one_list_and_cares_come_after_it() -> None:
    found = {one.kind: one for one in candidates(SLOOP)}
    both = together([found["let out all"], found["riding sail"], found["heavier anchor"]])
    assert measures.steps(both) == (
        "Let out all the rode, 8.1:1 (60 m); set a riding sail of about 3.6 m² on the backstay, sheeted flat; fit a "
        "32 kg concave scoop anchor"
    )
    assert measures.action(both) == (
        f"{measures.steps(both)}. First check that the bitter end is secured and there is room. A storm jib serves "
        "only if set there, never at the bow"
    )


def test_where_it_can_be_done() -> None:
    found = candidates(SLOOP)
    for one in found:
        words = {"aboard": "Aboard now", "ashore": "To buy or have done ashore"}
        assert measures.where(one) == words[one.source]
    assert measures.where(None) == "Aboard now"


def plain(text: str, system: str) -> None:
    """One imperative in the words of the house, in one system of units, without a full stop at its end."""
    assert text[0].isupper() and text[-1] != "."
    assert not re.search(r"  |nan|inf\b|None|\{|e\+|\(\)|\ba 8|\ba 1[18] ", text), text
    assert not re.search(BANNED, text), text
    wrong = r"\d (ft|lb)\b" if system == "metric" else r"\d (m|kg|m²)\b"
    assert not re.search(wrong, text), text


@pytest.mark.parametrize("system", ["metric", "US"])
@pytest.mark.parametrize("name", FILES)
def test_no_two_changes_are_told_alike_and_all_are_plain(name: str, system: str) -> None:
    found: list[Candidate] = candidates(Scenario.load(f"shared/{name}.toml"), room=True)
    texts = [measures.action(one, system) for one in found]  # type: ignore[arg-type]
    assert len(set(texts)) == len(texts) > 5
    for one, text in zip(found, texts, strict=True):
        if one.kind != "remedy":  # the words of a remedy are the table's
            plain(text, system)
