"""The folder of a server's token: there while it runs, gone at its end, or at the next start."""

from __future__ import annotations

import subprocess
import sys
import tempfile
from pathlib import Path

import pytest

from anchorsim.jupyter import scratch

RUNS = """
import sys
from anchorsim.jupyter.scratch import scratch
with scratch() as folder:
    (folder / "token.json").write_text("token")
    print(folder, flush=True)
    sys.stdin.read()
"""


def started(place: Path) -> tuple[subprocess.Popen[str], Path]:
    process = subprocess.Popen(
        [sys.executable, "-c", RUNS],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
        env={"TMPDIR": str(place), "PYTHONPATH": str(Path(scratch.__file__).parents[2])},
    )
    assert process.stdout is not None
    return process, Path(process.stdout.readline().strip())


def test_a_killed_servers_folder_goes_at_the_next_start_and_a_running_ones_stays(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "anchorsim-notes").mkdir()
    (tmp_path / "elsewhere").mkdir()
    (tmp_path / "elsewhere" / "owner").touch()
    (tmp_path / "anchorsim-link").symlink_to("elsewhere")
    killed, dead = started(tmp_path)
    running, live = started(tmp_path)
    assert (dead / "token.json").exists(), "the second start leaves the first alone"
    killed.kill()
    killed.communicate()
    assert (dead / "token.json").exists()
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    with scratch.scratch() as mine:
        assert mine.stat().st_mode & 0o777 == 0o700
        assert sorted(tmp_path.iterdir()) == sorted(
            [live, mine, *(tmp_path / name for name in ("anchorsim-link", "anchorsim-notes", "elsewhere"))]
        )
        assert (live / "token.json").exists() and (tmp_path / "elsewhere" / "owner").exists()
    running.communicate("")
    assert not live.exists() and not mine.exists()
