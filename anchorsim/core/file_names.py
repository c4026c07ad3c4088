"""Names for files: from people's words one that any system takes, and one that is free beside others."""

from __future__ import annotations

import itertools
import re
import unicodedata
from collections.abc import Iterator
from pathlib import Path

_UNSAFE = re.compile(r"[^\w.-]+")
_LONGEST = 60  # bytes, so that three and a number are a name yet


def safe_name(given: str, otherwise: str) -> str:
    """A file's name without its ending, of letters, digits, ``.``, ``_`` and ``-`` only; no folder in it.

    >>> safe_name("../../mÿ <boat>", "survey"), safe_name("…", "survey")
    ('mÿ-boat', 'survey')
    """
    name = _UNSAFE.sub("-", unicodedata.normalize("NFC", given)).strip("-.")
    return name.encode()[:_LONGEST].decode(errors="ignore").strip("-.") or otherwise


def beside(path: Path) -> Iterator[Path]:
    """The path, and for where that is taken the same with -2, -3 … before its ending."""
    yield path
    for number in itertools.count(2):
        yield path.with_name(f"{path.stem}-{number}{path.suffix}")


def free(path: Path) -> Path:
    """The path, or the first beside it that nothing is at.

    >>> free(Path("no such folder/survey.toml")).name
    'survey.toml'
    """
    return next(one for one in beside(path) if not one.exists())
