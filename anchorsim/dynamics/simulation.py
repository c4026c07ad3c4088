"""The boat in gusts: one spell at anchor, from a scenario to a run."""

from __future__ import annotations

import functools
import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Literal, get_args

import numpy as np
from numpy.typing import NDArray

from anchorsim.core import arguments
from anchorsim.core.units import AIR, SEA_WATER, Quantity, quantity, si
from anchorsim.dynamics import full_line
from anchorsim.dynamics.anchor_kernel import WELL_SET
from anchorsim.dynamics.anchor_travel import DRAGS_FROM
from anchorsim.dynamics.boat_motion import Setting
from anchorsim.dynamics.hull_loads import air_load
from anchorsim.dynamics.line_motion import EX, NODE, ROW, TAUT, TENSION, WET, X
from anchorsim.dynamics.motion_kernel import DUG, HEADING, SAMPLE_STEP, SAMPLED, STATE, State, integrate
from anchorsim.dynamics.wave_kernel import STILL, Sea
from anchorsim.dynamics.wave_motion import DECIMALS, at_sea
from anchorsim.environment.wind_record import read_record
from anchorsim.mooring import statics
from anchorsim.mooring.line_mesh import BACKUP, LAW, LENGTH, LOSS, STIFFNESS, STRAIN, Mesh, mesh
from anchorsim.mooring.rode import Rode, assemble
from anchorsim.scenario import site
from anchorsim.scenario.scenario import Scenario
from anchorsim.scenario.site import Ground
from anchorsim.scenario.vessel import Hull, corners, hull
from anchorsim.scenario.weather import Wind, realise

Floats = NDArray[np.float64]

Line = Literal["coarse", "full"]
LINES: tuple[Line, ...] = get_args(Line)
_LONGEST, _LEAST = 10.0, 3  # m of an element of chain or rope, and how many of each at the least
_LINE_STEP = SAMPLE_STEP / 3  # s; the hull's loads are taken at every sample
_SWUNG = 0.3  # step times angular frequency of the bow on its rode at the most: stable to 2 (judgement)
_SETTLED = 20.0  # s in which a rode that is let go near its place at rest is still (judgement)
_HELD = 1e30  # kg and kg m²: of a boat that nothing moves
_SHAPE_POINTS = 400  # of the line's shape at rest, in which the nodes are laid


@dataclass(frozen=True)
class Track:
    """A spell in SI floats, arrays of one length, every 0.1 s.

    time (s); x, y (m north and east of where the anchor was let go); heading (rad); bow_load, anchor_load
    (N); angle_at_anchor (rad above the bottom); wind_north, wind_east (the air's velocity, m/s) at the height
    of her windage; anchor_x, anchor_y (m).  In a sea the waves carry her about that place and heading, and
    the loads are those of her bow as it then moves.
    """

    time: Floats
    x: Floats
    y: Floats
    heading: Floats
    bow_load: Floats
    anchor_load: Floats
    angle_at_anchor: Floats
    wind_north: Floats
    wind_east: Floats
    anchor_x: Floats
    anchor_y: Floats

    @functools.cached_property
    def wind_speed(self) -> Floats:
        """m/s."""
        return np.hypot(self.wind_north, self.wind_east)

    @functools.cached_property
    def wind_direction(self) -> Floats:
        """Where it blows from, rad."""
        return np.mod(np.arctan2(-self.wind_east, -self.wind_north), 2 * math.pi)


_UNITS = {
    "time": "s",
    "x": "m",
    "y": "m",
    "heading": "radian",
    "bow_load": "N",
    "anchor_load": "N",
    "angle_at_anchor": "radian",
    "wind_north": "m/s",
    "wind_east": "m/s",
    "wind_speed": "m/s",
    "wind_direction": "radian",
    "anchor_x": "m",
    "anchor_y": "m",
}


