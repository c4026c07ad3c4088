"""Names for files: from people's words one that any system takes, and those beside one that is taken."""

from __future__ import annotations

import itertools
import re
import unicodedata
from collections.abc import Iterator
from pathlib import Path

_UNSAFE = re.compile(r"[^\w.-]+")
# What Windows takes for a device, whatever ending follows (Microsoft, "Naming files, paths, and namespaces").
_DEVICE = re.compile(r"(CON|PRN|AUX|NUL|(COM|LPT)[0-9¹²³])(\.|$)", re.IGNORECASE)
_LONGEST = 60  # bytes, so that three and a number are a name yet


def safe_name(given: str, otherwise: str) -> str:
    """A file's name without its ending, of letters, digits, ``.``, ``_`` and ``-``; no folder, no device.

    >>> safe_name("../../mÿ <boat>", "survey"), safe_name("…", "survey"), safe_name("Aux", "survey")
    ('mÿ-boat', 'survey', 'survey-Aux')
    """
    name = _UNSAFE.sub("-", unicodedata.normalize("NFC", given)).strip("-.")
    if _DEVICE.match(name):
        name = f"{otherwise}-{name}"
    return name.encode()[:_LONGEST].decode(errors="ignore").strip("-.") or otherwise


def beside(path: Path) -> Iterator[Path]:
    """The path, and for where that is taken the same with -2, -3 … before its ending."""
    yield path
    for number in itertools.count(2):
        yield path.with_name(f"{path.stem}-{number}{path.suffix}")
