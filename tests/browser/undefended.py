"""The explorer's command without the defences against strangers' files.

It trusts every notebook and hands it on as it is, has all of JupyterLab's parts, lets pages trust what they
show, and sends no policy with them.
"""

from __future__ import annotations

import json
import sys
import tempfile
from pathlib import Path
from typing import Any

from jupyter_server.services.contents.largefilemanager import AsyncLargeFileManager

from anchorsim.cli import main
from anchorsim.jupyter import server


class Trusting(AsyncLargeFileManager):
    def mark_trusted_cells(self, nb: Any, path: str = "") -> None:
        self.notary.mark_cells(nb, True)

    def check_and_sign(self, nb: Any, path: str = "", **_: Any) -> None:
        pass


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as settings:
        overrides = json.loads((server.SETTINGS / "overrides.json").read_text(encoding="utf-8"))
        del overrides["@jupyterlab/apputils-extension:sanitizer"]
        overrides["@jupyterlab/htmlviewer-extension:plugin"] = {"trustByDefault": True}
        Path(settings, "overrides.json").write_text(json.dumps(overrides), encoding="utf-8")
        Path(settings, "page_config.json").write_text("{}", encoding="utf-8")
        server.SETTINGS = Path(settings)
        server.Files = Trusting
        server.policy = lambda: "frame-ancestors 'self'"
        server.PAGE_EXTENSIONS |= {server.PICTURES}
        sys.exit(main())
