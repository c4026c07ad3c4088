"""A limit, and the search for it: the same spells at every value that is tried."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from concurrent.futures import CancelledError, Executor
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from anchorsim.core.display import Said, line
from anchorsim.core.units import Quantity, quantity
from anchorsim.numerics.estimates import FEWEST, quantile
from anchorsim.numerics.interval import Interval
from anchorsim.numerics.threshold import Bools, Floats, Ints, change_overs, smooth
from anchorsim.risk.draws import scores_of
from anchorsim.risk.monte_carlo import Cancel, Progress, Spells, spells_numbered
from anchorsim.scenario.scenario import Scenario
from anchorsim.strength.degradation import as_found

SEARCHES = 5  # times its spells that a search runs, as far as can be told before
_SEEN = 3.0  # spells on the rarer side, below which a limit rests on the smoothing more than on spells
Event = Callable[[Scenario, Spells], Bools]


@dataclass(frozen=True)
class LimitSI:
    """The least and the greatest value that could be ``tried``, in a ``unit`` of SI; empty for a number."""

    tried: tuple[float, float]
    unit: str = ""


@dataclass(frozen=True)
class Limit(Said):
    """The value of a path at which the chance of something passes a level.

    Attributes
    ----------
    path : str
        Path into the scenario of what was varied.
    chance : float
        The level, of a chance per spell.
    found : Interval or None
        The value with its 95 % band; None where the chance passes that level at no value tried.
    tried : tuple of (quantity, quantity)
        The least and the greatest value that could be tried; plain numbers for a scope.
    beyond : {"", "least", "greatest"}
        Beyond which of the two it lies, where there is none.
    spells : int
        How many the search used.
    converged : bool
        Whether the smoothing of the spells came to rest.
    extrapolated : bool
        Whether it rests on the smoothing more than on spells, for too few lie on its rarer side.
    si : LimitSI
        What could be tried as SI floats.

    Examples
    --------
    >>> drags_at = Interval(15.4, 16.1, 16.9, unit="m/s", kind="95 % confidence")
    >>> limit = Limit("weather.mean_wind", 0.05, drags_at, LimitSI((2.6, 40.0), "m/s"), "", spells=200)
    >>> limit
    <Limit: weather.mean_wind 31 kn (30 to 33), for a chance of 0.05>
    >>> round(limit.tried[1].m_as("knot"))
    78
    """

    path: str
    chance: float
    found: Interval | None
    si: LimitSI
    beyond: Literal["", "least", "greatest"]
    spells: int
    converged: bool = True

    def __repr__(self) -> str:
        return line("Limit", [(self.path, self.sentence()), ("for a chance of", f"{self.chance:g}")])

    @property
    def tried(self) -> tuple[Quantity | float, ...]:
        """The least and the greatest value that could be tried; plain numbers for a scope."""
        return tuple(quantity(end, self.si.unit) if self.si.unit else end for end in self.si.tried)

    @property
    def extrapolated(self) -> bool:
        """Whether it rests on the smoothing more than on spells, for too few lie on its rarer side."""
        return min(self.chance, 1.0 - self.chance) * self.spells < _SEEN


@dataclass(frozen=True)
class Search:
    """What all searches share: the spells, where they run, and who spells."""

    scenario: Scenario
    numbers: Ints
    executor: Executor | None
    progress: Progress | None
    cancel: Cancel | None

    def run(self, scenario: Scenario, numbers: Ints) -> Spells:
        """Spells of a variant as found.  Raises CancelledError where they were stopped."""
        found = spells_numbered(as_found(scenario), numbers, executor=self.executor, cancel=self.cancel)
        if not found.complete:
            raise CancelledError("Stopped. Start again to get a result.")
        return found

    def limits(
        self,
        path: str,
        vary: Callable[[float], Scenario],
        event: Event,
        span: tuple[float, float],
        chances: Sequence[float],
        *,
        rising: bool,
        unit: str = "",
    ) -> list[Limit]:
        """The values, in a unit of SI, at which the chance of an event passes each of some chances."""
        done = 0

        def happens(value: float, numbers: Ints) -> Bools:
            nonlocal done
            variant = vary(value)
            outcome = event(variant, self.run(variant, numbers))
            done += len(numbers)
            if self.progress:
                self.progress(done, max(done, SEARCHES * len(self.numbers)))
            return outcome

        changes = change_overs(happens, self.numbers, *span, rising=rising)
        inside = np.count_nonzero((changes >= span[0]) & (changes <= span[1]))
        law = (
            smooth(changes, scores_of(self.numbers)[:, [1, 0]], *span, rising=rising)
            if inside >= FEWEST
            else None
        )

        def limit(chance: float) -> Limit:
            share = chance if rising else 1.0 - chance
            found = law.crossing(chance, *span) if law else _counted(changes, share, span)
            under = float(np.mean(changes < math.sqrt(span[0] * span[1]))) >= share
            beyond: Literal["", "least", "greatest"] = "" if found else "least" if under else "greatest"
            value = replace(found, unit=unit) if found else None
            settled = law is None or law.converged
            return Limit(path, chance, value, LimitSI(span, unit), beyond, len(self.numbers), settled)

        return [limit(chance) for chance in chances]


def _counted(changes: Floats, share: float, span: tuple[float, float]) -> Interval | None:
    """The value under which a share of spells change over, where too few do inside to smooth over."""
    low, high = span
    found = quantile(np.clip(changes, 0.5 * low, 2.0 * high), share)
    if not low <= found.likely <= high:
        return None
    least, most = found.low if found.low >= low else 0.0, found.high if found.high <= high else math.inf
    return replace(found, low=least, high=most)
