"""The room she needs: all that any part of the boat sweeps, and how near she comes to what lies round her."""

from __future__ import annotations

import functools
import math
from collections.abc import Sequence
from concurrent.futures import Executor
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from anchorsim.core.units import System, quantity, show, si
from anchorsim.dynamics.simulation import Run, simulate, sweep
from anchorsim.numerics.clearance import Shape, closest, separation
from anchorsim.numerics.estimates import chance, quantile
from anchorsim.numerics.interval import Interval
from anchorsim.risk.assessment import SELDOM, odds
from anchorsim.risk.monte_carlo import Cancel, Counted, Draw, Progress, draw, fill, numbers_from
from anchorsim.scenario.hazards import Danger
from anchorsim.scenario.scenario import Scenario, ScenarioError
from anchorsim.scenario.vessel import corners

Floats = NDArray[np.float64]
Kind = Literal["danger", "shoal", "neighbour"]

SECTORS = 144
_PIECE = 0.4  # m of her outline between the points that are followed: no gaps from 10 m on
_EVERY = 5  # samples, half a second, in which she moves by less than that
_OTHERS = 1_000_003  # from a spell's number to that which gives her first neighbour's holding and windage
TOUCH = 0.01  # m: what comes as near as that touches
SHELF = "the shelving bottom"
_FAR = 5000.0  # m that a shelf reaches on from where it begins, as far as she may drag
_NEARBY = 2.0  # times her rode and her length: a shelf farther off than that is none (judgement)


def envelope(run: Run) -> Floats:
    """The farthest that any part of her came, by bearing from where the anchor was let go.

    (n, 2) metres north and east, closed.  Sectors that she never entered are drawn in to the anchor.
    """
    return _ring(_farthest(run))


def _farthest(run: Run) -> Floats:
    """By sector from south on clockwise, m; 0 where she never came."""
    north, east = sweep(run, _outline(_round(run)), _EVERY)
    sector = np.floor((np.arctan2(east, north) / (2 * np.pi) + 0.5) * SECTORS).astype(int) % SECTORS
    farthest = np.zeros(SECTORS)
    np.maximum.at(farthest, sector.ravel(), np.hypot(north, east).ravel())
    return farthest


def _ring(farthest: Floats) -> Floats:
    middle = ((np.arange(SECTORS) + 0.5) / SECTORS - 0.5) * 2 * np.pi
    ring = np.column_stack([farthest * np.cos(middle), farthest * np.sin(middle)])
    return np.vstack([ring, ring[:1]])


def _round(run: Run) -> Floats:
    """The corners of the polygon that bounds her, in order."""
    points = corners(run.scenario.boat)
    centre = points.mean(axis=0)
    return points[np.argsort(np.arctan2(*(points - centre).T))]


def _outline(points: Floats) -> Floats:
    """Points round a polygon."""
    edges = np.roll(points, -1, axis=0) - points
    pieces = np.ceil(np.hypot(*edges.T) / _PIECE).astype(int)
    return np.concatenate(
        [
            start + edge * np.arange(n)[:, None] / n
            for start, edge, n in zip(points, edges, pieces, strict=True)
        ]
    )


def swept(run: Run, north: float = 0.0, east: float = 0.0) -> Shape:
    """Her outline every half second, her anchor having been let go at a place north and east (m)."""
    norths, easts = sweep(run, _round(run), _EVERY)
    return Shape(np.stack([norths + north, easts + east], axis=-1), True)


def led(run: Run) -> Shape:
    """The straight line from the anchor to her roller every half second."""
    norths, easts = sweep(run, np.array([[si(run.scenario.boat.roller), 0.0]]), _EVERY)
    roller = np.concatenate([norths, easts], axis=1)
    anchor = np.column_stack([run.track.anchor_x, run.track.anchor_y])[::_EVERY]
    return Shape(np.stack([anchor, roller], axis=1), False)


