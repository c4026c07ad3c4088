"""One decorator that compiles a numeric function where numba can, and leaves it plain Python where not.

The plain function stays reachable as ``f.py_func``, so that tests run the same code uncompiled.
"""

from __future__ import annotations

import atexit
import functools
import hashlib
import multiprocessing
import shutil
import sys
import threading
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any, TypeVar, cast

F = TypeVar("F", bound=Callable[..., Any])

PREPARING = "Preparing the simulation. First start only, up to a minute."
_PAUSE = 0.5  # s without a function being compiled, after which all that was called for is there


def compiled(function: F) -> F:
    """Compile a scalar numeric function, keeping the machine code on disk for the next start.

    Tables go in as arguments (globals are frozen when it is compiled).  It runs without Python's lock, so
    that threads of one process share the cores.  It cannot make arrays: the caller gives it those that it
    fills.
    """
    return _compiled(function)


def inlined(function: F) -> F:
    """Compile a function into each compiled one that calls it: for the parts of a loop that runs often."""
    return _compiled(function, forceinline=True)


@functools.cache
def _machine_code() -> str:
    """A folder for the machine code of just these sources; that of others before is cleared away.

    numba tells stale code by the function's own file only, and would go on with what it took in from others:
    after an update loads would be wrong, and nothing would tell.  Empty where nothing can be written.
    """
    sources = Path(__file__).parents[1]
    digest = hashlib.blake2b(digest_size=8)
    for source in sorted(sources.rglob("*.py")):
        digest.update(source.read_bytes())
    folder = sources / "__pycache__" / f"kernels-{digest.hexdigest()}"
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for other in folder.parent.glob("kernels-*"):
            if other != folder:
                shutil.rmtree(other, ignore_errors=True)
    except OSError:
        return ""
    return str(folder)


@functools.cache
def _announce() -> None:
    """Have the terminal told when machine code is made, and when it is done; not when it is loaded.

    Only a terminal, and only by the first process: what goes to any other standard error is saved with a
    notebook's output, or in a log, and logging without a handler would go there too.
    """
    if not sys.stderr.isatty() or multiprocessing.parent_process() is not None:
        return
    from numba.core import event  # noqa: PLC0415 - as numba itself

    class Notice(event.Listener):
        begun = ended = 0.0
        depth = 0
        done = threading.Timer(0.0, print)

        def on_start(self, event: Any) -> None:
            self.done.cancel()
            self.depth += 1
            if not self.begun:
                self.begun = time.monotonic()
                print(PREPARING, file=sys.stderr, flush=True)

        def on_end(self, event: Any) -> None:
            self.depth -= 1
            self.ended = time.monotonic()
            if self.depth == 0:
                self.done = threading.Timer(_PAUSE, self.tell)
                self.done.daemon = True
                self.done.start()

        def tell(self) -> None:
            if self.begun:
                print(f"Ready after {self.ended - self.begun:.0f} s.", file=sys.stderr, flush=True)
                self.begun = 0.0

    notice = Notice()
    cast(Any, event).register("numba:compile", notice)
    atexit.register(notice.tell)


@functools.cache
def _read_no_file(settings: Any) -> None:
    """Have numba forget what it read in ``.numba_config.yaml`` of the folder it was started in.

    That can name a folder of machine code, which numba would load and run; the folder may be a stranger's.
    """
    settings._config_fname = ""
    settings.reload_config()


def _compiled(function: F, **more: Any) -> F:
    try:
        import numba  # noqa: PLC0415 - half a second that the statics of a page without numba need not pay
    except ImportError:
        cast(Any, function).py_func = function
        return function
    _announce()
    settings: Any = numba.config
    _read_no_file(settings)
    if not settings.CACHE_DIR:  # which NUMBA_CACHE_DIR sets
        settings.CACHE_DIR = _machine_code()
    # Kernels make no arrays, so numba need not count who holds one, a third of an integration's time.
    options: dict[str, Any] = {"error_model": "numpy", "nogil": True, "_nrt": False, **more}
    try:
        return cast(F, numba.njit(cache=True, **options)(function))
    except RuntimeError:  # no folder on this machine where a cache could be written
        return cast(F, numba.njit(**options)(function))
