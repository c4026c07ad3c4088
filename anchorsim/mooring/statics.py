"""The rode at rest: statics of a composite mooring line on a plane bottom, in plain SI floats.

Segments run from the anchor to the bow. Each hangs as an elastic catenary between the horizontal load, which
is the same everywhere, and its own vertical load (equations in `line_kernel`); what is too heavy to hang lies
on the bottom, where friction and its own weight along a slope take load off it. One unknown settles it all:
the vertical load at the anchor, or the weight that hangs; the bow's height grows with it. No dynamics of the
line, no current drag on it.

Where we deviate from the plain elastic catenary: a nonlinear rope stretches evenly, by its law at the mean
tension of the part (its lying part, and its parts under and above water, each by itself).
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from anchorsim.core import arguments
from anchorsim.core.display import Facts, Tabled
from anchorsim.core.errors import sentence
from anchorsim.mooring import curve_kernel as rows
from anchorsim.mooring import line_kernel as kernel
from anchorsim.mooring.curve import Curve, CurveSI
from anchorsim.mooring.curve_kernel import Floats, look_up
from anchorsim.mooring.line_state import LineState, LineStateSI, Shape, ShapeSI
from anchorsim.mooring.material import LoadElongation, Segment, pack

__all__ = [
    "Curve", "Line", "LineState", "LoadElongation", "Segment", "Shape", "curve", "look_up", "solve",
]  # fmt: skip

_FILM = 1e-3  # m: less water than that is none
_LOAD = "a load of 0 N or more"
_STEEPEST = 0.75  # radians of slope of the bottom, up or down: more than any anchorage has (judgement)


@dataclass(frozen=True, repr=False)
class Line(Tabled):
    """A line from the anchor to a bow roller, in plain SI floats.

    Whatever is asked of it raises ArgumentError with the path of a field that does not fit, and RuntimeError
    where no state of rest is found.

    Attributes
    ----------
    segments : tuple of Segment
        From the anchor to the bow.
    rise : float
        Height of the bow roller above the bottom at the anchor, m.
    friction : float
        Coefficient, of what lies on the bottom.
    depth : float, optional
        Height of the water surface above the bottom at the anchor, m; all is under water unless given.
    slope : float
        Angle at which the bottom rises from the anchor towards the boat, rad; below 0 it falls.

    Examples
    --------
    >>> chain = Segment(length=40.0, weight=13.6, stiffness=5.5e6)
    >>> line = Line((chain,), rise=7.0, friction=0.6)
    >>> f"{line.solve(2000.0).load_at_bow:.0f~P}, {line.solve_at_distance(38.0).horizontal_load:.0f~P}"
    '2097 N, 231 N'
    """

    segments: tuple[Segment, ...]
    rise: float
    friction: float = 0.0
    depth: float | None = None
    slope: float = 0.0

    def __post_init__(self) -> None:
        """Keep a plain tuple, whatever sequence was given."""
        object.__setattr__(self, "segments", _several(self.segments))

    def _facts(self) -> Facts:
        wet = "all under water" if self.depth is None else f"{self.depth:.3g} m of water"
        length = sum(segment.length for segment in self.segments)
        return [
            ("segments", str(len(self.segments))),
            ("length", f"{length:.4g} m"),
            ("rise", f"{self.rise:.3g} m"),
            ("friction", f"{self.friction:.2g}"),
            ("slope", f"{math.degrees(self.slope):.2g}°"),
            ("in", wet),
        ]

    def packed(self) -> tuple[kernel.Spot, kernel.Line]:
        """The kernel's spot and line, all checked; the depth is infinite where all is under water."""
        rode, laws = pack(self.segments)
        length = float(rode[-1, kernel.JOINT])
        height = arguments.positive("rise", self.rise, "a height of the bow roller above 0 m")
        if length < height:
            wrong, fits = f"the rode of {length:g} m does not reach", f"at least the rise, {height:g} m"
            raise arguments.refused("rise", wrong, fits, "let out more")
        rub = arguments.within("friction", self.friction, "a coefficient of friction, 0 or more", 0.0)
        wet = self.depth is not None
        surface = arguments.within("depth", self.depth, "0 m of water or more", 0.0) if wet else math.inf
        if surface < _FILM:  # a dry bottom: what lies on it weighs what it does in air, as what hangs
            rode = rode.copy()
            rode[:, kernel.WEIGHT], surface = rode[:, kernel.IN_AIR], math.inf
        steep = arguments.within("slope", self.slope, f"{-_STEEPEST:g} rad or more", -_STEEPEST)
        most = min(math.asin(min(height, surface) / length), _STEEPEST)
        if steep >= most:
            wrong = f"at {steep:.4g} rad the bottom comes up to the surface or the bow roller within the rode"
            raise arguments.refused("slope", wrong, f"less than {most:.4g} rad", "let out less")
        weight = float(rode[:, kernel.WEIGHT] @ rode[:, kernel.LENGTH])
        return (height, surface, rub, length, weight, math.cos(steep), math.sin(steep)), (rode, laws)

    def solve(self, horizontal_load: float) -> LineState:
        """The line under a ``horizontal_load`` (N)."""
        spot, line = self.packed()
        load = arguments.within("horizontal_load", horizontal_load, _LOAD, 0.0)
        out = np.empty(kernel.SOLVED)
        kernel.node(out, np.empty(kernel.STATE), max(load, kernel.LEAST_LOAD), False, 0.0, False, spot, line)
        return as_state(out)

    def solve_at_distance(self, distance: float) -> LineState:
        """The line with the bow at a horizontal ``distance`` (m) from the anchor: the inverse of `solve`.

        Nearer than where the rode hangs upright, nothing pulls: the state of no load, at the distance given.
        """
        spot, line = self.packed()
        wanted = arguments.within("distance", distance, "a distance of 0 m or more", 0.0)
        out, s = np.zeros(kernel.SOLVED), np.empty(kernel.STATE)

        def excess(load: float) -> float:
            lifted, unknown = bool(out[kernel.LIFTED]), float(out[kernel.UNKNOWN])
            kernel.node(out, s, load, lifted, unknown, False, spot, line)
            return float(out[rows.DISTANCE]) - wanted

        low, high, load, step = kernel.LEAST_LOAD, math.inf, rows.FIRST_LOAD, math.inf
        if excess(low) >= 0.0:
            out[rows.DISTANCE] = wanted
            return as_state(out)
        for _ in range(kernel.TRIES):
            miss = excess(load)
            low, high = (load, high) if miss < 0.0 else (low, load)
            was, step = step, -miss * float(out[rows.STIFFNESS])
            if abs(miss) <= 1e-15 * wanted or abs(step) <= 2e-16 * load:
                break
            if high == math.inf:
                step = min(step, 9.0 * load)
            elif not low < load + step < high or abs(step) > 0.5 * abs(was):
                step = math.sqrt(low * high) - load
            if load + step in (load, low, high):
                break
            load += step
        else:
            out[kernel.UNSOLVED] = 1.0
        return as_state(out)

    def curve(self) -> Curve:
        """Load against distance, 0 to 250 kN, as the boat's motion looks it up."""
        spot, line = self.packed()
        nodes = np.zeros((rows.NODES, kernel.SOLVED))
        kernel.tabulate(nodes, np.empty(kernel.STATE), spot, line)
        for node in nodes:
            _found(node)
        packed = np.ascontiguousarray(nodes[np.argsort(nodes[:, rows.LOAD]), : rows.ROWS].T)
        packed[rows.LOAD, 0] = 0.0
        distance = packed[rows.DISTANCE]
        if (np.diff(distance) <= 0.0).any():  # a rope neutral in water, all but slack: in the last digits
            ramp = np.linspace(0.0, 1e-10 * distance[-1], rows.NODES)
            distance[:] = np.minimum.accumulate(distance[::-1])[::-1] + ramp
        # no slope over three times a neighbouring secant keeps every cubic monotone (Fritsch & Carlson 1980)
        wide = np.diff(distance)
        steep = 3.0 * np.diff(packed[rows.LOAD]) / wide
        stiff = packed[rows.STIFFNESS]
        stiff[:-1] = np.minimum(stiff[:-1], steep)
        stiff[1:] = np.minimum(stiff[1:], steep)
        load = packed[rows.LOAD]
        work = wide * (0.5 * (load[:-1] + load[1:]) + wide * (stiff[:-1] - stiff[1:]) / 12.0)
        packed[rows.ENERGY, 1:] = np.cumsum(work)
        return Curve(CurveSI(packed))

    def shape(self, horizontal_load: float, points: int = 60) -> Shape:
        """The line's shape under a ``horizontal_load`` (N), in ``points``: four to a segment or more."""
        load = arguments.within("horizontal_load", horizontal_load, _LOAD, 0.0)
        many = self.shapes((load,), points).si
        return Shape(ShapeSI(many.x[0], many.z[0], many.segment[0]))

    def shapes(self, horizontal_loads: Iterable[float], points: int = 60) -> Shape:
        """The line's shapes under many ``horizontal_loads`` (N): arrays of shape (loads, ``points``)."""
        spot, line = self.packed()
        arguments.count("points", points, 4 * len(self.segments))  # to see how each hangs
        loads = [
            arguments.within(f"horizontal_loads[{n}]", load, _LOAD, 0.0)
            for n, load in enumerate(arguments.sequence("horizontal_loads", horizontal_loads, "loads"))
        ]
        out, s, size = np.zeros(kernel.SOLVED), np.empty(kernel.STATE), (len(loads), points)
        x, z, segment = np.empty(size), np.empty(size), np.empty(size, np.int64)
        joints = line[0][:, kernel.JOINT]
        for n, load in enumerate(loads):
            lifted, unknown = bool(out[kernel.LIFTED]), float(out[kernel.UNKNOWN])
            kernel.node(out, s, max(load, kernel.LEAST_LOAD), lifted, unknown, False, spot, line)
            _found(out)
            arc = along(joints, float(out[rows.LYING]), points)
            kernel.draw(x[n], z[n], arc, s, out, spot, line)
            segment[n] = np.searchsorted(joints[:-1], arc)
        return Shape(ShapeSI(x, z, segment))


