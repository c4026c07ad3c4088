"""The view from the side: the rode's shape to scale between the bottom and the bow."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import plotly.graph_objects as go

from anchorsim.figures.scene import Array, Scene
from anchorsim.figures.setups import Setup, key, line_of, setups, slots
from anchorsim.figures.style import (
    METRIC,
    SMALL,
    Theme,
    Units,
    axis,
    enlarged,
    equal_scales,
    label,
    lean,
    tint,
)

_WORDS = 0.16  # of the height drawn, beneath the bottom, for the words there
_LOOKED = 10.0  # times the picture: how far water and bottom reach, for who zooms out


def from_the_side(
    now: Scene,
    others: Sequence[Scene] = (),
    *,
    units: Units = METRIC,
    look: Theme | None = None,
    scale: float = 1.0,
    still: float | None = None,
) -> go.Figure:
    """Heights above the water and distances from the anchor on equal scales, in the plane of the rode.

    The rode at peak load is drawn faintly, that of up to three others too, each over its own bottom.  The
    boat and the rode as they are now are left to the player, or drawn as they are at the time ``still`` (s)
    for a printed page.
    """
    look = enlarged(look, scale)
    factor = units.length.factor
    shown = setups(now, others, look)
    instant = None if still is None else int(np.argmin(np.abs(now.track.time - still)))
    across = _across(shown)
    view = lean(
        look,
        "From the side",
        key(shown) or "to scale",
        **equal_scales(
            axis(look, "", range=[v * factor for v in across], ticksuffix=f" {units.length.label}", nticks=6),
            axis(look, "", range=_upright(shown, across, factor), nticks=5),
        ),
        shapes=_water_and_bottom(now, across, factor, look),
        annotations=_words(now, across, factor, look),
    )
    ink = {"color": look.ink, "width": look.stroke(2.5)}
    faint = (
        line_of(shown[0], look, 1.5) if others else {"color": tint(look.ink, 0.45), "width": look.stroke(1.5)}
    )
    for place, other in enumerate(slots(shown), 1):
        line = line_of(other, look, 1.5)
        view.add_traces(
            [
                _rode(f"at peak load, other {place}", other.scene if other else None, factor, line),
                _bottom(f"bottom, other {place}", other, now, across, factor, look),
            ]
        )
    view.add_traces(
        [
            _rode("at peak load", now, factor, faint),
            _rode("rode", None if instant is None else now, factor, ink, instant),
            _hull(now, instant, factor, look),
            go.Scatter(
                name="anchor",
                x=[0.0],
                y=[-now.depth * factor],
                mode="markers",
                marker={"symbol": "triangle-left", "size": 13 * look.scale, "color": look.ink},
                hovertemplate="anchor<extra></extra>",
            ),
        ]
    )
    return view


def _rode(
    name: str, scene: Scene | None, scale: float, line: dict[str, object], at: int | None = None
) -> go.Scatter:
    """The rode as it is at a sample, or at peak load."""
    x, z = np.empty(0), np.empty(0)
    if scene is not None:
        at = int(np.argmax(scene.track.bow_load)) if at is None else at
        x, z = scene.rode.at(float(scene.distance()[at]))
        z = z - scene.depth
    return go.Scatter(name=name, x=x * scale, y=z * scale, mode="lines", line=line, hoverinfo="name")


def _bottom(
    name: str, other: Setup | None, now: Scene, across: tuple[float, float], scale: float, look: Theme
) -> go.Scatter:
    """The bottom under another boat, where it is not that of the first."""
    x, z = np.empty(0), np.empty(0)
    if other and (other.scene.depth, other.scene.slope) != (now.depth, now.slope):
        x = np.array(across)
        z = np.array([other.scene.bed(end) for end in across])
    line = line_of(other, look, 1, 0.6)
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
        line={"color": look.ink, "width": look.stroke(2)},
        hoverinfo="skip",
    )


def _across(shown: Sequence[Setup]) -> tuple[float, float]:
    far = max(float(one.scene.distance().max()) + _length(one.scene) for one in shown)
    return -0.08 * far, 1.04 * far


def _upright(shown: Sequence[Setup], across: tuple[float, float], scale: float) -> list[float]:
    heights: list[Array] = [
        line[:, 1]
        for one in shown
        for line in (one.scene.boat.profile.polygon, *one.scene.boat.profile.lines)
    ]
    top = float(np.max(np.concatenate(heights)))
    deep = -min(one.scene.bed(end) for one in shown for end in across)
    high = 1.04 * top + 0.5
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
    ends = [across[0] - _LOOKED * across[1], (1 + _LOOKED) * across[1]]
    low, high = ((x * scale, now.bed(x) * scale) for x in ends)
    under = _LOOKED * min(low[1], high[1], -now.depth * scale)
    corners = [low, high, (high[0], under), (low[0], under)]
    ground = "M" + "L".join(f"{x:.3f},{y:.3f}" for x, y in corners) + "Z"
    surface = {"color": look.load, "width": look.stroke(1.5)}
    bed = {"color": look.ink, "width": look.stroke(1)}
    return [
        {**whole, "type": "rect", "y0": under, "y1": 0, "fillcolor": look.water},
        {**whole, "type": "line", "y0": 0, "y1": 0, "line": surface},
        {"type": "path", "path": ground, "layer": "below", "line": bed, "fillcolor": look.bottom},
    ]


def _words(now: Scene, across: tuple[float, float], scale: float, look: Theme) -> list[dict[str, object]]:
    uplift = math.degrees(float(now.track.angle_at_anchor.max()))
    edge = {"xref": "paper", "x": 1, "xanchor": "right", "yanchor": "top"}
    x, z = now.rode.at(float(now.distance()[int(np.argmax(now.track.bow_load))]))
    middle = int(0.62 * len(x))
    return [
        label(
            look,
            f"peak uplift at the anchor {uplift:.0f}°",
            name="printed",
            x=0,
            y=now.ground() * scale,
            xanchor="left",
            yanchor="top",
            yshift=-2,
        ),
        label(
            look,
            "at peak load",
            name="second",
            x=float(x[middle]) * scale,
            y=float(z[middle] - now.depth) * scale,
            xanchor="left",
            yanchor="top",
            bgcolor="rgba(0,0,0,0)",
            font={"size": look.text(SMALL), "color": look.faint},
        ),
        label(look, "bottom", name="third here", **edge, y=now.bed(across[1]) * scale),
        label(look, "water", name="third here", **edge, y=0),
    ]
