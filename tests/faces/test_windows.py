"""What can be held from any system of how the package does on Windows, where it was not run.

What Windows lacks is as Python's own documentation marks it ("Availability: Unix" and the like); its rules
for names and paths are Microsoft's ("Naming files, paths, and namespaces").
"""

from __future__ import annotations

import ast
import io
import json
import re
import sys
from collections.abc import Iterator
from pathlib import Path, PureWindowsPath

import pytest
from traitlets import Dict

from anchorsim.cli import main
from anchorsim.core.file_names import beside, safe_name

ROOT = Path(__file__).parents[2]
SOURCES = sorted((ROOT / "anchorsim").rglob("*.py"))

LACKING = re.compile(r"fcntl|grp|posix|pty|pwd|readline|resource|syslog|termios|tty")  # modules
OF_OS = re.compile(
    r"chown|chroot|fchmod|fchown|fork|forkpty|get(e?[ug]id|groups|loadavg|pgid|pgrp|priority|resuid|sid)|initgroups|"
    r"killpg|lchown|mkfifo|mknod|nice|openpty|posix_spawn|preadv?|pwritev?|sched_[gs]etaffinity|sendfile|"
    r"O_(DIRECTORY|NOCTTY|NOFOLLOW|NONBLOCK|SYNC)|set(e?[ug]id|pgid|pgrp|sid)|statvfs|sync|sysconf|tcgetpgrp|ttyname|uname|wait[34]?"
)
SIGNALS = {"SIGABRT", "SIGBREAK", "SIGFPE", "SIGILL", "SIGINT", "SIGSEGV", "SIGTERM", "SIG_DFL", "SIG_IGN"}
TEXT = {
    "read_text": 0,
    "write_text": 1,
    "open": 1,
    "fdopen": 2,
}  # where the encoding stands if it is not named
ELSEWHERE = re.compile(r"/(tmp|dev|proc|etc|usr|var|bin|home)\b.*")
FAR = re.compile(r"%-[a-zA-Z]|%[esklP](?![a-z])")  # forms of strftime that only some C libraries know


def faults(source: str) -> list[str]:
    """What of a module would not do on Windows, with its line; what a check of the system guards is well."""
    tree = ast.parse(source)
    guarded = {
        id(inner)
        for node in ast.walk(tree)
        if isinstance(node, ast.If | ast.IfExp)
        and re.search(r"hasattr\(|os\.name|sys\.platform", ast.unparse(node.test))
        for inner in ast.walk(node)
    }
    return [
        f"{getattr(node, 'lineno', 0)}: {wrong}"
        for node in ast.walk(tree)
        if id(node) not in guarded
        for wrong in _wrong(node)
    ]


def _wrong(node: ast.AST) -> Iterator[str]:
    match node:
        case ast.Import(names=names):
            yield from (f"import {each.name}" for each in names if LACKING.fullmatch(each.name))
        case ast.ImportFrom(module=str(module), names=names):
            yield from (f"from {module}" for _ in [0] if LACKING.fullmatch(module))
            yield from (f"os.{each.name}" for each in names if module == "os" and OF_OS.fullmatch(each.name))
        case ast.Attribute(value=ast.Name(id="os"), attr=name) if OF_OS.fullmatch(name):
            yield f"os.{name}"
        case ast.Attribute(value=ast.Name(id="signal"), attr=name) if (
            name[:3] == "SIG" and name not in SIGNALS
        ):
            yield f"signal.{name}"
        case ast.Constant(value=str(text)) if ELSEWHERE.fullmatch(text):
            yield f"the path {text}"
        case ast.Call(func=ast.Attribute(attr="strftime"), args=[*_, ast.Constant(value=str(form))]):
            yield from (f"strftime {form}" for _ in FAR.findall(form))
        case ast.FormattedValue(format_spec=ast.JoinedStr(values=[ast.Constant(value=str(form))])):
            yield from (f"strftime {form}" for _ in FAR.findall(form))
        case ast.Call(func=ast.Name(id=name) | ast.Attribute(attr=name)) if name in TEXT:
            yield from _no_encoding(node, name)
        case ast.Call(keywords=keywords) if "text=True" in map(ast.unparse, keywords):
            if not any(each.arg == "encoding" for each in keywords):
                yield f"{ast.unparse(node.func)}: a program's text without its encoding"


def _no_encoding(call: ast.Call, name: str) -> Iterator[str]:
    """A file of text whose encoding is not said, which on Windows may be any of dozens."""
    if ast.unparse(call.func) in ("Image.open", "os.open", "webbrowser.open"):  # none of text
        return
    given = [*call.args, *(each.value for each in call.keywords)]
    binary = any(
        isinstance(each, ast.Constant) and re.fullmatch("[rwxa](b[+]?|[+]b)", str(each.value))
        for each in given
    )
    named = any(each.arg == "encoding" for each in call.keywords)
    if not (binary or named or (name in ("read_text", "write_text") and len(call.args) > TEXT[name])):
        yield f"{name} without encoding"


@pytest.mark.parametrize("path", SOURCES, ids=lambda path: str(path.relative_to(ROOT)))
def test_no_module_calls_for_what_windows_lacks(path: Path) -> None:
    assert faults(path.read_text(encoding="utf-8")) == []


