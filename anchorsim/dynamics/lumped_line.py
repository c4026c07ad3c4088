"""A rode of lumped masses, taken on by one small step: compiled into ``full_line_kernel``.

Axes: x north, y east, z up from the water's surface, all from where the anchor was let go.  Node 0 is the
anchor; element k joins node k, the nearer to it, to node k + 1, but for the first of a bridle's second leg,
which begins at the hook.  Half of an element's mass, weight and drag is at each of its ends.  SI floats.

Each step takes the speeds on by the forces at its beginning and then the places by the new speeds (symplectic
Euler), but for what ropes lose, which is taken at the step's end: its dashpot is too stiff for anything else.
numba keeps its cache by file: clear it when what is called from elsewhere changes.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from anchorsim.core.jit import inlined
from anchorsim.dynamics.anchor_kernel import OF_LATE, dig, resistance
from anchorsim.dynamics.boat_motion import Setting
from anchorsim.mooring.curve_kernel import Floats
from anchorsim.mooring.line_mesh import (
    ACROSS,
    ADDED,
    ALONG,
    BACKUP,
    IN_AIR,
    LAW,
    LENGTH,
    LOSS,
    LOSS_RATE,
    MASS,
    SLACK,
    STIFFNESS,
    STRAIN,
    WEIGHT,
    Mesh,
)
from anchorsim.scenario.site import Ground

# Columns of `nodes`: place, speed, how far the bottom's friction is strained, force, direction of the line;
# mass, metres of rode; of what is wet: mass of the water moved along, drag across and along; the inverse mass
# FREE·I + MORE·t tᵀ.
X, Y, Z, TO_X, TO_Y, TO_Z, STUCK, FORCE, WAY = 0, 1, 2, 3, 4, 5, 6, 9, 12
OWN, REACH, WET_ADDED, WET_ACROSS, WET_ALONG, FREE, MORE = range(15, 22)
NODE = 22
LATE = STUCK + 2  # of the anchor, which nothing strains: how fast it went of late, m/s
# Columns of `bonds`: unit vector, tension, the most that loss adds or takes, rate of strain; of the system
# for what is lost: rate of stretch before it, what slows that, dashpot, what is above the pivot, the loss.
UNIT, TENSION, LOSSES, RATE = 0, 3, 4, 5
STRETCHES, SLOWED, BY_NEXT, FACTOR, ABOVE, LOST = range(6, 12)
BOND = 12

BED = 2e4  # N/m² of the bottom for each metre of rode (judgement: loads hardly know it)
_BED_DAMPED = 0.5  # of critical (judgement)
DAMPED = 0.2  # of critical, what chain has of its own along itself: an element's highest mode (judgement)
_ROUNDS = 3  # of the ropes' loss in a step


class Line(NamedTuple):
    """A rode for the kernel: its mesh, how many of its elements are rope, the anchor's mass (kg)."""

    mesh: Mesh
    ropes: int
    anchor: float


class Felt(NamedTuple):
    """Loads at both ends: at the bow and at the anchor (N), lift there (rad)."""

    at_bow: float
    at_anchor: float
    uplift: float


@inlined
def lower(mesh: Mesh, k: int) -> int:
    """The node at which element k begins."""
    hook = mesh.elements.shape[0] - 2 if mesh.bridle else -1
    return hook if k == hook + 1 and mesh.bridle else k


@inlined
def under(a: float, b: float) -> float:
    """Share under water of a straight piece whose ends are so high above it."""
    if a <= 0.0 and b <= 0.0:
        return 1.0
    return max(-min(a, b), 0.0) / abs(a - b) if a != b else 0.0


