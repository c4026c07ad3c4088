"""Writing a file: whole or not at all, never over somebody else's, and nothing left behind."""

from __future__ import annotations

import errno
import os
import resource
import signal
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from killed_saves import killed, raced

from anchorsim.core import file_lock, writing
from anchorsim.core.errors import AnchorsimError
from anchorsim.core.writing import clear_leftovers, digest, write_kept, write_new, write_whole


def names(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir() if path.name != ".anchorsim")


def test_a_file_is_made_and_replaced_with_its_permissions_and_through_links(tmp_path: Path) -> None:
    real, link = tmp_path / "real.toml", tmp_path / "link.toml"
    link.symlink_to(real)
    write_whole(link, b"one")
    real.chmod(0o640)
    write_whole(link, b"two")
    assert link.is_symlink() and real.read_bytes() == b"two"
    assert real.stat().st_mode & 0o777 == 0o640
    assert names(tmp_path) == ["link.toml", "real.toml"]


def test_a_new_file_never_goes_over_one_that_is_there(tmp_path: Path) -> None:
    (tmp_path / "a.toml").write_text("mine", encoding="utf-8")
    (tmp_path / "a-2.toml").symlink_to("nowhere")
    (tmp_path / "a-3.toml").mkdir()
    assert write_new(tmp_path / "a.toml", b"new") == tmp_path / "a-4.toml"
    assert (tmp_path / "a.toml").read_text(encoding="utf-8") == "mine"
    assert (tmp_path / "a-4.toml").read_bytes() == b"new"
    assert names(tmp_path) == ["a-2.toml", "a-3.toml", "a-4.toml", "a.toml"]


@pytest.mark.parametrize("reason", [errno.EPERM, errno.EOPNOTSUPP])
def test_a_new_file_on_a_file_system_without_links(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, reason: int
) -> None:
    def refuse(*_: object) -> None:
        raise OSError(reason, os.strerror(reason))

    monkeypatch.setattr(os, "link", refuse)
    assert [write_new(tmp_path / "a.toml", text).name for text in (b"1", b"2")] == ["a.toml", "a-2.toml"]
    assert [(tmp_path / name).read_bytes() for name in names(tmp_path)] == [b"2", b"1"]


def test_a_file_that_somebody_else_changed_is_kept(tmp_path: Path) -> None:
    wanted = tmp_path / "a.toml"
    assert write_kept(wanted, b"one", None) == wanted
    assert write_kept(wanted, b"two", digest(wanted)) == wanted
    known = digest(wanted)
    wanted.write_bytes(b"theirs")
    assert write_kept(wanted, b"three", known) == tmp_path / "a-2.toml"
    assert wanted.read_bytes() == b"theirs"
    wanted.unlink()
    assert write_kept(wanted, b"four", known) == wanted


