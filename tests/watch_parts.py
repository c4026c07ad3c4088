"""What the tests of the motion share: a spell put together from parts that can be left out or looked into."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from anchorsim import line
from anchorsim.dynamics import simulation
from anchorsim.dynamics.line_motion import EX, EZ, NODE, TAUT, TENSION, WET, U, X, Z
from anchorsim.dynamics.line_motion import ROW as ROW_WIDTH
from anchorsim.dynamics.motion_kernel import AHEAD, SAMPLED, STATE, State, integrate
from anchorsim.dynamics.wave_kernel import STILL
from anchorsim.mooring.line_mesh import (
    ACROSS,
    ADDED,
    ALONG,
    BACKUP,
    IN_AIR,
    LAW,
    LENGTH,
    LOSS,
    MASS,
    SLACK,
    STIFFNESS,
    STRAIN,
    WEIGHT,
    Mesh,
    mesh,
)
from anchorsim.mooring.rode import Rode
from anchorsim.scenario import site
from anchorsim.scenario.scenario import Scenario

KNOT = 1852.0 / 3600.0
# An anchor that nothing moves, so that dragging does not cap the load: far too heavy, in stiff clay; and for
# what would move even that, at the far end of the scatter of its holding.
HEAVY = {"tackle.anchor.mass": "200 kg", "spot.bottom": "stiff clay"}
SURE = 0.99
ROW = {
    "time": 0,
    "x": 1,
    "y": 2,
    "heading": 3,
    "at_bow": 4,
    "at_anchor": 5,
    "uplift": 6,
    "anchor_x": 9,
    "anchor_y": 10,
}
UPLIFT = site.uplift_table()


@dataclass(frozen=True)
class Spell:
    """A spell of the package and the rode that it lies to; the wind is given anew with each leg."""

    whole: simulation.Spell
    rode: Rode
    curve: line.Curve

    @property
    def body(self):
        return self.whole.body

    @property
    def setting(self):
        return self.whole.setting

    @property
    def mesh(self) -> Mesh:
        return self.whole.mesh

    @property
    def last(self) -> int:
        """The bow roller's node, or with a bridle the port strong point's."""
        return len(self.mesh.elements) - (1 if self.mesh.bridle else 0)

    def boat(self, **changes: Any) -> Spell:
        return replace(self, whole=replace(self.whole, body=self.body._replace(**changes)))

    def around(self, **changes: Any) -> Spell:
        return replace(self, whole=replace(self.whole, setting=self.setting._replace(**changes)))

    def ground(self, **changes: Any) -> Spell:
        return replace(self, whole=replace(self.whole, ground=self.whole.ground._replace(**changes)))

    def put(self, **changes: Any) -> Spell:
        """With another sea, or another mesh."""
        return replace(self, whole=replace(self.whole, **changes))

    def elements(self, **changes: float) -> Spell:
        """With columns of the mesh set to a value: ``LOSS=0.0``."""
        columns = {"LOSS": LOSS, "ACROSS": ACROSS, "ALONG": ALONG, "ADDED": ADDED, "SLACK": SLACK}
        elements = self.mesh.elements.copy()
        for name, value in changes.items():
            elements[:, columns[name]] = value
        return self.put(mesh=self.mesh._replace(elements=elements))

    def without_damping(self) -> Spell:
        """No drag of hull or rode, no air, no loss in rope, no friction of what lies."""
        dry = self.boat(
            strip_drag=(0.0,) * 7,
            surge_drag=0.0,
            astern_drag=0.0,
            wave_drag=0.0,
            hump_drag=0.0,
            keel_lift_slope=0.0,
            rudder_lift_slope=0.0,
            plate_drag=0.0,
        )
        return dry.around(air=0.0, friction=0.0, drag=0.0).elements(LOSS=0.0)

    def fast(self) -> Spell:
        """A boat that nothing moves."""
        return self.boat(mass=1e30, yaw_inertia=1e30, added_sway_yaw=0.0).around(air=0.0)

    def at_rest(self, wind: float = 0.0) -> State:
        """Lying head to a steady wind from the north, m/s, the rode at rest by the water's drag."""
        wet = self.boat(surge_drag=1.0).around(drag=1.0).whole
        return simulation.equilibrium(replace(wet, wind=np.array([[-wind, 0.0]] * 2)), self.curve, self.rode)

    def sail(
        self, state: State, air: Any, seconds: float, dt: float = 0.1, stride: int = 1, substeps: int = 3
    ) -> np.ndarray:
        """Samples of a spell in air given every 0.25 s, or steady as one row; moves ``state``."""
        air = np.array(air, dtype=float).reshape(-1, 2)
        wind = np.repeat(air, 2, axis=0) if len(air) == 1 else air
        w, rows = self.whole, np.empty((SAMPLED, round(seconds / dt / stride) + 1))
        integrate(
            w.body, w.setting, w.mesh, w.ground, UPLIFT, w.sea, wind, 0.25, state, dt, stride, substeps,
            rows, np.zeros(3),
        )  # fmt: skip
        return rows.T

    def follow(self, state: State, seconds: float, every: float, step: float) -> Iterator[np.ndarray]:
        """In a calm: the last sample of each leg of ``every`` s in steps of ``step``; look into ``state``."""
        for _ in range(round(seconds / every)):
            yield self.sail(state, [0.0, 0.0], every, dt=every, substeps=round(every / step))[-1]

    def energy(self, state: State) -> float:
        """Kinetic with added mass in still water, stretch, weight and the bottom's give, J."""
        b, boat = self.body, state.boat
        moving = np.array(
            [
                [b.mass + b.added_surge, 0.0, 0.0],
                [0.0, b.mass + b.added_sway, b.added_sway_yaw],
                [0.0, b.added_sway_yaw, b.yaw_inertia + b.added_yaw],
            ]
        )
        speeds = boat[AHEAD : AHEAD + 3]
        return float(0.5 * speeds @ moving @ speeds) + self.line_energy(state)

    def line_energy(self, state: State) -> float:
        """That of the rode alone, its ends' halves of mass left out, J; all of it in water."""
        total, nodes = 0.0, state.nodes
        share = np.zeros((len(nodes), 4))  # of each node: mass, added mass, weight, length
        tangent = np.zeros((len(nodes), 3))
        for k, element in enumerate(self.mesh.elements):
            low, up = self.ends(k)
            way = nodes[up, X : Z + 1] - nodes[low, X : Z + 1]
            far = float(np.linalg.norm(way))
            total += stretched(element, self.mesh.laws, far)
            for end in (low, up):
                share[end] += 0.5 * element[[MASS, ADDED, WEIGHT, LENGTH]]
                tangent[end] += way / far
        for k in range(1, self.last):
            t = tangent[k] / np.linalg.norm(tangent[k])
            v = nodes[k, U : U + 3]
            along = float(v @ t)
            mass, added, weight, length = share[k]
            total += 0.5 * (mass + added) * float(v @ v) - 0.5 * added * along**2 + weight * nodes[k, Z]
            total += 0.5 * 2e4 * length * max(self.bed(nodes[k]) - nodes[k, Z], 0.0) ** 2
        return total

    def bed(self, node: np.ndarray) -> float:
        """Height of the bottom at a node, m."""
        s = self.setting
        return float(s.rise_north * node[X] + s.rise_east * node[X + 1] - s.depth)

    def ends(self, k: int) -> tuple[int, int]:
        """The nodes of an element."""
        second = self.mesh.bridle and k == len(self.mesh.elements) - 1
        return (k - 1, k + 1) if second else (k, k + 1)

    def anchor_pull(self, state: State) -> np.ndarray:
        """What pulls at the anchor, N: north, east, up."""
        row, element = state.rows[0], self.mesh.elements[0]
        weight = element[IN_AIR] + (element[WEIGHT] - element[IN_AIR]) * row[WET]
        return row[TENSION] * row[EX : EZ + 1] - np.array([0.0, 0.0, 0.5 * weight])


