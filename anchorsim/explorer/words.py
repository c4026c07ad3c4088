"""What the explorer says in words, as HTML with everything a person typed escaped."""

from __future__ import annotations

import math
from html import escape

from anchorsim.units import System, quantity, show
from anchorsim.verdict import STANDING_CAUTIONS, Range, Verdict


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
    """The cautions that always stand."""
    lines = "".join(f"<li>{escape(caution)}</li>" for caution in STANDING_CAUTIONS)
    return f'<ul class="anchorsim-notes">{lines}</ul>'


def comparison(before: Verdict, now: Verdict, system: System) -> str:
    """A small table of before and now."""
    rows = [
        ("Outcome", before.outcome, now.outcome),
        ("Greatest load at the bow", *(_force(v.peak, system) for v in (before, now))),
        ("Greatest lift at the anchor", *(f"{math.degrees(v.lift.middle):.0f}°" for v in (before, now))),
        ("Room needed", *(show(quantity(v.room.high, "m"), "m", system, 2) for v in (before, now))),
    ]
    cells = "".join(f"<tr><th scope=row>{escape(n)}</th><td>{escape(b)}</td><td>{escape(a)}</td></tr>" for n, b, a in rows)
    return f"<table class=anchorsim-compared><tr><td></td><th scope=col>Before</th><th scope=col>Now</th></tr>{cells}</table>"


def _force(span: Range, system: System) -> str:
    middle, low, high = (show(quantity(value, "N"), "kN", system, 2) for value in (span.middle, span.low, span.high))
    return f"{middle} ({low.split()[0]} to {high.split()[0]})"
