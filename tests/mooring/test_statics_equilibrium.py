"""A thousand random composite lines against textbook formulas, and some against ODEs in arc length.

Nothing here shares a formula with the package: the textbook catenary runs from the bow down with asinh, in
long double; the ODEs are integrated by scipy from the bow down, and shot at the bottom.
"""

import math
from itertools import pairwise

import numpy as np
import pytest
from scipy.integrate import quad, solve_ivp
from scipy.interpolate import PchipInterpolator
from scipy.optimize import brentq

from anchorsim.mooring.statics import Line, LineState, LoadElongation, Segment, solve

Wide = np.longdouble


def random_line(random: np.random.Generator) -> tuple[dict, bool]:
    """One to five chains, cables and ropes, anywhere in the tool's range; some partly out of the water."""
    count = int(random.integers(1, 6))
    total = random.uniform(2.0, 200.0)
    shares = random.dirichlet(np.ones(count)) * 0.9 + 0.1 / count
    wet = bool(random.random() < 0.5)
    segments = []
    for share in shares:
        weight = float(10 ** random.uniform(-1.0, math.log10(200.0)))
        stiffness = float(10 ** random.uniform(math.log10(5e4), math.log10(5e8)))
        air = None if wet else weight * random.uniform(1.0, 8.0)
        segments.append(Segment(length=total * share, weight=weight, stiffness=stiffness, weight_in_air=air))
    rise = random.uniform(0.5, min(65.0, 0.98 * total))
    case = {
        "segments": segments,
        "rise": rise,
        "horizontal_load": float(10 ** random.uniform(-1.0, math.log10(2e5))),
        "friction": random.uniform(0.0, 1.0),
        "depth": None if wet else rise * random.uniform(0.2, 1.1),
        "slope": 0.0,
    }
    return case, wet


def sloping_line(random: np.random.Generator) -> dict:
    """The like on a bottom that falls or rises, up to where it would just stay under water and bow."""
    case, _ = random_line(random)
    total = sum(segment.length for segment in case["segments"])
    most = math.asin(min(case["rise"], case["depth"] or math.inf) / total)
    return case | {"slope": random.uniform(-0.36, min(0.36, 0.999 * most))}


def down(load, upper, weight, length, stiffness):
    """Δx and Δz of a part by the textbook elastic catenary; `upper` is the vertical load at its upper end."""
    lower = upper - weight * length
    x = load / weight * (np.arcsinh(upper / load) - np.arcsinh(lower / load)) + load * length / stiffness
    z = (np.sqrt(load**2 + upper**2) - np.sqrt(load**2 + lower**2)) / weight
    return x, z + (upper + lower) * length / 2 / stiffness


def textbook(case: dict, state: LineState) -> tuple[float, float, float]:
    """Distance, height and vertical load at the lower end, from the bow's loads and the length lying.

    The load is that at the anchor, or where what lies begins.
    """
    load, upright = Wide(case["horizontal_load"]), Wide(state.vertical_load_at_bow)
    surface = Wide(math.inf if case["depth"] is None else case["depth"])
    x, z, lying = Wide(0), Wide(case["rise"]), Wide(state.length_on_bottom)
    cosine, sine = np.cos(Wide(case["slope"])), np.sin(Wide(case["slope"]))
    tension, base = load / cosine, Wide(0)
    tops = np.cumsum([Wide(s.length) for s in case["segments"]])
    for segment, top in zip(reversed(case["segments"]), reversed(tops), strict=True):
        hanging = min(top - lying, Wide(segment.length)) if top > lying else Wide(0)
        stiffness = Wide(segment.stiffness)
        air = Wide(segment.weight if segment.weight_in_air is None else segment.weight_in_air)
        if z > surface and hanging > 0:
            above, at, at_load = hanging, z, upright
            sinking = min(hanging, upright / air)
            if at - down(load, upright, air, sinking, stiffness)[1] < surface:
                low, high = Wide(0), sinking
                for _ in range(70):
                    above = (low + high) / 2
                    if at - down(load, at_load, air, above, stiffness)[1] > surface:
                        low = above
                    else:
                        high = above
            dx, dz = down(load, upright, air, above, stiffness)
            x, z, upright, hanging = x + dx, z - dz, upright - air * above, hanging - above
        if hanging > 0:
            dx, dz = down(load, upright, Wide(segment.weight), hanging, stiffness)
            x, z, upright = x + dx, z - dz, upright - Wide(segment.weight) * hanging
        base = min(top, lying) - (top - Wide(segment.length))
        if base > 0:  # Coulomb friction and its own weight on what lies, integrated
            drop = (Wide(case["friction"]) * cosine + sine) * Wide(segment.weight)
            pulled = base if drop * base <= tension else tension / drop
            along = base + (tension * pulled - drop * pulled**2 / 2) / stiffness
            x, z = x + along * cosine, z - along * sine
            tension = max(tension - drop * base, Wide(0))
    return float(x), float(z), float(upright)


