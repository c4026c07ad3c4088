"""A lesson on one sheet, for the class to take home: question, boats, every spell, why, and what to try."""

from __future__ import annotations

import base64
import os
from pathlib import Path

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import NullLocator

from anchorsim.core import arguments, markup
from anchorsim.core.units import SYSTEMS, System, quoted
from anchorsim.core.writing import write_whole
from anchorsim.figures import drawn_as
from anchorsim.figures.lesson import LEAST, bands, rise, shown
from anchorsim.lessons.catalogue import PLANS
from anchorsim.lessons.lesson import Lesson, lesson
from anchorsim.lessons.plan import Measured
from anchorsim.report.drawing import LOOK, SMALL, WIDTH, Drawing, drawing, plain, style
from anchorsim.report.errors import ReportError
from anchorsim.report.page import NoPaper, sheets, style_sheet
from anchorsim.wording import lessons as wording
from anchorsim.wording.lesson_texts import amount

ENDINGS = (".pdf", ".html", ".svg", ".png")
_LETTERS, _MARKS = "ABCD", "osD^"
_ROW, _AROUND = 0.3, 0.6  # inches: a boat's row, and what a panel has besides


def write_handout(name: str, path: str | os.PathLike[str], system: System = "metric") -> None:
    """Write a lesson's handout, one page, or its picture alone: whole or not at all.

    Parameters
    ----------
    name : str
        Which: scope, rodes, snubber, sheering, tide, squall, neighbours, weakest or chance.
    path : str or path
        Ends in ``.pdf`` or ``.html`` for the page, in ``.svg`` or ``.png`` for the picture.
    system : {"metric", "US"}
        Units, and the PDF's paper: A4 or Letter.

    Raises
    ------
    ArgumentError
        Where there is no such lesson, or the kind of file is another.
    ReportError
        Where the file cannot be written.

    Examples
    --------
    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     write_handout("scope", f"{folder}/scope.svg")
    ...     Path(folder, "scope.svg").stat().st_size > 5_000
    True
    """
    arguments.one_of("name", name, list(PLANS))
    arguments.one_of("system", system, SYSTEMS)
    target = Path(path)
    ending = target.suffix.lower()
    if ending not in ENDINGS:
        wrong, fits = (
            f"{quoted(target.name)} is an unknown kind of file",
            "a name that ends in .pdf, .html, .svg or .png",
        )
        raise arguments.refused("path", wrong, fits, "write for example scope.pdf")
    found = lesson(name)
    try:
        write_whole(target, _content(found, ending, system))
    except (ValueError, NoPaper) as error:
        raise ReportError(str(error)) from None


def _content(found: Lesson, ending: str, system: System) -> bytes:
    if ending == ".svg":
        return base64.b64decode(picture(found, system).address.partition(",")[2])
    if ending == ".png":
        return picture(found, system).png
    return handout(found, system) if ending == ".pdf" else handout_html(found, system).encode()


def handout(found: Lesson, system: System) -> bytes:
    """The sheet as PDF.  Raises NoPaper where this installation cannot make sheets of paper."""
    return sheets(handout_html(found, system), system)


def handout_html(found: Lesson, system: System) -> str:
    """The sheet as HTML."""
    key = found.plan.key
    heads, rows = wording.table(found, system)
    return markup.page(
        "report/handout.html",
        title=wording.title(key),
        number=wording.number(key),
        question=wording.question(key, system),
        words=wording,
        choices=wording.choices(found.plan, system),
        outcome=wording.outcome(found, None, system),
        explained=wording.explained(found, system),
        heads=heads,
        rows=rows,
        counted=wording.counted(found),
        drawing=picture(found, system),
        tries=list(wording.tries(key, system).values()),
        cautions=wording.cautions(key, system),
        style=style_sheet("handout.css"),
    )


def picture(found: Lesson, system: System) -> Drawing:
    """Every spell of every boat, for the page or by itself."""
    words = f"A dot a spell, a bar at the median. {wording.counted(found)}"
    with style():
        return drawing(_figure(found, system), "Every spell", words)


def _figure(found: Lesson, system: System) -> Figure:
    measured, rows = found.plan.measured, len(bands(found, system))
    sheet = Figure(figsize=(WIDTH, len(measured) * (_ROW * rows + _AROUND)), layout="constrained")
    for panel, one in zip(np.atleast_1d(sheet.subplots(len(measured), 1)), measured, strict=True):
        _panel(panel, found, one, system)
    return sheet


def _panel(panel: Axes, found: Lesson, measured: Measured, system: System) -> None:
    plain(panel)
    rows = bands(found, system)
    for row, (_, places) in enumerate(rows):
        values = found.si[measured][places[0]]
        if not np.isfinite(values).all():
            continue
        colour = drawn_as(_LETTERS[places[0]], LOOK)[0] if len(places) == 1 else LOOK.faint
        x, y, median = shown(measured, values, system), row + 0.22 * rise(values), float(np.median(values))
        panel.scatter(x, y, s=12, color=colour, marker=_MARKS[places[0]], alpha=0.75)
        for place in places if len(places) > 1 else ():
            at = x[found.spell(place)], y[found.spell(place)]
            panel.annotate(
                _LETTERS[place], at, (0, 5), textcoords="offset points", ha="center", fontsize=SMALL
            )
        ends = row - 0.36, row + 0.36
        panel.vlines(shown(measured, np.array([median]), system), *ends, color=LOOK.ink, linewidth=1.4)
        panel.annotate(
            amount(measured, median, system), (1.0, row), (5, 0), xycoords=("axes fraction", "data"),
            textcoords="offset points", va="center", fontsize=SMALL, fontweight="bold",
        )  # fmt: skip
    unit, label = wording.unit_of(measured, system), wording.MEASURED[measured]
    panel.set(xlabel=f"{label} ({unit})" if unit else label, ylim=(len(rows) - 0.4, -0.6))
    names = [name if len(places) > 1 else f"{_LETTERS[places[0]]}  {name}" for name, places in rows]
    panel.set_yticks(range(len(rows)), names)
    panel.tick_params(axis="y", length=0)
    panel.grid(axis="x", color=LOOK.grid, linewidth=0.6)
    if measured == "drag":
        _by_powers_of_ten(panel, system)
    else:
        panel.set_xlim(left=0.0)


def _by_powers_of_ten(panel: Axes, system: System) -> None:
    least = float(shown("drag", np.array([LEAST]), system)[0])
    panel.set_xscale("log")
    steps = [step for step in (0.1, 1.0, 10.0, 100.0, 1000.0) if step <= 1.5 * panel.get_xlim()[1]]
    panel.set_xticks([least, *steps], ["holds", *(f"{step:g}" for step in steps)])
    panel.xaxis.set_minor_locator(NullLocator())
    panel.set_xlim(left=least * 0.8)
