"""The published loads by which ground tackle is sized, to lay beside the computed ones."""

from __future__ import annotations

from typing import Literal

import numpy as np

from anchorsim.boat import Boat
from anchorsim.tables import table
from anchorsim.units import Quantity, quantity, si

Use = Literal["storm", "working", "lunch hook"]


def published_load(boat: Boat, use: Use = "working") -> Quantity:
    """The horizontal load that a boat's ground tackle is to be sized for.

    ABYC H-40 Table 1 (from memory, partly seen in reprints), by length overall or by beam, whichever gives
    more; linear between its rows (ours) and flat beyond its ends.  ``use``: "storm" is for 42 knots of wind,
    "working" for 30 and "lunch hook" for 15.
    """
    rows = table("sizing_loads")
    beam = "beam power" if boat.kind == "motor cruiser" else "beam sail"
    loads = [row[use] for row in rows]
    by_length = np.interp(si(boat.length), [row["length overall"] for row in rows], loads)
    by_beam = np.interp(si(boat.beam), [row[beam] for row in rows], loads)
    return quantity(float(max(by_length, by_beam)), "N")
