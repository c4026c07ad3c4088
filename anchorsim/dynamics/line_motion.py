"""The rode in the water: one step of a line cut into elements, solved for its tensions.

The line has its mass at its nodes, with the water that moves with it; drag across and along, quadratic in
the speed through the water; the bottom as a spring that is stiff beside the line's weight, with friction;
elements that stretch as chain or rope does and never push.  Drag, bottom and tensions are taken implicitly
over a step, about the places that the old speeds lead to: a step of a tenth of a second is stable on steel.
The tensions come from one linear system, tridiagonal along the line (the constraint forces of a chain of
bodies, with compliance); those that come out below nothing are let go and the rest solved again.

Node k is the lower end of element k, node 0 the anchor.  Without a bridle node T, the last, is the bow
roller.  With one node T - 1 is the hook, T and T + 1 the strong points; element T is the second leg.
Plain SI floats, z up from the water's surface; `rows` of scratch, one an element, and `nodes`, one a node.
"""

from __future__ import annotations

import math

from anchorsim.core.jit import inlined
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
)

# columns of `nodes`: place and speed; what the water, the bottom and its weight add to its speed in a step
# (m/s); what a push of each N s adds to it: LEVEL to the sides and UPRIGHT upwards (1/kg), less SHARE times
# the vector LEANS for what of the push is along that; what the bottom bears of it (N), and how much less for
# each m/s upwards; where the bottom's friction holds it
X, Y, Z, U, V, W, FREE, LEVEL, UPRIGHT, SHARE, LEANS, BORNE, STOP = 0, 1, 2, 3, 4, 5, 6, 9, 10, 11, 12, 15, 16
HELD_X, HELD_Y = 17, 18
NODE = 19
# columns of `rows`: unit vector up the line; tension (N); how wet it is; tension over length (N/m); of the
# system: own compliance, coupling to the row before and to a bridle's second leg (m/N), right side (m); what
# elimination leaves: 1 over compliance, right side, and a second right side, that leg's; whether it is taut
EX, EY, EZ, TENSION, WET, STIFF, DIAGONAL, BEFORE, BORDER, RIGHT, LEFT, SOLVED, BORDERED, TAUT = range(14)
ROW = 14

Vector = tuple[float, float, float]

_BOTTOM = 2e4  # N/m for each metre of rode: stiff beside its weight; its figure changes nothing (judgement)
_BOTTOM_DAMPING = 0.02  # s, damping over stiffness of the bottom (judgement)
_ROUNDS = 8  # of letting slack elements go, at the most
_LEAST = 1e-9


@inlined
def stretch_element(
    rows: Floats, laws: Floats, elements: Floats, k: int, far: float, rate: float, h: float
) -> None:
    """Put an element's compliance and right side into its row: at ``far`` m long, growing by ``rate`` m/s.

    Chain is damped over half a step, for the time's sake; rope by its own loss.  Linear about where the old
    speeds lead to.
    """
    stretch = far - elements[k, LENGTH]
    if elements[k, LAW] < 0.0:
        share = 2.0 / 3.0  # h over h and the half step of damping
        rows[k, DIAGONAL] = share / elements[k, STIFFNESS]
        rows[k, RIGHT] = share * stretch + (1.0 - share) * h * rate
        return
    law, last = int(elements[k, LAW]), laws.shape[1] - 1
    each = 1.0 / (elements[k, LENGTH] * elements[k, STRAIN])
    place = max(stretch, 0.0) * each
    i = min(int(place), last - 1)
    gain = laws[law, i + 1] - laws[law, i]
    stiffness = gain * each
    load = laws[law, i] + (place - i) * gain if stretch > 0.0 else stretch * stiffness
    pace = LOSS_RATE * elements[k, LENGTH]
    part = 1.0 / math.sqrt(rate * rate + pace * pace)
    factor = 1.0 + elements[k, LOSS] * rate * part
    slope = max(load, 0.0) * elements[k, LOSS] * part  # the secant's: by the tangent it flips at each step
    load, stiffness = load * factor, stiffness * factor
    if stretch > elements[k, SLACK]:
        load += elements[k, BACKUP] * (stretch - elements[k, SLACK])
        stiffness += elements[k, BACKUP]
    rows[k, DIAGONAL] = h / (h * stiffness + slope)
    rows[k, RIGHT] = rows[k, DIAGONAL] * load


