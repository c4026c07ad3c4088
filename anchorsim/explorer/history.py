"""Undo and redo: the scenarios that were on screen, in a value of its own."""

from __future__ import annotations

from dataclasses import dataclass, replace

from anchorsim.scenario.scenario import Scenario

MOST = 40  # that are kept


@dataclass(frozen=True)
class History:
    """The scenario on screen, those before it and those that were undone, the nearest of each last.

    ``moved``: the path whose move led to ``now``; further moves of the same one are one step.
    """

    now: Scenario
    past: tuple[Scenario, ...] = ()
    future: tuple[Scenario, ...] = ()
    moved: str = ""

    def turned_to(self, scenario: Scenario, moved: str = "") -> History:
        """Another scenario on screen, by a move of a path or as a whole."""
        if scenario == self.now:
            return self
        if moved and moved == self.moved and self.past:
            return replace(self, now=scenario, future=())
        return History(scenario, (*self.past, self.now)[-MOST:], (), moved)

    def undone(self) -> History:
        """The one before on screen; the same where there is none."""
        if not self.past:
            return self
        return History(self.past[-1], self.past[:-1], (*self.future, self.now))

    def redone(self) -> History:
        """The one that was undone on screen again; the same where there is none."""
        if not self.future:
            return self
        return History(self.future[-1], (*self.past, self.now), self.future[:-1])

    def paused(self) -> History:
        """The same, whose next move is a step of its own."""
        return replace(self, moved="")
