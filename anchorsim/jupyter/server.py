"""The server: JupyterLab's own pages on loopback, trimmed to what the explorer needs.

It is a JupyterLab server of our own rather than the ``jupyter lab`` command, because that one works in the
person's Jupyter settings, offers extensions and news from the net, and takes three times as long to start.
Import this module only after ``isolate`` has set the folders, for jupyter_core
reads them from the environment.

A page that runs a script of a stranger's can do on this machine what the person can.  So what a file brings
along is kept from running at three places: ``Files`` trusts only what ships; the settings in
``lab/overrides.json`` let no text give commands to JupyterLab; and by the page's ``policy`` the browser runs
no script that stands in a page, and asks nothing of any other machine.
"""

from __future__ import annotations

import asyncio
import base64
import hashlib
import json
import re
import signal
from collections.abc import Callable
from pathlib import Path
from typing import Any
from urllib.parse import unquote

from jupyter_core.paths import jupyter_path
from jupyter_server._version import version_info
from jupyter_server.serverapp import ServerApp
from jupyterlab_server import LabServerApp
from traitlets import Unicode, default

from anchorsim.jupyter.contents import Files, ships_in

SETTINGS = Path(__file__).with_name("lab")
PAGE_EXTENSIONS = {"@jupyter-widgets/jupyterlab-manager", "anywidget", "anchorsim"}
PICTURES = "jupyterlab-plotly"  # what draws the pictures in a notebook's own outputs, five megabytes
NOT_SERVED = ("nbconvert", "view")  # pages made of a person's files, which no screen here leads to


class Server(ServerApp):
    """The server that JupyterLab's pages are part of."""

    default_services: Any = tuple(one for one in ServerApp.default_services if one not in NOT_SERVED)

    @default("contents_manager_class")
    def _files(self) -> type[Files]:
        return Files


