"""What a page holds: one run for each choice, its figures, and what the class is asked."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import CancelledError, Executor
from dataclasses import dataclass
from typing import Any, Literal, get_args

import numpy as np
from numpy.typing import NDArray

from anchorsim.classroom.grid import Axis, Place, axes, places, scenarios
from anchorsim.core import arguments
from anchorsim.core.units import quantity, quoted
from anchorsim.dynamics.run import Run
from anchorsim.dynamics.simulation import simulate
from anchorsim.figures import Scene
from anchorsim.figures.scenes import scene_of
from anchorsim.risk.assessment import Assessment, assess_each
from anchorsim.risk.draws import Draw
from anchorsim.risk.monte_carlo import SpellsStoppedError, numbers_from, of_runs
from anchorsim.risk.workers import WorkersStopped, result, submit, workers_of
from anchorsim.scenario.scenario import Scenario
from anchorsim.strength.degradation import as_found

Asked = Literal["peak load at the bow", "peak load at the anchor", "swinging radius"]
ASKED: tuple[Asked, ...] = get_args(Asked)
_FIGURE = {
    "peak load at the bow": "peak_load",
    "peak load at the anchor": "peak_anchor_load",
    "swinging radius": "radius",
}
_LONGEST, _MOST_SPELLS, _TITLE = 30.0, 200, 200  # minutes of a run, spells beside it, characters


@dataclass(frozen=True)
class Cell:
    """One choice: its ``run``, what becomes of her in it (``one``), and in some spells of other gusts."""

    place: Place
    run: Run
    scene: Scene
    one: Assessment
    many: Assessment


@dataclass(frozen=True)
class ClassRuns:
    """All that a page is made from: ``scenario`` is as long as the runs, ``cells`` are in order of place."""

    scenario: Scenario
    axes: tuple[Axis, ...]
    cells: tuple[Cell, ...]
    seed: int
    asked: Asked
    title: str

    def compared(self) -> tuple[Cell, Cell]:
        """The two choices that the class is asked about: the ends of the first axis, the middle of others."""
        rest = tuple(len(axis.values) // 2 for axis in self.axes[1:])
        at = {cell.place: cell for cell in self.cells}
        return at[(0, *rest)], at[(len(self.axes[0].values) - 1, *rest)]

    def amounts(self) -> tuple[float, float]:
        """The figure asked for of the two, in N or m: in the run."""
        first, second = (float(getattr(cell.one.spells, _FIGURE[self.asked])[0]) for cell in self.compared())
        return first, second

    def ratio(self) -> tuple[float, NDArray[np.float64]]:
        """How many times the second's figure the first's is: in the run, and in each of the spells."""
        here, there = self.amounts()
        first, second = (getattr(cell.many.spells, _FIGURE[self.asked]) for cell in self.compared())
        return here / there, first / second


def class_runs(
    scenario: Scenario,
    over: Mapping[str, Sequence[Any]],
    *,
    asked: Asked = "peak load at the bow",
    title: str = "",
    minutes: float = 5.0,
    seed: int = 1,
    spells: int = 16,
    executor: Executor | None = None,
    progress: Callable[[int, int], None] | None = None,
    cancel: Callable[[], bool] | None = None,
) -> ClassRuns:
    """Simulate all that a page holds; arguments and errors as for ``class_page``."""
    arguments.instance("scenario", scenario, Scenario, "load one with Scenario.load")
    arguments.one_of("asked", asked, ASKED)
    arguments.count("seed", seed, least=0)
    if arguments.count("spells", spells, least=2) > _MOST_SPELLS:
        raise arguments.refused("spells", f"{spells} is too many", f"2 to {_MOST_SPELLS}", "run fewer")
    if not isinstance(title, str) or len(title) > _TITLE:
        fits = f"text of at most {_TITLE} characters"
        raise arguments.refused("title", f"{quoted(title)} does not fit", fits, "shorten it")
    minutes = arguments.within("minutes", minutes, f"1 to {_LONGEST:g} minutes", 1.0, _LONGEST)
    timed = scenario.vary({"weather.duration": quantity(minutes, "min")})
    grid = axes(timed, over)
    each = list(scenarios(timed, grid))
    whole = len(each) * (1 + spells)

    def tell(done: int) -> None:
        if progress is not None:
            progress(done, whole)

    many = assess_each(
        each, numbers_from(0, spells), executor=executor, progress=lambda done, _: tell(done), cancel=cancel
    )
    runs: list[Run] = []
    try:
        for run in _runs([as_found(one) for one in each], seed, executor, cancel):
            runs.append(run)
            tell(len(each) * spells + len(runs))
    except WorkersStopped as reason:
        raise SpellsStoppedError(tuple(one.spells for one in many), str(reason)) from None
    cells = tuple(_cell(*of_cell, seed) for of_cell in zip(places(grid), each, runs, many, strict=True))
    return ClassRuns(timed, grid, cells, seed, asked, title or scenario.title)


def _runs(
    behave: Sequence[Scenario], seed: int, executor: Executor | None, cancel: Callable[[], bool] | None
) -> Iterator[Run]:
    with workers_of(executor, len(behave)) as workers:
        tasks = [submit(workers, _sailed, one, seed) for one in behave]
        for task in tasks:
            if cancel is not None and cancel():
                for left in tasks:
                    left.cancel()
                raise CancelledError("Stopped. Start again to get a page.")
            yield result(task)


def _sailed(behaves: Scenario, seed: int) -> Run:
    return simulate(behaves, **Draw(seed, 0.5, 1.0)._asdict())


def _cell(place: Place, scenario: Scenario, run: Run, many: Assessment, seed: int) -> Cell:
    one = Assessment(scenario, of_runs(run.scenario, [(Draw(seed, 0.5, 1.0), run)]))
    return Cell(place, run, scene_of(run, scenario, None), one, many)
