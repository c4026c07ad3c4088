"""What the explorer says in words, as HTML with everything a person typed escaped."""

from __future__ import annotations

import math
from html import escape

from anchorsim.core.units import System, quantity, show
from anchorsim.risk.verdict import STANDING_CAUTIONS, Verdict

PROOFS = (
    "how_we_know.ipynb"  # lies beside the explorer's notebook, so that the page's own address leads to it
)


def heading(outcome: str, sentence: str) -> str:
    """The verdict on top: its gist, then the sentence."""
    return f'<p class="anchorsim-verdict" role="status"><b>{escape(outcome)}.</b> {escape(sentence)}</p>'


def problem(error: Exception) -> str:
    """What cannot be, and what to do; the picture stays that of the last scenario that could."""
    lines = "<br>".join(escape(line) for line in str(error).splitlines())
    return f'<p class="anchorsim-problem" role="alert"><b>Not possible:</b> {lines}</p>'


def remarks(verdict: Verdict, system: System) -> str:
    """The warnings of this case, and notes on how it was computed."""
    lines = [f"<li><b>{escape(warning)}</b></li>" for warning in verdict.warnings]
    lines += [f"<li>{escape(note)}</li>" for note in verdict.notes(system)]
    return f'<ul class="anchorsim-notes">{"".join(lines)}</ul>' if lines else ""


def standing_cautions() -> str:
    """The cautions that always stand, and where the figures are proved."""
    lines = [f"<li>{escape(caution)}</li>" for caution in STANDING_CAUTIONS]
    lines.append(f'<li><a href="{PROOFS}" target="_blank" rel="opener">How we know</a></li>')
    return f'<ul class="anchorsim-notes">{"".join(lines)}</ul>'


def comparison(before: Verdict, now: Verdict, system: System) -> str:
    """A small table of before and now."""
    names = ("", "Outcome", "Greatest load at the bow", "Greatest lift at the anchor", "Room needed")
    lines = [
        _line("td", (name, *_facts(found, system))) for name, found in (("Before", before), ("Now", now))
    ]
    return f"<table class=anchorsim-compared>{_line('th', names)}{''.join(lines)}</table>"


def _facts(verdict: Verdict, system: System) -> tuple[str, ...]:
    peak = verdict.peak
    middle, low, high = (show(quantity(v, "N"), "kN", system, 2) for v in (peak.likely, peak.low, peak.high))
    return (
        verdict.outcome,
        f"{middle} ({low.split()[0]} to {high.split()[0]})",
        f"{math.degrees(verdict.uplift.likely):.0f}°",
        show(quantity(verdict.room.high, "m"), "m", system, 2),
    )


def _line(kind: str, cells: tuple[str, ...]) -> str:
    return "<tr>" + "".join(f"<{kind}>{escape(cell)}</{kind}>" for cell in cells) + "</tr>"
