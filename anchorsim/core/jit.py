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
import uuid
from collections.abc import Callable
from pathlib import Path
from typing import Any, TypeVar, cast

F = TypeVar("F", bound=Callable[..., Any])

PREPARING = "Preparing the simulation. First start only, up to a minute."
WARMUP = "anchorsim-warmup"  # the thread that makes all ready while a page loads, and tells of it itself
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


class _Terminal:
    """A terminal, which is told when it begins and how long it took."""

    def begin(self) -> None:
        print(PREPARING, file=sys.stderr, flush=True)

    def end(self, seconds: float) -> None:
        print(f"Ready after {seconds:.0f} s.", file=sys.stderr, flush=True)


class _Cell:
    """The cell of a notebook that is running: an output that is there for as long as it is prepared.

    It comes and goes empty, and has its text by updates only: nothing of it is saved with the notebook, and
    what compares outputs finds none.
    """

    def __init__(self, shell: Any) -> None:
        self.shell, self.name = shell, ""

    def begin(self) -> None:
        self.name = uuid.uuid4().hex
        self._publish({}, update=False)
        self._publish({"text/plain": PREPARING}, update=True)

    def end(self, seconds: float) -> None:
        self._publish({}, update=True)

    def _publish(self, data: dict[str, str], update: bool) -> None:
        self.shell.display_pub.publish(data, {}, transient={"display_id": self.name}, update=update)


def _shell() -> Any:
    """The shell of a notebook's kernel that this process is, or None; IPython is not imported for it."""
    get_ipython = getattr(sys.modules.get("IPython"), "get_ipython", None)
    shell = get_ipython() if get_ipython else None
    return shell if hasattr(shell, "kernel") else None


@functools.cache
def _announce() -> None:
    """Have people told when machine code is made, and when it is done; not when it is loaded.

    On a terminal, or in the cell that is running, and only by the first process: what goes to any other
    standard error is saved in a log, and logging without a handler would go there too.
    """
    if multiprocessing.parent_process() is not None:
        return
    shell = _shell()
    if not sys.stderr.isatty() and shell is None:
        return
    from numba.core import event  # noqa: PLC0415 - as numba itself

    told: _Terminal | _Cell = _Terminal() if shell is None else _Cell(shell)

    class Notice(event.Listener):
        begun = ended = 0.0
        depth = 0
        done = threading.Timer(0.0, print)

        def on_start(self, event: Any) -> None:
            if threading.current_thread().name == WARMUP:
                return
            self.done.cancel()
            self.depth += 1
            if not self.begun:
                self.begun = time.monotonic()
                told.begin()

        def on_end(self, event: Any) -> None:
            if threading.current_thread().name == WARMUP:
                return
            self.depth -= 1
            self.ended = time.monotonic()
            if self.depth == 0:
                self.done = threading.Timer(_PAUSE, self.tell)
                self.done.daemon = True
                self.done.start()

        def tell(self, *_: Any) -> None:
            if self.begun:
                told.end(self.ended - self.begun)
                self.begun = 0.0

    notice = Notice()
    cast(Any, event).register("numba:compile", notice)
    if shell is not None:
        shell.events.register("post_run_cell", notice.tell)  # before the cell is over
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
        import numba  # noqa: PLC0415 - 0.3 s, by which the warm-up would hold up the kernel it starts in
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
