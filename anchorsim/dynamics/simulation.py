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
from anchorsim.core.units import AIR, SEA_WATER, si
from anchorsim.dynamics import full_line
from anchorsim.dynamics.anchor_kernel import WELL_SET
from anchorsim.dynamics.boat_motion import Setting
from anchorsim.dynamics.hull_loads import air_load
from anchorsim.dynamics.line_motion import EX, NODE, ROW, TAUT, TENSION, WET, X
from anchorsim.dynamics.motion_kernel import DUG, HEADING, SAMPLE_STEP, SAMPLED, STATE, State, integrate
from anchorsim.dynamics.run import Run, RunSI
from anchorsim.dynamics.wave_kernel import STILL, Sea
from anchorsim.dynamics.wave_motion import DECIMALS, at_sea
from anchorsim.mooring import statics
from anchorsim.mooring.line_mesh import BACKUP, LAW, LENGTH, LOSS, STIFFNESS, STRAIN, Mesh, mesh
from anchorsim.mooring.rode import Rode, assemble
from anchorsim.scenario import site
from anchorsim.scenario.recorded_wind import record_of
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
_FINER = (1, 2, 4, 8)  # times as many steps, where fewer do not hold the line
_BEYOND = 1e8  # N: a load that no rode carries, and only steps that are too long bring about
_SETTLED = 20.0  # s in which a rode that is let go near its place at rest is still (judgement)
_HELD = 1e30  # kg and kg m²: of a boat that nothing moves
_SHAPE_POINTS = 400  # of the line's shape at rest, in which the nodes are laid


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

        ``finer``: how many times as many steps the line makes, to tell what its usual step costs.  Where
        those do not hold it, it makes more; raises RuntimeError where no count of them does.
        """
        begun = [part.copy() for part in state]
        for more in _FINER:
            rows, peaks = np.empty((SAMPLED, samples)), np.zeros(3)
            steps = more * finer * math.ceil(SAMPLE_STEP / self._line_step() - 1e-9)
            integrate(
                self.body, self.setting, self.mesh, self.ground, site.uplift_table(), self.sea, self.wind,
                self.pace, state, SAMPLE_STEP, 1, steps, rows, peaks,
            )  # fmt: skip
            if np.isfinite(rows).all() and peaks[0] < _BEYOND:
                return rows, peaks
            for part, was in zip(state, begun, strict=True):
                part[...] = was
        raise RuntimeError(
            f"the rode was not held by {steps} steps in {SAMPLE_STEP:g} s: loads passed {_BEYOND:g} N; "
            "needed finite ones; take shorter lengths of chain and rope"
        )

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
    """Simulate one spell: the boat at anchor in the scenario's weather, from rest in its first wind.

    Parameters
    ----------
    scenario : Scenario
        Boat, gear, anchorage and weather.
    seed : int
        Picks the gusts, 0 or more: the same whatever else changes, and on every processor.
    holding_quantile : float
        Where in its scatter the anchor's holding lies, above 0 and below 1; 0.5 is the median.
    windage, water, friction, line_drag : float
        How many times what the scenario gives are the push of the wind, the water's hold on the hull, the
        bottom's friction on rode that lies, and the water's drag on rode that moves; above 0.
    line : {"coarse", "full"}
        "full" has the rode in elements and steps so fine that finer ones change little, and takes a few
        hundred times as long.
    progress : callable, optional
        Told what share of a full line is done.

    Returns
    -------
    Run
        Track and loads every 0.1 s, and the peaks of all steps.

    Raises
    ------
    ArgumentError
        Where an argument does not fit.
    ScenarioError, WindRecordError
        Where the scenario's wind record does not fit.

    Notes
    -----
    The rode is a line of lumped masses, the boat moves in surge, sway and yaw, and waves carry her bow; the
    sources of each law stand with it.  The first call on a machine compiles for up to a minute.

    Examples
    --------
    >>> minute = Scenario().vary({"weather.duration": "60 s"})
    >>> run = simulate(minute, seed=1)
    >>> f"{run.peak_load.to('kN'):.1f~P}", run.bow_load.shape
    ('1.0 kN', (601,))
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
    figures = (*peaks.tolist(), watch.ground.holding, corners(scenario.boat))
    found = RunSI(*rows, *figures)
    return Run(scenario, seed, found, rode, curve)


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
    record = record_of(scenario)
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
    record = record_of(scenario)
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
    shape = rode.shape(push, _SHAPE_POINTS).si
    way = np.concatenate([[0.0], np.cumsum(np.hypot(np.diff(shape.x), np.diff(shape.z)))])
    joints = np.concatenate([[0.0], np.cumsum([segment.length for segment in rode.segments])])
    ends = [int(np.flatnonzero(shape.segment == k)[-1]) for k in range(len(rode.segments))]
    stretched = np.interp(np.concatenate([[0.0], np.cumsum(lengths)]), joints, way[[0, *ends]])
    return np.interp(stretched, way, shape.x), np.interp(stretched, way, shape.z) - rode.depth


def warm() -> None:
    """Compile the kernels, or load them from the cache, by running the default scenario for a minute."""
    simulate(Scenario().vary({"weather.duration": "60 s"}))


__all__ = [
    "Spell",
    "blow",
    "equilibrium",
    "laid_out",
    "prepare",
    "setting_of",
    "simulate",
    "warm",
]  # fmt: skip
