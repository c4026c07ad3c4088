"""What a line is made of: segments and ropes' stretch laws, their checks, and their tables for the kernel."""

from __future__ import annotations

import math
from bisect import bisect_right
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

import numpy as np

from anchorsim.core import arguments
from anchorsim.core.display import Facts, Tabled
from anchorsim.mooring.curve_kernel import Floats
from anchorsim.mooring.line_kernel import COLUMNS, JOINT, LENGTH, Line, strain_at

Node = tuple[
    float, float, float, float
]  # load, strain, slopes at both ends of the interval that begins there
PIECES = 8  # cubics to each interval of a law, from where the chain behind a snubber takes up


@dataclass(frozen=True, repr=False)
class LoadElongation(Tabled):
    """A rope's nonlinear stretch: strain against load, by monotone cubics.

    Beyond the last point it goes on with its last slope.

    Attributes
    ----------
    load : tuple of float
        From 0 and growing, N.
    strain : tuple of float
        One for each load, from 0 and growing.
    loss : float
        Share of the loading energy that a cycle loses, 0 to 1.

    Raises
    ------
    ArgumentError
        Where one is not a list of numbers; what else does not fit is told by the line that it is in.

    Examples
    --------
    >>> LoadElongation(load=(0.0, 8e3, 40e3), strain=(0.0, 0.21, 0.47), loss=0.3)
    <LoadElongation: points 3, load to 40 kN, strain to 0.47, loss 0.3>
    """

    load: tuple[float, ...]
    strain: tuple[float, ...]
    loss: float = 0.0

    def __post_init__(self) -> None:
        """Keep plain tuples of floats, whatever sequence was given."""
        for name, what in (("load", "loads in newtons"), ("strain", "strains")):
            given = enumerate(arguments.sequence(name, getattr(self, name), what))
            values = tuple(
                arguments.number(f"{name}[{place}]", value, f"one of {what}") for place, value in given
            )
            object.__setattr__(self, name, values)

    def _facts(self) -> Facts:
        return [
            ("points", str(len(self.load))),
            ("load to", f"{max(self.load, default=0.0) / 1e3:.3g} kN"),
            ("strain to", f"{max(self.strain, default=0.0):.3g}"),
            ("loss", f"{self.loss}"),
        ]


@dataclass(frozen=True, repr=False)
class Segment(Tabled):
    """A uniform length of chain or rope, or a snubber with its slack loop of chain.

    Attributes
    ----------
    length : float
        Unstretched, m.
    weight : float
        In water, N/m.
    stiffness : float, optional
        EA, N; or else a law.
    law : LoadElongation, optional
        Of a rope that stretches nonlinearly.
    weight_in_air : float, optional
        Above the surface, N/m; as in water unless given.
    slack : float, optional
        Of chain looped behind a rope that has a law, m: the rope carries alone until it has stretched by that
        much, then beside it the chain, which is ``length + slack`` long.
    backup_stiffness : float, optional
        EA of that chain, N.
    drag_across, drag_along : float
        Drag coefficient times diameter of what moves across and along itself, m; they count in motion only.

    Examples
    --------
    >>> Segment(length=40.0, weight=13.6, stiffness=5.5e6)
    <Segment: length 40 m, weight in water 13.6 N/m, stiffness 5500 kN>
    """

    length: float
    weight: float
    stiffness: float | None = None
    law: LoadElongation | None = None
    weight_in_air: float | None = None
    slack: float | None = None
    backup_stiffness: float | None = None
    drag_across: float = 0.0
    drag_along: float = 0.0

    def _facts(self) -> Facts:
        stretch = f"{self.stiffness / 1e3:.4g} kN" if self.stiffness is not None else "by a law"
        loop = [] if self.slack is None else [("loop of chain behind it", f"{self.slack:.3g} m longer")]
        return [
            ("length", f"{self.length:.4g} m"),
            ("weight in water", f"{self.weight:.3g} N/m"),
            ("stiffness", stretch),
            *loop,
        ]


@lru_cache(maxsize=256)
def pack(segments: tuple[Segment, ...]) -> Line:
    """The kernel's `rode` (segments, columns) and `laws` (nodes, 4), checked."""
    if not segments:
        raise arguments.refused("segments", "none given", "at least one", "add a segment")
    rode = np.zeros((len(segments), COLUMNS))
    laws: list[Node] = []
    for i, segment in enumerate(segments):
        rode[i, :JOINT] = row(f"segments[{i}]", segment, laws)
    rode[:, JOINT] = np.cumsum(rode[:, LENGTH])
    return rode, np.array(laws or [(0.0, 0.0, 0.0, 0.0)])


