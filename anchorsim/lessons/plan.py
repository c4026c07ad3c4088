"""What a lesson is before it is run: a question, boats that differ in little, and what is claimed of them.

Words are not here (``wording.lessons``): boats, choices and things to try are named by keys.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, Literal

Measured = Literal["load", "uplift", "drag", "sheer", "gap", "margin", "used"]
Changes = Mapping[str, Any]


@dataclass(frozen=True)
class Boat:
    """One of the boats: in what it differs from the others (paths and values), and where its anchor is.

    ``at``: metres north and east of the first boat's anchor.  ``spell``: the number of the spell that its
    picture plays, where that is not the lesson's.
    """

    key: str
    changes: Changes
    at: tuple[float, float] = (0.0, 0.0)
    spell: int | None = None


@dataclass(frozen=True)
class Figure:
    """A figure of many spells: the median of what is measured on one boat, in SI.

    ``against``: over the median of another boat.  ``least``: the share of the spells in which it is so much
    or more.  ``among``: of the spells in which it is so much or more, and of no others.
    """

    measured: Measured
    boat: str
    against: str = ""
    least: float | None = None
    among: float | None = None


@dataclass(frozen=True)
class Claim:
    """What is taught: that a figure lies between two numbers, in these spells and in any others."""

    figure: Figure
    low: float
    high: float


@dataclass(frozen=True)
class Plan:
    """A lesson as it is declared, once, for screen, notebook, handout and test.

    ``base``: what all boats have in common, as changes of the default scenario.  ``measured``: what its
    picture shows of each spell.  ``asked``: the figure that is predicted, with the ``choices``.  ``tries``:
    further changes of all boats, by key.  ``spell``: which of the ``spells`` of each boat is played.
    ``over``: what a page for phones lets the class vary, on the second boat; nothing where no path tells it.
    """

    key: str
    base: Changes
    boats: tuple[Boat, ...]
    measured: tuple[Measured, ...]
    asked: Figure
    choices: tuple[float, ...]
    claims: tuple[Claim, ...]
    tries: Mapping[str, Changes]
    spell: int = 0
    spells: int = 24
    over: Mapping[str, Sequence[Any]] = field(default_factory=dict)

    def boat(self, key: str) -> int:
        """The place of a boat among the boats."""
        return [boat.key for boat in self.boats].index(key)

    def played(self, place: int) -> int:
        """Which of the spells a boat's picture plays, from 0."""
        own = self.boats[place].spell
        return self.spell if own is None else own
