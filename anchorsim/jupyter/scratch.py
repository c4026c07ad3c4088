"""The folder of what a server keeps only while it runs, its token among it."""

from __future__ import annotations

import contextlib
import os
import shutil
import stat
import tempfile
from collections.abc import Iterator
from pathlib import Path

from anchorsim.core.file_lock import hold

_PREFIX = "anchorsim-"
_OWNER = "owner"  # held while its server runs


@contextlib.contextmanager
def scratch() -> Iterator[Path]:
    """A folder that only this person can read, gone in the end; those of killed servers go first."""
    clear_dead(Path(tempfile.gettempdir()))
    with tempfile.TemporaryDirectory(prefix=_PREFIX, ignore_cleanup_errors=True) as made:
        folder = Path(made)
        with (folder / _OWNER).open("wb") as owner:
            with contextlib.suppress(OSError):  # where there are no locks nobody takes it for dead either
                hold(owner)
            yield folder


def clear_dead(place: Path) -> None:
    """Remove the folders that killed servers of this person have left in a place."""
    for folder, dead in _mine(place):
        if dead:
            shutil.rmtree(folder, ignore_errors=True)


def living(place: Path) -> list[Path]:
    """The folders of this person's servers that are running."""
    return [folder for folder, dead in _mine(place) if not dead]


def _mine(place: Path) -> Iterator[tuple[Path, bool]]:
    """This person's folders in a place, and whether their servers are dead."""
    for folder in place.glob(f"{_PREFIX}*"):
        with contextlib.suppress(OSError):
            found = folder.lstat()
            mine = found.st_uid == os.getuid() if hasattr(os, "getuid") else True
            if mine and stat.S_ISDIR(found.st_mode):
                yield folder, _dead(folder / _OWNER)


def _dead(owner: Path) -> bool:
    with owner.open("r+b") as file:
        return hold(file)
