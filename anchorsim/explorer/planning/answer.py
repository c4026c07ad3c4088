"""What the questions of planning have in common: an answer as it is shown, and small widgets."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

import ipywidgets as widgets

from anchorsim.core.units import System
from anchorsim.figures import Theme
from anchorsim.risk.monte_carlo import Cancel, Progress


@dataclass(frozen=True)
class Answer:
    """An answer as it is shown: rows, a figure beneath them, and rows beneath that.

    ``of_screen``: whether it grows old when the scenario on screen changes.
    """

    rows: Sequence[widgets.Widget]
    figure: Any = None
    beneath: Sequence[widgets.Widget] = ()
    of_screen: bool = True


Answering = Callable[[System, Theme], Answer]
Work = Callable[[Progress, Cancel], Answering]


def words(html: str) -> Answering:
    """An answer of words alone, the same in all units."""
    return lambda *_: Answer([widgets.HTML(html)])


def button(label: str, tooltip: str) -> widgets.Button:
    """A button with its words and more of them."""
    return widgets.Button(description=label, tooltip=tooltip)
