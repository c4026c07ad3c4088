"""The person's own copies of the notebooks, scenario files and forecasts that ship with the package.

A copy that nobody changed is kept up to date.  A copy that was changed is never written over: the shipped
notebook then goes in beside it, under the next free name.
"""

from __future__ import annotations

import hashlib
import json
import shutil
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from anchorsim.core.file_names import beside
from anchorsim.core.reading import NOTEBOOK, read_bytes, read_text
from anchorsim.core.resources import folder

RECORD = "copies.json"
NO_NOTEBOOK = (ValueError, KeyError, TypeError, AttributeError, RecursionError)  # what another file raises
SHARED = (".toml", ".csv")  # kinds of files that people hand to each other


@dataclass(frozen=True)
class Copy:
    """Where the notebook to open lies, and the changed copy that was left alone, if there is one."""

    notebook: Path
    left_alone: Path | None


def written_digest(notebook: Any) -> str:
    """The SHA-256 of what people write in a notebook: its cells' kinds, texts and attachments.

    What Jupyter adds when it is run or saved (outputs, counts, metadata) does not count.  Raises KeyError,
    TypeError or AttributeError where it is not a notebook.
    """
    cells = [
        (cell.get("cell_type"), _text(cell.get("source", "")), cell.get("attachments") or {})
        for cell in notebook["cells"]
    ]
    return hashlib.sha256(json.dumps(cells, sort_keys=True).encode()).hexdigest()


def _text(source: Any) -> str:
    return source if isinstance(source, str) else "".join(source)


def assemble(home: Path, state: Path, notebook: str) -> Copy:
    """Put the notebooks and the shared scenario files and forecasts into the person's folder.

    ``notebook`` is the one to be opened, which is there under some name in the end; of the others a changed
    copy is all there is.  ``state`` is the folder that remembers what was written, by digest, to tell a copy
    of an earlier version from one that the person changed.
    """
    record = _Record(state / RECORD)
    source = folder("notebooks") / notebook
    target = next(one for one in beside(home / notebook) if _refresh(source, one, record))
    left_alone = home / notebook if target.name != notebook else None
    others = [path for path in folder("notebooks").glob("*.ipynb") if path.name != notebook]
    shared = [path for path in folder("shared").iterdir() if path.suffix in SHARED]
    for path in sorted([*others, *shared]):
        _refresh(path, home / path.name, record)
    record.save()
    return Copy(target, left_alone)


def _refresh(source: Path, target: Path, record: _Record) -> bool:
    """Copy a file unless the person has changed the one that is there; whether it is now the shipped one."""
    fresh = _digest(source)
    if target.exists():
        try:
            found = _digest(target)
        except NO_NOTEBOOK:
            return False
        if found != fresh and not record.has(target.name, found):
            return False
    shutil.copyfile(source, target)
    record.add(target.name, fresh)
    return True


def _digest(path: Path) -> str:
    if path.suffix == ".ipynb":
        return written_digest(json.loads(read_text(path, NOTEBOOK)))
    return hashlib.sha256(read_bytes(path, NOTEBOOK)).hexdigest()


class _Record:
    """What was written into the person's folder so far: file name to the digest of its content."""

    def __init__(self, path: Path) -> None:
        self._path = path
        try:
            self._digests: dict[str, str] = json.loads(path.read_text(encoding="utf-8"))
        except (OSError, ValueError):
            self._digests = {}

    def has(self, name: str, digest: str) -> bool:
        return self._digests.get(name) == digest

    def add(self, name: str, digest: str) -> None:
        self._digests[name] = digest

    def save(self) -> None:
        self._path.write_text(json.dumps(self._digests, indent=1, sort_keys=True), encoding="utf-8")
