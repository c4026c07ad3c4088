"""The compiled statics under `line.py`: one march from the seabed to the bow serves every question.

A uniform part of the rode whose lower end carries the horizontal load H and the vertical load V₀, and whose
upper end V₁ = V₀ + wL, spans (elastic catenary, e.g. Irvine, Cable Structures, 1981, from memory)

    Δx = (H/w)[asinh(V₁/H) − asinh(V₀/H)] + HL/EA,   Δz = [√(H²+V₁²) − √(H²+V₀²)]/w + (V₀L + wL²/2)/EA

written here so that nothing cancels and w = 0 is the straight line: with s = (V₀+V₁)/(T₀+T₁),
Δz = sL + …, and Δx = (H/w) log1p(y) + … with y = wL(1+s)/(V₀+T₀).

Everything is scalar code on float64 C arrays, in one file because numba's disk cache is kept per file.
`rode` has one row per segment from anchor to bow (columns below), `laws` one row per node of the stretch
tables: load, strain, and the slopes at both ends of the interval that starts there.
"""

from __future__ import annotations

import math

import numpy as np
import numpy.typing as npt

from anchorsim.compiled import compiled

Floats = npt.NDArray[np.float64]
Integers = npt.NDArray[np.int64]
Element = tuple[float, float, float, float, float, float, float, float, float, float, float]

# columns of `rode`: FLEXIBILITY is 1/EA (0 with a law); FIRST and LAST are rows of `laws` (−1 without one);
# BACKUP is the tension per strain of the chain behind a snubber, which takes up at the tension TAKE_UP
LENGTH, WEIGHT, IN_AIR, FLEXIBILITY, FIRST, LAST, LOSS, BACKUP, TAKE_UP = range(9)
COLUMNS = 9
# rows of a packed curve, see `line.Curve`
DISTANCE, LOAD, STIFFNESS, AT_BOW, AT_ANCHOR, ANGLE, SHARE, LYING, ENERGY = range(9)
ROWS = 9
LIFTED, UNKNOWN, GROWTH, UPRIGHT = range(9, 13)  # and beside them while solving, see `node`
# the march's state: position and vertical load, their slopes by H and by the unknown, and the lossy stretch as
# a quadratic form in (1, d unknown/dH)
X, Z, V, X_H, Z_H, V_H, X_U, Z_U, V_U, GIVE_HH, GIVE_HU, GIVE_UU = range(12)
STATE = 12

LEAST_LOAD = (
    1e-9  # N: stands for a horizontal load of nothing, so that a weightless rode still has a direction
)
HIGHEST_LOAD = 250e3  # N: where a curve's table ends
FIRST_LOAD = 1.0  # N: the lowest load of a curve's table after nothing
COARSE = 33  # nodes that a curve starts from
NODES = 129  # nodes of a finished curve: 2⁷ intervals, so 7 halvings find one


@compiled
def cubic(t: float, gain: float, a: float, b: float) -> tuple[float, float]:
    """Gain at 0 ≤ t ≤ 1 of the cubic from 0 to `gain` with the end slopes a and b, and its slope by t."""
    a, b, r = a - gain, gain - b, 1.0 - t
    return t * (gain + r * (a * r + b * t)), gain + (r - t) * (a * r + b * t) + t * r * (b - a)


@compiled
def strain_at(laws: Floats, first: int, last: int, load: float) -> tuple[float, float]:
    """Strain and its slope d strain/d load (1/N) at a load (N) by cubic pieces; straight beyond the last node."""
    i = first
    while i < last and load >= laws[i + 1, 0]:
        i += 1
    if i == last:
        return laws[i, 1] + laws[i, 2] * (load - laws[i, 0]), laws[i, 2]
    wide = laws[i + 1, 0] - laws[i, 0]
    gain, slope = cubic(
        (load - laws[i, 0]) / wide, laws[i + 1, 1] - laws[i, 1], laws[i, 2] * wide, laws[i, 3] * wide
    )
    return laws[i, 1] + gain, slope / wide