def solve(
    *,
    segments: Sequence[Segment],
    rise: float,
    horizontal_load: float,
    friction: float = 0.0,
    depth: float | None = None,
    slope: float = 0.0,
) -> LineState:
    """Find the line at rest under a horizontal load.

    Parameters
    ----------
    segments : sequence of Segment
        From the anchor to the bow.
    rise : float
        Height of the bow roller above the bottom at the anchor, m.
    horizontal_load : float
        The same all along it, N.
    friction : float
        Coefficient, of what lies on the bottom.
    depth : float, optional
        Height of the water surface above the bottom at the anchor, m; all is under water unless given.
    slope : float
        Angle at which the bottom rises from the anchor towards the boat, rad; below 0 it falls.

    Returns
    -------
    LineState
        Distance, loads, angle and length on the bottom.

    Raises
    ------
    ArgumentError
        With the path of the field that does not fit.
    RuntimeError
        Where no state of rest is found.

    Notes
    -----
    The elastic catenary (Irvine 1981, Cable Structures, from memory); a rope with a law stretches evenly, by
    its law at the mean tension of the part.

    Examples
    --------
    >>> chain = Segment(length=40.0, weight=13.6, stiffness=5.5e6)
    >>> found = solve(segments=[chain], rise=7.0, horizontal_load=1000.0, friction=0.6)
    >>> f"{found.distance:.1f~P}, {found.length_on_bottom:.1f~P} lying, {found.load_at_bow:.0f~P}"
    '39.0 m, 7.2 m lying, 1095 N'
    """
    return Line(_several(segments), rise, friction, depth, slope).solve(horizontal_load)


