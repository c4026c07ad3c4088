"""Many spells of one scenario: the same for every variant, in parallel, with nothing kept but their figures.

What differs from spell to spell is in ``draws``: the spell's number alone decides it.
"""

from __future__ import annotations

import functools
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import FIRST_COMPLETED, Executor, Future, wait
from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import ArrayLike, NDArray

from anchorsim.core import arguments
from anchorsim.core.display import Facts, Tabled
from anchorsim.core.units import si
from anchorsim.dynamics.run import Run
from anchorsim.dynamics.simulation import simulate
from anchorsim.risk.clearances import Around, Thing, around
from anchorsim.risk.draws import Draw, draw
from anchorsim.risk.spell_figures import single_figures
from anchorsim.risk.workers import Watch, WorkersStopped, died, result, submit, workers_of
from anchorsim.scenario.scenario import Scenario

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Progress = Callable[[int, int], None]
Cancel = Callable[[], bool]

_LONGEST_TASK = 36000.0  # s of spells in one task: a fraction of a second, so that a cancel is soon heard
_TASKS = 16  # at the least, where there are as many spells, to keep all cores busy to the end


Figures = Callable[[Scenario, Sequence[Draw]], Sequence[ArrayLike]]


@dataclass(frozen=True, eq=False, repr=False)
class Counted(Tabled):
    """Which spells of a scenario were run, ``number`` rising; ``asked`` is how many were to be.

    Fewer are here where it was cancelled.
    """

    scenario: Scenario
    asked: int
    number: Ints

    def __len__(self) -> int:
        return len(self.number)

    def _facts(self) -> Facts:
        return [("run", f"{len(self)} of {self.asked}"), ("scenario", self.scenario.title)]

    @property
    def complete(self) -> bool:
        """Whether all that were asked for were run."""
        return len(self) == self.asked


@dataclass(frozen=True, eq=False, repr=False)
class Spells(Counted):
    """The figures of some spells of a scenario: arrays that cannot be written to, a row or a value each.

    peak_load, peak_anchor_load: greatest at the bow and at the anchor, N; uplift: greatest at the anchor,
    rad; radius: farthest that any part of her came from where the anchor was set, m; drag: how far the anchor
    ended from there, m; water: least depth under any part of her, m; holding: as drawn, N; windage: the
    factor drawn; holding_used: greatest share of its holding that the anchor was asked for, 1 where it moved;
    closest: how near she came to each of the ``things`` round her, (spells, things) m.
    """

    peak_load: Floats
    peak_anchor_load: Floats
    uplift: Floats
    radius: Floats
    drag: Floats
    water: Floats
    holding: Floats
    windage: Floats
    holding_used: Floats
    closest: Floats

    @functools.cached_property
    def things(self) -> tuple[Thing, ...]:
        """What lies round her, in the order of the columns of ``closest``."""
        return around(self.scenario).things

    def same_as(self, other: Spells) -> bool:
        """Whether the other spells are these, to the last bit."""
        return self.scenario == other.scenario and all(
            np.array_equal(getattr(self, name), getattr(other, name))
            for name in ("number", *FIGURES, "closest")
        )


FIGURES = tuple(field.name for field in fields(Spells))[3:-1]
"""The names of the single figures of a spell, in order."""


def stopped(done: int, asked: int, reason: str) -> str:
    """The sentence for workers that stopped before all was done."""
    return f"Stopped after {done} of {asked} spells ({reason}). Run again with a new executor."


class SpellsStoppedError(RuntimeError):
    """Workers stopped; what was finished is kept.

    Attributes
    ----------
    each : tuple of Spells
        For every scenario, the spells that were finished before.
    spells : Spells
        Those of the first scenario, or of the only one.

    Examples
    --------
    >>> from concurrent.futures import ThreadPoolExecutor
    >>> closed = ThreadPoolExecutor()
    >>> closed.shutdown()
    >>> try:
    ...     spells(Scenario(), count=2, executor=closed)
    ... except SpellsStoppedError as error:
    ...     print(len(error.spells), error.spells.asked)
    0 2
    """

    def __init__(self, each: tuple[Spells, ...], reason: str) -> None:
        self.each = each
        done, asked = sum(map(len, each)), sum(spells.asked for spells in each)
        super().__init__(stopped(done, asked, reason))

    @property
    def spells(self) -> Spells:
        """Those of the first scenario, or of the only one."""
        return self.each[0]