@compiled
def element(h: float, v: float, weight: float, length: float, row: Floats, laws: Floats) -> Element:
    """One uniform part carrying (h, v ≥ 0) at its lower end.

    Returns Δx, Δz; the slopes ∂x/∂h, ∂x/∂v = ∂z/∂h, ∂z/∂v, ∂x/∂length, ∂z/∂length; the slopes of the mean
    tension by h, by v, and by length times length; and the lossy compliance per metre (loss · d strain/dT).

    A law acts at the part's mean tension, (1/W)∫√(H²+V²)dV over its weight W, which does not depend on how far
    it has stretched; the weight is spread over the stretched length, so the whole part is scaled by 1 + strain.
    """
    v1 = v + weight * length
    t0 = math.sqrt(h * h + v * v)
    t1 = math.sqrt(h * h + v1 * v1)
    sine = (v + v1) / (t0 + t1)
    cosine = h * (1.0 + sine) / (v + t0)
    y = weight * length * (1.0 + sine) / (v + t0)
    if y > 0.0:
        cosine *= math.log1p(y) / y
    across = -h * length * sine / (t0 * t1)
    lean = length / t1
    if v1 > 0.0:
        lean = length * (h / t0) * (h / t1) * (v + v1) / (v1 * t0 + v * t1)
    swing = max(length * cosine / h - lean, 0.0)

    flexibility = row[FLEXIBILITY]
    stretched, slope, excess, give = 1.0, 0.0, 0.0, 0.0
    if row[FIRST] >= 0.0:
        mean = 0.25 * (t0 + t1 + sine * (v + v1)) + 0.5 * h * cosine
        strain, slope = strain_at(laws, int(row[FIRST]), int(row[LAST]), mean)
        stretched = 1.0 + strain
        excess = t1 - mean
        give = row[LOSS] * slope
        if mean > row[TAKE_UP]:
            give *= 1.0 - row[BACKUP] * slope
    give_length = slope * length
    return (
        length * (stretched * cosine + h * flexibility),
        length * (stretched * sine + 0.5 * (v + v1) * flexibility),
        stretched * swing + give_length * cosine * cosine + length * flexibility,
        stretched * across + give_length * cosine * sine,
        stretched * lean + give_length * sine * sine + length * flexibility,
        h * (stretched / t1 + flexibility) + slope * excess * cosine,
        v1 * (stretched / t1 + flexibility) + slope * excess * sine,
        cosine,
        sine,
        excess,
        give,
    )


@compiled
def attach(s: Floats, e: Element, weight: float, length: float, length_h: float, length_u: float) -> None:
    """Put a part on top of the state `s`; its length may itself depend on h and on the unknown."""
    x, z, x_h, x_v, z_v, x_l, z_l, mean_h, mean_v, excess, give = e
    if give > 0.0 and length > 0.0:
        by_h = mean_h + mean_v * s[V_H] + excess * length_h / length
        by_u = mean_v * s[V_U] + excess * length_u / length
        s[GIVE_HH] += give * length * by_h * by_h
        s[GIVE_HU] += give * length * by_h * by_u
        s[GIVE_UU] += give * length * by_u * by_u
    s[X] += x
    s[Z] += z
    s[X_H] += x_h + x_v * s[V_H] + x_l * length_h
    s[Z_H] += x_v + z_v * s[V_H] + z_l * length_h
    s[X_U] += x_v * s[V_U] + x_l * length_u
    s[Z_U] += z_v * s[V_U] + z_l * length_u
    s[V] += weight * length
    s[V_H] += weight * length_h
    s[V_U] += weight * length_u


