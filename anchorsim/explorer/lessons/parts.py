"""The two columns of words of a lesson, as widgets: what is asked, and what is told."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import anywidget
import traitlets

_HERE = Path(__file__)


class Asked(anywidget.AnyWidget):
    """``lessons``: each [key, title] to choose from, none where there is one lesson only.  ``said``: key,
    number, title, question, predict (its heading), choices, boats (each letter, name, colour, dash), reveal
    (the button's words).  ``predicted``: the place of the choice, -1 for none.  ``revealed``: whether what
    happened is shown.  ``busy``: what is being done.

    Sends ``{"do": "lesson", "key"}``, ``{"do": "predict", "choice"}`` and ``{"do": "reveal"}``.
    """

    _esm = _HERE.with_name("asked.js")

    lessons: traitlets.List[Any] = traitlets.List().tag(sync=True)
    said: traitlets.Dict[str, Any] = traitlets.Dict().tag(sync=True)
    predicted = traitlets.Int(-1).tag(sync=True)
    revealed = traitlets.Bool(False).tag(sync=True)
    busy = traitlets.Unicode().tag(sync=True)


class Shown(anywidget.AnyWidget):
    """``said``: happened and outcome with the tone of the outcome, explained, table (heads, rows, foot), try
    (heading), tries (each key, label, said), answers (heading, lines), cautions (each signal, text), back,
    handout, phones, saved.  ``tried``: the key of what is tried.  ``busy``: what is being done.

    Sends ``{"do": "try", "key"}`` (an empty key goes back), ``{"do": "handout"}`` and ``{"do": "phones"}``.
    """

    _esm = _HERE.with_name("shown.js")

    said: traitlets.Dict[str, Any] = traitlets.Dict().tag(sync=True)
    tried = traitlets.Unicode().tag(sync=True)
    revealed = traitlets.Bool(False).tag(sync=True)
    busy = traitlets.Unicode().tag(sync=True)
