"""The view from above: where the boat goes and the water that she sweeps."""

from __future__ import annotations

import math

import numpy as np
import plotly.graph_objects as go

from anchorsim.figures.scene import Area, Array, Scene, of_hers
from anchorsim.figures.style import METRIC, Theme, Units, axis, figure, label, plain, theme, tint

_EDGE = 0.1  # of the width drawn: names of what lies there go inwards
_OVER = 0.38  # of the height drawn, kept free for the wind where something lies round her
ARROW = 46  # px from the plot's corner to the middle of the wind arrow, here and in the player
_POINTS = ("north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west")


def from_above(
    now: Scene,
    before: Scene | None = None,
    *,
    units: Units = METRIC,
    look: Theme | None = None,
    still: float | None = None,
) -> go.Figure:
    """North up, equal scales: room, dangers, the bow's track, the anchor and the mean wind.

    The boat is left to the player, or drawn where she is at the time ``still`` (s) for a printed page.
    The traces are always the same ones in the same order, empty where there is nothing to draw.
    """
    look = look or theme()
    scale = units.length.factor
    traces = [
        _area("dangers", list(now.dangers), scale, fill=look.danger, pattern="x"),
        _room(
            "swinging circle before",
            before,
            scale,
            {"color": look.before, "dash": "dash", "width": 1.5},
            None,
        ),
        _room("swinging circle", now, scale, {"color": look.room, "width": 2}, tint(look.room, 0.12)),
        _track("track before", before, scale, {"color": tint(look.before, 0.5), "dash": "dash", "width": 1}),
        _track("track of the bow", now, scale, {"color": tint(look.load, 0.35), "width": 1}),
        _anchor(now, scale, look),
        _boat(now, still, scale, look),
    ]
    north, east = _extent(now, before)
    view = figure(
        look,
        "From above",
        "dashed: before" if before else "",
        plot_bgcolor=look.water,
        xaxis=axis(look, f"east of the anchor ({units.length.label})", range=[v * scale for v in east]),
        yaxis=axis(
            look,
            f"north of the anchor ({units.length.label})",
            range=[v * scale for v in north],
            scaleanchor="x",
            scaleratio=1,
        ),
        shapes=[_wind_arrow(now, look)],
        annotations=[_wind_words(now, look), *_names(now, east, scale, look), _north(look)],
    )
    view.add_traces(traces)
    return view


def _ring(areas: list[Area], scale: float) -> tuple[Array, Array]:
    """All outlines as one line with gaps: plot coordinates east and north."""
    gap = np.array([np.nan])
    east = [part for area in areas for part in (area.y * scale, area.y[:1] * scale, gap)]
    north = [part for area in areas for part in (area.x * scale, area.x[:1] * scale, gap)]
    return np.concatenate([*east, gap[:0]]), np.concatenate([*north, gap[:0]])


