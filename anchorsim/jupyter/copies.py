"""The person's own copies of the notebooks, scenario files and forecasts that ship with the package.

A copy that nobody changed is kept up to date.  A copy that was changed is never written over: the shipped
notebook then goes in beside it, under the next free name.
"""

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from anchorsim.core import reading
from anchorsim.core.file_names import beside
from anchorsim.core.reading import NOTEBOOK, check_values, read_bytes, read_text
from anchorsim.core.resources import folder
from anchorsim.core.writing import digest, digest_of, write_whole

RECORD = "copies.json"
NO_NOTEBOOK = (ValueError, KeyError, TypeError, AttributeError, RecursionError)  # what another file raises
Digests = dict[str, list[str]]
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
    source = folder("notebooks") / notebook
    others = [path for path in folder("notebooks").glob("*.ipynb") if path.name != notebook]
    shared = [path for path in folder("shared").iterdir() if path.suffix in SHARED]
    ours = _remembered(state / RECORD, [source, *others, *shared])
    target = next(one for one in beside(home / notebook) if _refresh(source, one, ours))
    left_alone = home / notebook if target.name != notebook else None
    for path in sorted([*others, *shared]):
        _refresh(path, home / path.name, ours)
    return Copy(target, left_alone)


def _refresh(source: Path, target: Path, ours: Digests) -> bool:
    """Copy a file unless the person has changed the one that is there; whether it is now the shipped one.

    A link is left alone, for a stranger's folder may have it lead to any file of the person's.
    """
    if target.is_symlink():
        return False
    if target.exists():
        try:
            found = _digest(target)
        except NO_NOTEBOOK:
            return False
        if found not in ours[source.name]:
            return False
    content = source.read_bytes()
    if digest(target) != digest_of(content):
        write_whole(target, content)
    return True


def _digest(path: Path) -> str:
    if path.suffix == ".ipynb":
        text = read_text(path, NOTEBOOK)
        check_values(text, NOTEBOOK)
        return written_digest(json.loads(text))
    return digest_of(read_bytes(path, NOTEBOOK))


def _remembered(record: Path, sources: list[Path]) -> Digests:
    """The digests of all that was ever put into the person's folder from sources of a name, these included.

    They are written down before any copy is made: one that is interrupted leaves nothing unknown behind.
    """
    before = _held(record)
    now = {path.name: list(dict.fromkeys([*before.get(path.name, []), _digest(path)])) for path in sources}
    if before != {**before, **now}:
        write_whole(record, json.dumps({**before, **now}, indent=1, sort_keys=True).encode())
    return now


def _held(record: Path) -> Digests:
    """What the record says, as far as it is one; a stranger's folder may bring any."""
    try:
        text = read_text(record, reading.RECORD)
        check_values(text, reading.RECORD)
        held = json.loads(text)
        lists = {name: [one] if isinstance(one, str) else list(one) for name, one in held.items()}
    except NO_NOTEBOOK:
        return {}
    return {name: [one for one in found if isinstance(one, str)] for name, found in lists.items()}
