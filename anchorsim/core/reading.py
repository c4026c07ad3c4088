"""Reading a file that somebody else may have made: what it may hold, and that it is a file at all.

Files are passed from hand to hand.  So each is opened here: whatever is not a plain file is refused before
it is read, and so is one that is larger, or that holds more, than people make.  The limits stand here once;
they are judgements, several times what is of use, and low enough that a refusal takes no more than a second.
"""

from __future__ import annotations

import json
import os
import re
import stat
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO

from anchorsim.core.errors import AnchorsimError, sentence

ROWS = 200_000  # of a CSV file: two days of a record each second
FORECAST_ROWS = 5_000  # half a year by the hour
LINE = 5_000  # characters of a line of a CSV file
COLUMNS = 200
WATERS = 2_000  # lines of a tide table
POSITIONS = 10_000  # of all dangers together
PHOTOGRAPHS = 500  # of a survey
NOTES = 1_000_000  # characters of all notes of a survey
PIXELS = 26_000_000  # of a picture that has to be unpacked whole, which takes four bytes for each
PIXELS_COPIED = 12_200_000  # of one that is unpacked by way of copies: those of a telephone's camera
PIXELS_SCALED = 120_000_000  # of one that is made smaller as it is unpacked
_SHOWN = 160  # characters of a path that an error repeats
_FLAGS = os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0) | getattr(os, "O_NOCTTY", 0)

# Texts and comments of TOML and JSON whole, and the marks between keys and values; each piece of text is
# taken in one way only, so that a search takes no longer than the text is.
_MARK = re.compile(
    r'"""(?:[^"\\]|\\.|"(?!""))*+(?:"{3,5})?|\'\'\'(?:[^\']|\'(?!\'\'))*+(?:\'{3,5})?'
    r'|"(?:[^"\\\n]|\\.)*+"?|\'[^\'\n]*+\'?|#[^\n]*+|(?P<word>(?<!\w)\w{200,}+)|(?P<mark>[.,=:{}\[\]\n])',
    re.DOTALL,
)


@dataclass(frozen=True)
class Kind:
    """A kind of file: its name, and the bytes, values, levels and parts of a key that it may hold."""

    name: str
    bytes: int
    values: int = 0
    levels: int = 0
    parts: int = 0


TOML = Kind("a file in TOML", 6_000_000, values=60_000, levels=12, parts=8)
TABLE = Kind("a CSV file", 20_000_000)
GEOJSON = Kind("a GeoJSON file", 8_000_000, values=500_000, levels=24, parts=8)
NOTEBOOK = Kind(
    "a notebook", 50_000_000, values=500_000, levels=60, parts=8
)  # with pictures it has tens of MB
PHOTOGRAPH = Kind("a photograph", 100_000_000)
NOTE = Kind("a note of the last file", 10_000)
RECORD = Kind("a list of copies", 1_000_000, values=20_000, levels=2, parts=8)
SENT_PHOTOGRAPH = Kind("a photograph", 16_000_000)  # between the page and the kernel


class ReadError(AnchorsimError):
    """A file that is not there, is no plain file, or is too large; the sentence begins with its path."""


def open_plain(source: Path, kind: Kind) -> BinaryIO:
    """Open a plain file of no more bytes than its kind may have; the caller closes it.  Raises ReadError.

    A device, a pipe, a socket or a folder is refused before it is opened, also where a link leads to it.
    """
    try:
        _check(source, os.stat(source), kind)
        file = os.fdopen(os.open(source, _FLAGS), "rb")
        try:
            _check(source, os.fstat(file.fileno()), kind)  # it may be another by now
        except ReadError:
            file.close()
            raise
        return file
    except OSError as error:
        wrong = f"could not be read ({reason(error)})"
        raise ReadError(f"{brief_path(source)}: {sentence(wrong, kind.name, 'check the path')}") from None
    except ReadError:
        raise
    except ValueError:  # it holds a character that no path can hold
        said = sentence("not a path", kind.name, "give the path of one")
        raise ReadError(f"{brief_path(source)}: {said}") from None


def read_bytes(source: Path, kind: Kind) -> bytes:
    """What a plain file holds.  Raises ReadError as :func:`open_plain` does."""
    with open_plain(source, kind) as file:
        try:
            content = file.read(kind.bytes + 1)
        except OSError as error:
            wrong = f"could not be read ({reason(error)})"
            raise ReadError(f"{brief_path(source)}: {sentence(wrong, kind.name, 'check the path')}") from None
    check_size(source, len(content), kind)  # some files do not tell how long they are
    return content


