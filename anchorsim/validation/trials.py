"""Trials that show what the peak loads hang on: boats, rodes, depth, sea, scope, steps and what is uncertain.

Each set-up goes through the same spells, on an anchor that holds, so that dragging does not cap a load.  A
spell is ten minutes of 30 knots gusting 42 over six metres of water unless told otherwise.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from anchorsim.core.units import si
from anchorsim.dynamics.motion_kernel import SAMPLE_STEP
from anchorsim.dynamics.sheering import SheerMap, sheer_map
from anchorsim.dynamics.simulation import equilibrium, laid_out, prepare, simulate
from anchorsim.environment.turbulence import profile
from anchorsim.numerics.estimates import WIDE
from anchorsim.risk import spreads
from anchorsim.scenario.scenario import Scenario
from anchorsim.strength.design_loads import published_load
from anchorsim.validation.full_line_cases import Compared

Floats = NDArray[np.float64]
Changes = Mapping[str, Any]

HOLDS = {"tackle.anchor.mass": "200 kg", "spot.bottom": "stiff clay"}
SURE = 0.99  # place in the scatter of the anchor's holding: it does not drag
GALE: Changes = {
    **HOLDS, "boat.model": "sloop-12", "spot.depth": "6 m", "tackle.chain.length": "150 m",
    "weather.mean_wind": "30 knot", "weather.gust": "42 knot",
}  # fmt: skip
BARE: Changes = {"tackle.snubber.length": "0 m"}
ROPE: Changes = {**BARE, "tackle.chain.length": "10 m", "tackle.rope.length": "150 m"}
RODES: Mapping[str, Changes] = {
    "bare chain": BARE,
    "8 m snubber": {"tackle.snubber.length": "8 m"},
    "12 m snubber": {"tackle.snubber.length": "12 m"},
    "chain and rope": ROPE,
}
SEAS: Mapping[str, Changes] = {
    "no sea": {},
    "0.5 m, 3 s": {"weather.wave_height": "0.5 m", "weather.wave_period": "3 s"},
    "1 m, 4.5 s": {"weather.wave_height": "1 m", "weather.wave_period": "4.5 s"},
}
BOATS = ("sloop-8", "sloop-10", "sloop-12", "sloop-14", "ketch-13", "motor-cruiser-11", "catamaran-12")
SCOPES = (3, 5, 7, 9)
SNUBBERS = (0, 2, 4, 8, 15)  # m
DEPTHS = (3, 6, 12)  # m
SET_UPS: Mapping[str, Changes] = {
    "bare chain, no sea": BARE,
    "bare chain, 3 m deep, 0.5 m sea": {**BARE, "spot.depth": "3 m", **SEAS["0.5 m, 3 s"]},
    "8 m snubber, 3 m deep, 0.5 m sea": {**RODES["8 m snubber"], "spot.depth": "3 m", **SEAS["0.5 m, 3 s"]},
    "chain and rope, no sea": ROPE,
}
# Shares of the sizing table's load that load cells on yachts at anchor showed in the same wind: of all, and
# with a snubber of 35 to 50 ft, rope, or long chain in 20 ft and more.  Published: a sailor's own
# measurements (2018) and a magazine's tests (2016), read; bands, not points.
MEASURED, MEASURED_SOFT = (1 / 5, 1 / 3), (0.25, 0.30)


@dataclass(frozen=True)
class Peaks:
    """Greatest load at the bow (N) and greatest uplift (°) of each spell."""

    load: Floats
    uplift: Floats

    @property
    def median(self) -> float:
        """N."""
        return float(np.median(self.load))


def peaks(changes: Changes, spells: int = 8, **factors: Any) -> Peaks:
    """A set-up through so many spells; ``factors`` as for ``simulate``."""
    scenario = Scenario().vary({**GALE, **changes})
    runs = [simulate(scenario, seed=seed, holding_quantile=SURE, **factors) for seed in range(1, spells + 1)]
    return Peaks(
        np.array([run.si.peak_load for run in runs]),
        np.degrees([run.si.peak_uplift for run in runs]),
    )


@dataclass(frozen=True)
class Sized:
    """A boat's peaks on a rode beside the spell load (N) that her tackle is to be sized for."""

    boat: str
    rode: str
    peaks: Peaks
    table: float

    @property
    def shares(self) -> Floats:
        """Each spell's peak as a share of the table's load."""
        return np.asarray(self.peaks.load / self.table)

    @property
    def share(self) -> float:
        """Their median."""
        return float(np.median(self.shares))


def against_table(spells: int = 8) -> list[Sized]:
    """Every boat that the sizing table has, on each of ``RODES``, 6 m deep, at a scope of 7."""
    found = []
    for boat in BOATS:
        base = {"boat.model": boat, "tackle.scope": 7}
        table = published_load(Scenario().vary({"boat.model": boat}).boat, "storm")
        if table is not None:
            found += [
                Sized(boat, rode, peaks({**base, **changes}, spells), si(table))
                for rode, changes in RODES.items()
            ]
    return found


@dataclass(frozen=True)
class Stepped:
    """Mean peaks at the bow (N) of a set-up with the line's usual step (s), half and a quarter of it."""

    set_up: str
    steps: tuple[float, ...]
    loads: tuple[float, ...]

    @property
    def off(self) -> tuple[float, ...]:
        """The usual step's and the half step's peak, less that of the finest, as a share of it."""
        return tuple(load / self.loads[-1] - 1.0 for load in self.loads[:-1])


