"""What lies round her in the view from above: how much of it is drawn, and what is only pointed to."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

import numpy as np

from anchorsim.figures.scene import Area, Array, Scene
from anchorsim.figures.style import Units, plain

POINTS = ("N", "NE", "E", "SE", "S", "SW", "W", "NW")
_ARROWS = "↑↗→↘↓↙←↖"
_NORTHWARD, _EASTWARD = 8.5, 13.0  # boat's lengths drawn at most: then she is 40 px long on 600 × 420 px
_MARGIN = 0.04  # of what is drawn, on each side


def extent(scenes: Sequence[Scene]) -> tuple[Array, Array]:
    """North and east limits (2,) in m: what she needs, and what lies near enough to leave her large.

    She needs her anchor, her tracks with all of her on them and the room that she sweeps.
    """
    length = max(float(np.ptp(scene.boat.plan.polygon[:, 0])) for scene in scenes)
    boxes = np.array([needed(scene) for scene in scenes])
    box = np.array([boxes[:, 0].min(), boxes[:, 1].max(), boxes[:, 2].min(), boxes[:, 3].max()])
    for area in sorted(scenes[0].dangers, key=distance):
        with_it = _joined(box, area)
        if with_it[1] - with_it[0] < _NORTHWARD * length and with_it[3] - with_it[2] < _EASTWARD * length:
            box = with_it
    return _roomy(box[:2]), _roomy(box[2:])


def swept(scene: Scene) -> Array:
    """South, north, west and east (4,) in m of where any part of her comes."""
    track, reach = scene.track, float(np.max(np.abs(scene.boat.plan.polygon)))
    return np.array(
        [track.x.min() - reach, track.x.max() + reach, track.y.min() - reach, track.y.max() + reach]
    )


def needed(scene: Scene) -> Array:
    """South, north, west and east (4,) in m of her anchor, where she comes and her room."""
    box = _joined(swept(scene), Area("anchor", np.zeros(1), np.zeros(1)))
    return _joined(box, scene.room) if scene.room else box


def _joined(box: Array, area: Area) -> Array:
    """South, north, west and east (4,) of a box and an area together."""
    south, west = min(box[0], area.x.min()), min(box[2], area.y.min())
    return np.array([south, max(box[1], area.x.max()), west, max(box[3], area.y.max())])


def _roomy(limits: Array) -> Array:
    margin = _MARGIN * float(np.ptp(limits)) + 1.0
    return np.array([limits[0] - margin, limits[1] + margin])


def within(area: Area, north: Array, east: Array) -> bool:
    """Whether the middle of an area is drawn."""
    x, y = float(np.mean(area.x)), float(np.mean(area.y))
    return bool(north[0] < x < north[1] and east[0] < y < east[1])


def distance(area: Area) -> float:
    """From where the anchor was set to the nearest point of an area's outline (m); it may lie within."""
    corners = np.column_stack([area.x, area.y])
    along = np.roll(corners, -1, axis=0) - corners
    squared = np.maximum(np.sum(along**2, axis=1), 1e-12)
    share = np.clip(-np.sum(corners * along, axis=1) / squared, 0.0, 1.0)
    return float(np.min(np.hypot(*(corners + share[:, None] * along).T)))


def bearing(area: Area) -> float:
    """From where the anchor was set to the middle of an area (rad, clockwise from north)."""
    return math.atan2(float(np.mean(area.y)), float(np.mean(area.x))) % (2 * math.pi)


def point(direction: float, names: Sequence[str] = POINTS) -> str:
    """The name of the nearest of eight points of the compass."""
    return names[round(direction / (math.pi / 4)) % 8]


def pointed_to(area: Area, units: Units) -> str:
    """What stands at the edge for an area beyond it: its name, how far and where."""
    return f"{area.name}, {units.length.text(distance(area))} {point(bearing(area))}"


def at_the_edge(
    areas: Iterable[Area], north: Array, east: Array, units: Units
) -> list[tuple[str, float, float]]:
    """Text, north and east (m) of the marks for what lies beyond the limits of a printed page."""
    marks = []
    for area in areas:
        if not within(area, north, east):
            x, y = float(np.mean(area.x)), float(np.mean(area.y))
            arrow = point(bearing(area), _ARROWS)
            text = f"{arrow} {plain(pointed_to(area, units))}"
            marks.append((text, float(np.clip(x, *north)), float(np.clip(y, *east))))
    return marks