def stretched(element: np.ndarray, laws: np.ndarray, far: float) -> float:
    """Energy of an element's stretch, J: ½ks² of chain, the area under a rope's table."""
    stretch = max(far - element[LENGTH], 0.0)
    if element[LAW] < 0.0:
        return 0.5 * float(element[STIFFNESS]) * stretch**2
    loads, step = laws[int(element[LAW])], element[LENGTH] * element[STRAIN]
    place = stretch / step
    i = min(int(place), len(loads) - 2)
    part = place - i
    gain = loads[i + 1] - loads[i]
    area = float(np.sum(0.5 * (loads[1 : i + 1] + loads[:i]))) + part * loads[i] + 0.5 * part**2 * gain
    return area * step + 0.5 * float(element[BACKUP]) * max(stretch - element[SLACK], 0.0) ** 2


def watch(changes: Mapping[str, Any] | None = None, elements: int = 4, **more: Any) -> Spell:
    """The parts of a scenario: the standard one with an anchor that holds, and some paths changed."""
    scenario = Scenario().vary({**HEAVY, **(changes or {}), **more})
    rode, curve = simulation.laid_out(scenario)
    whole = simulation.prepare(scenario, rode, elements=elements)
    parts = Spell(whole, rode, curve)
    return parts.ground(holding=math.inf)


