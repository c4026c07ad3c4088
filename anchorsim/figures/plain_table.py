"""A small table of figures for a notebook."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape

from anchorsim.figures.checks import Table


def plain_table(heads: Sequence[str], rows: Sequence[Sequence[str]]) -> Table:
    """Rows of text under their heads: the first column to the left, the others, which are figures, right."""
    lines = [_line("th", heads), *(_line("td", row) for row in rows)]
    text = "\n".join("  ".join(row) for row in [heads, *rows])
    table = f"<table><thead>{lines[0]}</thead><tbody>{''.join(lines[1:])}</tbody></table>"
    return Table(text, f'<div class="anchorsim-checks" style="overflow-x:auto">{table}</div>')


def _line(kind: str, cells: Sequence[str]) -> str:
    sides = ("left", *("right" for _ in cells[1:]))
    return "<tr>" + "".join(
        f'<{kind} style="text-align:{side}">{escape(cell)}</{kind}>'
        for side, cell in zip(sides, cells, strict=True)
    ) + "</tr>"  # fmt: skip
