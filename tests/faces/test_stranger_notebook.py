"""What the server makes of a notebook: only one that is in all its parts as it shipped is trusted."""

from __future__ import annotations

import asyncio
import copy
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from tornado.web import HTTPError

from anchorsim.core.resources import folder
from anchorsim.jupyter.contents import MARK, Files, ships_in
from anchorsim.jupyter.copies import written_digest

Notebook = dict[str, Any]
SHIPPED = {
    path.name: json.loads(path.read_text(encoding="utf-8")) for path in folder("notebooks").glob("*.ipynb")
}
NAME = "lesson_scope.ipynb"  # text, code, pictures, a table and printed lines
KEPT = "lesson_scope-checkpoint.ipynb"  # where Jupyter keeps one as it was saved
SCRIPT = {"output_type": "display_data", "metadata": {}, "data": {"text/html": "<script>0</script>"}}
WIDGETS = {"application/vnd.jupyter.widget-state+json": {"state": {}, "version_major": 2, "version_minor": 0}}


def cell(notebook: Notebook, kind: str) -> dict[str, Any]:
    found: dict[str, Any] = next(one for one in notebook["cells"] if one["cell_type"] == kind)
    return found


def shown(notebook: Notebook) -> list[Any]:
    outputs: list[Any] = next(one["outputs"] for one in notebook["cells"] if one.get("outputs"))
    return outputs


def raw(notebook: Notebook) -> None:
    notebook["cells"].append({"cell_type": "raw", "id": "raw", "metadata": {}, "source": "x"})


CHANGES: dict[str, Callable[[Notebook], Any]] = {
    "code": lambda one: cell(one, "code").update(source="import os"),
    "a space in code": lambda one: cell(one, "code")["source"].append(" "),
    "text": lambda one: cell(one, "markdown").update(source="# Mine"),
    "an attachment": lambda one: cell(one, "markdown").update(attachments={"a.png": {"image/png": "AAAA"}}),
    "a cell's metadata": lambda one: cell(one, "code")["metadata"].update(tags=["a"]),
    "a cell that says it is trusted": lambda one: cell(one, "code")["metadata"].update(trusted=True, a=0),
    "a text that says it is trusted": lambda one: cell(one, "markdown")["metadata"].update(trusted=True, a=0),
    "a cell's count": lambda one: cell(one, "code").update(execution_count=99),
    "a cell's id": lambda one: cell(one, "code").update(id="other"),
    "an output more": lambda one: shown(one).append(SCRIPT),
    "an output less": lambda one: shown(one).clear(),
    "an output's content": lambda one: shown(one)[0]["data"].update({"text/html": "<script>0</script>"}),
    "an output's metadata": lambda one: shown(one)[0]["metadata"].update(isolated=True),
    "a raw cell more": raw,
    "a cell less": lambda one: one["cells"].pop(),
    "the order": lambda one: one["cells"].reverse(),
    "the kernel": lambda one: one["metadata"]["kernelspec"].update(name="strange"),
    "saved widgets": lambda one: one["metadata"].update(widgets=WIDGETS),
    "a mark of its own": lambda one: one["metadata"].update({MARK: True}),
    "the format": lambda one: one.update(nbformat_minor=4),
}


def sent(home: Path, notebook: Notebook) -> Notebook:
    """What a page gets of a notebook that lies in a folder."""
    (home / NAME).write_text(json.dumps(notebook), encoding="utf-8")
    model = asyncio.run(Files(root_dir=str(home)).get(NAME, content=True))
    content: Notebook = model["content"]
    return content


def saved(home: Path, notebook: Notebook) -> Notebook:
    """What lies in the folder once a page has saved a notebook."""
    model = {"type": "notebook", "format": "json", "content": notebook}
    asyncio.run(Files(root_dir=str(home)).save(model, NAME))
    content: Notebook = json.loads((home / NAME).read_text(encoding="utf-8"))
    return content


