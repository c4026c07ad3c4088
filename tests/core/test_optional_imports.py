"""What is left out of a start stays out of it, and what needs it finds it again afterwards."""

from __future__ import annotations

import importlib
import subprocess
import sys

import pytest

from anchorsim.core.optional_imports import IRI_GRAMMAR, without

SAYS = f"print({IRI_GRAMMAR!r} in sys.modules)"
STARTS = f"""
import sys
import anchorsim.explorer
{SAYS}
import jsonschema, nbformat
assert not jsonschema.FormatChecker().conforms("2026-11-31", "date")
from rfc3987_syntax import is_valid_syntax
{SAYS}
"""


def test_a_kernel_builds_no_grammar_that_nobody_asks() -> None:
    found = subprocess.run([sys.executable, "-c", STARTS], capture_output=True, text=True, check=True)
    assert found.stdout.split() == ["False", "True"]


def test_what_is_left_out_is_there_afterwards() -> None:
    loaded = sys.modules.pop("colorsys", None)  # of the standard library, and of no use here
    try:
        with without("colorsys"), pytest.raises(ImportError):
            importlib.import_module("colorsys")
        assert importlib.import_module("colorsys").rgb_to_hsv(1, 0, 0) == (0, 1, 1)
        with without("colorsys"):  # one that is loaded stays
            importlib.import_module("colorsys")
    finally:
        if loaded is not None:
            sys.modules["colorsys"] = loaded
