"""Open the explorer: the person's folder, a server on loopback with a token of its own, the browser."""

from __future__ import annotations

import json
import os
import secrets
import socket
import sys
import tempfile
import threading
import webbrowser
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from anchorsim.core.errors import AnchorsimError, sentence
from anchorsim.core.resources import SCENARIO_VARIABLE
from anchorsim.jupyter import copies

HOST = "127.0.0.1"
PORT = 8437  # tried first, so that the browser finds JupyterLab in its cache on the next day
LOG = "server.log"
STATE = ".anchorsim"  # the person's settings of our JupyterLab, within their folder


class LaunchError(AnchorsimError):
    """Why the explorer did not open: a folder, a port, or a server that stopped."""


@dataclass(frozen=True)
class Launch:
    """What the person asked for on the command line."""

    folder: Path
    notebook: str
    scenario: Path | None = None
    port: int | None = None
    browser: bool = True


def open_explorer(launch: Launch) -> None:
    """Serve the explorer until the person stops it.  Raises LaunchError."""
    home = launch.folder.expanduser().resolve()
    state = home / STATE
    try:
        state.mkdir(parents=True, exist_ok=True, mode=0o700)
        copy = copies.assemble(home, state, launch.notebook)
    except OSError as error:
        wrong = f"could not be written ({str(error.strerror).lower()})"
        said = sentence(wrong, "a folder that you may write to", "choose another with --folder")
        raise LaunchError(f"{home}: {said}") from None
    if copy.left_alone:
        changed, fresh = copy.left_alone.name, copy.notebook.name
        print(f"You changed {changed}, so it was kept. Opening a fresh copy: {fresh}.")
    port = free_port(launch.port)
    with tempfile.TemporaryDirectory(prefix="anchorsim-", ignore_cleanup_errors=True) as scratch:
        isolate(state, Path(scratch))
        if launch.scenario:
            os.environ[SCENARIO_VARIABLE] = str(launch.scenario.resolve())
        try:
            _serve(launch, home, copy.notebook.name, port, Path(scratch), state)
        except SystemExit as error:
            if error.code:
                raise LaunchError(f"The server stopped unexpectedly. See {state / LOG}.") from None
    print("Stopped.")


def isolate(state: Path, scratch: Path) -> None:
    """Point Jupyter at folders of our own, so that the person's settings are neither read nor written.

    What is installed beside this package (the widgets' part of JupyterLab) is still found, and our own
    additions come first.
    """
    share = Path(__file__).with_name("share")
    os.environ.update(
        JUPYTER_CONFIG_DIR=str(state / "config"),
        JUPYTER_DATA_DIR=str(state / "data"),
        JUPYTER_RUNTIME_DIR=str(scratch / "runtime"),
        JUPYTER_CONFIG_PATH=str(state / "config"),
        JUPYTER_PATH=os.pathsep.join(
            [str(share), *filter(None, os.environ.get("JUPYTER_PATH", "").split(os.pathsep))]
        ),
        IPYTHONDIR=str(scratch / "ipython"),
    )


def free_port(wanted: int | None) -> int:
    """The wanted port, or one that is free.  Raises LaunchError where the wanted one is not."""
    for port in [PORT, PORT + 1, PORT + 2, 0] if wanted is None else [wanted]:
        with socket.socket() as probe:
            if os.name == "posix":
                probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            try:
                probe.bind((HOST, port))
            except (OSError, OverflowError) as error:
                reason = error
                continue
            return int(probe.getsockname()[1])
    raise LaunchError(f"Port {wanted} is not free ({reason}). Omit --port to use a free one.")


def _serve(launch: Launch, home: Path, notebook: str, port: int, scratch: Path, state: Path) -> None:
    from anchorsim.jupyter.server import ExplorerServer  # noqa: PLC0415 - reads the folders set just before

    token = secrets.token_urlsafe(24)
    ExplorerServer.on_open = lambda address: _announce(f"{address}?token={token}", launch.browser, state)
    launch_instance: Any = ExplorerServer.launch_instance
    launch_instance(
        [
            f"--ServerApp.ip={HOST}",
            f"--ServerApp.port={port}",
            "--ServerApp.port_retries=0",
            "--ServerApp.base_url=/",
            f"--ServerApp.root_dir={home}",
            f"--IdentityProvider.token={token}",
            "--PasswordIdentityProvider.hashed_password=",
            "--ServerApp.allow_root=True",
            "--ServerApp.answer_yes=True",
            "--ServerApp.open_browser=False",
            f"--ServerApp.logging_config={json.dumps(_logging(state / LOG))}",
            "--ZMQChannelsWebsocketConnection.limit_rate=False",
            f"--ExplorerServer.notebook={notebook}",
            f"--ExplorerServer.user_settings_dir={state / 'settings'}",
            f"--ExplorerServer.workspaces_dir={scratch / 'workspaces'}",
            *(f"--ExplorerServer.digests={digest}" for digest in copies.shipped_digests()),
        ]
    )


def _logging(file: Path) -> dict[str, Any]:
    """Have the server tell a file what it does, for it is of no use to a person at a terminal."""
    handler = {"class": "logging.FileHandler", "filename": str(file), "mode": "w", "formatter": "console"}
    return {
        "handlers": {"file": handler},
        "loggers": {name: {"level": "INFO", "handlers": ["file"]} for name in ("ServerApp", "asyncio")},
    }


def _announce(address: str, browser: bool, state: Path) -> None:
    print(
        f"Open\n  {address}\nin your browser. Keep this window open; press Ctrl-C to stop.",
        flush=True,
    )
    if browser:
        threading.Thread(target=_browse, args=(address, state), daemon=True).start()


def _browse(address: str, state: Path) -> None:
    """Open the browser through a page only this person can read: a command line can be seen by all users."""
    page = state / "open.html"  # not in the temporary folder, which a browser in a sandbox may not read
    page.unlink(missing_ok=True)
    page.touch(mode=0o600)
    page.write_text(f'<!doctype html><meta http-equiv="refresh" content="0;url={address}">', encoding="utf-8")
    try:
        opened = webbrowser.open(page.as_uri())
    except (webbrowser.Error, OSError):
        opened = False
    if not opened:
        print(
            "No browser opened. Open the address above in one yourself.",
            file=sys.stderr,
            flush=True,
        )
