"""Cases on which the quick line is held against the full one, and what both come to.

What the full line comes to stands in ``data/reference/full_line_peaks.csv``, N, ° and m.  It is kind
"calculated": the reference line of ``full_line``, run once.  ``python -m
anchorsim.validation.full_line_cases`` runs the full line on those cases that the file does not have yet: an
hour of two cores for all.  Move the file away first when hull, sea, line or anchor change.

A case is five spells of two minutes: short, for within minutes a sheering boat's way parts from any other's,
however near, whatever computes them; and the mean of five, for what is left of that (their median jumps where
an anchor comes out in some spells and not in others).  ``CHOSEN`` are a Latin hypercube over all that was
thought of; by them elements and steps were chosen.  ``HELD`` are others that had no part in it.
"""

from __future__ import annotations

import csv
import functools
import sys
from collections.abc import Callable, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.stats.qmc import LatinHypercube

from anchorsim.core.arguments import refused
from anchorsim.core.resources import folder
from anchorsim.dynamics.run import Run
from anchorsim.dynamics.simulation import simulate
from anchorsim.scenario.scenario import Scenario

Case = dict[str, Any]

FILE = "reference/full_line_peaks.csv"  # in data/
SEEDS = (1, 2, 3, 4, 5)
SETTLED = 100  # samples of a spell that do not count: both lines are still coming to rest from their start
BARE = {"tackle.snubber.length": "0 m"}
LONG = {"tackle.chain.length": "150 m"}

Floats = NDArray[np.float64]

RODES: dict[str, dict[str, Any]] = {
    "bare 8 mm chain": {**LONG, **BARE},
    "bare 10 mm chain": {**LONG, **BARE, "tackle.chain.size": "10 mm"},
    "4 m snubber": {**LONG, "tackle.snubber.length": "4 m"},
    "8 m snubber": {**LONG, "tackle.snubber.length": "8 m"},
    "12 m snubber": {**LONG, "tackle.snubber.length": "12 m"},
    "bridle": {**LONG, "tackle.snubber.length": "8 m", "tackle.snubber.legs": 2},
    "chain and rope": {**BARE, "tackle.chain.length": "10 m", "tackle.rope.length": "150 m"},
    "rope with a lead": {**BARE, "tackle.chain.length": "3 m", "tackle.rope.length": "150 m"},
}
BOATS = ("sloop-12", "ketch-13", "catamaran-12")
DEPTHS = (3, 6, 15)  # m
SCOPES = (3, 5, 8)
WINDS = (("20 knot", "27.6 knot"), ("30 knot", "42 knot"), ("40 knot", "56 knot"))
SEAS = ("none", "0.5 m, 3 s", "1 m, 4.5 s")
BOTTOMS = ("flat", "falling 3°")
CURRENTS = ("none", "1.5 kn")
ANCHORS = ("holds", "may drag")
FACTORS: dict[str, tuple[Any, ...]] = {
    "rode": tuple(RODES), "boat": BOATS, "depth": DEPTHS, "scope": SCOPES, "wind": tuple(range(3)),
    "sea": SEAS, "bottom": BOTTOMS, "current": CURRENTS, "anchor": ANCHORS,
}  # fmt: skip
# Anchors that may drag: kg of a concave scoop in firm sand, near what such a wind asks for, by boat and wind.
MASSES = {"sloop-12": (4, 9, 16), "ketch-13": (5, 11, 20), "catamaran-12": (6, 14, 26)}
ROLLER, DEEPER = 1.4, 10.0  # m, the height of a bow, and how much deeper the water gets where one drags
MEASURED = ("at bow", "at anchor", "uplift", "dragged")


def cases(count: int, seed: int) -> list[Case]:
    """So many cases, each a value of every factor, every value of one in as many of them as the others.

    Where an anchor dragged down a falling bottom would come deeper than its rode is long, that is flat.
    """
    drawn = LatinHypercube(len(FACTORS), rng=np.random.default_rng(seed)).random(count)
    found = [
        {
            name: values[int(share * len(values))]
            for share, (name, values) in zip(row, FACTORS.items(), strict=True)
        }
        for row in drawn
    ]
    for case in found:
        if case["anchor"] == "may drag" and (case["scope"] - 1) * (case["depth"] + ROLLER) < DEEPER:
            case["bottom"] = "flat"
    return found


CHOSEN, HELD = cases(160, 12), cases(40, 41)


def scenario(case: Case) -> Scenario:
    """A case's scenario: the wind from the south-west, a current that sets to the east across it."""
    mean, gust = WINDS[case["wind"]]
    holds = case["anchor"] == "holds"
    mass = 200 if holds else MASSES[case["boat"]][case["wind"]]
    changes = {
        **RODES[case["rode"]], "boat.model": case["boat"], "spot.depth": f"{case['depth']} m",
        "tackle.scope": case["scope"], "weather.mean_wind": mean, "weather.gust": gust,
        "weather.duration": "2 min", "tackle.anchor.mass": f"{mass} kg",
        "spot.bottom": "stiff clay" if holds else "firm sand",
    }  # fmt: skip
    if case["sea"] != "none":
        height, period = case["sea"].split(", ")
        changes |= {"weather.wave_height": height, "weather.wave_period": period}
    if case["bottom"] != "flat":
        changes |= {"spot.slope": "3 degree", "spot.deepens_towards": "45 degree"}
    if case["current"] != "none":
        changes |= {"spot.current": "1.5 knot", "spot.current_set": "90 degree"}
    return Scenario().vary(changes)


