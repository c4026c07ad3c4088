"""The view from above: where the boat goes and the water that she sweeps."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import chain

import numpy as np
import plotly.graph_objects as go

from anchorsim.figures.scene import Area, Array, Scene, of_hers
from anchorsim.figures.setups import Setup, key, line_of, setups, slots
from anchorsim.figures.style import (
    METRIC,
    Theme,
    Units,
    axis,
    enlarged,
    equal_scales,
    label,
    lean,
    plain,
    tint,
)
from anchorsim.figures.surroundings import at_the_edge, extent, point, within

_EDGE = 0.1  # of what is drawn: names of what lies there go inwards
ARROW = 46  # px from the plot's corner to the middle of the wind arrow, here and in the player
_POINTS = ("north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west")


def from_above(
    now: Scene,
    others: Sequence[Scene] = (),
    *,
    units: Units = METRIC,
    look: Theme | None = None,
    scale: float = 1.0,
    still: float | None = None,
) -> go.Figure:
    """North up, equal scales: room, dangers, the bow's track, the anchor and the mean wind.

    Up to three others are laid over it; what lies round is that of ``now``, and what lies too far off is
    pointed to from the edge.  The boat is left to the player, or drawn where she is at the time ``still`` (s)
    for a printed page.  The traces are always the same ones in the same order, empty where there is nothing
    to draw.
    """
    look = enlarged(look, scale)
    factor = units.length.factor
    shown = setups(now, others, look)
    north, east = extent([setup.scene for setup in shown])
    view = lean(
        look,
        "From above",
        key(shown),
        plot_bgcolor=look.water,
        **equal_scales(
            axis(look, "", range=[v * factor for v in east], ticksuffix=f" {units.length.label}", nticks=7),
            axis(look, "", range=[v * factor for v in north], nticks=7),
        ),
        shapes=[_wind_arrow(now, look)],
        annotations=[
            _wind_words(now, look),
            *_names(now, north, east, units, look),
            label(look, "<b>N ↑</b>", name="first", **_LOWER_RIGHT),
        ],
    )
    danger = look.ink if others else look.danger  # colour tells set-ups from each other, where there are some
    others_lines = (
        (
            _room(f"swinging circle, other {place}", setup, factor, look, None),
            _track(f"track, other {place}", setup, factor, look),
        )
        for place, setup in enumerate(slots(shown), 1)
    )
    view.add_traces(
        [
            _area("dangers", list(now.dangers), factor, fill=danger, pattern="x", look=look),
            *chain.from_iterable(others_lines),
            _room("swinging circle", shown[0], factor, look, 0.12),
            _track("track of the bow", shown[0], factor, look),
            _anchor(look),
            _boat(now, still, factor, look),
        ]
    )
    return view


_LOWER_RIGHT = {"xref": "paper", "yref": "paper", "x": 1, "y": 0, "xanchor": "right", "yanchor": "bottom"}


def _ring(areas: list[Area], scale: float) -> tuple[Array, Array]:
    """All outlines as one line with gaps: plot coordinates east and north."""
    gap = np.array([np.nan])
    east = [part for area in areas for part in (area.y * scale, area.y[:1] * scale, gap)]
    north = [part for area in areas for part in (area.x * scale, area.x[:1] * scale, gap)]
    return np.concatenate([*east, gap[:0]]), np.concatenate([*north, gap[:0]])


def _area(name: str, areas: list[Area], scale: float, *, fill: str, pattern: str, look: Theme) -> go.Scatter:
    east, north = _ring(areas, scale)
    return go.Scatter(
        name=name,
        x=east,
        y=north,
        mode="lines",
        line={"color": fill, "width": look.stroke(2)},
        fill="toself",
        fillpattern={
            "shape": pattern,
            "fgcolor": fill,
            "bgcolor": "rgba(0,0,0,0)",
            "size": 8,
            "solidity": 0.12,
        },
        hoverinfo="skip",
    )


def _room(name: str, setup: Setup | None, scale: float, look: Theme, fill: float | None) -> go.Scatter:
    """The water swept: in its own colour where it is alone, in that of its set-up among others."""
    areas = [setup.scene.room] if setup and setup.scene.room else []
    colour = setup.colour if setup and setup.letter else look.room
    east, north = _ring(areas, scale)
    return go.Scatter(
        name=name,
        x=east,
        y=north,
        mode="lines",
        line={"color": colour, "dash": setup.dash if setup else "solid", "width": look.stroke(2)},
        fill="toself" if fill else "none",
        fillcolor=tint(colour, fill) if fill else None,
        hoverinfo="skip",
    )


def _track(name: str, setup: Setup | None, scale: float, look: Theme) -> go.Scatter:
    north, east = setup.scene.bow() if setup else (np.empty(0), np.empty(0))
    line = line_of(setup, look, 1, 0.35)
    return go.Scatter(name=name, x=east * scale, y=north * scale, mode="lines", line=line, hoverinfo="skip")


def _anchor(look: Theme) -> go.Scatter:
    return go.Scatter(
        name="where the anchor was set",
        x=[0.0],
        y=[0.0],
        mode="markers",
        marker={
            "symbol": "circle-open",
            "color": look.faint,
            "size": 22 * look.scale,
            "line": {"color": look.faint, "width": look.stroke(1)},
        },
        hovertemplate="where the anchor was set<extra></extra>",
    )


def _boat(now: Scene, still: float | None, scale: float, look: Theme) -> go.Scatter:
    """Hull and rode at one instant, seen from above; empty where the player draws them."""
    east, north = np.empty(0), np.empty(0)
    if still is not None:
        track = now.track
        at = int(np.argmin(np.abs(track.time - still)))
        bow_north, bow_east = now.bow()[0][at], now.bow()[1][at]
        ahead, starboard = np.vstack([now.boat.plan.polygon, now.boat.plan.polygon[:1]]).T
        hull_north, hull_east = of_hers(track, ahead, starboard, at)
        north = np.concatenate([[track.anchor_x[at], bow_north, np.nan], hull_north]) * scale
        east = np.concatenate([[track.anchor_y[at], bow_east, np.nan], hull_east]) * scale
    return go.Scatter(
        name="boat",
        x=east,
        y=north,
        mode="lines",
        line={"color": look.ink, "width": look.stroke(2)},
        hoverinfo="skip",
    )


def mean_direction(scene: Scene) -> float:
    """Mean direction (rad, from) of the wind over the run: that of the summed unit vectors."""
    direction = scene.track.wind_direction
    mean = math.atan2(float(np.mean(np.sin(direction))), float(np.mean(np.cos(direction))))
    return mean % (2 * math.pi)


def wind_on_the_right(scene: Scene) -> bool:
    """Whether the wind arrow goes to the upper right: where less of room, dangers and anchor is drawn."""
    limits = extent([scene])
    areas = [*filter(None, [scene.room]), *(area for area in scene.dangers if within(area, *limits))]
    north, east = (np.concatenate([[0.0], *(getattr(area, name) for area in areas)]) for name in ("x", "y"))
    upper, right = (values > np.mean(ends) for values, ends in zip((north, east), limits, strict=True))
    return bool(np.sum(upper & right) < np.sum(upper & ~right))


def _wind_arrow(now: Scene, look: Theme) -> dict[str, object]:
    """The mean wind as a pale arrow in an upper corner; the player lays the present one on it."""
    along, across = np.array([-26, 12, 12, 26, 12, 12, -26]), np.array([5, 5, 12, 0, -12, -5, -5])  # px
    along, across, corner = along * look.scale, across * look.scale, ARROW * look.scale
    direction, right = mean_direction(now), wind_on_the_right(now)
    down_x, down_y = -math.sin(direction), -math.cos(direction)  # where it blows to, plot axes
    x = (-corner if right else corner) + along * down_x - across * down_y
    y = -corner + along * down_y + across * down_x
    return {
        "type": "path",
        "path": "M" + "L".join(f"{a:.2f},{b:.2f}" for a, b in zip(x, y, strict=True)) + "Z",
        **{"xref": "paper", "xsizemode": "pixel", "xanchor": int(right)},
        **{"yref": "paper", "ysizemode": "pixel", "yanchor": 1},
        "fillcolor": tint(look.wind, 0.5),
        "line": {"width": 0},
    }


def _wind_words(now: Scene, look: Theme) -> dict[str, object]:
    right = wind_on_the_right(now)
    inwards = (2 * ARROW - 10) * look.scale
    return label(
        look,
        f"mean wind from {point(mean_direction(now), _POINTS)}",
        name="first wide",
        xref="paper",
        x=int(right),
        xanchor="right" if right else "left",
        xshift=-inwards if right else inwards,
        yref="paper",
        y=1,
        yanchor="middle",
        yshift=(22 - ARROW) * look.scale,
    )


def _names(now: Scene, north: Array, east: Array, units: Units, look: Theme) -> list[dict[str, object]]:
    """Each danger, named below its southernmost point or at the edge it lies beyond; room and anchor."""
    near = [area for area in now.dangers if within(area, north, east)]
    places = [(plain(each.name), float(np.min(each.x)), float(each.y[np.argmin(each.x)])) for each in near]
    places += at_the_edge(now.dangers, north, east, units)
    west, far = east[0] + _EDGE * np.ptp(east), east[1] - _EDGE * np.ptp(east)
    scale = units.length.factor
    dangers = [
        label(
            look,
            text,
            name="printed",
            x=y * scale,
            y=x * scale,
            yanchor="bottom" if x == north[0] else "top",
            xanchor="right" if y > far else "left" if y < west else "center",
        )
        for text, x, y in places
    ]
    room = [_room_name(now.room, scale, look)] if now.room else []
    up = -north[0] < _EDGE * np.ptp(north)  # there is no room beneath the anchor
    side = {"yanchor": "bottom" if up else "top", "yshift": (12 if up else -12) * look.scale}
    return [*dangers, *room, label(look, "anchor", name="second", x=0, y=0, **side)]


def _room_name(room: Area, scale: float, look: Theme) -> dict[str, object]:
    """The room's name outside it, where it is farthest from the anchor."""
    at = int(np.argmax(np.hypot(room.x, room.y)))
    side = {"xanchor": "left", "xshift": 6} if room.y[at] >= 0 else {"xanchor": "right", "xshift": -6}
    return label(
        look, "swinging circle", x=room.y[at] * scale, y=room.x[at] * scale, yanchor="middle", **side
    )
