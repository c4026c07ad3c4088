"""The survey report: sections of blocks, and from these a page, sheets of paper and a document to edit.

Door: the room itself.
"""

from __future__ import annotations

import datetime
import os
from pathlib import Path

from anchorsim.core import arguments
from anchorsim.core.reading import ReadError
from anchorsim.core.units import SYSTEMS, System, quoted
from anchorsim.core.writing import write_whole
from anchorsim.report.blocks import Report
from anchorsim.report.content import content
from anchorsim.report.errors import ReportError
from anchorsim.report.letterhead import LetterheadError, last_survey, letterhead
from anchorsim.report.page import NoPaper, page, sheets
from anchorsim.report.word import document
from anchorsim.scenario.scenario import Scenario
from anchorsim.survey.maintenance import calendar, reckoned_from
from anchorsim.survey.since_last import LastSurveyError
from anchorsim.wording.maintenance import to_icalendar

ENDINGS = (".html", ".pdf", ".docx", ".ics")


def write_report(
    scenario: Scenario,
    path: str | os.PathLike[str],
    system: System = "metric",
    letterhead_file: str | os.PathLike[str] | None = None,
    last: Scenario | None = None,
) -> None:
    """Write the report on a scenario and its survey: whole or not at all.

    Parameters
    ----------
    scenario : Scenario
        With its survey; photographs are taken from the folder of its file.
    path : str or path
        Ends in ``.html`` for a page that needs no other file, in ``.pdf``, in ``.docx`` for a document to
        edit, or in ``.ics`` for the calendar of next inspections.
    system : {"metric", "US"}
        Units, and the paper: A4 or Letter.
    letterhead_file : str or path, optional
        Text of the surveyor's letterhead; a picture of the same name beside it is the mark.  Without it the
        survey's own stands, or a ``letterhead.txt`` beside the scenario's file.
    last : Scenario, optional
        The last survey of the same boat, to compare with.  Without it the one that the survey names.

    Raises
    ------
    ArgumentError
        Where an argument does not fit.
    ReportError
        Where the file cannot be written, or letterhead, mark or last survey cannot be taken.
    ScenarioError, WindRecordError
        Where the scenario's surroundings or wind record do not fit.

    Examples
    --------
    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     write_report(Scenario(), f"{folder}/report.html")
    ...     Path(folder, "report.html").stat().st_size > 10_000
    True
    """
    arguments.instance("scenario", scenario, Scenario, "load one with Scenario.load")
    arguments.one_of("system", system, SYSTEMS)
    if last is not None:
        arguments.instance("last", last, Scenario, "load one with Scenario.load")
    target = Path(path)
    ending = target.suffix.lower()
    if ending not in ENDINGS:
        endings = ", ".join(ENDINGS[:-1])
        raise ReportError(
            f"{quoted(target.name)}: unknown kind of file. Expected a name that ends in {endings} or "
            f"{ENDINGS[-1]}. Write for example report.pdf."
        )
    if ending == ".ics":
        made = _calendar(scenario, system)
    else:
        report = _report(scenario, system, Path(letterhead_file) if letterhead_file else None, last)
        made = _made(report, ending, system)
    try:
        write_whole(target, made)
    except ValueError as error:
        raise ReportError(str(error)) from None


def _report(scenario: Scenario, system: System, head: Path | None, last: Scenario | None) -> Report:
    try:
        paper, earlier = letterhead(scenario, head), last or last_survey(scenario)
        return content(scenario, system, paper, earlier)
    except (LetterheadError, LastSurveyError, ReadError) as error:
        raise ReportError(str(error)) from None


def _made(report: Report, ending: str, system: System) -> bytes:
    if ending == ".docx":
        return document(report, system)
    html = page(report)
    if ending == ".html":
        return html.encode()
    try:
        return sheets(html, system)
    except NoPaper as error:
        raise ReportError(str(error)) from None


def _calendar(scenario: Scenario, system: System) -> bytes:
    dues = calendar(scenario, reckoned_from(scenario))
    now = datetime.datetime.now(datetime.UTC)
    return to_icalendar(dues, stamp=now, title=scenario.title, system=system)


__all__ = ["ReportError", "write_report"]
