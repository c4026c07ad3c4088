"""What the explorer says in words, as HTML with everything a person typed escaped."""

from __future__ import annotations

from html import escape

from anchorsim.core.units import System
from anchorsim.risk.assessment import Assessment
from anchorsim.wording import amounts
from anchorsim.wording import assessment as wording
from anchorsim.wording.warnings import warnings

PROOFS = (
    "how_we_know.ipynb"  # lies beside the explorer's notebook, so that the page's own address leads to it
)


def heading(gist: str, sentence: str) -> str:
    """The outcome on top: its gist, then the sentence."""
    return f'<p class="anchorsim-verdict" role="status"><b>{escape(gist)}.</b> {escape(sentence)}</p>'


def problem(error: Exception) -> str:
    """What is wrong, and what to do; the picture stays that of the last scenario that was valid."""
    lines = "<br>".join(escape(line) for line in str(error).splitlines())
    return (
        f'<p class="anchorsim-problem" role="alert"><b>Check your entries:</b> {lines}<br>'
        "The pictures still show the last valid set-up.</p>"
    )


def remarks(found: Assessment, system: System) -> str:
    """The warnings of this case, and notes on how it was calculated."""
    lines = [f"<li><b>{escape(str(warning))}</b></li>" for warning in warnings(found, system)]
    lines += [f"<li>{escape(note)}</li>" for note in wording.notes(found, system)]
    return f'<ul class="anchorsim-notes">{"".join(lines)}</ul>' if lines else ""


def standing_cautions() -> str:
    """The cautions that always hold, and where the figures are proved."""
    lines = [f"<li>{escape(str(caution))}</li>" for caution in wording.STANDING]
    lines.append(f'<li><a href="{PROOFS}" target="_blank" rel="opener">How we know</a></li>')
    return f'<ul class="anchorsim-notes">{"".join(lines)}</ul>'


def comparison(before: Assessment, now: Assessment, system: System) -> str:
    """A small table of before and now."""
    names = ("", "Outcome", "Peak load at the bow", "Peak uplift", "Swinging radius")
    lines = [
        _line("td", (name, *_facts(found, system))) for name, found in (("Before", before), ("Now", now))
    ]
    return f"<table class=anchorsim-compared>{_line('th', names)}{''.join(lines)}</table>"


def _facts(found: Assessment, system: System) -> tuple[str, ...]:
    return (
        wording.gist(found),
        str(amounts.span(found.peak_load, system)),
        amounts.angle(found.uplift.likely),
        str(amounts.lengths(found.radius, system)),
    )


def _line(kind: str, cells: tuple[str, ...]) -> str:
    return "<tr>" + "".join(f"<{kind}>{escape(cell)}</{kind}>" for cell in cells) + "</tr>"
