"""The calendar in sentences, and as a file that another library opens."""

from __future__ import annotations

import datetime

import pytest
import vobject
from findings_of_all_kinds import EVERY

from anchorsim.core.resources import folder
from anchorsim.scenario.scenario import Scenario
from anchorsim.survey.maintenance import Due, calendar
from anchorsim.wording import cautions
from anchorsim.wording.maintenance import task, to_icalendar, why

TODAY = datetime.date(2025, 7, 1)
STAMP = datetime.datetime(2025, 7, 1, 12, 0, tzinfo=datetime.UTC)
STOCK = Scenario()


def due(scenario: Scenario, words: str) -> Due:
    [found] = [entry for entry in calendar(scenario, TODAY) if words in task(entry)]
    return found


def test_what_has_no_record_says_so() -> None:
    assert why(due(STOCK, "Service the windlass"), "metric") == "No record. Yearly."
    run = STOCK.vary({"survey.log.windlass_run": "2025-06-25"})
    assert why(due(run, "Run the windlass"), "metric") == "Last done 25 June 2025. Every two weeks."


def test_whoever_lays_the_rode_out_is_warned_of_running_chain() -> None:
    said = why(due(STOCK, "Lay the whole rode out"), "metric")
    assert said == f"No record. Yearly and after heavy loading. {cautions.RUNNING_CHAIN}"
    loaded = STOCK.vary({"survey.log.laid_out": "2025-03-10", "survey.log.severe_load": "2025-06-20"})
    heavy = due(loaded, "Inspect the whole rode after the heavy load of 20 June 2025")
    assert why(heavy, "metric").startswith("Heavily loaded on 20 June 2025, not inspected since. WARNING ")


def test_why_the_chain_is_regalvanised() -> None:
    thin = {"kind": "chain zinc thin", "grade": "C4", "measured": "40 micrometer"}
    chain = STOCK.vary({"survey.findings": [thin], "survey.log.times_regalvanised": 1})
    said = why(due(chain, "Have the chain regalvanised"), "metric")
    # 40 µm at 2 to 4 µm a year, ISO 14713, read in a reprint
    assert said == "Zinc left for about 10 to 20 years (C4, ISO 14713). Regalvanised once; limit 2."


def test_a_fault_is_repaired_and_rechecked_by_its_title() -> None:
    soft = STOCK.vary({"survey.findings": [{"kind": "deck soft at the strong point"}]})
    job, again = (entry for entry in calendar(soft, TODAY) if entry.part == "strong point")
    assert (task(job), why(job, "metric")) == (
        "Strong point: fit solid core under the fitting", "Soft deck. The core is wet or rotten there.",
    )  # fmt: skip
    assert (task(again), why(again, "metric")) == (
        "Recheck the strong point: soft deck", "Tap with a mallet. Use a moisture meter.",
    )  # fmt: skip


def test_another_library_opens_the_file() -> None:
    scenario = Scenario.load(folder("shared") / "survey-neglected-sloop.toml")
    dues = calendar(scenario, TODAY)
    book = vobject.readOne(to_icalendar(dues, stamp=STAMP, title=scenario.title).decode())
    assert book.version.value == "2.0"
    events = book.vevent_list
    assert [(event.summary.value, event.dtstart.value) for event in events] == [
        (task(entry), entry.date) for entry in dues
    ]
    assert len({event.uid.value for event in events}) == len(events)
    repeats = [event for event in events if hasattr(event, "rrule")]
    assert {event.rrule.value for event in repeats} == {
        f"FREQ=DAILY;INTERVAL={entry.every.days}" for entry in dues if entry.every
    }


def test_a_repeated_task_comes_round_again() -> None:
    found = due(STOCK.vary({"survey.log.windlass_run": "2025-06-25"}), "Run the windlass")
    event = vobject.readOne(to_icalendar([found], stamp=STAMP).decode()).vevent
    days = [moment.date() for moment in list(event.getrruleset(addRDate=True)[:3])]
    assert days == [datetime.date(2025, 7, day) for day in (9, 23)] + [datetime.date(2025, 8, 6)]


def test_lines_are_as_rfc_5545_has_them() -> None:
    data = to_icalendar(
        calendar(STOCK.vary({"survey.findings": EVERY}), TODAY), stamp=STAMP, title="a;b,c\nd\x07"
    )
    assert data.startswith(b"BEGIN:VCALENDAR\r\n")  # RFC 5545, 3.1: lines end in CRLF
    assert data.endswith(b"END:VCALENDAR\r\n")
    assert all(len(line) <= 75 for line in data.split(b"\r\n"))  # RFC 5545, 3.1: no more than 75 octets
    assert b"X-WR-CALNAME:a\\;b\\,c d\r\n" in data  # RFC 5545, 3.3.11: semicolon and comma are escaped


def test_an_event_keeps_its_name_in_a_later_calendar() -> None:
    def uids(today: datetime.date) -> set[str]:
        data = to_icalendar(calendar(STOCK.vary({"survey.log.laid_out": "2025-03-10"}), today), stamp=STAMP)
        return {event.uid.value for event in vobject.readOne(data.decode()).vevent_list}

    assert uids(TODAY) == uids(TODAY + datetime.timedelta(days=30))


def test_a_stamp_without_a_zone_is_refused() -> None:
    with pytest.raises(
        ValueError, match=r"^stamp: .* has no time zone\. Expected a time with its zone\. Give it tzinfo"
    ):
        to_icalendar([], stamp=datetime.datetime(2025, 7, 1))
