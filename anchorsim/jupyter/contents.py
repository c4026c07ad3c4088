"""The person's folder as the server hands it to a page: what ships is trusted, and nothing else.

A notebook's file can hold what a page would run as soon as it is opened: widgets that were saved with a
script of their own, and outputs with scripts.  Jupyter lets signed outputs through, and saved widgets always.
Here saved widgets are left out of every notebook, and only one that is in all its parts as it shipped counts
as trusted; it carries a mark, which the page's own extension looks for and no file can bring along.
"""

from __future__ import annotations

import asyncio
import copy
import functools
import json
from pathlib import Path
from typing import Any, cast

from jupyter_server.base.handlers import AuthenticatedFileHandler
from jupyter_server.services.contents import fileio
from jupyter_server.services.contents.largefilemanager import AsyncLargeFileManager
from tornado.web import HTTPError
from traitlets import default

from anchorsim.core.errors import AnchorsimError, sentence
from anchorsim.core.reading import NOTEBOOK, brief_path, read_bytes, reason
from anchorsim.core.resources import folder
from anchorsim.jupyter.copies import written_digest
from anchorsim.jupyter.notebook_file import difference, notebook_of, read_notebook

MARK = "anchorsim_ships"  # in a notebook's metadata on its way to the page; remoteEntry.js looks for it


class Files(AsyncLargeFileManager):
    """Jupyter's files in a folder, with trust in what ships in place of a store of signatures."""

    async def is_hidden(self, path: str) -> bool:
        """Called before whatever is opened; of a loop of links it is left to ``get`` to tell."""
        tell: Any = super().is_hidden
        try:
            return bool(await tell(path))
        except OSError:
            return False

    async def get(self, path: str, *arguments: Any, **named: Any) -> dict[str, Any]:
        """Called for whatever is opened; raises HTTPError with a sentence where the system would not."""
        read: Any = super().get
        try:
            model: dict[str, Any] = await read(path, *arguments, **named)
            return model
        except (OSError, ValueError) as error:
            why = reason(error) if isinstance(error, OSError) else "no file has such a name"
            wrong = f"{brief_path(path)}: could not be read ({why})"
            raise HTTPError(400, sentence(wrong, "a file", "choose another")) from None

    async def save(self, model: dict[str, Any], path: str = "") -> dict[str, Any]:
        """Called for whatever is saved."""
        self._keep_within(path)
        save: Any = super().save
        saved: dict[str, Any] = await save(model, path)
        return saved

    async def create_checkpoint(self, path: str) -> dict[str, Any]:
        """Called for a notebook that was saved, to keep it as it is now."""
        self._keep_within(path)
        create: Any = super().create_checkpoint
        made: dict[str, Any] = await create(path)
        return made

    def _keep_within(self, path: str) -> None:
        """Remove links from where a file is put aside: Jupyter would write over what they lead to."""
        names, place = cast(Any, fileio), cast(Any, self)._get_os_path
        source = Path(place(path))
        aside = source.parent / cast(Any, self).checkpoints.checkpoint_dir
        kept = aside / f"{source.stem}-checkpoint{source.suffix}"
        for one in (Path(names.path_to_intermediate(str(source))), aside, kept):
            if one.is_symlink():
                one.unlink()

    async def _read_notebook(
        self,
        os_path: str,
        as_version: int = 4,
        capture_validation_error: dict[str, Any] | None = None,
        raw: bool = False,
    ) -> Any:
        """Called for a notebook that is to be read; raises HTTPError with a sentence where it is none.

        One that a killed server was writing lies half beside what it was before, which takes its place.
        """
        differs = {} if capture_validation_error is None else capture_validation_error
        names: Any = fileio
        source, before = Path(os_path), Path(names.path_to_intermediate(os_path))
        try:
            content = await asyncio.to_thread(read_bytes, source, NOTEBOOK)
            notebook = await asyncio.to_thread(notebook_of, source, content, differs)
        except AnchorsimError as error:
            if not before.is_file():
                raise HTTPError(400, str(error)) from None
            source.replace(names.path_to_invalid(os_path))
            before.replace(source)
            return await self._read_notebook(os_path, as_version, capture_validation_error, raw)
        return (notebook, content) if raw else notebook

    def validate_notebook_model(self, model: dict[str, Any], validation_error: Any = None) -> dict[str, Any]:
        """Called for every notebook that is read or saved; puts a message for the person beside it."""
        differs = validation_error or {}
        if found := differs.get("ValidationError"):
            model["message"] = difference(found.absolute_path)
        return model

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
        return ships(read_notebook(file))
    except AnchorsimError:
        return False


@functools.cache
def _as_shipped() -> dict[str, Any]:
    """The notebooks that ship, in the current format, by the digest of what is written in them."""
    found = [read_notebook(path) for path in sorted(folder("notebooks").glob("*.ipynb"))]
    return {written_digest(notebook): notebook for notebook in found}
