"""Many storms of one scenario: the same for every variant, in parallel, with nothing kept but their outcome.

Three things that nobody knows beforehand differ from storm to storm: the gusts, where in its scatter the
anchor's holding lies, and how far her windage is from what her areas make of it.  Each is drawn from a random
stream of its own that the storm's number alone starts.  So storm 17 is storm 17 for whatever is varied,
however many others are run, in whatever order and wherever.
"""

from __future__ import annotations

import math
import os
from collections.abc import Callable, Iterator
from concurrent.futures import FIRST_COMPLETED, BrokenExecutor, Executor, Future, ThreadPoolExecutor, wait
from contextlib import contextmanager
from dataclasses import dataclass, fields
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from anchorsim.scenario import Scenario
from anchorsim.swing import simulate
from anchorsim.units import si

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Progress = Callable[[int, int], None]
Cancel = Callable[[], bool]

CREEP = 1.0  # m: an anchor that moves less creeps, one that moves farther drags (judgement)
WINDAGE_SPREAD = 0.15  # standard deviation of the logarithm of her windage's factor (judgement)
_HOLDING, _WINDAGE = 0x686F6C64, 0x61726561  # mark the streams; the gusts' own are in turbulence
_LONGEST_TASK = 36000.0  # s of watches in one task: half a second's work, so that a cancel is soon heard
_TASKS = 16  # at the least, where there are as many storms, to keep all cores busy to the end


class Draw(NamedTuple):
    """What chance gives a storm; ``simulate(scenario, **draw(17)._asdict())`` runs storm 17 by itself."""

    seed: int
    holding_quantile: float
    windage: float


def draw(number: int) -> Draw:
    """What chance gives storm ``number``, whatever the scenario.

    The gusts are those of the seed of the same number; the quantile of the holding is uniform; the factor on
    the windage is lognormal about 1.
    """
    quantile = float(_stream(number, _HOLDING).uniform())
    return Draw(
        number, quantile, math.exp(WINDAGE_SPREAD * float(_stream(number, _WINDAGE).standard_normal()))
    )


def _stream(number: int, mark: int) -> np.random.Generator:
    return np.random.Generator(np.random.PCG64(np.random.SeedSequence(number, spawn_key=(mark,))))


@dataclass(frozen=True, eq=False)
class Storms:
    """What storms of a scenario come to: arrays of one length that cannot be written to, one value a storm.

    number: which storms, rising; peak_load, peak_anchor_load: greatest at the bow and at the anchor, N; lift:
    greatest at the anchor, rad; room: farthest that any part of her came from where the anchor was let go, m;
    drag: how far the anchor ended from there, m; holding: as drawn, N; windage: the factor drawn.
    ``asked`` is how many were to be run; fewer are here where it was cancelled.
    """

    scenario: Scenario
    asked: int
    number: Ints
    peak_load: Floats
    peak_anchor_load: Floats
    lift: Floats
    room: Floats
    drag: Floats
    holding: Floats
    windage: Floats

    def __len__(self) -> int:
        return len(self.number)

    @property
    def complete(self) -> bool:
        """Whether all that were asked for were run."""
        return len(self) == self.asked

    @property
    def dragged(self) -> NDArray[np.bool_]:
        """In which storms the anchor dragged; one that only crept is not counted."""
        return np.asarray(self.drag >= CREEP)

    def same_as(self, other: Storms) -> bool:
        """Whether the other storms are these, to the last bit."""
        return self.scenario == other.scenario and all(
            np.array_equal(getattr(self, name), getattr(other, name)) for name in ("number", *FIGURES)
        )


FIGURES = tuple(field.name for field in fields(Storms))[3:]
"""The names of what is known of each storm, in order."""


class StormsStoppedError(RuntimeError):
    """Workers died.  ``storms`` are those that were finished before."""

    def __init__(self, storms: Storms) -> None:
        self.storms = storms
        super().__init__(
            f"a worker process died after {len(storms)} of {storms.asked} storms; needed workers that live "
            "to the end; run the rest with a new executor, giving this error's `storms` as `known`"
        )


