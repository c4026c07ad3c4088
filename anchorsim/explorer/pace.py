"""Work that answers the last of many requests: no backlog, and the screen stays alive in between."""

from __future__ import annotations

import asyncio
from collections.abc import Callable, Generator
from typing import TypeVar

Slices = Generator[None, None, None]
Result = TypeVar("Result")

QUIET = 0.02  # s without a further request before work begins; a slider that is dragged moves once a frame
PATIENCE = 0.15  # s after which it begins all the same, so that a long drag shows pictures on its way
_BREATH = 0.001  # s between slices, in which further requests come in


class Pace:
    """Runs ``work`` in slices on one event loop, beginning anew whenever it is asked to.

    ``work`` is a function that gives a generator; each ``yield`` is a place where it may be dropped for a
    newer request.  The loop is the one that runs where the pace is made.  Where none does, as in a plain
    Python program, the work is done at once.
    """

    def __init__(self, work: Callable[[], Slices]) -> None:
        self._work = work
        self._begun: Slices | None = None
        self._timer: asyncio.TimerHandle | None = None
        self._asked = 0.0
        self._loop = _running()

    @property
    def alive(self) -> bool:
        """Whether there is a loop, and so a screen that somebody looks at."""
        return self._loop is not None

    def hand_over(self, action: Callable[[], None]) -> None:
        """Do something on the loop: a notebook may deliver what happens on screen in threads of its own."""
        if self._loop is None or _running() is self._loop:
            action()
        else:
            self._loop.call_soon_threadsafe(action)

    def aside(self, work: Callable[[], Result], then: Callable[[Result], None]) -> None:
        """Do what takes seconds on a thread while the screen stays alive; ``then`` is told on the loop."""
        if self._loop is None:
            then(work())
        else:
            self._loop.run_in_executor(None, work).add_done_callback(lambda done: then(done.result()))

    def after(self, seconds: float, action: Callable[[], object]) -> None:
        """Do something on the loop when so much time has passed; without one, at once."""
        if self._loop is None:
            action()
        else:
            self._loop.call_later(seconds, action)

    def ask(self) -> None:
        """Have the work done, from its beginning.  Must be called on the loop."""
        if self._loop is None:
            for _ in self._work():
                pass
            return
        now = self._loop.time()
        if self._timer is None or self._begun is not None:
            self._asked = now
        self.drop()
        wait = min(QUIET, max(0.0, self._asked + PATIENCE - now))
        self._timer = self._loop.call_later(wait, self._begin, self._loop)

    def drop(self) -> None:
        """Leave off what is under way."""
        if self._timer is not None:
            self._timer.cancel()
            self._timer = None
        if self._begun is not None:
            self._begun.close()
            self._begun = None

    def _begin(self, loop: asyncio.AbstractEventLoop) -> None:
        self._begun = self._work()
        self._slice(loop)

    def _slice(self, loop: asyncio.AbstractEventLoop) -> None:
        if self._begun is None:
            return
        try:
            next(self._begun)
        except StopIteration:
            self._begun = self._timer = None
        else:
            self._timer = loop.call_later(_BREATH, self._slice, loop)


def _running() -> asyncio.AbstractEventLoop | None:
    try:
        return asyncio.get_running_loop()
    except RuntimeError:
        return None
