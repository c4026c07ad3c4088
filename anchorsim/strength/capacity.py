"""What each part of the tackle still stands as it was found, against what comes on it."""

from __future__ import annotations

import functools
import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from anchorsim.scenario.scenario import Scenario
from anchorsim.strength.components import GearPart, gear
from anchorsim.strength.degradation import WHOLE, Effect, Share, State, behaving, described, state_of, states

Floats = NDArray[np.float64]

SLACK = WHOLE * 0.0
ALSO = {"windlass": ("gypsy",), "bitter end": ("locker",)}  # parts whose findings weaken another


@dataclass(frozen=True)
class PartState:
    """A part in line with its load and what it still stands, N, each low, likely and high.

    ``sound`` is the part as its table has it, ``working`` and ``breaking`` what the findings leave of that.
    """

    sound: GearPart
    load: Share
    working: Share
    breaking: Share
    effects: tuple[Effect, ...]
    condemned: bool

    @property
    def key(self) -> str:
        """Its name in ``data/parts.csv``."""
        return self.sound.key

    @property
    def name(self) -> str:
        """What it is called on screen and in a report."""
        return self.sound.name

    @property
    def spare(self) -> bool:
        """Whether it carries nothing unless all of the rode runs out."""
        return self.sound.carries == "if all runs out"

    @property
    def utilisation(self) -> Share:
        """Load over what is left of the working load; 1 is fully used."""
        return _over(self.load, self.working)

    @property
    def safety_on_working(self) -> Share:
        """What is left of the working load over the load."""
        return _over(self.working, self.load)

    @property
    def safety_on_breaking(self) -> Share:
        """What is left of the breaking load over the load."""
        return _over(self.breaking, self.load)

    @property
    def breaking_pull(self) -> Share:
        """Pull at the bow (N) at which it breaks; infinite where the chain behind a snubber spares it."""
        if self.sound.carries == "behind the snubber":
            return Share(*(self.sound.most + load for load in self.breaking))
        return Share(*(load if load <= self.sound.most else math.inf for load in self.breaking))


def loaded(scenario: Scenario, bow: Share = SLACK, anchor: Share = SLACK) -> tuple[PartState, ...]:
    """The parts as found, from the anchor aft, under pulls at the bow and at the anchor (N)."""
    scenario = described(scenario)
    found = states(scenario)
    sound = gear(behaving(scenario, found).vary({"tackle.anchor": scenario.tackle.anchor}))
    return tuple(_part(entry, found, bow, anchor) for entry in sound)


def in_line(scenario: Scenario, bow: Share = SLACK, anchor: Share = SLACK) -> tuple[PartState, ...]:
    """As :func:`loaded`, but what pulls only if all runs out."""
    return tuple(part for part in loaded(scenario, bow, anchor) if not part.spare)


def carried(parts: Sequence[PartState], bow: Floats, anchor: Floats) -> Floats:
    """Loads (N) on some parts under many pulls at the bow and at the anchor (N, (n,)): (parts, n)."""
    return np.array(
        [
            [part.sound.load(*pull) for pull in zip(bow.tolist(), anchor.tolist(), strict=True)]
            for part in parts
        ]
    )


def _part(entry: GearPart, found: dict[str, State], bow: Share, anchor: Share) -> PartState:
    own = [found[key] for key in (entry.key, *ALSO.get(entry.key, ())) if key in found]
    through = [effect for effect in found.get(entry.made_of, State()).effects if effect.throughout]
    bearing = [*own, *([state_of(through)] if through else [])]
    left = functools.reduce(Share.__mul__, (state.strength for state in bearing), WHOLE)
    return PartState(
        sound=entry,
        load=Share(*(entry.load(pull, low) for pull, low in zip(bow, anchor, strict=True))),
        working=entry.working * left,
        breaking=entry.breaking * left,
        effects=tuple(effect for state in bearing for effect in state.effects),
        condemned=any(state.condemned for state in own),
    )


def _over(above: Share, below: Share) -> Share:
    """One over another: the low over the high, the likely over the likely, the high over the low."""
    return Share(
        _ratio(above.low, below.high), _ratio(above.likely, below.likely), _ratio(above.high, below.low)
    )


def _ratio(above: float, below: float) -> float:
    if below > 0:
        return above / below
    return math.inf if above > 0 else 0.0
