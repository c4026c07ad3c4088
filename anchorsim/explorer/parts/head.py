"""The head of the screen: what is shown, the pages, and what can be done with the whole."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import anywidget
import traitlets


class Head(anywidget.AnyWidget):
    """Title, pages as tabs, and buttons.

    ``pages`` and ``actions`` are lists of [key, label, help, whether it can be pressed]; the page that is
    open is ``page``, also put on the screen as ``data-page``.  A button pressed, or its keys (Ctrl+Z,
    Ctrl+Shift+Z), sends ``{"do": key}``.  The action ``present`` turns ``presenting`` over, which
    puts the class ``anchorsim-presenting`` on the screen.
    """

    _esm = Path(__file__).with_name("head.js")

    title = traitlets.Unicode().tag(sync=True)
    note = traitlets.Unicode().tag(sync=True)
    pages: traitlets.List[Any] = traitlets.List().tag(sync=True)
    page = traitlets.Unicode().tag(sync=True)
    actions: traitlets.List[Any] = traitlets.List().tag(sync=True)
    presenting = traitlets.Bool(False).tag(sync=True)
