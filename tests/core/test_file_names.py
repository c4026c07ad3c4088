"""Names for files, made safe, and those beside them."""

from __future__ import annotations

from itertools import islice
from pathlib import Path

import pytest

from anchorsim.core.file_names import beside, safe_name


@pytest.mark.parametrize(
    ("given", "safe"),
    [
        ("../../a b.jpg", "a-b.jpg"),
        ("C:\\boats\\hers", "C-boats-hers"),
        ("Ünïcode", "Ünïcode"),
        ("U\u0308n\u0131", "Ün\u0131"),  # a letter and its dots apart, as some systems have them
        ("\u202egpj.exe", "gpj.exe"),  # what turns the text round
        ("..", "other"),
        ("", "other"),
        ("x" * 99, "x" * 60),
        ("海" * 40, "海" * 20),  # three bytes each; file systems count those
        ("x" * 59 + ".y", "x" * 59),
        ("con", "other-con"),  # a device on Windows, whatever its case and ending
        ("Nul.night", "other-Nul.night"),
        ("COM1", "other-COM1"),
        ("lpt²", "other-lpt²"),
        ("console", "console"),
        ("com10", "com10"),
    ],
)
def test_names_of_files_are_made_safe(given: str, safe: str) -> None:
    assert safe_name(given, "other") == safe


def test_names_beside_one_are_numbered_before_its_ending() -> None:
    names = islice(beside(Path("here/a.b.toml")), 3)
    assert list(names) == [Path("here/a.b.toml"), Path("here/a.b-2.toml"), Path("here/a.b-3.toml")]
