"""The line at rest, as plain floats and as points to draw."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from anchorsim.core.display import Facts, Tabled
from anchorsim.mooring.curve_kernel import Floats

Integers = npt.NDArray[np.int64]


@dataclass(frozen=True, repr=False)
class LineState(Tabled):
    """The line at rest, plain floats.

    Attributes
    ----------
    distance : float
        Horizontal, from anchor to bow, m.
    load_at_bow, load_at_anchor : float
        Tension, N.
    angle_at_anchor : float
        Of the pull above the bottom's slope, rad.
    vertical_load_at_bow : float
        N.
    length_on_bottom : float
        Unstretched, m.
    horizontal_load : float
        N.

    Examples
    --------
    >>> from anchorsim import line
    >>> chain = line.Segment(length=40.0, weight=13.6, stiffness=5.5e6)
    >>> line.solve(segments=[chain], rise=7.0, horizontal_load=2000.0)
    <LineState: distance 39.3 m, load at bow 2.1 kN, load at anchor 2 kN, angle 2.48°, on bottom 0 m>
    """

    distance: float
    load_at_bow: float
    load_at_anchor: float
    angle_at_anchor: float
    vertical_load_at_bow: float
    length_on_bottom: float
    horizontal_load: float

    def _facts(self) -> Facts:
        return [
            ("distance", f"{self.distance:.3g} m"),
            ("load at bow", f"{self.load_at_bow / 1e3:.3g} kN"),
            ("load at anchor", f"{self.load_at_anchor / 1e3:.3g} kN"),
            ("angle", f"{math.degrees(self.angle_at_anchor):.3g}°"),
            ("on bottom", f"{self.length_on_bottom:.3g} m"),
        ]


@dataclass(frozen=True, eq=False, repr=False)
class Shape(Tabled):
    """Points of the line from anchor (0, 0) to bow.

    Attributes
    ----------
    x, z : (points,) or (loads, points) float64 array
        Horizontally from the anchor, and height above it, m.
    segment : (points,) or (loads, points) int64 array
        Which segment a point is of; a joint's point belongs to the segment below.

    Examples
    --------
    >>> from anchorsim import line
    >>> chain = line.Segment(length=40.0, weight=13.6, stiffness=5.5e6)
    >>> line.Line((chain,), rise=7.0).shape(2000.0, points=30)
    <Shape: points 30, from anchor to bow 39.3 m, up 7 m>
    """

    x: Floats
    z: Floats
    segment: Integers

    def _facts(self) -> Facts:
        away, up = (float(np.ptp(axis)) for axis in (self.x, self.z))
        size = " × ".join(map(str, self.x.shape))
        return [("points", size), ("from anchor to bow", f"{away:.3g} m"), ("up", f"{up:.3g} m")]
