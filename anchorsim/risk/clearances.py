"""How near a boat comes in a run to the dangers, shoals and neighbours that the scenario places round her."""

from __future__ import annotations

import functools
import math
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from anchorsim.core.amount import Amount
from anchorsim.core.units import quantity, si
from anchorsim.dynamics.run import Run, positions
from anchorsim.dynamics.simulation import simulate
from anchorsim.numerics.clearance import Shape, closest, separation
from anchorsim.numerics.estimates import counted_chance, quantile
from anchorsim.numerics.interval import Interval
from anchorsim.risk.draws import Draw, neighbours_draw
from anchorsim.risk.outcome import SELDOM
from anchorsim.scenario.hazards import Danger
from anchorsim.scenario.scenario import Scenario, ScenarioError
from anchorsim.scenario.vessel import corners

Floats = NDArray[np.float64]
Kind = Literal["danger", "shoal", "neighbour"]

TOUCH = 0.01  # m: what comes as near as that touches
SHELF = "the shelving bottom"
EVERY = 5  # samples, half a second, in which she moves by less than her outline's points lie apart
_FAR = 5000.0  # m that a shelf reaches on from where it begins, as far as she may drag
_NEARBY = 2.0  # times her rode and her length: a shelf farther off than that is none (judgement)


@dataclass(frozen=True)
class Thing:
    """What a boat may hit, or go aground on where it is a ``shoal``."""

    name: str
    kind: Kind


@dataclass(frozen=True)
class Around:
    """What lies round a scenario's boat, ready to be met by any number of spells.

    ``things``: dangers and shoals, then neighbours; ``afloat``: names of the dangers that have water enough
    over them at low water; ``low``: the scenario at low water, where that is another and a shoal by depth
    depends on it; neighbours come with where their anchors are, m north and east of hers.
    """

    things: tuple[Thing, ...]
    afloat: tuple[str, ...]
    dangers: tuple[tuple[Kind, Shape], ...]
    neighbours: tuple[tuple[Scenario, tuple[float, float]], ...]
    low: Scenario | None

    def distances(self, run: Run, chance: Draw) -> list[float]:
        """How near (m) any part of her comes to each thing in a run; 0 where she hits it.

        Shoals are met at low water with the rode as it is, neighbours in the same gusts with a holding and a
        windage of their own.
        """
        if not self.things:
            return []
        low = run if self.low is None else simulate(self.low, **chance._asdict())
        her = swept(run)
        found = [distance(low if kind == "shoal" else run, danger) for kind, danger in self.dangers]
        for place, (other, anchor) in enumerate(self.neighbours):
            theirs = simulate(other, **neighbours_draw(chance.seed, place)._asdict())
            found.append(closest(her, swept(theirs, *anchor)))
        return found


@dataclass(frozen=True, eq=False)
class ClearanceSI:
    """How near she came to one thing in SI floats: ``closest`` (m), (spells,)."""

    closest: Floats


@dataclass(frozen=True)
class Clearance:
    """How near she came to one thing: ``closest`` by spell, an array, 0 where she touched it.

    ``si`` has the same as SI floats.
    """

    thing: Thing
    si: ClearanceSI

    closest = Amount("m")

    @property
    def touched(self) -> Interval:
        """The chance per spell that she touches it."""
        return counted_chance(self.si.closest < TOUCH)

    @property
    def near(self) -> Interval:
        """The distance that she keeps but for one spell in twenty."""
        return quantile(self.si.closest, SELDOM, unit="m")


def around(scenario: Scenario) -> Around:
    """What lies round her.

    Raises ScenarioError with the path of what cannot be, such as a neighbour who draws more than there is.
    """
    return _around(scenario) if surrounded(scenario) else Around((), (), (), (), None)


