"""Answers as cards in columns, as a widget: each with one line, a picture of bars, and what can be done."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import anywidget
import traitlets


class Cards(anywidget.AnyWidget):
    """``sections``: each title, note, cards (as ``wording.odds_cards.Card`` in plain values), and asks.

    ``asks``: buttons of a section, each [key, label, help].  ``tried``: the key of the card whose change is
    on screen.  ``busy``: what is being calculated, empty where nothing is, and ``done``: its share.  A button
    sends ``{"do": "try" | "undo" | "ask", "key"}``.
    """

    _esm = Path(__file__).with_name("cards.js")

    sections: traitlets.List[Any] = traitlets.List().tag(sync=True)
    tried = traitlets.Unicode().tag(sync=True)
    age = traitlets.Unicode().tag(sync=True)
    busy = traitlets.Unicode().tag(sync=True)
    done = traitlets.Float(0.0).tag(sync=True)
    words = traitlets.Dict().tag(sync=True)
