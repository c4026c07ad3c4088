"""The walk round the boat: the list of parts beside the page, and the buttons beneath it."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import anywidget
import traitlets


class Walk(anywidget.AnyWidget):
    """``steps`` are lists of [key, label, mark, what the mark means, tone]; ``step`` is the one that is open.

    ``done`` is whether the part that is open was looked at: "no", "yes", or "by fault" where something was
    found on it; empty where the step is no part.  ``shown`` is the step whose page is in place, at whose
    top the screen then stands.
    """

    _esm = Path(__file__).with_name("walk.js")

    steps: traitlets.List[Any] = traitlets.List().tag(sync=True)
    step = traitlets.Unicode().tag(sync=True)
    shown = traitlets.Unicode().tag(sync=True)
    done = traitlets.Unicode().tag(sync=True)
    saved = traitlets.Unicode().tag(sync=True)
    problem = traitlets.Unicode().tag(sync=True)
