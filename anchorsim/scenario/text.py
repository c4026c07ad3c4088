"""What people write: notes, lines, dates and names of files, as a scenario takes them."""

from __future__ import annotations

import datetime
import unicodedata
from typing import Annotated, Any

from pydantic import BeforeValidator, Field

from anchorsim.core.errors import AnchorsimError, sentence
from anchorsim.core.markup import TURNING
from anchorsim.core.units import quoted

LONGEST_NOTE = 10_000  # characters
_KEPT = "\n\t"  # control characters that a note may hold


def _plain(given: Any) -> Any:
    """Text without characters that cannot be shown; line ends of all kinds become one."""
    if not isinstance(given, str):
        return given
    text = given.replace("\r\n", "\n").replace("\r", "\n")
    for place, character in enumerate(text, 1):
        bad = unicodedata.category(character) in ("Cc", "Cs") and character not in _KEPT
        if bad or character in TURNING:
            wrong = f"the text holds the control character U+{ord(character):04X} at place {place}"
            raise AnchorsimError(sentence(wrong, "letters, signs and line ends", "delete it"))
    return text


def _one_line(given: Any) -> Any:
    text = _plain(given)
    if isinstance(text, str) and ("\n" in text or "\t" in text):
        raise AnchorsimError(sentence(f"{quoted(given)} has several lines", "one line of text", "join them"))
    return text


def _day(given: Any) -> Any:
    """A date, or its text as ISO 8601 writes it, neither a number nor a time of day."""
    if given is None or (isinstance(given, datetime.date) and not isinstance(given, datetime.datetime)):
        return given
    try:
        return datetime.date.fromisoformat(given) if isinstance(given, str) else _no_day(given)
    except ValueError:
        return _no_day(given)


def _no_day(given: Any) -> Any:
    raise AnchorsimError(
        sentence(f"{quoted(given)} is not a date", "year-month-day", "write for example 2024-05-31")
    )


Note = Annotated[str, BeforeValidator(_plain), Field(max_length=LONGEST_NOTE)]
Line = Annotated[str, BeforeValidator(_one_line), Field(max_length=200)]
File = Annotated[str, BeforeValidator(_one_line), Field(min_length=1, max_length=500)]
Day = Annotated[datetime.date | None, BeforeValidator(_day)]
