"""TOML as files hold it, read and made, with a sentence for people where that fails."""

from __future__ import annotations

import os
import re
import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import tomli_w

from anchorsim.core.errors import AnchorsimError, sentence
from anchorsim.core.reading import TOML, brief_path, check_values, read_text
from anchorsim.core.units import quoted

_BACKSLASH = "\\ does not stand for itself within quotation marks"
# What Python's parser says first of a common slip, and what the slip is.
_SLIPS = {
    "Expected newline or end of document": "quotation marks are missing",
    "Invalid value": "quotation marks are missing, or are not the plain ones",
    "Illegal character '\\n'": "a quotation mark is not closed",
    "Unterminated string": "a quotation mark is not closed",
    "Expected '=' after a key": "the = is missing",
    "Expected ']' at the end of a table": "the heading is not closed",
    "Unclosed": "a bracket is not closed",
    "Unescaped '\\' in a string": _BACKSLASH,
    "Invalid hex value": _BACKSLASH,
    "Cannot declare": "this heading appears twice",
    "Cannot overwrite": "this key appears twice",
}
_LINES = 'lines like depth = "6 m" beneath headings like [spot]'
_LONGEST = 100  # characters of a line that are looked at, and of the parser's words
_UNQUOTED = re.compile(r"(?P<key>[\w.-]+)\s*=\s*[“”„]?(?P<value>[^\"'\[\]{}#“”„]+)[“”]?")


def read_toml(source: Path) -> dict[str, Any]:
    """A TOML file as nested plain values.

    Raises AnchorsimError with a sentence that begins with the file's path.
    """
    text = read_text(source, TOML)
    try:
        return parse_toml(text)
    except tomllib.TOMLDecodeError as error:
        raise AnchorsimError(f"{brief_path(source)}, {_line_of(text, str(error))}") from None
    except AnchorsimError as error:
        raise AnchorsimError(f"{brief_path(source)}: {error}") from None


def parse_toml(text: str) -> dict[str, Any]:
    """TOML as nested plain values.

    Raises TOMLDecodeError where it is not TOML, and AnchorsimError where it holds more than is read.
    """
    check_values(text, TOML)
    return tomllib.loads(text)


def _line_of(text: str, wrong: str) -> str:
    """What the parser stumbled on, with the line it stands in."""
    found = re.fullmatch(r"(?P<wrong>.*) \(at line (?P<line>\d+), column \d+\)", wrong, re.DOTALL)
    plain = next((slip for words, slip in _SLIPS.items() if wrong.startswith(words)), None)
    if not found:
        return f"at the end: {sentence(plain or _lower(wrong)[:_LONGEST], _LINES, 'correct the end')}"
    line = int(found["line"])
    stands = text.split("\n")[line - 1].strip()[:_LONGEST]
    unquoted = _UNQUOTED.fullmatch(stands) if plain and plain.startswith("quotation marks") else None
    fits = f'{unquoted["key"]} = "{unquoted["value"].strip()}"' if unquoted else _LINES
    if plain == _BACKSLASH:
        fits = quoted(stands.replace("\\", "/"))[1:-1]
    said = f"{plain or _lower(found['wrong'])[:_LONGEST]} in {quoted(stands)[1:-1]}"
    return f"line {line}: {sentence(said, fits, 'correct that line')}"


def toml(document: Mapping[str, Any]) -> bytes:
    """What a TOML file of nested plain values holds.  Raises AnchorsimError."""
    try:
        return tomli_w.dumps(document).encode()
    except UnicodeEncodeError:
        said = sentence("a text holds half of a character", "whole ones", "enter that text again")
        raise AnchorsimError(said) from None


def relative(path: Path, folder: Path) -> str:
    """A path as seen from a folder; whole where the two are on different drives."""
    try:
        return Path(os.path.relpath(path, folder)).as_posix()
    except ValueError:
        return str(path.resolve())


def _lower(text: str) -> str:
    return f"{text[:1].lower()}{text[1:]}"
