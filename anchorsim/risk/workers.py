"""What spells are run on: an executor, and how it is told that its workers have stopped."""

from __future__ import annotations

import os
import time
from collections.abc import Callable, Iterator
from concurrent.futures import Executor, Future, ThreadPoolExecutor
from contextlib import contextmanager
from typing import Any, TypeVar

Result = TypeVar("Result")

_BETWEEN = 2.0  # s from one question to a cluster to the next
_ANSWER = 3.0  # s that it has to answer
_PATIENCE = 15.0  # s without workers: one that was killed may be started again within that


class WorkersStopped(Exception):
    """An executor's own failure, whatever kind of executor it is: not one of a spell."""


@contextmanager
def workers_of(given: Executor | None, count: int) -> Iterator[Executor]:
    """The executor that was given, which stays open, or threads of our own (kernels leave Python's lock)."""
    if given is not None:
        yield given
        return
    own = ThreadPoolExecutor(max(1, min(os.cpu_count() or 1, count)))
    try:
        yield own
    finally:
        own.shutdown(cancel_futures=True)


class Watch:
    """Notices when a cluster has no workers left: what it was given would wait for new ones for ever.

    A cluster is an executor of a ``distributed`` client; any other tells by itself that a worker died.
    """

    def __init__(self, workers: Executor) -> None:
        self._ask: Callable[..., Any] | None = getattr(getattr(workers, "_client", None), "nthreads", None)
        self._seen = self._asked = time.monotonic()

    def look(self) -> None:
        """Ask now and then.  Raises WorkersStopped where there have been no workers for some time."""
        if self._ask is None or time.monotonic() - self._asked < _BETWEEN:
            return
        try:
            there = bool(self._ask(callback_timeout=_ANSWER))
        except Exception:  # whatever a client raises whose scheduler has gone
            there = False
        self._asked = time.monotonic()
        if there:
            self._seen = self._asked
        elif self._asked - self._seen > _PATIENCE:
            raise WorkersStopped(f"the cluster has had no workers for {self._asked - self._seen:.0f} s")


def submit(workers: Executor, function: Callable[..., Result], *arguments: Any) -> Future[Result]:
    """Hand work to an executor.  Raises WorkersStopped where it takes no more."""
    try:
        return workers.submit(function, *arguments)
    except Exception as error:  # whatever an executor raises that takes no more work
        raise WorkersStopped(_in_words(error)) from error


def result(task: Future[Result]) -> Result:
    """What a finished task came to.  Raises WorkersStopped where a worker died."""
    try:
        return task.result()
    except Exception as error:  # executors differ in how they say that a worker died
        raise WorkersStopped(_in_words(error)) from error


def died(task: Future[Any]) -> bool:
    """Orders what was finished before what a dead worker left undone."""
    return task.cancelled() or task.exception() is not None


def _in_words(error: BaseException) -> str:
    """An executor's own words on one line, as far as its first sentence or 120 characters."""
    words = " ".join(str(error).split()).split(". ")[0].rstrip(".")[:120]
    return f"{type(error).__name__}: {words}" if words else type(error).__name__
