"""The compiled statics under `statics`: one integration from the seabed to the bow answers every question.

A uniform part of the rode whose lower end carries the horizontal load H and the vertical load V₀, and whose
upper end carries V₁ = V₀ + wL, spans (the elastic catenary, e.g. Irvine, Cable Structures, 1981, from memory)

    Δx = (H/w)[asinh(V₁/H) − asinh(V₀/H)] + HL/EA,   Δz = [√(H²+V₁²) − √(H²+V₀²)]/w + (V₀L + wL²/2)/EA

written here so that nothing cancels and w = 0 is the straight line: with s = (V₀+V₁)/(T₀+T₁),
Δz = sL + …, and Δx = (H/w) log1p(y) + … with y = wL(1+s)/(V₀+T₀).

On a bottom that rises by β towards the boat (falls, if β < 0) what lies runs along it, and what hangs leaves
it at a tangent: V₀ = H tan β, the tension is H/cos β. A bow that the bottom comes up to slides along it.

Scalar code on float64 C arrays, with few places of call, as each is compiled anew. A `Line` is `rode`, a row
per segment from anchor to bow, and `laws`, a row per node of the stretch tables: load, strain, and the slopes
at both ends of the interval that begins there. A `Spot`: the bow's rise and the water's depth over the bottom
at the anchor (m), the bottom's friction, the rode's length and weight, cos β, sin β.
"""

from __future__ import annotations

import math

from anchorsim.core.jit import compiled
from anchorsim.mooring.curve_kernel import (
    ANGLE,
    AT_ANCHOR,
    AT_BOW,
    DISTANCE,
    ENERGY,
    FIRST_LOAD,
    LOAD,
    LYING,
    ROWS,
    SHARE,
    STIFFNESS,
    Floats,
    cubic,
    misfit,
)

Line = tuple[Floats, Floats]
Spot = tuple[float, float, float, float, float, float, float]
Root = tuple[bool, float]
Element = tuple[float, float, float, float, float, float, float, float, float, float, float]

# columns of `rode`: FLEXIBILITY is 1/EA (0 with a law); FIRST and LAST are rows of `laws` (−1 without one);
# BACKUP is the tension per strain of the chain behind a snubber, which takes up at TAKE_UP; JOINT is a top
LENGTH, WEIGHT, IN_AIR, FLEXIBILITY, FIRST, LAST, LOSS, BACKUP, TAKE_UP, JOINT = range(10)
COLUMNS = 10
# what is kept beside the rows of a packed curve while solving, see `node`
LIFTED, UNKNOWN, GROWTH, UPRIGHT, MISFIT, NEXT, UNSOLVED = range(ROWS, ROWS + 7)
SOLVED = ROWS + 7
# the state while marching: position and vertical load, their slopes by H and by the unknown, the lossy
# stretch as a quadratic form in (1, d unknown/dH); of what lies, the tension at its far end and its length;
# whether a root was not found
X, Z, V, X_H, Z_H, V_H, X_U, Z_U, V_U, GIVE_HH, GIVE_HU, GIVE_UU, FAR_END, LAIN, FAILED = range(15)
STATE = 15

LEAST_LOAD = 1e-6  # N: stands for no horizontal load, so that a weightless rode still has a direction
HIGHEST_LOAD = 250e3  # N: its highest
TRIES, CLIMBS = 400, 100  # to find a state of rest, and where a part leaves the water; a few do
NEAR = 1e-9  # of a length: what is missed by no more is found
COARSE = 33  # nodes that a curve starts from


@compiled
def strain_at(laws: Floats, first: int, last: int, load: float) -> tuple[float, float]:
    """Strain at a load (N) and its compliance (1/N) by cubic pieces; straight beyond the last node."""
    i = first
    while i < last and load >= laws[i + 1, 0]:
        i += 1
    if i == last:
        return laws[i, 1] + laws[i, 2] * (load - laws[i, 0]), laws[i, 2]
    wide, gain = laws[i + 1, 0] - laws[i, 0], laws[i + 1, 1] - laws[i, 1]
    strain, compliance = cubic((load - laws[i, 0]) / wide, gain, laws[i, 2] * wide, laws[i, 3] * wide)
    return laws[i, 1] + strain, compliance / wide