def spells(
    scenario: Scenario,
    count: int = 200,
    *,
    first: int = 0,
    known: Spells | None = None,
    executor: Executor | None = None,
    progress: Progress | None = None,
    cancel: Cancel | None = None,
) -> Spells:
    """Spells ``first`` to ``first + count - 1`` of a scenario, on all cores.

    ``known``: spells of the same scenario that were run before, which are not run again.  ``executor``: any
    of ``concurrent.futures``, in place of threads on this machine; the result is the same to the last bit.
    ``progress`` is called now and then with how many are done and how many there are; ``cancel`` is asked
    several times a second whether to stop, and then the spells that are done are given back.

    A cluster that has had no workers for a quarter of a minute counts as stopped: wait for its first ones
    before (``client.wait_for_workers(1)``).

    Raises ArgumentError where a number makes no sense, SpellsStoppedError where workers die, and what
    ``simulate`` raises.
    """
    numbers = numbers_from(first, count)
    return spells_numbered(
        scenario, numbers, known=known, executor=executor, progress=progress, cancel=cancel
    )


def numbers_from(first: int, count: int) -> Ints:
    """The numbers of ``count`` spells.  Raises ArgumentError where one of the two makes no sense."""
    count, first = arguments.count("count", count), arguments.count("first", first, 0)
    return np.arange(first, first + count, dtype=np.int64)


def spells_numbered(
    scenario: Scenario,
    numbers: Ints,
    *,
    known: Spells | None = None,
    executor: Executor | None = None,
    progress: Progress | None = None,
    cancel: Cancel | None = None,
) -> Spells:
    """As :func:`spells`, for spells of any numbers, rising."""
    (found,) = spells_each(
        [scenario], numbers, known=[known], executor=executor, progress=progress, cancel=cancel
    )
    return found


def spells_each(
    scenarios: Sequence[Scenario],
    numbers: Ints,
    *,
    known: Sequence[Spells | None],
    executor: Executor | None = None,
    progress: Progress | None = None,
    cancel: Cancel | None = None,
) -> tuple[Spells, ...]:
    """As :func:`spells_numbered`, of several scenarios at once: no worker waits for the last of one."""
    widths = [len(FIGURES) + len(around(scenario).things) for scenario in scenarios]
    tables = np.full((len(scenarios), len(numbers), max(widths, default=0)), np.nan)
    for table, scenario, some in zip(tables, scenarios, known, strict=True):
        if some is not None:
            _put_known(table, scenario, numbers, some)
    reason = fill(figures_of, scenarios, numbers, tables, executor=executor, progress=progress, cancel=cancel)
    found = tuple(
        _gathered(scenario, numbers, table[:, :width])
        for scenario, table, width in zip(scenarios, tables, widths, strict=True)
    )
    if reason is not None:
        raise SpellsStoppedError(found, reason)
    return found


def fill(
    of_spells: Figures,
    scenarios: Sequence[Scenario],
    numbers: Ints,
    tables: Floats,
    *,
    executor: Executor | None = None,
    progress: Progress | None = None,
    cancel: Cancel | None = None,
) -> str | None:
    """Fill in the rows of ``tables`` (scenarios, spells, figures) that are NaN, in parallel.

    ``of_spells(scenario, draws)`` gives a row each; it is sent to other processes by its name.  The
    scenarios are run together: no worker waits for the last spell of one.  Rows are left as they were where
    it is cancelled or where the workers stop; gives back why they stopped, or None.
    """
    missing = [np.flatnonzero(np.isnan(table[:, 0])) for table in tables]
    try:
        with workers_of(executor, sum(map(len, missing))) as workers:
            for which, places, rows in _finished(workers, of_spells, scenarios, numbers, missing, cancel):
                tables[which, places, : rows.shape[1]] = rows
                if progress:
                    progress(int(np.count_nonzero(~np.isnan(tables[:, :, 0]))), len(tables) * len(numbers))
    except WorkersStopped as stopped:
        return str(stopped)
    return None


