"""What matters most: how far each thing that nobody knows exactly accounts for the scatter of what happens.

By Sobol's indices (``sobol``) over the ranges in ``spreads``.  The first-order index of a doubt is the share
of the variance that would be gone if it were settled; its total index is the share that would be left if all
others were.
"""

from __future__ import annotations

import functools
import math
from collections.abc import Sequence
from concurrent.futures import CancelledError, Executor
from dataclasses import dataclass
from typing import Any, Literal, get_args

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtri

from anchorsim.core import arguments
from anchorsim.core.display import Drawn, Said, line
from anchorsim.core.units import Measure, Quantity, quantity, si
from anchorsim.dynamics.anchor_travel import DRAGS_FROM
from anchorsim.dynamics.simulation import simulate
from anchorsim.mooring.rode import assemble
from anchorsim.numerics.estimates import WIDE
from anchorsim.numerics.interval import Interval
from anchorsim.numerics.sobol import EDGE, indices
from anchorsim.risk import spreads
from anchorsim.risk.draws import Draw
from anchorsim.risk.monte_carlo import Cancel, Progress, fill
from anchorsim.scenario.scenario import Scenario, ScenarioError
from anchorsim.strength.degradation import as_found

Floats = NDArray[np.float64]

COUNT = 128  # base samples: fifteen seconds of two cores for a spell of ten minutes
_SEEDS = 2**20  # gusts to draw from
_LEVELS = 32  # equally likely ones that stand for the mean wind: each asks for a gust table of its own
_RANKED: tuple[Literal["peak load", "dragging"], ...] = ("peak load", "dragging")

# Things that nobody knows exactly.
Key = Literal[
    "holding",
    "gusts",
    "wind",
    "gustiness",
    "windage",
    "water",
    "depth",
    "length",
    "friction",
    "line drag",
    "stretch",
    "loading",
]


_DOUBTS: tuple[Key, ...] = get_args(Key)


@dataclass(frozen=True)
class Influence:
    """How far one doubt accounts for the scatter: first-order and total index with their 95 % bands."""

    doubt: Key
    first: Interval
    total: Interval

    @property
    def seen(self) -> bool:
        """Whether so many spells can tell its part from none."""
        return self.total.low > 0.0


@dataclass(frozen=True)
class RankingSI:
    """The ``mean`` and the ``spread`` of a ranking as floats: N for a load, a chance for dragging."""

    mean: float
    spread: float


@dataclass(frozen=True)
class Ranking:
    """What matters for one thing that happens, what matters most first (by total index).

    ``mean`` and ``spread`` (standard deviation) of it over the doubts: a quantity for a load, a chance for
    dragging; ``si`` has the same as SI floats.
    """

    of: Literal["peak load", "dragging"]
    si: RankingSI
    influences: tuple[Influence, ...]

    @property
    def mean(self) -> Quantity | float:
        """The mean over the doubts."""
        return quantity(self.si.mean, "N") if self.of == "peak load" else self.si.mean

    @property
    def spread(self) -> Quantity | float:
        """The standard deviation over the doubts."""
        return quantity(self.si.spread, "N") if self.of == "peak load" else self.si.spread


@dataclass(frozen=True)
class Sensitivity(Said, Drawn):
    """What matters most for the greatest load at the bow, and for dragging.

    Attributes
    ----------
    scenario : Scenario
        As its findings make it behave.
    spells : int
        How many were simulated.
    peak, dragging : Ranking, Ranking or None
        The doubts by their share of the scatter, the greatest first: each with its first-order and its total
        index and their 95 % bands.  ``dragging`` is None where the anchor drags in no spell or in all.
    dragged : float
        Share of spells in which it does.
    left_out : tuple of str
        Doubts that this scenario does not have.

    Examples
    --------
    >>> found = sensitivity(Scenario().vary({"weather.duration": "60 s"}), count=16)
    >>> found
    <Sensitivity: spells 224, peak load most by wind, scenario Unnamed scenario>
    """

    scenario: Scenario
    spells: int
    peak: Ranking
    dragging: Ranking | None
    dragged: float
    left_out: tuple[Key, ...]

    def __repr__(self) -> str:
        most = self.peak.influences[0].doubt
        facts = [("spells", str(self.spells)), ("peak load most by", most), ("scenario", self.scenario.title)]
        return line("Sensitivity", facts)


