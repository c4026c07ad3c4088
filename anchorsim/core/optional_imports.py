"""What libraries import for a use that none of our screens makes, and that costs time at every start."""

from __future__ import annotations

import contextlib
import sys
from collections.abc import Iterator
from typing import Any

IRI_GRAMMAR = "rfc3987_syntax"
"""For jsonschema, which checks the format "iri" with it; to build it takes longer than to load numba."""


@contextlib.contextmanager
def without(name: str) -> Iterator[None]:
    """Have imports of an optional module fail meanwhile, as if it was not installed."""
    modules: dict[str, Any] = sys.modules
    if name in modules:
        yield
        return
    modules[name] = None  # by which Python knows what cannot be imported
    try:
        yield
    finally:
        del modules[name]