@inlined
def tension(mesh: Mesh, k: int, longer: float, rate: float) -> tuple[float, float]:
    """Of element k that is stretched by so much (m) at a rate (m/s): tension, and what loss adds at most."""
    row = mesh.elements[k]
    if row[LAW] < 0.0:
        if longer <= 0.0:
            return 0.0, 0.0
        dashpot = DAMPED * math.sqrt(row[STIFFNESS] * row[MASS])
        return max(row[STIFFNESS] * longer + dashpot * rate, 0.0), 0.0
    if longer <= 0.0:
        return 0.0, 0.0
    law, place = int(row[LAW]), longer / row[LENGTH] / row[STRAIN]
    i = min(int(place), mesh.laws.shape[1] - 2)
    load = mesh.laws[law, i] + (place - i) * (mesh.laws[law, i + 1] - mesh.laws[law, i])
    behind = longer - row[SLACK]
    return load + (row[BACKUP] * behind if behind > 0.0 else 0.0), row[LOSS] * load


@inlined
def gather(mesh: Mesh, drag: float, nodes: Floats, bonds: Floats) -> None:
    """Put tensions into ``bonds``; into ``nodes`` their pull and weight, direction, what is wet."""
    for i in range(nodes.shape[0]):
        for c in range(FORCE, WAY + 3):
            nodes[i, c] = 0.0
        nodes[i, WET_ADDED] = nodes[i, WET_ACROSS] = nodes[i, WET_ALONG] = 0.0
    for k in range(mesh.elements.shape[0]):
        row, bond = mesh.elements[k], bonds[k]
        a, b = nodes[lower(mesh, k)], nodes[k + 1]
        x, y, z = b[X] - a[X], b[Y] - a[Y], b[Z] - a[Z]
        length = max(math.sqrt(x * x + y * y + z * z), 1e-9)
        x, y, z = x / length, y / length, z / length
        rate = x * (b[TO_X] - a[TO_X]) + y * (b[TO_Y] - a[TO_Y]) + z * (b[TO_Z] - a[TO_Z])
        load, losses = tension(mesh, k, length - row[LENGTH], rate)
        bond[UNIT], bond[UNIT + 1], bond[UNIT + 2] = x, y, z
        bond[TENSION], bond[LOSSES], bond[RATE] = load, losses, rate / row[LENGTH]
        middle = 0.5 * (a[Z] + b[Z])
        for end in range(2):
            node, sign = (a, 1.0) if end == 0 else (b, -1.0)
            wet = 0.5 * under(node[Z], middle)
            node[FORCE] += sign * load * x
            node[FORCE + 1] += sign * load * y
            node[FORCE + 2] += sign * load * z - 0.5 * row[IN_AIR] + wet * (row[IN_AIR] - row[WEIGHT])
            node[WAY] += x
            node[WAY + 1] += y
            node[WAY + 2] += z
            node[WET_ADDED] += wet * row[ADDED]
            node[WET_ACROSS] += wet * drag * row[ACROSS]
            node[WET_ALONG] += wet * drag * row[ALONG]


@inlined
def resist(setting: Setting, node: Floats) -> None:
    """Add to a node's force the water's drag, across and along the line."""
    x, y, z = node[TO_X] - setting.current_north, node[TO_Y] - setting.current_east, node[TO_Z]
    along = x * node[WAY] + y * node[WAY + 1] + z * node[WAY + 2]
    x, y, z = x - along * node[WAY], y - along * node[WAY + 1], z - along * node[WAY + 2]
    across = node[WET_ACROSS] * math.sqrt(x * x + y * y + z * z)
    along *= node[WET_ALONG] * abs(along)
    node[FORCE] -= across * x + along * node[WAY]
    node[FORCE + 1] -= across * y + along * node[WAY + 1]
    node[FORCE + 2] -= across * z + along * node[WAY + 2]


