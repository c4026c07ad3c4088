"""Launchers for three systems, as their own rules have them; all but Linux's were not run there.

Desktop entries: freedesktop.org, "Desktop Entry Specification" 1.5 (keys: "Recognized desktop entry keys";
quoting: "The Exec key") and "Desktop Menu Specification" (registered categories); icons: "Icon Theme
Specification" 0.13.  Quoting in PowerShell: Microsoft, "about_Quoting_Rules"; icon files: Microsoft, "Icons"
(ICONDIR).
"""

from __future__ import annotations

import base64
import configparser
import re
import shlex
import struct
import subprocess
from pathlib import Path, PurePosixPath
from xml.etree import ElementTree

import pytest

from anchorsim import cli
from anchorsim.jupyter.shortcut import Launcher, ShortcutError, add, launcher, remove

# Recognised keys of an application, and those of them it must have; "true" and "false" are booleans.
KEYS = {
    "Type", "Version", "Name", "GenericName", "NoDisplay", "Comment", "Icon", "Hidden", "OnlyShowIn",
    "NotShowIn", "DBusActivatable", "TryExec", "Exec", "Path", "Terminal", "Actions", "MimeType",
    "Categories", "Implements", "Keywords", "StartupNotify", "StartupWMClass", "PrefersNonDefaultGPU",
    "SingleMainWindow",
}  # fmt: skip
MAIN_CATEGORIES = {
    "AudioVideo", "Audio", "Video", "Development", "Education", "Game", "Graphics", "Network", "Office",
    "Science", "Settings", "System", "Utility",
}  # fmt: skip
HARD = ['/home/O\'Brien & "Co"/my $boat `x` 5% \\ back', "-P", "-m", "anchorsim", "a;b*?#(c)~<>|"]


def made(platform: str, command: list[str], **environment: str) -> Launcher:
    home = r"C:\Users\Ann Lee" if platform == "win32" else "/home/ann"
    return launcher(platform, home, environment, command)


def entry(found: Launcher) -> dict[str, str]:
    """The group of a desktop entry, read as the specification has it, with the escapes of strings undone."""
    text = found.items[0].content.decode()
    assert text.startswith("[Desktop Entry]\n")
    parser = configparser.RawConfigParser(
        interpolation=None, strict=True, delimiters=("=",), comment_prefixes="#"
    )
    parser.optionxform = str  # type: ignore[assignment, method-assign]
    parser.read_string(text)
    escapes = {"s": " ", "n": "\n", "t": "\t", "r": "\r", "\\": "\\"}
    undone = lambda value: re.sub(r"\\(.)", lambda found: escapes[found[1]], value)  # noqa: E731
    return {key: undone(value) for key, value in parser["Desktop Entry"].items()}


def arguments(line: str) -> list[str]:
    """A value of Exec as the specification takes it apart."""
    found = []
    for quoted in re.findall(r'"((?:[^"\\]|\\.)*)"', line):
        assert re.search(r"(?<!\\)(\\\\)*[`$]", quoted) is None, "these are escaped in quotes"
        plain = re.sub(r'\\(["`$\\])', r"\1", quoted)
        assert re.search("%(?!%)", plain.replace("%%", "")) is None, "a single % begins a field code"
        found.append(plain.replace("%%", "%"))
    assert re.fullmatch(r'"(?:[^"\\]|\\.)*"( "(?:[^"\\]|\\.)*")*', line), "every argument is quoted whole"
    return found


def test_a_desktop_entry_has_the_keys_that_there_are() -> None:
    held = entry(made("linux", ["/usr/bin/python3", "-P", "-m", "anchorsim"]))
    assert set(held) <= KEYS and {"Type", "Name", "Exec"} <= set(held)
    assert held["Type"] == "Application" and held["Version"] == "1.5" and held["Terminal"] == "true"
    assert held["Categories"].endswith(";") and set(held["Categories"].split(";")[:-1]) <= MAIN_CATEGORIES
    assert held["Icon"] == "anchorsim"  # by its name in the theme, where the files are put


def test_what_a_desktop_entry_starts_comes_through_its_quoting() -> None:
    assert arguments(entry(made("linux", HARD))["Exec"]) == HARD


@pytest.mark.parametrize(
    ("named", "place"),
    [("", "/home/ann/.local/share"), ("/data/ann", "/data/ann"), ("relative", "/home/ann/.local/share")],
)
def test_linux_finds_it_in_the_persons_data(named: str, place: str) -> None:
    """XDG Base Directory Specification: paths in these variables must be absolute, others are ignored."""
    found = made("linux", ["/usr/bin/python3"], XDG_DATA_HOME=named)
    assert [str(item.path) for item in found.items] == [
        f"{place}/applications/anchorsim.desktop",
        f"{place}/icons/hicolor/scalable/apps/anchorsim.svg",
        f"{place}/icons/hicolor/128x128/apps/anchorsim.png",
    ]


