"""The screen on one sheet: outcome, figures, entries and the four views, by the report's means."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from matplotlib.figure import Figure

from anchorsim.core import markup
from anchorsim.core.units import System
from anchorsim.dynamics.run import Run
from anchorsim.figures import Units, units_of
from anchorsim.report.bars import Bar, utilisation
from anchorsim.report.drawing import LOOK, SMALL, WIDTH, Drawing, drawing, plain, style
from anchorsim.report.page import sheets, style_sheet
from anchorsim.report.views import Named, from_above, from_the_side
from anchorsim.risk.assessment import Assessment
from anchorsim.wording import glance
from anchorsim.wording.amounts import force
from anchorsim.wording.assessment import STANDING
from anchorsim.wording.headlines import HEADLINES
from anchorsim.wording.terms import local
from anchorsim.wording.warnings import warnings

_MOST = 2  # warnings that there is room for, the gravest


def one_page(found: Assessment, run: Run, stretch: str, system: System) -> bytes:
    """The sheet as PDF, of an assessment and the spell ``run`` that the picture plays.

    Raises NoPaper where this installation cannot make sheets of paper.
    """
    return sheets(one_page_html(found, run, stretch, system), system)


def one_page_html(found: Assessment, run: Run, stretch: str, system: System) -> str:
    """The sheet as HTML."""
    scenario, units = found.scenario, units_of(system)
    spell = [Named(f"Spell {run.seed + 1}", run)]
    bars = [Bar(part.key, local(part.name, system), part.utilisation, None) for part in found.states]
    drawings = (
        from_above(spell, units.length),
        against_time(run, units, system),
        from_the_side(spell, units.length),
        utilisation(bars, ("as it is",)),
    )
    return markup.page(
        "report/one_page.html",
        title=scenario.title,
        entries=[f"{name}: {said(scenario, system)}" for name, said in HEADLINES.items()],
        outcome=glance.outcome(found, stretch, system),
        figures=glance.figures(found, system),
        warnings=warnings(found, system)[:_MOST],
        drawings=drawings,
        cautions=STANDING,
        style=style_sheet("one_page.css"),
    )


def against_time(run: Run, units: Units, system: System) -> Drawing:
    """The load at the bow and the wind through a spell, one panel each."""
    track, minutes = run.si, run.si.time * units.time.factor
    rows: Sequence[tuple[np.ndarray, str, str, float]] = (
        (track.bow_load, LOOK.load, f"load at the bow ({units.force.label})", units.force.factor),
        (track.wind_speed, LOOK.wind, f"wind ({units.speed.label})", units.speed.factor),
    )
    with style():
        sheet = Figure(figsize=(WIDTH, 3.4), layout="constrained")
        panels = sheet.subplots(2, 1, sharex=True, height_ratios=(3, 2))
        for panel, (values, colour, label, factor) in zip(panels, rows, strict=True):
            plain(panel)
            panel.plot(minutes, values * factor, color=colour, linewidth=0.8)
            panel.set_ylabel(label, fontsize=SMALL)
            panel.set(ylim=(0, None), xlim=(minutes[0], minutes[-1]))
            panel.grid(color=LOOK.grid, linewidth=0.6)
        panels[-1].set_xlabel(f"time ({units.time.label})")
        words = f"Peak load at the bow {force(run.si.peak_load, system)}."
        return drawing(sheet, "Load and wind", words)
