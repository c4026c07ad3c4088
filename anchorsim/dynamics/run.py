"""What a simulated spell comes to: the boat's track, the loads and their peaks."""

from __future__ import annotations

import functools
import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from anchorsim.core import display
from anchorsim.core.amount import Amount
from anchorsim.dynamics.anchor_travel import DRAGS_FROM
from anchorsim.mooring import statics
from anchorsim.mooring.rode import Rode
from anchorsim.scenario import site
from anchorsim.scenario.scenario import Scenario

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


@dataclass(frozen=True)
class RunSI(Track):
    """A spell with its single figures, SI floats: see :class:`Run`; s, m, rad, N, m/s.

    ``corners``: what bounds her from above, (n, 2) metres ahead of amidships and to starboard.
    """

    peak_load: float
    peak_anchor_load: float
    peak_uplift: float
    holding: float
    corners: Floats

    @property
    def drag_distance(self) -> float:
        """How far the anchor ended from where it was set, m."""
        return math.hypot(self.anchor_x[-1], self.anchor_y[-1])

    @property
    def swing_radius(self) -> float:
        """The farthest that any part of the boat came from where the anchor was set, m."""
        return float(np.hypot(*positions(self, self.corners)).max())


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
    peak_load, peak_anchor_load, peak_uplift : quantity
        The greatest of all steps, which lie closer than the samples: load at the bow and at the anchor, and
        angle of the pull above the bottom.
    holding : quantity
        What the anchor holds, pulled along the bottom.
    swing_radius, drag_distance : quantity
        Farthest that any part of the boat came from where the anchor was set; how far from there the anchor
        ended.
    dragged : bool
        Whether the anchor ended a metre or more from where it was set.
    holding_used : float
        Greatest share of its holding that the anchor was asked for, 1 where it moved.
    rode, curve : Rode, Curve
        The rode as laid out, and its load by distance at rest.
    si : RunSI
        The same as SI floats: s, m, rad, N, m/s.

    Examples
    --------
    >>> from anchorsim import Scenario, simulate
    >>> run = simulate(Scenario().vary({"weather.duration": "60 s"}))
    >>> f"{run.swing_radius:.0f~P}", run.dragged, "bow_load" in dir(run)
    ('48 m', False, True)
    """

    scenario: Scenario
    seed: int
    si: RunSI
    rode: Rode
    curve: statics.Curve

    time = Amount("s")
    x = Amount("m")
    y = Amount("m")
    heading = Amount("radian")
    bow_load = Amount("N")
    anchor_load = Amount("N")
    angle_at_anchor = Amount("radian")
    wind_north = Amount("m/s")
    wind_east = Amount("m/s")
    wind_speed = Amount("m/s")
    wind_direction = Amount("radian")
    anchor_x = Amount("m")
    anchor_y = Amount("m")
    peak_load = Amount("N")
    peak_anchor_load = Amount("N")
    peak_uplift = Amount("radian")
    holding = Amount("N")
    swing_radius = Amount("m")
    drag_distance = Amount("m")

    def _title(self) -> str:
        return f"Run {self.seed}"

    def _facts(self) -> display.Facts:
        return [
            ("peak load at the bow", f"{self.si.peak_load / 1e3:.2g} kN"),
            ("at the anchor", f"{self.si.peak_anchor_load / 1e3:.2g} kN"),
            ("uplift", f"{math.degrees(self.si.peak_uplift):.0f}°"),
            ("swinging radius", f"{self.si.swing_radius:.2g} m"),
            ("drag", f"{self.si.drag_distance:.2g} m"),
            ("scenario", self.scenario.title),
        ]

    @property
    def dragged(self) -> bool:
        """Whether the anchor dragged: it ended ``DRAGS_FROM`` or more from where it was set."""
        return self.si.drag_distance >= DRAGS_FROM

    @property
    def holding_used(self) -> float:
        """The greatest share, in any sample, that the load at the anchor was of what it holds at that uplift;
        1 where the anchor moved at all, for it carries no more."""
        found = self.si
        if found.anchor_x[-1] or found.anchor_y[-1]:
            return 1.0
        holds = found.holding * np.interp(found.angle_at_anchor, *site.uplift_table().T)
        return float((found.anchor_load / np.maximum(holds, 1e-9)).max())


def positions(track: Track, points: Floats, every: int = 1) -> tuple[Floats, Floats]:
    """North and east (m) of points of the boat at one sample in ``every``, (samples, points).

    ``points``: (n, 2) metres ahead of amidships and to starboard.
    """
    x, y, heading = (column[::every, None] for column in (track.x, track.y, track.heading))
    cosine, sine = np.cos(heading), np.sin(heading)
    north = x + cosine * points[:, 0] - sine * points[:, 1]
    east = y + sine * points[:, 0] + cosine * points[:, 1]
    return north, east
