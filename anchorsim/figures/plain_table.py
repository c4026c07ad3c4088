"""A small table of figures for a notebook."""

from __future__ import annotations

from collections.abc import Sequence

from anchorsim.core.markup import macros
from anchorsim.figures.checks import Table


def plain_table(heads: Sequence[str], rows: Sequence[Sequence[str]]) -> Table:
    """Rows of text under their heads: the first column to the left, the others, which are figures, right."""
    text = "\n".join("  ".join(row) for row in [heads, *rows])
    return Table(text, macros("figures/tables.html").plain_table(heads, rows))
