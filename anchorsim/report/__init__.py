"""The survey report: words, one HTML page of them, sheets of paper of that page.

Door: the room itself.
"""

from __future__ import annotations

import os
from pathlib import Path

from anchorsim.core import arguments
from anchorsim.core.errors import AnchorsimError
from anchorsim.core.units import SYSTEMS, System, quoted
from anchorsim.core.writing import write_whole
from anchorsim.report.content import content
from anchorsim.report.page import NoPaper, page, sheets
from anchorsim.scenario.scenario import Scenario

ENDINGS = (".html", ".pdf")


class ReportError(AnchorsimError):
    """A report that cannot be written.

    Examples
    --------
    >>> try:
    ...     write_report(Scenario(), "report.docx")
    ... except ReportError as error:
    ...     print(str(error).split(". ")[0])
    "report.docx": unknown kind of file
    """


def write_report(scenario: Scenario, path: str | os.PathLike[str], system: System = "metric") -> None:
    """Write the report on a scenario and its survey: whole or not at all.

    Parameters
    ----------
    scenario : Scenario
        With its survey; photographs are taken from the folder of its file.
    path : str or path
        Ends in ``.html`` for a page that needs no other file, or in ``.pdf``.
    system : {"metric", "US"}
        Units, and the PDF's paper: A4 or Letter.

    Raises
    ------
    ArgumentError
        Where an argument does not fit.
    ReportError
        Where the file cannot be written.
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
    target = Path(path)
    ending = target.suffix.lower()
    if ending not in ENDINGS:
        raise ReportError(
            f"{quoted(target.name)}: unknown kind of file. Expected a name that ends in .html or .pdf. "
            "Write for example report.pdf."
        )
    html = page(content(scenario, system))
    try:
        write_whole(target, html.encode() if ending == ".html" else sheets(html, system))
    except (ValueError, NoPaper) as error:
        raise ReportError(str(error)) from None


__all__ = ["ReportError", "write_report"]
