"""What the explorer says in words, as HTML with everything a person typed escaped."""

from __future__ import annotations

from pathlib import Path

from anchorsim.core.markup import macros, trusted
from anchorsim.core.units import System
from anchorsim.risk.assessment import Assessment
from anchorsim.wording import amounts
from anchorsim.wording import assessment as wording
from anchorsim.wording.warnings import warnings

_WORDS = "explorer/words.html"
PROOFS = (
    "how_we_know.ipynb"  # lies beside the explorer's notebook, so that the page's own address leads to it
)


def plain(text: str) -> str:
    """Text as it is, without a paragraph of its own."""
    return macros(_WORDS).plain(text)


def paragraph(text: str, kind: str = "") -> str:
    """A paragraph, of the class ``anchorsim-kind`` where a kind is given."""
    return macros(_WORDS).paragraph(text, kind)


def title(text: str) -> str:
    """The title over a group of controls."""
    return macros(_WORDS).title(text)


def style(*sheets: Path) -> str:
    """Our style sheets, for the page."""
    return macros(_WORDS).style(trusted("".join(sheet.read_text(encoding="utf-8") for sheet in sheets)))


def heading(gist: str, sentence: str) -> str:
    """The outcome on top: its gist, then the sentence."""
    return macros(_WORDS).heading(gist, sentence)


def problem(error: Exception) -> str:
    """What is wrong, and what to do; the picture stays that of the last scenario that was valid."""
    return macros(_WORDS).problem(str(error).splitlines())


def remarks(found: Assessment, system: System) -> str:
    """The warnings of this case, and notes on how it was calculated."""
    warned, notes = list(warnings(found, system)), list(wording.notes(found, system))
    return macros(_WORDS).remarks(warned, notes) if warned or notes else ""


def standing_cautions() -> str:
    """The cautions that always hold, and where the figures are proved."""
    return macros(_WORDS).standing_cautions(wording.STANDING, PROOFS)


def comparison(before: Assessment, now: Assessment, system: System) -> str:
    """A small table of before and now."""
    heads = ("", "Outcome", "Peak load at the bow", "Peak uplift", "Swinging radius")
    rows = [(name, *_facts(found, system)) for name, found in (("Before", before), ("Now", now))]
    return macros("wording/results.html").table(heads, rows)


def _facts(found: Assessment, system: System) -> tuple[str, ...]:
    return (
        wording.gist(found),
        str(amounts.span(found.peak_load, system)),
        amounts.angle(found.uplift.likely),
        str(amounts.lengths(found.radius, system)),
    )
