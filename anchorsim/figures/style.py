"""How the views look: two themes, display units, and the empty figure every view starts from.

Colours are from M. Okabe and K. Ito, "Color Universal Design" (2008), also printed in B. Wong, "Points of
view: Color blindness", Nature Methods 8, 441 (2011): a palette open to all and told apart by people with any
common colour vision.  The greys, the water and the bottom are our own.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from html import escape
from typing import Any

import plotly.graph_objects as go

from anchorsim.core.units import System, quantity, unit_in

_BLUE, _SKY, _GREEN = "#0072B2", "#56B4E9", "#009E73"  # Okabe & Ito
_ORANGE, _VERMILLION, _PURPLE = "#E69F00", "#D55E00", "#CC79A7"  # Okabe & Ito

FONT = "system-ui, 'Segoe UI', 'Noto Sans', 'DejaVu Sans', Arial, sans-serif"
SMALL, LARGE = 12, 14  # px, times the scale; nothing on screen is smaller than the first

_AFAR = 3.0  # px
LETTERS, DASHES = "ABCD", ("solid", "dash", "dot", "dashdot")

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
    """Colours by what they stand for.  ``dark`` tells which of the two this is.

    ``setups`` are the colours of set-ups laid over each other, by letter.  ``scale`` enlarges text and lines
    where a picture is looked at from afar.
    """

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
    setups: tuple[str, str, str, str]
    scale: float = 1.0

    def text(self, size: float) -> int:
        """A size of type in px at this scale."""
        return math.ceil(size * self.scale)

    def stroke(self, width: float) -> float:
        """A width of line in px at this scale; from afar no line that tells something is under 3 px."""
        return width if self.scale == 1.0 else max(width * self.scale, _AFAR)


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
    setups=(_BLUE, _VERMILLION, _GREEN, _PURPLE),
)
_DARK = Theme(
    dark=True,
    paper="#17222A",
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
    setups=(_SKY, _VERMILLION, _GREEN, _PURPLE),
)


def theme(dark: bool = False) -> Theme:
    """The dark theme or the light one."""
    return _DARK if dark else _LIGHT


def enlarged(look: Theme | None, scale: float) -> Theme:
    """A theme (the light one where none is given) with type and lines ``scale`` times as large."""
    return replace(look or theme(), scale=scale)


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
        "title": {"text": title, "font": {"size": look.text(SMALL)}, "standoff": 6},
        "tickfont": {"size": look.text(SMALL)},
        "tickangle": 0,
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


def equal_scales(x: dict[str, Any], y: dict[str, Any]) -> dict[str, Any]:
    """Two axes with as many pixels to the metre."""
    return {"xaxis": x, "yaxis": {**y, "scaleanchor": "x", "scaleratio": 1}}


def lean(look: Theme, title: str, key: str, *, left: float = 40, **layout: Any) -> go.Figure:
    """A view with units beside its ticks and so no titles of axes: as much of it as can be is picture."""
    margin = {"l": left, "r": 8, "t": 26, "b": 24}
    view = figure(
        look, title, key, margin={side: width * look.scale for side, width in margin.items()}, **layout
    )
    # so that the plot does not move with its numbers, and none is cut off at the picture's edge
    view.update_xaxes(automargin=False, ticklabeloverflow="hide past div")
    return view


def figure(look: Theme, title: str, key: str, **layout: Any) -> go.Figure:
    """An empty view with its title, and the ``key`` to its lines in words, in the common style."""
    words = f"<b>{plain(title)}</b>" + (
        f'  <span style="font-size:{look.text(SMALL)}px">{key}</span>' if key else ""
    )
    return go.Figure(
        layout={
            "template": go.layout.Template(),
            "title": {
                "text": words,
                "x": 0.01,
                "y": 0.985,
                "yanchor": "top",
                "font": {"size": look.text(LARGE)},
            },
            "font": {"family": FONT, "size": look.text(SMALL), "color": look.ink},
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
    """A piece of writing on a view, on a ground that keeps it readable over lines.

    The player places them anew, those of the ``name`` "first" first, or leaves them where they are ("first
    here"), or leaves them out of a narrow view ("first wide").  What is only "printed" it says itself.
    """
    return {
        "name": "third",
        "text": text,
        "showarrow": False,
        "font": {"size": look.text(SMALL), "color": look.ink},
        "bgcolor": tint(look.paper, 0.78),
        "borderpad": 2,
        **place,
    }