@functools.lru_cache(maxsize=64)  # of those alone: to look a scenario up takes as long as half a spell
def _around(scenario: Scenario) -> Around:
    hazards = scenario.surroundings
    kinds = [(danger, kind_of(scenario, danger)) for danger in hazards.dangers]
    met = [(danger, kind) for danger, kind in kinds if kind is not None]
    low = at_low_water(scenario) if any(kind == "shoal" for _, kind in met) else scenario
    others = zip(neighbours(scenario), hazards.neighbours, strict=True)
    things = [Thing(danger.name, kind) for danger, kind in met]
    shapes: list[tuple[Kind, Shape]] = [(kind, shape(scenario, danger)) for danger, kind in met]
    if (shelving := shelf(scenario)) is not None:
        things.append(Thing(SHELF, "shoal"))
        shapes.append(("shoal", shelving))
    return Around(
        things=(*things, *(Thing(neighbour.name, "neighbour") for neighbour in hazards.neighbours)),
        afloat=tuple(danger.name for danger, kind in kinds if kind is None),
        dangers=tuple(shapes),
        neighbours=tuple((other, neighbour.at.local(hazards.anchor)) for other, neighbour in others),
        low=low if hazards.low_water != scenario.spot.tide and low is not scenario else None,
    )


def surrounded(scenario: Scenario) -> bool:
    """Whether there is anything round her that she could touch: a danger, a neighbour, a shelving bottom."""
    hazards = scenario.surroundings
    return bool(hazards.dangers or hazards.neighbours) or shelf(scenario) is not None


def outline(run: Run) -> Floats:
    """The corners of the polygon that bounds her, in order: (n, 2) m ahead and to starboard."""
    points = corners(run.scenario.boat)
    centre = points.mean(axis=0)
    return points[np.argsort(np.arctan2(*(points - centre).T))]


def swept(run: Run, north: float = 0.0, east: float = 0.0) -> Shape:
    """Her outline every half second, her anchor having been set at a place north and east (m)."""
    norths, easts = positions(run.si, outline(run), EVERY)
    return Shape(np.stack([norths + north, easts + east], axis=-1), True)


def led(run: Run) -> Shape:
    """The straight line from the anchor to her roller every half second."""
    norths, easts = positions(run.si, np.array([[si(run.scenario.boat.roller), 0.0]]), EVERY)
    roller = np.concatenate([norths, easts], axis=1)
    anchor = np.column_stack([run.si.anchor_x, run.si.anchor_y])[::EVERY]
    return Shape(np.stack([anchor, roller], axis=1), False)


def gap(run: Run, other: Run, north: float, east: float) -> Floats:
    """The distance (m) between two boats every half second; 0 where they touch.

    ``north`` and ``east``: where the other's anchor was set from hers, m.  The two runs must be of one length
    and in one wind, which they are if their scenarios and seeds differ in boat and gear only.
    """
    return separation(swept(run), swept(other, north, east))


def distance(run: Run, danger: Shape) -> float:
    """How near she came to a danger, m; 0 where it lies between her and her anchor.

    It does where the rode, seen from above, comes within half her beam of it: to be beyond a danger she has
    passed over it, and does so again when the wind drops.
    """
    if closest(led(run), danger) < 0.5 * si(run.scenario.boat.beam):
        return 0.0
    return closest(swept(run), danger)


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


def neighbours(scenario: Scenario) -> tuple[Scenario, ...]:
    """The scenario of each neighbour: her boat and gear in the same weather, at her anchor's own depth.

    Raises ScenarioError with the path of what cannot be.
    """
    found, hazards, rises = [], scenario.surroundings, scenario.spot.rises()
    for i, neighbour in enumerate(hazards.neighbours):
        try:
            north, east = neighbour.at.local(hazards.anchor)
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


def kind_of(scenario: Scenario, danger: Danger) -> Kind | None:
    """What a danger is to her; None where she floats over it at low water."""
    if danger.depth is None:
        return "danger"
    water = si(danger.depth) + si(scenario.surroundings.low_water)
    return "shoal" if water < si(scenario.boat.draught) else None
