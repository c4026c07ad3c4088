"""Machine code on disk is that of the sources as they are, whatever file a change is in."""

from __future__ import annotations

import importlib.util
import shutil
from pathlib import Path

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
