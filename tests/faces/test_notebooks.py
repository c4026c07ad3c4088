"""The notebooks are regression tests: changed physics must make them fail.

Runs a copy of the package in which one number is two per cent off, and expects nbval to object.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
GRAVITY = ("anchorsim/core/units.py", "GRAVITY = 9.80665", "GRAVITY = 10.002783")
MAST = ("data/drag.csv", "mast and stays,1.1,", "mast and stays,1.122,")
HULL = ("data/windage.csv", "speed boat,0.9,0.55,0.6,", "speed boat,0.9,0.561,0.6,")


@pytest.fixture(scope="module")
def copy(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A checkout of its own, one for all cases so that its kernels are compiled once."""
    home = tmp_path_factory.mktemp("checkout")
    for name in ("anchorsim", "data", "shared", "notebooks"):
        shutil.copytree(
            ROOT / name, home / name, ignore=shutil.ignore_patterns("__pycache__", ".ipynb_checkpoints")
        )
    return home


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
    environment = {**os.environ, "PYTHONPATH": str(home)}
    return subprocess.run(
        command, cwd=home, env=environment, capture_output=True, text=True, timeout=300, check=False
    )


def test_the_copy_passes_as_it_is(copy: Path) -> None:
    done = nbval(copy)
    assert done.returncode == 0, done.stdout


@pytest.mark.parametrize(("file", "right", "wrong"), [GRAVITY, MAST, HULL])
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
