"""What the first screen says: for whom each way in is, what is kept, what is new."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple


class Way(NamedTuple):
    """A way in: the page that it leads to, for whom, what one does there, and the button's words."""

    page: str
    who: str
    what: str
    button: str


TITLE = "What are you here for?"
WAYS = (
    Way(
        "swing",
        "Anchoring tonight",
        "Boat, gear, anchorage and wind: does the anchor hold, and what helps?",
        "Plan an anchorage",
    ),
    Way(
        "survey",
        "Surveying ground tackle",
        "Inspect the gear part by part, find the weakest link, write the client's report.",
        "Begin or continue a survey",
    ),
    Way(
        "lessons",
        "Teaching a class",
        "Nine lessons with boats that move: predict first, then see.",
        "Choose a lesson",
    ),
)
"""The three who come, and where each wants to go."""

KEPT, RECENT, NEW = "Kept set-ups", "Recent scenarios", "New in this version"
NEWS = (
    ("lessons", "Lessons: predict, play, explain. Each claim is counted over many spells."),
    ("compare", "Compare: up to four set-ups or places, through one night."),
    ("night", "Night: hour by hour through a forecast, with the time to leave."),
)
"""What has been added, with the page where it is."""


def kept(letter: str, name: str) -> str:
    """A set-up that is kept, as a button says it."""
    return f"{letter}: {name}"


def recent(names: Sequence[str]) -> list[str]:
    """The names of files as they are read.

    >>> recent(["sloop-gale-veering.toml"])
    ['sloop-gale-veering']
    """
    return [name.removesuffix(".toml") for name in names]