@inlined
def bear(setting: Setting, node: Floats, dt: float) -> None:
    """Add to a node's force what the bottom does where it lies: push, damping, friction that sticks.

    Friction is a spring from where the node has come to lie; it slips where that passes friction's limit.
    """
    north, east = -setting.rise_north, -setting.rise_east
    up = 1.0 / math.sqrt(1.0 + north * north + east * east)
    north, east = north * up, east * up
    deep = -(north * node[X] + east * node[Y] + up * (node[Z] + setting.depth))
    if deep <= 0.0:
        node[STUCK] = node[STUCK + 1] = node[STUCK + 2] = 0.0
        return
    stiff = BED * node[REACH]
    damped = 2.0 * _BED_DAMPED * math.sqrt(stiff * node[OWN])
    away = north * node[TO_X] + east * node[TO_Y] + up * node[TO_Z]
    push = max(stiff * deep - damped * away, 0.0)
    x, y, z = node[TO_X] - away * north, node[TO_Y] - away * east, node[TO_Z] - away * up
    node[STUCK] += dt * x
    node[STUCK + 1] += dt * y
    node[STUCK + 2] += dt * z
    x = -stiff * node[STUCK] - damped * x
    y = -stiff * node[STUCK + 1] - damped * y
    z = -stiff * node[STUCK + 2] - damped * z
    most, wanted = setting.friction * push, math.sqrt(x * x + y * y + z * z)
    if wanted > most:
        share = most / wanted
        x, y, z = share * x, share * y, share * z
        node[STUCK], node[STUCK + 1], node[STUCK + 2] = -x / stiff, -y / stiff, -z / stiff
    node[FORCE] += push * north + x
    node[FORCE + 1] += push * east + y
    node[FORCE + 2] += push * up + z


@inlined
def hasten(node: Floats, dt: float) -> None:
    """Take a node's speed on by its force; across the line what water moves with it counts as mass too."""
    free = 1.0 / (node[OWN] + node[WET_ADDED])
    more = 1.0 / node[OWN] - free
    along = more * (
        node[FORCE] * node[WAY] + node[FORCE + 1] * node[WAY + 1] + node[FORCE + 2] * node[WAY + 2]
    )
    node[TO_X] += dt * (free * node[FORCE] + along * node[WAY])
    node[TO_Y] += dt * (free * node[FORCE + 1] + along * node[WAY + 1])
    node[TO_Z] += dt * (free * node[FORCE + 2] + along * node[WAY + 2])
    node[FREE], node[MORE] = free, more


@inlined
def yields(node: Floats, a: Floats, b: Floats) -> float:
    """How much a unit pull at a node along b's direction hastens it along a's (1/kg)."""
    ab = a[UNIT] * b[UNIT] + a[UNIT + 1] * b[UNIT + 1] + a[UNIT + 2] * b[UNIT + 2]
    at = a[UNIT] * node[WAY] + a[UNIT + 1] * node[WAY + 1] + a[UNIT + 2] * node[WAY + 2]
    bt = b[UNIT] * node[WAY] + b[UNIT + 1] * node[WAY + 1] + b[UNIT + 2] * node[WAY + 2]
    return float(node[FREE] * ab + node[MORE] * at * bt)


@inlined
def nth(line: Line, p: int) -> tuple[int, int, float]:
    """Of ropes in a row, one leg of a bridle down and the other up: element, node before it, sign there."""
    elements = line.mesh.elements.shape[0]
    if line.mesh.bridle:
        return elements - 2 + p, elements - 2, 1.0
    k = elements - line.ropes + p
    return k, k, -1.0


@inlined
def couple(line: Line, nodes: Floats, bonds: Floats, dt: float) -> None:
    """Put into ``bonds`` how fast each rope stretches before it loses, and how its own loss slows that.

    And how the loss of the next in a row slows it, which is how its own slows that one.
    """
    for p in range(line.ropes):
        k, _, _ = nth(line, p)
        bond, below, above = bonds[k], nodes[lower(line.mesh, k)], nodes[k + 1]
        stretches = 0.0
        for c in range(3):
            stretches += bond[UNIT + c] * (above[TO_X + c] - below[TO_X + c])
        bond[STRETCHES] = stretches
        bond[RATE] = stretches / line.mesh.elements[k, LENGTH]
        bond[SLOWED] = dt * (yields(below, bond, bond) + yields(above, bond, bond))
        bond[BY_NEXT] = 0.0
        if p + 1 < line.ropes:
            following, between, sign = nth(line, p + 1)
            bond[BY_NEXT] = dt * sign * yields(nodes[between], bond, bonds[following])