def sensitivity(
    scenario: Scenario,
    count: int = COUNT,
    *,
    seed: int = 0,
    executor: Executor | None = None,
    progress: Progress | None = None,
    cancel: Cancel | None = None,
) -> Sensitivity:
    """Rank what nobody knows exactly by how far it accounts for the scatter of what happens.

    Parameters
    ----------
    scenario : Scenario
        Boat, gear, anchorage and weather, with its survey and surroundings.
    count : int
        Base samples, a power of two from 16; ``count`` × (doubts + 2) spells are run, twelve doubts at most.
    seed : int
        Of the samples, 0 or more.
    executor : concurrent.futures.Executor, optional
        Any, in place of threads on this machine; the result is the same to the last bit.
    progress : callable, optional
        Called now and then with how many spells are done and how many there are.
    cancel : callable, optional
        Asked several times a second whether to stop.

    Returns
    -------
    Sensitivity
        For the greatest load at the bow, and for dragging.

    Raises
    ------
    ArgumentError
        Where an argument does not fit, or all spells come to the same load.
    WindRecordError
        Where the scenario's wind record does not fit.
    CancelledError
        Where it was stopped.
    RuntimeError
        Where workers stop.

    References
    ----------
    Sobol' (2001), Mathematics and Computers in Simulation 55, 271–280; the ranges of the doubts stand with
    their sources in ``spreads``.

    Examples
    --------
    >>> found = sensitivity(Scenario().vary({"weather.duration": "60 s"}), count=16)
    >>> found.spells, found.peak.influences[0].doubt, found.dragged
    (224, 'wind', 0.0)
    """
    arguments.count("seed", seed, 0)
    scenario = as_found(scenario)
    had = doubts(scenario)
    total = count * (len(had) + 2)

    def outcomes(shares: Floats) -> Floats:
        return _outcomes(scenario, had, shares, executor, progress, cancel)

    values, found = indices(outcomes, len(had), count, seed=seed)
    rankings = [
        Ranking(of, RankingSI(float(np.mean(each)), float(np.std(each))), _order(had, first, whole))
        if first
        else None
        for of, each, (first, whole) in zip(_RANKED, values, found, strict=True)
    ]
    peak, dragging = rankings
    if peak is None:
        raise arguments.refused(
            "scenario", "all spells come to the same load", "some scatter", "give some wind"
        )
    left_out = tuple(doubt for doubt in _DOUBTS if doubt not in had)
    return Sensitivity(scenario, total, peak, dragging, float(np.mean(values[1])), left_out)


def doubts(scenario: Scenario) -> tuple[Key, ...]:
    """The doubts that a scenario has: a recorded wind is known, and rode without nylon does not stretch."""
    rode, recorded = assemble(scenario), scenario.weather.record is not None
    windless = recorded or si(scenario.weather.mean_wind) == 0
    without = {
        "wind": windless,
        "gustiness": windless,
        "stretch": rode.rope == 0 and rode.snubber == 0,
    }
    return tuple(doubt for doubt in _DOUBTS if not without.get(doubt) and _varies(scenario, doubt))


def _varies(scenario: Scenario, doubt: Key) -> bool:
    """Whether the scenario can be at both ends of a doubt's range."""
    try:
        for share in (EDGE, 1.0 - EDGE):
            watch(scenario, (doubt,), np.array([share]))
    except ScenarioError:
        return False
    return True


def watch(scenario: Scenario, among: Sequence[Key], shares: Floats) -> tuple[Scenario, Draw]:
    """The scenario and what chance gives it with each of some doubts at a quantile of its range, (doubts,).

    Those that are not named are at the middle: a middling anchor, the gusts of seed 1, all else as stated.
    """
    at = {doubt: float(share) for doubt, share in zip(among, shares, strict=True)}
    if "wind" in at:
        at["wind"] = (math.floor(at["wind"] * _LEVELS) + 0.5) / _LEVELS
    normal = {key: float(ndtri(share)) for key, share in at.items()}
    chance = Draw(
        seed=int(at["gusts"] * _SEEDS) if "gusts" in at else 1,
        holding_quantile=at.get("holding", 0.5),
        windage=math.exp(spreads.WINDAGE * normal.get("windage", 0.0)),
        water=math.exp(spreads.WATER * normal.get("water", 0.0)),
        friction=math.exp(spreads.FRICTION * normal.get("friction", 0.0)),
        line_drag=math.exp(spreads.LINE_DRAG * normal.get("line drag", 0.0)),
    )
    changes: dict[str, Any] = {}
    if "wind" in at or "gustiness" in at:
        blows = math.exp(spreads.WIND * normal.get("wind", 0.0))
        changes |= _weather(scenario, blows, math.exp(spreads.GUSTS * normal.get("gustiness", 0.0)))
    if "depth" in at or "length" in at:
        longer = math.exp(spreads.LENGTH * normal.get("length", 0.0))
        changes |= _depth(scenario, normal.get("depth", 0.0), longer)
    if "stretch" in at:
        left = spreads.LEAST_STRETCH + (1.0 - spreads.LEAST_STRETCH) * at["stretch"]
        for path in ("tackle.rope.stretch", "tackle.snubber.stretch"):
            changes[path] = max(left * scenario.get(path), 0.2)
    if "loading" in at:
        low, high = spreads.LOADING
        mass = si(scenario.boat.displacement) * (low + (high - low) * at["loading"])
        changes["boat.displacement"] = quantity(mass, "kg")
    return scenario.vary(changes), chance


