"""A line that tests haul on, hang up and set going."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from anchorsim import line
from anchorsim.dynamics import full_line, full_line_kernel, lumped_line
from anchorsim.dynamics.boat_motion import Setting
from anchorsim.dynamics.lumped_line import Line
from anchorsim.dynamics.wave_kernel import COLUMNS, STILL, Sea
from anchorsim.mooring import line_mesh
from anchorsim.mooring.rode import Rode
from anchorsim.scenario import site

Floats = NDArray[np.float64]
HOLDS = {"tackle.anchor.mass": "200 kg", "spot.bottom": "stiff clay"}
BARE = {"tackle.snubber.length": "0 m"}
GALE = {"weather.mean_wind": "30 kn", "weather.gust": "42 kn", "weather.duration": "60 s"}
SAMPLE = 0.02  # s
GROUND = site.Ground(1e9, 1.0, 1.0, 1.0)


class Rig(NamedTuple):
    """A line that can be hauled on: what it is, what surrounds it, and how it is now."""

    whole: Line
    setting: Setting
    state: Floats
    nodes: Floats
    bonds: Floats


class Hauled(NamedTuple):
    time: Floats
    at_bow: Floats
    at_anchor: Floats
    uplift: Floats
    places: Floats


def rig(
    rode: Rode, load: float, *, longest: float = 0.5, bearing: float = 0.0, slope: float = 0.0,
    anchor: float = math.inf, friction: float | None = None,
) -> Rig:  # fmt: skip
    """A rode at rest under a horizontal load, with the bow held at a bearing from the anchor."""
    rode = rode if friction is None else replace(rode, friction=friction)
    whole = full_line.mesh_of(rode, longest, anchor)
    nodes = full_line.lay(rode, whole.mesh, load, bearing, slope)
    setting = Setting(1.225, 1025.0, 0.0, 0.0, rode.depth, *rode.rises, rode.friction,
                      rode.rise - rode.depth, rode.spread, 1.0, 0.0)  # fmt: skip
    state = np.zeros(full_line_kernel.STATE)
    tops = [-1, -2] if whole.mesh.bridle else [-1]
    state[:2] = nodes[tops, :2].mean(axis=0)
    state[2] = bearing + math.pi
    return Rig(whole, setting, state, nodes, np.zeros((len(whole.mesh.elements), lumped_line.BOND)))


def haul(
    one: Rig, seconds: float, path: Floats | None = None, *, calm: float = 0.0, pace: float = 0.1,
    share: float = 0.7, ground: site.Ground = GROUND, step: float | None = None,
) -> Hauled:  # fmt: skip
    """Move the bow of a rig along a path: rows north, east, up and their speeds, every ``pace`` s."""
    samples = round(seconds / SAMPLE) + 1
    longest = full_line.longest_step(one.whole) if step is None else step
    stride = math.ceil(SAMPLE / (share * longest))
    sea = STILL if path is None else carried(path, pace)
    track, places, peaks = np.zeros((4, samples)), np.zeros((samples, len(one.nodes), 3)), np.zeros(3)
    full_line_kernel.haul(
        one.whole, one.setting, ground, site.uplift_table(), sea, 0.0, calm, SAMPLE / stride, stride,
        0, samples, one.state, one.nodes, one.bonds, track, places, peaks,
    )  # fmt: skip
    return Hauled(*track, places)


def carried(path: Floats, pace: float) -> Sea:
    """A sea that carries the bow along a path in one vertical plane, whatever her heading."""
    out = path[np.argmax(np.hypot(path[:, 0], path[:, 1])), :2]
    way = out / max(float(np.hypot(*out)), 1e-12)
    assert np.allclose(path[:, :2], np.outer(path[:, :2] @ way, way), atol=1e-9)
    motion = np.zeros((len(path), COLUMNS))
    motion[:, 0:3], motion[:, 6:9] = path[:, 2:3], (path[:, :2] @ way)[:, None]
    motion[:, 9:12], motion[:, 15:18] = path[:, 5:6], (path[:, 3:5] @ way)[:, None]
    motion[:, 18:20] = way
    return STILL._replace(motion=motion, pace=pace)


def outwards(by: float, bearing: float, seconds: float, hold: float) -> Floats:
    """A path out along a bearing, smooth at both ends, then at rest."""
    time = np.arange(0.0, seconds + hold + 0.05, 0.1)
    part = np.minimum(time / seconds, 1.0)
    way = np.array([math.cos(bearing), math.sin(bearing), 0.0])
    there, fast = by * part**2 * (3.0 - 2.0 * part), by * 6.0 * part * (1.0 - part) / seconds
    return np.hstack([there[:, None] * way, fast[:, None] * way])


def means_of(samples: Floats, many: int) -> Floats:
    """Means of so many samples each."""
    return samples[: len(samples) // many * many].reshape(-1, many).mean(axis=1)


def wire(length: float, count: int, weight: float, stiffness: float) -> Line:
    segment = line.Segment(length=length, weight=weight, stiffness=stiffness, weight_in_air=weight)
    return Line(line_mesh.mesh((segment,), (count,), False), 0, math.inf)


def aloft(whole: Line, places: Floats, **changes: float) -> Rig:
    """A line between two fixed points, far above bottom and water unless changed; ``places``: (nodes, 3)."""
    nodes = full_line.blank_nodes(whole.mesh)
    nodes[:, :3] = places
    setting = Setting(1.225, 1025.0, 0.0, 0.0, 1e3, 0.0, 0.0, 0.0, float(places[-1, 2]), 0.0, 1.0, 0.0)
    state = np.zeros(full_line_kernel.STATE)
    state[:2] = places[-1, :2]
    bonds = np.zeros((len(whole.mesh.elements), lumped_line.BOND))
    return Rig(whole, setting._replace(**changes), state, nodes, bonds)
