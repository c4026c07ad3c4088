"""Load against distance of a line at rest, tabulated, and how it is read between the nodes."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from anchorsim.core import arguments
from anchorsim.core.amount import Amount
from anchorsim.core.display import Facts, Tabled
from anchorsim.core.units import Quantity, quantity
from anchorsim.mooring import curve_kernel as rows
from anchorsim.mooring.curve_kernel import Floats, look_up


@dataclass(frozen=True, eq=False)
class CurveSI:
    """Load against distance in SI floats: see :class:`Curve`; m, N, N/m, rad.

    ``packed``, (9, 129) and not to be written to, has it in rows: distance, horizontal load, its slope, load
    at bow, load at anchor, angle, rope share, length on bottom, and energy (the integral of the horizontal
    load from the first node, J).
    """

    packed: Floats

    def row(self, number: int) -> Floats:
        """The row of `packed` of a ``number``, (129,), not to be written to."""
        view: Floats = self.packed[number]
        view.flags.writeable = False
        return view

    @property
    def distance(self) -> Floats:
        """Horizontal distance from anchor to bow, m, strictly growing."""
        return self.row(rows.DISTANCE)

    @property
    def horizontal_load(self) -> Floats:
        """N, strictly growing from 0 to 250 kN."""
        return self.row(rows.LOAD)

    @property
    def stiffness(self) -> Floats:
        """Slope of the horizontal load by distance at the nodes, N/m."""
        return self.row(rows.STIFFNESS)

    @property
    def load_at_bow(self) -> Floats:
        """Tension at the bow, N."""
        return self.row(rows.AT_BOW)

    @property
    def load_at_anchor(self) -> Floats:
        """Tension at the anchor, N."""
        return self.row(rows.AT_ANCHOR)

    @property
    def angle_at_anchor(self) -> Floats:
        """Angle of the pull at the anchor above the bottom, radians."""
        return self.row(rows.ANGLE)

    @property
    def rope_share(self) -> Floats:
        """Loss-weighted share of lossy rope stretch in the compliance, 0 to 1."""
        return self.row(rows.SHARE)

    @property
    def length_on_bottom(self) -> Floats:
        """Unstretched length lying, m."""
        return self.row(rows.LYING)

    def look_up(self, distance: float) -> tuple[float, float, float, float, float, float, float]:
        """At a ``distance`` (m), in this order: horizontal load, load at bow and at anchor (N), angle (rad),
        rope share, length lying (m), stiffness (N/m)."""
        return look_up(self.packed, distance)

    def energy(self, distance: float) -> float:
        """Integral of the interpolated horizontal load from slack to a ``distance`` (m), J."""
        at, load, slope = self.distance, self.horizontal_load, self.stiffness
        if distance <= at[0]:
            return 0.0
        i = int(np.searchsorted(at, distance, side="right")) - 1
        step = distance - float(at[i])
        if i == len(at) - 1:
            return float(self.packed[rows.ENERGY, i] + step * (load[i] + 0.5 * step * slope[i]))
        wide = float(at[i + 1] - at[i])
        gain, a, b = load[i + 1] - load[i], slope[i] * wide, slope[i + 1] * wide
        t = step / wide
        cubes = t * t * (0.5 * a + t * ((3.0 * gain - 2.0 * a - b) / 3.0 + t * (a + b - 2.0 * gain) / 4.0))
        return float(self.packed[rows.ENERGY, i] + step * load[i] + wide * cubes)


@dataclass(frozen=True, eq=False, repr=False)
class Curve(Tabled):
    """Load against distance, from hanging slack to bar-tight: arrays of 129 nodes.

    The first node is the rode hanging upright; nearer than that it just lies about, and nothing pulls.

    Attributes
    ----------
    distance : quantity
        Horizontal, from anchor to bow, strictly growing.
    horizontal_load : quantity
        Strictly growing from 0 to 250 kN.
    stiffness : quantity
        Slope of the horizontal load by distance.
    load_at_bow, load_at_anchor : quantity
        Tension.
    angle_at_anchor : quantity
        Of the pull above the bottom.
    length_on_bottom : quantity
        Unstretched.
    rope_share : (129,) float64 array, read-only
        Part of the compliance that comes from the stretch of lossy ropes, times their loss, 0 to 1.
    si : CurveSI
        The same as SI floats: m, N, N/m, rad.

    Examples
    --------
    >>> from anchorsim import line
    >>> line.curve(segments=[line.Segment(length=40.0, weight=13.6, stiffness=5.5e6)], rise=7.0)
    <Curve: distance 33 to 41.3 m, load to 250 kN>
    """

    si: CurveSI

    distance = Amount("m")
    horizontal_load = Amount("N")
    stiffness = Amount("N/m")
    load_at_bow = Amount("N")
    load_at_anchor = Amount("N")
    angle_at_anchor = Amount("radian")
    length_on_bottom = Amount("m")

    @property
    def rope_share(self) -> Floats:
        """Loss-weighted share of lossy rope stretch in the compliance, 0 to 1."""
        return self.si.rope_share

    def _facts(self) -> Facts:
        near, far = (float(end) for end in self.si.distance[[0, -1]])
        return [
            ("distance", f"{near:.3g} to {far:.3g} m"),
            ("load to", f"{self.si.horizontal_load[-1] / 1e3:.3g} kN"),
        ]

    def look_up(self, distance: float | str | Quantity) -> tuple[Quantity | float, ...]:
        """At a ``distance`` (m, or with its unit), in this order: horizontal load, load at bow and at anchor,
        angle, rope share (a number), length lying, stiffness."""
        found = self.si.look_up(arguments.number("distance", distance, "a distance in metres", "m"))
        units = ("N", "N", "N", "radian", "", "m", "N/m")
        return tuple(quantity(each, unit) if unit else each for each, unit in zip(found, units, strict=True))

    def energy(self, distance: float | str | Quantity) -> Quantity:
        """Integral of the horizontal load from slack to a ``distance`` (m, or with its unit)."""
        return quantity(
            self.si.energy(arguments.number("distance", distance, "a distance in metres", "m")), "J"
        )