def _weather(scenario: Scenario, blows: float, gusty: float) -> dict[str, Any]:
    """Mean wind, gusts and squall by factors on the mean and on what gusts go over it."""
    weather = scenario.weather
    mean = min(blows * si(weather.mean_wind), _most("weather.mean_wind"))
    over = si(weather.effective_gust) / si(weather.mean_wind) - 1.0
    gust = min(mean * (1.0 + gusty * max(over, 0.0)), _most("weather.gust"))
    squall = min(blows * si(weather.squall_wind), _most("weather.squall_wind"))
    found = {"mean_wind": mean, "gust": gust, "squall_wind": squall}
    return {f"weather.{name}": quantity(speed, "m/s") for name, speed in found.items()}


def _depth(scenario: Scenario, score: float, longer: float) -> dict[str, Any]:
    """Depth off by a normal score, and the scope that a length let out comes to there."""
    depth, above = si(scenario.spot.depth), si(scenario.boat.bow_height) + si(scenario.spot.tide)
    deviation = math.hypot(spreads.DEPTH_FIXED, spreads.DEPTH_SHARE * scenario.water_depth) / WIDE
    length = min(longer * scenario.paid_out, scenario.rode_aboard)
    shelves = 1.001 * length * math.sin(assemble(scenario).slope)  # a rising bottom stays under water
    least = max(max(si(scenario.boat.draught), shelves) - si(scenario.spot.tide), 0.5)
    most = min(length / 1.2 - above, _most("spot.depth"))
    deep = min(max(depth + score * deviation, least), max(most, depth))
    scope = min(max(length / (deep + above), 1.2), 30.0)
    return {"spot.depth": quantity(deep, "m"), "tackle.scope": scope}


def _most(path: str) -> float:
    measure = Scenario.declaration(path)
    assert isinstance(measure, Measure)
    return si(quantity(measure.high, measure.unit))


def _order(had: Sequence[Key], first: Sequence[Interval], whole: Sequence[Interval]) -> tuple[Influence, ...]:
    found = [Influence(*row) for row in zip(had, first, whole, strict=True)]
    return tuple(sorted(found, key=lambda one: -one.total.likely))


def _outcomes(
    scenario: Scenario,
    among: Sequence[Key],
    shares: Floats,
    executor: Executor | None,
    progress: Progress | None,
    cancel: Cancel | None,
) -> Floats:
    """Greatest load at the bow (N) and whether the anchor dragged (1 or 0), (2, spells)."""
    table = np.full((1, len(shares), 2), np.nan)
    of_rows = functools.partial(_of_rows, tuple(among), shares)
    numbers = np.arange(len(shares), dtype=np.int64)
    reason = fill(of_rows, [scenario], numbers, table, executor=executor, progress=progress, cancel=cancel)
    if reason is not None:
        raise RuntimeError(f"Stopped ({reason}). Run again with a new executor.")
    if np.isnan(table).any():
        raise CancelledError("Stopped. Start again to get a result.")
    return np.asarray(table[0].T)


def _of_rows(
    among: Sequence[Key], shares: Floats, scenario: Scenario, places: Sequence[Draw]
) -> list[tuple[float, float]]:
    """What the spells of some rows of shares come to; their seeds tell the rows."""
    return [_outcome(scenario, among, shares[place.seed]) for place in places]


def _outcome(scenario: Scenario, among: Sequence[Key], shares: Floats) -> tuple[float, float]:
    varied, chance = watch(scenario, among, shares)
    run = simulate(varied, **chance._asdict())
    return run.si.peak_load, float(run.si.drag_distance >= DRAGS_FROM)


__all__ = ["Influence", "Key", "Ranking", "Sensitivity", "doubts", "sensitivity", "watch"]