def storms(
    scenario: Scenario,
    count: int = 200,
    *,
    first: int = 0,
    known: Storms | None = None,
    executor: Executor | None = None,
    progress: Progress | None = None,
    cancel: Cancel | None = None,
) -> Storms:
    """Storms ``first`` to ``first + count - 1`` of a scenario, on all cores.

    ``known``: storms of the same scenario that were run before, which are not run again.  ``executor``: any
    of ``concurrent.futures``, in place of threads on this machine; the result is the same to the last bit.
    ``progress`` is called now and then with how many are done and how many there are; ``cancel`` is asked
    several times a second whether to stop, and then the storms that are done are given back.

    Raises ValueError where a number makes no sense, StormsStoppedError where workers die, and what
    :func:`anchorsim.simulate` raises.
    """
    _check_number("count", count, 1)
    _check_number("first", first, 0)
    numbers = np.arange(first, first + count, dtype=np.int64)
    return storms_numbered(
        scenario, numbers, known=known, executor=executor, progress=progress, cancel=cancel
    )


def _check_number(name: str, given: int, least: int) -> None:
    if isinstance(given, bool) or not isinstance(given, int | np.integer) or given < least:
        raise ValueError(f"{name}: {given!r} storms cannot be; needed a whole number from {least}; give one")


def storms_numbered(
    scenario: Scenario,
    numbers: Ints,
    *,
    known: Storms | None = None,
    executor: Executor | None = None,
    progress: Progress | None = None,
    cancel: Cancel | None = None,
) -> Storms:
    """As :func:`storms`, for storms of any numbers, rising."""
    if known is not None and known.scenario != scenario:
        raise ValueError(
            "known: these are storms of another scenario; needed some of this one; leave them out"
        )
    table = np.full((len(numbers), len(FIGURES)), np.nan)
    if known is not None:
        _, here, there = np.intersect1d(numbers, known.number, return_indices=True)
        table[here] = np.column_stack([getattr(known, name) for name in FIGURES])[there]
    missing = np.flatnonzero(np.isnan(table[:, 0]))
    try:
        with _workers(executor, len(missing)) as workers:
            for places, rows in _finished(workers, scenario, numbers, missing, cancel):
                table[places] = rows
                if progress:
                    progress(int(np.count_nonzero(~np.isnan(table[:, 0]))), len(numbers))
    except BrokenExecutor:
        raise StormsStoppedError(_gathered(scenario, numbers, table)) from None
    return _gathered(scenario, numbers, table)


def _gathered(scenario: Scenario, numbers: Ints, table: Floats) -> Storms:
    done = ~np.isnan(table[:, 0])
    columns = [np.ascontiguousarray(column) for column in table[done].T]
    for array in (found := numbers[done], *columns):
        array.flags.writeable = False
    return Storms(scenario, len(numbers), found, *columns)


@contextmanager
def _workers(given: Executor | None, count: int) -> Iterator[Executor]:
    """The executor that was given, which stays open, or threads of our own (kernels leave Python's lock)."""
    if given is not None:
        yield given
        return
    own = ThreadPoolExecutor(max(1, min(os.cpu_count() or 1, count)))
    try:
        yield own
    finally:
        own.shutdown(cancel_futures=True)


def _finished(
    workers: Executor, scenario: Scenario, numbers: Ints, missing: NDArray[np.intp], cancel: Cancel | None
) -> Iterator[tuple[NDArray[np.intp], Floats]]:
    """The storms at ``missing`` places of ``numbers``, as tasks are finished: places and rows of figures.

    Where it is cancelled, tasks that have begun are waited for.
    """
    size = max(1, min(int(_LONGEST_TASK / si(scenario.weather.duration)), -(-len(missing) // _TASKS)))
    tasks: dict[Future[Floats], NDArray[np.intp]] = {}
    try:
        for start in range(0, len(missing), size):
            places = missing[start : start + size]
            tasks[workers.submit(_run, scenario, [int(number) for number in numbers[places]])] = places
        pending = set(tasks)
        while pending:
            if cancel and cancel():
                pending = {task for task in pending if not task.cancel()}
                cancel = None
            done, pending = wait(pending, timeout=0.1, return_when=FIRST_COMPLETED)
            for task in sorted(done, key=_died):
                yield tasks.pop(task), task.result()
    finally:
        for task in tasks:
            task.cancel()


def _died(task: Future[Floats]) -> bool:
    """Orders what was finished before what a dead worker left undone."""
    return task.exception() is not None


def _run(scenario: Scenario, numbers: list[int]) -> Floats:
    """Figures of some storms, a row each."""
    rows = np.empty((len(numbers), len(FIGURES)))
    for row, number in zip(rows, numbers, strict=True):
        chance = draw(number)
        run = simulate(
            scenario, seed=chance.seed, holding_quantile=chance.holding_quantile, windage=chance.windage
        )
        row[:] = (
            run.greatest_bow_load,
            run.greatest_anchor_load,
            run.greatest_lift,
            si(run.swing_radius),
            si(run.drag_distance),
            run.holding,
            chance.windage,
        )
    return rows