@compiled
def stretch(row: Floats, laws: Floats, load: float) -> tuple[float, float, float]:
    """Strain of a segment at a load (N), its compliance (1/N), and the lossy part of that."""
    if row[FIRST] < 0.0:
        return load * row[FLEXIBILITY], row[FLEXIBILITY], 0.0
    strain, compliance = strain_at(laws, int(row[FIRST]), int(row[LAST]), load)
    if load <= row[TAKE_UP]:
        return strain, compliance, row[LOSS] * compliance
    return (
        strain,
        compliance,
        row[LOSS] * compliance * (1.0 - row[BACKUP] * compliance),
    )  # the rope's share of the next newton


@compiled
def element(h: float, v: float, weight: float, length: float, row: Floats, laws: Floats) -> Element:
    """One uniform part carrying (h, v) at its end nearer to the anchor; v < 0 where it falls from there.

    Returns Δx, Δz; the slopes ∂x/∂h, ∂x/∂v = ∂z/∂h, ∂z/∂v, ∂x/∂length, ∂z/∂length; the slopes of its mean
    tension by h, by v, and by length times length; and its lossy compliance (1/N).

    A law acts at the part's mean tension, (1/W)∫√(H²+V²)dV over its weight W, which does not depend on the
    stretch; the weight is spread over the stretched length, so that all of it is scaled by 1 + strain.
    """
    v1 = v + weight * length
    t0, t1 = math.sqrt(h * h + v * v), math.sqrt(h * h + v1 * v1)
    sine = (v + v1) / (t0 + t1)
    cosine = h * (1.0 + sine) / (v + t0)
    y = weight * length * (1.0 + sine) / (v + t0)
    if y > 0.0:
        cosine *= math.log1p(y) / y
    across = -h * length * sine / (t0 * t1)
    lean = length / t1
    if v * v1 < 0.0:
        lean = length * (v1 / t1 - v / t0) / (v1 - v)
    elif v1 != 0.0:
        lean = length * (h / t0) * (h / t1) * (v + v1) / (v1 * t0 + v * t1)
    swing = max(length * cosine / h - lean, 0.0)
    scale, elastic, give, excess, lossy = 1.0, length * row[FLEXIBILITY], 0.0, 0.0, 0.0
    x_l, z_l = h / t1 + h * row[FLEXIBILITY], v1 / t1 + v1 * row[FLEXIBILITY]
    if row[FIRST] >= 0.0:
        mean = 0.25 * (t0 + t1 + sine * (v + v1)) + 0.5 * h * cosine
        strain, compliance, lossy = stretch(row, laws, mean)
        scale, give, excess = 1.0 + strain, compliance * length, t1 - mean
        x_l, z_l = scale * x_l + compliance * excess * cosine, scale * z_l + compliance * excess * sine
    x, z = scale * length * cosine + h * elastic, scale * length * sine + 0.5 * (v + v1) * elastic
    x_h = scale * swing + give * cosine * cosine + elastic
    x_v = scale * across + give * cosine * sine
    z_v = scale * lean + give * sine * sine + elastic
    return x, z, x_h, x_v, z_v, x_l, z_l, cosine, sine, excess, lossy


@compiled
def attach(s: Floats, e: Element, weight: float, length: float, length_h: float, length_u: float) -> None:
    """Put a part on top of the state `s`; its length may itself depend on h and on the unknown."""
    x, z, x_h, x_v, z_v, x_l, z_l, mean_h, mean_v, excess, lossy = e
    if lossy > 0.0 and length > 0.0:
        by_h = mean_h + mean_v * s[V_H] + excess * length_h / length
        by_u = mean_v * s[V_U] + excess * length_u / length
        s[GIVE_HH] += lossy * length * by_h * by_h
        s[GIVE_HU] += lossy * length * by_h * by_u
        s[GIVE_UU] += lossy * length * by_u * by_u
    s[X_H] += x_h + x_v * s[V_H] + x_l * length_h
    s[Z_H] += x_v + z_v * s[V_H] + z_l * length_h
    s[X_U] += x_v * s[V_U] + x_l * length_u
    s[Z_U] += z_v * s[V_U] + z_l * length_u
    s[X], s[Z], s[V] = s[X] + x, s[Z] + z, s[V] + weight * length
    s[V_H], s[V_U] = s[V_H] + weight * length_h, s[V_U] + weight * length_u


