"""Locks on open files.  They end with the process that holds them, however it ends."""

from __future__ import annotations

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
def alone(folder: Path) -> Iterator[bool]:
    """Be the only one of our processes that writes over files of a folder.

    False where another one still holds the folder after some seconds.  Where there are no locks to be had
    nobody is kept out.
    """
    try:
        (folder / STATE).mkdir(exist_ok=True, mode=0o700)
        file = (folder / STATE / "lock").open("ab")
    except OSError:  # where nothing can be written, what is written next says so
        yield True
        return
    with file:
        yield _waited(file)


def _waited(file: IO[Any]) -> bool:
    end = time.monotonic() + _PATIENCE
    try:
        while not hold(file):
            if time.monotonic() > end:
                return False
            time.sleep(_PAUSE)
    except OSError:
        return True
    return True
