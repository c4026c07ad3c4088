"""One decorator that compiles a numeric function where numba can, and leaves it plain Python where not.

The plain function stays reachable as ``f.py_func``, so that tests run the same code uncompiled.
"""

from __future__ import annotations

import functools
import hashlib
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any, TypeVar, cast

F = TypeVar("F", bound=Callable[..., Any])


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


def _compiled(function: F, **more: Any) -> F:
    try:
        import numba  # noqa: PLC0415 - half a second that the statics of a page without numba need not pay
    except ImportError:
        function.py_func = function  # type: ignore[attr-defined]
        return function
    settings: Any = numba.config
    if not settings.CACHE_DIR:  # which NUMBA_CACHE_DIR sets
        settings.CACHE_DIR = _machine_code()
    # Kernels make no arrays, so numba need not count who holds one, a third of a integration's time.
    options: dict[str, Any] = {"error_model": "numpy", "nogil": True, "_nrt": False, **more}
    try:
        return cast(F, numba.njit(cache=True, **options)(function))
    except RuntimeError:  # no folder on this machine where a cache could be written
        return cast(F, numba.njit(**options)(function))
