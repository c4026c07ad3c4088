"""What each part of the ground tackle stands, and how a watch ends for it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from anchorsim import tackle
from anchorsim.rode import lay_out
from anchorsim.scenario import Scenario
from anchorsim.swing import Run
from anchorsim.tables import Row
from anchorsim.units import si

Ending = Literal["held", "dragged", "parted"]


@dataclass(frozen=True)
class Part:
    """A part that carries the pull: working and breaking load (N) and where they come from.

    ``most`` is the greatest load (N) that can come on it: a snubber carries no more once the chain behind it
    has come tight, infinite for the others.
    """

    name: str
    working: float
    breaking: float
    source: str
    kind: str
    most: float = np.inf

    def load(self, pull: float) -> float:
        """What it carries (N) of a pull at the bow (N)."""
        return min(pull, self.most)


def parts(scenario: Scenario) -> tuple[Part, ...]:
    """The parts of the rode that is out, from the anchor to the bow, nylon as strong as it is when wet.

    A bridle's leg counts as carrying the whole pull, which comes on it when she sheers past its angle.
    """
    rode, gear = lay_out(scenario), scenario.tackle
    found = []
    if rode.chain > 0:
        row = gear.chain.row()
        found.append(
            Part(
                f"Chain {row['size']} grade {row['grade']}",
                row["working load"],
                row["break"],
                row.source,
                row.kind,
            )
        )
    if rode.rope > 0:
        found.append(
            _rope(f"Rope {gear.rope.row()['size']}", gear.rope.construction, gear.rope.row(), np.inf)
        )
    if rode.snubber > 0:
        snubber, row = gear.snubber, gear.snubber.row()
        name = f"{'Bridle leg' if snubber.legs == 2 else 'Snubber'} {row['size']}"
        take_up = _take_up(snubber, row, rode.snubber)
        found.append(_rope(name, snubber.rope, row, take_up))
    return tuple(found)


def _rope(name: str, construction: str, row: Row, most: float) -> Part:
    breaking = tackle.wet_break(construction, row)
    return Part(name, row["working load"] * breaking / row["break"], breaking, row.source, row.kind, most)


def _take_up(snubber: tackle.Snubber, row: Row, length: float) -> float:
    """Pull (N) at which slack chain behind a snubber comes tight; infinite where the rope breaks first."""
    load, strain, _ = tackle.stretch(snubber.rope)
    wanted = si(snubber.slack) / length / snubber.stretch
    if wanted > strain[-1]:
        return np.inf
    return float(np.interp(wanted, strain, load)) * snubber.legs * tackle.wet_break(snubber.rope, row)


def weakest(scenario: Scenario) -> Part:
    """The part with the lowest working load."""
    return min(parts(scenario), key=lambda part: part.working)


def ending(run: Run) -> Ending:
    """How the watch ended: a part parted, else the anchor dragged, else it held."""
    pull = run.greatest_bow_load
    if any(part.load(pull) > part.breaking for part in parts(run.scenario)):
        return "parted"
    return "dragged" if run.dragged else "held"
