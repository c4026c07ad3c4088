"""The strip on top: its word, sentence and figures are those of the spells, whatever the scenario."""

from __future__ import annotations

import re

import numpy as np
import pytest

from anchorsim.core.units import SYSTEMS, si
from anchorsim.figures.scenes import scene_of
from anchorsim.risk.assessment import Assessment, assess
from anchorsim.risk.outcome import LIMIT
from anchorsim.scenario.scenario import Scenario
from anchorsim.wording import glance

SHORT = {"weather.duration": "3 minute"}
CASES = {
    "holds": {},
    "drags": {"weather.mean_wind": "40 knot"},
    "short scope": {"tackle.scope": 3, "tackle.snubber.length": "0 m"},
    "thin chain, heavy anchor": {"tackle.anchor.mass": "60 kg", "tackle.chain.size": "6 mm", "weather.mean_wind": "50 knot"},
    "a sea": {"weather.wave_height": "1 m", "weather.wave_period": "4 s"},
}  # fmt: skip


@pytest.fixture(scope="module", params=CASES)
def found(request: pytest.FixtureRequest) -> Assessment:
    return assess(Scenario().vary(SHORT | CASES[request.param]), 60)


def test_the_word_is_that_of_the_chance_over_the_stretch(found: Assessment) -> None:
    for stretch in glance.STRETCHES:
        chance, said = found.share("failed", stretch), glance.outcome(found, stretch)
        if said.tone == "bad":
            assert chance.likely >= 0.5 or found.unfit
        elif said.word in ("Holds", "Creeps"):
            assert chance.likely <= LIMIT
        else:
            assert said.tone == "warn" and LIMIT < chance.likely < 0.5
        likely = re.search(r"in (under |over )?(\d+) of 100 \((\d+) to (\d+)\)", said.sentence)
        assert likely and abs(int(likely[2]) - 100 * chance.likely) <= 1.0
        assert said.sentence.startswith(glance.lasting(stretch))


def test_a_longer_stretch_is_never_told_as_safer(found: Assessment) -> None:
    grave = {"ok": 0, "warn": 1, "bad": 2}
    tones = [grave[glance.outcome(found, stretch).tone] for stretch in glance.STRETCHES[::2]]
    assert tones == sorted(tones)


def test_a_few_spells_that_hold_are_not_told_as_more_than_that() -> None:
    few = assess(Scenario().vary(SHORT), 8)
    assert (glance.outcome(few).word, glance.outcome(few).tone) == ("Holds so far", "none")


def test_the_sentence_has_room_in_the_strip_with_dangers_and_with_parts_that_are_unfit() -> None:
    """Three lines of some 40 letters each, at the narrowest screen that shows all at once."""
    cove = Scenario.load("shared/cove-with-neighbour.toml")
    neglected = Scenario.load("shared/survey-neglected-sloop.toml")
    said = [glance.outcome(assess(each, 8)).sentence for each in (cove, neglected)]
    assert all(len(sentence) <= 110 for sentence in said), said
    assert "hits or goes aground" in said[0]
    assert said[1].startswith("Do not anchor on the chain and the snubber. ")


def test_the_figures_are_medians_of_the_spells(found: Assessment) -> None:
    load, holding, room, part = glance.figures(found)
    assert load.value.startswith(f"{np.median(found.spells.peak_load) / 1000:.2g}"[:3])
    used = float(np.median(found.spells.holding_used))
    assert holding.use == pytest.approx(used)
    assert holding.value == ("all of it" if used >= 1.0 else f"{100 * used:.0f} %")
    assert float(room.value.split()[0]) == pytest.approx(np.median(found.spells.radius), abs=0.5)
    worst = max(np.median(row) for row in found.use)
    assert part.use == pytest.approx(worst, rel=1e-6)


def test_the_bar_of_the_anchor_is_the_figure_of_the_strip(found: Assessment) -> None:
    scene = scene_of(found.run(), found.scenario, found)
    anchor = scene.parts[0]
    assert anchor.peak.likely / anchor.wll == pytest.approx(found.holding_used.likely)


@pytest.mark.parametrize("system", SYSTEMS)
def test_every_figure_says_how_it_comes_about_in_one_unit_system(found: Assessment, system: str) -> None:
    said = " ".join(line for figure in glance.figures(found, system) for line in figure.why)  # type: ignore[arg-type]
    assert all(len(figure.why) >= 2 for figure in glance.figures(found, system))  # type: ignore[arg-type]
    foreign = r"\d (m|kN|kg|mm)\b" if system == "US" else r"\d (ft|lbf|lb)\b"
    assert not re.search(foreign, said), said


def test_what_may_fail_without_having_failed_is_what_came_nearest() -> None:
    found = assess(Scenario().vary(SHORT | {"weather.mean_wind": "30 knot"}), 60, clear_radius=50.0)
    assert si(found.scenario.weather.mean_wind) > 0
    assert found.nearest in ("dragged", "may have broken", "out of room")
    close = assess(Scenario().vary(SHORT), 30, clear_radius=float(1.001 * found.spells.radius.max()))
    assert close.nearest == "out of room"