def read_text(source: Path, kind: Kind) -> str:
    """The text of a plain file in UTF-8, or in UTF-16 with its mark, with line ends of one kind.

    Raises ReadError as :func:`open_plain` does, and where it is not such text.
    """
    return text_of(source, read_bytes(source, kind), kind)


def text_of(source: Path, content: bytes, kind: Kind) -> str:
    """The text that a file's content is, as :func:`read_text` gives it.  Raises ReadError."""
    try:
        return decoded(content)
    except UnicodeError:
        said = sentence("not text in UTF-8", kind.name, "save it as plain text in UTF-8")
        raise ReadError(f"{brief_path(source)}: {said}") from None


def decoded(content: bytes) -> str:
    """Text in UTF-8, or in UTF-16 with its mark, with line ends of one kind.  Raises UnicodeError."""
    wide = content.startswith((b"\xff\xfe", b"\xfe\xff"))
    return one_line_end(content.decode("utf-16" if wide else "utf-8-sig"))


def one_line_end(text: str) -> str:
    """Text with the line ends of Windows and of old Macs as all others have them."""
    return text.replace("\r\n", "\n").replace("\r", "\n") if "\r" in text else text


def check_size(source: Path | str, size: int, kind: Kind) -> None:
    """Raise ReadError where something has more bytes than its kind may have."""
    if size > kind.bytes:
        fits, advice = f"{kind.name} of at most {kind.bytes / 1e6:g} MB", "choose another, or a part of it"
        raise ReadError(f"{brief_path(source)}: {sentence('too large', fits, advice)}")


def check_values(text: str, kind: Kind) -> None:
    """Refuse TOML or JSON that holds more values, levels or parts of a key than its kind may have.

    It is to be checked before it is parsed, which would take a minute or fail.  Raises AnchorsimError with a
    sentence that does not say where.
    """
    if text.count("\n") > 2 * kind.values:
        said = sentence("too many lines", f"at most {2 * kind.values}", "take empty ones out")
        raise AnchorsimError(said)
    values = level = dots = 0
    for found in _MARK.finditer(text):
        mark = found["mark"]
        if found["word"]:  # the parser would take a hundred times as much memory for a number
            said = sentence("a key or a number is too long", "at most 200 characters", "shorten it")
            raise AnchorsimError(said)
        if mark is None:
            continue
        dots = dots + 1 if mark == "." else 0
        values += mark in ",=:[{"
        level += (mark in "[{") - (mark in "]}")
        if level > kind.levels:
            fits = "tables like [tackle.chain]" if kind is TOML else f"at most {kind.levels}"
            raise AnchorsimError(sentence("too many levels", fits, "take brackets out"))
        if dots >= kind.parts:
            wrong, fits = "a key has too many parts", f"at most {kind.parts}, as tackle.chain has two"
            raise AnchorsimError(sentence(wrong, fits, "shorten it"))
        if values > kind.values:
            wrong, advice = "too many keys and values", "take out what is not needed"
            raise AnchorsimError(sentence(wrong, f"at most {kind.values}", advice))


def brief_path(path: Path | str) -> str:
    """A path as an error tells it: on one line, of a long one the end."""
    text = str(path)
    end = text if len(text) <= _SHOWN else f"…{text[-_SHOWN:]}"
    return end if end.isprintable() else json.dumps(end)


def reason(error: OSError) -> str:
    """Why the system would not, in its own words."""
    text = error.strerror or type(error).__name__
    return f"{text[:1].lower()}{text[1:]}"


def within(path: Path, folder: Path) -> bool:
    """Whether a path lies in a folder or beneath it, links followed; not where that cannot be told."""
    try:
        return path.resolve().is_relative_to(folder.resolve())
    except (OSError, ValueError, RuntimeError):  # RuntimeError: links that lead round in a circle
        return False


def _check(source: Path, found: os.stat_result, kind: Kind) -> None:
    if not stat.S_ISREG(found.st_mode):
        what = "is a directory" if stat.S_ISDIR(found.st_mode) else "is a device or a pipe"
        said = sentence(f"could not be read ({what})", kind.name, "check the path")
        raise ReadError(f"{brief_path(source)}: {said}")
    check_size(source, found.st_size, kind)
