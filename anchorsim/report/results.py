"""What a report is made from, calculated once."""

from __future__ import annotations

from dataclasses import dataclass

from anchorsim.scenario.scenario import Scenario
from anchorsim.survey.recommendations import Recommendation, all_done, recommendations
from anchorsim.survey.since_last import SinceLast, since_last
from anchorsim.survey.weakest_link import Appraisal, appraise


@dataclass(frozen=True)
class Results:
    """What a report is about: the gear as found, the jobs, the gear with all done, and the last survey."""

    before: Appraisal
    found: tuple[Recommendation, ...]
    after: Appraisal | None
    since: SinceLast | None


def results(scenario: Scenario, last: Scenario | None = None) -> Results:
    """All that is calculated.  Raises LastSurveyError where ``last`` is of another boat, or not older."""
    since = since_last(scenario, last) if last is not None else None
    found, before = recommendations(scenario), appraise(scenario)
    after = appraise(all_done(scenario, found)) if any(row.changes or row.effects for row in found) else None
    return Results(before, found, after, since)
