"""The person's folder as the server hands it to a page: what ships is trusted, and nothing else.

A notebook's file can hold what a page would run as soon as it is opened: widgets that were saved with a
script of their own, and outputs with scripts.  Jupyter lets signed outputs through, and saved widgets always.
Here saved widgets are left out of every notebook, and only one that is in all its parts as it shipped counts
as trusted; it carries a mark, which the page's own extension looks for and no file can bring along.
"""

from __future__ import annotations

import copy
import functools
import json
from pathlib import Path
from typing import Any

import nbformat
from jupyter_server.base.handlers import AuthenticatedFileHandler
from jupyter_server.services.contents.largefilemanager import AsyncLargeFileManager
from traitlets import default

from anchorsim.core.reading import NOTEBOOK, read_text
from anchorsim.core.resources import folder
from anchorsim.jupyter.copies import written_digest

MARK = "anchorsim_ships"  # in a notebook's metadata on its way to the page; remoteEntry.js looks for it


class Files(AsyncLargeFileManager):
    """Jupyter's files in a folder, with trust in what ships in place of a store of signatures."""

    def mark_trusted_cells(self, nb: Any, path: str = "") -> None:
        """Called for every notebook that is read, with what will be sent."""
        ours = ships(nb)
        for name in (MARK, "widgets"):
            nb.metadata.pop(name, None)
        for cell in nb.cells:
            cell.metadata.pop("trusted", None)
            if cell.cell_type == "code":
                cell.metadata["trusted"] = ours
        if ours:
            nb.metadata[MARK] = True

    def check_and_sign(self, nb: Any, path: str = "", **_: Any) -> None:
        """Called for every notebook that is saved, with what will be written.

        One that ships, and in which nobody wrote, is saved as it shipped: its outputs are made anew each
        time.
        """
        nb.metadata.pop(MARK, None)
        if fresh := _as_shipped().get(written_digest(nb)):
            nb.update(copy.deepcopy(fresh))

    @default("files_handler_class")
    def _download(self) -> type[Download]:
        return Download


class Download(AuthenticatedFileHandler):
    """A file as it is, for a window in which no script runs, and never as a script for another page."""

    @property
    def content_security_policy(self) -> str:
        """Jupyter's own lets scripts run in a page without an origin, from where they can still send."""
        return "default-src 'none'; img-src 'self' data:; style-src 'unsafe-inline'; sandbox"

    def get_content_type(self) -> str:
        """A browser takes no script that is not called one, since Jupyter tells it not to look for itself."""
        kind = str(super().get_content_type())
        return "text/plain" if "script" in kind else kind


def ships(notebook: Any) -> bool:
    """Whether a notebook in the current format is one of ours, with all that is in it: cells of all kinds,
    their attachments, outputs and metadata, and its own."""
    fresh = _as_shipped().get(written_digest(notebook))
    return json.dumps(notebook, sort_keys=True) == json.dumps(fresh, sort_keys=True)


def ships_in(file: Path) -> bool:
    """Whether a file holds one of our notebooks; whatever is wrong with it, it is then none."""
    try:
        return ships(_read(file))
    except Exception:  # what nbformat raises at a broken notebook is legion, and each means the same
        return False


def _read(file: Path) -> Any:
    reads: Any = nbformat.reads
    return reads(read_text(file, NOTEBOOK), as_version=4)


@functools.cache
def _as_shipped() -> dict[str, Any]:
    """The notebooks that ship, in the current format, by the digest of what is written in them."""
    found = [_read(path) for path in sorted(folder("notebooks").glob("*.ipynb"))]
    return {written_digest(notebook): notebook for notebook in found}