@pytest.mark.parametrize("sloping", [False, True], ids=["flat", "sloping"])
def test_a_thousand_lines_are_in_equilibrium(sloping):
    random = np.random.default_rng(20190417)
    lying = lifted = 0
    for _ in range(1000):
        case = sloping_line(random) if sloping else random_line(random)[0]
        state, slope, length = solve(**case).si, case["slope"], sum(s.length for s in case["segments"])
        if state.length_on_bottom == length:  # stretched till the bottom comes up to the bow
            assert slope > 0 and state.distance * math.tan(slope) >= case["rise"] * (1 - 1e-12)
            continue
        x, z, upright = textbook(case, state)
        weight = sum(s.weight_in_air or s.weight for s in case["segments"])
        low = state.load_at_anchor * math.sin(state.angle_at_anchor + slope)
        if state.length_on_bottom > 0:  # what hangs leaves the bottom tangent to it
            low = case["horizontal_load"] * math.tan(slope)
        assert state.distance == pytest.approx(x, rel=1e-9, abs=1e-9)
        assert z == pytest.approx(0.0, abs=1e-9 * (1.0 + case["rise"]))
        assert upright == pytest.approx(low, rel=1e-9, abs=1e-9 * (1.0 + weight))
        assert state.load_at_bow == pytest.approx(
            math.hypot(case["horizontal_load"], state.vertical_load_at_bow), rel=1e-12
        )
        if state.length_on_bottom > 0:
            lying += 1
            rubbed, base, hold = 0.0, 0.0, case["friction"] * math.cos(slope) + math.sin(slope)
            for segment in case["segments"]:
                part = min(max(state.length_on_bottom - base, 0.0), segment.length)
                rubbed, base = rubbed + hold * segment.weight * part, base + segment.length
            expected = max(case["horizontal_load"] / math.cos(slope) - rubbed, 0.0)
            assert state.load_at_anchor == pytest.approx(expected, rel=1e-9, abs=1e-8)
            assert state.angle_at_anchor == 0.0
        else:
            lifted += 1
            pull = state.load_at_anchor * math.cos(state.angle_at_anchor + slope)
            assert pull == pytest.approx(case["horizontal_load"], rel=1e-9)
    assert min(lying, lifted) > 200  # both regimes were met


def fall(case: dict, upright: float) -> np.ndarray:
    """Integrate from the bow down with a vertical load there, until it runs along the bottom or is used up.

    Returns x, z, vertical load and the length used; the weight changes at the surface.
    """
    load, rise = case["horizontal_load"], case["rise"]
    surface = math.inf if case["depth"] is None else case["depth"]
    state, used = np.array([0.0, rise, upright]), 0.0
    least = load * math.tan(case["slope"])

    def tangent(_, y):
        return y[2] - least

    def waterline(_, y):
        return y[1] - surface

    tangent.terminal, waterline.terminal, waterline.direction = True, True, -1.0
    for segment in reversed(case["segments"]):
        left = segment.length
        while left > 0 and state[2] > least:
            dry = state[1] > surface + 1e-12
            weight = segment.weight_in_air if dry and segment.weight_in_air is not None else segment.weight

            def slope(_, y, weight=weight, segment=segment):
                tension = math.hypot(load, y[2])
                stretched = 1.0 + tension / segment.stiffness
                return [stretched * load / tension, -stretched * y[2] / tension, -weight]

            events = [tangent, waterline] if dry and math.isfinite(surface) else [tangent]
            run = solve_ivp(slope, (0, left), state, "DOP853", rtol=1e-10, atol=1e-10, events=events)
            state, left, used = run.y[:, -1], left - run.t[-1], used + run.t[-1]
            if run.t_events[0].size:
                return np.array([*state[:2], least, used])
    return np.array([*state, used])


def lie(case: dict, lying: float) -> float:
    """How far `lying` metres reach along the bottom when stretched."""
    slope, along, base = case["slope"], 0.0, sum(s.length for s in case["segments"])
    hold = case["friction"] * math.cos(slope) + math.sin(slope)
    tension = case["horizontal_load"] / math.cos(slope)
    for segment in reversed(case["segments"]):
        base -= segment.length
        part = min(max(lying - base, 0.0), segment.length)
        drop = hold * segment.weight
        along += quad(
            lambda s, t=tension, d=drop, e=segment.stiffness: 1.0 + max(t - d * s, 0.0) / e,
            0,
            part,
            points=[min(tension / drop, part)] if drop > 0 else None,
        )[0]
        tension = max(tension - drop * part, 0.0)
    return along


def shoot(case: dict) -> tuple[float, float]:
    """Distance and vertical load at the bow, which is shot for until the lower end meets the bottom."""
    total, slope = sum(s.length for s in case["segments"]), case["slope"]

    def above(upright: float) -> float:
        _, z, _, hanging = fall(case, upright)
        return z - math.sin(slope) * lie(case, total - hanging)

    least = case["horizontal_load"] * math.tan(slope)
    most = case["horizontal_load"] + sum(s.length * (s.weight_in_air or s.weight) for s in case["segments"])
    while above(most) > 0:
        most *= 2.0
    upright = brentq(above, least + 1e-9, most, xtol=1e-9, rtol=1e-13)
    x, _, _, hanging = fall(case, upright)
    return x + math.cos(slope) * lie(case, total - hanging), upright


