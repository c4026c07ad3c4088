"""How results show themselves: in one line where Python prints them, as a small table in a notebook."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape

Facts = Sequence[tuple[str, str]]  # what each is called, and what it is, with its unit


def line(title: str, facts: Facts) -> str:
    """One line, as a ``repr``.

    >>> line("Waves", [("height", "0.6 m"), ("period", "2.5 s")])
    '<Waves: height 0.6 m, period 2.5 s>'
    """
    return f"<{title}: {', '.join(f'{name} {value}' for name, value in facts)}>"


def table(title: str, facts: Facts) -> str:
    """A small HTML table with a caption; whatever a person wrote is escaped.

    >>> table("Waves", [("height", "0.6 m")])
    '<table><caption>Waves</caption><tr><th>height</th><td>0.6 m</td></tr></table>'
    """
    rows = "".join(f"<tr><th>{escape(name)}</th><td>{escape(value)}</td></tr>" for name, value in facts)
    return f"<table><caption>{escape(title)}</caption>{rows}</table>"
