"""The rode in the water: one step of a line cut into elements, solved for its tensions.

The line has its mass at its nodes, with the water that moves with it; drag across and along, quadratic in
the speed through the water; the bottom as a spring that is stiff beside the line's weight, with friction;
elements that stretch as chain or rope does and never push.  Drag, bottom and tensions are taken implicitly
over a step, about the places that the old speeds lead to: a step of a tenth of a second is stable on steel.
The tensions come from one linear system, tridiagonal along the line (the constraint forces of a chain of
bodies, with compliance); those that come out below nothing are let go and the
rest solved again.

Node k is the lower end of element k, node 0 the anchor.  Without a bridle node T, the last, is the bow
roller.  With one node T - 1 is the hook, T and T + 1 the strong points; element T is the second leg.
Plain SI floats, z up from the water's surface; `rows` of scratch, one an element, and `nodes`, one a node.
"""

from __future__ import annotations

import math

from anchorsim.boat_motion import Setting
from anchorsim.compiled import inlined
from anchorsim.curve_kernel import Floats
from anchorsim.line_mesh import (
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
# (m/s); how much each newton in the element below, above and beside it (a bridle's second leg) adds to its
# speed in a second (1/kg, vectors); what the bottom bears of it (N), and how much less for each m/s upwards;
# where the bottom's friction holds it
X, Y, Z, U, V, W, FREE, BELOW, ABOVE, BESIDE, BORNE, STOP = 0, 1, 2, 3, 4, 5, 6, 9, 12, 15, 18, 19
HELD_X, HELD_Y = 20, 21
NODE = 22
# columns of `rows`: unit vector up the line; tension (N); how wet it is; tension over length (N/m); of the
# system: own compliance, coupling to the row before and to a bridle's second leg (m/N), right side (m); what
# elimination leaves of compliance, of right side, and of a second right side, that leg's; whether it is taut
EX, EY, EZ, TENSION, WET, STIFF, DIAGONAL, BEFORE, BORDER, RIGHT, LEFT, SOLVED, BORDERED, TAUT = range(14)
ROW = 14

Vector = tuple[float, float, float]
Matrix = tuple[float, float, float, float, float, float]

_BOTTOM = 2e4  # N/m for each metre of rode: stiff beside its weight; its figure changes nothing (judgement)
_BOTTOM_DAMPING = 0.02  # s, damping over stiffness of the bottom (judgement)
_ROUNDS = 8  # of letting slack elements go, at the most
_LEAST = 1e-9


@inlined
def stretch_element(row: Floats, laws: Floats, element: Floats, far: float, rate: float, h: float) -> None:
    """Put an element's compliance and right side into its row: at ``far`` m long, growing by ``rate`` m/s.

    Chain is damped over half a step, for the time's sake; rope by its own loss.  Linear about where the old
    speeds lead to.
    """
    stretch = far - element[LENGTH]
    if element[LAW] < 0.0:
        share = 2.0 / 3.0  # h over h and the half step of damping
        row[DIAGONAL] = share / element[STIFFNESS]
        row[RIGHT] = share * stretch + (1.0 - share) * h * rate
        return
    law, last = int(element[LAW]), laws.shape[1] - 1
    place = max(stretch, 0.0) / (element[LENGTH] * element[STRAIN])
    i = min(int(place), last - 1)
    gain = laws[law, i + 1] - laws[law, i]
    stiffness = gain / (element[LENGTH] * element[STRAIN])
    load = laws[law, i] + (place - i) * gain if stretch > 0.0 else stretch * stiffness
    pace = LOSS_RATE * element[LENGTH]
    part = 1.0 / math.sqrt(rate * rate + pace * pace)
    factor = 1.0 + element[LOSS] * rate * part
    slope = max(load, 0.0) * element[LOSS] * part  # the secant's: by the tangent it would flip at each step
    load, stiffness = load * factor, stiffness * factor
    if stretch > element[SLACK]:
        load += element[BACKUP] * (stretch - element[SLACK])
        stiffness += element[BACKUP]
    row[DIAGONAL] = 1.0 / (stiffness + slope / h)
    row[RIGHT] = row[DIAGONAL] * load


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
    x, y, z = x / far, y / far, z / far
    rows[k, EX], rows[k, EY], rows[k, EZ] = x, y, z
    rows[k, STIFF] = max(rows[k, TENSION], 0.0) / far
    top, foot = max(under, over), min(under, over)
    rows[k, WET] = 1.0 if top <= 0.0 else (0.0 if foot >= 0.0 else -foot / (top - foot))
    stretch_element(rows[k], laws, elements[k], far, u * x + v * y + w * z, h)


@inlined
def half(rows: Floats, elements: Floats, k: int) -> tuple[float, float, float, float, float, float]:
    """Of half an element: kg, kg moved with it across, drag across and along (N s²/m²), weight (N), m."""
    wet, one = 0.5 * rows[k, WET], elements[k]
    weight = 0.5 * one[IN_AIR] + wet * (one[WEIGHT] - one[IN_AIR])
    return 0.5 * one[MASS], wet * one[ADDED], wet * one[ACROSS], wet * one[ALONG], weight, 0.5 * one[LENGTH]


@inlined
def yields(node: Floats, column: int, a: float, b: float, t: Vector, push: Vector) -> None:
    """Put (a·I + b·t tᵀ) push into three columns of a node."""
    along = b * (t[0] * push[0] + t[1] * push[1] + t[2] * push[2])
    node[column] = a * push[0] + along * t[0]
    node[column + 1] = a * push[1] + along * t[1]
    node[column + 2] = a * push[2] + along * t[2]


@inlined
def yields_lying(node: Floats, column: int, inverse: Matrix, push: Vector) -> None:
    """Put a symmetric matrix (xx, yy, zz, xy, yz, xz) times a vector into three columns of a node."""
    xx, yy, zz, xy, yz, xz = inverse
    node[column] = xx * push[0] + xy * push[1] + xz * push[2]
    node[column + 1] = xy * push[0] + yy * push[1] + yz * push[2]
    node[column + 2] = xz * push[0] + yz * push[1] + zz * push[2]


@inlined
def inverse(xx: float, yy: float, zz: float, xy: float, yz: float, xz: float) -> Matrix:
    """Inverse of a symmetric matrix, in the order (xx, yy, zz, xy, yz, xz)."""
    a, b, c = yy * zz - yz * yz, xz * yz - xy * zz, xy * yz - xz * yy
    one = 1.0 / (xx * a + xy * b + xz * c)
    return (
        one * a, one * (xx * zz - xz * xz), one * (xx * yy - xy * xy),
        one * b, one * (xy * xz - xx * yz), one * c,
    )  # fmt: skip


@inlined
def rubs(node: Floats, most: float, firm: float, h: float) -> tuple[float, float, float]:
    """The bottom's friction on a node: north and east (N), and how much less of it for each m/s (N s/m).

    It gives like a spring, ``firm`` N/m, about the place where it holds the node; where that would take more
    than ``most`` N, the node slides and the place follows it (Coulomb's law, elastic and plastic).
    """
    x, y = node[X] - node[HELD_X], node[Y] - node[HELD_Y]
    far = firm * math.sqrt(x * x + y * y)
    if node[STOP] == 0.0 or far > most:
        held = 0.0 if node[STOP] == 0.0 else most / far
        x, y = held * x, held * y
        node[HELD_X], node[HELD_Y] = node[X] - x, node[Y] - y
    x, y = x + h * node[U], y + h * node[V]
    far = math.sqrt(x * x + y * y)
    if firm * far > most:
        firm = most / far
    return -firm * x, -firm * y, h * firm


@inlined
def free_node(
    setting: Setting, rows: Floats, nodes: Floats, elements: Floats, k: int, beside: int, h: float
) -> None:
    """What the water, the bottom and its weight do to a node in a step, and how hard it is then to move.

    ``beside`` is the element of a bridle's second leg where the node is its hook, else below 0.
    """
    node, low, up = nodes[k], rows[k - 1], rows[k]
    mass, added, across, along, weight, length = half(rows, elements, k - 1)
    more = half(rows, elements, k)
    mass, added, across, along = mass + more[0], added + more[1], across + more[2], along + more[3]
    weight, length = weight + more[4], length + more[5]
    x, y, z, stiff = low[EX] + up[EX], low[EY] + up[EY], low[EZ] + up[EZ], low[STIFF] + up[STIFF]
    lifts = max(up[TENSION], 0.0) * up[EZ] - max(low[TENSION], 0.0) * low[EZ]
    if beside >= 0:
        lifts += max(rows[beside, TENSION], 0.0) * rows[beside, EZ]
        more = half(rows, elements, beside)
        mass, added, across, along = mass + more[0], added + more[1], across + more[2], along + more[3]
        weight, length, stiff = weight + more[4], length + more[5], stiff + rows[beside, STIFF]
        x, y, z = x + rows[beside, EX], y + rows[beside, EY], z + rows[beside, EZ]
    one = 1.0 / (math.sqrt(x * x + y * y + z * z) + _LEAST)
    t = x * one, y * one, z * one
    u, v, w = node[U], node[V], node[W]
    past_x, past_y = u - setting.current_north, v - setting.current_east
    run = past_x * t[0] + past_y * t[1] + w * t[2]
    side_x, side_y, side_z = past_x - run * t[0], past_y - run * t[1], w - run * t[2]
    side = math.sqrt(side_x * side_x + side_y * side_y + side_z * side_z)
    across, along = setting.drag * across * side, setting.drag * along * abs(run)
    stay, stay_along = max(mass + added + h * across, 2.0 * h * h * stiff), mass + h * along
    push_x = -across * side_x - along * run * t[0]
    push_y = -across * side_y - along * run * t[1]
    push_z = -across * side_z - along * run * t[2] - weight
    bed = setting.rise_north * (node[X] + h * u) + setting.rise_east * (node[Y] + h * v) - setting.depth
    deep = bed - node[Z]
    rises = w + h * (push_z + lifts) / stay  # as fast as it would without the bottom
    if deep > h * rises and deep > (h + _BOTTOM_DAMPING) * rises:
        deep, firm = deep - h * w, length * _BOTTOM
        rub_x, rub_y, rub = rubs(node, setting.friction * node[BORNE], firm, h)
        push_x += rub_x - node[BORNE] * setting.rise_north
        push_y += rub_y - node[BORNE] * setting.rise_east
        node[BORNE], node[STOP] = firm * (deep - _BOTTOM_DAMPING * w), firm * (_BOTTOM_DAMPING + h)
        level, b = stay + h * rub, stay_along - stay
        lying = inverse(
            level + b * t[0] * t[0], level + b * t[1] * t[1], stay + h * node[STOP] + b * t[2] * t[2],
            b * t[0] * t[1], b * t[1] * t[2], b * t[0] * t[2],
        )  # fmt: skip
        yields_lying(node, FREE, lying, (h * push_x, h * push_y, h * (push_z + node[BORNE])))
        yields_lying(node, BELOW, lying, (low[EX], low[EY], low[EZ]))
        yields_lying(node, ABOVE, lying, (up[EX], up[EY], up[EZ]))
        if beside >= 0:
            yields_lying(node, BESIDE, lying, (rows[beside, EX], rows[beside, EY], rows[beside, EZ]))
        return
    node[BORNE], node[STOP] = 0.0, 0.0
    a = 1.0 / stay
    b = 1.0 / stay_along - a
    yields(node, FREE, a, b, t, (h * push_x, h * push_y, h * push_z))
    yields(node, BELOW, a, b, t, (low[EX], low[EY], low[EZ]))
    yields(node, ABOVE, a, b, t, (up[EX], up[EY], up[EZ]))
    if beside >= 0:
        yields(node, BESIDE, a, b, t, (rows[beside, EX], rows[beside, EY], rows[beside, EZ]))


@inlined
def along_row(node: Floats, column: int, row: Floats) -> float:
    """Part of a vector in three columns of a node that is along an element."""
    return float(node[column] * row[EX] + node[column + 1] * row[EY] + node[column + 2] * row[EZ])


@inlined
def eliminate(rows: Floats, count: int, bridle: bool) -> None:
    """Tensions of the taut elements from the system in ``rows``; a bridle's second leg borders it."""
    for k in range(count):
        if rows[k, TAUT] > 0.0:
            left, solved, bordered = rows[k, DIAGONAL], rows[k, RIGHT], rows[k, BORDER]
            if k > 0 and rows[k - 1, TAUT] > 0.0:
                part = rows[k, BEFORE] / rows[k - 1, LEFT]
                left -= part * rows[k, BEFORE]
                solved -= part * rows[k - 1, SOLVED]
                bordered -= part * rows[k - 1, BORDERED]
            rows[k, LEFT], rows[k, SOLVED], rows[k, BORDERED] = left, solved, bordered
    after, after_bordered = 0.0, 0.0
    for k in range(count - 1, -1, -1):
        if rows[k, TAUT] > 0.0:
            more = rows[k + 1, BEFORE] if k + 1 < count else 0.0
            after = (rows[k, SOLVED] - more * after) / rows[k, LEFT]
            after_bordered = (rows[k, BORDERED] - more * after_bordered) / rows[k, LEFT]
        else:
            after, after_bordered = 0.0, 0.0
        rows[k, TENSION], rows[k, BORDERED] = after, after_bordered
    if bridle:
        beside, left, right = 0.0, rows[count, DIAGONAL], rows[count, RIGHT]
        for k in (count - 2, count - 1):
            left -= rows[k, BORDER] * rows[k, BORDERED]
            right -= rows[k, BORDER] * rows[k, TENSION]
        if rows[count, TAUT] > 0.0:
            beside = right / left
            for k in range(count):
                rows[k, TENSION] -= rows[k, BORDERED] * beside
        rows[count, TENSION], rows[count, SOLVED] = beside, right


@inlined
def pull_taut(rows: Floats, count: int, bridle: bool) -> None:
    """Tensions of a line none of whose elements pushes: what would is let go, what then would pull, pulls."""
    for _ in range(_ROUNDS):
        eliminate(rows, count, bridle)
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
                miss -= rows[k, BORDER] * rows[count, TENSION] if bridle else 0.0
            if miss > 0.0:
                rows[k, TAUT], same = 1.0, False
        if same:
            break
    for k in range(count + 1 if bridle else count):
        rows[k, TENSION] = max(rows[k, TENSION], 0.0)


@inlined
def set_up(
    setting: Setting, rows: Floats, nodes: Floats, elements: Floats, laws: Floats, count: int, bridle: bool,
    h: float,
) -> None:  # fmt: skip
    """Put the system of a step into ``rows``; the ends' gains in speed are in ``nodes`` already."""
    for k in range(count):
        lie_along(rows, nodes, elements, laws, k, k, k + 1, h)
    if bridle:
        lie_along(rows, nodes, elements, laws, count, count - 1, count + 1, h)
    for k in range(1, count):
        free_node(setting, rows, nodes, elements, k, count if bridle and k == count - 1 else -1, h)
    square = h * h
    for k in range(count):
        row, low, up = rows[k], nodes[k], nodes[k + 1]
        row[DIAGONAL] += square * (along_row(low, ABOVE, row) + along_row(up, BELOW, row))
        row[RIGHT] += h * (along_row(up, FREE, row) - along_row(low, FREE, row))
        row[BEFORE] = -square * along_row(low, BELOW, row)
        row[BORDER] = 0.0
    if bridle:
        hook, last = nodes[count - 1], rows[count]
        last[DIAGONAL] += square * along_row(hook, BESIDE, last)
        last[RIGHT] += h * (along_row(nodes[count + 1], FREE, last) - along_row(hook, FREE, last))
        rows[count - 1, BORDER] = square * along_row(hook, BESIDE, rows[count - 1])
        rows[count - 2, BORDER] = -square * along_row(hook, BESIDE, rows[count - 2])


@inlined
def at_anchor(setting: Setting, rows: Floats, elements: Floats) -> tuple[float, float, float, float]:
    """The pull at the anchor (N), its lift above the bottom (rad), its way along that, north and east."""
    weight = elements[0, IN_AIR] + (elements[0, WEIGHT] - elements[0, IN_AIR]) * rows[0, WET]
    tension = rows[0, TENSION]
    x, y, z = tension * rows[0, EX], tension * rows[0, EY], tension * rows[0, EZ] - 0.5 * weight
    rise_x, rise_y = setting.rise_north, setting.rise_east
    upright = (z - rise_x * x - rise_y * y) / math.sqrt(1.0 + rise_x * rise_x + rise_y * rise_y)
    pull = math.sqrt(x * x + y * y + z * z)
    level = math.sqrt(x * x + y * y)
    if upright <= 0.0:
        upright, pull = 0.0, level
    one = 1.0 / (level + _LEAST)
    return pull, math.asin(min(upright / (pull + _LEAST), 1.0)), x * one, y * one


@inlined
def tension_for(rows: Floats, elements: Floats, pull: float) -> float:
    """Tension of the first element (N) that makes so much pull (N) at the anchor."""
    half = 0.5 * (elements[0, IN_AIR] + (elements[0, WEIGHT] - elements[0, IN_AIR]) * rows[0, WET])
    up = rows[0, EZ]
    return float(up * half + math.sqrt(max(pull * pull - half * half * (1.0 - up * up), 0.0)))


@inlined
def give_way(
    setting: Setting, rows: Floats, count: int, bridle: bool, h: float, tension: float, north: float,
    east: float,
) -> float:  # fmt: skip
    """Tensions where the anchor gives way along (north, east) at a tension (N): how fast it goes (m/s)."""
    own, right, next_one = rows[0, DIAGONAL], rows[0, RIGHT], rows[1, BEFORE]
    rows[0, DIAGONAL], rows[0, RIGHT], rows[0, TAUT] = 1.0, tension, 1.0
    rows[1, BEFORE] = 0.0
    rows[1, RIGHT] -= next_one * tension
    pull_taut(rows, count, bridle)
    rise = setting.rise_north * north + setting.rise_east * east
    way = max(rows[0, EX] * north + rows[0, EY] * east + rows[0, EZ] * rise, 0.2)
    return float(max((right - own * tension - next_one * rows[1, TENSION]) / (h * way), 0.0))


@inlined
def move_on(rows: Floats, nodes: Floats, count: int, bridle: bool, h: float) -> None:
    """Move the nodes on under the tensions; those at the ends by their gain in speed alone."""
    for k in range(count + 2 if bridle else count + 1):
        node = nodes[k]
        x, y, z = node[FREE], node[FREE + 1], node[FREE + 2]
        if 0 < k < count:
            below, above = h * rows[k - 1, TENSION], h * rows[k, TENSION]
            x += above * node[ABOVE] - below * node[BELOW]
            y += above * node[ABOVE + 1] - below * node[BELOW + 1]
            z += above * node[ABOVE + 2] - below * node[BELOW + 2]
            if bridle and k == count - 1:
                beside = h * rows[count, TENSION]
                x += beside * node[BESIDE]
                y += beside * node[BESIDE + 1]
                z += beside * node[BESIDE + 2]
            node[BORNE] = max(node[BORNE] - node[STOP] * z, 0.0)
        node[U] += x
        node[V] += y
        node[W] += z
        node[X] += h * node[U]
        node[Y] += h * node[V]
        node[Z] += h * node[W]
