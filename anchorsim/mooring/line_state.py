"""The line at rest: its loads and lengths, and points to draw."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from anchorsim.core.amount import Amount
from anchorsim.core.display import Facts, Tabled
from anchorsim.mooring.curve_kernel import Floats

Integers = npt.NDArray[np.int64]


@dataclass(frozen=True)
class LineStateSI:
    """The line at rest in SI floats: see :class:`LineState`; m, N, rad."""

    distance: float
    load_at_bow: float
    load_at_anchor: float
    angle_at_anchor: float
    vertical_load_at_bow: float
    length_on_bottom: float
    horizontal_load: float


@dataclass(frozen=True, repr=False)
class LineState(Tabled):
    """The line at rest.

    Attributes
    ----------
    distance : quantity
        Horizontal, from anchor to bow.
    load_at_bow, load_at_anchor : quantity
        Tension.
    angle_at_anchor : quantity
        Of the pull above the bottom's slope.
    vertical_load_at_bow, horizontal_load : quantity
        The parts of the tension.
    length_on_bottom : quantity
        Unstretched.
    si : LineStateSI
        The same as SI floats: m, N, rad.

    Examples
    --------
    >>> from anchorsim import line
    >>> chain = line.Segment(length=40.0, weight=13.6, stiffness=5.5e6)
    >>> line.solve(segments=[chain], rise=7.0, horizontal_load=2000.0)
    <LineState: distance 39.3 m, load at bow 2.1 kN, load at anchor 2 kN, angle 2.48°, on bottom 0 m>
    """

    si: LineStateSI

    distance = Amount("m")
    load_at_bow = Amount("N")
    load_at_anchor = Amount("N")
    angle_at_anchor = Amount("radian")
    vertical_load_at_bow = Amount("N")
    length_on_bottom = Amount("m")
    horizontal_load = Amount("N")

    def _facts(self) -> Facts:
        return [
            ("distance", f"{self.si.distance:.3g} m"),
            ("load at bow", f"{self.si.load_at_bow / 1e3:.3g} kN"),
            ("load at anchor", f"{self.si.load_at_anchor / 1e3:.3g} kN"),
            ("angle", f"{math.degrees(self.si.angle_at_anchor):.3g}°"),
            ("on bottom", f"{self.si.length_on_bottom:.3g} m"),
        ]


@dataclass(frozen=True, eq=False)
class ShapeSI:
    """Points of the line in SI floats: see :class:`Shape`; m."""

    x: Floats
    z: Floats
    segment: Integers


@dataclass(frozen=True, eq=False, repr=False)
class Shape(Tabled):
    """Points of the line from anchor (0, 0) to bow.

    Attributes
    ----------
    x, z : quantity
        Horizontally from the anchor, and height above it: arrays of shape (points,) or (loads, points).
    segment : (points,) or (loads, points) int64 array
        Which segment a point is of; a joint's point belongs to the segment below.
    si : ShapeSI
        The same as SI floats: m.

    Examples
    --------
    >>> from anchorsim import line
    >>> chain = line.Segment(length=40.0, weight=13.6, stiffness=5.5e6)
    >>> line.Line((chain,), rise=7.0).shape(2000.0, points=30)
    <Shape: points 30, from anchor to bow 39.3 m, up 7 m>
    """

    si: ShapeSI

    x = Amount("m")
    z = Amount("m")

    @property
    def segment(self) -> Integers:
        """Which segment each point is of."""
        return self.si.segment

    def _facts(self) -> Facts:
        away, up = (float(np.ptp(axis)) for axis in (self.si.x, self.si.z))
        size = " × ".join(map(str, self.si.x.shape))
        return [("points", size), ("from anchor to bow", f"{away:.3g} m"), ("up", f"{up:.3g} m")]
