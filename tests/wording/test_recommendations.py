"""Jobs in sentences: what is wrong, what to do, and the benefit before and after."""

from __future__ import annotations

import dataclasses
import math

import pytest

from anchorsim.scenario.findings import OTHER, Finding
from anchorsim.scenario.scenario import Scenario
from anchorsim.strength.compatibility import misfits
from anchorsim.strength.degradation import effect
from anchorsim.survey.recommendations import Figures, FiguresSI, Recommendation
from anchorsim.wording import cautions
from anchorsim.wording.recommendations import (
    GOOD_PRACTICE,
    NOT_CALCULATED,
    benefit,
    duties,
    remedy,
    standard,
    wrong,
)

STOCK = Scenario()
FIGURES = Figures(
    utilisation=0.6, today=0.3, safety=4.0, weakest="Chain 8 mm grade 40", weakest_safety=4.0, drags=3,
    spells=8, si=FiguresSI(peak=3000.0, holding=5000.0, load=3000.0, strength=12000.0),
)  # fmt: skip
WORN = Finding.model_validate({"kind": "chain link worn", "measured": "7.5 mm"})


def advised(*kinds: Finding, after: Figures = FIGURES, before: Figures = FIGURES) -> Recommendation:
    effects = tuple(effect(STOCK, finding) for finding in kinds)
    return Recommendation(
        part="chain", urgency="before use", changes=(), effects=effects, jobs=kinds, misfit=None, source="",
        kind="judgement", before=before, after=after,
    )  # fmt: skip


def test_what_is_wrong_begins_with_its_title_and_ends_with_what_was_measured() -> None:
    # 7.5² / 8² of the section; 0.9 of 8 mm
    assert wrong(advised(WORN), "metric") == (
        "Worn links. Links are worn where they bear on each other. "
        "7.5 mm of 8 mm left, 88 % of the section. Wear limit 7.2 mm (EN 818-6)."
    )
    assert remedy(advised(WORN), "metric") == "Turn end for end. Renew at the wear limit."


def test_the_weakest_link_that_a_job_is_about_is_told_once() -> None:
    after = dataclasses.replace(FIGURES, safety=4.8, weakest_safety=4.8)
    assert benefit(advised(WORN, after=after), "metric") == ("safety factor 4 → 4.8",)
    other = dataclasses.replace(after, weakest="Anchor, plough")
    assert len(benefit(advised(WORN, after=other), "metric")) == 2


def test_what_the_surveyor_found_himself_is_judged_by_him() -> None:
    own = Finding.model_validate(
        {"kind": OTHER, "part": "chain", "grade": "A", "words": "Paint on the links"}
    )
    assert standard(advised(own)) == "The surveyor, on board."
    assert standard(advised(own, Finding(kind="chain hockled", part="chain"))) == "Our estimate."


def test_the_benefit_is_each_figure_before_and_after() -> None:
    after = dataclasses.replace(
        FIGURES,
        utilisation=0.5,
        safety=4.8,
        weakest="Anchor, plough",
        weakest_safety=4.4,
        si=FiguresSI(peak=2500.0, holding=5000.0, load=2500.0, strength=12000.0),
        drags=0,
    )
    assert benefit(advised(WORN, after=after), "metric") == (
        "load 60 % → 50 % of WLL",
        "safety factor 4 → 4.8",
        "weakest link: chain 8 mm grade 40, safety factor 4 → anchor, plough, 4.4",
        "median peak load at the bow 3.0 kN → 2.5 kN",
        "anchor moves in 3 → 0 of 8 spells",
    )
    assert "median peak load at the bow 670 lbf → 560 lbf" in benefit(advised(WORN, after=after), "US")


def test_what_changes_nothing_is_good_practice_and_what_cannot_be_calculated_says_so() -> None:
    assert benefit(advised(WORN), "metric") == (GOOD_PRACTICE,)
    nowhere = dataclasses.replace(FIGURES, utilisation=math.nan, safety=math.nan)
    assert benefit(advised(WORN, before=nowhere, after=nowhere), "metric") == (GOOD_PRACTICE,)
    assert benefit(advised(), "metric") == (NOT_CALCULATED,)


@pytest.mark.parametrize("system", ["metric", "US"])
def test_jobs_of_findings_and_misfits_are_one_list_by_urgency(system: str) -> None:
    bare = STOCK.vary({"tackle.snubber.length": "0 m"})
    effects = [
        effect(bare, Finding(kind="windlass terminals corroded")),
        effect(bare, Finding(kind="bolt in the chain")),
    ]
    found = duties(effects, misfits(bare), system)  # type: ignore[arg-type]
    assert [(duty.part, duty.urgency) for duty in found] == [
        ("chain", "before use"), ("snubber", "before use"), ("windlass", "this season"),
    ]  # fmt: skip
    assert found[0].what == "Bolt used as a link"
    assert found[2].remedy.endswith(cautions.ELECTRICIAN)
