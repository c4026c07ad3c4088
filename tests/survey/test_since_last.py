"""What became of each fault since the last survey: by grade, by measurement, and by who inspected it."""

from __future__ import annotations

import datetime
from typing import Any

import pytest

from anchorsim.scenario.scenario import Scenario
from anchorsim.survey.since_last import Became, LastSurveyError, since_last
from anchorsim.wording.since_last import done, rows, sentence

STOCK = Scenario()
THEN, NOW = datetime.date(2023, 4, 20), datetime.date(2025, 4, 12)


def survey(date: datetime.date, *found: dict[str, Any], **more: Any) -> Scenario:
    changes = {name.replace("__", "."): value for name, value in more.items()}
    return STOCK.vary({"survey.date": date, "survey.findings": found, **changes})


def wear(measured: str, kind: str = "chain link worn") -> dict[str, Any]:
    return {"part": "chain", "kind": kind, "measured": measured}


def rust(grade: str) -> dict[str, Any]:
    return {"part": "chain", "kind": "chain rusted", "grade": grade}


def became(then: dict[str, Any] | None, now: dict[str, Any] | None, **more: Any) -> dict[str, Became]:
    """What became of the faults on the chain, by kind."""
    last = survey(THEN, *([then] if then else []), survey__looked_at=["chain"])
    found = since_last(survey(NOW, *([now] if now else []), **more), last)
    return {
        each.finding.kind: change.became
        for change in found.changes
        for each in (change.then or change.now,)
        if each is not None and hasattr(each, "finding")
    }


@pytest.mark.parametrize(
    ("then", "now", "told"),
    [
        (wear("7.4 mm"), wear("6.8 mm"), "worse"),
        (wear("7.4 mm"), wear("7.4 mm"), "unchanged"),
        (wear("7.4 mm"), wear("0.74 cm"), "unchanged"),
        (wear("6.8 mm"), wear("7.4 mm"), "measured less"),
        (wear("2 percent", "chain links stretched"), wear("4 percent", "chain links stretched"), "worse"),
        (rust("surface"), rust("flaking"), "worse"),
        (rust("pitted"), rust("surface"), "measured less"),
        (None, rust("surface"), "new"),
    ],
)
def test_a_fault_is_worse_by_its_grade_or_by_what_was_measured(
    then: dict[str, Any] | None, now: dict[str, Any], told: Became
) -> None:
    assert became(then, now) == {now["kind"]: told}


def test_what_nobody_inspected_again_is_not_known_to_be_repaired() -> None:
    assert became(rust("flaking"), None) == {"chain rusted": "not inspected"}
    assert became(rust("flaking"), None, survey__looked_at=["chain"]) == {"chain rusted": "not found again"}


def test_what_nobody_inspected_then_is_not_known_to_be_new() -> None:
    blunt = {"part": "anchor", "kind": "anchor tip blunt"}
    assert since_last(survey(NOW, blunt), survey(THEN, rust("surface"))).count("not inspected then") == 1


def test_of_several_places_the_worst_counts() -> None:
    last = survey(THEN, wear("7.4 mm"), wear("7.3 mm"))
    found = since_last(survey(NOW, wear("7.2 mm"), wear("7.6 mm")), last)
    assert found.count("worse") == 1 and found.count("measured less") == 0


def test_what_was_renewed_and_done_is_told_with_its_dates() -> None:
    last = survey(THEN, **{"survey.log.windlass_serviced": datetime.date(2022, 3, 1)})
    now = survey(NOW, **{"tackle.chain.size": "10 mm", "survey.log.laid_out": datetime.date(2024, 4, 1)})
    said = list(done(since_last(now, last), "metric"))
    assert said[0] == "Recorded as done: rode laid out and inspected (1 April 2024)."
    assert "Chain: then chain 8 mm grade 40, now chain 10 mm grade 40." in said
    assert not any("serviced" in text for text in said)  # before the last survey


def test_it_is_told_in_a_sentence_and_a_row_each() -> None:
    found = since_last(survey(NOW, wear("6.8 mm"), rust("surface")), survey(THEN, wear("7.4 mm")))
    assert sentence(found) == "Since the survey of 20 April 2023: 1 worse and 1 new."
    part, then, now, since = next(rows(found, "metric"))
    assert (part, since) == ("Chain", "Worse")
    assert then.startswith("Worn links. 7.4 mm of 8 mm left") and now.startswith("Worn links. 6.8 mm of 8 mm")


@pytest.mark.parametrize(
    ("last", "told"),
    [
        ({"boat.name": "Plover"}, 'last survey: a survey of another boat. Expected "'),
        (
            {"survey.date": NOW},
            "last survey: not an earlier survey. Expected an earlier date than 2025-04-12",
        ),
    ],
)
def test_a_survey_of_another_boat_or_a_later_one_is_refused(last: dict[str, Any], told: str) -> None:
    with pytest.raises(LastSurveyError) as refused:
        since_last(survey(NOW), survey(THEN).vary(last))
    assert str(refused.value).startswith(told)


def test_a_boat_that_was_renamed_is_known_by_her_hull_number() -> None:
    number = {"boat.hull_number": "XX-ABC12345D598"}
    last = survey(THEN).vary({**number, "boat.name": "Old name"})
    assert since_last(survey(NOW).vary({**number, "boat.name": "Plover"}), last).count("worse") == 0