@compiled
def climb(
    s: Floats, h: float, length: float, length_u: float, depth: float, row: Floats, laws: Floats
) -> None:
    """Put the hanging part of a segment on top of the state, split where it leaves the water.

    The height grows ever faster along a part, so Newton's step finds the length under water: from a parabola,
    or from all of a part that first falls.
    """
    length_h, wet = 0.0, s[Z] < depth and row[WEIGHT] != row[IN_AIR]
    while True:
        weight, up = row[WEIGHT] if wet else row[IN_AIR], depth - s[Z]
        e = element(h, s[V], weight, length, row, laws)
        if not wet or e[1] <= up:
            attach(s, e, weight, length, length_h, length_u)
            return
        wet = False
        a, b = max(2.0 * e[1] / length - e[6], 0.0), max(e[6] - e[1] / length, 0.0) / length
        below = min(2.0 * up / (a + math.sqrt(a * a + 4.0 * b * up)), length) if s[V] >= 0.0 else length
        for _ in range(CLIMBS):
            e = element(h, s[V], weight, below, row, laws)
            step = (up - e[1]) / e[6]
            if abs(step) <= 4e-15 * length:
                break
            below = min(below + step, length)
        else:  # where the surface is met flat, the last digits are never found
            s[FAILED] = max(s[FAILED], 1.0 if abs(step) > NEAR * length else 0.0)
        below_h, below_u = -(s[Z_H] + e[3] + e[4] * s[V_H]) / e[6], -(s[Z_U] + e[4] * s[V_U]) / e[6]
        attach(s, e, weight, below, below_h, below_u)
        length, length_h, length_u = length - below, -below_h, length_u - below_u


@compiled
def touchdown(hung: float, rode: Floats) -> tuple[int, float, float]:
    """Segment that leaves the bottom if `hung` newtons hang, how much of it hangs (m), and its slope (m/N).

    Counted from the bow, and by weight in water, so that a light rope is placed as finely as a heavy chain.
    """
    i = rode.shape[0] - 1
    while i > 0 and hung >= rode[i, WEIGHT] * rode[i, LENGTH]:
        hung -= rode[i, WEIGHT] * rode[i, LENGTH]
        i -= 1
    if rode[i, WEIGHT] > 0.0:
        return i, min(hung / rode[i, WEIGHT], rode[i, LENGTH]), 1.0 / rode[i, WEIGHT]
    return i, rode[i, LENGTH], 0.0


@compiled
def lay(s: Floats, h: float, hung: float, start: float, spot: Spot, line: Line) -> None:
    """Put into the state what lies on the bottom, if `hung` newtons hang.

    Tension falls from H/cos β at the touchdown by weight · (friction · cos β + sin β) per metre, never below
    nothing (it grows where the bottom falls more steeply than friction holds), and the part stretches under
    it (Jonkman 2007, NREL/TP-500-41958 section 2.6.2, from memory, segment by segment, here on a slope).
    `start` (m from the anchor) leaves out what lies nearer to the anchor than that.
    """
    rode, laws = line
    _, _, friction, _, _, cosine, sine = spot
    k, hanging, hanging_u = touchdown(hung, rode)
    length, length_u = rode[k, LENGTH] - hanging, -hanging_u
    base, lying, t, t_h, t_u = rode[k, JOINT] - rode[k, LENGTH], 0.0, h / cosine, 1.0 / cosine, 0.0
    along, along_h, along_u = 0.0, 0.0, 0.0
    for i in range(k, -1, -1):
        if base + length <= start:
            break
        length = min(length, base + length - start)
        drop = (friction * cosine + sine) * rode[i, WEIGHT]
        end, end_h, end_u = t - drop * length, t_h, t_u - drop * length_u
        pulled, pulled_h, pulled_u = length, 0.0, length_u
        if end < 0.0:
            end, end_h, end_u = 0.0, 0.0, 0.0
            pulled, pulled_h, pulled_u = t / drop, t_h / drop, t_u / drop
        mean, mean_h, mean_u = 0.5 * (t + end), 0.5 * (t_h + end_h), 0.5 * (t_u + end_u)
        strain, compliance, lossy = stretch(rode[i], laws, mean)
        s[GIVE_HH] += lossy * pulled * mean_h * mean_h
        s[GIVE_HU] += lossy * pulled * mean_h * mean_u
        s[GIVE_UU] += lossy * pulled * mean_u * mean_u
        along += length + strain * pulled
        along_h += compliance * mean_h * pulled + strain * pulled_h
        along_u += length_u + compliance * mean_u * pulled + strain * pulled_u
        lying, t, t_h, t_u = lying + length, end, end_h, end_u
        if i > 0:
            length, length_u, base = rode[i - 1, LENGTH], 0.0, base - rode[i - 1, LENGTH]
    s[X], s[X_H], s[X_U] = along * cosine, along_h * cosine, along_u * cosine
    s[Z], s[Z_H], s[Z_U] = along * sine, along_h * sine, along_u * sine
    s[FAR_END], s[LAIN] = t, lying


