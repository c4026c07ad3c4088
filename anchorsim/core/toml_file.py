"""Reading a TOML file and writing one whole, with a sentence for people where that fails."""

from __future__ import annotations

import contextlib
import os
import re
import secrets
import shutil
import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import tomli_w

from anchorsim.core.units import told

# What Python's parser says first of a common slip, and what the slip is.
_SLIPS = {
    "Expected newline or end of document": "quotation marks are missing",
    "Invalid value": "quotation marks are missing, or are not the plain ones",
    "Illegal character '\\n'": "a quotation mark is not closed",
    "Unterminated string": "a quotation mark is not closed",
    "Expected '=' after a key": "the = is missing",
    "Expected ']' at the end of a table": "the heading is not closed",
    "Unclosed": "a bracket is not closed",
    "Cannot declare": "this heading stands twice",
    "Cannot overwrite": "this key stands twice",
}
_LINES = 'needed lines like depth = "6 m" beneath headings like [spot]'


def read_toml(source: Path) -> dict[str, Any]:
    """A TOML file as nested plain values.

    Raises ValueError with a sentence that begins with the file's path.
    """
    try:
        text = source.read_text(encoding="utf-8-sig")  # some editors begin a file with a mark of its encoding
    except OSError as error:
        wrong = f"could not be read ({_reason(error)})"
        raise ValueError(f"{source} {wrong}; needed a file in TOML; give the path of one") from None
    except UnicodeDecodeError:
        wrong = "is not text in UTF-8"
        raise ValueError(f"{source} {wrong}; needed a file in TOML; save it as plain text in UTF-8") from None
    except ValueError:
        raise ValueError(f"{told(str(source))} is no path; needed a file in TOML; give its path") from None
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise ValueError(f"{source} is not a TOML file: {_line_of(text, str(error))}") from None
    except ValueError:  # Python's own, which refuses to read whole numbers of thousands of digits
        wrong = "holds a number of thousands of digits"
        raise ValueError(f"{source} {wrong}; needed numbers as people write them; shorten it") from None
    except RecursionError:
        wrong = "is nested too deeply"
        raise ValueError(f"{source} {wrong}; needed tables like [tackle.chain]; take brackets out") from None


def _line_of(text: str, wrong: str) -> str:
    """What the parser stumbled on, with the line it stands in."""
    found = re.fullmatch(r"(?P<wrong>.*) \(at line (?P<line>\d+), column \d+\)", wrong, re.DOTALL)
    plain = next((slip for words, slip in _SLIPS.items() if wrong.startswith(words)), None)
    if not found:
        return f"{plain or _lower(wrong)}, at its end; {_LINES}; mend its end"
    line = int(found["line"])
    stands = told(text.split("\n")[line - 1].strip())
    return f"line {line}, {stands} ({plain or _lower(found['wrong'])}); {_LINES}; mend that line"


def write_toml(target: Path, document: Mapping[str, Any]) -> None:
    """Write a TOML file as :func:`write_whole` does, which tells what it raises."""
    write_whole(target, tomli_w.dumps(document).encode())


def write_whole(target: Path, content: bytes) -> None:
    """Write a file whole or not at all.  Raises ValueError with a sentence that begins with its path.

    A file that is replaced keeps its permissions, and a link stays a link.
    """
    try:
        _put(target.resolve(), content)
    except OSError as error:
        wrong = f"could not be written ({_reason(error)})"
        needed = "needed a folder that can be written to; choose another folder or name"
        raise ValueError(f"{target} {wrong}; {needed}") from None


def _put(target: Path, content: bytes) -> None:
    partial = target.with_name(f".anchorsim-{secrets.token_hex(4)}.tmp")
    try:
        with partial.open("xb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        if target.exists():
            shutil.copymode(target, partial)
        partial.replace(target)
    except BaseException:
        with contextlib.suppress(OSError):
            partial.unlink()
        raise


def relative(path: Path, folder: Path) -> str:
    """A path as seen from a folder; whole where the two are on different drives."""
    try:
        return Path(os.path.relpath(path, folder)).as_posix()
    except ValueError:
        return str(path.resolve())


def _reason(error: OSError) -> str:
    return _lower(error.strerror or str(error))


def _lower(text: str) -> str:
    return f"{text[:1].lower()}{text[1:]}"