@inlined
def lie_along(
    rows: Floats, nodes: Floats, elements: Floats, laws: Floats, k: int, low: int, up: int, h: float
) -> None:
    """Direction, wetness and compliance of element ``k`` between two nodes, where their old speeds lead."""
    u, v, w = nodes[up, U] - nodes[low, U], nodes[up, V] - nodes[low, V], nodes[up, W] - nodes[low, W]
    x, y = nodes[up, X] - nodes[low, X] + h * u, nodes[up, Y] - nodes[low, Y] + h * v
    under, over = nodes[low, Z] + h * nodes[low, W], nodes[up, Z] + h * nodes[up, W]
    z = over - under
    far = math.sqrt(x * x + y * y + z * z) + _LEAST
    each = 1.0 / far
    x, y, z = x * each, y * each, z * each
    rows[k, EX], rows[k, EY], rows[k, EZ] = x, y, z
    rows[k, STIFF] = rows[k, TENSION] * each
    rows[k, WET] = 1.0
    if over > 0.0 or under > 0.0:
        top, foot = max(under, over), min(under, over)
        rows[k, WET] = 0.0 if foot >= 0.0 else -foot / (top - foot)
    stretch_element(rows, laws, elements, k, far, u * x + v * y + w * z, h)


@inlined
def half(rows: Floats, elements: Floats, k: int) -> tuple[float, float, float, float, float, float]:
    """Of half an element: kg, kg moved with it across, drag across and along (N s²/m²), weight (N), m."""
    wet = 0.5 * rows[k, WET]
    weight = 0.5 * elements[k, IN_AIR] + wet * (elements[k, WEIGHT] - elements[k, IN_AIR])
    mass, added, length = 0.5 * elements[k, MASS], wet * elements[k, ADDED], 0.5 * elements[k, LENGTH]
    return mass, added, wet * elements[k, ACROSS], wet * elements[k, ALONG], weight, length


@inlined
def rubs(nodes: Floats, k: int, most: float, firm: float, h: float) -> tuple[float, float, float]:
    """The bottom's friction on a node: north and east (N), and how much less of it for each m/s (N s/m).

    It gives like a spring, ``firm`` N/m, about the place where it holds the node; where that would take more
    than ``most`` N, the node slides and the place follows it (Coulomb's law, elastic and plastic).
    """
    x, y = nodes[k, X] - nodes[k, HELD_X], nodes[k, Y] - nodes[k, HELD_Y]
    far = firm * math.sqrt(x * x + y * y)
    if nodes[k, STOP] == 0.0 or far > most:
        held = 0.0 if nodes[k, STOP] == 0.0 else most / far
        x, y = held * x, held * y
        nodes[k, HELD_X], nodes[k, HELD_Y] = nodes[k, X] - x, nodes[k, Y] - y
    x, y = x + h * nodes[k, U], y + h * nodes[k, V]
    far = math.sqrt(x * x + y * y)
    if firm * far > most:
        firm = most / far
    return -firm * x, -firm * y, h * firm


