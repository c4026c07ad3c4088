"""Kernels as the plain Python that they are compiled from, so that a test need not wait for a compiler."""

from __future__ import annotations

from types import ModuleType

import pytest


def plainly(monkeypatch: pytest.MonkeyPatch, *modules: ModuleType) -> None:
    """Put the plain function in the place of each compiled one that a module has or has imported."""
    for module in modules:
        for name, function in vars(module).copy().items():
            if hasattr(function, "py_func"):
                monkeypatch.setattr(module, name, function.py_func)
