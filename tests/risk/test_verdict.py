"""The verdict in words: what happens, why, how hard, and the room it takes, as a cruiser reads it."""

from __future__ import annotations

import dataclasses
import math
import re
from typing import Any

import numpy as np
import pytest

from anchorsim.core.resources import folder
from anchorsim.core.units import System, si
from anchorsim.dynamics.simulation import simulate
from anchorsim.dynamics.wave_motion import waves
from anchorsim.numerics.interval import WHOLE, Interval
from anchorsim.risk.verdict import (
    SEEDS,
    STANDING_CAUTIONS,
    Ending,
    Outcomes,
    Verdict,
    fixed_spells,
    judge,
    judged,
)
from anchorsim.scenario.scenario import Scenario
from anchorsim.strength.capacity import PartState
from anchorsim.strength.components import GearPart

STOCK = Scenario().vary({"weather.duration": "1 min"})
CHAIN = GearPart("chain", "Chain 8 mm grade 40", WHOLE * 1e4, WHOLE * 4e4, "a source", "published", "bow")
SNUBBER = GearPart(
    "snubber", "Snubber 14 mm", WHOLE * 3.8e3, WHOLE * 34.2e3, "a source", "judgement", "snubber"
)
ROLLER = GearPart("lead", "Bow roller", WHOLE * 2e3, WHOLE * 20e3, "a source", "judgement", "bow")
HELD: tuple[Ending, ...] = ("held",) * 8


def verdict(
    endings: tuple[Ending, ...] = HELD,
    drags: tuple[float, ...] = (0.0,) * 8,
    peak: tuple[float, float, float] = (2600, 1700, 3100),
    degrees: float = 0.0,
    room: float = 49.0,
    parts: tuple[GearPart, ...] = (CHAIN, SNUBBER),
    **changes: Any,
) -> Verdict:
    uplift, nothing = math.radians(degrees), Interval(0.0, 0.0, 0.0)
    return Verdict(
        scenario=STOCK.vary({path.replace("__", "."): value for path, value in changes.items()}),
        endings=endings,
        drags=drags,
        peak=Interval(peak[1], peak[0], peak[2]),
        anchor_peak=nothing,
        uplift=Interval(uplift, uplift, uplift),
        room=Interval(room - 5, room - 3, room),
        drag=nothing,
        parts=tuple(under(part, peak) for part in parts),
    )


def under(part: GearPart, peak: tuple[float, float, float], condemned: bool = False) -> PartState:
    """A part under pulls, the middle and the ends."""
    likely, low, high = (part.load(pull, pull) for pull in peak)
    return PartState(part, Interval(low, likely, high), part.wll, part.mbl, (), condemned)


def some(count: int, ending: Ending, *drags: float) -> dict[str, Any]:
    """Endings and drags of eight spells of which ``count`` end so, the others held."""
    return {
        "endings": (ending,) * count + ("held",) * (8 - count),
        "drags": (*drags, *(0.0,) * (8 - len(drags))),
    }


