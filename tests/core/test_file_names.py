"""Names for files, made safe and found free."""

from __future__ import annotations

from itertools import islice
from pathlib import Path

import pytest

from anchorsim.core.file_names import beside, free, safe_name


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


def test_a_name_is_free_where_nothing_is(tmp_path: Path) -> None:
    wanted = tmp_path / "a.b.toml"
    assert [one.name for one in islice(beside(wanted), 3)] == ["a.b.toml", "a.b-2.toml", "a.b-3.toml"]
    for name in ("a.b.toml", "a.b-2.toml", "a.b-3.toml"):
        assert free(wanted) == tmp_path / name
        (tmp_path / name).mkdir()