def trusted(notebook: Notebook) -> set[bool]:
    return {bool(one["metadata"].get("trusted")) for one in notebook["cells"] if one["cell_type"] == "code"}


@pytest.mark.parametrize("name", SHIPPED)
def test_one_that_ships_is_marked_and_trusted(tmp_path: Path, name: str) -> None:
    found = sent(tmp_path, SHIPPED[name])
    assert (found["metadata"][MARK], trusted(found)) == (True, {True})
    assert ships_in(folder("notebooks") / name)


@pytest.mark.parametrize("kind", CHANGES)
def test_one_that_differs_anywhere_is_a_strangers(tmp_path: Path, kind: str) -> None:
    changed = copy.deepcopy(SHIPPED[NAME])
    CHANGES[kind](changed)
    assert changed != SHIPPED[NAME]
    found = sent(tmp_path, changed)
    assert trusted(found) == {False}
    assert {MARK, "widgets"}.isdisjoint(found["metadata"])
    assert not [one for one in found["cells"] if one["cell_type"] != "code" and "trusted" in one["metadata"]]
    assert not ships_in(tmp_path / NAME)


@pytest.mark.parametrize(
    "text", ["", "[]", "{}", "null", '{"cells": 1, "nbformat": 4}', "\0", "notes", '{"nbformat": "four"}']
)
def test_what_is_no_notebook_is_none_of_ours(tmp_path: Path, text: str) -> None:
    (tmp_path / NAME).write_text(text, encoding="utf-8")
    assert not ships_in(tmp_path / NAME)
    assert not ships_in(tmp_path / "missing.ipynb")


def test_one_that_ships_is_saved_as_it_shipped(tmp_path: Path) -> None:
    """After it was run, as Ctrl-S saves it: it still runs by itself when its page is loaded again."""
    ran = sent(tmp_path, SHIPPED[NAME])
    shown(ran).append(SCRIPT)
    cell(ran, "code")["execution_count"] = 7
    ran["metadata"]["language_info"]["version"] = "3.11.7"
    saved(tmp_path, ran)
    assert ships_in(tmp_path / NAME)


def test_what_a_person_wrote_is_saved_as_they_wrote_it(tmp_path: Path) -> None:
    changed = copy.deepcopy(SHIPPED[NAME])
    changed["metadata"][MARK] = True
    cell(changed, "markdown")["source"] = "# Mine"
    shown(changed).append(SCRIPT)
    found = saved(tmp_path, changed)
    assert MARK not in found["metadata"]
    assert "".join(cell(found, "markdown")["source"]) == "# Mine"
    assert [one["data"] for one in shown(found)][-1] == {"text/html": ["<script>0</script>"]}


WRITTEN = {
    "text": True,
    "an attachment": True,
    "code": True,
    "an output more": False,
    "a cell's count": False,
}


@pytest.mark.parametrize(("kind", "written"), WRITTEN.items())
def test_what_counts_as_written_by_a_person(kind: str, written: bool) -> None:
    """A copy in which someone wrote is never replaced by a fresh one."""
    changed = copy.deepcopy(SHIPPED[NAME])
    CHANGES[kind](changed)
    assert (written_digest(changed) != written_digest(SHIPPED[NAME])) == written


def _with(cell: object = None, **top: object) -> bytes:
    return json.dumps(
        {"cells": [cell or CELL], "metadata": {}, "nbformat": 4, "nbformat_minor": 5, **top}
    ).encode()