@inlined
def lose(line: Line, nodes: Floats, bonds: Floats, dt: float) -> None:
    """Let ropes lose: tension ± LOSSES ε̇/√(ε̇² + ε̇₀²), with the rate ε̇ of the step's end.

    Each rope is a dashpot with the coefficient of its last known rate; all together are a tridiagonal system
    for what they lose, solved a few times over.
    """
    couple(line, nodes, bonds, dt)
    for _ in range(_ROUNDS):
        before, above, lost = 0.0, 0.0, 0.0
        for p in range(line.ropes):
            k, _, _ = nth(line, p)
            bond, length = bonds[k], line.mesh.elements[k, LENGTH]
            factor = bond[LOSSES] / (length * math.sqrt(bond[RATE] * bond[RATE] + LOSS_RATE * LOSS_RATE))
            pivot = 1.0 + factor * (bond[SLOWED] - before * above)
            lost = factor * (bond[STRETCHES] - before * lost) / pivot
            before = bond[BY_NEXT]
            above = factor * before / pivot
            bond[FACTOR], bond[ABOVE], bond[LOST] = factor, above, lost
        lost = 0.0
        for p in range(line.ropes - 1, -1, -1):
            k, _, _ = nth(line, p)
            bond = bonds[k]
            lost = bond[LOST] - bond[ABOVE] * lost
            bond[LOST] = lost
            if bond[FACTOR] > 0.0:
                bond[RATE] = lost / (bond[FACTOR] * line.mesh.elements[k, LENGTH])
    for p in range(line.ropes):
        k, _, _ = nth(line, p)
        bond = bonds[k]
        lost = min(max(bond[LOST], -bond[LOSSES]), bond[LOSSES])
        bond[LOST] = lost
        bond[TENSION] += lost
        push_on(nodes[lower(line.mesh, k)], bond, dt * lost)
        push_on(nodes[k + 1], bond, -dt * lost)


@inlined
def push_on(node: Floats, bond: Floats, impulse: float) -> None:
    """Give a node an impulse (N s) along an element; one whose inverse mass is 0 stays as it is."""
    along = 0.0
    for c in range(3):
        along += bond[UNIT + c] * node[WAY + c]
    for c in range(3):
        node[TO_X + c] += impulse * (node[FREE] * bond[UNIT + c] + node[MORE] * along * node[WAY + c])


@inlined
def at_ends(mesh: Mesh, nodes: Floats, bonds: Floats) -> tuple[float, float, float, float]:
    """Load at the bow (N), and the pull at the anchor to the north, to the east and up (N)."""
    last = mesh.elements.shape[0] - 1
    x = y = z = 0.0
    for leg in range(2 if mesh.bridle else 1):
        k = last - leg
        top, row, bond = nodes[k + 1], mesh.elements[k], bonds[k]
        wet = under(top[Z], 0.5 * (top[Z] + nodes[lower(mesh, k), Z]))
        x += bond[TENSION] * bond[UNIT]
        y += bond[TENSION] * bond[UNIT + 1]
        z += bond[TENSION] * bond[UNIT + 2] + 0.5 * (row[IN_AIR] + wet * (row[WEIGHT] - row[IN_AIR]))
    row, bond = mesh.elements[0], bonds[0]
    load = bond[TENSION]
    return (
        math.sqrt(x * x + y * y + z * z),
        load * bond[UNIT],
        load * bond[UNIT + 1],
        load * bond[UNIT + 2] - 0.5 * row[WEIGHT],
    )