@compiled
def integrate(s: Floats, h: float, lifted: bool, unknown: float, spot: Spot, line: Line) -> None:
    """State at the bow, measured from the anchor.

    The unknown is the vertical load at the anchor beyond that of a pull along the bottom (N) if all is
    `lifted`, else the weight in water that hangs (N).
    """
    rode, laws = line
    _, depth, _, _, _, cosine, sine = spot
    for i in range(STATE):
        s[i] = 0.0
    first, length, length_u = 0, rode[0, LENGTH], 0.0
    if not lifted:
        lay(s, h, unknown, 0.0, spot, line)
        first, length, length_u = touchdown(unknown, rode)
    s[V], s[V_H] = h * sine / cosine, sine / cosine
    if lifted:
        s[V], s[V_U] = s[V] + unknown, 1.0
    for i in range(first, rode.shape[0]):
        if i > first:
            length, length_u = rode[i, LENGTH], 0.0
        climb(s, h, length, length_u, depth, rode[i], laws)


@compiled
def settle(s: Floats, h: float, up: bool, guess: float, sure: bool, spot: Spot, line: Line) -> Root:
    """Find the unknown of `integrate` that brings the bow to its rise: whether all is lifted, and it.

    The height grows with the unknown, so Newton's step is kept within a shrinking bracket. `up` (all
    lifted) and a positive `guess` say where to begin, `sure` if `up` is certain; `s` is left at the solution,
    its FAILED at 1 where there is none.
    """
    rise, _, _, length, weight, cosine, sine = spot
    if sine > 0.0:  # does the bottom come up to the bow?
        integrate(s, h, False, 0.0, spot, line)
        if s[Z] >= rise:
            return False, 0.0
    # without a guess it begins as a uniform rode that does not stretch, hanging or all but straight
    raised, straight = weight / length * rise, h * rise / math.sqrt(max(length * length - rise * rise, 1e-6))
    hung = math.sqrt(raised * (raised + 2.0 * h))
    pull = max(straight - h * sine / cosine - 0.5 * weight, 1e-3 * straight)
    low, high, step, lifted = 0.0, math.inf if up else weight, math.inf, up
    sure = sure and low < guess < high
    up, unknown = (lifted, guess) if sure else (True, 0.0)
    for _ in range(TRIES):
        integrate(s, h, up, unknown, spot, line)
        miss = s[Z] - rise
        if unknown == 0.0:  # the anchor is just about to be lifted: on which side of that?
            up = miss < 0.0
            low, high, step = 0.0, math.inf if up else weight, math.inf
            start = pull if up else min(hung, 0.999 * weight)
            unknown = guess if up == lifted and low < guess < high else start
            continue
        if miss < 0.0:
            low = unknown
        else:
            high = unknown
        was, step = step, -miss / s[Z_U] if s[Z_U] > 0.0 else math.inf
        if abs(miss) <= 1e-12 * rise or abs(step) <= 4e-16 * unknown:
            break
        if not low < unknown + step < high or (high < math.inf and abs(step) > 0.5 * abs(was)):
            step = 0.5 * (low + high) - unknown if high < math.inf else unknown + h
        if unknown + step in (unknown, low, high):
            if not sure:
                break
            sure, up, unknown, step = False, True, 0.0, 0.0
        unknown += step
    else:
        s[FAILED] = 1.0
    return up, unknown