SENTENCES = [
    (
        verdict(),
        "Holds",
        "She holds in all 8 watches tried, with the pull along the bottom. At the hardest about 2.6 kN "
        "(1.7 to 3.1) comes on the bow; she needs 49 m of room around the anchor.",
        "She holds in all 8 watches tried, with the pull along the bottom. At the hardest about 580 lbf "
        "(380 to 700) comes on the bow; she needs 160 ft of room around the anchor.",
    ),
    (
        verdict(degrees=6.2),
        "Holds",
        "She holds in all 8 watches tried, though the anchor is pulled 6° upwards. At the hardest about "
        "2.6 kN (1.7 to 3.1) comes on the bow; she needs 49 m of room around the anchor.",
        None,
    ),
    (
        verdict(degrees=0.4),
        "Holds",
        "She holds in all 8 watches tried, with the pull along the bottom. At the hardest about 2.6 kN "
        "(1.7 to 3.1) comes on the bow; she needs 49 m of room around the anchor.",
        None,
    ),
    (
        verdict(("held",), (0.0,), (2600, 2600, 2600)),
        "Holds",
        "She holds in the one watch tried, with the pull along the bottom. At the hardest 2.6 kN comes on "
        "the bow; she needs 49 m of room around the anchor.",
        None,
    ),
    (
        verdict(("dragged",), (12.3,), (2600, 2600, 2600), degrees=10),
        "Drags",
        "The anchor drags in the one watch tried, 12 m at the farthest, because it holds about 5.2 kN in "
        "firm sand and a pull 10° upwards leaves 62 % of that. At the hardest 2.6 kN comes on the bow; she "
        "needs 49 m of room around the anchor.",
        None,
    ),
    (
        verdict(**some(2, "dragged", 0.27, 0.1), degrees=6),
        "Creeps",
        "The anchor creeps in 2 of 8 watches tried, 0.27 m at the farthest, because it holds about 5.2 kN in "
        "firm sand and a pull 6° upwards leaves 72 % of that. At the hardest about 2.6 kN (1.7 to 3.1) comes "
        "on the bow; she needs 49 m of room around the anchor.",
        "The anchor creeps in 2 of 8 watches tried, 0.89 ft at the farthest, because it holds about 1200 lbf "
        "in firm sand and a pull 6° upwards leaves 72 % of that. At the hardest about 580 lbf (380 to 700) "
        "comes on the bow; she needs 160 ft of room around the anchor.",
    ),
    (
        verdict(**some(3, "dragged", 0.27, 1.0, 4.2), spot__bottom="soft mud"),
        "May drag",
        "The anchor drags in 2 of 8 watches tried, 4.2 m at the farthest, and creeps in 1, because it holds "
        "only about 3 kN in soft mud. At the hardest about 2.6 kN (1.7 to 3.1) comes on the bow; she needs "
        "49 m of room around the anchor.",
        None,
    ),
    (
        verdict(**some(5, "dragged", 2, 3, 4, 5, 123)),
        "Drags",
        "The anchor drags in 5 of 8 watches tried, 120 m at the farthest, because it holds only about 5.2 kN "
        "in firm sand. At the hardest about 2.6 kN (1.7 to 3.1) comes on the bow; she needs 49 m of room "
        "around the anchor.",
        None,
    ),
    (
        verdict(**some(8, "dragged", *[400.0] * 8), spot__bottom="rock", degrees=3),
        "Drags",
        "The anchor drags in all 8 watches tried, 400 m at the farthest, because nothing holds it on rock. "
        "At the hardest about 2.6 kN (1.7 to 3.1) comes on the bow; she needs 49 m of room around the "
        "anchor.",
        None,
    ),
    (
        verdict(peak=(4700, 3900, 5500)),
        "Holds",
        "She holds in all 8 watches tried, with the pull along the bottom. At the hardest about 4.7 kN (3.9 "
        "to 5.5) comes on the bow, more than the working load of the snubber 14 mm; she needs 49 m of room "
        "around the anchor.",
        None,
    ),
    (
        verdict(peak=(11000, 3900, 12000)),
        "Holds",
        "She holds in all 8 watches tried, with the pull along the bottom. At the hardest about 11 kN (3.9 "
        "to 12) comes on the bow, more than the working load of the snubber 14 mm and the chain 8 mm "
        "grade 40; she needs 49 m of room around the anchor.",
        None,
    ),
    (
        verdict(**some(3, "broke"), peak=(33000, 20000, 35000), degrees=20),
        "May break",
        "The tackle breaks in 3 of 8 watches tried, because more comes on the snubber 14 mm than it breaks "
        "at. At the hardest about 33 kN (20 to 35) comes on the bow; she needs 49 m of room around "
        "the anchor.",
        None,
    ),
    (
        verdict(**some(8, "broke"), peak=(45000, 41000, 50000), parts=(CHAIN,)),
        "Tackle breaks",
        "The tackle breaks in all 8 watches tried, because more comes on the chain 8 mm grade 40 than it "
        "breaks at. At the hardest about 45 kN (41 to 50) comes on the bow; she needs 49 m of room "
        "around the anchor.",
        "The tackle breaks in all 8 watches tried, because more comes on the chain 8 mm grade 40 than it "
        "breaks at. At the hardest about 10000 lbf (9200 to 11000) comes on the bow; she needs 160 ft of "
        "room around the anchor.",
    ),
    (
        verdict(peak=(11000, 3900, 12000), parts=(CHAIN, SNUBBER, ROLLER)),
        "Holds",
        "She holds in all 8 watches tried, with the pull along the bottom. At the hardest about 11 kN (3.9 "
        "to 12) comes on the bow, more than the working load of the bow roller and 2 other parts; she needs "
        "49 m of room around the anchor.",
        None,
    ),
]