CELL = {"cell_type": "code", "id": "a", "metadata": {}, "source": "1", "outputs": [], "execution_count": None}
REFUSED = {
    b"": "the file is empty",
    b" hello": "line 1 is not JSON",
    _with()[:90]: "line 1 is not JSON",
    b"[]": "the notebook is missing or of a wrong kind",
    b"{}": "nbformat is missing or of a wrong kind",
    _with(nbformat=99): "nbformat is missing or of a wrong kind",
    _with(cells={}): "cells is missing or of a wrong kind",
    _with(metadata=[]): "metadata is missing or of a wrong kind",
    _with("cell"): "cells[0] is missing or of a wrong kind",
    _with(CELL | {"cell_type": "odd"}): "cells[0].cell_type is missing or of a wrong kind",
    _with(CELL | {"source": 7}): "cells[0].source is missing or of a wrong kind",
    _with(CELL | {"outputs": [{}]}): "cells[0].outputs[0].output_type is missing or of a wrong kind",
    _with(CELL | {"source": [1, 2]}): "its parts do not fit together",
    _with().replace(b'"1"', b"NaN"): "NaN is not a number",
    _with(metadata={"a": 0.5}).replace(b"0.5", b"1e400"): "1e400 is not a number",
    _with(metadata={"a": [0] * 600_000}): "too many keys and values",
    b'{"cells": ' + b"[" * 100_000: "too many levels",
    _with().replace(b'"1"', b'"\xe9"'): "not text in UTF-8",
}


def opened(home: Path, name: str) -> Notebook:
    model: Notebook = asyncio.run(Files(root_dir=str(home)).get(name, content=True))
    return model


@pytest.mark.parametrize("content", REFUSED, ids=REFUSED.values())
def test_a_file_that_is_no_notebook_is_refused_in_a_sentence(tmp_path: Path, content: bytes) -> None:
    (tmp_path / NAME).write_bytes(content)
    with pytest.raises(HTTPError) as caught:
        opened(tmp_path, NAME)
    assert caught.value.status_code == 400
    said = str(caught.value.log_message)
    assert said.startswith(f"{tmp_path / NAME}: {REFUSED[content]}. Expected ")
    assert len(said) < len(str(tmp_path)) + 200


def test_a_loop_of_links_is_refused_in_a_sentence(tmp_path: Path) -> None:
    (tmp_path / NAME).symlink_to(NAME)
    assert not asyncio.run(Files(root_dir=str(tmp_path)).is_hidden(NAME))
    with pytest.raises(HTTPError, match=r"could not be read \(.*\)\. Expected a file\. Choose another\."):
        opened(tmp_path, NAME)


def test_another_programs_notebook_opens_and_says_what_differs(tmp_path: Path) -> None:
    (tmp_path / NAME).write_bytes(_with(CELL | {"outputs": [{"output_type": "stream", "text": "hello"}]}))
    model = opened(tmp_path, NAME)
    assert model["content"]["cells"][0]["outputs"][0]["text"] == "hello"
    said = "cells[0].outputs[0] is not as Jupyter saves it. Check what you see before you save it."
    assert model["message"] == said


def test_what_a_killed_server_was_writing_is_as_it_was_before(tmp_path: Path) -> None:
    (tmp_path / NAME).write_bytes(_with()[:90])
    (tmp_path / f".~{NAME}").write_bytes(_with())  # where Jupyter keeps it while it writes
    assert opened(tmp_path, NAME)["content"]["cells"][0]["source"] == "1"
    assert (tmp_path / NAME).read_bytes() == _with()


@pytest.mark.parametrize("place", [f".~{NAME}", ".ipynb_checkpoints", f".ipynb_checkpoints/{KEPT}"])
def test_what_is_put_aside_goes_through_no_link(tmp_path: Path, place: str) -> None:
    home, other = tmp_path / "home", tmp_path / "other"
    (home / place).parent.mkdir(parents=True)
    other.mkdir()
    (other / KEPT).write_text("mine", encoding="utf-8")
    (home / NAME).write_bytes(_with())
    (home / place).symlink_to(other if place == ".ipynb_checkpoints" else other / KEPT)
    files = Files(root_dir=str(home))
    asyncio.run(files.save({"type": "notebook", "format": "json", "content": json.loads(_with())}, NAME))
    asyncio.run(files.create_checkpoint(NAME))
    assert (other / KEPT).read_text(encoding="utf-8") == "mine"
    assert json.loads((home / ".ipynb_checkpoints" / KEPT).read_text(encoding="utf-8"))["nbformat"] == 4
