"""The player as a widget."""

from __future__ import annotations

import uuid
from collections.abc import Sequence
from dataclasses import asdict
from typing import Any

import anywidget
import traitlets

from anchorsim.figures import METRIC, Scene, Units
from anchorsim.player import SCRIPT, state
from anchorsim.player.packing import COLOURS


class Player(anywidget.AnyWidget):
    """Play, pause, step, scrub and speed, and the moving parts of the views that carry the same ``scope``.

    The views are found in the page by their CSS class (:data:`anchorsim.figures.VIEWS`) inside the element
    with the class ``scope``; that of load and wind is the timeline that is dragged along.  ``dark`` is set by
    the browser: observe it to re-theme the figures.  ``seek`` (s) moves the clock when it is set to another
    value.  ``scale`` enlarges type and lines as that of the figures does.
    """

    _esm = SCRIPT

    scope = traitlets.Unicode().tag(sync=True)
    run = traitlets.Bytes(b"").tag(sync=True)
    shapes = traitlets.Bytes(b"").tag(sync=True)
    scenes: traitlets.List[Any] = traitlets.List().tag(sync=True)
    lanes: traitlets.List[Any] = traitlets.List().tag(sync=True)
    units = traitlets.Dict(asdict(METRIC)).tag(sync=True)
    colours = traitlets.Dict(COLOURS).tag(sync=True)
    run_id = traitlets.Unicode("").tag(sync=True)
    scale = traitlets.Float(1.0).tag(sync=True)
    speed = traitlets.Float(5.0).tag(sync=True)
    autoplay = traitlets.Bool(True).tag(sync=True)
    seek = traitlets.Float(0.0).tag(sync=True)
    dark = traitlets.Bool(False).tag(sync=True)

    @traitlets.default("scope")
    def _own_scope(self) -> str:
        return f"anchorsim-{uuid.uuid4().hex[:8]}"

    def show(self, now: Scene, others: Sequence[Scene] = (), *, units: Units = METRIC) -> None:
        """Send a scene and up to three others to the browser, in one message.

        The clock stays at the same share of the run.
        """
        with self.hold_sync():
            for name, value in state(now, others, units=units).items():
                setattr(self, name, value)
