"""Open the explorer: the person's folder, a server on loopback with a token of its own, the browser."""

from __future__ import annotations

import contextlib
import json
import os
import secrets
import socket
import stat
import sys
import tempfile
import threading
import webbrowser
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from anchorsim.core.errors import AnchorsimError, sentence
from anchorsim.core.file_lock import alone
from anchorsim.core.optional_imports import IRI_GRAMMAR, without
from anchorsim.core.reading import NOTE, read_bytes
from anchorsim.core.resources import SCENARIO_VARIABLE, START_VARIABLE, STATE
from anchorsim.core.writing import clear_leftovers, write_whole
from anchorsim.jupyter import copies
from anchorsim.jupyter.running import HOST, Running, found
from anchorsim.jupyter.scratch import scratch

PORT = 8437  # tried first, so that the browser finds JupyterLab in its cache on the next day
RETRIES = 20  # at other ports, where one was taken since it was found free
LOG = "server.log"
THEME = "@jupyterlab/apputils-extension/themes.jupyterlab-settings"  # light or dark: the one setting we keep
ADDRESS = "open.html"
STARTING = "starting"  # held from the look for a running explorer until another one can be found
START_TIME = 60.0  # s; a start takes one to five


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
    """Serve the explorer until the person stops it, or open the one that runs for its folder.

    Raises LaunchError.
    """
    home = launch.folder.expanduser().resolve()
    state = home / STATE
    with (
        contextlib.ExitStack() as starting
    ):  # until the server answers: of two starts at once one finds the other
        try:
            state.mkdir(parents=True, exist_ok=True, mode=0o700)
            _keep_ours(state)
            starting.enter_context(alone(home, STARTING, START_TIME))
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
        if running := found(home):
            _open_running(running, launch, copy.notebook.name, state)
            return
        _start(launch, home, copy.notebook.name, state, starting.close)
    print("Stopped.")


def _open_running(running: Running, launch: Launch, notebook: str, state: Path) -> None:
    """Have the explorer that runs show a page, with the scenario if one was named."""
    print("The explorer is already running for this folder. Opening that one.")
    if launch.scenario:
        try:
            running.hand_over(notebook, launch.scenario.resolve())
        except OSError:
            raise LaunchError(
                "The running explorer did not open the scenario. Stop it and try again."
            ) from None
    address = f"{running.page(notebook)}?token={running.token}"
    print(f"Open\n  {address}\nin your browser.", flush=True)
    if launch.browser:
        _browse(address, state)


def _start(launch: Launch, home: Path, notebook: str, state: Path, answers: Callable[[], None]) -> None:
    """Serve until stopped; ``answers`` is called as soon as the server does."""
    port = free_port(launch.port)
    with scratch() as passing:
        isolate(passing)
        os.environ[START_VARIABLE] = secrets.token_hex(8)
        _carry(THEME, state / "settings", passing / "settings")
        if launch.scenario:
            os.environ[SCENARIO_VARIABLE] = str(launch.scenario.resolve())
        try:
            _serve(launch, home, notebook, port, passing, state, answers)
        except SystemExit as error:
            if error.code:
                raise LaunchError(f"The server stopped unexpectedly. See {state / LOG}.") from None
        finally:
            _carry(THEME, passing / "settings", state / "settings")
            (state / ADDRESS).unlink(missing_ok=True)  # its token is dead now


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


def _keep_ours(state: Path) -> None:
    """Remove the links that a stranger's folder may have brought into the one of what we remember.

    What is written there would go where they lead, over a file of the person's.  Raises LaunchError where
    that folder is a link itself, or a folder lies where a file of ours belongs.
    """
    for path in [state, *(state / name for name in (copies.RECORD, LOG, ADDRESS))]:
        if path.is_dir() and (path.is_symlink() if path == state else not path.is_symlink()):
            wrong, fits = ("a link", "a folder") if path == state else ("a folder", "a file")
            raise LaunchError(f"{path}: {sentence(wrong, f'{fits} of our own', 'move it elsewhere')}")
    clear_links(state)


def clear_links(state: Path) -> None:
    """Remove the links and pipes beneath a folder of what we remember, and that folder where it is a link."""
    if state.is_symlink():
        state.unlink()
    for folder, folders, files in os.walk(state):
        for path in (Path(folder, name) for name in (*folders, *files)):
            if not stat.S_ISREG(mode := path.lstat().st_mode) and not stat.S_ISDIR(mode):
                path.unlink()


def _carry(name: str, source: Path, target: Path) -> None:
    """Copy one small file from folder to folder, if it is there and can be."""
    with contextlib.suppress(OSError, AnchorsimError):
        content = read_bytes(source / name, NOTE)
        (target / name).parent.mkdir(parents=True, exist_ok=True)
        write_whole(target / name, content)


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


def _serve(
    launch: Launch,
    home: Path,
    notebook: str,
    port: int,
    scratch: Path,
    state: Path,
    answers: Callable[[], None],
) -> None:
    with without(IRI_GRAMMAR):
        from anchorsim.jupyter.server import ExplorerServer  # noqa: PLC0415 - half a second, spared who opens the one that runs

    token = secrets.token_urlsafe(24)

    def opened(address: str) -> None:
        answers()
        _announce(f"{address}?token={token}", launch.browser, state)

    ExplorerServer.on_open = staticmethod(opened)
    launch_instance: Any = ExplorerServer.launch_instance
    launch_instance(
        [
            f"--ServerApp.ip={HOST}",
            f"--ServerApp.port={port}",
            f"--ServerApp.port_retries={0 if launch.port else RETRIES}",  # another may start just now
            "--ServerApp.base_url=/",
            f"--ServerApp.root_dir={home}",
            f"--IdentityProvider.token={token}",
            "--PasswordIdentityProvider.hashed_password=",
            "--ServerApp.allow_root=True",
            "--ServerApp.answer_yes=True",
            "--ServerApp.open_browser=False",
            "--ServerApp.tornado_settings={'ws_ping_interval': 0}",  # a page that sleeps is not hung up on
            f"--ServerApp.logging_config={json.dumps(_logging(state / LOG))}",
            "--ZMQChannelsWebsocketConnection.limit_rate=False",  # what a widget needs is never left out
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
