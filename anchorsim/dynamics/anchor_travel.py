"""How far an anchor moves before it is said to creep or to drag."""

from __future__ import annotations

from typing import Literal

CREEPS_FROM = 0.1  # m: one that moves less has only bedded in, and held (judgement)
DRAGS_FROM = 1.0  # m: one that moves less creeps (judgement)


def held_crept_or_dragged(travel: float) -> Literal["held", "crept", "dragged"]:
    """What an anchor did that ended ``travel`` m from where it was set."""
    if travel < CREEPS_FROM:
        return "held"
    return "crept" if travel < DRAGS_FROM else "dragged"