def gap(run: Run, other: Run, north: float, east: float) -> Floats:
    """The distance (m) between two boats every half second; 0 where they touch.

    ``north`` and ``east``: where the other's anchor was let go from hers, m.  The two spells must be of one
    length and in one wind, which they are if their scenarios and seeds differ in boat and tackle only.
    """
    return separation(swept(run), swept(other, north, east))


def shape(scenario: Scenario, danger: Danger) -> Shape:
    """A danger in metres north and east of the anchor."""
    places = [position.local(scenario.surroundings.anchor) for position in danger.at]
    return Shape(np.array(places)[None], danger.shape == "area")


def shelf(scenario: Scenario, far: float = _FAR) -> Shape | None:
    """Where a bottom that slopes comes up to what she draws at low water; None where that is far off.

    In metres north and east of the anchor: ``far`` m on from where it begins, and as far to both sides.
    """
    north, east = scenario.spot.rises()
    steep, draught = math.hypot(north, east), si(scenario.boat.draught)
    water = si(scenario.spot.depth) + si(scenario.surroundings.low_water) - draught
    if steep == 0.0 or water >= steep * _NEARBY * (scenario.paid_out + si(scenario.boat.length)):
        return None
    ahead, aside = np.array([north, east]) / steep, np.array([-east, north]) / steep
    near, beyond = water / steep * ahead, (water / steep + far) * ahead
    corners = [near - far * aside, beyond - far * aside, beyond + far * aside, near + far * aside]
    return Shape(np.array([corners]), True)


def surrounded(scenario: Scenario) -> bool:
    """Whether anything lies round her that she could touch: a danger, a neighbour, a shelving bottom."""
    around = scenario.surroundings
    return bool(around.dangers or around.neighbours) or shelf(scenario) is not None


@dataclass(frozen=True, eq=False)
class Clearance:
    """How near any part of her came to one thing: ``closest`` by spell, (n,) m, 0 where she touched it.

    A ``shoal`` is a danger by its depth; how near she came to it was tried at low water.  So is a shelving
    bottom, which begins where it does at low water, but with the rode as it lies now where that is all.
    """

    name: str
    kind: Kind
    closest: Floats

    @property
    def touched(self) -> Interval:
        """The chance that she touches it, with its band."""
        return chance(self.closest < TOUCH)

    @property
    def near(self) -> Interval:
        """The distance (m) that she keeps in 0.95 of spells, with its band."""
        return quantile(self.closest, 1.0 - SELDOM)

    def sentence(self, system: System = "metric") -> str:
        """What the odds are, in plain words."""
        does = {"danger": "touches", "shoal": "takes the ground on", "neighbour": "touches"}[self.kind]
        told = f"She {does} {self.name} in {odds(self.touched)} of such storms"
        if self.near.likely < TOUCH:
            return f"{told}."
        return f"{told}; in 95 of 100 she keeps {show(quantity(self.near.likely, 'm'), 'm', system, 2)} off."


@dataclass(frozen=True, eq=False)
class Room(Counted):
    """The room that a scenario's boat needs in spells, and what lies in it.

    ``reach``: (spells, 144) m, the farthest that any part of her came by sector, from south on clockwise;
    ``clearances``: of dangers, shoals and neighbours in their order; ``afloat``: names of the dangers that
    have water enough over them at low water.
    """

    reach: Floats
    clearances: tuple[Clearance, ...]
    afloat: tuple[str, ...]

    @property
    def farthest(self) -> Interval:
        """What she stays within in 0.95 of spells, m from where the anchor was let go, with its band."""
        return quantile(self.reach.max(axis=1), SELDOM)

    def ring(self, share: float = 1.0) -> Floats:
        """What she stays within in a share of spells, sector by sector, as :func:`envelope` gives it.

        1: all that was swept in any spell.
        """
        return _ring(np.quantile(self.reach, share, axis=0, method="inverted_cdf"))

    @property
    def touched(self) -> NDArray[np.bool_]:
        """In which spells she touches anything."""
        each = [one.closest < TOUCH for one in self.clearances]
        return np.asarray(np.any([np.zeros(len(self), dtype=bool), *each], axis=0))

    @property
    def tightest(self) -> Clearance | None:
        """What she touches most often, or else keeps least off; None where nothing lies round her."""
        return max(
            self.clearances, key=lambda one: (one.touched.likely, -float(one.closest.min())), default=None
        )

    def sentence(self, system: System = "metric") -> str:
        """How much room she needs, and what is most in the way."""
        within = show(quantity(self.farthest.likely, "m"), "m", system, 2)
        told = f"In 95 of 100 such storms she stays within {within} of where the anchor was let go."
        return f"{told} {self.tightest.sentence(system)}" if self.tightest else told