@compiled
def reach(h: float, v: float, weight: float, height: float, row: Floats, laws: Floats) -> float:
    """Unstretched length (m) of a part that climbs `height` (m); the part is known to be long enough.

    With T = √(H²+V²), Δz = ΔT/w + (T₁²−T₀²)/(2EAw) is a quadratic in ΔT. A law scales it, and is iterated:
    the strain changes by less than the length does, so that converges.
    """
    t0 = math.sqrt(h * h + v * v)
    straight = 1.0 + t0 * row[FLEXIBILITY]
    stretched, length = 1.0, 0.0
    for _ in range(100):
        climb = height / stretched
        root = math.sqrt(straight * straight + 2.0 * weight * climb * row[FLEXIBILITY])
        per_weight = 2.0 * climb / (straight + root)
        double = 2.0 * t0 + weight * per_weight
        v1 = math.sqrt(v * v + weight * per_weight * double)
        length = per_weight * double / (v + v1)
        if row[FIRST] < 0.0:
            break
        was = stretched
        e = element(h, v, weight, length, row, laws)
        stretched = e[1] / (length * e[8])
        if abs(stretched - was) <= 1e-15 * was:
            break
    return length


@compiled
def climb(
    s: Floats, h: float, length: float, length_u: float, depth: float, row: Floats, laws: Floats
) -> None:
    """Put the hanging part of a segment on top of the state, split where it leaves the water."""
    water, air = row[WEIGHT], row[IN_AIR]
    if s[Z] >= depth:
        attach(s, element(h, s[V], air, length, row, laws), air, length, 0.0, length_u)
        return
    e = element(h, s[V], water, length, row, laws)
    if s[Z] + e[1] <= depth or air == water:
        attach(s, e, water, length, 0.0, length_u)
        return
    below = min(reach(h, s[V], water, depth - s[Z], row, laws), length)
    e = element(h, s[V], water, below, row, laws)
    below_h = -(s[Z_H] + e[3] + e[4] * s[V_H]) / e[6]
    below_u = -(s[Z_U] + e[4] * s[V_U]) / e[6]
    attach(s, e, water, below, below_h, below_u)
    e = element(h, s[V], air, length - below, row, laws)
    attach(s, e, air, length - below, -below_h, length_u - below_u)


@compiled
def touchdown(hung: float, rode: Floats) -> tuple[int, float]:
    """Segment in which the rode leaves the bottom, and how much of that hangs (m), with `hung` newtons hanging.

    Counted from the bow, and by weight in water, so that a light rope is placed as well as a heavy chain.
    """
    i = rode.shape[0] - 1
    while i > 0 and hung >= rode[i, WEIGHT] * rode[i, LENGTH]:
        hung -= rode[i, WEIGHT] * rode[i, LENGTH]
        i -= 1
    if hung < rode[i, WEIGHT] * rode[i, LENGTH]:
        return i, hung / rode[i, WEIGHT]
    return i, rode[i, LENGTH]


@compiled
def march(
    s: Floats, h: float, lifted: bool, unknown: float, depth: float, rode: Floats, laws: Floats
) -> None:
    """State at the bow, measured from the anchor if all is `lifted`, else from the touchdown.

    The unknown is the vertical load at the anchor (N) if lifted, else the weight in water that hangs (N).
    """
    s[:] = 0.0
    first = 0
    if lifted:
        s[V] = unknown
        s[V_U] = 1.0
    else:
        first, hanging = touchdown(unknown, rode)
        climb(
            s,
            h,
            hanging,
            1.0 / rode[first, WEIGHT] if rode[first, WEIGHT] > 0.0 else 0.0,
            depth,
            rode[first],
            laws,
        )
        first += 1
    for i in range(first, rode.shape[0]):
        climb(s, h, rode[i, LENGTH], 0.0, depth, rode[i], laws)


