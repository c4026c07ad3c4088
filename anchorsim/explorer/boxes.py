"""Boxes of widgets, each of a class by which the style sheet finds it."""

from __future__ import annotations

from collections.abc import Sequence

import ipywidgets as widgets


def box(name: str, children: Sequence[widgets.Widget] = ()) -> widgets.Box:
    """A box of the class ``name``."""
    found = widgets.Box(list(children))
    found.add_class(name)
    return found