def row(field: str, segment: Segment, laws: list[Node]) -> tuple[float, ...]:
    """One checked row of `rode`, but its joint; a law's nodes are put at the end of `laws`."""
    arguments.instance(field, segment, Segment, "make one with line.Segment")
    length = arguments.positive(f"{field}.length", segment.length, "a length above 0 m")
    weight = arguments.within(f"{field}.weight", segment.weight, "a weight in water of 0 N/m or more", 0.0)
    in_air = weight
    if segment.weight_in_air is not None:
        fits = f"at least the weight in water, {weight:g} N/m"
        in_air = arguments.within(f"{field}.weight_in_air", segment.weight_in_air, fits, weight)
    law, slack, chain = segment.law, segment.slack, segment.backup_stiffness
    if (segment.stiffness is None) == (law is None):
        given, action = ("neither", "give one") if law is None else ("both", "leave one out")
        fits = "a stiffness (EA, N) or a law"
        raise arguments.refused(f"{field}.stiffness", f"{given} given", fits, action)
    if (slack is None) != (chain is None) or (slack is not None and law is None):
        fits = "slack and backup_stiffness together, behind a law"
        got = f"law {'none' if law is None else 'given'}, slack {slack}, backup_stiffness {chain}"
        raise arguments.refused(f"{field}.slack", "incomplete", fits, "give all three or the law alone", got)
    if law is None:
        stiffness = arguments.positive(f"{field}.stiffness", segment.stiffness, "a stiffness (EA) above 0 N")
        return length, weight, in_air, 1.0 / stiffness, -1.0, -1.0, 0.0, 0.0, math.inf
    arguments.instance(f"{field}.law", law, LoadElongation, "make one with line.LoadElongation")
    nodes, backup, take_up = law_nodes(f"{field}.law", law), 0.0, math.inf
    if slack is not None:
        slack = arguments.within(f"{field}.slack", slack, "a length of chain of 0 m or more", 0.0)
        chain = arguments.positive(f"{field}.backup_stiffness", chain, "a stiffness (EA) above 0 N")
        backup = chain * length / (length + slack)
        nodes, take_up = pair_nodes(nodes, slack / length, backup)
    first = len(laws)
    laws.extend(nodes)
    return length, weight, in_air, 0.0, first, len(laws) - 1, law.loss, backup, take_up


def law_nodes(field: str, law: LoadElongation) -> list[Node]:
    """A law's checked nodes.

    Slopes as in the monotone cubic of Fritsch & Butland (1984, SIAM J. Sci. Stat. Comput. 5, 300–304): a
    weighted harmonic mean of the neighbouring secants, and three-point ends kept in the data's own direction.
    """
    arguments.within(f"{field}.loss", law.loss, "a share of the loading energy, 0 to 1", 0.0, 1.0)
    if len(law.load) != len(law.strain) or len(law.load) < 2:
        wrong = f"{len(law.load)} loads and {len(law.strain)} strains"
        fits = "as many of each, 2 or more"
        raise arguments.refused(f"{field}.load", wrong, fits, "give a strain for each load")
    for name, values in (("load", law.load), ("strain", law.strain)):
        if values[0] != 0.0 or not all(a < b for a, b in pairwise(values)) or values[-1] == math.inf:
            wrong, fits = f"{values} does not grow from 0", "finite values that begin at 0 and grow"
            raise arguments.refused(f"{field}.{name}", wrong, fits, "put them in order, 0 first")
    wide = np.diff(law.load)
    secant = np.diff(law.strain) / wide
    compliance = np.full(len(law.load), secant[0])
    if len(wide) > 1:
        a, b = 2.0 * wide[1:] + wide[:-1], wide[1:] + 2.0 * wide[:-1]
        compliance[1:-1] = (a + b) / (a / secant[:-1] + b / secant[1:])
        compliance[0] = end_compliance(wide[0], wide[1], secant[0], secant[1])
        compliance[-1] = end_compliance(wide[-1], wide[-2], secant[-1], secant[-2])
    far = [*compliance[1:], compliance[-1]]
    return [
        (float(load), float(strain), float(near), float(end))
        for load, strain, near, end in zip(law.load, law.strain, compliance, far, strict=True)
    ]


def end_compliance(wide: float, next_wide: float, secant: float, next_secant: float) -> float:
    """Three-point slope at an end of growing data; the end's own secant where that slope would not grow."""
    compliance = ((2.0 * wide + next_wide) * secant - wide * next_secant) / (wide + next_wide)
    return secant if compliance <= 0.0 else min(compliance, 3.0 * secant)


def pair_nodes(nodes: list[Node], slack: float, backup: float) -> tuple[list[Node], float]:
    """Nodes of rope and chain side by side, and the load (N) at which the chain takes up.

    `slack` is a strain of the rope, `backup` the chain's tension for each strain beyond it (N). Up to there
    the rope's own cubics; then the loads add at the same strain, in small pieces with exact slopes.
    """
    laws, last = np.array(nodes), len(nodes) - 1

    def rope(load: float) -> tuple[float, float]:
        strain, compliance = strain_at(laws, 0, last, load)
        return float(strain), float(compliance)

    take_up = load_at(laws, slack)
    loads = [node[0] for node in nodes]
    here = bisect_right(loads, take_up)
    beyond = [take_up]
    for stop in loads[here:]:
        start = beyond[-1]
        beyond.extend(start + (stop - start) * piece / PIECES for piece in range(1, PIECES + 1))
    alone = [(load, *rope(load)) for load in [*(load for load in loads[:here] if load < take_up), take_up]]
    both = []
    for load in beyond:
        strain, compliance = rope(load)
        both.append((load + backup * (strain - slack), strain, compliance / (1.0 + backup * compliance)))
    joined = [(*a, b[2]) for a, b in pairwise(alone)]
    joined += [(*a, b[2]) for a, b in pairwise([*both, both[-1]])]
    return joined, take_up


def tensions(law: LoadElongation, count: int) -> tuple[Floats, float]:
    """Load (N) of a law at `count` strains evenly from 0 to its last one, and the step between them."""
    nodes = np.array(law_nodes("law", law))
    strains = np.linspace(0.0, law.strain[-1], count)
    return np.array([load_at(nodes, float(strain)) for strain in strains]), float(strains[1])


def load_at(laws: Floats, strain: float) -> float:
    """Load (N) at which a law reaches a strain, by halving: the law's inverse."""
    last = len(laws) - 1
    if strain >= laws[last, 1]:
        return float(laws[last, 0] + (strain - laws[last, 1]) / laws[last, 2])
    low, high = 0.0, float(laws[last, 0])
    while strain > 0.0 and low < (middle := 0.5 * (low + high)) < high:
        if strain_at(laws, 0, last, middle)[0] < strain:
            low = middle
        else:
            high = middle
    return low
