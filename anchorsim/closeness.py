"""How near two shapes come to each other as they move.  Plain geometry; nothing here knows of boats."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
_COARSE = 32  # moments between those that are looked at first


class Shape(NamedTuple):
    """A point, a line or an area, moving or at rest.

    ``corners``: (moments, n, 2), or (1, n, 2) at rest; one corner is a point.  ``area``: whether the last is
    joined to the first, and what lies within belongs to it.
    """

    corners: Floats
    area: bool

    def sides(self) -> tuple[Floats, Floats]:
        """Where sides begin and end, (moments, sides, 2)."""
        if self.area or self.corners.shape[1] == 1:
            return self.corners, np.roll(self.corners, -1, axis=1)
        return self.corners[:, :-1], self.corners[:, 1:]

    def at(self, moments: NDArray[np.intp]) -> Shape:
        """The shape at some moments."""
        return self if len(self.corners) == 1 else Shape(self.corners[moments], self.area)


def separation(first: Shape, second: Shape) -> Floats:
    """The distance between two shapes at each moment, (moments,); 0 where they touch or overlap."""
    starts, ends = first.sides()
    others, far = second.sides()
    apart = np.minimum(_from_sides(first.corners, others, far), _from_sides(second.corners, starts, ends))
    touching = _cross(starts, ends, others, far) | _within(first, second) | _within(second, first)
    return np.asarray(np.where(touching, 0.0, apart))


def closest(first: Shape, second: Shape) -> float:
    """The least distance between two shapes over all moments, ``first`` being one that moves.

    At most moments the distance from its middle, less how far it reaches, says that they are not nearest.
    """
    moments = np.arange(len(first.corners))
    some = moments[::_COARSE]
    bound = separation(first.at(some), second.at(some)).min()
    middle = first.corners.mean(axis=1, keepdims=True)
    reach = np.sqrt(((first.corners - middle) ** 2).sum(-1)).max(axis=1)
    least = separation(Shape(middle, False), second) - reach
    near = moments[least <= bound]
    return float(separation(first.at(near), second.at(near)).min())


def _from_sides(corners: Floats, starts: Floats, ends: Floats) -> Floats:
    """The least distance of any of some corners from any of some sides."""
    along = (ends - starts)[:, None]
    off = corners[:, :, None] - starts[:, None]
    square = np.maximum((along * along).sum(-1), 1e-300)
    part = np.clip((off * along).sum(-1) / square, 0.0, 1.0)
    away = off - part[..., None] * along
    return np.asarray(np.sqrt((away * away).sum(-1)).min(axis=(1, 2)))


def _cross(starts: Floats, ends: Floats, others: Floats, far: Floats) -> Bools:
    """Whether any two sides cross; those that only meet are 0 apart by their corners."""
    a, b, c, d = starts[:, :, None], ends[:, :, None], others[:, None], far[:, None]
    sides = (_turn(a, b, c) * _turn(a, b, d) < 0) & (_turn(c, d, a) * _turn(c, d, b) < 0)
    return np.asarray(sides.any(axis=(1, 2)))


def _turn(a: Floats, b: Floats, c: Floats) -> Floats:
    ab, ac = b - a, c - a
    return np.asarray(ab[..., 0] * ac[..., 1] - ab[..., 1] * ac[..., 0])


def _within(inner: Shape, outer: Shape) -> Bools:
    """Whether the first corner of one lies in the area of the other: its ray leaves that an odd time."""
    if not outer.area:
        return np.zeros(max(len(inner.corners), len(outer.corners)), dtype=bool)
    starts, ends = outer.sides()
    point = inner.corners[:, :1]
    x, y = point[..., 0], point[..., 1]
    over = (starts[..., 1] > y) != (ends[..., 1] > y)
    with np.errstate(divide="ignore", invalid="ignore"):
        part = (y - starts[..., 1]) / (ends[..., 1] - starts[..., 1])
        right = x < starts[..., 0] + part * (ends[..., 0] - starts[..., 0])
    return np.asarray((over & right).sum(axis=1) % 2 == 1)