@inlined
def free_node(
    setting: Setting, rows: Floats, nodes: Floats, elements: Floats, k: int, beside: int, h: float
) -> None:
    """What the water, the bottom and its weight do to a node in a step, and how hard it is then to move.

    ``beside`` is the element of a bridle's second leg where the node is its hook, else below 0.  The inverse
    is that of a diagonal and of a part along the line (Sherman & Morrison 1950).
    """
    mass, added, across, along, weight, length = half(rows, elements, k - 1)
    more = half(rows, elements, k)
    mass, added, across, along = mass + more[0], added + more[1], across + more[2], along + more[3]
    weight, length, stiff = weight + more[4], length + more[5], rows[k - 1, STIFF] + rows[k, STIFF]
    x, y, z = rows[k - 1, EX] + rows[k, EX], rows[k - 1, EY] + rows[k, EY], rows[k - 1, EZ] + rows[k, EZ]
    lifts = rows[k, TENSION] * rows[k, EZ] - rows[k - 1, TENSION] * rows[k - 1, EZ]
    if beside >= 0:
        lifts += rows[beside, TENSION] * rows[beside, EZ]
        x, y, z = x + rows[beside, EX], y + rows[beside, EY], z + rows[beside, EZ]
        more = half(rows, elements, beside)
        mass, added, across, along = mass + more[0], added + more[1], across + more[2], along + more[3]
        weight, length, stiff = weight + more[4], length + more[5], stiff + rows[beside, STIFF]
    square = 1.0 / (x * x + y * y + z * z + _LEAST * _LEAST)
    u, v, w = nodes[k, U], nodes[k, V], nodes[k, W]
    past_x, past_y = u - setting.current_north, v - setting.current_east
    run = (past_x * x + past_y * y + w * z) * square
    run_x, run_y, run_z = run * x, run * y, run * z
    side_x, side_y, side_z = past_x - run_x, past_y - run_y, w - run_z
    across *= setting.drag * math.sqrt(side_x * side_x + side_y * side_y + side_z * side_z)
    along *= setting.drag * math.sqrt(run_x * run_x + run_y * run_y + run_z * run_z)
    push_x, push_y = -across * side_x - along * run_x, -across * side_y - along * run_y
    push_z = -across * side_z - along * run_z - weight
    stay, stay_along = max(mass + added + h * across, 2.0 * h * h * stiff), mass + h * along
    easy = 1.0 / stay
    bed = (
        setting.rise_north * (nodes[k, X] + h * u) + setting.rise_east * (nodes[k, Y] + h * v) - setting.depth
    )
    deep = bed - nodes[k, Z]
    rises = w + h * (push_z + lifts) * easy  # as fast as it would without the bottom
    if deep > h * rises and deep > (h + _BOTTOM_DAMPING) * rises:
        borne, firm = nodes[k, BORNE], length * _BOTTOM
        rub_x, rub_y, rub = rubs(nodes, k, setting.friction * borne, firm, h)
        push_x += rub_x - borne * setting.rise_north
        push_y += rub_y - borne * setting.rise_east
        borne, stop = firm * (deep - (h + _BOTTOM_DAMPING) * w), firm * (_BOTTOM_DAMPING + h)
        nodes[k, BORNE], nodes[k, STOP] = borne, stop
        push_z += borne
        level, upright, part = stay + h * rub, stay + h * stop, (stay_along - stay) * square
        both = level * upright
        nodes[k, LEVEL], nodes[k, UPRIGHT] = 1.0 / level, 1.0 / upright
        x, y, inclined, z = x * upright, y * upright, (x * x + y * y) * upright + z * z * level, z * level
        nodes[k, SHARE] = part / (both * (both + part * inclined))
    else:
        nodes[k, BORNE], nodes[k, STOP] = 0.0, 0.0
        nodes[k, LEVEL], nodes[k, UPRIGHT] = easy, easy
        nodes[k, SHARE] = (easy - 1.0 / stay_along) * square
    nodes[k, LEANS], nodes[k, LEANS + 1], nodes[k, LEANS + 2] = x, y, z
    nodes[k, FREE], nodes[k, FREE + 1], nodes[k, FREE + 2] = h * push_x, h * push_y, h * push_z


@inlined
def yields(nodes: Floats, k: int, x: float, y: float, z: float) -> Vector:
    """Speed that a node gains from a push of so many N s."""
    part = nodes[k, SHARE] * (nodes[k, LEANS] * x + nodes[k, LEANS + 1] * y + nodes[k, LEANS + 2] * z)
    return (
        nodes[k, LEVEL] * x - part * nodes[k, LEANS],
        nodes[k, LEVEL] * y - part * nodes[k, LEANS + 1],
        nodes[k, UPRIGHT] * z - part * nodes[k, LEANS + 2],
    )


@inlined
def couple(nodes: Floats, k: int, rows: Floats, one: int, other: int) -> float:
    """Speed along one element that a node gains from each N s along another (1/kg)."""
    x, y, z = yields(nodes, k, rows[one, EX], rows[one, EY], rows[one, EZ])
    return float(x * rows[other, EX] + y * rows[other, EY] + z * rows[other, EZ])


@inlined
def gained(nodes: Floats, k: int, rows: Floats, one: int) -> float:
    """What a node gains in speed along an element by all but the tensions (m/s)."""
    x, y, z = nodes[k, FREE], nodes[k, FREE + 1], nodes[k, FREE + 2]
    return float(x * rows[one, EX] + y * rows[one, EY] + z * rows[one, EZ])