@pytest.mark.parametrize("sloping", [False, True], ids=["flat", "sloping"])
@pytest.mark.parametrize("seed", range(30))
def test_against_shooting_in_arc_length(seed, sloping):
    random = np.random.default_rng(seed)
    case = sloping_line(random) if sloping else random_line(random)[0]
    state = solve(**case).si
    x, upright = shoot(case)
    assert state.distance == pytest.approx(x, rel=1e-6, abs=1e-6)
    assert state.vertical_load_at_bow == pytest.approx(upright, rel=1e-6, abs=1e-6)


def test_random_lines_are_found_again_by_their_distance():
    random = np.random.default_rng(7)
    for _ in range(300):
        case = sloping_line(random)
        state = solve(**case).si
        load = case.pop("horizontal_load")
        back = Line(**case).solve_at_distance(state.distance).si
        assert back.distance == pytest.approx(state.distance, rel=1e-12)
        stiffness = stiffness_of(case, load)
        assert abs(back.horizontal_load - load) <= 1e-9 * load + 1e-11 * stiffness * (1.0 + state.distance)


def stiffness_of(case: dict, load: float) -> float:
    """dH/d distance by central difference: how far a rounded distance may move the load."""
    near, far = (solve(horizontal_load=load * factor, **case).si.distance for factor in (0.999, 1.001))
    return 0.002 * load / (far - near)


LAWS = [
    LoadElongation(load=(0.0, 4e3, 8e3, 12e3, 20e3, 40e3), strain=(0.0, 0.14, 0.21, 0.26, 0.33, 0.47)),
    LoadElongation(load=(0.0, 6e3, 12e3, 30e3, 60e3), strain=(0.0, 0.06, 0.11, 0.19, 0.29)),
]


def iterated(segments: list[Segment], rise: float, load: float) -> tuple[float, float]:
    """Distance and load at the bow by hand: guess strains, solve inextensible catenaries, read mean tensions.

    Every segment is lifted. Mean tension by quadrature over the segment, strain by scipy's monotone cubic.
    """
    laws = [PchipInterpolator(s.law.load, s.law.strain) for s in segments]
    weights = np.cumsum([0.0, *(s.weight * s.length for s in segments)])
    strains = np.zeros(len(segments))
    for _ in range(60):
        lengths = np.array([s.length for s in segments]) * (1.0 + strains)

        def spans(v, lengths=lengths):
            x = z = 0.0
            for length, (a, b) in zip(lengths, pairwise(v + weights), strict=True):
                w = (b - a) / length
                x += load / w * (math.asinh(b / load) - math.asinh(a / load))
                z += (math.hypot(load, b) - math.hypot(load, a)) / w
            return x, z

        v = brentq(lambda v, spans=spans: spans(v)[1] - rise, -weights[-1], 1e6, xtol=1e-10)
        means = [
            quad(lambda q: math.hypot(load, q), a, b, epsabs=1e-12)[0] / (b - a)
            for a, b in pairwise(v + weights)
        ]
        strains = np.array([float(law(mean)) for law, mean in zip(laws, means, strict=True)])
    return spans(v)[0], math.hypot(load, v + weights[-1])


@pytest.mark.parametrize("load", [600.0, 2.2e3, 9e3, 30e3])
def test_ropes_against_an_iteration_by_hand(load):
    segments = [
        Segment(length=18.0, weight=1.1, law=LAWS[0]),
        Segment(length=9.0, weight=0.4, law=LAWS[1]),
        Segment(length=5.0, weight=2.0, law=LAWS[0]),
    ]
    x, at_bow = iterated(segments, 7.0, load)
    state = solve(segments=segments, rise=7.0, horizontal_load=load).si
    assert state.length_on_bottom == 0.0
    assert state.distance == pytest.approx(x, rel=1e-9)
    assert state.load_at_bow == pytest.approx(at_bow, rel=1e-9)


@pytest.mark.parametrize("load", [20.0, 200.0, 2e3, 12e3])
def test_mean_tension_stands_for_the_local_one(load):
    # a long nylon rode cut ever finer tends to the law applied point by point; the whole is near that
    whole = Segment(length=60.0, weight=0.3, law=LAWS[0], weight_in_air=2.0)
    fine = [Segment(length=60.0 / 64, weight=0.3, law=LAWS[0], weight_in_air=2.0)] * 64
    by_mean = solve(segments=[whole], rise=8.0, horizontal_load=load, friction=0.3, depth=6.5).si
    by_point = solve(segments=fine, rise=8.0, horizontal_load=load, friction=0.3, depth=6.5).si
    assert by_mean.distance == pytest.approx(by_point.distance, rel=1e-4)
    assert by_mean.load_at_bow == pytest.approx(by_point.load_at_bow, rel=1e-3)