@dataclass(frozen=True)
class Run:
    """One spell at anchor.

    ``track`` holds the arrays as SI floats; the attributes of the same names (``run.bow_load`` …) give them
    as quantities.  ``peak_bow_load``, ``peak_anchor_load`` (N) and ``peak_uplift`` (rad) are those
    of all steps, which may lie closer than the samples.
    """

    scenario: Scenario
    seed: int
    track: Track
    rode: Rode
    curve: statics.Curve
    holding: float
    peak_bow_load: float
    peak_anchor_load: float
    peak_uplift: float

    def __getattr__(self, name: str) -> Quantity:
        if name in _UNITS:
            return quantity(getattr(self.track, name), _UNITS[name])
        raise AttributeError(f"a Run has no {name!r}")

    @property
    def peak_load(self) -> Quantity:
        """The greatest load at the bow."""
        return quantity(self.peak_bow_load, "N")

    @property
    def drag_distance(self) -> Quantity:
        """How far the anchor ended from where it was let go."""
        return quantity(math.hypot(self.track.anchor_x[-1], self.track.anchor_y[-1]), "m")

    @property
    def dragged(self) -> bool:
        """Whether the anchor dragged: it ended ``DRAGS_FROM`` or more from where it was set."""
        return si(self.drag_distance) >= DRAGS_FROM

    @property
    def holding_used(self) -> float:
        """The greatest share, in any sample, that the load at the anchor was of what it holds at that uplift;
        1 where the anchor moved at all, for it carries no more."""
        if self.track.anchor_x[-1] or self.track.anchor_y[-1]:
            return 1.0
        holds = self.holding * np.interp(self.track.angle_at_anchor, *site.uplift_table().T)
        return float((self.track.anchor_load / np.maximum(holds, 1e-9)).max())

    @property
    def swing_radius(self) -> Quantity:
        """The farthest that any part of the boat came from where the anchor was let go."""
        north, east = sweep(self, corners(self.scenario.boat))
        return quantity(float(np.hypot(north, east).max()), "m")


def sweep(run: Run, points: Floats, every: int = 1) -> tuple[Floats, Floats]:
    """North and east (m) of points of the boat at one sample in ``every``, (samples, points).

    ``points``: (n, 2) metres ahead of amidships and to starboard.
    """
    x, y, heading = (column[::every, None] for column in (run.track.x, run.track.y, run.track.heading))
    cosine, sine = np.cos(heading), np.sin(heading)
    north = x + cosine * points[:, 0] - sine * points[:, 1]
    east = y + sine * points[:, 0] + cosine * points[:, 1]
    return north, east


@dataclass(frozen=True)
class Spell:
    """What the kernel sails through a spell with, plain SI floats: ``run`` moves the state it is given.

    wind: the air's velocity to the north and to the east every ``pace`` s, (samples, 2).
    """

    body: Hull
    setting: Setting
    mesh: Mesh
    ground: Ground
    sea: Sea
    wind: Floats
    pace: float

    def run(self, state: State, samples: int, finer: int = 1) -> tuple[Floats, Floats]:
        """Samples every SAMPLE_STEP s, (SAMPLED, samples), and the greatest of all steps, (3,).

        ``finer``: how many times as many steps the line makes, to tell what its usual step costs.
        """
        rows, peaks = np.empty((SAMPLED, samples)), np.zeros(3)
        steps = finer * math.ceil(SAMPLE_STEP / self._line_step() - 1e-9)
        integrate(
            self.body, self.setting, self.mesh, self.ground, site.uplift_table(), self.sea, self.wind,
            self.pace, state, SAMPLE_STEP, 1, steps, rows, peaks,
        )  # fmt: skip
        return rows, peaks

    def _line_step(self) -> float:
        """Step (s) short enough for how her bow swings on the rode at its stiffest, by its last pull.

        Only a light boat on a few metres of it needs less than the usual.
        """
        body, gives = self.body, [_give(element, self.mesh.laws) for element in self.mesh.elements]
        if self.mesh.bridle:
            gives[-2:] = [0.5 * gives[-1]]
        turning = (body.roller**2 + 0.25 * self.setting.spread**2) / (body.yaw_inertia + body.added_yaw)
        lightness = 1.0 / (body.mass + min(body.added_surge, body.added_sway)) + turning
        return min(_LINE_STEP, _SWUNG * math.sqrt(sum(gives) / lightness))


def _give(element: Floats, laws: Floats) -> float:
    """How far an element stretches for each newton at its stiffest, m/N."""
    if element[LAW] < 0.0:
        return float(1.0 / element[STIFFNESS])
    steepest = float(np.diff(laws[int(element[LAW])]).max() / (element[LENGTH] * element[STRAIN]))
    return float(1.0 / (steepest * (1.0 + element[LOSS]) + element[BACKUP]))


