"""How the views look: two themes, display units, and the empty figure every view starts from.

Colours are from M. Okabe and K. Ito, "Color Universal Design" (2008), also printed in B. Wong, "Points of
view: Color blindness", Nature Methods 8, 441 (2011): a palette open to all and told apart by people with any
common colour vision.  The greys, the water and the bottom are our own.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from html import escape
from typing import Any

import plotly.graph_objects as go

from anchorsim.core.units import System, quantity, unit_in

_BLUE, _SKY, _GREEN = "#0072B2", "#56B4E9", "#009E73"  # Okabe & Ito
_ORANGE, _VERMILLION, _PURPLE = "#E69F00", "#D55E00", "#CC79A7"  # Okabe & Ito

FONT = "system-ui, 'Segoe UI', 'Noto Sans', 'DejaVu Sans', Arial, sans-serif"
SMALL, NORMAL, LARGE = 12, 13, 15  # px; nothing on screen is smaller than the first

CONFIG: dict[str, Any] = {
    "displaylogo": False,
    "modeBarButtons": [["zoom2d", "pan2d", "resetScale2d"]],  # nothing that leaves the machine
    "responsive": True,
    "doubleClick": "reset",
}


@dataclass(frozen=True)
class Unit:
    """A display unit: ``shown = SI value × factor``, written with ``label``."""

    label: str
    factor: float

    def text(self, value: float, digits: int = 2) -> str:
        """An SI value as a label says it: two digits where it is small, whole numbers where it is large."""
        shown = value * self.factor
        return f"{float(f'{shown:.{digits}g}'):,g} {self.label}"


@dataclass(frozen=True)
class Units:
    """The display units of a whole set of views."""

    length: Unit
    force: Unit
    speed: Unit
    time: Unit


@dataclass(frozen=True)
class Theme:
    """Colours by what they stand for.  ``dark`` tells which of the two this is."""

    dark: bool
    paper: str
    ink: str
    faint: str
    grid: str
    water: str
    bottom: str
    hull: str
    load: str
    holding: str
    limit: str
    wind: str
    room: str
    danger: str
    before: str


_LIGHT = Theme(
    dark=False,
    paper="#FFFFFF",
    ink="#1B2A38",
    faint="#586876",
    grid="#D3DDE4",
    water="#DCEAF2",
    bottom="#D9CBAE",
    hull="#FFFFFF",
    load=_BLUE,
    holding=_GREEN,
    limit=_VERMILLION,
    wind=_PURPLE,
    room=_ORANGE,
    danger=_VERMILLION,
    before="#6D7B87",
)
_DARK = Theme(
    dark=True,
    paper="#11181E",
    ink="#E8EEF2",
    faint="#A3B1BC",
    grid="#2C3A45",
    water="#16262F",
    bottom="#4B4230",
    hull="#31434F",
    load=_SKY,
    holding=_GREEN,
    limit=_VERMILLION,
    wind=_PURPLE,
    room=_ORANGE,
    danger=_VERMILLION,
    before="#93A1AC",
)


def theme(dark: bool = False) -> Theme:
    """The dark theme or the light one."""
    return _DARK if dark else _LIGHT


def units_of(system: System) -> Units:
    """The display units of a unit system; wind is in knots in both, as forecasts give it.

    >>> units_of("US").length.text(8.0)
    '26 ft'
    """

    def unit(metric: str, base: str) -> Unit:
        label = unit_in(metric, system)
        return Unit(label, float(quantity(1.0, base).m_as(label)))

    knots = float(quantity(1.0, "m/s").m_as("knot"))
    return Units(
        length=unit("m", "m"), force=unit("kN", "N"), speed=Unit("kn", knots), time=Unit("min", 1 / 60)
    )


METRIC = units_of("metric")


def tint(colour: str, opacity: float) -> str:
    """A palette colour ``#rrggbb`` with an opacity, as CSS."""
    red, green, blue = (int(colour[i : i + 2], 16) for i in (1, 3, 5))
    return f"rgba({red},{green},{blue},{opacity:g})"


def axis(look: Theme, title: str, **more: Any) -> dict[str, Any]:
    """One axis in the common style."""
    return {
        "title": {"text": title, "font": {"size": NORMAL}, "standoff": 6},
        "tickfont": {"size": SMALL},
        "gridcolor": look.grid,
        "linecolor": look.faint,
        "tickcolor": look.faint,
        "ticks": "outside",
        "ticklen": 4,
        "showline": True,
        "mirror": True,
        "zeroline": False,
        "automargin": True,
        **more,
    }


def figure(look: Theme, title: str, key: str, **layout: Any) -> go.Figure:
    """An empty view with its title, and the ``key`` to its lines in words, in the common style."""
    words = f"<b>{plain(title)}</b>" + (f'  <span style="font-size:{SMALL}px">{key}</span>' if key else "")
    return go.Figure(
        layout={
            "template": go.layout.Template(),
            "title": {
                "text": words,
                "x": 0.01,
                "y": 0.985,
                "yanchor": "top",
                "font": {"size": LARGE},
            },
            "font": {"family": FONT, "size": NORMAL, "color": look.ink},
            "paper_bgcolor": look.paper,
            "plot_bgcolor": look.paper,
            "margin": {"l": 52, "r": 14, "t": 34, "b": 44},
            "showlegend": False,
            "hovermode": "closest",
            "dragmode": False,
            "autosize": True,
            "modebar": {"bgcolor": "rgba(0,0,0,0)", "color": look.faint, "activecolor": look.ink},
            **layout,
        }
    )


def whiskers(
    colour: str, values: Sequence[float], lows: Sequence[float], highs: Sequence[float], width: int = 5
) -> dict[str, Any]:
    """The bands of a trace's values; an end that is infinite has no length, and wants a word beside it."""

    def reach(ends: Sequence[float]) -> list[float]:
        return [
            abs(end - value) if math.isfinite(end) else 0.0 for value, end in zip(values, ends, strict=True)
        ]

    return {
        "type": "data",
        "symmetric": False,
        "array": reach(highs),
        "arrayminus": reach(lows),
        "color": colour,
        "thickness": 1.5,
        "width": width,
    }


def plain(text: str) -> str:
    """What a person wrote, for any text of a figure: plotly takes ``<b>`` and ``&lt;`` there for markup.

    It reads ``&amp;``, ``&lt;``, ``&gt;`` and numbered characters once, but no ``&quot;`` (its function
    ``convertEntities``); before that it takes what is between dollar signs for a formula.  In a hover
    template it stands as ``customdata``, for the template itself reads ``%{x}``.

    >>> plain("<b>Rock</b> & shoal, $5")
    '&lt;b&gt;Rock&lt;/b&gt; &amp; shoal, &#36;5'
    """
    return escape(text, quote=False).replace("$", "&#36;")


def label(look: Theme, text: str, **place: Any) -> dict[str, Any]:
    """A piece of writing on a view, on a ground that keeps it readable over lines."""
    return {
        "text": text,
        "showarrow": False,
        "font": {"size": SMALL, "color": look.ink},
        "bgcolor": tint(look.paper, 0.78),
        "borderpad": 2,
        **place,
    }
