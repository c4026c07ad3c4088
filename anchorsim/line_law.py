"""What a line is made of: segments, the ropes' stretch laws, their checks, and their tables for the kernel."""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from anchorsim.line_kernel import COLUMNS, Floats, strain_at

PIECES = (
    8  # cubic pieces to each interval of a law beyond the point where the chain behind a snubber takes up
)


@dataclass(frozen=True)
class Law:
    """A rope's nonlinear stretch: strain (−) against load (N), both from 0 and growing, by monotone cubics.

    Beyond the last point it goes on with its last slope. `loss` is the share of the loading energy lost in a cycle.
    """

    load: tuple[float, ...]
    strain: tuple[float, ...]
    loss: float = 0.0

    def __post_init__(self) -> None:
        """Keep plain tuples of floats, whatever sequence was given."""
        object.__setattr__(self, "load", tuple(float(value) for value in self.load))
        object.__setattr__(self, "strain", tuple(float(value) for value in self.strain))


@dataclass(frozen=True)
class Segment:
    """A uniform length of chain or rope, or a snubber with its slack loop of chain.

    length: unstretched, m. weight: in water, N/m. stiffness: EA, N; or else a `law`. weight_in_air: N/m, above the
    surface (`weight` if not given). slack: m of chain looped behind a rope that has a law: the rope carries
    alone until it has stretched by that much, then the chain (length + slack long, EA `backup_stiffness`) beside it.
    """

    length: float
    weight: float
    stiffness: float | None = None
    law: Law | None = None
    weight_in_air: float | None = None
    slack: float | None = None
    backup_stiffness: float | None = None


def number(field: str, value: object, least: float, needed: str) -> float:
    """The value as a finite float above `least` (or equal to it, where it is nothing), or an error that says why not."""
    try:
        result = float(value)  # type: ignore[arg-type]
    except (TypeError, ValueError):
        result = math.nan
    if not math.isfinite(result) or result < least:
        raise ValueError(f"{field}: {needed} is needed, {value!r} was given")
    return result


def positive(field: str, value: object, needed: str) -> float:
    """The value as a finite float above 0, or an error that names the field."""
    return number(field, value, math.ulp(0.0), f"{needed} above 0")


def not_negative(field: str, value: object, needed: str) -> float:
    """The value as a finite float of 0 or more, or an error that names the field."""
    return number(field, value, 0.0, f"{needed} of 0 or more")


@lru_cache(maxsize=256)
def pack(segments: tuple[Segment, ...]) -> tuple[Floats, Floats, float]:
    """The kernel's `rode` (segments, columns) and `laws` (nodes, 4), and the whole length (m)."""
    if not segments:
        raise ValueError("segments: at least one, from the anchor to the bow, is needed, none was given")
    rode = np.zeros((len(segments), COLUMNS))
    laws: list[tuple[float, float, float, float]] = []
    for i, segment in enumerate(segments):
        rode[i] = row(f"segments[{i}]", segment, laws)
    rode.flags.writeable = False
    return rode, np.array(laws or [(0.0, 0.0, 0.0, 0.0)]), float(rode[:, 0].sum())


def row(field: str, segment: Segment, laws: list[tuple[float, float, float, float]]) -> tuple[float, ...]:
    """One checked row of `rode`; a law's nodes are put at the end of `laws`."""
    length = positive(f"{field}.length", segment.length, "a length in metres")
    weight = not_negative(f"{field}.weight", segment.weight, "a weight in water in newtons a metre")
    in_air = weight
    if segment.weight_in_air is not None:
        in_air = number(
            f"{field}.weight_in_air", segment.weight_in_air, weight,
            f"newtons a metre, no less than the weight in water ({weight:g}),",
        )  # fmt: skip
    if (segment.stiffness is None) == (segment.law is None):
        given = "neither" if segment.law is None else "both"
        raise ValueError(
            f"{field}.stiffness: either a stiffness (EA, N) or a law is needed, {given} was given"
        )
    if (segment.slack is None) != (segment.backup_stiffness is None) or (
        segment.slack is not None and not segment.law
    ):
        raise ValueError(
            f"{field}.slack: a snubber needs law, slack and backup_stiffness together, given were"
            f" law={segment.law is not None}, slack={segment.slack}, backup_stiffness={segment.backup_stiffness}"
        )
    if segment.law is None:
        stiffness = positive(f"{field}.stiffness", segment.stiffness, "a stiffness (EA) in newtons")
        return length, weight, in_air, 1.0 / stiffness, -1.0, -1.0, 0.0, 0.0, math.inf
    nodes = law_nodes(f"{field}.law", segment.law)
    backup, take_up = 0.0, math.inf
    if segment.slack is not None:
        slack = not_negative(f"{field}.slack", segment.slack, "a length of chain in metres")
        chain = positive(f"{field}.backup_stiffness", segment.backup_stiffness, "a stiffness (EA) in newtons")
        backup = chain * length / (length + slack)
        nodes, take_up = pair_nodes(nodes, slack / length, backup)
    first = len(laws)
    laws.extend(nodes)
    return length, weight, in_air, 0.0, float(first), float(len(laws) - 1), segment.law.loss, backup, take_up


