"""A lesson that has been run: every boat of its plan through the same spells, and what they come to."""

from __future__ import annotations

import functools
import math
import threading
from collections.abc import Callable, Mapping
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from anchorsim.core import arguments
from anchorsim.core.display import Drawn, Said, line
from anchorsim.dynamics.run import Run
from anchorsim.dynamics.simulation import simulate
from anchorsim.lessons.catalogue import PLANS
from anchorsim.lessons.plan import Boat, Claim, Figure, Measured, Plan
from anchorsim.risk.assessment import Assessment
from anchorsim.risk.clearances import gap
from anchorsim.risk.draws import draw
from anchorsim.risk.monte_carlo import numbers_from, of_runs
from anchorsim.scenario.scenario import Scenario
from anchorsim.strength.degradation import as_found

Floats = NDArray[np.float64]

_ONE_AT_A_TIME = threading.Lock()
_SETTLED = 600  # samples, a minute, after which a boat sheers as she goes on to
_ENDS = (5.0, 95.0)  # per cent of the time within which her heading lies: what she sheers through


@dataclass(frozen=True, eq=False)
class Lesson(Said, Drawn):
    """What the boats of a lesson come to in the same spells.

    Attributes
    ----------
    plan : Plan
        The question, the boats, the choices and the claims.
    assessments : tuple of Assessment
        One a boat, of the same spells.
    runs : tuple of Run
        One a boat: the spell that the picture plays.
    si : mapping of str to (boats, spells) float64 array
        What is measured in each spell: load at the bow (N), uplift (rad), drag (m), sheer (rad), gap to the
        first boat (m), margin (strength left of the weakest part over its load), used (share of holding).
    right : int
        The place of the choice that is nearest to what came out.

    Examples
    --------
    >>> found = lesson("scope", count=2)
    >>> found
    <Lesson scope: boats 3, spells 2>
    >>> [boat.key for boat in found.plan.boats]
    ['3:1', '5:1', '7:1']
    """

    plan: Plan
    assessments: tuple[Assessment, ...]
    runs: tuple[Run, ...]
    si: Mapping[str, Floats]

    def __repr__(self) -> str:
        facts = [("boats", str(len(self.runs))), ("spells", str(len(self.assessments[0])))]
        return line(f"Lesson {self.plan.key}", facts)

    @property
    def right(self) -> int:
        """The place of the choice that is nearest to what came out."""
        found = self.figure_of(self.plan.asked)
        return min(range(len(self.plan.choices)), key=lambda place: abs(self.plan.choices[place] - found))

    def spell(self, place: int) -> int:
        """The place, among the spells, of the one that the picture of the boat at a ``place`` plays."""
        return self.plan.played(place) % len(self.assessments[0])

    def figure_of(self, asked: Figure) -> float:
        """A figure of the spells (``asked``), in SI; NaN of none."""
        values = self.si[asked.measured][self.plan.boat(asked.boat)]
        if asked.among is not None:
            values = values[values >= asked.among]
        if values.size == 0:
            return math.nan
        if asked.least is not None:
            return float(np.mean(values >= asked.least))
        found = float(np.median(values))
        if not asked.against:
            return found
        other = float(np.median(self.si[asked.measured][self.plan.boat(asked.against)]))
        return found / other if other > 0.0 else math.inf

    def holds(self, claim: Claim) -> bool:
        """Whether what is taught (a ``claim`` of the plan) is so in these spells."""
        return claim.low <= self.figure_of(claim.figure) <= claim.high


