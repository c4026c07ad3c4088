"""The terms and sizes of the US trade, for readers of US units; the spelling stays British in both, save in galvanize."""

from __future__ import annotations

import functools
import re

from anchorsim.core.units import System
from anchorsim.wording.amounts import nominal

_US = {
    "draught": "draft",
    "chain locker": "anchor locker",
    "tidal stream or current": "current",
    "stream or current": "current",
    "tidal stream": "tidal current",
    "regalvanis": "regalvaniz",
    "galvanis": "galvaniz",
    "gypsy": "wildcat",
    "bow shackle": "screw pin anchor shackle",
    "open fairlead": "open chock",
    "datum of the charted depths": "MLLW of the chart",
    "chart datum": "MLLW",
    "plough": "plow",
    "spanner": "wrench",
    "mousing": "mousing (safety wire)",
    "every 5 or 10 m": "every 20 or 30 ft",
    "metre by metre": "foot by foot",
}
_WORDS = re.compile(
    "|".join(rf"\b{word}" if word.endswith("galvanis") else rf"\b{word}\b" for word in _US), re.IGNORECASE
)

_SIZE = re.compile(r"(?<![\d.(])(\d+(?:\.\d+)?) mm\b")  # one in brackets stands behind its trade size already


def local(text: str, system: System) -> str:
    """A text of ours in the terms of a unit system; what a person typed is not to go through it.

    >>> local("Gypsy and chain locker", "US"), local("Have it regalvanised", "US"), local("Gypsy", "metric")
    ('Wildcat and anchor locker', 'Have it regalvanized', 'Gypsy')
    >>> local("Chain 8 mm grade 30", "US")
    'Chain 5/16 in (8 mm) grade 30'
    """
    return _us(text) if system == "US" else text


@functools.lru_cache(maxsize=4096)
def _us(text: str) -> str:
    return _SIZE.sub(lambda found: nominal(float(found[1]) / 1000, "US"), _WORDS.sub(_word, text))


def _word(found: re.Match[str]) -> str:
    term = _US[found[0].lower()]
    return f"{term[0].upper()}{term[1:]}" if found[0][0].isupper() else term
