"""How results show themselves: in one line, as a small table in a notebook, in a sentence, as a picture.

Sentences and pictures are in rooms above the results, so they are asked for by name when somebody looks.
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Sequence
from importlib import import_module
from typing import Any

from anchorsim.core.markup import macros
from anchorsim.core.units import System

_WORDS, _PICTURES = "anchorsim.wording.results", "anchorsim.figures.results"
_LONGEST = 120  # characters of a line
Facts = Sequence[tuple[str, str]]  # what each is called, and what it is, with its unit


def line(title: str, facts: Facts) -> str:
    """One line of at most 120 characters, as a ``repr``; what is longer ends in dots.

    >>> line("Waves", [("height", "0.6 m"), ("period", "2.5 s")])
    '<Waves: height 0.6 m, period 2.5 s>'
    """
    said = " ".join(f"{title}: {', '.join(f'{name} {value}' for name, value in facts)}".split())
    return f"<{said}>" if len(said) <= _LONGEST - 2 else f"<{said[: _LONGEST - 3].rstrip()}…>"


def table(title: str, facts: Facts) -> str:
    """A small HTML table with a caption; whatever a person wrote is escaped.

    >>> table("Waves", [("height", "0.6 m")])
    '<table><caption>Waves</caption><tr><th>height</th><td>0.6 m</td></tr></table>'
    """
    return str(macros("core/display.html").table(title, facts))


class Tabled(ABC):
    """A value that shows its facts: in one line, and as a small table in a notebook."""

    __slots__ = ()

    @abstractmethod
    def _facts(self) -> Facts: ...

    def _title(self) -> str:
        return type(self).__name__

    def __repr__(self) -> str:
        return line(self._title(), self._facts())

    def _repr_html_(self) -> str:
        return table(self._title(), self._facts())


class Said:
    """A result that is told in a sentence, and shows that and its figures in a notebook."""

    def sentence(self, system: System = "metric") -> str:
        """What it comes to, in plain words with amounts in a unit system."""
        return str(import_module(_WORDS).sentence(self, system))

    def _repr_html_(self) -> str:
        return str(import_module(_WORDS).as_html(self))


class Drawn:
    """A result that has a picture."""

    def figure(self) -> Any:
        """A plotly figure of it."""
        return import_module(_PICTURES).figure(self)
