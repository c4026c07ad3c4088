"""What the anchor holds while a line pulls at it: compiled into the motion of the whole line."""

from __future__ import annotations

from anchorsim.compiled import inlined
from anchorsim.curve_kernel import Floats
from anchorsim.seabed import Ground
from anchorsim.swing_kernel import holding_left


@inlined
def resistance(ground: Ground, dug: float, lift: float, uplift: Floats) -> float:
    """Greatest pull (N) along the bottom that the anchor bears at a lift (rad): what uplift leaves of it."""
    return ground.holding * holding_left(uplift, lift)


@inlined
def dig(ground: Ground, dug: float, moved: float, lift: float, speed: float) -> float:
    """How far it is dug in after it moved so many metres more; it always holds the same here."""
    return dug