def law_nodes(field: str, law: Law) -> list[tuple[float, float, float, float]]:
    """Checked nodes of a law: load, strain, and the slopes at both ends of the interval that starts there.

    Slopes as in the monotone cubic of Fritsch & Butland (1984, SIAM J. Sci. Stat. Comput. 5, 300–304): a weighted
    harmonic mean of the neighbouring secants, and three-point ends kept within the data's own direction.
    """
    number(f"{field}.loss", law.loss, 0.0, "a share of the loading energy from 0 to 1")
    if law.loss > 1.0:
        raise ValueError(
            f"{field}.loss: a share of the loading energy from 0 to 1 is needed, {law.loss} was given"
        )
    if len(law.load) != len(law.strain) or len(law.load) < 2:
        raise ValueError(
            f"{field}.load: as many loads as strains, at least two, are needed,"
            f" {len(law.load)} and {len(law.strain)} were given"
        )
    for name, values in (("load", law.load), ("strain", law.strain)):
        if (
            values[0] != 0.0
            or not all(a < b for a, b in zip(values, values[1:], strict=False))
            or values[-1] == math.inf
        ):
            raise ValueError(
                f"{field}.{name}: finite values that begin at 0 and grow are needed, {values} was given"
            )
    wide = np.diff(law.load)
    secant = np.diff(law.strain) / wide
    slope = np.empty(len(law.load))
    slope[:] = secant[0]
    if len(wide) > 1:
        before, after = wide[:-1], wide[1:]
        weights = (2.0 * after + before, after + 2.0 * before)
        slope[1:-1] = (weights[0] + weights[1]) / (weights[0] / secant[:-1] + weights[1] / secant[1:])
        slope[0] = end_slope(wide[0], wide[1], secant[0], secant[1])
        slope[-1] = end_slope(wide[-1], wide[-2], secant[-1], secant[-2])
    far = [*slope[1:], slope[-1]]
    return [tuple(map(float, node)) for node in zip(law.load, law.strain, slope, far, strict=True)]  # type: ignore[misc]


def end_slope(wide: float, next_wide: float, secant: float, next_secant: float) -> float:
    """Three-point slope at an end of growing data; the end secant itself where that would not grow."""
    slope = ((2.0 * wide + next_wide) * secant - wide * next_secant) / (wide + next_wide)
    return secant if slope <= 0.0 else min(slope, 3.0 * secant)


def pair_nodes(
    nodes: list[tuple[float, float, float, float]], slack: float, backup: float
) -> tuple[list[tuple[float, float, float, float]], float]:
    """Nodes of rope and chain side by side, and the load (N) at which the chain takes up.

    `slack` as a strain of the rope, `backup` the chain's tension for each strain beyond it (N). Up to there the
    rope's own cubics; then the loads add at the same strain, in pieces small enough for cubics with exact slopes.
    """
    laws = np.array(nodes)
    last = len(nodes) - 1

    def rope(load: float) -> tuple[float, float]:
        strain, slope = strain_at(laws, 0, last, load)
        return float(strain), float(slope)

    take_up = load_at(laws, slack)
    loads = [node[0] for node in nodes]
    here = bisect_right(loads, take_up)
    kept = [load for load in loads[:here] if load < take_up]
    beyond: list[float] = [take_up]
    for stop in loads[here:]:
        start = beyond[-1]
        beyond.extend(start + (stop - start) * piece / PIECES for piece in range(1, PIECES + 1))
    alone = [(load, *rope(load)) for load in [*kept, take_up]]
    both = []
    for load in beyond:
        strain, slope = rope(load)
        both.append((load + backup * (strain - slack), strain, slope / (1.0 + backup * slope)))
    joined = [(*a, b[2]) for a, b in zip(alone, alone[1:], strict=False)]
    joined += [(*a, b[2]) for a, b in zip(both, [*both[1:], both[-1]], strict=True)]
    return joined, take_up


def load_at(laws: Floats, strain: float) -> float:
    """Load (N) at which a law reaches a strain, by halving: the law's inverse."""
    last = len(laws) - 1
    if strain >= laws[last, 1]:
        return float(laws[last, 0] + (strain - laws[last, 1]) / laws[last, 2])
    low, high = 0.0, float(laws[last, 0])
    while low < (middle := 0.5 * (low + high)) < high:
        if strain_at(laws, 0, last, middle)[0] < strain:
            low = middle
        else:
            high = middle
    return low if strain > 0.0 else 0.0


def checked(
    segments: Sequence[Segment], rise: float, friction: float, depth: float | None
) -> tuple[Floats, Floats, float, float, float]:
    """The kernel's tables, the rise, the depth (infinite where all is under water) and the friction, all checked."""
    rode, laws, length = pack(tuple(segments))
    height = positive("rise", rise, "a height of the bow roller above the bottom in metres")
    if length < height:
        raise ValueError(
            f"rise: the rode is shorter than the bow roller is high above the bottom: at most {length:g} m, the"
            f" length of its segments, is needed, {height:g} was given; pay out more rode"
        )
    rub = not_negative("friction", friction, "a coefficient of friction on the bottom")
    surface = math.inf if depth is None else not_negative("depth", depth, "a depth of water in metres")
    return rode, laws, height, surface, rub
