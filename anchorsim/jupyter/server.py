"""The server: JupyterLab's own pages on loopback, trimmed to what the explorer needs.

It is a JupyterLab server of our own rather than the ``jupyter lab`` command, because that one works in the
person's Jupyter settings, offers extensions and news from the net, and takes three times as long to start.
``isolate`` comes before it is started, for it reads its folders from the environment.

A page that runs a script of a stranger's can do on this machine what the person can.  So what a file brings
along is kept from running at three places: ``Files`` trusts only what ships; the settings in
``lab/overrides.json`` let no text give commands to JupyterLab; and by the page's ``policy`` the browser runs
no script that stands in a page, and asks nothing of any other machine.
"""

from __future__ import annotations

import asyncio
import base64
import contextlib
import hashlib
import json
import os
import re
import secrets
import signal
import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import Any
from urllib.parse import unquote

import json5
from jupyter_core.paths import jupyter_path
from jupyter_server._version import version_info
from jupyter_server.auth.decorator import allow_unauthenticated
from jupyter_server.base.handlers import APIHandler, JupyterHandler
from jupyter_server.serverapp import ServerApp
from jupyter_server.services.sessions.sessionmanager import SessionManager
from jupyterlab_server import LabServerApp
from tornado import web
from traitlets import Unicode, default

from anchorsim.core.resources import SCENARIO_VARIABLE, START_VARIABLE, STATE
from anchorsim.jupyter.contents import Files, ships_in
from anchorsim.jupyter.frame import SCREEN, with_frame
from anchorsim.jupyter.launch import THEME, clear_links
from anchorsim.jupyter.running import OPEN, PROOF, proof

SETTINGS = Path(__file__).with_name("lab")
PAGE_EXTENSIONS = {"@jupyter-widgets/jupyterlab-manager", "anywidget", "anchorsim"}
PICTURES = "jupyterlab-plotly"  # what draws the pictures in a notebook's own outputs, five megabytes
LEFT = 0.3  # s in which a page that another takes the place of has gone
HEARD = 10.0  # s at the most in which a kernel hears what that page has said last, and keeps it
# What is said to a kernel is heard in its order, so that all that came before has been done by then.
SETTLE = "import sys\nif kept := sys.modules.get('anchorsim.explorer.kept'): kept.settle()"
_CHALLENGE = 100  # characters of one that are taken
NOT_SERVED = ("nbconvert", "view")  # pages made of a person's files, which no screen here leads to


class Proof(JupyterHandler):
    """Shows whoever asks that this server knows the token, without telling it."""

    @allow_unauthenticated
    def get(self) -> None:
        challenge = self.get_query_argument("challenge")[:_CHALLENGE]
        self.finish(proof(self.identity_provider.token, challenge))


class Open(APIHandler):
    """Has a notebook opened with a scenario, for who knows the token."""

    def initialize(self, explorer: ExplorerServer) -> None:
        self.explorer = explorer

    @web.authenticated
    async def post(self) -> None:
        wanted: Any = self.get_json_body()
        try:
            notebook, scenario = str(wanted["notebook"]), str(wanted["scenario"])
        except (KeyError, TypeError):
            raise web.HTTPError(400, "Needed the names of a notebook and of a scenario.") from None
        await self.explorer.begin(notebook, scenario)
        self.finish({})


class Sessions(SessionManager):
    """A page that asks for its kernel while that is being restarted is told of it afterwards."""

    restart: asyncio.Task[None] | None = None

    async def list_sessions(self) -> Any:
        if self.restart is not None and self.restart is not asyncio.current_task():
            await asyncio.wait([self.restart])
        sessions: Any = super()  # whose methods say no types
        return await sessions.list_sessions()