def simulate(
    scenario: Scenario,
    *,
    seed: int = 1,
    holding_quantile: float = 0.5,
    windage: float = 1.0,
    water: float = 1.0,
    friction: float = 1.0,
    line_drag: float = 1.0,
    line: Line = "coarse",
    progress: Callable[[float], None] | None = None,
) -> Run:
    """One spell: the boat lies to her anchor in the weather of the scenario, from rest in its first wind.

    ``seed`` picks the gusts, the same whatever else changes, and on every processor; ``holding_quantile`` is
    where in its scatter the anchor's holding lies (0.5: as likely more as less); ``windage`` is how many
    times the push of the wind is what her areas and their coefficients make of it, ``water`` the same of the
    water's hold on her hull, ``friction`` of the bottom's on rode that lies, and ``line_drag`` of the water's
    on rode that moves.  ``line``: "coarse", or "full" for the rode in elements and steps so fine that finer
    ones change little, which takes a few hundred times as long and tells ``progress`` what share is done.

    Raises ScenarioError or WindRecordError where the scenario's wind record cannot be read, ValueError where
    there is no such line.
    """
    arguments.instance("scenario", scenario, Scenario, "load one with Scenario.load")
    arguments.count("seed", seed, least=0)
    arguments.share("holding_quantile", holding_quantile)
    factors = {"windage": windage, "water": water, "friction": friction, "line_drag": line_drag}
    for name, given in factors.items():
        arguments.factor(name, given)
    arguments.one_of("line", line, LINES)
    rode, curve = laid_out(scenario, friction)
    watch = prepare(
        scenario, rode, seed=seed, holding_quantile=holding_quantile, windage=windage, water=water,
        line_drag=line_drag,
    )  # fmt: skip
    samples = math.floor(si(scenario.weather.duration) / SAMPLE_STEP + 1e-9) + 1
    if line == "full":
        rows, peaks, _ = full_line.sail_through(
            watch.body, watch.setting, watch.ground, watch.sea, watch.wind, watch.pace, rode,
            si(scenario.tackle.anchor.mass), samples, progress=progress,
        )  # fmt: skip
    else:
        rows, peaks = watch.run(equilibrium(watch, curve, rode), samples)
    return Run(
        scenario, seed, Track(*rows), rode, curve, watch.ground.holding, *(float(peak) for peak in peaks)
    )


def prepare(
    scenario: Scenario,
    rode: Rode,
    *,
    seed: int = 1,
    holding_quantile: float = 0.5,
    windage: float = 1.0,
    water: float = 1.0,
    line_drag: float = 1.0,
    elements: int | None = None,
) -> Spell:
    """All that a spell needs, as the floats of the kernel; arguments as for :func:`simulate`.

    ``elements``: of each length of chain or rope, in place of the usual count.
    """
    counts = tuple(elements or max(_LEAST, math.ceil(part.length / _LONGEST)) for part in rode.segments)
    record = None if scenario.record_path is None else read_record(scenario.record_path)
    wind = realise(scenario.weather, seed=seed, height=si(scenario.boat.windage_height), record=record)
    setting = setting_of(scenario, rode)
    anchor = scenario.tackle.anchor
    return Spell(
        body=hull(scenario.boat),
        setting=setting._replace(
            air=windage * setting.air, water=water * setting.water, drag=line_drag * setting.drag
        ),
        mesh=mesh(rode.segments, counts, rode.spread > 0.0),
        ground=site.ground(anchor.type, si(anchor.mass), scenario.spot.bottom, holding_quantile),
        sea=at_sea(scenario, seed, record),
        wind=np.column_stack([wind.north, wind.east]).round(DECIMALS),
        pace=wind.step,
    )


def blow(scenario: Scenario, seed: int) -> Wind:
    """The wind of a spell at the height of the boat's windage."""
    record = None if scenario.record_path is None else read_record(scenario.record_path)
    return realise(scenario.weather, seed=seed, height=si(scenario.boat.windage_height), record=record)


def laid_out(scenario: Scenario, friction: float = 1.0) -> tuple[Rode, statics.Curve]:
    """The rode of a scenario and its load by distance at rest; ``friction`` as for :func:`simulate`."""
    rode = assemble(scenario)
    rode = replace(rode, friction=friction * rode.friction)
    return rode, _curve(rode)


@functools.lru_cache(maxsize=64)
def _curve(rode: Rode) -> statics.Curve:
    return rode.curve()


