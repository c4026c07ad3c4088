"""What is said of an assessment: every sentence for typed-in figures, both unit views, signal words in order."""

from __future__ import annotations

import math
import re

import pytest
from invented_spells import invented

from anchorsim.core.units import System
from anchorsim.dynamics.simulation import simulate
from anchorsim.dynamics.wave_motion import waves
from anchorsim.risk.assessment import Assessment, assess
from anchorsim.scenario.scenario import Scenario
from anchorsim.wording import assessment as wording
from anchorsim.wording.warnings import warnings

LOADS = [1700.0, 2600.0, 2600.0, 2600.0, 2600.0, 2600.0, 2600.0, 3100.0]
NUMBERS = "Peak load at the bow 2.6 kN (1.7 to 3.1). Swinging radius 49 m, anchor to farthest end."


def some(*drags: float) -> list[float]:
    return [*drags, *[0.0] * (8 - len(drags))]


SENTENCES = [
    (
        invented(peak=LOADS),
        "Anchor holds, 8 of 8",
        "The anchor holds in all 8 simulated 10-minute spells. Up to 32 in 100 could still fail. There is no uplift at "
        f"the anchor. {NUMBERS}",
    ),
    (
        invented(peak=LOADS, degrees=6.2),
        "Anchor holds, 8 of 8",
        "The anchor holds in all 8 simulated 10-minute spells. Up to 32 in 100 could still fail. Uplift at the anchor "
        f"reaches 6°. {NUMBERS}",
    ),
    (
        invented(peak=LOADS, drag=some(0.27, 0.1), degrees=6),
        "Anchor creeps",
        "The anchor creeps in 2 of 8 spells, up to 0.3 m. An uplift of 6° leaves 72 % of its holding of about 5.2 kN. "
        f"{NUMBERS}",
    ),
    (
        invented(peak=LOADS, drag=some(0.27, 1.0, 4.2), spot__bottom="soft mud"),
        "Anchor may drag",
        "The anchor drags in 2 of 8 spells, up to 4.2 m, and creeps in 1 of 8 spells. Its holding in soft mud is only "
        f"about 3.0 kN. {NUMBERS}",
    ),
    (
        invented(peak=LOADS, drag=some(2, 3, 4, 5, 123)),
        "Anchor drags",
        f"The anchor drags in 5 of 8 spells, up to 123 m. Its holding in firm sand is only about 5.2 kN. {NUMBERS}",
    ),
    (
        invented(peak=LOADS, drag=[400.0], spot__bottom="rock", degrees=3),
        "Anchor drags",
        f"The anchor drags in all 8 spells, up to 400 m. Do not count on any holding on rock. {NUMBERS}",
    ),
]


@pytest.mark.parametrize(("found", "gist", "sentence"), SENTENCES)
def test_what_happens_and_why_in_words(found: Assessment, gist: str, sentence: str) -> None:
    assert wording.gist(found) == gist
    assert wording.sentence(found) == sentence


@pytest.mark.parametrize("found", [row[0] for row in SENTENCES])
@pytest.mark.parametrize("system", ["metric", "US"])
def test_plain_sentences_in_the_units_asked_for(found: Assessment, system: System) -> None:
    told = wording.sentence(found, system)
    assert all(len(sentence.split()) <= 24 for sentence in re.split(r"\. (?=[A-Z])", told))
    assert not re.search(r"nan|inf\b|None|  |\(\)|e\+|-0", told)
    wrong = r" (ft|lbf|lb)\b" if system == "metric" else r" (m|kN|kg)\b"
    assert not re.search(r"\d" + wrong, told)


def test_gear_that_gives_is_named_with_its_load_and_what_is_left() -> None:
    found = invented(peak=[1e5])
    assert wording.gist(found) == "Gear breaks"
    first, second, *_ = wording.sentence(found).split(". ")
    assert first == "Gear breaks in all 8 spells"
    weakest = min(
        found.states, key=lambda part: part.strength_left.low / part.load.high if part.load.high else math.inf
    )
    assert weakest.name.lower() in second.lower() and "its strength left is only" in second
    three = invented(peak=[1e5, 1e5, 1e5, 2000.0])
    assert wording.gist(three) == "Gear may break"
    assert wording.sentence(three).startswith("Gear breaks in 3 of 8 spells.")


