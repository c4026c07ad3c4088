"""The player: one clock in the browser that moves what moves in the four views.

A run goes to the browser once, packed as below, and is played there with no word to the kernel.  The same
``player.js`` plays a page without a kernel: whoever writes it hands :func:`state` over as a plain object.

Packed layout, little-endian, no padding:

``run``: a header of 20 bytes, magic ``RUN1``, uint32 samples n, uint32 columns c, float32 first time (s),
float32 step (s); then n × c float32, one row a sample, columns as in :data:`COLUMNS`, SI.

``shapes``: a header of 12 bytes, magic ``SHP1``, uint32 rows n, uint32 points m; then float32
``distance`` (n), ``x`` (n × m), ``z`` (n × m), in metres as in :class:`anchorsim.figures.RodeShapes`.

No bytes at all stand for nothing to draw.
"""

from __future__ import annotations

import struct
import uuid
from dataclasses import asdict
from pathlib import Path
from typing import Any

import anywidget
import numpy as np
import traitlets

from anchorsim.figures import METRIC, Outline, Part, RodeShapes, Scene, Track, Units, theme
from anchorsim.figures.above import wind_on_the_right

COLUMNS = (
    "x",
    "y",
    "heading",
    "bow_load",
    "anchor_load",
    "angle_at_anchor",
    "wind_speed",
    "wind_direction",
    "anchor_x",
    "anchor_y",
)
COLOURS = {"light": asdict(theme(False)), "dark": asdict(theme(True))}
RUN_HEADER = struct.Struct("<4sIIff")
SHAPES_HEADER = struct.Struct("<4sII")


def pack_run(track: Track, every: int = 1) -> bytes:
    """A track as bytes: 40 bytes a sample, 240 kB for ten minutes at 10 Hz.

    ``every`` keeps one sample in so many, for a page that carries many runs; the player interpolates.
    Raises ValueError where the samples are not evenly spaced.
    """
    steps = np.diff(track.time)
    if steps.size == 0 or steps[0] <= 0 or np.ptp(steps) > 1e-3 * steps[0]:
        raise ValueError("track.time: needed two or more evenly spaced times, ascending; resample the run")
    table = np.column_stack([getattr(track, name) for name in COLUMNS])[::every]
    step = float(np.mean(steps)) * every
    header = RUN_HEADER.pack(b"RUN1", table.shape[0], table.shape[1], float(track.time[0]), step)
    return header + table.astype("<f4").tobytes()


def pack_shapes(rode: RodeShapes) -> bytes:
    """A table of rode shapes as bytes."""
    rows, points = rode.x.shape
    parts = (part.astype("<f4").tobytes() for part in (rode.distance, rode.x, rode.z))
    return SHAPES_HEADER.pack(b"SHP1", rows, points) + b"".join(parts)


def describe(scene: Scene) -> dict[str, Any]:
    """What the player needs of a scene besides the run and the shapes, as plain JSON."""
    boat = scene.boat
    return {
        "name": scene.name,
        "plan": _outline(boat.plan),
        "profile": _outline(boat.profile),
        "bow": [boat.bow_ahead, boat.bow_height],
        "depth": scene.depth,
        "ground": scene.ground(),
        "wind_right": wind_on_the_right(scene),
        "peak_time": float(scene.track.time[np.argmax(scene.track.bow_load)]),
        "parts": [_part(part) for part in scene.parts],
    }


def _outline(outline: Outline) -> dict[str, Any]:
    return {
        "polygon": outline.polygon.round(3).tolist(),
        "lines": [line.round(3).tolist() for line in outline.lines],
    }


def _part(part: Part) -> dict[str, Any]:
    return {"at": part.at, "share": part.share, "working_load": part.wll}


def state(
    now: Scene, before: Scene | None = None, *, units: Units = METRIC, every: int = 1
) -> dict[str, Any]:
    """The player's traits for a scene, with the one before beside it where given.

    The values are bytes and plain JSON, so a page without a kernel can carry them as they are.
    """
    return {
        "run": pack_run(now.track, every),
        "shapes": pack_shapes(now.rode),
        "scene": describe(now),
        "run_before": pack_run(before.track, every) if before else b"",
        "shapes_before": pack_shapes(before.rode) if before else b"",
        "scene_before": describe(before) if before else {},
        "units": asdict(units),
        "colours": COLOURS,
        "run_id": uuid.uuid4().hex,
    }


class Player(anywidget.AnyWidget):
    """Play, pause, step, scrub and speed, and the moving parts of the views that carry the same ``scope``.

    The views are found in the page by their CSS class (:data:`anchorsim.figures.VIEWS`) inside the element
    with the class ``scope``.  ``dark`` is set by the browser: observe it to re-theme the figures.
    ``seek`` (s) moves the clock when it is set to another value.
    """

    _esm = Path(__file__).with_name("player.js")

    scope = traitlets.Unicode().tag(sync=True)
    run = traitlets.Bytes(b"").tag(sync=True)
    shapes = traitlets.Bytes(b"").tag(sync=True)
    scene = traitlets.Dict().tag(sync=True)
    run_before = traitlets.Bytes(b"").tag(sync=True)
    shapes_before = traitlets.Bytes(b"").tag(sync=True)
    scene_before = traitlets.Dict().tag(sync=True)
    units = traitlets.Dict(asdict(METRIC)).tag(sync=True)
    colours = traitlets.Dict(COLOURS).tag(sync=True)
    run_id = traitlets.Unicode("").tag(sync=True)
    speed = traitlets.Float(5.0).tag(sync=True)
    autoplay = traitlets.Bool(True).tag(sync=True)
    seek = traitlets.Float(0.0).tag(sync=True)
    dark = traitlets.Bool(False).tag(sync=True)

    @traitlets.default("scope")
    def _own_scope(self) -> str:
        return f"anchorsim-{uuid.uuid4().hex[:8]}"

    def show(self, now: Scene, before: Scene | None = None, *, units: Units = METRIC) -> None:
        """Send a scene to the browser, in one message; the clock stays at the same share of the run."""
        with self.hold_sync():
            for name, value in state(now, before, units=units).items():
                setattr(self, name, value)