def test_a_program_that_no_entry_can_name_is_refused() -> None:
    with pytest.raises(ShortcutError, match=r'at this path\. Expected a path without "="'):
        made("linux", ["/opt/a=b/python"])
    with pytest.raises(ShortcutError, match="Expected a path without line breaks"):
        made("darwin", ["/opt/a\nb/python"])


def test_a_command_file_of_macos_runs_what_it_names(tmp_path: Path) -> None:
    program = tmp_path / 'O\'Brien & "Co" $x' / "say"
    program.parent.mkdir()
    program.write_text('#!/bin/sh\nprintf "%s\\n" "$@"\n', encoding="utf-8")
    program.chmod(0o755)
    found = launcher("darwin", str(tmp_path), {}, [str(program), *HARD[1:]])
    assert found.place == PurePosixPath(tmp_path, "Desktop", "anchorsim.command")
    add(found)
    said = subprocess.run([str(found.place)], capture_output=True, text=True, check=True).stdout
    assert said.splitlines() == HARD[1:]
    assert shlex.split(found.items[0].content.decode().splitlines()[1])[1:] == [str(program), *HARD[1:]]


def test_windows_has_its_shortcut_made() -> None:
    python = r"C:\Users\O’Brien's\py thon.exe"
    found = made("win32", [python, "-P", "-m", "anchorsim"], APPDATA=r"D:\Roam", LOCALAPPDATA="")
    assert str(found.place) == r"D:\Roam\Microsoft\Windows\Start Menu\Programs\anchorsim.lnk"
    assert [str(item.path) for item in found.items] == [
        r"C:\Users\Ann Lee\AppData\Local\anchorsim\anchorsim.ico"
    ]
    *options, script = found.make
    assert options == ["powershell.exe", "-NoProfile", "-NonInteractive", "-EncodedCommand"]
    lines = base64.b64decode(script).decode("utf-16-le").splitlines()
    assert r"$shortcut.TargetPath = 'C:\Users\O’’Brien''s\py thon.exe'" in lines
    assert "$shortcut.Arguments = '-P -m anchorsim'" in lines
    assert lines[1].endswith(
        r".CreateShortcut('D:\Roam\Microsoft\Windows\Start Menu\Programs\anchorsim.lnk')"
    )
    assert lines[-1] == "$shortcut.Save()"


def test_the_icons_are_what_they_are_called() -> None:
    linux, windows = made("linux", ["/p"]), made("win32", ["p"])
    svg, png, ico = linux.items[1].content, linux.items[2].content, windows.items[0].content
    assert ElementTree.fromstring(svg).tag == "{http://www.w3.org/2000/svg}svg"
    assert png[:8] == b"\x89PNG\r\n\x1a\n" and struct.unpack(">II", png[16:24]) == (128, 128)
    reserved, kind, count = struct.unpack("<HHH", ico[:6])
    sizes = {ico[6 + 16 * number] or 256 for number in range(count)}  # nought stands for 256
    assert (reserved, kind) == (0, 1) and sizes >= {16, 32, 48, 256}


def test_the_command_adds_it_and_removes_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("HOME", str(tmp_path))
    monkeypatch.setenv("XDG_DATA_HOME", "")
    monkeypatch.setattr("sys.platform", "linux")
    monkeypatch.setattr("sys.executable", "/opt/my boat/bin/python")
    place = tmp_path / ".local" / "share" / "applications" / "anchorsim.desktop"
    for _ in range(2):  # again after an update
        assert cli.main(["shortcut"]) == 0
        assert f"Shortcut added: {place}" in capsys.readouterr().out
    line = entry(made("linux", ["/opt/my boat/bin/python", "-P", "-m", "anchorsim"]))["Exec"]
    assert f"Exec={line}\n" in place.read_text(encoding="utf-8")
    assert cli.main(["shortcut", "--remove"]) == 0
    assert capsys.readouterr().out == f"Shortcut removed: {place}\n"
    assert [path for path in tmp_path.rglob("*") if path.is_file()] == []
    assert cli.main(["shortcut", "--remove"]) == 0
    assert capsys.readouterr().out == "There was no shortcut to remove.\n"


def test_a_place_that_cannot_be_written_is_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("HOME", str(tmp_path))
    (tmp_path / "data").touch()
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    monkeypatch.setattr("sys.platform", "linux")
    assert cli.main(["shortcut"]) == 2
    assert "Choose another folder or name." in capsys.readouterr().err


def test_what_was_never_added_needs_no_removing(tmp_path: Path) -> None:
    assert remove(launcher("darwin", str(tmp_path), {}, ["/p"])) is False
