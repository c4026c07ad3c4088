"""The weakest link in sentences: what is not fit for use, what fails first, what was not inspected."""

from __future__ import annotations

import re

import pytest

from anchorsim.core.tables import table
from anchorsim.scenario.scenario import Scenario
from anchorsim.strength.components import gear
from anchorsim.survey.weakest_link import appraise
from anchorsim.wording import weakest_link as told
from anchorsim.wording.cautions import Caution
from anchorsim.wording.warnings import unfit

SHORT = Scenario().vary({"weather.duration": "1 min"})
STRONG = SHORT.vary({"tackle.anchor.mass": "100 kg", "tackle.chain.size": "6 mm", "tackle.chain.grade": 30})


def test_one_part_that_is_not_fit_for_use_and_two() -> None:
    cracked = SHORT.vary({"survey.findings": [{"kind": "chain link cracked"}]})
    assert unfit(appraise(cracked).unfit) == Caution(
        "WARNING",
        "The chain 8 mm grade 40 is not fit for use. It can fail under load and leave the boat adrift. "
        "Do not anchor on it until it is replaced or repaired.",
    )
    both = SHORT.vary({"survey.findings": [{"kind": "chain link cracked"}, {"kind": "shackle pin bent"}]})
    said = unfit(appraise(both).unfit)
    assert said is not None and said.text.startswith(
        "The anchor shackle 8 mm and the chain 8 mm grade 40 are not"
    )
    assert unfit(appraise(SHORT).unfit) is None


@pytest.mark.parametrize("system", ["metric", "US"])
def test_a_part_that_breaks_first_is_a_warning_and_an_anchor_that_drags_first_is_none(system: str) -> None:
    first = told.first_to_fail(appraise(STRONG), system)  # type: ignore[arg-type]
    assert isinstance(first, Caution) and first.signal == "WARNING"
    assert first.text.count(" lbf" if system == "US" else " kN") == 2
    drags = told.first_to_fail(appraise(SHORT), system)  # type: ignore[arg-type]
    assert isinstance(drags, str) and drags.startswith("If the load rises the anchor drags first, at about ")


def test_the_figures_say_how_many_spells_and_how_long() -> None:
    assert "of 8 simulated 1-minute spells" in told.figures(appraise(SHORT))
    assert "of 8 simulated 10-minute spells" in told.figures(appraise(Scenario()))


def test_what_was_not_inspected_is_counted_and_named() -> None:
    looked = SHORT.vary({"survey.looked_at": ["anchor", "chain"]})
    found = appraise(looked)
    assert told.inspected(found) == f"2 of {len(table('parts'))} parts inspected"
    names = told.not_inspected(found)
    assert names.startswith("Not recorded, and not counted: second anchor, anchor shackle, swivel, ")
    assert names.endswith("bitter end and chain locker."), "parts that she may not have are named too"
    every = SHORT.vary({"survey.looked_at": [str(row["part"]) for row in table("parts")]})
    assert told.not_inspected(appraise(every)) == ""


def test_what_a_part_carries() -> None:
    found = appraise(SHORT)
    chain = told.carries("chain", found.part("chain"), "metric")
    assert re.fullmatch(
        r"Chain 8 mm grade 40: peak load \S+ kN, \d+ % of WLL \(.+\)\. Strength left about 40 kN\.", chain
    )
    end = told.carries("bitter end", found.part("bitter end"), "metric")
    assert end.endswith("carries load only at full run-out, and then all of it.")
    assert told.carries("swivel", None, "metric") == told.NOT_IN_RODE
    never = {str(row["part"]) for row in table("parts")} - {part.key for part in everything()}
    assert {told.carries(key, None, "metric") for key in never} == {told.NOT_CALCULATED}


def everything() -> list:
    """The parts of a rode with all that there can be, and of a rope rode."""
    full = SHORT.vary(
        {
            "tackle.fittings.swivel.orientation": "eye to the anchor",
            "tackle.fittings.joining_link.kind": "double-jaw",
        }
    )
    rope = SHORT.vary({"tackle.chain.length": "10 m", "tackle.rope.length": "60 m"})
    return [*gear(full), *gear(rope)]
