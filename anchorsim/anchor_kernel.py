"""How an anchor gives way: what it stands at a pull (compiled into the motion, ``swing_kernel.py``)."""

from __future__ import annotations

from anchorsim.compiled import inlined
from anchorsim.curve_kernel import Floats
from anchorsim.seabed import Ground


@inlined
def holding_left(uplift: Floats, angle: float) -> float:
    """Share of the holding left at an angle of pull (rad), between the rows of the uplift table."""
    for i in range(1, uplift.shape[0]):
        if angle < uplift[i, 0]:
            part = (angle - uplift[i - 1, 0]) / (uplift[i, 0] - uplift[i - 1, 0])
            return float(uplift[i - 1, 1] + part * (uplift[i, 1] - uplift[i - 1, 1]))
    return float(uplift[uplift.shape[0] - 1, 1])


@inlined
def resistance(ground: Ground, dug: float, lift: float, uplift: Floats) -> float:
    """The pull (N) at which the anchor moves."""
    return ground.holding * holding_left(uplift, lift)


@inlined
def dig(ground: Ground, dug: float, moved: float, lift: float, speed: float) -> float:
    """How far it has dug in after it moved so far (m)."""
    return dug
