"""A launcher in the person's menu or on the desktop, so that the second start is a double click.

On Linux a desktop entry with its icons, by the freedesktop specifications "Desktop Entry" 1.5 and "Icon
Theme" 0.13; on macOS a command file on the desktop; on Windows a shortcut in the start menu, which PowerShell
makes.
"""

from __future__ import annotations

import base64
import contextlib
import ntpath
import posixpath
import shlex
import subprocess
import sys
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path, PurePath, PurePosixPath, PureWindowsPath

from anchorsim.core.errors import AnchorsimError, sentence
from anchorsim.core.reading import brief_path
from anchorsim.core.writing import write_whole
from anchorsim.wording.pages import ABOUT

NAME = "anchorsim"
_ICONS = Path(__file__).with_name("icons")
_ENTRY = f"""[Desktop Entry]
Type=Application
Version=1.5
Name={NAME}
Comment={ABOUT}
Exec={{command}}
Icon={NAME}
Terminal=true
Categories=Education;Science;
"""


class ShortcutError(AnchorsimError):
    """Why there is no launcher: a path that none can hold, or a folder that cannot be written."""


@dataclass(frozen=True)
class Item:
    """A file of a launcher."""

    path: PurePath
    content: bytes
    executable: bool = False


@dataclass(frozen=True)
class Launcher:
    """``place`` is what a person sees of it; ``make`` a command that makes what no file of ours can be."""

    place: PurePath
    items: tuple[Item, ...]
    make: tuple[str, ...] = ()

    @property
    def paths(self) -> tuple[PurePath, ...]:
        """All that is there once it was added."""
        return tuple(dict.fromkeys([self.place, *(item.path for item in self.items)]))


def launcher(platform: str, home: str, environment: Mapping[str, str], command: Sequence[str]) -> Launcher:
    """The launcher of a command for a platform, as ``sys.platform`` names it.

    Raises ShortcutError where the command is at a path that no launcher can hold.
    """
    if any(ord(character) < 32 for part in command for character in part):
        raise ShortcutError(_cannot(command[0], "a path without line breaks"))
    if platform == "win32":
        return _windows(PureWindowsPath(home), environment, command)
    if platform == "darwin":
        place = PurePosixPath(home, "Desktop", f"{NAME}.command")
        return Launcher(place, (Item(place, f"#!/bin/sh\nexec {shlex.join(command)}\n".encode(), True),))
    return _linux(PurePosixPath(home), environment, command)


def this_command() -> tuple[str, ...]:
    """How the running Python starts the command, importing nothing from the folder it is started in."""
    return (sys.executable, "-P", "-m", "anchorsim")


def add(wanted: Launcher) -> None:
    """Put a launcher where it belongs.  Raises AnchorsimError where that cannot be written."""
    for item in wanted.items:
        path = Path(item.path)
        with contextlib.suppress(OSError):  # what is written next says what is wrong
            path.parent.mkdir(parents=True, exist_ok=True)
        write_whole(path, item.content)
        if item.executable:
            path.chmod(0o755)
    if wanted.make:
        try:
            subprocess.run(wanted.make, check=True, capture_output=True, timeout=60)
        except (OSError, subprocess.SubprocessError):
            said = sentence("no shortcut could be made", "Windows PowerShell", "start anchorsim as before")
            raise ShortcutError(f"{brief_path(Path(wanted.place))}: {said}") from None


def remove(wanted: Launcher) -> bool:
    """Take a launcher away; whether there was one.  Raises ShortcutError where it cannot be removed."""
    there = False
    for path in map(Path, wanted.paths):
        try:
            path.unlink()
            there = True
        except FileNotFoundError:
            continue
        except OSError as error:
            wrong = f"could not be removed ({str(error.strerror).lower()})"
            raise ShortcutError(
                f"{brief_path(path)}: {sentence(wrong, action='remove it by hand')}"
            ) from None
    return there


def _linux(home: PurePosixPath, environment: Mapping[str, str], command: Sequence[str]) -> Launcher:
    """By the XDG base directories, whose variable counts only where it is absolute."""
    named = environment.get("XDG_DATA_HOME", "")
    data = PurePosixPath(named) if posixpath.isabs(named) else home / ".local" / "share"
    if "=" in command[0]:
        raise ShortcutError(_cannot(command[0], 'a path without "="'))
    line = " ".join(map(_exec_argument, command))
    entry = _ENTRY.format(command=line.replace("\\", "\\\\"))
    place = data / "applications" / f"{NAME}.desktop"
    icons = data / "icons" / "hicolor"
    return Launcher(
        place,
        (
            Item(place, entry.encode()),
            Item(icons / "scalable" / "apps" / f"{NAME}.svg", _icon("svg")),
            Item(icons / "128x128" / "apps" / f"{NAME}.png", _icon("png")),
        ),
    )


def _exec_argument(text: str) -> str:
    """One argument of the key Exec: quoted, with what stays special in quotes escaped; % begins a field code.

    >>> print(_exec_argument("/home/a b/$HOME 5%"))
    "/home/a b/\\$HOME 5%%"
    """
    for special in '\\"`$':
        text = text.replace(special, f"\\{special}")
    return '"' + text.replace("%", "%%") + '"'


def _windows(home: PureWindowsPath, environment: Mapping[str, str], command: Sequence[str]) -> Launcher:
    def place_of(variable: str, *otherwise: str) -> PureWindowsPath:
        named = environment.get(variable, "")
        return PureWindowsPath(named) if ntpath.isabs(named) else home.joinpath(*otherwise)

    menu = place_of("APPDATA", "AppData", "Roaming") / "Microsoft" / "Windows" / "Start Menu" / "Programs"
    icon = place_of("LOCALAPPDATA", "AppData", "Local") / NAME / f"{NAME}.ico"
    place = menu / f"{NAME}.lnk"
    values = {
        "TargetPath": command[0],
        "Arguments": subprocess.list2cmdline(command[1:]),
        "WorkingDirectory": str(home),
        "IconLocation": str(icon),
        "Description": ABOUT,
    }
    lines = [
        "$ErrorActionPreference = 'Stop'",
        f"$shortcut = (New-Object -ComObject WScript.Shell).CreateShortcut({_powershell(str(place))})",
        *(f"$shortcut.{name} = {_powershell(value)}" for name, value in values.items()),
        "$shortcut.Save()",
    ]
    script = base64.b64encode("\n".join(lines).encode("utf-16-le")).decode()  # as -EncodedCommand takes it
    make = ("powershell.exe", "-NoProfile", "-NonInteractive", "-EncodedCommand", script)
    return Launcher(place, (Item(icon, _icon("ico")),), make)


def _powershell(text: str) -> str:
    """Text in single quotes, in which only these quotes are special, the curly ones included.

    >>> print(_powershell("C:\\\\O'Brien\\\\py"))
    'C:\\O''Brien\\py'
    """
    return "'" + "".join(letter * 2 if letter in "'‘’‚‛" else letter for letter in text) + "'"


def _icon(kind: str) -> bytes:
    return (_ICONS / f"{NAME}.{kind}").read_bytes()


def _cannot(path: str, fits: str) -> str:
    said = sentence("no launcher can start a program at this path", fits, "install anchorsim elsewhere")
    return f"{brief_path(Path(path))}: {said}"
