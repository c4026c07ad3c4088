"""The maintenance calendar: dates by hand."""

from __future__ import annotations

import datetime

from findings_of_all_kinds import EVERY

from anchorsim.scenario.scenario import Scenario
from anchorsim.survey.maintenance import Due, calendar
from anchorsim.wording.maintenance import task

TODAY = datetime.date(2025, 7, 1)
STOCK = Scenario()


def due(scenario: Scenario, words: str, today: datetime.date = TODAY) -> Due:
    [found] = [entry for entry in calendar(scenario, today) if words in task(entry)]
    return found


def logged(**dates: str) -> Scenario:
    return STOCK.vary({f"survey.log.{name}": date for name, date in dates.items()})


def test_laid_out_yearly() -> None:
    # yearly: common practice, no source
    found = due(logged(laid_out="2025-03-10"), "Lay the whole rode out")
    assert (found.date, found.every) == (datetime.date(2026, 3, 10), datetime.timedelta(365))


def test_turned_end_for_end_yearly_and_new_chain_counts() -> None:
    # yearly: common practice, no source
    assert due(logged(turned_end_for_end="2024-09-01"), "end for end").date == datetime.date(2025, 9, 1)
    assert due(logged(chain_new="2025-01-15"), "end for end").date == datetime.date(2026, 1, 15)


def test_the_windlass_every_couple_of_weeks() -> None:
    # common practice, no source
    assert due(logged(windlass_run="2025-06-25"), "Run the windlass").date == datetime.date(2025, 7, 9)
    assert due(logged(windlass_run="2025-01-01"), "Run the windlass").date == TODAY, "overdue is due at once"


def test_what_nobody_remembers_is_due_at_once() -> None:
    found = due(STOCK, "Service the windlass")
    assert (found.date, found.last) == (TODAY, None)


def test_after_severe_loading_the_rode_is_laid_out() -> None:
    loaded = logged(laid_out="2025-03-10", severe_load="2025-06-20")
    assert due(loaded, "after the heavy load of 20 June 2025").date == TODAY
    seen = logged(laid_out="2025-06-21", severe_load="2025-06-20")
    assert not [entry for entry in calendar(seen, TODAY) if "heavy load" in task(entry)]


def test_no_windlass_no_windlass_to_look_after() -> None:
    without = STOCK.vary({"tackle.fittings.windlass.kind": "none"})
    assert not [entry for entry in calendar(without, TODAY) if entry.part == "windlass"]
    by_hand = STOCK.vary({"tackle.fittings.windlass.kind": "manual"})
    assert not [entry for entry in calendar(by_hand, TODAY) if "switches" in task(entry)]


def zinc(measured: str, place: str, times: int) -> Scenario:
    findings = [{"kind": "chain zinc thin", "grade": place, "measured": measured}]
    return STOCK.vary(
        {"survey.date": "2025-07-01", "survey.findings": findings, "survey.log.times_regalvanised": times}
    )


def test_zinc_is_renewed_before_it_is_gone() -> None:
    # 40 µm at 4 µm a year, the fastest of C4 (ISO 14713, read in a reprint): ten years
    found = due(zinc("40 micrometer", "C4", 1), "Have the chain regalvanised")
    assert abs((found.date - datetime.date(2035, 7, 1)).days) <= 1


def test_regalvanised_twice_is_renewed_the_third_time() -> None:
    # no more than twice: common practice, no source
    assert due(zinc("40 micrometer", "C4", 2), "Renew the chain").part == "chain"
    counted = zinc("40 micrometer", "C4", 0)
    findings = [*counted.survey.findings, {"kind": "chain regalvanised", "measured": 2}]
    assert due(counted.vary({"survey.findings": findings}), "Renew the chain").part == "chain"


def test_findings_have_a_date_for_the_remedy_and_one_to_look_again() -> None:
    scenario = STOCK.vary({"survey.date": "2025-06-30", "survey.findings": [{"kind": "strong point leaks"}]})
    tasks = [entry for entry in calendar(scenario, TODAY) if entry.part == "strong point"]
    assert [entry.date for entry in tasks] == [datetime.date(2025, 9, 29), datetime.date(2026, 6, 30)]
    urgent = STOCK.vary({"survey.date": "2025-06-30", "survey.findings": [{"kind": "cleat cracked"}]})
    assert due(urgent, "Strong point: renew the cleat").date == TODAY, "before use"


def test_soonest_first() -> None:
    dates = [entry.date for entry in calendar(STOCK.vary({"survey.findings": EVERY}), TODAY)]
    assert dates == sorted(dates)
    assert dates[0] >= TODAY


def test_a_survey_is_due_a_year_after_itself() -> None:
    dated = STOCK.vary({"survey.date": "2025-04-12", "survey.looked_at": ["chain"]})
    again = due(dated, "surveyed again", datetime.date(2025, 4, 12))
    assert (again.date, again.last) == (datetime.date(2026, 4, 12), datetime.date(2025, 4, 12))  # every year
    empty = STOCK.vary({"survey.date": "2025-04-12"})
    assert due(empty, "surveyed again", datetime.date(2025, 4, 12)).last is None, "nothing was looked at"