@pytest.mark.parametrize(("found", "outcome", "metric", "us"), SENTENCES)
def test_the_verdict_in_words(found: Verdict, outcome: str, metric: str, us: str | None) -> None:
    assert found.outcome == outcome
    assert found.sentence() == metric
    if us is not None:
        assert found.sentence("US") == us


@pytest.mark.parametrize("found", [row[0] for row in SENTENCES])
@pytest.mark.parametrize("system", ["metric", "US"])
def test_two_plain_sentences(found: Verdict, system: System) -> None:
    sentence = found.sentence(system)
    assert len(re.findall(r"\. (?=[A-Z])", sentence)) == 1
    assert len(sentence.split()) < 60
    assert not re.search(r"nan|inf\b|None|  |\(\)|e\+|-0", sentence)
    wrong = r" (ft|lbf|lb)\b" if system == "metric" else r" (m|kN|kg)\b"
    assert not re.search(r"\d" + wrong, sentence)


def test_a_part_that_chain_relieves_is_not_overloaded() -> None:
    relieved = dataclasses.replace(SNUBBER, most=3000.0)
    assert verdict(peak=(9000, 8000, 9500), parts=(CHAIN, relieved)).overloaded == ()
    assert [part.key for part in verdict(peak=(9000, 8000, 9500)).overloaded] == ["snubber"]


# --- Warnings and notes -------------------------------------------------------------------------------------

BREAKS = "The tackle is loaded past what it breaks at: do not lie to it in this weather."
DRAGS = "Dragging puts boat and crew at risk: improve anchor, scope or place, or leave in time."
CREEPS = "An anchor that creeps is at its limit: let out more rode and watch the bearings."
OVERLOADED = "A part that works beyond its working load can fail without warning: stand clear of it."
BARE = "Chain comes bare to the bow: lie to a snubber on a strong point, not to the windlass."


@pytest.mark.parametrize(
    ("found", "warnings"),
    [
        (verdict(), ()),
        (verdict(**some(2, "dragged", 0.2, 0.3)), (CREEPS,)),
        (verdict(**some(2, "dragged", 0.2, 3.0)), (DRAGS,)),
        (verdict(peak=(4700, 3900, 5500)), (OVERLOADED,)),
        (verdict(parts=(CHAIN,), tackle__snubber__length="0 m"), (BARE,)),
        (verdict(**some(3, "broke"), peak=(33000, 20000, 35000)), (BREAKS, OVERLOADED)),
        (
            verdict(
                **some(3, "dragged", 2.0),
                peak=(11000, 3900, 12000),
                parts=(CHAIN,),
                tackle__snubber__length="0 m",
            ),
            (DRAGS, OVERLOADED, BARE),
        ),
    ],
)
def test_warnings_come_gravest_first(found: Verdict, warnings: tuple[str, ...]) -> None:
    assert found.warnings == warnings
    assert found.cautions == (*warnings, *STANDING_CAUTIONS)


def test_the_ground_comes_before_holding() -> None:
    found = dataclasses.replace(verdict(**some(2, "dragged", 0.2, 0.3)), aground=8)
    assert found.outcome == "Takes the ground"
    assert found.sentence().startswith(
        "She takes the ground in all 8 watches tried, because the bottom shelves to less than the 2 m she "
        "draws. At the hardest"
    )
    assert found.warnings == (
        "Where she takes the ground she lies too near: anchor farther off, or let out less.",
        "An anchor that creeps is at its limit: watch the bearings.",
    )
    assert dataclasses.replace(found, aground=1).outcome == "May take the ground"
    near = dataclasses.replace(found, aground=0, touched=(("the post", 2),))
    assert near.outcome == "May touch" and near.warnings[-1] == found.warnings[-1], "nor more rode here"


