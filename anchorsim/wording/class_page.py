"""The page that a class opens: values of its controls, the question, what came of it, and how to check it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from anchorsim.core.units import System, quantity, show, si
from anchorsim.numerics.interval import Interval
from anchorsim.risk.assessment import Assessment
from anchorsim.scenario.paths import Variable
from anchorsim.wording import amounts
from anchorsim.wording.assessment import gist, spell_of
from anchorsim.wording.sources import KINDS
from anchorsim.wording.terms import local

CHOICES = (
    ("a third or less", 1 / 3),
    ("half", 0.5),
    ("about the same", 1.0),
    ("1½ times", 1.5),
    ("twice", 2.0),
    ("3 times or more", 3.0),
)
"""What the class may guess: words, and the ratio that each is nearest to."""

RECORD = "The wind record that this scenario names must lie beside the file."
ONE_SPELL = "One spell proves little. Another spell of the same weather gives other figures."


def value(variable: Variable, given: Any, system: System) -> str:
    """A value of a control: ``5:1``, ``25 kn``, ``none``, ``firm sand``."""
    if variable.path == "tackle.scope":
        return amounts.scope(given)
    if isinstance(given, bool):
        return "yes" if given else "no"
    if isinstance(given, str):
        return local(given, system)
    if isinstance(given, int | float):
        return f"{given:g}"
    if si(given) == 0.0 and variable.unit != "degree":
        return "none"
    return show(given, variable.unit, system)


def label(variable: Variable, system: System) -> str:
    """What a control is called."""
    return local(variable.label, system)


def question(asked: str, first: str, second: str, rest: str) -> str:
    """What the class is asked before anything moves."""
    alike = f" (both with {rest})" if rest else ""
    return f"What is the {asked} with {first}, compared with {second}{alike}?"


def nearest(ratio: float) -> int:
    """The place of the choice that a ratio is nearest to, by their quotient."""
    return int(np.argmin([abs(math.log(ratio / each)) for _, each in CHOICES]))


def outcome(
    asked: str, ratio: float, amount: Sequence[float], others: NDArray[np.float64], system: System
) -> str:
    """What came of it: ``It was 1.7 times: 2.94 kN against 1.73 kN.``, with the range of other spells."""
    unit, shown = ("m", "m") if asked == "swinging radius" else ("N", "kN")
    first, second = (show(quantity(each, unit), shown, system) for each in amount)
    low, high = float(others.min()), float(others.max())
    return (
        f"It was {ratio:.2g} times: {first} against {second}. In {len(others)} other spells it was "
        f"{low:.2g} to {high:.2g} times."
    )


def capped(drags: Sequence[tuple[str, float]], system: System) -> str:
    """That an anchor which drags caps the load; ``drags`` are the boats whose anchors did, and how far (m)."""
    said = [f"With {name} the anchor dragged {amounts.length(far, system)}." for name, far in drags]
    return " ".join([*said, "A dragging anchor caps the load."] if said else [])


def ended(found: Assessment) -> str:
    """What becomes of her in the one spell: ``Anchor holds``."""
    return gist(found).partition(",")[0]


def caption(found: Assessment, seed: int) -> str:
    """Which run the figures are of: ``Figures of one 5-minute spell, gust sequence 1``."""
    return f"Figures of one {spell_of(found)}, gust sequence {seed}"


def spell_labels(found: Assessment) -> tuple[str, str]:
    """What the two figures of :func:`spells` are."""
    return f"Peak load in {len(found)} other spells", "Drags"


def holding(found: Interval, system: System) -> str:
    """What stands at the band of the anchor's holding."""
    return f"anchor's holding {amounts.force(found.low, system)} to {amounts.force(found.high, system)}"


def wll(part: str, load: float, system: System) -> str:
    """What stands at the line of a part's WLL."""
    return f"WLL of the {amounts.lower(local(part, system))}, {amounts.force(load, system)}"


def spells(found: Assessment, system: System) -> tuple[str, str]:
    """Peak load over the other spells with its range, and in how many of them the anchor dragged."""
    dragged = amounts.in_spells(found.count("dragged"), len(found))
    return str(amounts.span(found.peak_load, system)), dragged


def sources(found: Assessment, system: System) -> list[str]:
    """Where the ratings of the parts come from, one a line."""
    return [
        f"{local(part.name, system)}: {part.as_new.source} ({amounts.lower(KINDS[part.as_new.kind])})"
        for part in found.states
    ]
