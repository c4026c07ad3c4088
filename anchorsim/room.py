"""The room she needs: all that any part of the boat sweeps in a watch."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from anchorsim.boat import corners
from anchorsim.swing import Run, sweep

_SECTORS = 144
_PIECE = 0.4  # m of her outline between the points that are followed: no gaps from 10 m on
_EVERY = 5  # samples, half a second, in which she moves by less than that


def envelope(run: Run) -> NDArray[np.float64]:
    """The farthest that any part of her came, by bearing from where the anchor was let go.

    (n, 2) metres north and east, closed.  Sectors that she never entered are drawn in to the anchor.
    """
    north, east = sweep(run, _outline(corners(run.scenario.boat)), _EVERY)
    sector = np.floor((np.arctan2(east, north) / (2 * np.pi) + 0.5) * _SECTORS).astype(int) % _SECTORS
    farthest = np.zeros(_SECTORS)
    np.maximum.at(farthest, sector.ravel(), np.hypot(north, east).ravel())
    middle = ((np.arange(_SECTORS) + 0.5) / _SECTORS - 0.5) * 2 * np.pi
    ring = np.column_stack([farthest * np.cos(middle), farthest * np.sin(middle)])
    return np.vstack([ring, ring[:1]])


def _outline(points: NDArray[np.float64]) -> NDArray[np.float64]:
    """Points round the polygon that bounds her."""
    centre = points.mean(axis=0)
    points = points[np.argsort(np.arctan2(*(points - centre).T))]
    edges = np.roll(points, -1, axis=0) - points
    pieces = np.ceil(np.hypot(*edges.T) / _PIECE).astype(int)
    return np.concatenate(
        [
            start + edge * np.arange(n)[:, None] / n
            for start, edge, n in zip(points, edges, pieces, strict=True)
        ]
    )
