"""Open the explorer: the person's folder, a server on loopback with a token of its own, the browser."""

from __future__ import annotations

import contextlib
import json
import os
import secrets
import shutil
import socket
import sys
import tempfile
import threading
import webbrowser
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from anchorsim.core.errors import AnchorsimError, sentence
from anchorsim.core.resources import SCENARIO_VARIABLE, STATE
from anchorsim.core.writing import clear_leftovers
from anchorsim.jupyter import copies
from anchorsim.jupyter.scratch import scratch

HOST = "127.0.0.1"
PORT = 8437  # tried first, so that the browser finds JupyterLab in its cache on the next day
LOG = "server.log"
THEME = "@jupyterlab/apputils-extension/themes.jupyterlab-settings"  # light or dark: the one setting we keep
ADDRESS = "open.html"


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
        for folder in (home, state):
            clear_leftovers(folder)
        copy = copies.assemble(home, state, launch.notebook)
    except OSError as error:
        wrong = f"could not be written ({str(error.strerror).lower()})"
        said = sentence(wrong, "a folder that you may write to", "choose another with --folder")
        raise LaunchError(f"{home}: {said}") from None
    if copy.left_alone:
        changed, fresh = copy.left_alone.name, copy.notebook.name
        print(f"You changed {changed}, so it was kept. Opening a fresh copy: {fresh}.")
    port = free_port(launch.port)
    with scratch() as passing:
        isolate(passing)
        _carry(THEME, state / "settings", passing / "settings")
        if launch.scenario:
            os.environ[SCENARIO_VARIABLE] = str(launch.scenario.resolve())
        try:
            _serve(launch, home, copy.notebook.name, port, passing, state)
        except SystemExit as error:
            if error.code:
                raise LaunchError(f"The server stopped unexpectedly. See {state / LOG}.") from None
        finally:
            _carry(THEME, passing / "settings", state / "settings")
            (state / ADDRESS).unlink(missing_ok=True)  # its token is dead now
    print("Stopped.")


def isolate(scratch: Path) -> None:
    """Have Jupyter and the kernels to come read what is installed and what is ours, and nothing else.

    No configuration file is read: none in the person's folder or its hidden one, for that may be someone
    else's and such files can hold code; none in the person's home, which are for a Jupyter of their own; and
    none of the whole machine.  Data, signatures and profiles begin anew each time.  What is installed beside
    this package (the widgets' part of JupyterLab) is still found, and our own additions come first.

    The kernels, which run in the folder of their notebook, are told by ``kernel.json`` to import nothing from
    there (``python -P``); of the places that ``PYTHONPATH`` names, those that would lie there are dropped.
    """
    share = Path(__file__).with_name("share")
    os.environ.update(
        JUPYTER_NO_CONFIG="1",
        JUPYTER_DATA_DIR=str(scratch / "data"),
        JUPYTER_RUNTIME_DIR=str(scratch / "runtime"),
        JUPYTER_PATH=os.pathsep.join([str(share), *_absolute("JUPYTER_PATH")]),
        IPYTHONDIR=str(scratch / "ipython"),
        PYTHONPATH=os.pathsep.join(_absolute("PYTHONPATH")),
    )
    os.environ.pop("PYTHONSTARTUP", None)
    tempfile.tempdir = str(scratch)  # where Jupyter makes the empty folder that it reads in place of others


def _carry(name: str, source: Path, target: Path) -> None:
    """Copy one file from folder to folder, if it is there."""
    if (source / name).is_file():
        (target / name).parent.mkdir(parents=True, exist_ok=True)
        shutil.copyfile(source / name, target / name)


def _absolute(variable: str) -> list[str]:
    """The places in a list of them that are the same from every folder; an empty one is that folder."""
    return [place for place in os.environ.get(variable, "").split(os.pathsep) if os.path.isabs(place)]


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
            "--KernelSpecManager.allowed_kernelspecs=python3",
            "--KernelSpecManager.ensure_native_kernel=False",
            f"--ExplorerServer.notebook={notebook}",
            f"--ExplorerServer.user_settings_dir={scratch / 'settings'}",
            f"--ExplorerServer.workspaces_dir={scratch / 'workspaces'}",
        ]
    )


def _logging(file: Path) -> dict[str, Any]:
    """Have the server tell a file what it does, for it is of no use to a person at a terminal.

    Jupyter opens it more than once, so that one that began anew each time would end up empty.
    """
    with contextlib.suppress(OSError):  # it may be in use, where files in use cannot be removed
        file.unlink(missing_ok=True)
    handler = {"class": "logging.FileHandler", "filename": str(file), "mode": "a", "formatter": "console"}
    return {
        "handlers": {"file": handler},
        "loggers": {name: {"level": "INFO", "handlers": ["file"]} for name in ("Server", "asyncio")},
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
    page = state / ADDRESS  # not in the temporary folder, which a browser in a sandbox may not read
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
