"""How long a survey takes: with forty findings, from a cold cache of spells and a warm one."""

from __future__ import annotations

import datetime
from typing import Any

from anchorsim import appraise, recommendations
from anchorsim.core.resources import folder
from anchorsim.core.tables import table
from anchorsim.scenario.scenario import Scenario
from anchorsim.survey import weakest_link
from anchorsim.survey.maintenance import calendar

FORTY = [
    {"kind": row["finding"], "part": row["part"].split("; ")[0], "grade": row.get("grade", "")}
    for row in table("findings")
    if "law" not in row
][:40]


def _survey() -> Scenario:
    scenario = Scenario.load(folder("shared") / "survey-neglected-sloop.toml")
    return scenario.vary({"survey.findings": FORTY})


def _forget() -> None:
    weakest_link._kept.cache_clear()


def test_a_survey_of_forty_findings_from_cold(benchmark: Any) -> None:
    """Both sets of eight spells are run anew each time."""
    scenario = _survey()
    appraise(scenario)
    found = benchmark.pedantic(appraise, args=(scenario,), setup=_forget, rounds=5)
    assert len(found.scenario.survey.findings) == 40


def test_a_survey_of_forty_findings_again(benchmark: Any) -> None:
    """Only strength has changed, so that the spells serve again."""
    scenario = _survey()
    appraise(scenario)
    assert benchmark(appraise, scenario).parts


def test_recommendations_of_forty_findings(benchmark: Any) -> None:
    """Before and after for each."""
    scenario = _survey()
    recommendations(scenario)
    assert benchmark.pedantic(recommendations, args=(scenario,), setup=_forget, rounds=3)


def test_a_calendar_of_forty_findings(benchmark: Any) -> None:
    """No spells are needed for it."""
    assert benchmark(calendar, _survey(), datetime.date(2025, 7, 1))