@pytest.mark.parametrize(
    ("source", "found"),
    [
        ("import fcntl", ["1: import fcntl"]),
        ("from resource import getrlimit", ["1: from resource"]),
        ("from os import fork", ["1: os.fork"]),
        ("if root():\n os.geteuid()", ["2: os.geteuid"]),
        ("if hasattr(os, 'geteuid'):\n os.geteuid()", []),
        ("signal.signal(signal.SIGHUP, stop)", ["1: signal.SIGHUP"]),
        ("signal.signal(signal.SIGINT, stop)", []),
        ("os.open(name, os.O_NONBLOCK)", ["1: os.O_NONBLOCK"]),
        ("path = '/var/lock/us'", ["1: the path /var/lock/us"]),
        ("said = 'and/or'", []),
        ("open(name)", ["1: open without encoding"]),
        ("path.open('w', newline='')", ["1: open without encoding"]),
        ("path.open('rb'); path.open('xb')", []),
        ("path.read_text()", ["1: read_text without encoding"]),
        ("path.write_text(said, encoding='utf-8')", []),
        ("run(command, text=True)", ["1: run: a program's text without its encoding"]),
        ("day.strftime('%-d %B')", ["1: strftime %-d %B"]),
        ("f'{day:%-d}'", ["1: strftime %-d"]),
        ("f'{day:%d %B}'", []),
    ],
)
def test_the_look_over_the_modules_finds_what_is_there(source: str, found: list[str]) -> None:
    assert faults(source) == found


# --- Names and paths ----------------------------------------------------------------------------------------

LONGEST_PATH = 259  # characters, of the 260 that Windows takes one being the end mark
THEIR_FOLDER = PureWindowsPath("C:/Users/Wilhelmina-Charlotte/Documents/anchoring/anchorsim-main")


@pytest.mark.parametrize(
    "given",
    [
        *("CON", "nul.txt", "COM1", "LPT¹", "aux.", "prn ", "Conin$"),
        *(
            "C:\\boats\\hers",
            "\\\\server\\share\\hers",
            "hers:stream",
            'a<b>c"d|e?f*g',
            "her boat. ",
            "..\\up",
            "a/b",
        ),
        "tab\tand\x00nul",
    ],
)
def test_a_name_made_from_peoples_words_is_one_on_windows(given: str) -> None:
    for path in (f"{safe_name(given, 'survey')}.toml", next(beside(Path(safe_name(given, "survey")))).name):
        name = PureWindowsPath(path)
        assert not name.is_reserved() and name.parts == (path,) and not (name.drive or name.root)
        assert not re.search(r'[<>:"/\\|?*\x00-\x1f]|[. ]$', path)


def test_all_files_that_ship_have_names_of_their_own_that_windows_takes() -> None:
    shipped = [
        path.relative_to(ROOT)
        for folder in ("anchorsim", "notebooks", "data", "shared")
        for path in (ROOT / folder).rglob("*")
        if "__pycache__" not in path.parts
    ]
    assert len(shipped) > 200
    assert len({str(path).lower() for path in shipped}) == len(shipped)
    for path in shipped:
        name = PureWindowsPath(path)
        assert not name.is_reserved() and not re.search(r'[<>:"|?*\\]|[. ]$', path.name)
        assert len(str(THEIR_FOLDER / ".venv/Lib/site-packages/anchorsim/_files" / name)) <= LONGEST_PATH


def test_what_is_compiled_fits_into_a_path() -> None:
    """numba keeps a function as ROOM_SHA1/MODULE.FUNCTION-LINE.py311.N.nbc, written beside it first."""
    names = [
        f"{path.parent.name}_{40 * 'x'}/{path.stem}.{node.name}-{node.lineno}.py311.1.nbc.tmp.{16 * 'x'}"
        for path in SOURCES
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.FunctionDef) and "compiled" in map(ast.unparse, node.decorator_list)
    ]
    assert len(names) > 15
    cache = THEIR_FOLDER / "anchorsim/__pycache__" / f"kernels-{16 * 'x'}"
    assert max(len(str(cache / name)) for name in names) <= LONGEST_PATH


def test_the_server_is_told_a_path_with_backslashes_whole() -> None:
    file = str(PureWindowsPath("C:/Users/new/Ünï test/server.log"))
    assert Dict().from_string(json.dumps({"filename": file})) == {"filename": file}


# --- What is printed ----------------------------------------------------------------------------------------


def test_results_go_into_a_file_that_lacks_letters(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """On Windows a file or a pipe takes the letters of the country; those of ASCII are in all of them."""
    path = tmp_path / "σκάφος.toml"
    path.write_text('format = 1\ntitle = "Σκάφος ≥ 12 m²"\n', encoding="utf-8")
    file = io.BytesIO()
    monkeypatch.setattr(sys, "stdout", io.TextIOWrapper(file, encoding="ascii"))
    assert main(["check", str(path)]) == main(["run", str(path), "--seed", "1"]) == 0
    sys.stdout.flush()
    assert "Peak load at the bow" in file.getvalue().decode("ascii")
