"""Set-ups laid over each other: each with one letter, colour and dash, the same in every view."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import zip_longest
from typing import Any

from anchorsim.figures.scene import Scene
from anchorsim.figures.style import DASHES, LETTERS, Theme, plain, tint

_ROOM = 16  # characters of names that stand in a title beside the letters
STROKES = dict(zip(DASHES, ("━━", "╍╍", "┉┉", "━·"), strict=True))


@dataclass(frozen=True)
class Setup:
    """A scene as it is drawn among others; one that is alone has no letter and the colours of its parts."""

    scene: Scene
    letter: str
    colour: str
    dash: str


def line_of(setup: Setup | None, look: Theme, width: float, opacity: float = 1.0) -> dict[str, Any]:
    """A set-up's own plotly line; one that draws nothing where there is no set-up."""
    colour, dash = (setup.colour, setup.dash) if setup else (look.ink, "solid")
    return {"color": tint(colour, opacity), "dash": dash, "width": look.stroke(width)}


def setups(now: Scene, others: Sequence[Scene], look: Theme) -> tuple[Setup, ...]:
    """The scene in front and up to three others.  Those without a letter take the first that is free.

    Raises ValueError for more than three others and for a letter that is not one of A to D or stands twice.
    """
    scenes = [now, *others]
    given = [scene.letter for scene in scenes if scene.letter]
    if len(scenes) > len(LETTERS) or len(set(given)) < len(given) or not set(given) <= set(LETTERS):
        raise ValueError(
            f"others: {len(others)} with letters {given}. Expected up to three, each with its own letter of "
            f"{', '.join(LETTERS)}; leave out some or change their letters"
        )
    free = iter([letter for letter in LETTERS if letter not in given])
    return tuple(_drawn(scene, scene.letter or next(free), bool(others), look) for scene in scenes)


def _drawn(scene: Scene, letter: str, among_others: bool, look: Theme) -> Setup:
    if not among_others:
        return Setup(scene, "", look.load, "solid")
    return Setup(scene, letter, *drawn_as(letter, look))


def drawn_as(letter: str, look: Theme) -> tuple[str, str]:
    """Colour and dash of a set-up, by its letter."""
    place = LETTERS.index(letter)
    return look.setups[place], DASHES[place]


def slots(shown: Sequence[Setup]) -> list[Setup | None]:
    """The others, and None for each of the three that is not there: views have the same traces always."""
    return [other for other, _ in zip_longest(shown[1:], LETTERS[1:])]


def key(shown: Sequence[Setup]) -> str:
    """The letters with their lines, for a view's title; with the names where these differ and are short."""
    if len(shown) == 1:
        return ""
    names = [setup.scene.name for setup in shown]
    named = len(set(names)) == len(names) and sum(map(len, names)) <= _ROOM
    by_letter = sorted(shown, key=lambda setup: setup.letter)
    return "  ".join(
        f'<span style="color:{one.colour}">{STROKES[one.dash]}</span> <b>{one.letter}</b>'
        + (f" {plain(one.scene.name)}" if named else "")
        for one in by_letter
    )