def _put_known(table: Floats, scenario: Scenario, numbers: Ints, known: Spells) -> None:
    if known.scenario != scenario:
        raise arguments.refused(
            "known", "from another scenario", "this scenario's", "omit it to run new spells"
        )
    _, here, there = np.intersect1d(numbers, known.number, return_indices=True)
    rows = np.column_stack([*(getattr(known, name) for name in FIGURES), known.closest])
    table[here, : rows.shape[1]] = rows[there]


def _gathered(scenario: Scenario, numbers: Ints, table: Floats) -> Spells:
    done = ~np.isnan(table[:, 0])
    columns: list[Floats] = [np.ascontiguousarray(column) for column in table[done, : len(FIGURES)].T]
    columns.append(np.ascontiguousarray(table[done, len(FIGURES) :]))
    for array in (found := numbers[done], *columns):
        array.flags.writeable = False
    return Spells(scenario, len(numbers), found, *columns)


Task = tuple[int, NDArray[np.intp]]  # which scenario, and the places of the spells


def _tasks(
    scenarios: Sequence[Scenario], numbers: Ints, missing: Sequence[NDArray[np.intp]]
) -> Iterator[Task]:
    least = -(-sum(map(len, missing)) // _TASKS)
    for which, (scenario, places) in enumerate(zip(scenarios, missing, strict=True)):
        size = max(1, min(int(_LONGEST_TASK / si(scenario.weather.duration)), least))
        for start in range(0, len(places), size):
            yield which, places[start : start + size]


def _finished(
    workers: Executor,
    of_spells: Figures,
    scenarios: Sequence[Scenario],
    numbers: Ints,
    missing: Sequence[NDArray[np.intp]],
    cancel: Cancel | None,
) -> Iterator[tuple[int, NDArray[np.intp], Floats]]:
    """The spells at ``missing`` places of ``numbers``, as tasks are finished, with their rows of figures.

    Where it is cancelled, tasks that have begun are waited for.
    """
    tasks: dict[Future[Floats | Exception], Task] = {}
    try:
        for which, places in _tasks(scenarios, numbers, missing):
            mine = [int(number) for number in numbers[places]]
            task = submit(workers, _run, of_spells, scenarios[which], mine)
            tasks[task] = which, places
        pending, stopped, watch = set(tasks), False, Watch(workers)
        while pending:
            if not stopped and cancel and cancel():
                pending, stopped = {task for task in pending if not task.cancel()}, True
            done, pending = wait(pending, timeout=0.1, return_when=FIRST_COMPLETED)
            if not done:
                watch.look()
            for task in sorted(done, key=died):
                rows = result(task)
                if isinstance(rows, Exception):
                    raise rows
                yield *tasks.pop(task), rows
    finally:
        for task in tasks:
            task.cancel()


def _run(of_spells: Figures, scenario: Scenario, numbers: list[int]) -> Floats | Exception:
    """Figures of some spells, a row each; what a spell raises is given back, for what an executor raises
    tells of its workers."""
    try:
        return np.array(of_spells(scenario, [draw(number) for number in numbers]))
    except Exception as error:  # whatever it is, it is the scenario's, and not the worker's
        return error


def figures_of(scenario: Scenario, chances: Sequence[Draw]) -> list[tuple[float, ...]]:
    """What is kept of each spell: the FIGURES, then how near she came to each thing round her."""
    there = around(scenario)  # once: to look it up for each takes as long as half a spell
    return [_figures(simulate(scenario, **chance._asdict()), chance, there) for chance in chances]


def single_figures_of(scenario: Scenario, chances: Sequence[Draw]) -> list[tuple[float, ...]]:
    """The FIGURES alone of each spell."""
    return [single_figures(simulate(scenario, **chance._asdict()), chance) for chance in chances]


def _figures(run: Run, chance: Draw, there: Around) -> tuple[float, ...]:
    return (*single_figures(run, chance), *there.distances(run, chance))


def of_runs(scenario: Scenario, runs: Sequence[tuple[Draw, Run]]) -> Spells:
    """Spells from runs of one scenario that there are already, each with what chance gave it."""
    there = around(scenario)
    rows = np.array([_figures(run, chance, there) for chance, run in runs])
    return _gathered(scenario, np.array([chance.seed for chance, _ in runs], dtype=np.int64), rows)