def test_what_she_touches_comes_before_holding() -> None:
    """She lies still, 30 m and more to the north-east: a post there is in her way, one to windward is not."""
    still = STOCK.vary({"weather.gust": "20 knot", "tackle.anchor.mass": "150 kg"})
    rocks = [
        {"name": name, "at": [{"bearing": bearing, "distance": "30 m"}]}
        for name, bearing in (("the post", "45 degree"), ("the beacon", "225 degree"))
    ]
    deep = {"name": "the deep", "depth": "9 m", "at": [{"bearing": "45 degree", "distance": "30 m"}]}
    found = judge(still.vary({"surroundings.dangers": [*rocks, deep]}))
    assert found.touched == (("the post", 8),) and found.outcome == "Touches"
    assert found.sentence().startswith(
        "She touches the post in all 8 watches tried, because it lies within her reach. At the hardest"
    )
    assert found.warnings[0] == (
        "She needs more room than there is: anchor farther from the post, or let out less."
    )
    assert judge(still.vary({"surroundings.dangers": rocks[1:]})).outcome == "Holds"


def test_all_that_is_condemned_is_named() -> None:
    pulls = (2600.0, 1700.0, 3100.0)
    parts = tuple(under(part, pulls, condemned=True) for part in (CHAIN, SNUBBER, ROLLER))
    (warning, *_) = dataclasses.replace(verdict(), parts=parts).warnings
    assert all(name in warning for name in ("the chain 8 mm", "the snubber 14 mm", "the bow roller"))


def test_what_is_condemned_is_not_to_be_lain_to() -> None:
    found = dataclasses.replace(verdict(), parts=(under(CHAIN, (2600, 1700, 3100), condemned=True),))
    assert found.warnings == ("Do not lie to the chain 8 mm grade 40 before that is put right.",)


def test_it_never_promises() -> None:
    assert any("comparing choices" in caution for caution in STANDING_CAUTIONS)
    assert any("keep an anchor watch" in caution for caution in STANDING_CAUTIONS)


def test_what_is_said_of_waves_is_so() -> None:
    """Neither given: none.  Given, or open water to windward given: they count."""
    assert any("waves unless given" in caution for caution in STANDING_CAUTIONS)
    assert waves(Scenario()).height == 0.0
    given = Scenario().vary({"weather.wave_height": "0.5 m"})
    raised = Scenario().vary({"spot.fetches": [{"bearing": "225 degree", "distance": "2 km"}]})
    calm = simulate(Scenario(), seed=1).peak_bow_load
    for scenario in (given, raised):
        assert waves(scenario).height > 0.0
        assert simulate(scenario, seed=1).peak_bow_load != calm


def test_notes_tell_how_it_was_computed() -> None:
    assert verdict().notes() == ()
    found = verdict(
        spot__depth="8.6 m",
        tackle__scope=7,
        tackle__snubber__length="30 m",
        tackle__chain__length="20 m",
        tackle__anchor__mass="60 kg",
        tackle__anchor__type="claw",
    )
    assert found.notes() == (
        "Scope 7:1 needs 70 m of rode here; 20 m is aboard. Calculated with all of it out, 2:1.",
        "Only 19.5 m of the snubber is used: there is too little chain outside the roller.",
        "NOTICE Published small-craft holding covers anchors of 5 to 50 kg. For 60 kg it is extrapolated: "
        "allow a wide margin.",
        "Published holding for a claw in firm sand differs: 3.8 to 7.1 kN from small-craft figures (used "
        "here), 35 kN from a naval rule for far heavier anchors.",
    )
    us = found.notes("US")
    assert us[0].startswith("Scope 7:1 needs 230 ft of rode here; 65.6 ft is aboard.")
    assert us[1].startswith("Only 64 ft of the snubber is used")
    assert "anchors of 11 to 110 lb. For 130 lb" in us[2]
    assert "850 to 1600 lbf" in us[3]


# --- From runs ----------------------------------------------------------------------------------------------


def test_ranges_are_the_median_and_the_ends() -> None:
    runs = [simulate(STOCK, seed=seed) for seed in (1, 2, 3)]
    found = judge(STOCK, runs)
    peaks = sorted(run.peak_bow_load for run in runs)
    assert found.peak == Interval(*peaks, kind="lowest and highest")
    rooms = sorted(si(run.swing_radius) for run in runs)
    assert found.room == Interval(*rooms, kind="lowest and highest")
    assert found.drags == tuple(si(run.drag_distance) for run in runs)
    assert len(found.endings) == 3
    names = [part.name for part in found.parts]
    assert names[0].startswith("Anchor, concave scoop") and "Chain 8 mm grade 40" in names
    assert "Cleat" in names, "all that is in line"