def _area(name: str, areas: list[Area], scale: float, *, fill: str, pattern: str) -> go.Scatter:
    east, north = _ring(areas, scale)
    return go.Scatter(
        name=name,
        x=east,
        y=north,
        mode="lines",
        line={"color": fill, "width": 2},
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


def _room(
    name: str, scene: Scene | None, scale: float, line: dict[str, object], fill: str | None
) -> go.Scatter:
    areas = [scene.room] if scene and scene.room else []
    east, north = _ring(areas, scale)
    return go.Scatter(
        name=name,
        x=east,
        y=north,
        mode="lines",
        line=line,
        fill="toself" if fill else "none",
        fillcolor=fill,
        hoverinfo="skip",
    )


def _track(name: str, scene: Scene | None, scale: float, line: dict[str, object]) -> go.Scatter:
    north, east = scene.bow() if scene else (np.empty(0), np.empty(0))
    return go.Scatter(name=name, x=east * scale, y=north * scale, mode="lines", line=line, hoverinfo="skip")


def _anchor(now: Scene, scale: float, look: Theme) -> go.Scatter:
    return go.Scatter(
        name="where the anchor was set",
        x=[0.0],
        y=[0.0],
        mode="markers",
        marker={"symbol": "circle-open", "size": 22, "line": {"color": look.faint, "width": 1}},
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
        name="boat", x=east, y=north, mode="lines", line={"color": look.ink, "width": 2}, hoverinfo="skip"
    )


def _extent(*scenes: Scene | None) -> tuple[Array, Array]:
    """North and east limits (2,) in m that hold the room, the track with the boat on it, and the anchor."""
    north, east = [np.zeros(1)], [np.zeros(1)]
    for scene in filter(None, scenes):
        reach = float(np.max(np.abs(scene.boat.plan.polygon)))
        north += [scene.track.x - reach, scene.track.x + reach]
        east += [scene.track.y - reach, scene.track.y + reach]
        for area in filter(None, (scene.room, *scene.dangers)):
            north.append(area.x)
            east.append(area.y)
    limits = _limits(np.concatenate(north))
    if any(scene and scene.dangers for scene in scenes):  # the wind's arrow and words cover none of them
        limits[1] += _OVER * (limits[1] - limits[0])
    return limits, _limits(np.concatenate(east))


def _limits(values: Array) -> Array:
    low, high = float(np.min(values)), float(np.max(values))
    margin = 0.08 * (high - low) + 1.0
    return np.array([low - margin, high + margin])


def mean_direction(scene: Scene) -> float:
    """Mean direction (rad, from) of the wind over the run: that of the summed unit vectors."""
    direction = scene.track.wind_direction
    mean = math.atan2(float(np.mean(np.sin(direction))), float(np.mean(np.cos(direction))))
    return mean % (2 * math.pi)


def wind_on_the_right(scene: Scene) -> bool:
    """Whether the wind arrow goes to the upper right: where less of room, dangers and anchor lies."""
    areas = [area for area in (scene.room, *scene.dangers) if area]
    north, east = (np.concatenate([[0.0], *(getattr(area, name) for area in areas)]) for name in ("x", "y"))
    upper, right = (values > 0.5 * (values.min() + values.max()) for values in (north, east))
    return bool(np.sum(upper & right) < np.sum(upper & ~right))


def _wind_arrow(now: Scene, look: Theme) -> dict[str, object]:
    """The mean wind as a pale arrow in an upper corner; the player lays the present one on it."""
    along, across = np.array([-26, 12, 12, 26, 12, 12, -26]), np.array([5, 5, 12, 0, -12, -5, -5])  # px
    direction, right = mean_direction(now), wind_on_the_right(now)
    down_x, down_y = -math.sin(direction), -math.cos(direction)  # where it blows to, plot axes
    x = (-ARROW if right else ARROW) + along * down_x - across * down_y
    y = -ARROW + along * down_y + across * down_x
    return {
        "type": "path",
        "path": "M" + "L".join(f"{a:.2f},{b:.2f}" for a, b in zip(x, y, strict=True)) + "Z",
        **{"xref": "paper", "xsizemode": "pixel", "xanchor": int(right)},
        **{"yref": "paper", "ysizemode": "pixel", "yanchor": 1},
        "fillcolor": tint(look.wind, 0.5),
        "line": {"width": 0},
    }


def _wind_words(now: Scene, look: Theme) -> dict[str, object]:
    point = _POINTS[round(math.degrees(mean_direction(now)) / 45) % 8]
    right = wind_on_the_right(now)
    place = {"xref": "paper", "x": int(right), "xanchor": "right" if right else "left"}
    inwards = (2 * ARROW - 10) * (-1 if right else 1)
    return label(
        look,
        f"mean wind from {point}",
        **place,
        xshift=inwards,
        yref="paper",
        y=1,
        yanchor="middle",
        yshift=22 - ARROW,
    )


def _names(now: Scene, across: Array, scale: float, look: Theme) -> list[dict[str, object]]:
    """Each danger and the room, named below its southernmost point, inwards near the ends of ``across``."""
    areas = [
        *((plain(area.name), area) for area in now.dangers),
        *([("swinging circle", now.room)] if now.room else []),
    ]
    lowest = [(float(area.y[np.argmin(area.x)]), float(np.min(area.x))) for _, area in areas]
    west, east = across[0] + _EDGE * np.ptp(across), across[1] - _EDGE * np.ptp(across)
    sides = ["right" if y > east else "left" if y < west else "center" for y, _ in lowest]
    return [
        label(look, name, x=y * scale, y=x * scale, yanchor="top", xanchor=side)
        for (name, _), (y, x), side in zip(areas, lowest, sides, strict=True)
    ]


def _north(look: Theme) -> dict[str, object]:
    return label(look, "<b>N ↑</b>", xref="paper", yref="paper", x=1, y=0, xanchor="right", yanchor="bottom")
