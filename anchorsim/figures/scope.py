"""What more scope brings: peak load and uplift at the anchor against scope, rode by rode."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import plotly.graph_objects as go

from anchorsim.figures.style import METRIC, Theme, Units, axis, figure, plain, theme, tint, whiskers
from anchorsim.numerics.interval import Interval

DASHES = ("solid", "dash", "dot", "dashdot")
_ASIDE = 0.12  # of scope, so that no whisker hides another
MARKERS = ("circle", "square", "diamond", "cross")


@dataclass(frozen=True)
class Step:
    """What a scope comes to: peak load at the bow (N) and uplift at the anchor (degrees), with ranges."""

    scope: float
    load: Interval
    uplift: Interval


def against_scope(
    title: str,
    curves: Mapping[str, Sequence[Step]],
    published: float | None = None,
    *,
    units: Units = METRIC,
    look: Theme | None = None,
) -> go.Figure:
    """Two panels over one scope axis: load with its range on the left, uplift on the right.

    ``curves`` maps the name of a rode to its steps in rising scope; ``published`` is a load (N) to lay beside
    the computed ones.  Rodes differ by dash and marker as well as by colour.
    """
    look = look or theme()
    factor = units.force.factor
    view = figure(
        look,
        title,
        "median of the spells; whiskers: lowest and highest",
        height=380,
        xaxis=axis(look, "scope", domain=[0, 0.46], dtick=1),
        yaxis=axis(look, f"peak load at the bow ({units.force.label})", rangemode="tozero"),
        xaxis2=axis(look, "scope", domain=[0.56, 1], anchor="y2", dtick=1),
        yaxis2=axis(look, "uplift at the anchor (°)", rangemode="tozero", anchor="x2"),
        showlegend=True,
        legend={"orientation": "h", "x": 0, "y": -0.2, "yanchor": "top"},
    )
    colours = (look.load, look.limit, look.holding, look.wind)
    for place, (name, steps) in enumerate(curves.items()):
        colour, dash, marker = colours[place], DASHES[place], MARKERS[place]
        scopes = [step.scope + _ASIDE * (place - 1) for step in steps]
        style: dict[str, Any] = {
            "line": {"color": colour, "dash": dash, "width": 2},
            "marker": {"symbol": marker, "size": 8},
            "cliponaxis": False,
        }
        view.add_scatter(
            x=scopes,
            y=[step.load.likely * factor for step in steps],
            error_y=_whiskers([step.load for step in steps], factor, colour),
            name=plain(name),
            **style,
        )
        view.add_scatter(
            x=scopes,
            y=[step.uplift.likely for step in steps],
            error_y=_whiskers([step.uplift for step in steps], 1.0, colour),
            name=plain(name),
            showlegend=False,
            xaxis="x2",
            yaxis="y2",
            **style,
        )
    if published is not None:
        scopes = [step.scope for steps in curves.values() for step in steps]
        view.add_scatter(
            x=[min(scopes), max(scopes)],
            y=[published * factor] * 2,
            mode="lines",
            name="published design load for this length",
            line={"color": look.ink, "width": 1.5, "dash": "longdash"},
        )
    return view


def _whiskers(spans: Sequence[Interval], factor: float, colour: str) -> dict[str, object]:
    values, lows, highs = (
        [getattr(span, end) * factor for span in spans] for end in ("likely", "low", "high")
    )
    return whiskers(tint(colour, 0.5), values, lows, highs, width=4)
