"""The view from the side: the rode's shape to scale between the bottom and the bow."""

from __future__ import annotations

import math

import numpy as np
import plotly.graph_objects as go

from anchorsim.figures.scene import Array, Scene
from anchorsim.figures.style import METRIC, SMALL, Theme, Units, axis, figure, label, theme, tint

_WORDS = 0.2  # of the height drawn, beneath the bottom, for the lines of words there
_LOOKED = 10.0  # times the picture: how far water and bottom reach, for who zooms out


def from_the_side(
    now: Scene,
    before: Scene | None = None,
    *,
    units: Units = METRIC,
    look: Theme | None = None,
    still: float | None = None,
) -> go.Figure:
    """Heights above the water and distances from the anchor on equal scales, in the plane of the rode.

    The rode at peak load is drawn faintly.  The boat and the rode as they are now are left to the
    player, or drawn as they are at the time ``still`` (s) for a printed page.
    """
    look = look or theme()
    scale = units.length.factor
    peak = int(np.argmax(now.track.bow_load))
    shown = None if still is None else int(np.argmin(np.abs(now.track.time - still)))
    across = _across(now, before)
    view = figure(
        look,
        "From the side",
        "to scale" + (", dashed: before" if before else ""),
        xaxis=axis(
            look, f"distance from the anchor ({units.length.label})", range=[end * scale for end in across]
        ),
        yaxis=axis(
            look,
            f"above water ({units.length.label})",
            range=_upright(now, before, across, scale),
            scaleanchor="x",
            scaleratio=1,
        ),
        shapes=_water_and_bottom(now, across, scale, look),
        annotations=_words(now, peak, across, scale, look),
    )
    faint = {"color": tint(look.ink, 0.45), "width": 1.5}
    dashed = {"color": look.before, "width": 1.5, "dash": "dash"}
    bold = {"color": look.ink, "width": 2.5}
    peak_before = None if before is None else int(np.argmax(before.track.bow_load))
    view.add_traces(
        [
            _rode("before, at peak load", before, peak_before, scale, dashed),
            _rode("at peak load", now, peak, scale, faint),
            _rode("rode", now, shown, scale, bold),
            _hull(now, shown, scale, look),
            go.Scatter(
                name="anchor",
                x=[0.0],
                y=[-now.depth * scale],
                mode="markers",
                marker={"symbol": "triangle-left", "size": 13, "color": look.ink},
                hovertemplate="anchor<extra></extra>",
            ),
        ]
    )
    return view


def _rode(
    name: str, scene: Scene | None, at: int | None, scale: float, line: dict[str, object]
) -> go.Scatter:
    x, z = np.empty(0), np.empty(0)
    if scene is not None and at is not None:
        x, z = scene.rode.at(float(scene.distance()[at]))
        z = z - scene.depth
    return go.Scatter(name=name, x=x * scale, y=z * scale, mode="lines", line=line, hoverinfo="name")


def foreshortening(scene: Scene, at: int) -> float:
    """How long the boat looks in the plane of the rode: the cosine of the angle she lies at to it.

    Positive with her stern away from the anchor; never thinner than three tenths, so that she stays a boat.
    """
    north, east = scene.bow()
    track = scene.track
    to_anchor = math.atan2(track.anchor_y[at] - east[at], track.anchor_x[at] - north[at])
    cosine = math.cos(track.heading[at] - to_anchor)
    return math.copysign(max(abs(cosine), 0.3), cosine)


def _hull(now: Scene, at: int | None, scale: float, look: Theme) -> go.Scatter:
    x, z = np.empty(0), np.empty(0)
    if at is not None:
        bow, look_length = float(now.distance()[at]), foreshortening(now, at)
        closed = np.vstack([now.boat.profile.polygon, now.boat.profile.polygon[:1]])
        gap = np.full((1, 2), np.nan)
        points = np.vstack([closed, *(part for line in now.boat.profile.lines for part in (gap, line))])
        x = bow + (now.boat.bow_ahead - points[:, 0]) * look_length
        z = points[:, 1]
    return go.Scatter(
        name="boat",
        x=x * scale,
        y=z * scale,
        mode="lines",
        line={"color": look.ink, "width": 2},
        hoverinfo="skip",
    )


def _across(now: Scene, before: Scene | None) -> tuple[float, float]:
    far = max(float(s.distance().max()) + _length(s) for s in (now, before) if s is not None)
    return -0.08 * far, 1.06 * far


def _upright(now: Scene, before: Scene | None, across: tuple[float, float], scale: float) -> list[float]:
    scenes = [s for s in (now, before) if s is not None]
    heights: list[Array] = [
        line[:, 1] for s in scenes for line in (s.boat.profile.polygon, *s.boat.profile.lines)
    ]
    top = float(np.max(np.concatenate(heights)))
    deep = -min(now.bed(end) for end in across)
    high = 1.06 * top + 0.5
    under = max(1.25 * deep + 1.0, (deep + _WORDS * high) / (1.0 - _WORDS))
    return [-under * scale, high * scale]


def _length(scene: Scene) -> float:
    ahead = scene.boat.profile.polygon[:, 0]
    return float(ahead.max() - ahead.min())


def _water_and_bottom(
    now: Scene, across: tuple[float, float], scale: float, look: Theme
) -> list[dict[str, object]]:
    """The bottom stands before the water, so that it may come out of that; both reach on where one looks."""
    whole = {"xref": "paper", "x0": 0, "x1": 1, "yref": "y", "layer": "below", "line": {"width": 0}}
    ends = [_LOOKED * end for end in across]
    low, high = ((x * scale, now.bed(x) * scale) for x in ends)
    under = _LOOKED * min(low[1], high[1], -now.depth * scale)
    corners = [low, high, (high[0], under), (low[0], under)]
    ground = "M" + "L".join(f"{x:.3f},{y:.3f}" for x, y in corners) + "Z"
    surface, bed = {"color": look.load, "width": 1.5}, {"color": look.ink, "width": 1}
    return [
        {**whole, "type": "rect", "y0": under, "y1": 0, "fillcolor": look.water},
        {**whole, "type": "line", "y0": 0, "y1": 0, "line": surface},
        {"type": "path", "path": ground, "layer": "below", "line": bed, "fillcolor": look.bottom},
    ]


def _words(
    now: Scene, peak: int, across: tuple[float, float], scale: float, look: Theme
) -> list[dict[str, object]]:
    uplift = math.degrees(float(now.track.angle_at_anchor.max()))
    edge = {"xref": "paper", "x": 1, "xanchor": "right"}
    x, z = now.rode.at(float(now.distance()[peak]))
    middle = int(0.62 * len(x))
    return [
        label(look, "water", **edge, y=0, yanchor="top"),
        label(look, "bottom", **edge, y=now.bed(across[1]) * scale, yanchor="top"),
        label(
            look,
            f"peak uplift at the anchor {uplift:.0f}°",
            x=0,
            y=now.ground() * scale,
            xanchor="left",
            yanchor="top",
            yshift=-22,
        ),
        label(
            look,
            "at peak load",
            x=float(x[middle]) * scale,
            y=float(z[middle] - now.depth) * scale,
            xanchor="left",
            yanchor="top",
            bgcolor="rgba(0,0,0,0)",
            font={"size": SMALL, "color": look.faint},
        ),
    ]
