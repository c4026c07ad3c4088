"""The words of the lessons: the prediction beside what came out, and the same figures in both unit systems."""

from __future__ import annotations

import re

import pytest

from anchorsim.lessons.catalogue import PLANS
from anchorsim.lessons.lesson import run
from anchorsim.wording import lessons

LONGEST = 24  # words from one stop to the next, with amounts filled in


def test_a_prediction_is_shown_beside_what_came_out() -> None:
    found = run("scope")
    share = sum(found.si["drag"][0] >= 1.0)
    was = f"It was {100 * share / 24:.0f} of 100 (in {share} of 24 spells)."
    assert lessons.outcome(found, None) == was
    assert lessons.outcome(found, 0) == f"You said: none. {was}"
    said = lessons.outcome(found, found.right)
    assert said.startswith(
        f"You said: {lessons.choices(found.plan)[found.right]}. That is the nearest choice."
    )


@pytest.mark.parametrize("key", PLANS)
def test_every_lesson_says_all_that_it_must_in_both_systems(key: str) -> None:
    found, plan = run(key), PLANS[key]
    metric, us = (
        " ".join(
            [lessons.sentence(found, system), *lessons.boats(plan, system), *lessons.choices(plan, system)]
        )
        for system in ("metric", "US")
    )
    assert not re.search(r"\d (kN|m|mm|kg)\b", us), us
    assert not re.search(r"\d (lbf|ft|in|lb)\b", metric), metric
    assert "nan" not in metric and "inf" not in metric
    for sentence in re.split(r"(?<=[.?:])\s", metric):
        assert len(sentence.split()) <= LONGEST, sentence
    assert len(lessons.tries(key)) == 2 and set(lessons.tries(key)) == set(plan.tries)
    assert len(lessons.answers(key)) >= 2 and len(lessons.cautions(key)) >= 2
    assert lessons.cautions(key)[-1].signal == "NOTICE"


@pytest.mark.parametrize("key", PLANS)
def test_the_table_has_a_row_a_boat_and_its_units_in_the_heads(key: str) -> None:
    heads, rows = lessons.table(run(key))
    assert len(rows) == len(PLANS[key].boats) and {len(row) for row in rows} == {len(heads)}
    if "load" in PLANS[key].measured:
        place = heads.index("Peak load at the bow (kN)")
        loads = [run(key).si["load"][row] for row in range(len(rows))]
        for row, load in zip(rows, loads, strict=True):
            assert float(row[place]) == pytest.approx(sorted(load)[12] / 1e3, rel=0.15)
