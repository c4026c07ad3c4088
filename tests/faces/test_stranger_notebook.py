"""What the server makes of a notebook: only one that is in all its parts as it shipped is trusted."""

from __future__ import annotations

import asyncio
import copy
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from anchorsim.core.resources import folder
from anchorsim.jupyter.contents import MARK, Files, ships_in
from anchorsim.jupyter.copies import written_digest

Notebook = dict[str, Any]
SHIPPED = {
    path.name: json.loads(path.read_text(encoding="utf-8")) for path in folder("notebooks").glob("*.ipynb")
}
NAME = "how_much_scope.ipynb"  # text, code, pictures, a table and printed lines
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