@compiled
def settle(
    s: Floats, h: float, rise: float, depth: float, lifted: bool, guess: float, rode: Floats, laws: Floats
) -> tuple[bool, float]:
    """Find the unknown of `march` that brings the bow to `rise`: whether all is lifted, and the unknown.

    The height grows with the unknown, so Newton's step is kept within a shrinking bracket. `lifted` and a positive
    `guess` say where to begin; `s` is left at the solution.
    """
    total, length = 0.0, 0.0
    for i in range(rode.shape[0]):
        total += rode[i, WEIGHT] * rode[i, LENGTH]
        length += rode[i, LENGTH]
    march(s, h, True, 0.0, depth, rode, laws)
    low, high = 0.0, total
    if s[Z] < rise:
        high = math.inf
        if not lifted or guess <= 0.0:
            guess = max(
                h * rise / math.sqrt(max(length * length - rise * rise, 1e-6)) - 0.5 * total, 1e-3 * h
            )
    elif lifted or not 0.0 < guess < total:
        guess = min(math.sqrt(total / length * rise * (total / length * rise + 2.0 * h)), 0.999 * total)
    lifted = s[Z] < rise
    unknown, step = guess, math.inf
    for _ in range(200):
        march(s, h, lifted, unknown, depth, rode, laws)
        miss = s[Z] - rise
        if miss < 0.0:
            low = unknown
        else:
            high = unknown
        was, step = step, -miss / s[Z_U] if s[Z_U] > 0.0 else math.inf
        if abs(miss) <= 1e-15 * rise or abs(step) <= 2e-16 * unknown:
            break
        if not low < unknown + step < high or (high < math.inf and abs(step) > 0.5 * abs(was)):
            step = 0.5 * (low + high) - unknown if high < math.inf else unknown + h
        if unknown + step in (unknown, low, high):
            break
        unknown += step
    return lifted, unknown


@compiled
def lay(
    s: Floats, h: float, hung: float, friction: float, start: float, rode: Floats, laws: Floats
) -> tuple[float, float]:
    """Add what lies on the bottom to the state: the tension (N) at its far end and the length lying (m).

    Tension falls by friction · weight per metre from H at the touchdown, never below nothing, and the part
    stretches under it (Jonkman 2007, NREL/TP-500-41958 section 2.6.2, from memory, segment by segment).
    `start` (m from the anchor) leaves out what lies nearer to the anchor than that.
    """
    k, hanging = touchdown(hung, rode)
    base, lying = 0.0, 0.0
    for i in range(k):
        base += rode[i, LENGTH]
    length, length_u = rode[k, LENGTH] - hanging, -1.0 / rode[k, WEIGHT] if rode[k, WEIGHT] > 0.0 else 0.0
    t, t_h, t_u = h, 1.0, 0.0
    for i in range(k, -1, -1):
        if base + length <= start:
            break
        length = min(length, base + length - start)
        drop = friction * rode[i, WEIGHT]
        if drop * length <= t:
            end, end_h, end_u = t - drop * length, t_h, t_u - drop * length_u
            pulled, pulled_h, pulled_u = length, 0.0, length_u
        else:
            end, end_h, end_u = 0.0, 0.0, 0.0
            pulled, pulled_h, pulled_u = t / drop, t_h / drop, t_u / drop
        mean, mean_h, mean_u = 0.5 * (t + end), 0.5 * (t_h + end_h), 0.5 * (t_u + end_u)
        slope = rode[i, FLEXIBILITY]
        strain = slope * mean
        if rode[i, FIRST] >= 0.0:
            strain, slope = strain_at(laws, int(rode[i, FIRST]), int(rode[i, LAST]), mean)
            give = rode[i, LOSS] * slope * pulled
            if mean > rode[i, TAKE_UP]:
                give *= 1.0 - rode[i, BACKUP] * slope
            s[GIVE_HH] += give * mean_h * mean_h
            s[GIVE_HU] += give * mean_h * mean_u
            s[GIVE_UU] += give * mean_u * mean_u
        s[X] += length + strain * pulled
        s[X_H] += slope * mean_h * pulled + strain * pulled_h
        s[X_U] += length_u + slope * mean_u * pulled + strain * pulled_u
        lying += length
        t, t_h, t_u = end, end_h, end_u
        if i > 0:
            length, length_u = rode[i - 1, LENGTH], 0.0
            base -= length
    return t, lying


