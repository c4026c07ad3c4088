"""How near two shapes come to each other as they move.  Plain geometry; nothing here knows of boats."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
_COARSE = 32  # moments between those that are looked at first
_PAIRS = 50_000
_ROUNDING = 1e-9  # m


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
    bound = _least(first, second, moments[::_COARSE])
    middle = first.corners.mean(axis=1, keepdims=True)
    reach = np.sqrt(((first.corners - middle) ** 2).sum(-1)).max(axis=1)
    near = []
    for some in _pieces(moments, second.corners.shape[1]):
        point, other = Shape(middle[some], False), second.at(some)
        away = np.where(_within(point, other), 0.0, _from_sides(point.corners, *other.sides()))
        near.append(some[away - reach[some] <= bound + _ROUNDING])
    return min(bound, _least(first, second, np.concatenate(near)))


def _least(first: Shape, second: Shape, moments: NDArray[np.intp]) -> float:
    """The least distance between two shapes at some moments."""
    pieces = _pieces(moments, first.corners.shape[1] * second.corners.shape[1])
    return min(float(separation(first.at(some), second.at(some)).min()) for some in pieces)


def _pieces(moments: NDArray[np.intp], pairs: int) -> list[NDArray[np.intp]]:
    """Moments in pieces, in each of which not more than so many pairs of sides are held in memory."""
    return np.array_split(moments, max(1, -(-len(moments) * pairs // _PAIRS)))


def _from_sides(corners: Floats, starts: Floats, ends: Floats) -> Floats:
    """The least distance of any of some corners from any of some sides."""
    along_x, along_y = _split(ends - starts)
    x, y = (place[:, :, None] for place in _split(corners))
    start_x, start_y = _split(starts)
    off_x, off_y = x - start_x[:, None], y - start_y[:, None]
    square = np.maximum(along_x * along_x + along_y * along_y, 1e-300)
    part = off_x * (along_x / square)[:, None] + off_y * (along_y / square)[:, None]
    np.clip(part, 0.0, 1.0, out=part)
    off_x -= part * along_x[:, None]
    off_y -= part * along_y[:, None]
    return np.asarray(np.sqrt((off_x * off_x + off_y * off_y).min(axis=(1, 2))))


def _split(places: Floats) -> tuple[Floats, Floats]:
    """The two parts of places apart, each together in memory."""
    return np.ascontiguousarray(places[..., 0]), np.ascontiguousarray(places[..., 1])


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