@dataclass(frozen=True)
class _Round:
    """What lies round her, ready to be met by spells: the same for all of them.

    ``low``: the scenario at low water, where that is another and something depends on it; neighbours come
    with where their anchors lie, m north and east of hers.
    """

    things: tuple[tuple[str, Kind], ...]
    afloat: tuple[str, ...]
    dangers: tuple[tuple[Kind, Shape], ...]
    neighbours: tuple[tuple[Scenario, tuple[float, float]], ...]
    low: Scenario | None


def _look_round(scenario: Scenario) -> _Round:
    around = scenario.surroundings
    kinds = [(danger, _kind(scenario, danger)) for danger in around.dangers]
    met = [(danger, kind) for danger, kind in kinds if kind is not None]
    dry = at_low_water(scenario) if any(kind == "shoal" for _, kind in met) else scenario
    others = zip(neighbours(scenario), around.neighbours, strict=True)
    named: list[tuple[str, Kind]] = [(danger.name, kind) for danger, kind in met]
    shapes: list[tuple[Kind, Shape]] = [(kind, shape(scenario, danger)) for danger, kind in met]
    if (shelving := shelf(scenario)) is not None:
        named.append((SHELF, "shoal"))
        shapes.append(("shoal", shelving))
    return _Round(
        things=(*named, *((neighbour.name, "neighbour") for neighbour in around.neighbours)),
        afloat=tuple(danger.name for danger, kind in kinds if kind is None),
        dangers=tuple(shapes),
        neighbours=tuple((other, neighbour.at.local(around.anchor)) for other, neighbour in others),
        low=dry if around.low_water != scenario.spot.tide and dry is not scenario else None,
    )


def room_needed(
    scenario: Scenario,
    count: int = 100,
    *,
    first: int = 0,
    executor: Executor | None = None,
    progress: Progress | None = None,
    cancel: Cancel | None = None,
) -> Room:
    """The room she needs in spells ``first`` to ``first + count - 1``, those of ``spells``.

    Her neighbours lie in the same gusts, and have an anchor's holding and a windage of their own in each.
    Where a danger has a depth too small for her at low water, the same spells are run at low water too.

    Raises ScenarioError with the path of what cannot be, such as a neighbour who draws more than there is;
    ValueError where a number makes no sense; RuntimeError where the workers stop.
    """
    numbers, around = numbers_from(first, count), _look_round(scenario)
    table = np.full((1, count, SECTORS + len(around.things)), np.nan)
    reason = fill(
        functools.partial(_watch, around),
        [scenario],
        numbers,
        table,
        executor=executor,
        progress=progress,
        cancel=cancel,
    )
    done = ~np.isnan(table[0, :, 0])
    if reason is not None:
        raise RuntimeError(
            f"the workers stopped after {done.sum()} of {count} storms ({reason}); needed workers that live "
            "to the end; ask again with a new executor"
        )
    columns = np.ascontiguousarray(table[0, done].T)
    columns.flags.writeable = False
    return Room(
        scenario=scenario,
        asked=count,
        number=numbers[done],
        reach=columns[:SECTORS].T,
        clearances=tuple(
            Clearance(name, kind, closest)
            for (name, kind), closest in zip(around.things, columns[SECTORS:], strict=True)
        ),
        afloat=around.afloat,
    )


