"""The odds that are always live: a few spells with the picture, then ever more while a person looks."""

from __future__ import annotations

import threading
from collections.abc import Callable
from concurrent.futures import CancelledError

import numpy as np

from anchorsim.explorer.pace import Pace
from anchorsim.risk.assessment import Assessment, assess
from anchorsim.risk.outcome import SELDOM

SPELLS = 8  # that come with the picture, which is one of them
COUNTS = (100, 400)  # spells after that, one count after the other
REST = 2.0  # s that a person looks before the next begins: a move within them has the machine to itself

FIRST, MEDIAN, BAD = "first", "median", "bad"  # spells that a person can choose to see
_SHARE = {MEDIAN: 0.5, BAD: 1.0 - SELDOM}

Told = Callable[[Assessment], None]


class Odds:
    """Runs further spells aside, and tells each count when it is there; a new beginning ends the old one."""

    def __init__(self, pace: Pace, told: Told, prepared: Callable[[Assessment], object]) -> None:
        self._pace, self._told, self._prepared = pace, told, prepared
        self._stop = threading.Event()

    def begin(self, known: Assessment) -> None:
        """Go on from what is known."""
        self.end()
        self._stop = stop = threading.Event()
        if self._pace.alive:
            self._next(known, COUNTS, stop)

    def end(self) -> None:
        """Leave off."""
        self._stop.set()

    def _next(self, known: Assessment, counts: tuple[int, ...], stop: threading.Event) -> None:
        if not counts or stop.is_set():
            return
        count, *later = counts

        def work() -> Assessment | None:
            try:
                found = assess(
                    known.scenario, count, clear_radius=known.clear_radius, known=known, cancel=stop.is_set
                )
                self._prepared(
                    found
                )  # what is counted from it is counted here, so that the screen stays alive
            except CancelledError:
                return None
            return None if stop.is_set() else found

        def then(found: Assessment | None) -> None:
            if found is not None and not stop.is_set():
                self._told(found)
                self._pace.after(REST, lambda: self._next(found, tuple(later), stop))

        self._pace.aside(work, then)


def number_of(found: Assessment | None, which: str) -> int:
    """The number of the spell whose peak load at the bow is the median, or the one that 1 in 20 passes."""
    if found is None or which not in _SHARE:
        return 0
    order = np.argsort(found.spells.peak_load, kind="stable")
    return int(found.spells.number[order[round(_SHARE[which] * (len(found) - 1))]])
