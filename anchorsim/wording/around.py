"""What lies round the anchor, in words: names of what is put there, and how she clears it."""

from __future__ import annotations

from collections.abc import Iterable

from anchorsim.core.units import System
from anchorsim.risk.clearances import Clearance
from anchorsim.risk.outcome import LIMIT
from anchorsim.wording.amounts import length, of_spells
from anchorsim.wording.glance import Tone

NAMES = {"point": "Rock", "area": "Shoal", "line": "Lee shore", "neighbour": "Neighbour"}
WORDS = {
    "title": "Round her",
    "put": {
        "point": "Put a rock",
        "area": "Put a shoal",
        "line": "Put a lee shore",
        "neighbour": "Put a neighbour",
    },
    "hint": "Click where it is in the view from above. Escape cancels.",
    "bears": "bears",
    "off": "off",
    "depth": "charted",
    "rode": "rode",
    "boat": "boat",
    "name": "Name",
    "remove": "Remove",
    "handle": "Arrow keys move it 1 m, with Shift 5 m. Delete removes it.",
}
AFLOAT = "enough water over it at low water"
PLACE = "This place"
_FEW = 20  # spells below which one in twenty is no figure


def named(kind: str, taken: Iterable[str]) -> str:
    """A name for what is put there that no other has: ``Rock``, ``Rock 2``."""
    known, count = set(taken), 1
    while (name := NAMES[kind] if count == 1 else f"{NAMES[kind]} {count}") in known:
        count += 1
    return name


def clears(found: Clearance, system: System = "metric") -> tuple[str, Tone]:
    """How she clears one thing, in a line for its row, and how grave that is."""
    touched, count = found.touched, len(found.si.closest)
    if touched.likely > 0.0:
        does = "goes aground on it in" if found.thing.kind == "shoal" else "hits it in"
        return f"{does} {of_spells(touched)}", "bad" if touched.likely > LIMIT else "warn"
    if count < _FEW:
        return f"clears it by {length(float(found.si.closest.min()), system)} in {count} spells", "none"
    return f"clears it by {length(found.near.likely, system)} or more in 95 of 100 spells", "ok"
