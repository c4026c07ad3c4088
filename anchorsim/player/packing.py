"""What the player is handed over: runs, shapes of the rode, and what is drawn.

A run goes to the browser once, packed as below, and is played there with no word to the kernel.  The same
script plays a page without a kernel: whoever writes it hands :func:`state` over as a plain object.

Packed layout, little-endian, no padding:

``run``: a header of 20 bytes, magic ``RUN1``, uint32 samples n, uint32 columns c, float32 first time (s),
float32 step (s); then n × c float32, one row a sample, columns as in :data:`COLUMNS`, SI.

``shapes``: a header of 12 bytes, magic ``SHP1``, uint32 rows n, uint32 points m; then float32
``distance`` (n), ``x`` (n × m), ``z`` (n × m), in metres as in :class:`anchorsim.figures.RodeShapes`.

Of up to four set-ups one record follows the other, the one in front first, and no bytes at all stand for
nothing to draw.
"""

from __future__ import annotations

import struct
import uuid
from collections.abc import Sequence
from dataclasses import asdict
from typing import Any

import numpy as np

from anchorsim.figures import METRIC, Area, Outline, Part, RodeShapes, Scene, Track, Units, theme
from anchorsim.figures.above import wind_on_the_right
from anchorsim.figures.parts import lane
from anchorsim.figures.scene import Array
from anchorsim.figures.setups import Setup, setups
from anchorsim.figures.surroundings import bearing, distance, needed, swept

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
COLOURS = {
    name: asdict(look) | {"setups": list(look.setups)}
    for name, look in (("light", theme(False)), ("dark", theme(True)))
}
RUN_HEADER = struct.Struct("<4sIIff")
SHAPES_HEADER = struct.Struct("<4sII")


def pack_run(track: Track, every: int = 1) -> bytes:
    """A track as bytes: 40 bytes a sample, 240 kB for ten minutes at 10 Hz.

    ``every`` keeps one sample in so many, for a page that carries many runs; the player interpolates.
    Raises ValueError where the samples are not evenly spaced.
    """
    step = even_step(track.time) * every
    table = np.column_stack([getattr(track, name) for name in COLUMNS])[::every]
    header = RUN_HEADER.pack(b"RUN1", table.shape[0], table.shape[1], float(track.time[0]), step)
    return header + table.astype("<f4").tobytes()


def even_step(time: Array) -> float:
    """The step of evenly spaced times (s).  Raises ValueError for any other."""
    steps = np.diff(time)
    if steps.size == 0 or steps[0] <= 0 or np.ptp(steps) > 1e-3 * steps[0]:
        raise ValueError("track.time: needed two or more evenly spaced times, ascending; resample the run")
    return float(np.mean(steps))


def pack_shapes(rode: RodeShapes) -> bytes:
    """A table of rode shapes as bytes."""
    rows, points = rode.x.shape
    parts = (part.astype("<f4").tobytes() for part in (rode.distance, rode.x, rode.z))
    return SHAPES_HEADER.pack(b"SHP1", rows, points) + b"".join(parts)


def describe(setup: Setup) -> dict[str, Any]:
    """What the player needs of a scene besides the run and the shapes, as plain JSON."""
    scene = setup.scene
    boat = scene.boat
    return {
        "name": scene.name,
        "letter": setup.letter,
        "plan": _outline(boat.plan),
        "profile": _outline(boat.profile),
        "bow": [boat.bow_ahead, boat.bow_height],
        "length": float(np.ptp(boat.plan.polygon[:, 0])),
        "depth": scene.depth,
        "ground": scene.ground(),
        "wind_right": wind_on_the_right(scene),
        "peak_time": float(scene.track.time[np.argmax(scene.track.bow_load)]),
        "peak_uplift": float(scene.track.angle_at_anchor.max()),
        "parts": [_part(part) for part in scene.parts],
        "needs": needed(scene).round(2).tolist(),
        "swept": swept(scene).round(2).tolist(),
        "around": [_around(area) for area in scene.dangers],
    }


def _around(area: Area) -> dict[str, Any]:
    ring = np.column_stack([area.x, area.y])
    place = {"distance": distance(area), "bearing": bearing(area)}
    return {"name": area.name, "ring": ring.round(2).tolist(), **place}


def _outline(outline: Outline) -> dict[str, Any]:
    return {
        "polygon": outline.polygon.round(3).tolist(),
        "lines": [line.round(3).tolist() for line in outline.lines],
    }


def _part(part: Part) -> dict[str, Any]:
    return {"name": part.name, "at": part.at, "share": part.share, "working_load": part.wll}


def state(
    now: Scene, others: Sequence[Scene] = (), *, units: Units = METRIC, every: int = 1
) -> dict[str, Any]:
    """The player's traits for a scene, with up to three others laid over it.

    The values are bytes and plain JSON, so a page without a kernel can carry them as they are.
    """
    shown = setups(now, others, theme())
    return {
        "run": b"".join(pack_run(one.scene.track, every) for one in shown),
        "shapes": b"".join(pack_shapes(one.scene.rode) for one in shown),
        "scenes": [describe(one) for one in shown],
        "lanes": [list(lane(place, len(shown))) for place in range(len(shown))],
        "units": asdict(units),
        "colours": COLOURS,
        "run_id": uuid.uuid4().hex,
    }