@inlined
def set_up(
    setting: Setting, rows: Floats, nodes: Floats, elements: Floats, laws: Floats, count: int, bridle: bool,
    h: float,
) -> None:  # fmt: skip
    """Put the system of a step into ``rows``; the ends' gains in speed are in ``nodes`` already."""
    square, last = h * h, count - 1
    for k in range(count):
        lie_along(rows, nodes, elements, laws, k, k, k + 1, h)
    if bridle:
        lie_along(rows, nodes, elements, laws, count, last, count + 1, h)
    for k in range(1, count):
        free_node(setting, rows, nodes, elements, k, count if bridle and k == last else -1, h)
    rows[0, BEFORE] = 0.0
    rows[0, RIGHT] -= h * gained(nodes, 0, rows, 0)
    for k in range(1, count):
        x, y, z = yields(nodes, k, nodes[k, FREE], nodes[k, FREE + 1], nodes[k, FREE + 2])
        nodes[k, FREE], nodes[k, FREE + 1], nodes[k, FREE + 2] = x, y, z
        rows[k - 1, DIAGONAL] += square * couple(nodes, k, rows, k - 1, k - 1)
        rows[k - 1, RIGHT] += h * gained(nodes, k, rows, k - 1)
        rows[k, DIAGONAL] += square * couple(nodes, k, rows, k, k)
        rows[k, RIGHT] -= h * gained(nodes, k, rows, k)
        rows[k, BEFORE] = -square * couple(nodes, k, rows, k - 1, k)
    rows[last, RIGHT] += h * gained(nodes, count, rows, last)
    if bridle:
        rows[count, DIAGONAL] += square * couple(nodes, last, rows, count, count)
        rows[count, RIGHT] += h * (gained(nodes, count + 1, rows, count) - gained(nodes, last, rows, count))
        rows[last, BORDER] = square * couple(nodes, last, rows, count, last)
        rows[last - 1, BORDER] = -square * couple(nodes, last, rows, count, last - 1)


@inlined
def eliminate(rows: Floats, count: int) -> None:
    """Tensions of the taut elements from the system in ``rows``, as if there were no second leg."""
    ahead, solved = 0.0, 0.0
    for k in range(count):
        if rows[k, TAUT] > 0.0:
            part = rows[k, BEFORE] * ahead
            ahead, solved = 1.0 / (rows[k, DIAGONAL] - part * rows[k, BEFORE]), rows[k, RIGHT] - part * solved
            rows[k, LEFT], rows[k, SOLVED] = ahead, solved
        else:
            ahead, solved = 0.0, 0.0
    tension, before = 0.0, 0.0
    for k in range(count - 1, -1, -1):
        tension = (rows[k, SOLVED] - before * tension) * rows[k, LEFT] if rows[k, TAUT] > 0.0 else 0.0
        rows[k, TENSION], before = tension, rows[k, BEFORE]


@inlined
def add_leg(rows: Floats, count: int) -> None:
    """Put the tension of a bridle's second leg into its row, and take its share from the others' tensions."""
    for k in (count - 2, count - 1):
        rows[k, BORDERED] = rows[k, BORDER]
    if rows[count - 2, TAUT] > 0.0:
        part = rows[count - 1, BEFORE] * rows[count - 2, LEFT]
        rows[count - 1, BORDERED] -= part * rows[count - 2, BORDER]
    share, before = 0.0, 0.0
    for k in range(count - 1, -1, -1):
        own = rows[k, BORDERED] if k >= count - 2 else 0.0
        share = (own - before * share) * rows[k, LEFT] if rows[k, TAUT] > 0.0 else 0.0
        rows[k, BORDERED], before = share, rows[k, BEFORE]
    left, right = rows[count, DIAGONAL], rows[count, RIGHT]
    for k in (count - 2, count - 1):
        left -= rows[k, BORDER] * rows[k, BORDERED]
        right -= rows[k, BORDER] * rows[k, TENSION]
    tension = right / left if rows[count, TAUT] > 0.0 else 0.0
    for k in range(count):
        rows[k, TENSION] -= rows[k, BORDERED] * tension
    rows[count, TENSION], rows[count, SOLVED] = tension, right


@inlined
def pull_taut(rows: Floats, count: int, bridle: bool) -> None:
    """Tensions of a line none of whose elements pushes: what would is let go, what then would pull, pulls."""
    for _ in range(_ROUNDS):
        eliminate(rows, count)
        if bridle:
            add_leg(rows, count)
        same = True
        for k in range(count + 1 if bridle else count):
            if rows[k, TAUT] > 0.0:
                if rows[k, TENSION] < 0.0:
                    rows[k, TAUT], same = 0.0, False
                continue
            miss = rows[k, SOLVED] if k == count else rows[k, RIGHT]
            if k < count:
                miss -= rows[k, BEFORE] * rows[k - 1, TENSION] if k > 0 else 0.0
                miss -= rows[k + 1, BEFORE] * rows[k + 1, TENSION] if k + 1 < count else 0.0
                miss -= rows[k, BORDER] * rows[count, TENSION] if bridle and k >= count - 2 else 0.0
            if miss > 0.0:
                rows[k, TAUT], same = 1.0, False
        if same:
            return
    for k in range(count + 1 if bridle else count):
        rows[k, TENSION] = max(rows[k, TENSION], 0.0)


