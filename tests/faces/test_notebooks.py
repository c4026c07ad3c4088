"""The notebooks are regression tests: changed physics must make them fail.

Runs a copy of the package in which one number is two per cent off, and expects nbval to object.
"""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

import numba
import pytest

ROOT = Path(__file__).parents[2]
GRAVITY = ("anchorsim/core/units.py", "GRAVITY = 9.80665", "GRAVITY = 10.002783")
MAST = ("data/drag.csv", "mast and stays,1.1,", "mast and stays,1.122,")
CHAIN = ("data/line_drag.csv", "chain,2.4,", "chain,2.64,")  # ten per cent
LESSONS = """
import json
from anchorsim.lessons.catalogue import PLANS
from anchorsim.lessons.lesson import run
from anchorsim.wording.lessons import lines

print(json.dumps({key: lines(run(key)) for key in PLANS}))
"""


KERNELS = ("dynamics", "mooring")  # rooms whose machine code is there already; nothing is changed in them


@pytest.fixture(scope="module")
def copy(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A checkout of its own, but for the rooms with kernels: machine code is kept by where a source lies."""
    home = tmp_path_factory.mktemp("checkout")
    for name in ("anchorsim", "data", "shared", "notebooks"):
        shutil.copytree(
            ROOT / name, home / name, ignore=shutil.ignore_patterns("__pycache__", ".ipynb_checkpoints")
        )
    for room in KERNELS:
        there = f"__path__ = [{str(ROOT / 'anchorsim' / room)!r}]\n"
        (home / "anchorsim" / room / "__init__.py").write_text(there, encoding="utf-8")
    return home


def surroundings(home: Path) -> dict[str, str]:
    """To import the copy, with the machine code of this process."""
    return {**os.environ, "PYTHONPATH": str(home), "NUMBA_CACHE_DIR": numba.config.CACHE_DIR}


def nbval(home: Path) -> subprocess.CompletedProcess[str]:
    command = [
        sys.executable,
        "-m",
        "pytest",
        "-q",
        "-p",
        "no:cacheprovider",
        "--nbval-lax",
        "notebooks/explorer.ipynb",
    ]
    return subprocess.run(
        command, cwd=home, env=surroundings(home), capture_output=True, text=True, timeout=300, check=False
    )


def test_the_copy_passes_as_it_is(copy: Path) -> None:
    done = nbval(copy)
    assert done.returncode == 0, done.stdout


@pytest.mark.parametrize(("file", "right", "wrong"), [GRAVITY, MAST])
def test_two_per_cent_make_the_notebook_fail(copy: Path, file: str, right: str, wrong: str) -> None:
    source = copy / file
    text = source.read_text(encoding="utf-8")
    assert text.count(right) == 1, f"{file} no longer says {right!r}"
    source.write_text(text.replace(right, wrong), encoding="utf-8")
    try:
        done = nbval(copy)
    finally:
        source.write_text(text, encoding="utf-8")
    assert done.returncode == 1, done.stdout
    assert "mismatch 'stdout'" in done.stdout


def printed(home: Path) -> dict[str, list[str]]:
    """What the checked cell of each lesson's notebook was saved with."""
    found = {}
    for path in sorted((home / "notebooks").glob("lesson_*.ipynb")):
        (output,) = json.loads(path.read_text(encoding="utf-8"))["cells"][-1]["outputs"]
        found[path.stem.removeprefix("lesson_")] = "".join(output["text"]).splitlines()
    return found


@pytest.mark.parametrize("change", [GRAVITY, CHAIN], ids=["gravity", "drag of the chain"])
def test_a_small_change_of_the_physics_makes_the_lessons_fail(
    copy: Path, change: tuple[str, str, str]
) -> None:
    """All of them, for two per cent of gravity and for a tenth of the chain's drag.

    Each lesson's checked cell prints these lines, so nbval would fail; here they are had in one process.
    """
    source, right, wrong = copy / change[0], *change[1:]
    text = source.read_text(encoding="utf-8")
    assert text.count(right) == 1, f"{change[0]} no longer says {right!r}"
    source.write_text(text.replace(right, wrong), encoding="utf-8")
    try:
        done = subprocess.run(
            [sys.executable, "-c", LESSONS],
            cwd=copy,
            env=surroundings(copy),
            capture_output=True,
            text=True,
            timeout=300,
            check=True,
        )
    finally:
        source.write_text(text, encoding="utf-8")
    now, saved = json.loads(done.stdout.splitlines()[-1]), printed(copy)
    assert set(now) == set(saved)
    assert {key for key in now if now[key] == saved[key]} == set()
