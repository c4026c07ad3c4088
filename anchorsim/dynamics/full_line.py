"""One spell with the whole line in motion: the slow reference that the quick motion is held against.

The rode is lumped masses in 3-D with all that acts on them, in elements and steps fine enough that finer ones
change nothing that matters.  Boat, wind and waves are those of the quick motion.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from anchorsim.dynamics import full_line_kernel as kernel
from anchorsim.dynamics import lumped_line
from anchorsim.dynamics.anchor_kernel import WELL_SET
from anchorsim.dynamics.boat_motion import Setting
from anchorsim.dynamics.hull_loads import air_load
from anchorsim.dynamics.lumped_line import DAMPED, NODE, OWN, REACH, STUCK, Line
from anchorsim.dynamics.motion_kernel import SAMPLE_STEP
from anchorsim.dynamics.wave_kernel import STILL, Sea
from anchorsim.mooring import line_mesh
from anchorsim.mooring import statics as line
from anchorsim.mooring.line_mesh import Mesh
from anchorsim.mooring.rode import Rode
from anchorsim.scenario import site
from anchorsim.scenario.vessel import Hull

Floats = NDArray[np.float64]
Anchored = tuple[Hull, Line, Setting, site.Ground, Floats, Sea]  # boat, rode, and what surrounds them

LONGEST = 1.25  # m of an element: half of it moves peaks by less than 2 %
_LEAST = 4  # elements of a segment
STEP_SHARE = 0.7  # of the longest step that is stable
_CALM = 4.0  # 1/s, of the damping in which the line comes to rest beforehand
_REST = 8.0  # s that it is given for that
_POINTS = 2000  # of the shape at rest that nodes are put on
_CHUNK = 100  # samples between two words of progress


def sail_through(
    body: Hull, setting: Setting, ground: site.Ground, sea: Sea, air: Floats, pace: float, rode: Rode,
    anchor: float, samples: int, *,
    longest: float = LONGEST,
    step_share: float = STEP_SHARE,
    keep_places: bool = False,
    progress: Callable[[float], None] | None = None,
) -> tuple[Floats, Floats, Floats]:  # fmt: skip
    """A spell with the whole line: its rows of samples, the greatest of all steps, where the nodes were.

    Arguments as ``swing.Watch`` has them; ``anchor``: its mass, kg; ``longest``: of elements, m;
    ``step_share``: the step as a share of the longest stable one; ``progress`` is told the share that is
    done.  Gives (SAMPLED, samples); load at the bow, at the anchor (N), lift (rad); and (samples, nodes, 3)
    metres north, east and up from the surface, with no rows unless ``keep_places``.
    """
    whole = mesh_of(rode, longest, anchor)
    state, nodes = equilibrium(body, setting, rode, whole.mesh, air[0])
    bonds = np.zeros((len(whole.mesh.elements), lumped_line.BOND))
    stride = math.ceil(SAMPLE_STEP / (step_share * longest_step(whole)))
    rest(whole, setting, ground, body.roller, state, nodes, bonds, stride)
    places = np.zeros((samples if keep_places else 0, len(nodes), 3))
    anchored = (body, whole, setting, ground, site.uplift_table(), sea)
    track, peaks = sail(anchored, air, pace, stride, samples, (state, nodes, bonds, places), progress)
    return track, peaks, places


def sail(
    anchored: Anchored,
    air: Floats,
    pace: float,
    stride: int,
    samples: int,
    moving: tuple[Floats, Floats, Floats, Floats],
    progress: Callable[[float], None] | None = None,
) -> tuple[Floats, Floats]:
    """Rows of a track and the peaks (load at the bow, at the anchor, N; lift, rad) of a spell.

    ``air``: its velocity north and east every ``pace`` s, m/s; ``stride``: steps to a sample; ``moving``:
    state, nodes and bonds, which are left as they are in the end, and the places to fill.
    """
    track, peaks = np.zeros((kernel.SAMPLED, samples)), np.zeros(3)
    step = SAMPLE_STEP / stride
    for first in range(0, samples, _CHUNK):
        last = min(first + _CHUNK, samples)
        state, nodes, bonds, places = moving
        kernel.integrate(
            *anchored, air, pace, step, stride, first, last, state, nodes, bonds, track, places, peaks
        )
        if progress is not None:
            progress(last / samples)
    return track, peaks


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


def equilibrium(body: Hull, setting: Setting, rode: Rode, mesh: Mesh, air: Floats) -> tuple[Floats, Floats]:
    """State of the boat and nodes of the line, head to a wind (m/s north, east), where its push is borne."""
    speed = float(np.hypot(air[0], air[1]))
    heading = math.atan2(-air[1], -air[0]) if speed else 0.0
    push = -air_load(body, -speed, 0.0, setting.air)[0]
    bearing = heading + math.pi
    slope = math.atan(setting.rise_north * math.cos(bearing) + setting.rise_east * math.sin(bearing))
    nodes = lay(rode, mesh, push, bearing, slope)
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
    there = replace(rode, slope=slope)
    solved, shape = there.solve(load).si, there.shape(load, _POINTS).si
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
    whole: Line, setting: Setting, ground: site.Ground, roller: float, state: Floats, nodes: Floats,
    bonds: Floats, stride: int,
) -> None:  # fmt: skip
    """Let the line come to rest with the bow held."""
    samples = round(_REST / SAMPLE_STEP) + 1
    held, dug = whole._replace(anchor=math.inf), state[kernel.DUG]
    kernel.haul(
        held, setting, ground, site.uplift_table(), STILL, roller, _CALM, SAMPLE_STEP / stride, stride,
        0, samples, state, nodes, bonds, np.zeros((4, samples)), np.zeros((0, len(nodes), 3)), np.zeros(3),
    )  # fmt: skip
    state[kernel.DUG] = dug