@inlined
def haul_anchor(
    line: Line, setting: Setting, ground: Ground, by_angle: Floats, nodes: Floats, north: float, east: float,
    up: float, dug: float, dt: float,
) -> tuple[float, float, float]:  # fmt: skip
    """Move the anchor under a pull (N): how far it is dug in then, the load on it (N) and the lift (rad).

    What lies of the half element beside it takes its friction off the pull.  It slides along the bottom with
    its mass against its resistance, which holds it where that is more than the pull.
    """
    x, y = -setting.rise_north, -setting.rise_east
    z = 1.0 / math.sqrt(1.0 + x * x + y * y)
    x, y = x * z, y * z
    lifting = north * x + east * y + up * z
    north, east, up = north - lifting * x, east - lifting * y, up - lifting * z
    pull = math.sqrt(north * north + east * east + up * up)
    rubbed = min(setting.friction * max(-lifting, 0.0), pull)
    lifting, share = max(lifting, 0.0), 1.0 - (rubbed / pull if pull > 0.0 else 0.0)
    uplift = math.atan2(lifting, pull) if lifting > 0.0 else 0.0
    load = math.sqrt(pull * share * pull * share + lifting * lifting)
    anchor, hastened = nodes[0], dt * share / (line.anchor + nodes[0, OWN])
    to_x, to_y = anchor[TO_X] + hastened * north, anchor[TO_Y] + hastened * east
    to_z = anchor[TO_Z] + hastened * up
    speed = math.sqrt(to_x * to_x + to_y * to_y + to_z * to_z)
    slower = dt * resistance(ground, dug, uplift, by_angle) / (line.anchor + nodes[0, OWN])
    left = 1.0 - slower / speed if speed > slower else 0.0
    anchor[TO_X], anchor[TO_Y], anchor[TO_Z] = left * to_x, left * to_y, left * to_z
    anchor[LATE] += dt / (dt + OF_LATE) * (left * speed - anchor[LATE])
    return dig(ground, dug, dt * left * speed, uplift, anchor[LATE]), load, uplift


@inlined
def advance(
    line: Line, setting: Setting, ground: Ground, by_angle: Floats, nodes: Floats, bonds: Floats, dug: float,
    calm: float, dt: float,
) -> tuple[float, Felt]:  # fmt: skip
    """One step of all nodes but those at the bow, after ``gather``; how far the anchor is dug in, and loads.

    The bow's nodes have their places and speeds of the step's end.  ``calm`` (1/s) stops all motion, to let
    the line come to rest.
    """
    count, bridle = nodes.shape[0], line.mesh.bridle
    for i in range(count):
        node = nodes[i]
        if i == 0 or i == count - 1 or (bridle and i == count - 2):
            node[FREE] = node[MORE] = 0.0
            continue
        way = math.sqrt(node[WAY] * node[WAY] + node[WAY + 1] * node[WAY + 1] + node[WAY + 2] * node[WAY + 2])
        for c in range(3):
            node[WAY + c] = node[WAY + c] / way if way > 1e-9 else 0.0
        resist(setting, node)
        bear(setting, node, dt)
        if calm > 0.0:
            for c in range(3):
                node[FORCE + c] -= calm * node[OWN] * node[TO_X + c]
        hasten(node, dt)
    if line.ropes > 0:
        lose(line, nodes, bonds, dt)
    at_bow, north, east, up = at_ends(line.mesh, nodes, bonds)
    dug, at_anchor, uplift = haul_anchor(line, setting, ground, by_angle, nodes, north, east, up, dug, dt)
    for i in range(count):
        if nodes[i, FREE] > 0.0 or i == 0:
            for c in range(3):
                nodes[i, X + c] += dt * nodes[i, TO_X + c]
    return dug, Felt(at_bow, at_anchor, uplift)
