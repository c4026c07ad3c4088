"""What a simulated spell comes to: the boat's track, the loads and their peaks."""

from __future__ import annotations

import functools
import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from anchorsim.core import display
from anchorsim.core.units import Quantity, quantity, si
from anchorsim.dynamics.anchor_travel import DRAGS_FROM
from anchorsim.mooring import statics
from anchorsim.mooring.rode import Rode
from anchorsim.scenario import site
from anchorsim.scenario.scenario import Scenario
from anchorsim.scenario.vessel import corners

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Track:
    """A spell in SI floats, arrays of one length, every 0.1 s.

    time (s); x, y (m north and east of where the anchor was let go); heading (rad); bow_load, anchor_load
    (N); angle_at_anchor (rad above the bottom); wind_north, wind_east (the air's velocity, m/s) at the height
    of her windage; anchor_x, anchor_y (m).  In a sea the waves carry her about that place and heading, and
    the loads are those of her bow as it then moves.
    """

    time: Floats
    x: Floats
    y: Floats
    heading: Floats
    bow_load: Floats
    anchor_load: Floats
    angle_at_anchor: Floats
    wind_north: Floats
    wind_east: Floats
    anchor_x: Floats
    anchor_y: Floats

    @functools.cached_property
    def wind_speed(self) -> Floats:
        """m/s."""
        return np.hypot(self.wind_north, self.wind_east)

    @functools.cached_property
    def wind_direction(self) -> Floats:
        """Where it blows from, rad."""
        return np.mod(np.arctan2(-self.wind_east, -self.wind_north), 2 * math.pi)


_UNITS = {
    "time": "s",
    "x": "m",
    "y": "m",
    "heading": "radian",
    "bow_load": "N",
    "anchor_load": "N",
    "angle_at_anchor": "radian",
    "wind_north": "m/s",
    "wind_east": "m/s",
    "wind_speed": "m/s",
    "wind_direction": "radian",
    "anchor_x": "m",
    "anchor_y": "m",
}


@dataclass(frozen=True, repr=False)
class Run(display.Tabled, display.Drawn):
    """One simulated spell at anchor.

    Attributes
    ----------
    scenario : Scenario
        What was simulated.
    seed : int
        That of its gusts.
    time, x, y, heading, bow_load, anchor_load, angle_at_anchor, wind_north, wind_east, wind_speed, \
    wind_direction, anchor_x, anchor_y : quantity
        Arrays of one length, every 0.1 s; north and east (x, y) are counted from where the anchor was set.
    track : Track
        The same arrays as SI floats.
    peak_load, swing_radius, drag_distance : quantity
        Highest load at the bow; farthest that any part of the boat came from where the anchor was set; how
        far from there the anchor ended.
    dragged : bool
        Whether the anchor ended a metre or more from where it was set.
    peak_bow_load, peak_anchor_load, peak_uplift, holding : float
        N, N, rad and N: peaks of all steps, which lie closer than the samples, and the anchor's holding.
    holding_used : float
        Greatest share of its holding that the anchor was asked for, 1 where it moved.
    rode, curve : Rode, Curve
        The rode as laid out, and its load by distance at rest.

    Examples
    --------
    >>> from anchorsim import Scenario, simulate
    >>> run = simulate(Scenario().vary({"weather.duration": "60 s"}))
    >>> f"{run.swing_radius:.0f~P}", run.dragged, "bow_load" in dir(run)
    ('48 m', False, True)
    """

    scenario: Scenario
    seed: int
    track: Track
    rode: Rode
    curve: statics.Curve
    holding: float
    peak_bow_load: float
    peak_anchor_load: float
    peak_uplift: float

    def __getattr__(self, name: str) -> Quantity:
        if name in _UNITS:
            return quantity(getattr(self.track, name), _UNITS[name])
        raise AttributeError(f"a Run has no {name!r}")

    def __dir__(self) -> list[str]:
        return sorted({*super().__dir__(), *_UNITS})

    def _title(self) -> str:
        return f"Run {self.seed}"

    def _facts(self) -> display.Facts:
        return [
            ("peak load at the bow", _shown(self.peak_load, "kN")),
            ("at the anchor", _shown(quantity(self.peak_anchor_load, "N"), "kN")),
            ("uplift", f"{math.degrees(self.peak_uplift):.0f}°"),
            ("swinging radius", _shown(self.swing_radius, "m")),
            ("drag", _shown(self.drag_distance, "m")),
            ("scenario", self.scenario.title),
        ]

    @property
    def peak_load(self) -> Quantity:
        """The greatest load at the bow."""
        return quantity(self.peak_bow_load, "N")

    @property
    def drag_distance(self) -> Quantity:
        """How far the anchor ended from where it was let go."""
        return quantity(math.hypot(self.track.anchor_x[-1], self.track.anchor_y[-1]), "m")

    @property
    def dragged(self) -> bool:
        """Whether the anchor dragged: it ended ``DRAGS_FROM`` or more from where it was set."""
        return si(self.drag_distance) >= DRAGS_FROM

    @property
    def holding_used(self) -> float:
        """The greatest share, in any sample, that the load at the anchor was of what it holds at that uplift;
        1 where the anchor moved at all, for it carries no more."""
        if self.track.anchor_x[-1] or self.track.anchor_y[-1]:
            return 1.0
        holds = self.holding * np.interp(self.track.angle_at_anchor, *site.uplift_table().T)
        return float((self.track.anchor_load / np.maximum(holds, 1e-9)).max())

    @property
    def swing_radius(self) -> Quantity:
        """The farthest that any part of the boat came from where the anchor was let go."""
        north, east = positions(self, corners(self.scenario.boat))
        return quantity(float(np.hypot(north, east).max()), "m")


def positions(run: Run, points: Floats, every: int = 1) -> tuple[Floats, Floats]:
    """North and east (m) of points of the boat at one sample in ``every``, (samples, points).

    ``points``: (n, 2) metres ahead of amidships and to starboard.
    """
    x, y, heading = (column[::every, None] for column in (run.track.x, run.track.y, run.track.heading))
    cosine, sine = np.cos(heading), np.sin(heading)
    north = x + cosine * points[:, 0] - sine * points[:, 1]
    east = y + sine * points[:, 0] + cosine * points[:, 1]
    return north, east


def _shown(amount: Quantity, unit: str) -> str:
    return f"{float(amount.m_as(unit)):.2g} {unit}"
