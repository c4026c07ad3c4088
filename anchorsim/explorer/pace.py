"""Work that answers the last of many requests: no backlog, and the screen stays alive in between."""

from __future__ import annotations

import asyncio
from collections.abc import Callable, Generator

Slices = Generator[None, None, None]

QUIET = 0.03  # s without a further request before work begins
PATIENCE = 0.15  # s after which it begins all the same, so that a long drag shows pictures on its way
_BREATH = 0.002  # s between slices, in which further requests come in


class Pace:
    """Runs ``work`` in slices on the event loop, beginning anew whenever it is asked to.

    ``work`` is a function that gives a generator; each ``yield`` is a place where it may be dropped for a newer
    request.  Where no event loop runs, as in a plain Python program, the work is done at once.
    """

    def __init__(self, work: Callable[[], Slices]) -> None:
        self._work = work
        self._begun: Slices | None = None
        self._timer: asyncio.TimerHandle | None = None
        self._asked = 0.0

    def ask(self) -> None:
        """Have the work done, from its beginning."""
        try:
            loop = asyncio.get_running_loop()
        except RuntimeError:
            for _ in self._work():
                pass
            return
        now = loop.time()
        if self._timer is None or self._begun is not None:
            self._asked = now
        self._drop()
        wait = min(QUIET, max(0.0, self._asked + PATIENCE - now))
        self._timer = loop.call_later(wait, self._begin, loop)

    def stop(self) -> None:
        """Drop what is under way."""
        self._drop()
        self._timer = None

    def _drop(self) -> None:
        if self._timer is not None:
            self._timer.cancel()
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