def test_what_happens_mostly_comes_before_what_is_graver_and_rare() -> None:
    found = invented(peak=[1e5, 2000.0], drag=[0.0, *[9.0] * 7])
    assert wording.gist(found) == "Anchor drags"
    told = wording.sentence(found)
    assert told.index("The anchor drags in 7 of 8") < told.index("Gear breaks in 1 of 8 spells")


def test_an_overloaded_part_is_told_with_its_load() -> None:
    found = invented(peak=[5000.0])
    part = found.overloaded[0]
    assert part.name.lower() in wording.sentence(found).lower().split("overloaded: ")[1]
    told = str(warnings(found)[0])
    assert (
        told.startswith(f"WARNING The {part.name[0].lower()}{part.name[1:]} carries ")
        and "of its WLL in half" in told
    )


def test_what_she_hits_is_named_and_what_is_to_windward_is_not() -> None:
    """A post 30 m to leeward is in her way, one as far to windward is not; over the deep she floats."""
    still = Scenario().vary({"weather.gust": "20 knot", "tackle.anchor.mass": "150 kg"})
    rocks = [
        {"name": name, "at": [{"bearing": bearing, "distance": "30 m"}]}
        for name, bearing in (("the post", "45 degree"), ("the beacon", "225 degree"))
    ]
    deep = {"name": "the deep", "depth": "9 m", "at": [{"bearing": "45 degree", "distance": "30 m"}]}
    found = assess(still.vary({"surroundings.dangers": [*rocks, deep]}), 8)
    assert wording.gist(found) == "Hits the post"
    assert wording.sentence(found).startswith(
        "The boat hits the post in all 8 spells. It is inside the swinging circle."
    )
    assert str(warnings(found)[0]).startswith(
        "DANGER The boat hits the post in all 8 spells. Anchor farther off."
    )
    free = assess(still.vary({"surroundings.dangers": rocks[1:]}), 8)
    assert wording.gist(free) == "Anchor holds, 8 of 8"


def test_chances_carry_their_span_their_count_and_their_band() -> None:
    assert wording.odds(invented(count=100, drag=[*some(2.0, 2.0), 0.0])) == (
        "In 2 of 100 10-minute spells of this weather (1 to 7) the anchor drags or gear may break."
    )
    assert "or the boat swings outside the clear radius." in wording.odds(invented(clear_radius=60.0))
    assert wording.too_few(invented(count=8)).startswith("8 spells are too few for a 1-in-20 figure: run 72.")
    assert wording.too_few(invented(count=80)) == ""
    assert "at least" in wording.bad_spell(invented(count=8))
    assert wording.range_of(invented()) == "In brackets: lowest and highest of 8 spells."


def test_it_never_promises() -> None:
    told = " ".join(map(str, wording.STANDING))
    assert "comparing choices" in told and "keep an anchor watch" in told
    words = " ".join(wording.sentence(row[0]) for row in SENTENCES)
    assert not re.search(r"\b(safe|secure|sound|enough)\b", words)


def test_what_is_said_of_waves_is_so() -> None:
    """Neither given: none.  Given, or open water to windward given: they count."""
    assert "waves unless given" in wording.STANDING[0].text
    assert waves(Scenario()).height == 0.0
    given = Scenario().vary({"weather.wave_height": "0.5 m"})
    raised = Scenario().vary({"spot.fetches": [{"bearing": "225 degree", "distance": "2 km"}]})
    calm = simulate(Scenario(), seed=1).si.peak_load
    for scenario in (given, raised):
        assert waves(scenario).height > 0.0
        assert simulate(scenario, seed=1).si.peak_load != calm


def test_a_peak_load_that_dragging_caps_is_said_to_be() -> None:
    for dragging, capped in ((3, False), (4, True), (8, True)):
        found = invented(drag=some(*[5.0] * dragging))
        assert any("peak load is capped" in note for note in wording.notes(found)) == capped
