"""Boxes of widgets, each of a class by which the style sheet finds it, and buttons."""

from __future__ import annotations

from collections.abc import Sequence

import ipywidgets as widgets


def box(name: str, children: Sequence[widgets.Widget] = ()) -> widgets.Box:
    """A box of the class ``name``."""
    found = widgets.Box(list(children))
    found.add_class(name)
    return found


def button(label: str, tooltip: str) -> widgets.Button:
    """A button with its words and more of them."""
    return widgets.Button(description=label, tooltip=tooltip)