def figures(case: Case, sail: Callable[..., Run]) -> list[tuple[float, ...]]:
    """Of each spell: greatest load at the bow and at the anchor (N), greatest lift (°), metres dragged."""
    setup = scenario(case)
    found: list[tuple[float, ...]] = []
    for seed in SEEDS:
        run = sail(setup, seed=seed, holding_quantile=0.99 if case["anchor"] == "holds" else 0.5)
        track = run.si
        found.append((
            float(track.bow_load[SETTLED:].max()), float(track.anchor_load[SETTLED:].max()),
            float(np.degrees(track.angle_at_anchor[SETTLED:].max())), float(run.si.drag_distance),
        ))  # fmt: skip
    return found


def _full(case: Case) -> list[tuple[float, ...]]:
    return figures(case, functools.partial(simulate, line="full"))


def _file() -> Path:
    return folder("data") / FILE


def read() -> dict[tuple[str, ...], list[tuple[float, ...]]]:
    """The file: a case's values as text, and the figures of its spells."""
    found: dict[tuple[str, ...], list[tuple[float, ...]]] = {}
    if _file().exists():
        with _file().open(newline="", encoding="utf-8") as rows:
            for row in csv.DictReader(rows):
                key = tuple(row[name] for name in FACTORS)
                found.setdefault(key, []).append(tuple(float(row[name]) for name in MEASURED))
    return found


def key(case: Case) -> tuple[str, ...]:
    """A case's values as they stand in the file."""
    return tuple(str(value) for value in case.values())


def write(workers: int = 2) -> None:
    """Run the full line on all cases that are not in the file."""
    known = read()
    todo = [case for case in CHOSEN + HELD if key(case) not in known]
    with _file().open("a", newline="", encoding="utf-8") as rows, ProcessPoolExecutor(workers) as pool:
        out = csv.writer(rows, lineterminator="\n")
        if not known:
            out.writerow([*FACTORS, "seed", *MEASURED])
        for case, spells in zip(todo, pool.map(_full, todo), strict=True):
            for seed, (bow, anchor, uplift, far) in zip(SEEDS, spells, strict=True):
                out.writerow([*key(case), seed, f"{bow:.1f}", f"{anchor:.1f}", f"{uplift:.3f}", f"{far:.3f}"])
            rows.flush()


@dataclass(frozen=True)
class Compared:
    """A case by both lines: ``full`` and ``quick`` are (spells, 4), columns as ``MEASURED``: N, N, °, m.

    ``held``: whether the case had no part in choosing elements and steps.
    """

    case: Case
    held: bool
    full: Floats
    quick: Floats

    def mean(self, column: int = 0) -> tuple[float, float]:
        """Mean of the spells by the full line and by the quick one."""
        return float(self.full[:, column].mean()), float(self.quick[:, column].mean())

    def off(self, column: int = 0) -> float:
        """How far the quick line's mean is from the full one's, as a share of it."""
        full, quick = self.mean(column)
        return quick / full - 1.0


@functools.cache
def compared() -> tuple[Compared, ...]:
    """All cases, sailed by the quick line now; seven seconds of one core."""
    known = read()
    return tuple(
        Compared(case, held, np.array(known[key(case)]), np.array(figures(case, simulate)))
        for held, some in ((False, CHOSEN), (True, HELD))
        for case in some
    )


@dataclass(frozen=True)
class Agreement:
    """How far off the peaks of some cases are, as shares without sign: median, nine in ten, and worst."""

    name: str
    count: int
    median: float
    nine_in_ten: float
    worst: float


def agreement(name: str, some: Sequence[Compared], column: int = 0) -> Agreement:
    """The agreement of some cases.  Raises ValueError where there are none."""
    if not some:
        raise refused(name, "no cases", "one or more", "name another group")
    off = np.abs([one.off(column) for one in some])
    return Agreement(name, len(off), float(np.median(off)), float(np.quantile(off, 0.9)), float(off.max()))


def agreements(found: Sequence[Compared]) -> list[Agreement]:
    """Load at the bow: all cases, those chosen by and those held out, and by rode and by sea."""
    groups = {
        "All cases": found,
        "Chosen by": [one for one in found if not one.held],
        "Held out": [one for one in found if one.held],
    }
    for factor, values in (("rode", RODES), ("sea", SEAS)):
        for value in values:
            name = {"sea": f"sea: {value}"}.get(factor, value)
            groups[name] = [one for one in found if one.case[factor] == value]
    return [agreement(name, some) for name, some in groups.items()]


if __name__ == "__main__":
    write(int(sys.argv[1]) if len(sys.argv) > 1 else 2)
