"""The published loads by which ground tackle is sized, to lay beside the computed ones."""

from __future__ import annotations

from typing import Literal

from anchorsim.core.tables import Row, table
from anchorsim.core.units import Quantity, quantity, si
from anchorsim.scenario.vessel import Boat

Use = Literal["storm", "working", "lunch hook"]
_ROUNDING = 1.0 - 1e-9  # a length converted to feet and back is still that of its row


def published_load(boat: Boat, use: Use = "working") -> Quantity | None:
    """The horizontal load that a boat's ground tackle is to be sized for.

    None where the table ends before her: it is not carried on beyond its last row.

    ABYC H-40 Table 1, by length overall or by beam, whichever gives more.  A boat between two rows takes the
    next larger one: the table is not to be interpolated.  ``use``: "spell" is for 42 knots of wind, "working"
    for 30 and "lunch hook" for 15.
    """
    row = sizing_row(boat)
    return None if row is None else quantity(float(row[use]), "N")


def sizing_row(boat: Boat) -> Row | None:
    """The row of H-40's table that a boat takes, or None where she is longer or beamier than its last."""
    beam = "beam power" if boat.kind == "motor cruiser" else "beam sail"
    length_overall, width = si(boat.length) * _ROUNDING, si(boat.beam) * _ROUNDING
    for row in table("sizing_loads"):
        if row["length overall"] >= length_overall and row[beam] >= width:
            return row
    return None