@compiled
def node(
    out: Floats, s: Floats, h: float, rise: float, depth: float, friction: float, lifted: bool, guess: float,
    rode: Floats, laws: Floats,
) -> None:  # fmt: skip
    """Fill `out` (the rows of a curve without its energy, then the solution itself) at one load."""
    lifted, unknown = settle(s, h, rise, depth, lifted, guess, rode, laws)
    at_anchor, lying, angle = math.sqrt(h * h + unknown * unknown), 0.0, math.atan2(unknown, h)
    if not lifted:
        at_anchor, lying = lay(s, h, unknown, friction, 0.0, rode, laws)
        angle = 0.0
    growth = -s[Z_H] / s[Z_U] if s[Z_U] > 0.0 else 0.0
    compliance = max(s[X_H] + s[X_U] * growth, 1e-30)
    give = s[GIVE_HH] + growth * (2.0 * s[GIVE_HU] + growth * s[GIVE_UU])
    out[DISTANCE] = s[X]
    out[LOAD] = h
    out[STIFFNESS] = 1.0 / compliance
    out[AT_BOW] = math.sqrt(h * h + s[V] * s[V])
    out[AT_ANCHOR] = at_anchor
    out[ANGLE] = angle
    out[SHARE] = min(max(give / compliance, 0.0), 1.0)
    out[LYING] = lying
    out[ENERGY] = 0.0
    out[LIFTED] = 1.0 if lifted else 0.0
    out[UNKNOWN] = unknown
    out[GROWTH] = growth
    out[UPRIGHT] = s[V]


@compiled
def split(
    rows: Floats, i: int, j: int, m: int, s: Floats, rise: float, depth: float, friction: float, rode: Floats,
    laws: Floats,
) -> float:  # fmt: skip
    """Fill row m midway between the neighbours i and j; how far their interpolation was from it, as a share."""
    left, right, middle = rows[i], rows[j], rows[m]
    gain = right[LOAD] - left[LOAD]
    h = math.sqrt(left[LOAD] * right[LOAD]) if left[LOAD] > LEAST_LOAD else 0.25 * right[LOAD]
    guess = left[UNKNOWN] + left[GROWTH] * (h - left[LOAD])
    node(middle, s, h, rise, depth, friction, left[LIFTED] > 0.0, guess, rode, laws)
    wide = right[DISTANCE] - left[DISTANCE]
    if wide <= 1e-9 * right[DISTANCE]:
        return 0.0
    a, b = min(left[STIFFNESS] * wide, 3.0 * gain), min(right[STIFFNESS] * wide, 3.0 * gain)
    load = left[LOAD] + cubic((middle[DISTANCE] - left[DISTANCE]) / wide, gain, a, b)[0]
    t = (h - left[LOAD]) / gain
    bow = left[AT_BOW] + t * (right[AT_BOW] - left[AT_BOW])
    angle = left[ANGLE] + t * (right[ANGLE] - left[ANGLE])
    share = (abs(load - h) + abs(bow - middle[AT_BOW])) / (h + FIRST_LOAD) + abs(angle - middle[ANGLE])
    return share + 1e-9 * gain / right[LOAD]


@compiled
def tabulate(rise: float, depth: float, friction: float, rode: Floats, laws: Floats) -> Floats:
    """Nodes of a curve, one per row: a coarse geometric ladder of loads, split again where it fitted worst."""
    rows = np.zeros((NODES, ROWS + 4))
    after = np.arange(1, NODES + 1)
    misfit = np.zeros(NODES)
    s = np.empty(STATE)
    node(rows[0], s, LEAST_LOAD, rise, depth, friction, False, 0.0, rode, laws)
    for i in range(1, COARSE):
        misfit[i - 1] = 1e9
        h = FIRST_LOAD * (HIGHEST_LOAD / FIRST_LOAD) ** ((i - 1.0) / (COARSE - 2.0))
        guess = rows[i - 1, UNKNOWN] + rows[i - 1, GROWTH] * (h - rows[i - 1, LOAD])
        node(rows[i], s, h, rise, depth, friction, rows[i - 1, LIFTED] > 0.0, guess, rode, laws)
    for m in range(COARSE, NODES):
        i = int(np.argmax(misfit))
        missed = split(rows, i, after[i], m, s, rise, depth, friction, rode, laws)
        misfit[i], misfit[m] = missed / 8.0, missed / 8.0  # a sixteenth where smooth, a half at a kink
        after[m], after[i] = after[i], m
    return rows