class ExplorerServer(LabServerApp):
    """A JupyterLab server that opens on one notebook, its kernel started before the page asks for it."""

    name = "anchorsim"
    app_name = "anchorsim"
    serverapp_class = Server
    load_other_extensions = False  # none of the server extensions that happen to be installed
    cache_files = True  # the files of JupyterLab carry a digest in their names

    notebook = Unicode(config=True, help="The notebook to open, from the root folder.")

    _visited: tuple[str, ...] = ()  # the notebooks that ship whose page has been loaded before
    _restart: asyncio.Task[None] | None = None  # kept, for the loop holds only weak references
    on_open: Callable[[str], None] = staticmethod(print)  # told the address once the server answers

    @classmethod
    def get_extension_package(cls) -> str:
        """Where Jupyter finds the function ``_jupyter_server_extension_points``."""
        return __name__

    @default("app_version")
    def _app_version(self) -> str:
        package = json.loads((lab_folder() / "static" / "package.json").read_text(encoding="utf-8"))
        return str(package["jupyterlab"]["version"])

    @default("static_dir")
    def _static_dir(self) -> str:
        return str(lab_folder() / "static")

    @default("templates_dir")
    def _templates_dir(self) -> str:
        return str(lab_folder() / "static")

    @default("schemas_dir")
    def _schemas_dir(self) -> str:
        return str(lab_folder() / "schemas")

    @default("themes_dir")
    def _themes_dir(self) -> str:
        return str(lab_folder() / "themes")

    @default("app_settings_dir")
    def _app_settings_dir(self) -> str:
        return str(SETTINGS)

    @default("default_url")
    def _default_url(self) -> str:
        return f"/doc/tree/{self.notebook}"

    def initialize_handlers(self) -> None:
        """Put into the page what JupyterLab's own server would, and say what it may do."""
        server: Any = self.serverapp
        settings = server.web_app.settings
        settings["page_config_hook"] = self._page
        settings["headers"] = {"Content-Security-Policy": policy()}
        settings.setdefault("page_config_data", {}).update(
            buildAvailable=False,
            buildCheck=False,
            devMode=False,
            exposeAppInBrowser=False,
            token=server.identity_provider.token,
            quitButton=server.quit_button,
            allow_hidden_files=server.contents_manager.allow_hidden,
            notebookVersion=json.dumps(version_info),
            news={"disabled": True},
        )
        super().initialize_handlers()

    async def _start_jupyter_server_extension(self, serverapp: Any) -> None:
        """Start the notebook's kernel, and say where the page is; the server is listening by now."""
        if hasattr(signal, "SIGHUP"):  # the terminal was closed: end the kernels too
            signal.signal(signal.SIGHUP, lambda *_: serverapp.stop(from_signal=True))
        type(self).on_open(f"{serverapp.connection_url}doc/tree/{self.notebook}")
        await serverapp.session_manager.create_session(
            path=self.notebook, name=self.notebook, type="notebook", kernel_name="python3"
        )

    def _page(self, handler: Any, page: dict[str, Any]) -> dict[str, Any]:
        """What a page is told as it is loaded, less the extensions that it does not need.

        Whatever else is installed for JupyterLab is left out; a screen of ours brings its pictures itself.
        """
        path = unquote(handler.request.path.partition("/tree/")[2])
        wanted = PAGE_EXTENSIONS | ({PICTURES} if self._draws(path) else set())
        page["federated_extensions"] = [
            found for found in page["federated_extensions"] if found["name"] in wanted
        ]
        if path in self._visited:
            self._restart = asyncio.get_running_loop().create_task(self._start_anew(path))
        elif self._ships(path):
            self._visited = (*self._visited, path)
        return page

    def _ships(self, path: str) -> bool:
        return ships_in(self._file(path))

    def _draws(self, path: str) -> bool:
        """Whether a notebook may have pictures among its outputs: of ours those that were saved with some."""
        try:
            return not self._ships(path) or ".plotly.v1+json" in self._file(path).read_text(encoding="utf-8")
        except (OSError, ValueError):
            return True

    def _file(self, path: str) -> Path:
        server: Any = self.serverapp
        return Path(server.root_dir, path)

    async def _start_anew(self, path: str) -> None:
        """Restart a notebook's kernel for a page that is loaded again or in another tab.

        A page that joined a kernel with widgets in it would first fetch all of them, and lose what is said
        to its own in the meantime.
        """
        server: Any = self.serverapp
        for session in await server.session_manager.list_sessions():
            if session["path"] == path:
                await server.kernel_manager.restart_kernel(session["kernel"]["id"], now=True)


def _jupyter_server_extension_points() -> list[dict[str, Any]]:
    return [{"module": __name__, "app": ExplorerServer}]


def policy() -> str:
    """What a page may do: run this server's scripts, and JupyterLab's own line in the page by its digest.

    Widgets are scripts that the kernel sends, which anywidget imports by a ``blob:`` address; JupyterLab and
    plotly make functions of text.  A script that some file put into the page has neither address nor digest.
    """
    page = (lab_folder() / "static" / "index.html").read_text(encoding="utf-8")
    lines = re.findall(r"<script>(.*?)</script>", page, re.DOTALL)
    own = [base64.b64encode(hashlib.sha256(line.encode()).digest()).decode() for line in lines]
    allowed = {
        "script-src": " ".join(["'self' blob: 'unsafe-eval'", *(f"'sha256-{digest}'" for digest in own)]),
        "style-src": "'self' 'unsafe-inline'",
        "img-src": "'self' data: blob:",
        "media-src": "'self' data: blob:",
        "font-src": "'self' data:",
        "connect-src": "'self' data: blob:",
        "worker-src": "'self' blob:",
        "frame-src": "'self' data: blob:",
        "object-src": "'self' data: blob:",
        "base-uri": "'self'",
        "form-action": "'self'",
        "frame-ancestors": "'self'",
    }
    return "; ".join(f"{name} {sources}" for name, sources in allowed.items())


def lab_folder() -> Path:
    """The folder of JupyterLab's page.  Raises FileNotFoundError where JupyterLab is not installed whole."""
    for base in map(Path, jupyter_path("lab")):
        if (base / "static" / "index.html").is_file():
            return base
    raise FileNotFoundError(
        "The pages of JupyterLab are missing. Reinstall it: pip install --force-reinstall jupyterlab"
    )