def curve(
    *,
    segments: Sequence[Segment],
    rise: float,
    friction: float = 0.0,
    depth: float | None = None,
    slope: float = 0.0,
) -> Curve:
    """Tabulate load against distance.

    Parameters
    ----------
    segments : sequence of Segment
        From the anchor to the bow.
    rise : float
        Height of the bow roller above the bottom at the anchor, m.
    friction : float
        Coefficient, of what lies on the bottom.
    depth : float, optional
        Height of the water surface above the bottom at the anchor, m; all is under water unless given.
    slope : float
        Angle at which the bottom rises from the anchor towards the boat, rad; below 0 it falls.

    Returns
    -------
    Curve
        From hanging slack to 250 kN.

    Raises
    ------
    ArgumentError
        With the path of the field that does not fit.
    RuntimeError
        Where no state of rest is found.

    Notes
    -----
    Between the nodes the horizontal load is a monotone cubic of distance (Fritsch & Carlson 1980, SIAM J.
    Numer. Anal. 17, 238–246).

    Examples
    --------
    >>> chain = Segment(length=40.0, weight=13.6, stiffness=5.5e6)
    >>> table = curve(segments=[chain], rise=7.0)
    >>> f"{table.look_up('39.2 m')[0]:.0f~P}"
    '1546 N'
    """
    return Line(_several(segments), rise, friction, depth, slope).curve()


def _several(segments: Sequence[Segment]) -> tuple[Segment, ...]:
    return tuple(arguments.sequence("segments", segments, "segments"))


def as_state(out: Floats) -> LineState:
    """A solved node as a result; a load too small to be one is none."""
    _found(out)
    load = float(out[rows.LOAD])
    return LineState(
        LineStateSI(
            distance=float(out[rows.DISTANCE]),
            load_at_bow=float(out[rows.AT_BOW]),
            load_at_anchor=float(out[rows.AT_ANCHOR]),
            angle_at_anchor=float(out[rows.ANGLE]),
            vertical_load_at_bow=float(out[kernel.UPRIGHT]),
            length_on_bottom=float(out[rows.LYING]),
            horizontal_load=load if load > kernel.LEAST_LOAD else 0.0,
        )
    )


def _found(out: Floats) -> None:
    if out[kernel.UNSOLVED]:
        wrong = f"the line at rest under {out[rows.LOAD]:.4g} N was not found in {kernel.TRIES} steps"
        fits = "lengths, weights and stretch that lead to one"
        raise RuntimeError(sentence(wrong, fits, "change one of them a little"))


def along(joints: Floats, lying: float, points: int) -> Floats:
    """Lengths from the anchor (m, unstretched) at which to draw: few on the bottom, the joints among them."""
    total = float(joints[-1])
    flat = min(max(round(points * lying / total), 1), points // 3) if lying > 0.0 else 0
    arc = np.concatenate(
        (np.linspace(0.0, lying, flat, endpoint=False), np.linspace(lying, total, points - flat))
    )
    for joint in joints[:-1]:
        nearest = int(np.argmin(np.abs(arc - joint)))
        if nearest not in (0, flat, points - 1):
            arc[nearest] = joint
    return arc
