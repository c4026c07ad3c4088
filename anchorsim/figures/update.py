"""Putting a new picture into a figure that is already on screen."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np
import plotly.graph_objects as go


def update(shown: go.Figure, new: go.Figure) -> None:
    """Give ``shown`` (a figure or a figure widget) the traces and layout of ``new``, in one batch.

    Only what differs is set, for each setting is checked anew and sent to the browser.  Both must come from
    the same view, so that their traces correspond; a ValueError says so otherwise.
    """
    names = [trace.name for trace in shown.data], [trace.name for trace in new.data]
    if names[0] != names[1]:
        raise ValueError(f"update: needed a figure of the same view with traces {names[0]}, given {names[1]}")
    with shown.batch_update():
        for old, fresh in zip(shown.data, new.data, strict=True):
            old.update(_changed(old.to_plotly_json(), fresh.to_plotly_json()), overwrite=True)
        shown.layout.update(
            _changed(shown.layout.to_plotly_json(), new.layout.to_plotly_json()), overwrite=True
        )


def _changed(old: Mapping[str, Any], new: Mapping[str, Any]) -> dict[str, Any]:
    """What to set in ``old`` to make it ``new``: None for what it has too many."""
    named = (old.keys() | new.keys()) - {"type", "uid"}
    return {key: new.get(key) for key in named if not _same(old.get(key), new.get(key))}


def _same(one: Any, other: Any) -> bool:
    if isinstance(one, np.ndarray) or isinstance(other, np.ndarray):
        return np.shape(one) == np.shape(other) and np.array_equal(one, other)
    if isinstance(one, Mapping) and isinstance(other, Mapping):
        return one.keys() == other.keys() and all(_same(value, other[key]) for key, value in one.items())
    if isinstance(one, list | tuple) and isinstance(other, list | tuple):
        return len(one) == len(other) and all(map(_same, one, other))
    return bool(one == other)