@inlined
def at_anchor(setting: Setting, rows: Floats, elements: Floats) -> tuple[float, float, float, float]:
    """The pull at the anchor (N), its lift above the bottom (rad), its way along that, north and east."""
    weight = elements[0, IN_AIR] + (elements[0, WEIGHT] - elements[0, IN_AIR]) * rows[0, WET]
    tension = rows[0, TENSION]
    x, y, z = tension * rows[0, EX], tension * rows[0, EY], tension * rows[0, EZ] - 0.5 * weight
    rise_x, rise_y = setting.rise_north, setting.rise_east
    upright = z - rise_x * x - rise_y * y
    level = math.sqrt(x * x + y * y)
    one = 1.0 / (level + _LEAST)
    if upright <= 0.0:
        return level, 0.0, x * one, y * one
    upright /= math.sqrt(1.0 + rise_x * rise_x + rise_y * rise_y)
    pull = math.sqrt(x * x + y * y + z * z)
    return pull, math.asin(min(upright / (pull + _LEAST), 1.0)), x * one, y * one


@inlined
def tension_for(rows: Floats, elements: Floats, pull: float) -> float:
    """Tension of the first element (N) that makes so much pull (N) at the anchor."""
    half = 0.5 * (elements[0, IN_AIR] + (elements[0, WEIGHT] - elements[0, IN_AIR]) * rows[0, WET])
    up = rows[0, EZ]
    return float(up * half + math.sqrt(max(pull * pull - half * half * (1.0 - up * up), 0.0)))


@inlined
def give_way(
    setting: Setting, rows: Floats, elements: Floats, count: int, bridle: bool, h: float, tension: float,
    north: float, east: float, speed: float,
) -> float:  # fmt: skip
    """Tensions where the anchor goes along (north, east), standing a tension (N), and how fast then (m/s).

    It went at ``speed`` before; its own mass and that of the rode beside it take part.
    """
    rise = setting.rise_north * north + setting.rise_east * east
    way = max(rows[0, EX] * north + rows[0, EY] * east + rows[0, EZ] * rise, 0.2)
    moved = h * way / (setting.anchor + 0.5 * elements[0, MASS])  # m/s that a newton more gives it
    own, right = rows[0, DIAGONAL], rows[0, RIGHT]
    rows[0, DIAGONAL], rows[0, RIGHT] = own + h * way * moved, right + h * way * (moved * tension - speed)
    pull_taut(rows, count, bridle)
    speed += moved * (rows[0, TENSION] - tension)
    if speed <= 0.0:  # it stops, and holds
        rows[0, DIAGONAL], rows[0, RIGHT] = own, right
        pull_taut(rows, count, bridle)
        return 0.0
    return float(speed)


@inlined
def go(nodes: Floats, k: int, x: float, y: float, z: float, h: float) -> None:
    """Move a node on, which gains (x, y, z) m/s."""
    u, v, w = nodes[k, U] + x, nodes[k, V] + y, nodes[k, W] + z
    nodes[k, U], nodes[k, V], nodes[k, W] = u, v, w
    nodes[k, X] += h * u
    nodes[k, Y] += h * v
    nodes[k, Z] += h * w


@inlined
def move_on(rows: Floats, nodes: Floats, count: int, bridle: bool, h: float) -> None:
    """Move the nodes on under the tensions; those at the ends by their gain in speed alone."""
    go(nodes, 0, nodes[0, FREE], nodes[0, FREE + 1], nodes[0, FREE + 2], h)
    for k in range(1, count):
        below, above = h * rows[k - 1, TENSION], h * rows[k, TENSION]
        x = above * rows[k, EX] - below * rows[k - 1, EX]
        y = above * rows[k, EY] - below * rows[k - 1, EY]
        z = above * rows[k, EZ] - below * rows[k - 1, EZ]
        if bridle and k == count - 1:
            beside = h * rows[count, TENSION]
            x, y, z = x + beside * rows[count, EX], y + beside * rows[count, EY], z + beside * rows[count, EZ]
        x, y, z = yields(nodes, k, x, y, z)
        x, y, z = x + nodes[k, FREE], y + nodes[k, FREE + 1], z + nodes[k, FREE + 2]
        nodes[k, BORNE] = max(nodes[k, BORNE] - nodes[k, STOP] * z, 0.0)
        go(nodes, k, x, y, z, h)
    for k in range(count, count + 2 if bridle else count + 1):
        go(nodes, k, nodes[k, FREE], nodes[k, FREE + 1], nodes[k, FREE + 2], h)