class Server(ServerApp):
    """The server that JupyterLab's pages are part of."""

    default_services: Any = tuple(one for one in ServerApp.default_services if one not in NOT_SERVED)

    def _bind_http_server_tcp(self) -> bool:
        """Take the port, or the next free one where another start took it since it was found free."""
        while not super()._bind_http_server_tcp():
            if not self.port_retries:
                return False
            self._find_http_port()  # which ends the server where there is none
        return True

    @default("session_manager_class")
    def _sessions(self) -> type[Sessions]:
        return Sessions

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

    def initialize_templates(self) -> None:
        """Have JupyterLab's page come with our frame in it."""
        super().initialize_templates()
        ours = Path(tempfile.mkdtemp())  # within the folder of what is kept only while the server runs
        (ours / "index.html").write_text(_page_text(), encoding="utf-8")
        self.template_paths.insert(0, str(ours))

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
        self.handlers.extend([(PROOF, Proof), (OPEN, Open, {"explorer": self})])
        super().initialize_handlers()

    async def _start_jupyter_server_extension(self, serverapp: Any) -> None:
        """Start the notebook's kernel, and say where the page is; the server is listening by now."""
        if hasattr(signal, "SIGHUP"):  # the terminal was closed: end the kernels too
            signal.signal(signal.SIGHUP, lambda *_: serverapp.stop(from_signal=True))
        type(self).on_open(f"{serverapp.connection_url}doc/tree/{self.notebook}")
        await self._start_kernel(self.notebook)

    async def begin(self, notebook: str, scenario: str) -> None:
        """Start a notebook's kernel anew, with a scenario as if the command had named it."""
        server: Any = self.serverapp
        os.environ[SCENARIO_VARIABLE] = scenario
        os.environ[START_VARIABLE] = secrets.token_hex(8)
        for session in await server.session_manager.list_sessions():
            if session["path"] == notebook:
                await server.session_manager.delete_session(session["id"])
        self._visited = tuple(path for path in self._visited if path != notebook)
        await self._start_kernel(notebook)

    async def _start_kernel(self, notebook: str) -> None:
        server: Any = self.serverapp
        await server.session_manager.create_session(
            path=notebook, name=notebook, type="notebook", kernel_name="python3"
        )

    def _page(self, handler: Any, page: dict[str, Any]) -> dict[str, Any]:
        """What a page is told as it is loaded, less the extensions that it does not need.

        Whatever else is installed for JupyterLab is left out; a screen of ours brings its pictures itself.
        """
        path = unquote(handler.request.path.partition("/tree/")[2])
        with contextlib.suppress(OSError):  # a notebook in a folder below remembers its file there
            clear_links(self._file(path).parent / STATE)
        wanted = PAGE_EXTENSIONS | ({PICTURES} if self._draws(path) else set())
        page["federated_extensions"] = [
            found for found in page["federated_extensions"] if found["name"] in wanted
        ]
        page[SCREEN] = self._screen(path)
        page["anchorsimDark"] = self._dark()
        if path in self._visited:
            restart = asyncio.get_running_loop().create_task(self._start_anew(path))
            handler.settings["session_manager"].restart = restart
        elif self._ships(path):
            self._visited = (*self._visited, path)
        return page

    def _ships(self, path: str) -> bool:
        return ships_in(self._file(path))

    def _screen(self, path: str) -> str:
        """Which screen of ours a notebook that ships shows; none of them, and none that does not ship."""
        if not self._ships(path):
            return ""
        own = json.loads(self._file(path).read_text(encoding="utf-8"))["metadata"].get("anchorsim", {})
        return str(own.get("screen", ""))

    def _dark(self) -> str:
        """Whether a person chose the dark colours, as the page's script reads it, if anyone chose."""
        try:
            text = Path(self.user_settings_dir, THEME).read_text(encoding="utf-8")
            chosen = json5.loads(text)
        except (OSError, ValueError):
            return ""
        if not isinstance(chosen, dict) or chosen.get("adaptive-theme", True) is not False:
            return ""
        return str("dark" in str(chosen.get("theme", "")).lower()).lower()

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
        await asyncio.sleep(LEFT)
        for session in await server.session_manager.list_sessions():
            if session["path"] == path:
                kernel = session["kernel"]["id"]
                client = server.kernel_manager.get_kernel(kernel).client()
                client.start_channels()
                with contextlib.suppress(TimeoutError):  # one that hangs is restarted all the same
                    await asyncio.wait_for(client.execute(SETTLE, silent=True, reply=True), HEARD)
                client.stop_channels()
                await server.kernel_manager.restart_kernel(kernel, now=True)


def _jupyter_server_extension_points() -> list[dict[str, Any]]:
    return [{"module": __name__, "app": ExplorerServer}]


def policy() -> str:
    """What a page may do: run this server's scripts, and JupyterLab's own line in the page by its digest.

    Widgets are scripts that the kernel sends, which anywidget imports by a ``blob:`` address; JupyterLab and
    plotly make functions of text.  A script that some file put into the page has neither address nor digest.
    """
    page = _page_text()
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


def _page_text() -> str:
    """JupyterLab's page with our frame in it, a template."""
    return with_frame((lab_folder() / "static" / "index.html").read_text(encoding="utf-8"))


def lab_folder() -> Path:
    """The folder of JupyterLab's page.  Raises FileNotFoundError where JupyterLab is not installed whole."""
    for base in map(Path, jupyter_path("lab")):
        if (base / "static" / "index.html").is_file():
            return base
    raise FileNotFoundError(
        "The pages of JupyterLab are missing. Reinstall it: pip install --force-reinstall jupyterlab"
    )