def step_halved(spells: int = 24, minutes: float = 2.0) -> list[Stepped]:
    """Each of ``SET_UPS`` with steps of the line of 1/30 s, 1/60 s and 1/120 s.

    Spells are short and the mean of many counts, for within minutes a sheering boat's way parts from any
    other's, however near.
    """
    found = []
    for name, changes in SET_UPS.items():
        scenario = Scenario().vary({**GALE, **changes, "weather.duration": f"{minutes:g} min"})
        rode, curve = laid_out(scenario)
        samples = round(60.0 * minutes / SAMPLE_STEP) + 1
        loads = np.zeros((3, spells))
        for spell in range(spells):
            watch = prepare(scenario, rode, seed=spell + 1, holding_quantile=SURE)
            for place in range(3):
                _, greatest = watch.run(equilibrium(watch, curve, rode), samples, finer=2**place)
                loads[place, spell] = greatest[0]
        steps = tuple(SAMPLE_STEP / 3 / 2**place for place in range(3))
        found.append(Stepped(name, steps, tuple(loads.mean(axis=1).tolist())))
    return found


def by_snubber(spells: int = 8) -> dict[tuple[int, str], list[Peaks]]:
    """Peaks for each of ``SNUBBERS`` by depth (m) and sea: sloop-12, 8 mm chain, scope 5."""
    return {
        (depth, sea): [
            peaks({"spot.depth": f"{depth} m", "tackle.snubber.length": f"{length} m", **changes}, spells)
            for length in SNUBBERS
        ]
        for depth in DEPTHS
        for sea, changes in SEAS.items()
    }


def by_scope(
    rodes: Sequence[str] = ("bare chain", "8 m snubber", "chain and rope"),
) -> dict[str, list[Peaks]]:
    """Peaks and uplift for each of ``SCOPES`` on some of ``RODES``: sloop-12, 6 m deep, no sea."""
    return {name: [peaks({**RODES[name], "tackle.scope": scope}) for scope in SCOPES] for name in rodes}


@dataclass(frozen=True)
class Doubted:
    """What changes when one thing is taken otherwise: the median peak's change by set-up, as a share."""

    what: str
    change: str
    by_set_up: tuple[float, ...]


def doubted(set_ups: Sequence[str] = tuple(SET_UPS)[:3], spells: int = 16) -> list[Doubted]:
    """What is uncertain or left out, taken otherwise, on three set-ups, through the same spells.

    Drag of the line is halved and doubled; the others go to the ends of what 19 boats or bottoms in 20 have,
    by the spreads that spells and `sensitivity` draw from.
    """
    usual = [peaks(SET_UPS[name], spells).median for name in set_ups]
    tried: list[tuple[str, str, float]] = [("line's drag in water", "line_drag", 0.5)]
    tried += [("line's drag in water", "line_drag", 2.0)]
    for what, factor, spread in (
        ("bottom's friction on the rode", "friction", spreads.FRICTION),
        ("boat's windage", "windage", spreads.WINDAGE),
        ("water's hold on the hull", "water", spreads.WATER),
    ):
        tried += [(what, factor, math.exp(sign * WIDE * spread)) for sign in (-1.0, 1.0)]
    return [
        Doubted(what, f"× {size:.2g}", tuple(
            peaks(SET_UPS[name], spells, **{factor: size}).median / load - 1.0
            for name, load in zip(set_ups, usual, strict=True)
        ))
        for what, factor, size in tried
    ]  # fmt: skip


def full_less_quick(
    found: Sequence[Compared], rodes: Sequence[str] = ("bare 8 mm chain", "bare 8 mm chain", "8 m snubber")
) -> Doubted:
    """The full line in place of the quick one: the median over the cases of a rode, with its sign.

    Rodes as in the set-ups of :func:`doubted`, over all boats, depths and seas.
    """
    return Doubted("full line in place of the quick one", "", tuple(
        float(np.median([1.0 / (1.0 + one.off()) - 1.0 for one in found if one.case["rode"] == rode]))
        for rode in rodes
    ))  # fmt: skip


@dataclass(frozen=True)
class Sheered:
    """A map of sheering and, cell by cell, how far the heading swung (°, root mean square) in gusts."""

    map: SheerMap
    mean_wind: float
    swung: Floats

    def of(self, kind: str) -> float:
        """Median of the runs in cells of one kind, °; not a number where there are none."""
        some = self.swung[self.map.sheering == kind]
        return float(np.median(some)) if len(some) else math.nan


def sheered(
    sails: Sequence[float] = (0, 1, 2, 3, 4, 5), centres: Sequence[float] = (-3.0, -1.0, 1.0, 3.0)
) -> Sheered:
    """A sloop's map over riding sail (m²) and where her rig's windage is (m), and a run for each cell.

    The map is linear, in a steady wind of 20 knots at 10 m; the runs are spells in that wind with the gusts
    of open water, from their second minute on.
    """
    base = Scenario().vary({**GALE, **ROPE, "weather.mean_wind": "20 knot", "weather.gust": None})
    mean = si(base.weather.mean_wind)
    wind = mean * float(profile(mean, si(base.boat.windage_height))[0])
    found = sheer_map(base, wind, across=("boat.riding_sail", sails), up=("boat.rig_centre", centres))
    swung = [
        [
            _swing(base.vary({"boat.riding_sail": f"{sail} m²", "boat.rig_centre": f"{centre} m"}))
            for sail in sails
        ]
        for centre in centres
    ]
    return Sheered(found, mean, np.array(swung))


def _swing(scenario: Scenario) -> float:
    heading = np.unwrap(simulate(scenario, seed=1, holding_quantile=SURE).si.heading)
    return math.degrees(float(np.std(heading[round(60.0 / SAMPLE_STEP) :])))
