"""The widgets of which the pages of comparison and night are made, each with its script beside it."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import anywidget
import traitlets

_HERE = Path(__file__)


class DecisionBanner(anywidget.AnyWidget):
    """The decision: ``headline``, ``more``, ``foot``, ``cautions`` as [signal, text], and ``tone``."""

    _esm = _HERE.with_name("decision.js")
    _css = _HERE.with_name("planning.css")

    headline = traitlets.Unicode().tag(sync=True)
    more = traitlets.Unicode().tag(sync=True)
    foot = traitlets.Unicode().tag(sync=True)
    tone = traitlets.Unicode("none").tag(sync=True)
    cautions: traitlets.List[Any] = traitlets.List().tag(sync=True)


class SetUpLanes(anywidget.AnyWidget):
    """Set-ups with their figures as bars.

    ``axes``: each title, top (what its right end is) and limit (share of the axis, or None).
    ``set_ups``: each letter, name, gist, colour, dash, word, tone, problem, whether it is kept, on screen
    (here) and could be kept (free), and bars: each value, note, tone, and low, likely and high as shares of
    the axis.  Sends ``{"do", "letter"}``, do being show, remove, keep or rename (with ``name``).
    """

    _esm = _HERE.with_name("set_ups.js")

    axes: traitlets.List[Any] = traitlets.List().tag(sync=True)
    set_ups: traitlets.List[Any] = traitlets.List().tag(sync=True)


class HourScrubber(anywidget.AnyWidget):
    """Steps through hours: their ``names``, ``lines`` of words, whether each can be opened (``afloat``), and
    which is looked at (``value``).  Sends ``{"do": "open", "hour": place}``.
    """

    _esm = _HERE.with_name("hours.js")

    names: traitlets.List[Any] = traitlets.List().tag(sync=True)
    lines: traitlets.List[Any] = traitlets.List().tag(sync=True)
    afloat: traitlets.List[Any] = traitlets.List().tag(sync=True)
    value = traitlets.Int(0).tag(sync=True)
