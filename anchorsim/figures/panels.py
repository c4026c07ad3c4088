"""Views of several panels side by side, with one key below: what the pictures of ``how_we_know`` share."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import plotly.graph_objects as go

from anchorsim.figures.style import SMALL, Theme, axis, figure

DASHES = ("solid", "dash", "dot", "dashdot")
MARKERS = (
    "circle", "square", "diamond", "cross", "triangle-up", "x", "star", "triangle-down",
)  # fmt: skip
_TICKS = [digit * 10.0**power for power in (-1, 0, 1, 2) for digit in (1, 2, 5)]
_GAP = 0.1  # of the width, between two panels
_YELLOW = "#F0E442"  # Okabe & Ito's


def colours(look: Theme) -> tuple[str, ...]:
    """Eight that are told apart with any common colour vision."""
    last = _YELLOW if look.dark else "#8A6D00"
    return (
        look.load, look.limit, look.holding, look.wind, look.room, look.ink, look.before, last,
    )  # fmt: skip


def panels(
    look: Theme,
    title: str,
    key: str,
    across: Sequence[dict[str, Any]],
    up: Sequence[dict[str, Any]],
    *,
    height: int = 420,
    legend_at: float = -0.22,
) -> go.Figure:
    """An empty view with a panel for each pair of axes; ``across`` and ``up`` are as ``axis`` gives them."""
    count = len(across)
    wide = (1.0 - _GAP * (count - 1)) / count
    layout: dict[str, Any] = {}
    for k, (one, other) in enumerate(zip(across, up, strict=True)):
        left, number = k * (wide + _GAP), str(k + 1) if k else ""
        layout[f"xaxis{number}"] = {**one, "domain": [left, min(left + wide, 1.0)], "anchor": f"y{number}"}
        layout[f"yaxis{number}"] = {**other, "anchor": f"x{number}"}
    return figure(
        look,
        title,
        key,
        height=height,
        showlegend=True,
        legend={"orientation": "h", "x": 0, "y": legend_at, "yanchor": "top", "font": {"size": SMALL}},
        margin={"l": 52, "r": 14, "t": 64 if count > 1 else 44, "b": 44},
        **layout,
    )


def head(look: Theme, text: str, panel: int) -> dict[str, Any]:
    """What one panel is of, above it."""
    number = str(panel + 1) if panel else ""
    return {
        "text": text,
        "showarrow": False,
        "xref": f"x{number} domain",
        "yref": f"y{number} domain",
        "x": 0,
        "y": 1.01,
        "xanchor": "left",
        "yanchor": "bottom",
        "font": {"size": SMALL, "color": look.ink},
    }


def on(panel: int) -> dict[str, str]:
    """Which axes a trace of a panel goes by."""
    number = str(panel + 1) if panel else ""
    return {"xaxis": f"x{number}", "yaxis": f"y{number}"}


def logarithmic(look: Theme, title: str, **more: Any) -> dict[str, Any]:
    """A logarithmic axis in the common style, with 1, 2 and 5 of each decade written out."""
    ticks = {"tickvals": _TICKS, "ticktext": [f"{value:g}" for value in _TICKS]}
    return axis(look, title, type="log", **{**ticks, **more})