def on_a_line(
    parts: Spell, *segments: line.Segment, rise: float = 0.01, depth: float = 30.0, elements: int = 1
) -> Spell:
    """The same boat on a line of other make, all in water, ``rise`` above the anchor, without friction."""
    rode = replace(
        parts.rode, segments=tuple(segments), rise=rise, depth=depth, friction=0.0, slope=0.0,
        rises=(0.0, 0.0), spread=0.0,
    )  # fmt: skip
    curve = rode.curve()
    around = parts.around(
        depth=depth, height=rise - depth, friction=0.0, rise_north=0.0, rise_east=0.0, spread=0.0
    )
    return replace(
        around.put(mesh=mesh(rode.segments, (elements,) * len(rode.segments), False)), rode=rode, curve=curve
    )


STRING = 1e4  # m of string between an end that is let go and the boat or the anchor


def loose(
    parts: Spell, segment: line.Segment, places: np.ndarray, depth: float, hangs: bool = False
) -> tuple[Spell, State]:
    """A length of line let go in the water: its nodes, from 1 on, at ``places`` (n, 3), at rest.

    Slack weightless strings, in line with it, go from its ends to the anchor and to a boat that nothing
    moves; if it ``hangs``, its upper end is made fast to her instead.
    """
    own = mesh((segment,), (len(places) - 1,), False)
    string = np.zeros(own.elements.shape[1])
    string[[LENGTH, MASS, STIFFNESS, LAW, SLACK]] = STRING, 1e-6, 1.0, -1.0, math.inf
    pieces = [string[None], own.elements] + ([] if hangs else [string[None]])
    way = places[-1] - places[0]
    way = 1000.0 * way / np.linalg.norm(way)
    foot, top = [*(places[0] - way)[:2], -depth], places[-1] if hangs else places[-1] + way
    parts = parts.fast().put(mesh=own._replace(elements=np.vstack(pieces)), sea=STILL).around(
        depth=depth, height=float(top[2]), rise_north=0.0, rise_east=0.0, spread=0.0
    )  # fmt: skip
    nodes = np.zeros((len(parts.mesh.elements) + 1, NODE))
    nodes[:, X : Z + 1] = np.vstack([foot, places] + ([] if hangs else [top]))
    boat = np.zeros(STATE)
    boat[:2] = nodes[-1, X : X + 2] - [parts.body.roller, 0.0]
    return parts, State(boat, nodes, settled(parts, nodes))


def settled(parts: Spell, nodes: np.ndarray, tension: float = 0.0) -> np.ndarray:
    """Rows of the elements as the nodes lie."""
    rows = np.zeros((len(parts.mesh.elements), ROW_WIDTH))
    for k in range(len(rows)):
        low, up = parts.ends(k)
        way = nodes[up, X : Z + 1] - nodes[low, X : Z + 1]
        rows[k, EX : EZ + 1] = way / np.linalg.norm(way)
    rows[:, WET], rows[:, TAUT], rows[:, TENSION] = 1.0, 1.0, tension
    return rows


def crossings(time: np.ndarray, values: np.ndarray) -> np.ndarray:
    """When a swinging value goes up through nought, by straight lines between samples."""
    i = np.flatnonzero((values[:-1] < 0.0) & (values[1:] >= 0.0))
    return time[i] - values[i] * (time[i + 1] - time[i]) / (values[i + 1] - values[i])
