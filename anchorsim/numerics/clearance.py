"""How near two shapes come to each other as they move, by shapely.  Nothing here knows of boats."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

Floats = NDArray[np.float64]


class Shape(NamedTuple):
    """A point, a line or an area, moving or at rest.

    ``corners``: (moments, n, 2), or (1, n, 2) at rest; one corner is a point.  ``area``: whether the last is
    joined to the first, and what lies within belongs to it.
    """

    corners: Floats
    area: bool

    @property
    def geometries(self) -> NDArray[np.object_]:
        """What it is at each moment to shapely."""
        if self.area:
            return np.asarray(shapely.polygons(self.corners))
        if self.corners.shape[1] == 1:
            return np.asarray(shapely.points(self.corners[:, 0]))
        return np.asarray(shapely.linestrings(self.corners))


def separation(first: Shape, second: Shape) -> Floats:
    """The distance between two shapes at each moment, (moments,); 0 where they touch or overlap."""
    other = second.geometries
    if len(other) == 1:
        shapely.prepare(other)  # it is met at all moments
    return np.asarray(shapely.distance(other, first.geometries))


def closest(first: Shape, second: Shape) -> float:
    """The least distance between two shapes over all moments."""
    return float(separation(first, second).min())