def setting_of(scenario: Scenario, rode: Rode) -> Setting:
    """What surrounds the boat and her rode, as the floats of the kernel."""
    _, north, east = site.spot_floats(scenario.spot)
    return Setting(
        air=AIR,
        water=SEA_WATER,
        current_north=north,
        current_east=east,
        depth=rode.depth,
        rise_north=rode.rises[0],
        rise_east=rode.rises[1],
        friction=rode.friction,
        height=rode.rise - rode.depth,
        spread=rode.spread,
        drag=1.0,
        anchor=si(scenario.tackle.anchor.mass),
    )


def equilibrium(watch: Spell, curve: statics.Curve, rode: Rode) -> State:
    """She lies head to the first wind, where the rode at rest carries its push; a current then moves her.

    The rode, in its elements and in the current, has come to rest with her held there.
    """
    north, east = watch.wind[0]
    speed = math.hypot(north, east)
    heading = math.atan2(-east, -north) if speed else 0.0
    push = -air_load(watch.body, -speed, 0.0, watch.setting.air)[0]
    elements, bridle = watch.mesh.elements, watch.mesh.bridle
    last = len(elements) - 1 if bridle else len(elements)
    place, height = _laid(rode, curve, push, elements[:last, LENGTH])
    if bridle:  # its legs reach less far ahead than they are long
        reach = (place[-1] - place[-2]) ** 2 - (0.5 * rode.spread) ** 2
        place[-1] = place[-2] + math.sqrt(max(reach, 0.0))
    ahead = np.array([-math.cos(heading), -math.sin(heading)])
    nodes, rows = np.zeros((len(elements) + 1, NODE)), np.zeros((len(elements), ROW))
    nodes[: last + 1, X : X + 2] = place[:, None] * ahead
    nodes[: last + 1, X + 2] = height
    if bridle:
        nodes[last + 1] = nodes[last]
        aside = 0.5 * rode.spread * np.array([-math.sin(heading), math.cos(heading)])
        nodes[last, X : X + 2] -= aside
        nodes[last + 1, X : X + 2] += aside
    rows[:, TENSION], rows[:, TAUT], rows[:, WET] = max(push, 1.0), 1.0, 1.0
    lows = np.arange(len(elements))
    ups = lows + 1
    if bridle:
        lows[-1], ups[-1] = last - 1, last + 1
        rows[last - 1 :, TENSION] *= 0.5
    way = nodes[ups, X : X + 3] - nodes[lows, X : X + 3]
    rows[:, EX : EX + 3] = way / np.linalg.norm(way, axis=1, keepdims=True)
    boat = np.zeros(STATE)
    boat[DUG] = WELL_SET
    boat[:2], boat[HEADING] = (place[-1] + watch.body.roller) * ahead, heading
    held = watch.body._replace(mass=_HELD, yaw_inertia=_HELD)
    rest = replace(watch, body=held, ground=watch.ground._replace(holding=math.inf), sea=STILL)
    rest.run(State(boat.copy(), nodes, rows), round(_SETTLED / SAMPLE_STEP) + 1)
    return State(boat, nodes, rows)


def _laid(rode: Rode, curve: statics.Curve, push: float, lengths: Floats) -> tuple[Floats, Floats]:
    """Distance from the anchor and height over the water (m) of the nodes, at rest under a push (N)."""
    shape = rode.shape(push, _SHAPE_POINTS)
    way = np.concatenate([[0.0], np.cumsum(np.hypot(np.diff(shape.x), np.diff(shape.z)))])
    joints = np.concatenate([[0.0], np.cumsum([segment.length for segment in rode.segments])])
    ends = [int(np.flatnonzero(shape.segment == k)[-1]) for k in range(len(rode.segments))]
    stretched = np.interp(np.concatenate([[0.0], np.cumsum(lengths)]), joints, way[[0, *ends]])
    return np.interp(stretched, way, shape.x), np.interp(stretched, way, shape.z) - rode.depth


def warm() -> None:
    """Compile the kernels, or load them from the cache, by running the default scenario for a minute."""
    simulate(Scenario().vary({"weather.duration": "60 s"}))


__all__ = [
    "Run",
    "Spell",
    "Track",
    "blow",
    "equilibrium",
    "laid_out",
    "prepare",
    "setting_of",
    "simulate",
    "warm",
]  # fmt: skip
