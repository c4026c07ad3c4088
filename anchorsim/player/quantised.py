"""Runs and shapes in few bytes, for a page that carries many: whole steps of a quantum, and their bends.

Packed layout, little-endian, no padding.  A column is a header of 16 bytes, float64 lowest value and float64
quantum, then n bytes and n bytes more: the low and the high bytes of uint16 numbers.  These are the second
differences, modulo 65536, of the steps by which each value lies over the lowest, with the sign in the last
bit (0, -1, 1, -2 … are 0, 1, 2, 3 …); smooth motion leaves mostly noughts, which compress well.

``run``: magic ``RUN2`` and the rest of the header as in ``packing``; then its columns, each n long.
``shapes``: magic ``SHP2`` and the rest of the header as in ``packing``; then ``distance`` (n), ``x`` and
``z`` (n × m), a column each.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from anchorsim.figures import RodeShapes, Track
from anchorsim.player.packing import COLUMNS, RUN_HEADER, SHAPES_HEADER, even_step

Floats = NDArray[np.float64]

# The step between two values that are told apart, by column: a tenth of the last digit that the player prints
# in either unit system or less; it is larger where 65,535 of them do not reach over the column.
QUANTA = {
    "x": 0.005,
    "y": 0.005,
    "heading": 0.001,
    "bow_load": 0.04,
    "anchor_load": 0.04,
    "angle_at_anchor": 0.0005,
    "wind_speed": 0.005,
    "wind_direction": 0.001,
    "anchor_x": 0.005,
    "anchor_y": 0.005,
}  # m, rad, N, m/s
_SHAPE = 0.01  # m, as far as a drawn rode can be told from another
_MOST = 65535
_TURNING = ("heading", "wind_direction")


def pack_run(track: Track, every: int = 1) -> bytes:
    """A track as bytes; ``every`` keeps one sample in so many.

    Raises ValueError where the samples are not evenly spaced.
    """
    step = even_step(track.time) * every
    columns = [np.asarray(getattr(track, name), dtype=np.float64)[::every] for name in COLUMNS]
    whole = [np.unwrap(one) if name in _TURNING else one for name, one in zip(COLUMNS, columns, strict=True)]
    header = RUN_HEADER.pack(b"RUN2", len(whole[0]), len(COLUMNS), float(track.time[0]), step)
    return header + b"".join(
        _column(values, QUANTA[name]) for name, values in zip(COLUMNS, whole, strict=True)
    )


def pack_shapes(rode: RodeShapes) -> bytes:
    """A table of rode shapes as bytes."""
    parts = (_column(part.ravel(), _SHAPE) for part in (rode.distance, rode.x, rode.z))
    return SHAPES_HEADER.pack(b"SHP2", *rode.x.shape) + b"".join(parts)


def _column(values: Floats, quantum: float) -> bytes:
    low = float(values.min())
    quantum = max(quantum, float(np.ptp(values)) / _MOST)
    steps = np.rint((values - low) / quantum).astype(np.uint16)
    bends = np.diff(steps, n=2, prepend=np.zeros(2, np.uint16)).view(np.int16).astype(np.int32)
    folded = ((bends << 1) ^ (bends >> 15)).astype(np.uint16)
    planes = [(folded & 255).astype(np.uint8).tobytes(), (folded >> 8).astype(np.uint8).tobytes()]
    return np.array([low, quantum], "<f8").tobytes() + b"".join(planes)
