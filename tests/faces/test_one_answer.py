"""One answer to one question: sentence, chances, bars, comparison, night and report never disagree.

Over random scenarios with slopes, surroundings and findings; every number that a text holds is compared with
the outcomes of the spells themselves.
"""

from __future__ import annotations

import re
from typing import Any

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

import anchorsim as am
from anchorsim.figures.scenes import scene_of
from anchorsim.risk.assessment import Assessment
from anchorsim.risk.comparison import Comparison, Variant
from anchorsim.risk.outcome import ENDINGS
from anchorsim.survey.weakest_link import COUNT
from anchorsim.wording import assessment as wording
from anchorsim.wording import comparison, night
from anchorsim.wording.warnings import warnings

COUNTED = 6
GEAR: tuple[dict[str, Any], ...] = (
    {},
    {"tackle.anchor.mass": "4 kg"},
    {"tackle.anchor.mass": "100 kg"},
    {"tackle.snubber.length": "0 m"},
    {"tackle.chain.length": "15 m", "tackle.rope.length": "60 m"},
)
FOUND: tuple[list[dict[str, Any]], ...] = (
    [],
    [{"kind": "chain link worn", "measured": "4 mm"}],
    [{"kind": "anchor shank bent", "grade": "marked"}],
    [{"kind": "shackle worn", "measured": "5 mm"}, {"kind": "snubber hook opened"}],
)
ROUND: tuple[dict[str, Any], ...] = (
    {},
    {"surroundings.dangers": [{"name": "the rock", "at": [{"bearing": "45 degree", "distance": "38 m"}]}]},
    {
        "surroundings.dangers": [
            {"name": "the bar", "depth": "1 m", "at": [{"bearing": "60 degree", "distance": "42 m"}]}
        ],
        "spot.slope": "2 degree",
        "spot.deepens_towards": "225 degree",
    },
    {"spot.slope": "3 degree", "spot.deepens_towards": "225 degree", "spot.depth": "4 m"},
)
SCENARIOS = st.fixed_dictionaries(
    {
        "wind": st.sampled_from([8, 20, 30, 45]),
        "scope": st.sampled_from([3, 5, 8]),
        "gear": st.sampled_from(GEAR),
        "found": st.sampled_from(FOUND),
        "round": st.sampled_from(ROUND),
        "radius": st.sampled_from([None, 45.0]),
        "sea": st.sampled_from(["0 m", "1.2 m"]),
    }
)


def scenario_of(drawn: dict[str, Any]) -> am.Scenario:
    return am.Scenario().vary(
        {
            "weather.duration": "1 min",
            "weather.mean_wind": f"{drawn['wind']} knot",
            "weather.gust": None,
            "weather.wave_height": drawn["sea"],
            "weather.wave_period": "4 s",
            "tackle.scope": drawn["scope"],
            **drawn["gear"],
            **drawn["round"],
            "survey.findings": drawn["found"],
        }
    )


def told(text: str, verb: str) -> int:
    """In how many spells a text says that something happens: 0 where it does not say it."""
    found = re.search(rf"{verb}[^.;]*? in (all|none|\d+)(?: of)? {COUNTED} spells", text)
    if not found:
        return 0
    return {"all": COUNTED, "none": 0}.get(found[1]) if not found[1].isdigit() else int(found[1])  # type: ignore[return-value]


def check(found: Assessment) -> None:
    outcomes = found.outcomes
    breaks = sum(outcome.ending == "broke" for outcome in outcomes)
    may = sum(outcome.ending == "may have broken" for outcome in outcomes)
    drags = sum(outcome.ending == "dragged" for outcome in outcomes)
    creeps = sum(outcome.ending == "crept" for outcome in outcomes)
    aground = sum(outcome.aground for outcome in outcomes)
    fails = sum(outcome.failed for outcome in outcomes)
    assert sum(found.count(ending) for ending in ENDINGS) == COUNTED
    text, hour = wording.sentence(found), night.outcome(found)
    for words in (text, hour):
        assert told(words, "anchor drags") == drags, words
        assert told(words, "[Gg]ear breaks") == breaks, words
    assert told(text, "creeps") == creeps, text
    assert told(text, "(?:Gear|and) may break") == may and told(hour, "gear may break") == may
    assert told(text, "goes aground") == aground, text
    for name in {name for outcome in outcomes for name in outcome.hit}:
        assert told(text, f"hits {name}") == sum(name in outcome.hit for outcome in outcomes), text
    quiet = breaks + may + drags + creeps + aground + found.count("touched") == 0
    assert ("holds in all" in text) == quiet
    assert wording.odds(found).startswith(f"In {100 * fails / COUNTED:.0f} of 100 ")
    warned = " ".join(map(str, warnings(found)))
    assert told(warned, "anchor drags") == drags and told(warned, "goes aground") == aground
    assert told(warned, "Gear (?:breaks|may break)") == breaks + may


def check_pictures(found: Assessment) -> None:
    scene = scene_of(found.run(), found.scenario, found)
    by_name = {state.name: state for state in found.states}
    for part in scene.parts:
        if part.name in by_name:
            state = by_name[part.name]
            assert (part.peak, part.wll) == (state.load, state.wll.likely)
            assert part.strength_left == state.strength_left.likely
    row = dict(zip(comparison.columns(table := Comparison((Variant("x", found, None),), COUNTED, 0.05)),
                   comparison.cells(table["x"]), strict=True))  # fmt: skip
    assert row["Drags"].startswith(f"{100 * found.count('dragged') / COUNTED:.0f} in 100")
    assert row["Fails"].startswith(f"{100 * found.count('failed') / COUNTED:.0f} in 100")
    assert row["Overloaded"].startswith(f"{100 * found.count('overloaded') / COUNTED:.0f} in 100")


@settings(
    max_examples=60, deadline=None, derandomize=True, database=None, suppress_health_check=list(HealthCheck)
)
@given(SCENARIOS)
def test_all_that_is_said_counts_the_same_outcomes(drawn: dict[str, Any]) -> None:
    found = am.assess(scenario_of(drawn), COUNTED, clear_radius=drawn["radius"])
    check(found)
    check_pictures(found)


@settings(
    max_examples=8, deadline=None, derandomize=True, database=None, suppress_health_check=list(HealthCheck)
)
@given(SCENARIOS)
def test_the_report_tells_what_the_screen_tells(drawn: dict[str, Any]) -> None:
    scenario = scenario_of(drawn)
    on_screen, in_report = am.assess(scenario, COUNT), am.appraise(scenario).assessment
    assert on_screen.outcomes == in_report.outcomes
    assert wording.sentence(on_screen) == wording.sentence(in_report)
    assert warnings(on_screen) == warnings(in_report)
