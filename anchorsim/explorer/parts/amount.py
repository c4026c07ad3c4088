"""A quantity that a person sets, as a widget: slider, number and unit in one row."""

from __future__ import annotations

from pathlib import Path

import anywidget
import traitlets


class Amount(anywidget.AnyWidget):
    """``value`` in ``unit``; the slider runs from ``low`` to ``high`` and moves on whole ``step``s.

    ``blank`` says what it stands for when it is left blank, and ``value`` is then None; without that it
    always holds a value.
    """

    _esm = Path(__file__).with_name("amount.js")

    label = traitlets.Unicode().tag(sync=True)
    unit = traitlets.Unicode().tag(sync=True)
    help = traitlets.Unicode().tag(sync=True)
    blank = traitlets.Unicode().tag(sync=True)
    value = traitlets.Float(0.0, allow_none=True).tag(sync=True)
    low = traitlets.Float(0.0).tag(sync=True)
    high = traitlets.Float(1.0).tag(sync=True)
    step = traitlets.Float(1.0).tag(sync=True)
