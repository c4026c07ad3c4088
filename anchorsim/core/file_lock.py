"""Locks on open files.  They end with the process that holds them, however it ends."""

from __future__ import annotations

import os
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import IO, Any

from anchorsim.core.resources import STATE

if sys.platform == "win32":
    import msvcrt

    def _lock(file: IO[Any]) -> None:
        msvcrt.locking(file.fileno(), msvcrt.LK_NBLCK, 1)

else:
    import fcntl

    def _lock(file: IO[Any]) -> None:
        fcntl.flock(file.fileno(), fcntl.LOCK_EX | fcntl.LOCK_NB)


# A pipe that a stranger's folder has in its place would be waited for until somebody reads from it.
_FLAGS = os.O_WRONLY | os.O_CREAT | os.O_APPEND | getattr(os, "O_NONBLOCK", 0)
_PATIENCE = 5.0  # s; a save takes some hundredths, but a disk can be slow and a process be halted
_PAUSE = 0.01  # s


def hold(file: IO[Any]) -> bool:
    """Lock an open file until it is closed, without waiting; whether nobody else holds it.

    Raises OSError where the file system has no locks.
    """
    try:
        _lock(file)
    except (BlockingIOError, PermissionError):
        return False
    return True


@contextmanager
def alone(folder: Path, what: str = "lock", patience: float = _PATIENCE) -> Iterator[bool]:
    """Be the only one of our processes that writes over files of a folder, or does ``what`` else there.

    False where another one still holds that after ``patience`` (s).  Where there are no locks nobody is kept
    out.
    """
    try:
        (folder / STATE).mkdir(exist_ok=True, mode=0o700)
        file = os.fdopen(os.open(folder / STATE / what, _FLAGS, 0o600), "ab")
    except OSError:  # where nothing can be written, what is written next says so
        yield True
        return
    with file:
        yield _waited(file, patience)


def _waited(file: IO[Any], patience: float) -> bool:
    end = time.monotonic() + patience
    try:
        while not hold(file):
            if time.monotonic() > end:
                return False
            time.sleep(_PAUSE)
    except OSError:
        return True
    return True
