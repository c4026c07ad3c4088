"""What the lengths of the rode stand as new: chain, rope and snubber."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from anchorsim.core.tables import Row
from anchorsim.core.units import si
from anchorsim.mooring.rode import assemble
from anchorsim.scenario import tackle
from anchorsim.scenario.scenario import Scenario


@dataclass(frozen=True)
class Part:
    """A part that carries the pull: working and breaking load (N) and where they come from.

    ``most`` is the greatest load (N) that can come on it: a snubber carries no more once the chain behind it
    has come tight, infinite for the others.
    """

    name: str
    wll: float
    mbl: float
    source: str
    kind: str
    most: float = np.inf


def parts(scenario: Scenario) -> tuple[Part, ...]:
    """The parts of the rode that is out, from the anchor to the bow, nylon as strong as it is when wet.

    A bridle's leg counts as carrying the whole pull, which comes on it when she sheers past its angle.
    """
    rode, gear = assemble(scenario), scenario.tackle
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
    mbl = tackle.wet_break(construction, row)
    return Part(name, row["working load"] * mbl / row["break"], mbl, row.source, row.kind, most)


def _take_up(snubber: tackle.Snubber, row: Row, length: float) -> float:
    """Pull (N) at which slack chain behind a snubber comes tight; infinite where the rope breaks first."""
    load, strain, _ = tackle.stretch(snubber.rope)
    wanted = si(snubber.slack) / length / snubber.stretch
    if wanted > strain[-1]:
        return np.inf
    return float(np.interp(wanted, strain, load)) * snubber.legs * tackle.wet_break(snubber.rope, row)
