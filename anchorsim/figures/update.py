"""Putting a new picture into a figure that is already on screen."""

from __future__ import annotations

import plotly.graph_objects as go


def update(shown: go.Figure, new: go.Figure) -> None:
    """Give ``shown`` (a figure or a figure widget) the traces and layout of ``new``, in one batch.

    Both must come from the same view, so that their traces correspond; a ValueError says so otherwise.
    """
    names = [trace.name for trace in shown.data], [trace.name for trace in new.data]
    if names[0] != names[1]:
        raise ValueError(f"update: needed a figure of the same view with traces {names[0]}, given {names[1]}")
    with shown.batch_update():
        for old, fresh in zip(shown.data, new.data, strict=True):
            had, has = old.to_plotly_json(), fresh.to_plotly_json()
            named = (had.keys() | has.keys()) - {"type", "uid"}
            old.update({key: has.get(key) for key in named}, overwrite=True)
        shown.layout.update(new.layout.to_plotly_json(), overwrite=True)
