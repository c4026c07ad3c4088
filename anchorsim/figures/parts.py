"""The load on each part: its peak against its WLL and the strength that is left of it."""

from __future__ import annotations

import numpy as np
import plotly.graph_objects as go

from anchorsim.figures.scene import BREAKS, Part, Scene
from anchorsim.figures.style import METRIC, SMALL, Theme, Units, axis, figure, label, theme, whiskers

_EDGE = {"xref": "paper", "x": 1, "xanchor": "right"}
_LONGEST = 200.0  # per cent of the WLL that the axis goes up to


def utilisation(
    now: Scene,
    before: Scene | None = None,
    *,
    units: Units = METRIC,
    look: Theme | None = None,
    still: float | None = None,
) -> go.Figure:
    """One bar a part, from anchor to bow, in per cent of its WLL, with its range over spells.

    Parts of the scene before are laid beside those of the same name.  The needles that show the load now are
    left to the player, or drawn at the time ``still`` (s) for a printed page.
    """
    look = look or theme()
    parts, rows = now.parts, np.arange(len(now.parts), dtype=np.float64)
    top = _top(parts)

    view = figure(
        look,
        "Load on each part",
        "needle: load now" + (", dashed: before" if before else ""),
        xaxis=axis(look, "peak load (% of WLL)", range=[0, top], ticksuffix=" %"),
        yaxis=axis(
            look, "", range=[len(parts) - 0.35, -0.95], showticklabels=False, ticks="", showgrid=False
        ),
        shapes=[_wll(look), *_needles(now, still, look)],
        annotations=[
            label(look, "WLL", x=100, y=-0.95, yanchor="top"),
            *([label(look, "strength left", y=-0.95, yanchor="top", **_EDGE)] if parts else []),
            *(text for row, part in enumerate(parts) for text in _words(part, row, top, look)),
        ],
        bargap=0.0,
        barmode="overlay",
    )
    peaks = np.array([percent(part, part.peak.likely) for part in parts])
    breaks = np.array([percent(part, part.strength_left) for part in parts])
    view.add_traces(
        [
            _bars(parts, rows, peaks, look, units),
            _before(parts, before, look),
            go.Scatter(
                name="strength left",
                x=breaks,
                y=rows + 0.2,
                mode="markers",
                marker={"symbol": "x-thin", "size": 9, "line": {"width": 2, "color": look.ink}},
                text=[part.failure for part in parts],
                hovertemplate="%{text} at %{x:.0f} %<extra></extra>",
            ),
        ]
    )
    return view


def percent(part: Part, load: float) -> float:
    """A load on a part as per cent of its WLL."""
    return 100 * load / part.wll


def _top(parts: tuple[Part, ...]) -> float:
    highest = max((percent(part, part.peak.high) for part in parts), default=100.0)
    strength_left = max((percent(part, part.strength_left) for part in parts), default=100.0)
    return max(125.0, 1.08 * highest, min(1.05 * strength_left, _LONGEST))


def _bars(parts: tuple[Part, ...], rows: np.ndarray, peaks: np.ndarray, look: Theme, units: Units) -> go.Bar:
    over = [peak > 100 for peak in peaks]
    ends = [percent(p, p.peak.low) for p in parts], [percent(p, p.peak.high) for p in parts]
    return go.Bar(
        name="peak load",
        orientation="h",
        x=peaks,
        y=rows + 0.2,
        width=0.34,
        marker={
            "color": [look.limit if part.weakest else look.load for part in parts],
            "line": {"color": look.ink, "width": 0.5},
            "pattern": {
                "shape": ["/" if far else "" for far in over],
                "solidity": 0.35,
                "fgcolor": look.paper,
            },
        },
        error_x=whiskers(look.ink, list(peaks), *ends),
        customdata=[f"{units.force.text(p.peak.likely)} of {units.force.text(p.wll)}" for p in parts],
        hovertemplate="%{customdata} (%{x:.0f} %)<extra></extra>",
    )


def _before(parts: tuple[Part, ...], before: Scene | None, look: Theme) -> go.Scatter:
    """A dashed box round where the bar of the same part ended before."""
    earlier = {part.name: part for part in before.parts} if before else {}
    x: list[float | None] = []
    y: list[float | None] = []
    for row, part in enumerate(parts):
        if part.name in earlier:
            end = percent(earlier[part.name], earlier[part.name].peak.likely)
            x += [0.0, end, end, 0.0, None]
            y += [row - 0.04, row - 0.04, row + 0.44, row + 0.44, None]
    line = {"color": look.before, "width": 1.5, "dash": "dash"}
    return go.Scatter(
        name="before", x=x, y=y, mode="lines", line=line, hovertemplate="before: %{x:.0f} %<extra></extra>"
    )


def _wll(look: Theme) -> dict[str, object]:
    line = {"color": look.ink, "width": 1.5, "dash": "longdashdot"}
    return {"type": "line", "x0": 100, "x1": 100, "yref": "paper", "y0": 0, "y1": 1, "line": line}


def _needles(now: Scene, still: float | None, look: Theme) -> list[dict[str, object]]:
    if still is None:
        return []
    at = int(np.argmin(np.abs(now.track.time - still)))
    loads = {"bow": float(now.track.bow_load[at]), "anchor": float(now.track.anchor_load[at])}
    line = {"color": look.ink, "width": 3}
    return [
        {"type": "line", "x0": level, "x1": level, "y0": row - 0.02, "y1": row + 0.42, "line": line}
        for row, part in enumerate(now.parts)
        for level in [percent(part, loads[part.at] * part.share)]
    ]


def _words(part: Part, row: int, top: float, look: Theme) -> list[dict[str, object]]:
    likely, high, strength_left = (
        percent(part, v) for v in (part.peak.likely, part.peak.high, part.strength_left)
    )
    name = f"<b>{part.name}</b>" if part.weakest else part.name
    fails = "" if part.failure == BREAKS else f"{part.failure} at "
    ends = f"{fails}{strength_left:.0f} %{' →' if strength_left > top else ''}"
    bare = {"bgcolor": "rgba(0,0,0,0)", "yanchor": "middle"}
    quiet = {"size": SMALL, "color": look.faint}
    past = {"x": high, "xanchor": "left", "xshift": 6} if high < 0.85 * top else _EDGE
    return [
        label(look, name, x=0, xanchor="left", y=row - 0.22, **bare),
        label(look, f"<b>{likely:.0f} %</b>", y=row + 0.2, yanchor="middle", **past),
        label(
            look,
            f"<b>weakest</b> {ends}" if part.weakest else ends,
            y=row - 0.22,
            **_EDGE,
            **{**bare, "font": quiet},
        ),
    ]
