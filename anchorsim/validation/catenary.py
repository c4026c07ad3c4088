"""The rode at rest a second way, to lay beside ``line``: in closed form, and by quadrature.

Nothing here uses the equations or the solver of ``line``; SciPy finds the one unknown.  Plain SI floats; all
is under water, and the bottom is flat and without friction.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import PchipInterpolator
from scipy.optimize import brentq

from anchorsim.core.arguments import refused
from anchorsim.mooring.rode import assemble
from anchorsim.mooring.statics import Line, LoadElongation, Segment
from anchorsim.scenario.scenario import Scenario

Floats = NDArray[np.float64]
Drawn = tuple[Floats, Floats]  # distance from the anchor and height over the bottom, m

_POINTS = 4001  # of a shape
_MOST = 1e7  # N, of the pull up on an anchor: far beyond any here
SHORT = {"tackle.snubber.length": "0 m", "spot.depth": "6 m", "tackle.scope": 5}
RODES = {
    "8 mm chain": {**SHORT, "tackle.chain.length": "80 m"},
    "10 m chain and rope": {**SHORT, "tackle.chain.length": "10 m", "tackle.rope.length": "60 m"},
}
LOADS = (300.0, 1000.0, 4000.0)  # N


@dataclass(frozen=True)
class AtRest:
    """One rode under one horizontal load (N) by ``line`` and a second way; ``method`` names that.

    ``gap`` is the greatest distance (m) between the two, up and down, and ``reach`` how far (m) the bow of
    ours is beyond that of the other.
    """

    rode: str
    method: str
    load: float
    ours: Drawn
    other: Drawn

    @property
    def gap(self) -> float:
        """m, at the most."""
        return float(np.abs(self.ours[1] - np.interp(self.ours[0], *self.other)).max())

    @property
    def reach(self) -> float:
        """m."""
        return float(self.ours[0][-1] - self.other[0][-1])


def at_rest() -> list[AtRest]:
    """Each rode of ``RODES`` under each of ``LOADS``: chain in closed form, chain and rope by quadrature."""
    found = []
    for name, changes in RODES.items():
        rode = assemble(Scenario().vary(changes))
        for load in LOADS:
            shape = Line(rode.segments, rode.rise).shape(load, points=300).si
            if len(rode.segments) == 1:
                method, other = "closed form", elastic_catenary(rode.segments[0], rode.rise, load)
            else:
                method, other = "quadrature", by_quadrature(rode.segments, rode.rise, load)
            found.append(AtRest(name, method, load, (shape.x, shape.z), other))
    return found


def elastic_catenary(segment: Segment, rise: float, load: float) -> Drawn:
    """A uniform chain between the bottom and a roller ``rise`` m above it, under a horizontal load (N).

    x = Hs/EA + (H/w)[asinh((V + ws)/H) − asinh(V/H)], z = s(V + ws/2)/EA + (H/w)[√(1 + ((V + ws)/H)²) −
    √(1 + (V/H)²)] with V the vertical load where it leaves the bottom (Irvine 1981, Cable Structures, from
    memory).  Raises ValueError for a segment that has a law instead of a stiffness.
    """
    if segment.stiffness is None:
        raise refused("segment", "has a law", "a stiffness", "take by_quadrature")
    weight, stiffness, length = segment.weight, segment.stiffness, segment.length

    def place(s: Floats | float, vertical: float) -> tuple[Floats, Floats]:
        low, high = vertical / load, (vertical + weight * np.asarray(s)) / load
        x = load * s / stiffness + load / weight * (np.arcsinh(high) - np.arcsinh(low))
        z = s * (vertical + 0.5 * weight * s) / stiffness
        return x, z + load / weight * (np.hypot(1.0, high) - np.hypot(1.0, low))

    def missing(hangs: float, vertical: float) -> float:
        return float(place(hangs, vertical)[1]) - rise

    if missing(length, 0.0) >= 0.0:
        hangs, vertical = brentq(missing, 0.0, length, args=(0.0,), xtol=1e-12), 0.0
    else:
        hangs, vertical = length, brentq(lambda v: missing(length, v), 0.0, _MOST, xtol=1e-9)
    lies = (length - hangs) * (1.0 + load / stiffness)
    x, z = place(np.linspace(0.0, hangs, _POINTS), vertical)
    return np.concatenate([[0.0], lies + x]), np.concatenate([[0.0], z])


def by_quadrature(segments: Sequence[Segment], rise: float, load: float) -> Drawn:
    """Any rode of segments: dx/ds = (1 + ε)H/T and dz/ds = (1 + ε)V/T summed by the midpoint rule.

    A rope's strain ε is that of its law at the tension of each piece, by SciPy's monotone cubics; ``line``
    takes it at the mean tension of each part, so that a small gap is to be expected.
    """
    total = sum(segment.length for segment in segments)
    joints = np.cumsum([segment.length for segment in segments])
    s = np.linspace(0.0, total, _POINTS)
    middle, step = 0.5 * (s[1:] + s[:-1]), total / (_POINTS - 1)
    which = np.searchsorted(joints, middle)
    weights = np.array([segment.weight for segment in segments])[which]
    strains = [_strain(segment) for segment in segments]

    def drawn(unknown: float) -> Drawn:
        """For −unknown metres that lie, or an anchor that is pulled up by ``unknown`` N."""
        hangs = np.clip(s[1:] + min(unknown, 0.0), 0.0, step) * weights  # N, of each piece
        vertical = max(unknown, 0.0) + np.cumsum(hangs) - 0.5 * hangs
        tension = np.hypot(load, vertical)
        stretch = np.empty_like(tension)
        for k, strain in enumerate(strains):
            stretch[which == k] = strain(tension[which == k])
        x, z = ((1.0 + stretch) * part / tension * step for part in (np.full_like(tension, load), vertical))
        return np.append(0.0, np.cumsum(x)), np.append(0.0, np.cumsum(z))

    return drawn(brentq(lambda unknown: float(drawn(unknown)[1][-1]) - rise, -total, _MOST, xtol=1e-9))


def _strain(segment: Segment) -> Callable[[Floats], Floats]:
    law, stiffness = segment.law, segment.stiffness
    if law is None:
        return lambda tension: tension / float(stiffness or np.inf)
    return _of_law(law)


def _of_law(law: LoadElongation) -> Callable[[Floats], Floats]:
    cubic = PchipInterpolator(law.load, law.strain)
    return lambda tension: np.asarray(cubic(tension))