@compiled
def node(
    out: Floats, s: Floats, h: float, up: bool, guess: float, sure: bool, spot: Spot, line: Line
) -> None:
    """Fill `out` at one load: the rows of a packed curve but its energy, then the solution itself."""
    lifted, unknown = settle(s, h, up, guess, sure, spot, line)
    cosine, sine = spot[5], spot[6]
    growth = -s[Z_H] / s[Z_U] if s[Z_U] > 0.0 and unknown > 0.0 else 0.0
    at_anchor, lying, angle = s[FAR_END], s[LAIN], 0.0
    if lifted:
        along, square = h / cosine + unknown * sine, unknown * cosine
        at_anchor, angle = math.sqrt(along * along + square * square), math.atan2(square, along)
    compliance = max(s[X_H] + s[X_U] * growth, 1e-30)
    lossy = s[GIVE_HH] + growth * (2.0 * s[GIVE_HU] + growth * s[GIVE_UU])
    out[DISTANCE], out[LOAD], out[STIFFNESS], out[ENERGY] = s[X], h, 1.0 / compliance, 0.0
    out[AT_BOW], out[AT_ANCHOR], out[ANGLE] = math.sqrt(h * h + s[V] * s[V]), at_anchor, angle
    out[SHARE], out[LYING] = min(max(lossy / compliance, 0.0), 1.0), lying
    out[LIFTED], out[UNKNOWN], out[GROWTH], out[UPRIGHT] = 1.0 if lifted else 0.0, unknown, growth, s[V]
    out[UNSOLVED] = s[FAILED]


@compiled
def tabulate(rows: Floats, s: Floats, spot: Spot, line: Line) -> None:
    """Nodes of a curve, one per row: a coarse ladder of loads, split again where it fitted worst."""
    rung = (HIGHEST_LOAD / FIRST_LOAD) ** (1.0 / (COARSE - 2.0))
    for m in range(rows.shape[0]):
        i, j, h = max(m - 1, 0), m, LEAST_LOAD
        if m >= COARSE:
            for n in range(m):
                if rows[n, MISFIT] > rows[i, MISFIT]:
                    i = n
            j = int(rows[i, NEXT])
            h = math.sqrt(rows[i, LOAD] * rows[j, LOAD]) if i > 0 else 0.25 * rows[j, LOAD]
        elif m > 0:
            h = rows[i, LOAD] * rung if m > 1 else FIRST_LOAD
        more, lifted = h - rows[i, LOAD], rows[i, LIFTED] > 0.0
        guess = rows[i, UNKNOWN] + rows[i, GROWTH] * more
        sure = j < m and rows[j, LIFTED] == rows[i, LIFTED]
        if sure:
            wide, gain = rows[j, LOAD] - rows[i, LOAD], rows[j, UNKNOWN] - rows[i, UNKNOWN]
            grows = rows[i, GROWTH] * wide if i > 0 else gain
            guess = rows[i, UNKNOWN] + cubic(more / wide, gain, grows, rows[j, GROWTH] * wide)[0]
        node(rows[m], s, h, lifted, guess, sure, spot, line)
        rows[i, MISFIT], rows[m, MISFIT] = 1e9, 0.0  # not yet known: to be split first
        if m >= COARSE:
            rows[i, MISFIT] = misfit(rows[i], rows[j], rows[m]) / 8.0  # a sixteenth if smooth, half at a kink
            rows[m, MISFIT], rows[m, NEXT] = rows[i, MISFIT], rows[i, NEXT]
        rows[i, NEXT] = m


@compiled
def draw(x: Floats, z: Floats, arc: Floats, s: Floats, solved: Floats, spot: Spot, line: Line) -> None:
    """Fill `x` and `z` (m from the anchor) at the lengths `arc` (m, unstretched, from 0 at the anchor)."""
    rode, h, unknown, lifted = line[0], solved[LOAD], solved[UNKNOWN], solved[LIFTED] > 0.0
    i, hanging, foot, height, upright, p = 0, rode[0, LENGTH], 0.0, 0.0, h * spot[6] / spot[5], 0
    if lifted:
        upright += unknown
    else:
        i, hanging, _ = touchdown(unknown, rode)
        while p < arc.shape[0] and arc[p] < rode[i, JOINT] - hanging:
            lay(s, h, unknown, arc[p], spot, line)
            foot, height = (s[X], s[Z]) if p == 0 else (foot, height)
            x[p], z[p], p = foot - s[X], height - s[Z], p + 1
    while p < arc.shape[0]:
        for j in range(STATE):
            s[j] = 0.0
        s[X], s[Z], s[V] = foot, height, upright
        # by what is above the point, as very little of the segment may hang
        left = max(rode[i, JOINT] - arc[p], 0.0)
        climb(s, h, max(hanging - left, 0.0), 0.0, spot[1], rode[i], line[1])
        if arc[p] <= rode[i, JOINT] or i == rode.shape[0] - 1:
            x[p], z[p], p = s[X], s[Z], p + 1
        else:
            foot, height, upright, hanging, i = s[X], s[Z], s[V], rode[i + 1, LENGTH], i + 1