def test_a_window_that_is_halted_while_it_saves_holds_nobody_up_for_long(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(file_lock, "_PATIENCE", 0.1)
    wanted = write_new(tmp_path / "a.toml", b"one")
    with file_lock.alone(tmp_path) as first:
        assert first
        assert write_kept(wanted, b"two", digest(wanted)) == tmp_path / "a-2.toml"
    assert write_kept(wanted, b"three", digest(wanted)) == wanted


@pytest.mark.parametrize("device", ["/dev/full", "/dev/null", "/dev/zero"])
def test_a_device_is_never_replaced(device: str, tmp_path: Path) -> None:
    before = os.stat(device)
    link = tmp_path / "report.html"
    link.symlink_to(device)
    for target in (Path(device), link):
        with pytest.raises(AnchorsimError, match=r"it is a device or a pipe.* Choose another name\.$"):
            write_whole(target, b"text")
    after = os.stat(device)
    assert (before.st_ino, before.st_mode, before.st_rdev) == (after.st_ino, after.st_mode, after.st_rdev)
    assert not list(Path("/dev").glob(".anchorsim*"))


def loop(folder: Path) -> Path:
    (folder / "a.toml").symlink_to("b.toml")
    (folder / "b.toml").symlink_to("a.toml")
    return folder / "a.toml"


def pipe(folder: Path) -> Path:
    os.mkfifo(folder / "a.toml")
    return folder / "a.toml"


def within_a_file(folder: Path) -> Path:
    (folder / "file").touch()
    return folder / "file" / "a.toml"


@pytest.mark.parametrize(
    ("made", "said"),
    [
        (loop, "(too many levels of symbolic links). Expected a link that leads to a file."),
        (pipe, "(it is a device or a pipe). Expected the name of a file."),
        (lambda folder: folder, "(it is a folder). Expected the name of a file."),
        (within_a_file, "(not a directory). Expected a folder that you may write to."),
        (lambda folder: folder / ("x" * 300), "(file name too long). Expected a shorter name."),
        (lambda folder: folder / "a\0b", "not a name that a file can have."),
        (lambda folder: folder / "a\ud800b", "not a name that a file can have."),
    ],
)  # fmt: skip
def test_what_is_no_place_for_a_file_is_said(made: Callable[[Path], Path], said: str, tmp_path: Path) -> None:
    target = made(tmp_path)
    before = names(tmp_path)
    with pytest.raises(AnchorsimError) as raised:
        write_whole(target, b"text")
    assert said in str(raised.value) and str(raised.value).encode()
    assert names(tmp_path) == before


# What a disk may do at each step: the sentence, and the old file whole with nothing beside it.
@pytest.mark.parametrize("step", ["open", "fsync", "replace"])
@pytest.mark.parametrize(
    ("reason", "fits"),
    [
        (errno.ENOSPC, "room on the disk"),
        (errno.EROFS, "a folder that you may write to"),
        (errno.EACCES, "a folder that you may write to"),
        (errno.EIO, "a folder that you may write to"),
    ],
)
def test_what_the_disk_refuses_is_said_and_the_old_file_is_whole(
    step: str, reason: int, fits: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    target = write_new(tmp_path / "a.toml", b"old")

    def refuse(*_: object, **__: object) -> None:
        raise OSError(reason, os.strerror(reason))

    with monkeypatch.context() as patched, pytest.raises(AnchorsimError, match=f"Expected {fits}"):
        patched.setattr(os if step == "fsync" else Path, step, refuse)
        write_whole(target, b"new")
    assert target.read_bytes() == b"old"
    assert names(tmp_path) == ["a.toml"]


def test_a_file_larger_than_may_be_written_is_said(tmp_path: Path) -> None:
    target = write_new(tmp_path / "a.toml", b"old")
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (4096, hard))
    try:
        with pytest.raises(AnchorsimError, match=r"\(file too large\)\. Expected room on the disk"):
            write_whole(target, b"x" * 100_000)
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))
    assert target.read_bytes() == b"old" and names(tmp_path) == ["a.toml"]


def test_a_file_that_may_not_be_written_is_kept(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    target = write_new(tmp_path / "a.toml", b"old")
    monkeypatch.setattr(os, "access", lambda *_: False)  # root may write what others may not
    with pytest.raises(AnchorsimError, match="protected against writing"):
        write_whole(target, b"new")
    assert target.read_bytes() == b"old"


HALTED = """
import sys
from pathlib import Path
from anchorsim.core import writing
writing.os.fsync = lambda _: (print("halted", flush=True), sys.stdin.read())
writing.write_whole(Path(sys.argv[1]) / "a.toml", b"new")
"""


def test_what_a_killed_save_left_is_cleared_away_but_not_what_is_being_written(tmp_path: Path) -> None:
    mine = tmp_path / ".anchorsim-notes.tmp"
    mine.write_text("mine", encoding="utf-8")
    (tmp_path / ".anchorsim-0123abcd.tmp").mkdir()
    kept = names(tmp_path)
    command = [sys.executable, "-c", HALTED, str(tmp_path)]
    with subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE) as halted:
        assert halted.stdout is not None and halted.stdout.readline() == b"halted\n"
        clear_leftovers(tmp_path)
        assert len(names(tmp_path)) == len(kept) + 1
        halted.send_signal(signal.SIGKILL)
        halted.wait()
        assert len(names(tmp_path)) == len(kept) + 1
        clear_leftovers(tmp_path)
    assert names(tmp_path) == kept


def test_a_file_taken_for_a_leftover_before_it_was_held_is_begun_anew(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    real, turns = writing.hold, iter([True])

    def late(file: object) -> bool:
        if next(turns, False):
            clear_leftovers(tmp_path)
        return real(file)

    monkeypatch.setattr(writing, "hold", late)
    assert write_new(tmp_path / "a.toml", b"text").read_bytes() == b"text"
    assert names(tmp_path) == ["a.toml"]


@pytest.mark.parametrize(
    ("kind", "kills"), [("surveys", 8), ("photographs", 8), ("notebook copies", 3), ("reports", 6)]
)
def test_a_killed_save_loses_nothing(kind: str, kills: int) -> None:
    counts = killed(kind, kills)
    del counts["while writing"]
    assert counts == {"killed": kills}


@pytest.mark.parametrize("begun", [False, True], ids=["new surveys", "one survey"])
def test_windows_that_save_at_once_are_both_kept_and_told(begun: bool) -> None:
    assert raced(10, 2, begun) == {"races": 10, "lost": 0, "untold": 0}