def lesson(name: str, count: int | None = None, first: int = 0) -> Lesson:
    """Run one of the lessons: all its boats through the same spells.

    Parameters
    ----------
    name : str
        Which: scope, rodes, snubber, sheering, tide, squall, neighbours, weakest or chance.
    count : int, optional
        How many spells of each boat; as many as the lesson has where it is not given.
    first : int
        Number of the first spell, 0 or more.

    Returns
    -------
    Lesson
        What they come to.

    Raises
    ------
    ArgumentError
        Where there is no such lesson, or a number makes no sense.

    Examples
    --------
    >>> "of the peak load with a long snubber" in lesson("snubber", count=2).sentence()
    True
    """
    key = arguments.one_of("name", name, list(PLANS))
    several = None if count is None else arguments.count("count", count)
    return run(key, several, arguments.count("first", first, 0))


@dataclass(frozen=True, eq=False)
class _Ran:
    """A scenario with its spells: what they come to, and every run."""

    assessment: Assessment
    runs: tuple[Run, ...]


def run(key: str, count: int | None = None, first: int = 0, tried: str = "") -> Lesson:
    """As :func:`lesson`, with one of its further changes where its key is given; kept for next time."""
    with _ONE_AT_A_TIME:  # a second that asks for the same waits for the first
        return _run(key, count or PLANS[key].spells, first, tried)


@functools.lru_cache(maxsize=32)
def _run(key: str, count: int, first: int, tried: str) -> Lesson:
    plan = PLANS[key]
    numbers = numbers_from(first, count).tolist()
    more = dict(plan.tries[tried]) if tried else {}
    scenarios = [Scenario().vary({**plan.base, **boat.changes, **more}) for boat in plan.boats]
    known = {scenario: _ran(scenario, numbers) for scenario in dict.fromkeys(scenarios)}
    ran = [known[scenario] for scenario in scenarios]
    measured: set[Measured] = {
        *plan.measured,
        plan.asked.measured,
        *(one.figure.measured for one in plan.claims),
    }
    return Lesson(
        plan,
        tuple(each.assessment for each in ran),
        tuple(each.runs[plan.played(place) % count] for place, each in enumerate(ran)),
        {
            name: np.array(
                [_MEASURES[name](own, ran[0], boat) for own, boat in zip(ran, plan.boats, strict=True)]
            )
            for name in measured
        },
    )


def _ran(scenario: Scenario, numbers: list[int]) -> _Ran:
    behaves, chances = as_found(scenario), [draw(number) for number in numbers]
    with ThreadPoolExecutor() as pool:
        runs = list(pool.map(lambda chance: simulate(behaves, **chance._asdict()), chances))
    found = Assessment(scenario, of_runs(behaves, list(zip(chances, runs, strict=True))))
    return _Ran(found, tuple(runs))


def _sheer(own: _Ran, _: _Ran, __: Boat) -> Floats:
    """What she sheers through: the width within which her heading lies in nine tenths of the time."""
    headings = [np.unwrap(run.si.heading)[_SETTLED:] for run in own.runs]
    return np.array([np.ptp(np.percentile(heading, _ENDS)) for heading in headings])


def _gap(own: _Ran, first: _Ran, boat: Boat) -> Floats:
    """How near she comes to the first boat; without end for that one itself."""
    if boat.at == (0.0, 0.0):
        return np.full(len(own.runs), math.inf)
    return np.array(
        [gap(mine, theirs, *boat.at).min() for mine, theirs in zip(first.runs, own.runs, strict=True)]
    )


def _margin(own: _Ran, _: _Ran, __: Boat) -> Floats:
    """The strength left of the part that is nearest to breaking, over its load."""
    left = np.array([[part.strength_left.likely] for part in own.assessment.states])
    return np.asarray((left / np.maximum(own.assessment.loads.m, 1e-9)).min(axis=0))


_MEASURES: Mapping[Measured, Callable[[_Ran, _Ran, Boat], Floats]] = {
    "load": lambda own, _, __: own.assessment.spells.peak_load,
    "uplift": lambda own, _, __: own.assessment.spells.uplift,
    "drag": lambda own, _, __: own.assessment.spells.drag,
    "used": lambda own, _, __: own.assessment.spells.holding_used,
    "sheer": _sheer,
    "gap": _gap,
    "margin": _margin,
}
