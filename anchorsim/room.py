"""The room she needs: all that any part of the boat sweeps in a watch."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from anchorsim.swing import Run, sweep

_SECTORS = 144


def envelope(run: Run) -> NDArray[np.float64]:
    """The farthest that any part of her came by bearing from where the anchor was let go: (n, 2) metres north, east.

    Closed; sectors that she never entered are drawn in to the anchor.
    """
    north, east = sweep(run)
    sector = np.floor((np.arctan2(east, north) / (2 * np.pi) + 0.5) * _SECTORS).astype(int) % _SECTORS
    farthest = np.zeros(_SECTORS)
    np.maximum.at(farthest, sector.ravel(), np.hypot(north, east).ravel())
    middle = ((np.arange(_SECTORS) + 0.5) / _SECTORS - 0.5) * 2 * np.pi
    ring = np.column_stack([farthest * np.cos(middle), farthest * np.sin(middle)])
    return np.vstack([ring, ring[:1]])
