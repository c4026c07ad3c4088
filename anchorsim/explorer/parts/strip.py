"""The strip that tells what it comes to: the outcome, four figures with their ranges, and the warnings."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import anywidget
import traitlets


class Strip(anywidget.AnyWidget):
    """One height, whatever it says: warnings and explanations unfold over what is beneath.

    ``outcome``: word, sentence, of (what it was counted from) and tone, one of ok, warn, bad and none.
    ``figures``: each title, value, note, tone, use (share of a limit, or None) and why, a list of lines that
    tell how it comes about.  ``warnings`` and ``notes``: lines, warnings as [signal word, text].
    """

    _esm = Path(__file__).with_name("strip.js")

    outcome = traitlets.Dict().tag(sync=True)
    figures: traitlets.List[Any] = traitlets.List().tag(sync=True)
    warnings: traitlets.List[Any] = traitlets.List().tag(sync=True)
    notes: traitlets.List[Any] = traitlets.List().tag(sync=True)
    problem = traitlets.Unicode().tag(sync=True)
    busy = traitlets.Bool(False).tag(sync=True)