def _kind(scenario: Scenario, danger: Danger) -> Kind | None:
    """What a danger is to her; None where she floats over it at low water."""
    if danger.depth is None:
        return "danger"
    water = si(danger.depth) + si(scenario.surroundings.low_water)
    return "shoal" if water < si(scenario.boat.draught) else None


def neighbours(scenario: Scenario) -> tuple[Scenario, ...]:
    """The scenario of each neighbour: her boat and tackle in the same weather, at her anchor's own depth.

    Raises ScenarioError with the path of what cannot be.
    """
    found, around, rises = [], scenario.surroundings, scenario.spot.rises()
    for i, neighbour in enumerate(around.neighbours):
        try:
            north, east = neighbour.at.local(around.anchor)
            depth = si(scenario.spot.depth) - rises[0] * north - rises[1] * east
            hers = {"boat": neighbour.boat, "tackle": neighbour.tackle, "surroundings": None, "survey": None}
            found.append(scenario.vary({**hers, "spot.depth": quantity(depth, "m")}))
        except ScenarioError as error:
            owned = f"surroundings.neighbours.{i}"
            raise ScenarioError(
                [
                    (f"{owned}.{path}" if path.startswith(("boat", "tackle")) else owned, f"{sentence}")
                    for path, sentence in error.problems
                ]
            ) from None
    return tuple(found)


def at_low_water(scenario: Scenario) -> Scenario:
    """The scenario with the tide at low water and as much rode out as before, so with more scope.

    Raises ScenarioError where she does not float then.
    """
    low = scenario.surroundings.low_water
    height = si(scenario.spot.depth + low + scenario.boat.bow_height)
    changes = {"spot.tide": low, "tackle.scope": scenario.paid_out / height}
    try:
        return scenario.vary(changes)
    except ScenarioError as error:
        raise ScenarioError([(path, f"at low water {told}") for path, told in error.problems]) from None


def _watch(around: _Round, scenario: Scenario, chance: Draw) -> Sequence[float]:
    """Of one spell: the farthest she came by sector, and how near to each thing."""
    run = simulate(scenario, **chance._asdict())
    low = run if around.low is None else simulate(around.low, **chance._asdict())
    her, found = swept(run), list(_farthest(run))
    for kind, danger in around.dangers:
        found.append(_near(low if kind == "shoal" else run, danger))
    for i, (other, place) in enumerate(around.neighbours):
        theirs = draw(chance.seed + (i + 1) * _OTHERS)._replace(seed=chance.seed)
        found.append(closest(her, swept(simulate(other, **theirs._asdict()), *place)))
    return found


def _near(run: Run, danger: Shape) -> float:
    """How near she came to a danger, m; 0 where it lies between her and her anchor.

    It does where the rode, seen from above, comes within half her beam of it: to lie beyond a danger she has
    passed over it, and does so again when the wind drops.
    """
    if closest(led(run), danger) < 0.5 * si(run.scenario.boat.beam):
        return 0.0
    return closest(swept(run), danger)


def met(run: Run) -> tuple[str, ...]:
    """The dangers and shoals that she touches in a spell, in the water of now."""
    scenario = run.scenario
    water, draught = si(scenario.spot.tide), si(scenario.boat.draught)
    return tuple(
        danger.name
        for danger in scenario.surroundings.dangers
        if danger.depth is None or si(danger.depth) + water < draught
        if _near(run, shape(scenario, danger)) < TOUCH
    )


def free_radius(scenario: Scenario) -> float:
    """How far the nearest danger or shoal lies from where the anchor was let go, m; infinite without one.

    For where a limit to her room is asked for, as by ``scope_limits``.
    """
    anchor = Shape(np.zeros((1, 1, 2)), False)
    shapes = [
        shape(scenario, danger)
        for danger in scenario.surroundings.dangers
        if _kind(scenario, danger) is not None
    ]
    shapes += filter(None, [shelf(scenario)])
    return float(min((separation(anchor, one).min() for one in shapes), default=np.inf))
