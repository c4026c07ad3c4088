"""What is installed from a wheel, made through the source archive, works without the checkout."""

from __future__ import annotations

import os
import subprocess
import sys
import sysconfig
import urllib.request
import venv
import zipfile
from collections.abc import Iterator
from pathlib import Path
from urllib.parse import urlsplit

import pytest

ROOT = Path(__file__).parents[2]
BIN = "Scripts" if os.name == "nt" else "bin"


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The wheel as ``python -m build`` makes it: the source archive first, and the wheel from that."""
    out = tmp_path_factory.mktemp("dist")
    command = [sys.executable, "-m", "build", "--no-isolation", "--outdir", str(out), str(ROOT)]
    subprocess.run(command, check=True, capture_output=True)
    return next(out.glob("*.whl"))


@pytest.fixture(scope="module")
def installed(wheel: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder of the commands of a fresh environment: the wheel in it, and what it depends on beside it.

    The dependencies are those of the environment that runs the tests.  Its folder is named in a .pth file,
    so the .pth files within it, an editable install's among them, are not read: no way leads to the checkout.
    """
    home = tmp_path_factory.mktemp("env")
    venv.create(home, with_pip=False)
    python = home / BIN / "python"
    subprocess.run(
        [
            sys.executable,
            "-m",
            "pip",
            "--python",
            str(python),
            "install",
            "--no-deps",
            "--no-index",
            str(wheel),
        ],
        check=True,
        capture_output=True,
    )
    packages = Path(sysconfig.get_path("purelib", vars={"base": str(home)}))
    (packages / "dependencies.pth").write_text(sysconfig.get_path("purelib") + "\n", encoding="utf-8")
    return home / BIN


@pytest.fixture
def elsewhere(tmp_path: Path) -> Path:
    folder = tmp_path / "empty"
    folder.mkdir()
    return folder


def environment(**more: str) -> dict[str, str]:
    return {
        name: value for name, value in os.environ.items() if not name.startswith(("PYTHON", "JUPYTER"))
    } | more


def run(command: list[Path | str], folder: Path, **more: str) -> str:
    plain = environment(**more)
    plain.pop("NUMBA_CACHE_DIR", None)  # a person has none
    done = subprocess.run(command, cwd=folder, capture_output=True, text=True, check=False, env=plain)
    assert done.returncode == 0, done.stderr
    return done.stdout


def test_the_wheel_carries_all_that_is_needed(wheel: Path) -> None:
    held = set(zipfile.ZipFile(wheel).namelist())
    assert {
        "anchorsim/_files/notebooks/explorer.ipynb",
        "anchorsim/_files/data/boats.toml",
        "anchorsim/jupyter/lab/overrides.json",
        "anchorsim/jupyter/lab/page_config.json",
        "anchorsim/jupyter/share/kernels/python3/kernel.json",
        "anchorsim/jupyter/share/labextensions/anchorsim/package.json",
        "anchorsim/jupyter/share/labextensions/anchorsim/static/remoteEntry.js",
        "anchorsim/classroom/page.html",
        "anchorsim/player/player.js",
        "anchorsim/explorer/explorer.css",
        "anchorsim/__main__.py",
        "anchorsim/py.typed",
    } <= held
    (licence,) = (name for name in held if name.endswith(".dist-info/licenses/anchorsim/LICENSE"))
    with zipfile.ZipFile(wheel) as opened:
        assert opened.read(licence).decode().startswith("MIT License")
        (told,) = (name for name in held if name.endswith(".dist-info/METADATA"))
        assert "License-Expression: MIT\n" in opened.read(told).decode()
    for folder, pattern in (("notebooks", "*.ipynb"), ("data", "**/*"), ("shared", "*.*")):
        for path in (ROOT / folder).glob(pattern):
            assert path.is_dir() or f"anchorsim/_files/{path.relative_to(ROOT)}" in held
    assert not [name for name in held if "checkpoint" in name or "__pycache__" in name or "tests/" in name]


def test_it_is_the_installed_package_that_runs(installed: Path, elsewhere: Path) -> None:
    place = run([installed / "python", "-c", "import anchorsim; print(anchorsim.__file__)"], elsewhere)
    assert Path(place.strip()).is_relative_to(installed.parent)


def test_check_and_run_work_in_an_empty_folder(installed: Path, elsewhere: Path) -> None:
    text = 'format = 1\n[weather]\nmean_wind = "25 knot"\nduration = "1 min"\n'
    (elsewhere / "mine.toml").write_text(text, encoding="utf-8")
    assert run([installed / "anchorsim", "check", "mine.toml"], elsewhere) == "mine.toml: no errors found\n"
    # without machine code: to make all of it anew takes a minute
    told = run([installed / "anchorsim", "run", "mine.toml"], elsewhere, NUMBA_DISABLE_JIT="1")
    assert "Peak load at the bow" in told
    assert [path.name for path in elsewhere.iterdir()] == ["mine.toml"]


def test_machine_code_is_made_and_kept_beside_the_installed_package(installed: Path, elsewhere: Path) -> None:
    asks = "from anchorsim.mooring.curve_kernel import cubic as f; print(f(0.5, 0.0, 1.0, 1.0), f.signatures)"
    assert "float64" in run([installed / "python", "-c", asks], elsewhere)
    place = run([installed / "python", "-c", "import anchorsim; print(anchorsim.__file__)"], elsewhere)
    assert list(Path(place.strip()).parent.glob("__pycache__/kernels-*/**/curve_kernel.cubic*.nbc"))
    assert list(elsewhere.iterdir()) == []


@pytest.fixture
def served(installed: Path, elsewhere: Path) -> Iterator[tuple[str, Path]]:
    """The address of the explorer of the installed package, and the person's folder."""
    lab = Path(sysconfig.get_path("data")) / "share" / "jupyter"  # where JupyterLab keeps its pages
    process = subprocess.Popen(
        [installed / "anchorsim", "--no-browser", "--folder", str(elsewhere / "mine")],
        cwd=elsewhere,
        stdout=subprocess.PIPE,
        text=True,
        env=environment(JUPYTER_PATH=str(lab), HOME=str(elsewhere)),
    )
    try:
        assert process.stdout is not None
        yield next(line.strip() for line in process.stdout if "token=" in line), elsewhere / "mine"
    finally:
        process.terminate()
        process.wait(20)


def test_the_explorer_is_served_from_the_installed_package(served: tuple[str, Path]) -> None:
    address, folder = served
    assert (folder / "explorer.ipynb").is_file()
    with urllib.request.urlopen(address, timeout=20) as answer:
        page = answer.read().decode()
    assert '"@jupyter-widgets/jupyterlab-manager"' in page
    parts = urlsplit(address)
    extension = (
        f"{parts.scheme}://{parts.netloc}/lab/extensions/anchorsim/static/remoteEntry.js?{parts.query}"
    )
    with urllib.request.urlopen(extension, timeout=20) as answer:
        assert b"anchorsim:plugin" in answer.read()
