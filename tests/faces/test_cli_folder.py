"""The person's folder: fresh copies of what ships, and nothing of theirs ever written over."""

from __future__ import annotations

import json
import socket
from pathlib import Path

import pytest

from anchorsim.cli import main
from anchorsim.core.resources import folder
from anchorsim.jupyter import copies
from anchorsim.jupyter.launch import HOST, LaunchError, free_port

SHIPPED = folder("notebooks") / "explorer.ipynb"


@pytest.fixture
def home(tmp_path: Path) -> Path:
    return tmp_path


def assemble(home: Path) -> copies.Copy:
    state = home / ".state"
    state.mkdir(exist_ok=True)
    return copies.assemble(home, state, "explorer.ipynb")


def edit(notebook: Path, source: str) -> str:
    """Change the code of a notebook, as a person would."""
    content = json.loads(notebook.read_text(encoding="utf-8"))
    content["cells"][0]["source"] = source
    text = json.dumps(content)
    notebook.write_text(text, encoding="utf-8")
    return text


def test_the_first_time_everything_is_copied(home: Path) -> None:
    copy = assemble(home)
    assert copy == copies.Copy(home / "explorer.ipynb", None)
    assert copy.notebook.read_bytes() == SHIPPED.read_bytes()
    kinds = (("shared", "*.toml"), ("shared", "*.csv"), ("notebooks", "*.ipynb"))
    shipped = [path for name, kind in kinds for path in folder(name).glob(kind)]
    assert {".toml", ".csv", ".ipynb"} == {path.suffix for path in shipped}
    assert {path.name for path in home.glob("*.*") if path.is_file()} == {path.name for path in shipped}


def test_a_copy_that_only_gained_outputs_is_made_fresh(home: Path) -> None:
    notebook = assemble(home).notebook
    content = json.loads(notebook.read_text(encoding="utf-8"))
    content["cells"][0]["outputs"] = [{"output_type": "stream", "name": "stdout", "text": "an old picture"}]
    notebook.write_text(json.dumps(content), encoding="utf-8")
    assert assemble(home).notebook == notebook
    assert notebook.read_bytes() == SHIPPED.read_bytes()


def test_a_changed_copy_is_left_alone_and_the_fresh_one_goes_beside_it(home: Path) -> None:
    notebook = assemble(home).notebook
    changed = edit(notebook, "my = 'own'")
    copy = assemble(home)
    assert copy == copies.Copy(home / "explorer-2.ipynb", notebook)
    assert notebook.read_text(encoding="utf-8") == changed
    edit(copy.notebook, "and = 'another'")
    assert assemble(home).notebook == home / "explorer-3.ipynb"


def test_a_copy_of_an_earlier_version_is_replaced(home: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with monkeypatch.context() as patched:
        earlier = home / "earlier"
        for name in ("notebooks", "shared"):
            (earlier / name).mkdir(parents=True)
        (earlier / "notebooks" / "explorer.ipynb").write_bytes(SHIPPED.read_bytes())
        edit(earlier / "notebooks" / "explorer.ipynb", "import of_an_earlier_version")
        patched.setattr(copies, "folder", lambda name: earlier / name)
        notebook = assemble(home).notebook
    assert "of_an_earlier_version" in notebook.read_text(encoding="utf-8")
    assert assemble(home) == copies.Copy(notebook, None)
    assert notebook.read_bytes() == SHIPPED.read_bytes()


def test_what_is_no_notebook_is_left_alone(home: Path) -> None:
    (home / "explorer.ipynb").write_text("notes of mine", encoding="utf-8")
    assert assemble(home).notebook == home / "explorer-2.ipynb"
    assert (home / "explorer.ipynb").read_text(encoding="utf-8") == "notes of mine"


def test_a_changed_scenario_file_is_left_alone(home: Path) -> None:
    assemble(home)
    scenario = next(home.glob("*.toml"))
    scenario.write_text('title = "Mine"\n', encoding="utf-8")
    assemble(home)
    assert scenario.read_text(encoding="utf-8") == 'title = "Mine"\n'


def test_a_folder_that_cannot_be_made(home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    blocked = home / "file"
    blocked.touch()
    assert main(["open", "--no-browser", "--folder", str(blocked / "within")]) == 2
    sentence = (
        f"{blocked / 'within'}: could not be written (not a directory). Expected a folder that you may write "
        "to. Choose another with --folder."
    )
    assert capsys.readouterr().err == f"anchorsim: {sentence}\n"


def test_a_port_that_is_taken(home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    with socket.socket() as taken:
        taken.bind((HOST, 0))
        taken.listen()
        port = taken.getsockname()[1]
        assert main(["open", "--no-browser", "--folder", str(home), "--port", str(port)]) == 2
        assert f"anchorsim: Port {port} is not free (" in capsys.readouterr().err
        assert free_port(None) != port
    with pytest.raises(LaunchError, match=r"^Port 99999 is not free .*\. Omit --port to use a free one\.$"):
        free_port(99999)
