"""Results that show themselves: a sentence, a small table in a notebook, a picture.

Words and pictures are rooms above the results, so they are asked for by name when somebody looks.
"""

from __future__ import annotations

from importlib import import_module
from typing import Any

from anchorsim.core.units import System

_WORDS, _PICTURES = "anchorsim.wording.results", "anchorsim.figures.results"


class Said:
    """A result that is told in a sentence, and shows that and its figures in a notebook."""

    def sentence(self, system: System = "metric") -> str:
        """What it comes to, in plain words with amounts in a unit system."""
        return str(import_module(_WORDS).sentence(self, system))

    def _repr_html_(self) -> str:
        return str(import_module(_WORDS).as_html(self))


class Drawn(Said):
    """A result that has a picture too."""

    def figure(self) -> Any:
        """A plotly figure of it."""
        return import_module(_PICTURES).figure(self)