def outcome(*pulls: float, drag: float = 0.0) -> Outcomes:
    """What spells with these pulls come to, the same at bow and anchor."""
    rest = (0.0,) * len(pulls)
    return Outcomes(pulls, pulls, rest, rest, (drag,) * len(pulls), (9.0,) * len(pulls), ((),) * len(pulls))


BARE_CHAIN = {"tackle.snubber.length": "0 m"}
BACKED, ALONE = {"tackle.snubber.slack": "0.5 m"}, {"tackle.snubber.slack": "15 m"}
FITTED = {  # all else far stronger than what is looked at
    "tackle.anchor.mass": "60 kg",
    "tackle.fittings.anchor_shackle.size": "16 mm",
    "tackle.fittings.strong_point.breaking_load": "500 kN",
}


@pytest.mark.parametrize(
    ("changes", "load", "endings"),
    [
        ({}, 2600.0, ("held",)),
        ({**FITTED, **BARE_CHAIN}, 17_000.0, ("held",)),
        ({**FITTED, **BARE_CHAIN}, 40_001.0, ("broke",)),  # ISO 4565 / DIN 766: 8 mm grade 40, 40 kN
        ({**FITTED, **ALONE}, 0.85 * 40200 + 1, ("broke",)),  # ISO 1140, from memory: 14 mm nylon, wet
    ],
)
def test_how_a_watch_ends(changes: dict[str, Any], load: float, endings: tuple[Ending, ...]) -> None:
    found = judged(STOCK.vary(changes), outcome(load))
    assert found.endings == endings
    dragged = judged(STOCK.vary(changes), outcome(load, drag=2.0))
    assert dragged.endings == ("broke" if endings == ("broke",) else "dragged",)


def test_a_snubber_that_chain_backs_up_does_not_break() -> None:
    load = 0.85 * 40200 + 1  # N; ISO 1140, from memory: 14 mm nylon, wet
    for changes, breaks in ((BACKED, False), (ALONE, True)):
        found = judged(STOCK.vary({**FITTED, **changes}), outcome(load))
        snubber = next(part for part in found.parts if part.key == "snubber")
        assert (snubber.load.likely > snubber.strength_left.likely) == breaks


def test_what_was_found_counts() -> None:
    """A chain worn to half its diameter keeps a quarter of its section and breaks at a quarter: geometry."""
    worn = {"part": "chain", "kind": "chain link worn", "measured": "4 mm"}
    scenario = STOCK.vary({**FITTED, **BARE_CHAIN})
    found = scenario.vary({"survey.findings": [worn]})
    assert judged(scenario, outcome(11_000.0)).endings == ("held",)
    assert judged(found, outcome(11_000.0)).endings == ("broke",)  # 40 kN / 4
    assert "Do not lie to the chain 8 mm grade 40" in judged(found, outcome(1.0)).warnings[0]


def test_every_watch_has_its_own_gusts_and_anchor() -> None:
    runs = list(fixed_spells(STOCK))
    assert [run.seed for run in runs] == list(SEEDS)
    assert len({run.holding for run in runs}) == len(SEEDS)
    holdings = np.array([run.holding for run in runs])
    middle = simulate(STOCK, seed=1, holding_quantile=0.5).holding
    assert np.sum(holdings > middle) == np.sum(holdings < middle) == 4
    assert np.exp(np.mean(np.log(holdings))) == pytest.approx(middle, rel=1e-9)


def test_the_verdict_is_the_same_every_time() -> None:
    assert judge(STOCK) == judge(STOCK)


@pytest.mark.parametrize("path", sorted(folder("shared").glob("*.toml")), ids=lambda path: path.stem)
def test_shared_scenarios_come_to_a_sentence(path: Any) -> None:
    found = judge(Scenario.load(path).vary({"weather.duration": "5 min"}))
    assert found.outcome in ("Holds", "Creeps", "May drag", "Drags")
    assert found.sentence().startswith(("She holds in", "The anchor drags in", "The anchor creeps in"))
    assert found.room.low > 0 and found.peak.low > 0


def test_calm() -> None:
    found = judge(STOCK.vary({"weather.mean_wind": "0 knot"}))
    assert found.outcome == "Holds"
    assert found.sentence().startswith("She holds in all 8 watches tried, with the pull along the bottom.")
    assert found.peak.high < 200.0
