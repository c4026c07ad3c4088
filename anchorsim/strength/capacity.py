"""The strength left of each part as it was found, against its load."""

from __future__ import annotations

import functools
import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from anchorsim.numerics.interval import WHOLE, Interval
from anchorsim.scenario.scenario import Scenario
from anchorsim.strength.components import GearPart, gear
from anchorsim.strength.degradation import Effect, State, behaving, described, state_of, states

Floats = NDArray[np.float64]

SLACK = WHOLE * 0.0
ALSO = {"windlass": ("gypsy",), "bitter end": ("locker",)}  # parts whose findings weaken another


@dataclass(frozen=True)
class PartState:
    """A part in line with its load, its WLL and its strength left, N, each low, likely and high.

    ``as_new`` is the part as its table has it, ``wll`` and ``strength_left`` what the findings leave of that.
    """

    as_new: GearPart
    load: Interval
    wll: Interval
    strength_left: Interval
    effects: tuple[Effect, ...]
    unfit: bool

    @property
    def key(self) -> str:
        """Its name in ``data/parts.csv``."""
        return self.as_new.key

    @property
    def name(self) -> str:
        """What it is called on screen and in a report."""
        return self.as_new.name

    @property
    def spare(self) -> bool:
        """Whether it carries load only at full run-out."""
        return self.as_new.carries == "if all runs out"

    @property
    def cracked(self) -> bool:
        """Whether it is cracked, so that it can break at any load and has no safety factor."""
        return any(effect.finding.row().get("told") == "cracked" for effect in self.effects)

    @property
    def doubts(self) -> tuple[Effect, ...]:
        """What was found that is told in words: it holds in full until that gives way."""
        return tuple(effect for effect in self.effects if effect.counted == "words")

    @property
    def utilisation(self) -> Interval:
        """Load over what is left of the WLL; above 1 the part is overloaded."""
        return _over(self.load, self.wll)

    @property
    def safety_factor(self) -> Interval:
        """Strength left over the load."""
        return _over(self.strength_left, self.load)

    @property
    def bow_load_at_break(self) -> Interval:
        """Load at the bow (N) at which it breaks; infinite where the chain inboard of a snubber takes it."""
        if self.as_new.carries == "behind the snubber":
            return Interval(*(self.as_new.most + load for load in self.strength_left))
        return Interval(*(load if load <= self.as_new.most else math.inf for load in self.strength_left))


def loaded(scenario: Scenario, bow: Interval = SLACK, anchor: Interval = SLACK) -> tuple[PartState, ...]:
    """The parts as found, from the anchor aft, under loads at the bow and at the anchor (N)."""
    scenario = described(scenario)
    found = states(scenario)
    as_new = gear(behaving(scenario, found).vary({"tackle.anchor": scenario.tackle.anchor}))
    return tuple(_part(entry, found, bow, anchor) for entry in as_new)


def in_line(scenario: Scenario, bow: Interval = SLACK, anchor: Interval = SLACK) -> tuple[PartState, ...]:
    """As :func:`loaded`, but what carries load only at full run-out."""
    return tuple(part for part in loaded(scenario, bow, anchor) if not part.spare)


def carried(parts: Sequence[PartState], bow: Floats, anchor: Floats) -> Floats:
    """Loads (N) on some parts under many loads at the bow and at the anchor (N, (n,)): (parts, n)."""
    return np.array(
        [
            [part.as_new.load(*pull) for pull in zip(bow.tolist(), anchor.tolist(), strict=True)]
            for part in parts
        ]
    )


def _part(entry: GearPart, found: dict[str, State], bow: Interval, anchor: Interval) -> PartState:
    own = [found[key] for key in (entry.key, *ALSO.get(entry.key, ())) if key in found]
    through = [effect for effect in found.get(entry.made_of, State()).effects if effect.throughout]
    bearing = [*own, *([state_of(through)] if through else [])]
    left = functools.reduce(Interval.__mul__, (state.strength for state in bearing), WHOLE)
    return PartState(
        as_new=entry,
        load=Interval(*(entry.load(pull, low) for pull, low in zip(bow, anchor, strict=True))),
        wll=entry.wll * left,
        strength_left=entry.mbl * left,
        effects=tuple(effect for state in bearing for effect in state.effects),
        unfit=any(state.unfit for state in own),
    )


def _over(above: Interval, below: Interval) -> Interval:
    """One over another: the low over the high, the likely over the likely, the high over the low."""
    return Interval(
        _ratio(above.low, below.high), _ratio(above.likely, below.likely), _ratio(above.high, below.low)
    )


def _ratio(above: float, below: float) -> float:
    if below > 0:
        return above / below
    return math.inf if above > 0 else 0.0
