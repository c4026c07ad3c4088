"""Machine code on disk is that of the sources as they are, whatever file a change is in."""

from __future__ import annotations

import contextlib
import importlib.util
import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from nbclient import NotebookClient
from nbformat.v4 import new_code_cell, new_notebook

from anchorsim.core import jit


def loaded(folder: Path):
    spec = importlib.util.spec_from_file_location("compiled_elsewhere", folder / "core" / "jit.py")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def test_a_change_in_any_source_leaves_no_old_machine_code(tmp_path):
    (tmp_path / "core").mkdir()
    shutil.copy(jit.__file__, tmp_path / "core" / "jit.py")
    (tmp_path / "dynamics").mkdir()
    (tmp_path / "dynamics" / "loads.py").write_text("DRAG = 1.0\n", encoding="utf-8")
    before = Path(loaded(tmp_path)._machine_code())
    assert Path(loaded(tmp_path)._machine_code()) == before, "the same for the same sources"
    (before / "march.nbi").touch()
    (tmp_path / "dynamics" / "loads.py").write_text("DRAG = 1.1\n", encoding="utf-8")
    after = Path(loaded(tmp_path)._machine_code())
    assert after != before
    assert after.is_dir()
    assert not before.exists()


def test_where_nothing_can_be_written_it_is_left_to_numba(tmp_path):
    (tmp_path / "core").mkdir()
    shutil.copy(jit.__file__, tmp_path / "core" / "jit.py")
    (tmp_path / "__pycache__").write_text("a file where the folder should be", encoding="utf-8")
    assert loaded(tmp_path)._machine_code() == ""


ADDS = """
import sys
from anchorsim.core.jit import compiled

@compiled
def add(x):
    return x + 1.0

print(add(1.0))
"""


def run_on_a_terminal(script: Path, cache: Path) -> tuple[str, str]:
    """What a script prints, and what it tells the terminal that its standard error is."""
    ours, theirs = os.openpty()
    env = {**os.environ, "NUMBA_CACHE_DIR": str(cache)}
    done = subprocess.run(
        [sys.executable, str(script)], stdout=subprocess.PIPE, stderr=theirs, env=env, text=True, check=True
    )
    os.close(theirs)
    told = b""
    with contextlib.suppress(OSError):  # Linux tells the end of a terminal so
        while more := os.read(ours, 1000):
            told += more
    os.close(ours)
    return done.stdout, told.decode().replace("\r\n", "\n")


@pytest.mark.skipif(not hasattr(os, "openpty"), reason="no terminals here")
def test_a_terminal_is_told_while_machine_code_is_made_and_not_when_it_is_loaded(tmp_path):
    script = tmp_path / "adds.py"
    script.write_text(ADDS, encoding="utf-8")
    printed, told = run_on_a_terminal(script, tmp_path / "cache")
    assert printed == "2.0\n"
    assert re.fullmatch(rf"{re.escape(jit.PREPARING)}\nReady after \d+ s\.\n", told)
    assert run_on_a_terminal(script, tmp_path / "cache") == ("2.0\n", "")


def test_nothing_but_a_terminal_is_told(tmp_path):
    script = tmp_path / "adds.py"
    script.write_text(ADDS, encoding="utf-8")
    env = {**os.environ, "NUMBA_CACHE_DIR": str(tmp_path / "cache")}
    done = subprocess.run([sys.executable, str(script)], env=env, capture_output=True, text=True, check=True)
    assert (done.stdout, done.stderr) == ("2.0\n", "")


class Watched(NotebookClient):
    """Runs a notebook in a real kernel, and keeps what the kernel displays, by cell."""

    def process_message(self, msg, cell, cell_index):
        if msg["msg_type"] in ("display_data", "update_display_data"):
            self.displayed.append((cell_index, msg["msg_type"], msg["content"]["data"]))
        return super().process_message(msg, cell, cell_index)


def test_a_notebook_s_cell_is_told_and_nothing_of_it_is_saved(tmp_path, monkeypatch):
    """Compiled in the first cell; in the second another function of the same code is loaded."""
    (tmp_path / "adds.py").write_text(ADDS, encoding="utf-8")
    monkeypatch.setenv("NUMBA_CACHE_DIR", str(tmp_path / "cache"))
    monkeypatch.setenv("PYTHONPATH", os.pathsep.join([str(Path(jit.__file__).parents[2]), str(tmp_path)]))
    cells = [new_code_cell("import adds"), new_code_cell("import importlib; importlib.reload(adds);")]
    watched = Watched(notebook := new_notebook(cells=cells), kernel_name="python3")
    watched.displayed = []
    watched.execute()
    assert watched.displayed == [
        (0, "display_data", {}),
        (0, "update_display_data", {"text/plain": jit.PREPARING}),
        (0, "update_display_data", {}),
    ]
    first, second = (cell.outputs for cell in notebook.cells)
    assert [output.get("text", output.get("data")) for output in first] == [{}, "2.0\n"]
    assert [output.get("text", output.get("data")) for output in second] == ["2.0\n"]