@compiled
def draw(
    h: float, lifted: bool, unknown: float, arc: Floats, depth: float, friction: float, rode: Floats, laws: Floats,
    x: Floats, z: Floats,
) -> None:  # fmt: skip
    """Fill `x` and `z` (m from the anchor) at the lengths `arc` (m, unstretched, growing, from the anchor)."""
    s, below = np.empty(STATE), np.zeros(STATE)
    base, i, joint = 0.0, 0, rode[0, LENGTH]
    if lifted:
        below[V] = unknown
    else:
        i, hanging = touchdown(unknown, rode)
        joint = rode[: i + 1, LENGTH].sum()
        base = joint - hanging
        lay(below, h, unknown, friction, 0.0, rode, laws)
    foot = below[X]
    for p in range(arc.shape[0]):
        if arc[p] < base and not lifted and i >= 0 and below[Z] == 0.0:
            s[:] = 0.0
            lay(s, h, unknown, friction, arc[p], rode, laws)
            x[p], z[p] = foot - s[X], 0.0
            continue
        while i < rode.shape[0] - 1 and arc[p] > joint:
            climb(below, h, joint - base, 0.0, depth, rode[i], laws)
            base = joint
            i += 1
            joint += rode[i, LENGTH]
        s[:] = below
        climb(s, h, arc[p] - base, 0.0, depth, rode[i], laws)
        x[p], z[p] = s[X], s[Z]


@compiled
def look_up(packed: Floats, distance: float) -> tuple[float, float, float, float, float, float]:
    """Horizontal load, load at bow, load at anchor (N), angle at anchor (rad), rope share, stiffness (N/m).

    `packed` is `Curve.packed`. Seven halvings find the interval. The load is a monotone cubic in the distance,
    the rest is linear in the load; beyond the table all goes on with the last slope, below it nothing pulls.
    The cached machine code of a kernel elsewhere that calls this one (the boat's motion) has a copy of it inside
    and does not notice a change made here: touch that file, or drop its cache, when this function changes.
    """
    i, half, more = 0, (NODES - 1) // 2, distance - packed[DISTANCE, NODES - 1]
    if distance <= packed[DISTANCE, 0]:
        return 0.0, packed[AT_BOW, 0], packed[AT_ANCHOR, 0], packed[ANGLE, 0], packed[SHARE, 0], 0.0
    while half > 0:
        if distance >= packed[DISTANCE, i + half]:
            i += half
        half //= 2
    j = i + 1
    gain = packed[LOAD, j] - packed[LOAD, i]
    if more >= 0.0:
        stiffness = packed[STIFFNESS, j]
        load = packed[LOAD, j] + more * stiffness
    else:
        wide = packed[DISTANCE, j] - packed[DISTANCE, i]
        a, b = packed[STIFFNESS, i] * wide, packed[STIFFNESS, j] * wide
        step, slope = cubic((distance - packed[DISTANCE, i]) / wide, gain, a, b)
        load, stiffness = packed[LOAD, i] + step, slope / wide
    t = (load - packed[LOAD, i]) / gain
    u = min(t, 1.0)
    return (
        load,
        packed[AT_BOW, i] + t * (packed[AT_BOW, j] - packed[AT_BOW, i]),
        packed[AT_ANCHOR, i] + t * (packed[AT_ANCHOR, j] - packed[AT_ANCHOR, i]),
        packed[ANGLE, i] + u * (packed[ANGLE, j] - packed[ANGLE, i]),
        packed[SHARE, i] + u * (packed[SHARE, j] - packed[SHARE, i]),
        stiffness,
    )
