"""Writing people's files: whole or not at all, and never over what somebody else has put there.

The content goes to a file of ours in the same folder, on to the disk, and takes the name only then.  What a
killed process has left of that is cleared away by whoever writes into the folder next.
"""

from __future__ import annotations

import contextlib
import errno
import hashlib
import itertools
import os
import re
import secrets
import shutil
import stat
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import IO

from anchorsim.core.errors import AnchorsimError, sentence
from anchorsim.core.file_lock import alone, hold
from anchorsim.core.file_names import beside
from anchorsim.core.reading import brief_path, reason

_OURS = re.compile(r"\.anchorsim-[0-9a-f]{8}\.tmp")
_ROOM = ("room on the disk", "make room, or choose a folder on another disk")
# What would fit and what to do, by the system's reason; for any other the folder is what can be changed.
_ADVICE = {
    errno.ENOSPC: _ROOM,
    errno.EDQUOT: _ROOM,
    errno.EFBIG: _ROOM,
    errno.ENAMETOOLONG: ("a shorter name", "choose another name"),
    errno.ELOOP: ("a link that leads to a file", "choose another name"),
    errno.EISDIR: ("the name of a file", "choose another name"),
}
_TRIES = 20  # at a name before it is held; each is lost only to a process that clears leftovers just then
_FOLDER = ("a folder that you may write to", "choose another folder or name")


def write_whole(target: Path, content: bytes) -> None:
    """Write a file whole or not at all, over one that is there.

    A file that is replaced keeps its permissions, and a link stays a link.  Raises AnchorsimError with a
    sentence that begins with its path; devices, pipes and files that may not be written are refused.
    """
    with _as_sentence(target):
        place = _place(target)
        _put(place.parent, content, lambda partial: partial.replace(place), like=place)


def write_new(target: Path, content: bytes) -> Path:
    """Write a file whole or not at all under this name, or the first one beside it that is free; gives where.

    Nothing that is there is written over, whoever puts it there and when.  Raises as :func:`write_whole`.
    """
    with _as_sentence(target):
        return _put(target.parent, content, lambda partial: _first_free(partial, target))


def write_beside(target: Path, content: bytes) -> Path:
    """As :func:`write_new`, but where one beside it holds this very content already, gives that one."""
    there = itertools.takewhile(Path.exists, beside(target))
    same = (place for place in there if digest(place) == digest_of(content))
    return next(same, None) or write_new(target, content)


def write_kept(target: Path, content: bytes, known: str | None) -> Path:
    """Write over a file that holds what is known of it, by its :func:`digest`, else beside it; gives where.

    Of two windows that write over the same file at once the second finds it changed, so that both are kept.
    Raises as :func:`write_whole`.
    """
    with alone(target.parent) as first:
        if first and known is not None and digest(target) == known:
            write_whole(target, content)
            return target
    return write_new(target, content)


def digest(path: Path) -> str | None:
    """What tells the content of a file from any other; None where there is none to be read."""
    try:
        if not path.is_file():
            return None
        with path.open("rb") as file:
            return hashlib.file_digest(file, "sha256").hexdigest()
    except (OSError, ValueError):
        return None


def digest_of(content: bytes) -> str:
    """The digest of a file with this content."""
    return hashlib.sha256(content).hexdigest()


def clear_leftovers(folder: Path) -> None:
    """Remove what killed processes have left of files they were writing; those of running ones stay."""
    with contextlib.suppress(OSError):
        for path in folder.iterdir():
            if _OURS.fullmatch(path.name) and stat.S_ISREG(path.lstat().st_mode):
                with contextlib.suppress(OSError):
                    _clear(path)


def _clear(path: Path) -> None:
    if sys.platform == "win32":
        path.unlink()  # which Windows refuses while anyone has it open
        return
    with path.open("rb") as file:
        if hold(file):
            path.unlink()


@contextlib.contextmanager
def _as_sentence(target: Path) -> Iterator[None]:
    """Whatever goes wrong on the way to the disk as one sentence."""
    try:
        yield
    except ValueError:  # NUL, or half of a character that takes two
        said = sentence("not a name that a file can have", "letters and digits", "choose another name")
        raise AnchorsimError(f"{brief_path(target)}: {said}") from None
    except OSError as error:
        wrong = f"could not be written ({reason(error)})"
        said = sentence(wrong, *_ADVICE.get(error.errno or 0, _FOLDER))
        raise AnchorsimError(f"{brief_path(target)}: {said}") from None


def _place(target: Path) -> Path:
    """Where the file goes, past any link.  Raises OSError where no file can be."""
    try:
        place = target.resolve()
    except RuntimeError:  # a loop of links, before Python 3.13
        raise OSError(errno.ELOOP, os.strerror(errno.ELOOP)) from None
    try:
        mode = place.stat().st_mode
    except FileNotFoundError:
        return place
    if stat.S_ISDIR(mode):
        raise IsADirectoryError(errno.EISDIR, "it is a folder")
    if not stat.S_ISREG(mode):
        raise OSError(errno.EISDIR, "it is a device or a pipe")
    if not os.access(place, os.W_OK):
        raise PermissionError(errno.EACCES, "it is protected against writing")
    return place


def _put(folder: Path, content: bytes, name: Callable[[Path], Path], like: Path | None = None) -> Path:
    """Write a file of ours, with the permissions of ``like``, and have it named; gives where."""
    clear_leftovers(folder)
    partial, file = _begin(folder)
    try:
        with file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
            if like is not None and like.exists():
                shutil.copymode(like, partial)
            if sys.platform != "win32":
                return name(partial)
        return name(partial)  # Windows names no file that is open
    finally:
        with contextlib.suppress(OSError):
            partial.unlink()
        _settle(folder)


def _begin(folder: Path) -> tuple[Path, IO[bytes]]:
    """A new file of ours that is held, so that nobody takes it for a leftover."""
    for _ in range(_TRIES):
        partial = folder / f".anchorsim-{secrets.token_hex(4)}.tmp"
        file = partial.open("xb")
        try:
            held = hold(file)
        except OSError:  # no locks here, so that nobody else clears anything away either
            held = True
        if held and partial.exists():
            return partial, file
        file.close()  # taken for a leftover before it was held
    raise OSError(errno.EIO, "what is written there is gone at once")


def _first_free(partial: Path, target: Path) -> Path:
    return next(place for place in beside(target) if _name(partial, place))


def _name(partial: Path, place: Path) -> bool:
    """Give a file of ours its name; whether that was free."""
    try:
        try:
            os.link(partial, place)
        except FileExistsError:
            raise
        except OSError:  # a file system without links, such as that of a memory stick
            place.open("xb").close()
            try:
                partial.replace(place)
            except BaseException:
                place.unlink()
                raise
    except FileExistsError:
        return False
    return True


def _settle(folder: Path) -> None:
    """Have the disk keep the name too, where the system can be asked to."""
    if sys.platform != "win32":
        with contextlib.suppress(OSError):
            place = os.open(folder, os.O_RDONLY)
            try:
                os.fsync(place)
            finally:
                os.close(place)
