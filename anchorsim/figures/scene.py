"""What the views draw: plain SI values, gathered once, the same for every view and for the player."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Literal, Protocol

import numpy as np
from numpy.typing import NDArray

from anchorsim.numerics.interval import Interval

Array = NDArray[np.float64]
BREAKS = "breaks"

_WORDS = 0.4  # of the distance from anchor to bow: how far words beside the anchor reach


class Track(Protocol):
    """One run, sampled uniformly: arrays of equal length in s, m, rad, N and m/s.

    ``x`` is north and ``y`` east of where the anchor was set, of the boat's origin amidships; ``heading``
    is clockwise from north, ``wind_direction`` where the wind blows from, ``angle_at_anchor`` above the
    bottom.
    """

    @property
    def time(self) -> Array: ...
    @property
    def x(self) -> Array: ...
    @property
    def y(self) -> Array: ...
    @property
    def heading(self) -> Array: ...
    @property
    def bow_load(self) -> Array: ...
    @property
    def anchor_load(self) -> Array: ...
    @property
    def angle_at_anchor(self) -> Array: ...
    @property
    def wind_speed(self) -> Array: ...
    @property
    def wind_direction(self) -> Array: ...
    @property
    def anchor_x(self) -> Array: ...
    @property
    def anchor_y(self) -> Array: ...


@dataclass(frozen=True)
class Outline:
    """A closed ``polygon`` (n, 2) and open ``lines`` (k, 2) on it, in metres."""

    polygon: Array
    lines: tuple[Array, ...] = ()


@dataclass(frozen=True)
class Boat:
    """How the boat is drawn.

    ``plan`` has columns ahead of amidships and to starboard, ``profile`` ahead of amidships and above the
    waterline; ``bow_ahead`` and ``bow_height`` place the bow roller, in metres.
    """

    plan: Outline
    profile: Outline
    bow_ahead: float
    bow_height: float


@dataclass(frozen=True)
class RodeShapes:
    """The rode's shape at ``distance`` (n,) from anchor to bow: ``x`` (n, m) from the anchor towards the bow
    and ``z`` (n, m) above the bottom at the anchor, in metres; distances ascend, points run anchor to bow."""

    distance: Array
    x: Array
    z: Array

    def __post_init__(self) -> None:
        if self.x.shape != self.z.shape or self.x.ndim != 2 or self.x.shape[0] != self.distance.size:
            raise ValueError(
                f"rode shapes: needed x and z of shape ({self.distance.size}, m), one row for each distance, "
                f"given {self.x.shape} and {self.z.shape}"
            )
        if self.distance.size < 2 or np.any(np.diff(self.distance) <= 0):
            raise ValueError("rode shapes: needed at least two distances in ascending order; sort the table")

    def at(self, distance: float) -> tuple[Array, Array]:
        """The shape (x, z), each (m,), at one distance: linear between rows, stretched beyond the ends.

        The player does the same, so that a figure and the moving picture agree.
        """
        within = float(np.clip(distance, self.distance[0], self.distance[-1]))
        above = int(np.clip(np.searchsorted(self.distance, within), 1, self.distance.size - 1))
        below = above - 1
        share = (within - self.distance[below]) / (self.distance[above] - self.distance[below])
        x = (1 - share) * self.x[below] + share * self.x[above]
        z = (1 - share) * self.z[below] + share * self.z[above]
        stretch = distance / within if within > 0 else 1.0
        return x * stretch, z


@dataclass(frozen=True)
class Part:
    """One part of the ground tackle as the bars draw it, loads in N.

    ``peak`` is the part's own greatest load over spells.  ``share`` is how much of the load at the bow (or,
    with ``at="anchor"``, at the anchor) the part carries at any instant.
    ``failure`` is the word for what happens at the ``strength_left``.
    """

    name: str
    peak: Interval
    wll: float
    strength_left: float
    share: float = 1.0
    at: Literal["bow", "anchor"] = "bow"
    weakest: bool = False
    failure: str = BREAKS


@dataclass(frozen=True)
class Area:
    """A named patch of water on the plan, ``x`` (n,) north and ``y`` (n,) east of the anchor, in metres."""

    name: str
    x: Array
    y: Array


@dataclass(frozen=True)
class Scene:
    """One boat lying to her anchor: everything the four views and the player need.

    ``room`` is the water that the whole boat sweeps; ``holding`` the range of the anchor's holding in N;
    ``depth`` from the surface to the bottom at the anchor in m; ``slope`` (rad) is how that rises from there
    towards the boat, below 0: falls.  ``letter`` (A to D) tells it from others that it is laid over.
    """

    name: str
    track: Track
    boat: Boat
    depth: float
    rode: RodeShapes
    holding: Interval
    parts: tuple[Part, ...]
    room: Area | None = None
    dangers: Sequence[Area] = field(default=())
    slope: float = 0.0
    letter: str = ""

    def bed(self, distance: float) -> float:
        """Height of the bottom above the water (so below 0) at a distance from the anchor, in metres."""
        return distance * math.tan(self.slope) - self.depth

    def ground(self) -> float:
        """Height under which there is only ground beside the anchor, in metres: words stand there."""
        return min(self.bed(0.0), self.bed(_WORDS * float(self.distance().max())))

    def bow(self) -> tuple[Array, Array]:
        """North and east (n,) of the bow roller, in metres."""
        return of_hers(self.track, self.boat.bow_ahead)

    def distance(self) -> Array:
        """Horizontal distance (n,) from the anchor to the bow roller, in metres."""
        north, east = self.bow()
        return np.hypot(north - self.track.anchor_x, east - self.track.anchor_y)

    def weakest(self) -> Part | None:
        """The part marked as the weakest link, or none where none is marked."""
        return next((part for part in self.parts if part.weakest), None)


def of_hers(
    track: Track, ahead: float | Array, starboard: float | Array = 0.0, at: int | slice = slice(None)
) -> tuple[Array, Array]:
    """North and east (m) of points of hers at samples: ``ahead`` and to ``starboard`` of amidships (m)."""
    along, aside = np.cos(track.heading[at]), np.sin(track.heading[at])
    return track.x[at] + ahead * along - starboard * aside, track.y[at] + ahead * aside + starboard * along
