"""The survey report: words, one HTML page of them, sheets of paper of that page.

Door: the room itself.
"""

from __future__ import annotations

import os
from pathlib import Path

from anchorsim.core.errors import AnchorsimError
from anchorsim.core.toml_file import write_whole
from anchorsim.core.units import System, quoted
from anchorsim.report.content import content
from anchorsim.report.page import NoPaper, page, sheets
from anchorsim.scenario.scenario import Scenario

ENDINGS = (".html", ".pdf")


class ReportError(AnchorsimError):
    """Raised for a report that cannot be written; its text is for people."""


def write_report(scenario: Scenario, path: str | os.PathLike[str], system: System = "metric") -> None:
    """Write the report on a scenario and its survey: a file that ends in ``.html`` or ``.pdf``.

    The page is one file that needs nothing else; printed from a browser it takes the printer's paper.  The
    PDF is on A4, with ``system="US"`` on Letter.  Photographs are taken from the folder of the scenario's
    file.  The file is written whole or not at all.  Raises ReportError where it cannot be, and
    WindRecordError where the scenario's wind record cannot be read.
    """
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
