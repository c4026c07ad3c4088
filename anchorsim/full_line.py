"""One watch with the whole line in motion: the slow reference that the quick motion is held against.

The rode is lumped masses in 3-D with all that acts on them, in elements and steps fine enough that finer ones
change nothing that matters.  Boat, wind and waves are those of ``swing.simulate``.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from anchorsim import full_line_kernel as kernel
from anchorsim import line, line_mesh, lumped_line, seabed
from anchorsim.anchor_kernel import WELL_SET
from anchorsim.boat import Hull, hull
from anchorsim.boat_motion import Setting
from anchorsim.bow import DECIMALS, at_sea
from anchorsim.bow_kernel import STILL, Sea
from anchorsim.hull_loads import air_load
from anchorsim.line_mesh import Mesh
from anchorsim.lumped_line import DAMPED, NODE, OWN, REACH, STUCK, Line
from anchorsim.rode import Rode, lay_out
from anchorsim.scenario import Scenario
from anchorsim.swing import SAMPLE_STEP, Run, Track
from anchorsim.units import AIR, SEA_WATER, si
from anchorsim.weather import realise
from anchorsim.wind_record import read_record

Floats = NDArray[np.float64]
Anchored = tuple[Hull, Line, Setting, seabed.Ground, Floats, Sea]  # boat, rode, and what surrounds them

LONGEST = 1.25  # m of an element: half of it moves peaks by less than 2 %
_LEAST = 4  # elements of a segment
STEP_SHARE = 0.7  # of the longest step that is stable
_CALM = 4.0  # 1/s, of the damping in which the line comes to rest beforehand
_REST = 8.0  # s that it is given for that
_POINTS = 2000  # of the shape at rest that nodes are put on
_CHUNK = 100  # samples between two words of progress


@dataclass(frozen=True)
class FullRun(Run):
    """A watch with the whole line; ``places`` (samples, nodes, 3): north, east, up from the surface (m).

    ``places`` has no rows unless they were asked for.
    """

    places: Floats


def run_full(
    scenario: Scenario,
    *,
    seed: int = 1,
    holding_quantile: float = 0.5,
    windage: float = 1.0,
    water: float = 1.0,
    friction: float = 1.0,
    line_drag: float = 1.0,
    longest: float = LONGEST,
    step_share: float = STEP_SHARE,
    keep_places: bool = False,
    progress: Callable[[float], None] | None = None,
) -> FullRun:
    """One watch as ``swing.simulate`` has it, with the whole line in motion.

    Besides its arguments: ``line_drag`` is how many times the water's drag on the rode is what is taken;
    ``longest`` the longest element (m), ``step_share`` the step as a share of the longest stable one;
    ``keep_places`` keeps where the nodes are at each sample; ``progress`` is told the share that is done.
    Raises ScenarioError or WindRecordError where the scenario's wind record cannot be read.
    """
    rode = lay_out(scenario)
    rode = replace(rode, friction=friction * rode.friction)
    curve = line.curve(
        segments=rode.segments, rise=rode.rise, friction=rode.friction, depth=rode.depth, slope=rode.slope
    )
    body = hull(scenario.boat)
    setting = surroundings(scenario, rode)._replace(
        air=windage * AIR, water=water * SEA_WATER, drag=line_drag
    )
    anchor = scenario.tackle.anchor
    ground = seabed.ground(anchor.type, si(anchor.mass), scenario.spot.bottom, holding_quantile)
    record = None if scenario.record_path is None else read_record(scenario.record_path)
    sea = at_sea(scenario, seed, record)
    wind = realise(scenario.weather, seed=seed, height=si(scenario.boat.windage_height), record=record)
    air = np.column_stack([wind.north, wind.east]).round(DECIMALS)
    whole = mesh_of(rode, longest, si(anchor.mass))
    state, nodes = lie(scenario, body, setting, rode, whole.mesh, air[0])
    bonds = np.zeros((len(whole.mesh.elements), lumped_line.BOND))
    stride = math.ceil(SAMPLE_STEP / (step_share * longest_step(whole)))
    rest(whole, setting, ground, body.roller, state, nodes, bonds, stride)
    samples = math.floor(si(scenario.weather.duration) / SAMPLE_STEP + 1e-9) + 1
    places = np.zeros((samples if keep_places else 0, len(nodes), 3))
    anchored = (body, whole, setting, ground, seabed.uplift_table(), sea)
    track, peaks = sail(anchored, air, wind.step, stride, samples, (state, nodes, bonds, places), progress)
    return FullRun(
        scenario=scenario,
        seed=seed,
        track=Track(*track),
        rode=rode,
        curve=curve,
        holding=ground.holding,
        greatest_bow_load=float(peaks[0]),
        greatest_anchor_load=float(peaks[1]),
        greatest_lift=float(peaks[2]),
        places=places,
    )


def sail(
    anchored: Anchored,
    air: Floats,
    pace: float,
    stride: int,
    samples: int,
    moving: tuple[Floats, Floats, Floats, Floats],
    progress: Callable[[float], None] | None = None,
) -> tuple[Floats, Floats]:
    """Rows of a track and the peaks (load at the bow, at the anchor, N; lift, rad) of a watch.

    ``air``: its velocity north and east every ``pace`` s, m/s; ``stride``: steps to a sample; ``moving``:
    state, nodes and bonds, which are left as they are in the end, and the places to fill.
    """
    track, peaks = np.zeros((kernel.SAMPLED, samples)), np.zeros(3)
    step = SAMPLE_STEP / stride
    for first in range(0, samples, _CHUNK):
        last = min(first + _CHUNK, samples)
        state, nodes, bonds, places = moving
        kernel.march(
            *anchored, air, pace, step, stride, first, last, state, nodes, bonds, track, places, peaks
        )
        if progress is not None:
            progress(last / samples)
    return track, peaks


def surroundings(scenario: Scenario, rode: Rode) -> Setting:
    """What surrounds the boat and her rode, as the floats of the kernel."""
    depth, north, east = seabed.spot_floats(scenario.spot)
    return Setting(
        air=AIR,
        water=SEA_WATER,
        current_north=north,
        current_east=east,
        depth=depth,
        rise_north=rode.rises[0],
        rise_east=rode.rises[1],
        friction=rode.friction,
        height=rode.rise - depth,
        spread=rode.spread,
        drag=1.0,
    )


def mesh_of(rode: Rode, longest: float = LONGEST, anchor: float = 0.0) -> Line:
    """A rode in elements of ``longest`` m at the most, with an anchor of so many kg."""
    counts = tuple(max(_LEAST, math.ceil(segment.length / longest)) for segment in rode.segments)
    mesh = line_mesh.mesh(rode.segments, counts, rode.spread > 0.0)
    ropes = int(np.sum(mesh.elements[:, line_mesh.LAW] >= 0.0))
    return Line(mesh, ropes, anchor)


def blank_nodes(mesh: Mesh) -> Floats:
    """Nodes of a mesh at the origin, with their masses and metres of rode: (nodes, NODE)."""
    elements = mesh.elements
    nodes = np.zeros((len(elements) + 1, NODE))
    for k, row in enumerate(elements):
        for node in (lumped_line.lower(mesh, k), k + 1):
            nodes[node, OWN] += 0.5 * row[line_mesh.MASS]
            nodes[node, REACH] += 0.5 * row[line_mesh.LENGTH]
    return nodes


def longest_step(whole: Line) -> float:
    """The longest step (s) at which the line's motion along itself is stable.

    No frequency is above √(2 Σk/m) of a node between springs k (Gershgorin); with a share ζ of critical
    damping the step is at most 2(√(1 + ζ²) − ζ)/ω, for the damping is taken at the step's beginning.
    """
    mesh, nodes = whole.mesh, blank_nodes(whole.mesh)
    stiff = np.zeros(len(nodes))
    for k, row in enumerate(mesh.elements):
        most = row[line_mesh.STIFFNESS]
        if row[line_mesh.LAW] >= 0.0:
            law = mesh.laws[int(row[line_mesh.LAW])]
            most = np.diff(law).max() / row[line_mesh.STRAIN] / row[line_mesh.LENGTH] + row[line_mesh.BACKUP]
        for node in (lumped_line.lower(mesh, k), k + 1):
            stiff[node] += most
    fastest = math.sqrt(float((2.0 * stiff / nodes[:, OWN])[1:-1].max()))
    return 2.0 * (math.sqrt(1.0 + DAMPED**2) - DAMPED) / fastest


def lie(
    scenario: Scenario, body: Hull, setting: Setting, rode: Rode, mesh: Mesh, air: Floats
) -> tuple[Floats, Floats]:
    """State of the boat and nodes of the line, head to a wind (m/s north, east), where its push is borne."""
    speed = float(np.hypot(air[0], air[1]))
    heading = math.atan2(-air[1], -air[0]) if speed else 0.0
    push = -air_load(body, -speed, 0.0, setting.air)[0]
    bearing = heading + math.pi
    nodes = lay(rode, mesh, push, bearing, scenario.spot.slope_towards(bearing))
    state = np.zeros(kernel.STATE)
    state[kernel.DUG] = WELL_SET
    ends = [len(nodes) - 1, len(nodes) - 2] if mesh.bridle else [len(nodes) - 1]
    bow = nodes[ends, :2].mean(axis=0)
    state[:3] = bow[0] - body.roller * math.cos(heading), bow[1] - body.roller * math.sin(heading), heading
    return state, nodes


def lay(rode: Rode, mesh: Mesh, load: float, bearing: float, slope: float) -> Floats:
    """Nodes of the line at rest from the anchor towards a bearing (rad) under a horizontal load (N).

    ``slope`` (rad) is how the bottom rises that way.  What lies has been pulled out straight, so that
    friction holds all of it back.
    """
    spot: dict[str, Any] = {"segments": rode.segments, "rise": rode.rise, "friction": rode.friction,
                            "depth": rode.depth, "slope": slope, "horizontal_load": load}  # fmt: skip
    solved, shape = line.solve(**spot), line.shape(**spot, points=_POINTS)
    joints = np.cumsum([segment.length for segment in rode.segments])
    arcs = line.along(joints, solved.length_on_bottom, _POINTS)
    nodes, legs = blank_nodes(mesh), 1 if mesh.bridle else 0
    trunk = len(mesh.elements) - 2 * legs
    lengths = mesh.elements[:, line_mesh.LENGTH]
    arc = np.concatenate([[0.0], np.cumsum(lengths[: trunk + legs])])
    out, up = np.interp(arc, arcs, shape.x), np.interp(arc, arcs, shape.z) - rode.depth
    sunk = rode.segments[0].weight / lumped_line.BED  # into the bottom's spring, of what lies
    up[(arc > 0.0) & (arc < solved.length_on_bottom)] -= sunk
    across = np.zeros(len(arc))
    if legs:
        reach = out[-1] - out[trunk]
        apex = math.sqrt(max(reach**2 - (0.5 * rode.spread) ** 2, 0.0))
        share = np.linspace(0.0, 1.0, legs + 1)
        out[trunk:], across[trunk:] = out[trunk] + apex * share, 0.5 * rode.spread * share
    cosine, sine = math.cos(bearing), math.sin(bearing)
    count = len(arc)
    nodes[:count, 0] = out * cosine - across * sine
    nodes[:count, 1] = out * sine + across * cosine
    nodes[:count, 2] = up
    if legs:
        part = slice(trunk + 1, count)
        nodes[count:, 0] = out[part] * cosine + across[part] * sine
        nodes[count:, 1] = out[part] * sine - across[part] * cosine
        nodes[count:, 2] = up[part]
    held = rode.friction * sunk
    nodes[:, STUCK], nodes[:, STUCK + 1] = held * cosine, held * sine
    return nodes


def rest(
    whole: Line, setting: Setting, ground: seabed.Ground, roller: float, state: Floats, nodes: Floats,
    bonds: Floats, stride: int,
) -> None:  # fmt: skip
    """Let the line come to rest with the bow held."""
    samples = round(_REST / SAMPLE_STEP) + 1
    held, dug = whole._replace(anchor=math.inf), state[kernel.DUG]
    kernel.haul(
        held, setting, ground, seabed.uplift_table(), STILL, roller, _CALM, SAMPLE_STEP / stride, stride,
        0, samples, state, nodes, bonds, np.zeros((4, samples)), np.zeros((0, len(nodes), 3)), np.zeros(3),
    )  # fmt: skip
    state[kernel.DUG] = dug
