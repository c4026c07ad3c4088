"""The load–distance curve that the boat's motion looks up, the shapes for the pictures; no NaN anywhere."""

import importlib.util
import math
import sys
from dataclasses import astuple

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad

from anchorsim import line
from anchorsim.mooring import curve_kernel, line_kernel, statics
from anchorsim.mooring.statics import Line, LoadElongation, Segment, curve, solve

NYLON = LoadElongation(
    load=tuple(40e3 * share for share in (0.0, 0.10, 0.15, 0.20, 0.30, 0.50, 0.75, 1.0)),
    strain=(0.0, 0.14, 0.18, 0.21, 0.26, 0.33, 0.40, 0.47),  # three strand, from memory, ±0.03
    loss=0.3,
)
CHAIN = Segment(length=35.0, weight=13.6, stiffness=5.46e6, weight_in_air=15.7)
ROPE = Segment(length=25.0, weight=0.12, law=NYLON, weight_in_air=1.2)
SNUBBER = Segment(length=8.0, weight=0.1, law=NYLON, weight_in_air=1.2, slack=1.5, backup_stiffness=5.46e6)
RODES = {
    "all chain": ((CHAIN,), 8.0, 6.5),
    "chain then rope": ((CHAIN, ROPE), 8.0, 6.5),
    "chain and snubber": ((CHAIN, SNUBBER), 6.0, 4.5),
    "upright": ((CHAIN,), 34.9, 33.0),
    "shallow": ((Segment(length=150.0, weight=40.0, stiffness=3e7), SNUBBER), 1.5, 0.4),
    "weightless": ((Segment(length=40.0, weight=0.0, stiffness=2e6),), 5.0, None),
    "rope only": ((Segment(length=60.0, weight=0.3, law=NYLON, weight_in_air=1.5),), 9.0, 7.0),
    "four": ((CHAIN, ROPE, Segment(length=5.0, weight=90.0, stiffness=5e6), SNUBBER), 12.0, 10.0),
}
RODES |= {
    f"{name}, {how}": RODES[name] for name, how in (("four", "rising"), ("chain and snubber", "falling"))
}
FRICTION = 0.7


def slope_of(name):
    return 0.05 if name.endswith("rising") else -0.2 if name.endswith("falling") else 0.0


def made(name):
    segments, rise, depth = RODES[name]
    return {
        "segments": segments, "rise": rise, "friction": FRICTION, "depth": depth, "slope": slope_of(name)
    }  # fmt: skip


@pytest.fixture(scope="module")
def plain():
    """The kernels' own files once more, without numba."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setitem(sys.modules, "numba", None)
        for kernel in (curve_kernel, line_kernel):
            spec = importlib.util.spec_from_file_location(kernel.__name__, kernel.__file__)
            module = importlib.util.module_from_spec(spec)
            spec.loader.exec_module(module)
            patch.setitem(sys.modules, kernel.__name__, module)
        return module, sys.modules[curve_kernel.__name__]


@pytest.mark.parametrize("name", RODES)
class TestCurve:
    def test_grows_from_slack_to_bar_tight(self, name):
        table = curve(**made(name)).si
        assert table.distance.shape == (curve_kernel.NODES,)
        assert table.packed.flags.c_contiguous
        assert np.isfinite(table.packed).all()
        assert (np.diff(table.distance) > 0).all()
        assert (np.diff(table.horizontal_load) > 0).all()
        assert (np.diff(table.load_at_bow) > 0).all()
        assert (np.diff(table.length_on_bottom) <= 1e-9).all()
        assert table.horizontal_load[0] == 0.0
        assert table.horizontal_load[-1] >= 200e3
        assert table.distance[0] == pytest.approx(
            solve(**made(name), horizontal_load=0.0).si.distance, rel=1e-12
        )
        assert ((table.rope_share >= 0.0) & (table.rope_share <= 0.3 + 1e-12)).all()
        assert (table.load_at_bow >= table.horizontal_load).all()

    def test_is_near_the_solution_everywhere(self, name):
        table, random = curve(**made(name)).si, np.random.default_rng(3)
        for load in 10 ** random.uniform(math.log10(20.0), math.log10(240e3), 300):
            state = solve(**made(name), horizontal_load=load).si
            pull, at_bow, at_anchor, angle, _, lying, _ = table.look_up(state.distance)
            assert pull == pytest.approx(load, rel=0.002)
            assert at_bow == pytest.approx(state.load_at_bow, rel=0.002)
            assert at_anchor == pytest.approx(state.load_at_anchor, abs=0.005 * load)
            assert angle == pytest.approx(state.angle_at_anchor, abs=0.003)
            assert lying == pytest.approx(state.length_on_bottom, abs=0.01 * state.distance)

    def test_nodes_are_solutions(self, name):
        table = curve(**made(name)).si
        for i in range(1, curve_kernel.NODES, 8):
            state = solve(**made(name), horizontal_load=table.horizontal_load[i]).si
            kept = [*table.packed[[0, 3, 4, 5, 7], i]]
            assert kept == pytest.approx(
                [
                    state.distance,
                    state.load_at_bow,
                    state.load_at_anchor,
                    state.angle_at_anchor,
                    state.length_on_bottom,
                ],
                rel=1e-9,
                abs=1e-8,
            )

    def test_slope_at_the_nodes_is_the_stiffness(self, name):
        # central difference of the solution; nodes whose neighbourhood has a kink in it are left out
        rows, checks = np.zeros((curve_kernel.NODES, line_kernel.SOLVED)), 0
        spot, packed_line = Line(**made(name)).packed()
        line_kernel.tabulate(rows, np.empty(line_kernel.STATE), spot, packed_line)
        for row in rows:
            load = row[curve_kernel.LOAD]
            if load < 5.0:
                continue
            near, at, far = (
                solve(**made(name), horizontal_load=load * f).si.distance for f in (0.9995, 1.0, 1.0005)
            )
            if abs((far - at) / (at - near) - 1.0) > 0.01:
                continue
            checks += 1
            assert row[curve_kernel.STIFFNESS] == pytest.approx(0.001 * load / (far - near), rel=0.003)
        assert checks > 60

    def test_load_is_the_slope_of_the_energy(self, name):
        table = curve(**made(name)).si
        for distance in np.linspace(table.distance[0] + 2e-5, table.distance[-1] * 1.02, 60):
            step = 1e-5
            slope = (table.energy(distance + step) - table.energy(distance - step)) / (2 * step)
            assert slope == pytest.approx(table.look_up(distance)[0], rel=1e-5, abs=1e-4)

    def test_energy_is_the_integral_of_the_load(self, name):
        table = curve(**made(name)).si
        for i in (3, 40, 90, 120):
            start, end = table.distance[i], 0.3 * table.distance[i] + 0.7 * table.distance[i + 1]
            work = quad(lambda d: table.look_up(d)[0], start, end)[0]
            assert table.energy(end) - table.energy(start) == pytest.approx(work, rel=1e-6, abs=1e-9)

    def test_is_smooth_across_nodes_and_beyond(self, name):
        table = curve(**made(name)).si
        for at in table.distance[[5, 30, 64, 100, -1]]:
            below, above = (table.look_up(np.nextafter(at, at + side)) for side in (-1.0, 1.0))
            assert below == pytest.approx(above, rel=1e-6, abs=1e-6)
        last = table.distance[-1]
        load, at_bow, _, angle, share, _, stiffness = table.look_up(last + 2.0)
        assert load == pytest.approx(table.horizontal_load[-1] + 2.0 * table.stiffness[-1])
        assert at_bow >= load
        assert (angle, share, stiffness) == pytest.approx(
            (table.angle_at_anchor[-1], table.rope_share[-1], table.stiffness[-1])
        )

    def test_slack_does_not_pull(self, name):
        table = curve(**made(name)).si
        for distance in (0.0, 0.5 * table.distance[0], table.distance[0]):
            load, at_bow, *_, stiffness = table.look_up(distance)
            assert (load, stiffness, table.energy(distance)) == (0.0, 0.0, 0.0)
            assert at_bow == table.load_at_bow[0]

    def test_an_interval_is_found(self, name):
        """By halving, and by counting nodes."""
        packed, last = curve(**made(name)).si.packed, curve_kernel.NODES - 2
        for distance in (*packed[0, ::16], *np.linspace(0.9 * packed[0, 0], 1.1 * packed[0, -1], 40)):
            place = min(max(np.count_nonzero(packed[0] <= distance) - 1, 0), last)
            assert curve_kernel.between(packed, distance, place) == curve_kernel.look_up(packed, distance)

    def test_compiled_and_plain_are_the_same_to_the_last_bit(self, name, plain):
        spot, packed_line = Line(**made(name)).packed()
        rows = [np.zeros((curve_kernel.NODES, line_kernel.SOLVED)) for _ in range(2)]
        for table, kernel in zip(rows, (line_kernel, plain[0]), strict=True):
            kernel.tabulate(table, np.empty(line_kernel.STATE), spot, packed_line)
        np.testing.assert_array_equal(*rows)
        packed = curve(**made(name)).si.packed
        for distance in np.linspace(0.0, 1.1 * packed[0, -1], 200):
            found = curve_kernel.look_up(packed, distance)
            assert found == plain[1].look_up(packed, distance)
            assert found == curve_kernel.look_up.py_func(packed, distance)
        arc = np.linspace(0.0, packed_line[0][-1, line_kernel.JOINT], 50)
        for row in rows[0][::16]:
            drawn = [np.empty((2, 50)) for _ in range(2)]
            for (x, z), kernel in zip(drawn, (line_kernel, plain[0]), strict=True):
                kernel.draw(x, z, arc, np.empty(line_kernel.STATE), row, spot, packed_line)
            np.testing.assert_array_equal(*drawn)


class TestRopeShare:
    def test_chain_alone_has_none(self):
        assert (curve(**made("all chain")).si.rope_share == 0.0).all()

    def test_springs_in_series_share_by_compliance(self):
        # taut and level, a linear law: share = loss · C_rope/(C_rope + C_chain)
        law = LoadElongation(load=(0.0, 1e6), strain=(0.0, 10.0), loss=0.25)  # EA 100 kN
        rode = [Segment(length=20.0, weight=0.0, law=law), Segment(length=30.0, weight=0.0, stiffness=3e5)]
        table = curve(segments=rode, rise=0.5).si
        rope, chain = 20.0 / 1e5, 30.0 / 3e5
        assert table.look_up(table.distance[100])[4] == pytest.approx(0.25 * rope / (rope + chain), rel=1e-3)

    def test_parallel_chain_takes_its_part(self):
        # beyond the slack the rope carries 1 part in 1 + k of what is added, and only that part is lossy
        law = LoadElongation(load=(0.0, 1e6), strain=(0.0, 10.0), loss=0.25)  # EA 100 kN
        segment = Segment(length=10.0, weight=0.0, law=law, slack=1.0, backup_stiffness=2.2e6)
        table = curve(segments=[segment], rise=0.5).si
        chain = 2.2e6 * 10.0 / 11.0
        taut = int(np.searchsorted(table.horizontal_load, 50e3))
        assert table.rope_share[taut] == pytest.approx(0.25 * 1e5 / (1e5 + chain), rel=1e-3)

    @pytest.mark.parametrize("load", [50.0, 400.0, 3e3, 20e3])
    def test_is_the_envelope_of_the_compliance(self, load):
        # the compliance C is an extreme of the complementary energy, so ∂C/∂(rope's slope) is what the rope
        # gives: share = loss · slope · (∂C/∂slope)/C, with the strain itself held
        kernel, out = line_kernel, np.zeros(line_kernel.SOLVED)
        spot, (rode, laws) = Line((CHAIN, ROPE), 8.0, FRICTION, 6.5).packed()
        mean = solve(segments=[CHAIN, ROPE], rise=8.0, horizontal_load=load, friction=FRICTION, depth=6.5).si
        strain, slope = kernel.strain_at(laws, 0, len(laws) - 1, mean.load_at_bow)

        def compliance(factor):
            s = slope * factor
            straight = np.array(
                [
                    (0.0, strain - s * mean.load_at_bow, s, s),
                    (1e6, strain + s * (1e6 - mean.load_at_bow), s, s),
                ]
            )
            there = rode.copy()
            there[1, kernel.FIRST], there[1, kernel.LAST] = 0.0, 1.0
            kernel.node(out, np.empty(kernel.STATE), load, False, 0.0, False, spot, (there, straight))
            return 1.0 / out[curve_kernel.STIFFNESS], out[curve_kernel.SHARE]

        more, less = compliance(1.0 + 1e-4)[0], compliance(1.0 - 1e-4)[0]
        whole, share = compliance(1.0)
        assert share == pytest.approx(0.3 * (more - less) / 2e-4 / whole, rel=0.01)


class TestShape:
    @pytest.mark.parametrize("name", RODES)
    @pytest.mark.parametrize("load", [0.0, 3.0, 60.0, 900.0, 15e3, 200e3])
    def test_runs_from_anchor_to_bow_along_the_rode(self, name, load):
        segments, rise, _ = RODES[name]
        drawn = Line(**made(name)).shape(load, points=80).si
        state = solve(**made(name), horizontal_load=load).si
        assert (drawn.x[0], drawn.z[0], drawn.segment[0]) == (0.0, 0.0, 0)
        assert (drawn.x[-1], drawn.z[-1]) == pytest.approx((state.distance, rise), rel=1e-9, abs=1e-9)
        rises = math.tan(slope_of(name))
        assert (drawn.z - rises * drawn.x >= -1e-12).all()
        assert (np.diff(drawn.z) >= 0.0).all() or rises < 0.0
        assert (np.diff(drawn.x) >= -1e-9).all()
        assert list(np.unique(drawn.segment)) == list(range(len(segments)))
        # chords are never longer than the rode is when stretched, and with many points nearly as long
        chords = np.hypot(np.diff(drawn.x), np.diff(drawn.z)).sum()
        assert chords >= sum(s.length for s in segments) * 0.997

    def test_lies_then_hangs(self):
        drawn = Line((CHAIN,), 6.0).shape(150.0, points=60).si
        state = solve(segments=[CHAIN], rise=6.0, horizontal_load=150.0).si
        flat = drawn.z == 0.0
        assert drawn.x[flat].max() == pytest.approx(state.length_on_bottom, rel=1e-3)
        # a hanging chain is a catenary: z = a(cosh(x/a) − 1), a = H/w, but for its stretch
        a = 150.0 / 13.6
        away = drawn.x - drawn.x[flat].max()
        assert drawn.z[~flat] == pytest.approx(a * (np.cosh(away[~flat] / a) - 1.0), rel=2e-3, abs=1e-3)

    def test_many_at_once_are_the_same(self):
        loads = [0.0, 10.0, 1e3, 1e5]
        many = Line(**made("four")).shapes(loads, points=40).si
        assert many.x.shape == many.z.shape == many.segment.shape == (4, 40)
        for i, load in enumerate(loads):
            one = Line(**made("four")).shape(load, points=40).si
            np.testing.assert_allclose(many.x[i], one.x, rtol=1e-9, atol=1e-9)
            np.testing.assert_allclose(many.z[i], one.z, rtol=1e-9, atol=1e-9)


def test_floating_rope_all_but_slack_still_gives_a_growing_curve():
    # neutral in water and heavy in air, it lies in the surface; how much leaves it, a millionth newton says
    rode = [
        Segment(length=19.157113609201385, weight=4.669221334228243, stiffness=1.1e6, weight_in_air=24.6),
        Segment(length=13.632291216764994, weight=0.0, stiffness=2.2e5, weight_in_air=1.9784108210749736),
        Segment(length=5.965864330672464, weight=0.0, stiffness=2e7),
        Segment(length=0.29417421263689686, weight=3.1388726913206573, stiffness=6.5e4),
    ]
    for depth in (0.3, 0.65, 1.3):
        table = curve(segments=rode, rise=3.014298438454624, friction=0.2, depth=depth).si
        assert np.isfinite(table.packed).all()
        assert (np.diff(table.distance) > 0).all()
        assert (table.stiffness >= 0).all()


weights = st.one_of(st.just(0.0), st.floats(1e-6, 200.0))


@st.composite
def any_segment(draw):
    length, weight = draw(st.floats(0.02, 60.0)), draw(weights)
    air = draw(st.one_of(st.none(), st.floats(1.0, 10.0)))
    common = {"length": length, "weight": weight, "weight_in_air": air and max(weight, 0.5) * air}
    kind = draw(st.sampled_from(["spring", "rope", "snubber"]))
    if kind == "spring":
        return Segment(stiffness=draw(st.floats(5e4, 5e8)), **common)
    strength = draw(st.floats(5e3, 5e5))
    law = LoadElongation(
        tuple(x * strength / 40e3 for x in NYLON.load), NYLON.strain, draw(st.floats(0.0, 0.5))
    )
    if kind == "rope":
        return Segment(law=law, **common)
    slack = draw(st.floats(0.0, 0.6)) * length
    return Segment(law=law, slack=slack, backup_stiffness=draw(st.floats(5e4, 5e8)), **common)


@st.composite
def any_rode(draw):
    segments = draw(st.lists(any_segment(), min_size=1, max_size=5))
    length = sum(s.length for s in segments)
    rise = min(draw(st.floats(0.5, 65.0)), length * draw(st.floats(0.05, 1.0)))
    depth = draw(st.one_of(st.none(), st.floats(0.0, 1.2)))
    over = max(rise, 1e-3) * min(depth or 1.0, 1.0)
    steepest = min(0.36, 0.999 * math.asin(over / length))
    return {
        "segments": segments,
        "rise": max(rise, 1e-3),
        "friction": draw(st.floats(0.0, 1.5)),
        "depth": None if depth is None else rise * depth,
        "slope": draw(st.one_of(st.just(0.0), st.floats(-0.36, steepest))),
    }


@settings(max_examples=150, deadline=None)
@given(rode=any_rode(), load=st.floats(0.0, 200e3), share=st.floats(0.0, 1.5))
def test_no_nan_anywhere(rode, load, share):
    table = curve(**rode).si
    assert np.isfinite(table.packed).all()
    assert (np.diff(table.distance) > 0).all()
    assert (np.diff(table.horizontal_load) > 0).all()
    assert (table.length_on_bottom >= 0).all()
    state = solve(**rode, horizontal_load=load).si
    assert all(math.isfinite(value) for value in astuple(state))
    drawn = Line(**rode).shape(load, points=40).si
    assert np.isfinite(drawn.x).all() and np.isfinite(drawn.z).all()
    # a weightless rope between weights hangs by the last digit of them when hardly anything pulls
    pull, weight = (
        max(load, line_kernel.LEAST_LOAD),
        sum((s.weight_in_air or s.weight) * s.length for s in rode["segments"]),
    )
    digits = 1e-9 * (1.0 + state.distance) + 1e-15 * weight / pull * sum(s.length for s in rode["segments"])
    # where a rope stretches so far that the bottom comes up to the bow, that slides along it; what is out of
    # the water there sags from the slope by no more than its weight over the pull, times its length
    rises = math.tan(rode["slope"])
    wanted = (state.distance, max(rode["rise"], rises * state.distance))
    surface = math.inf if rode["depth"] is None else rode["depth"]
    slides = wanted[1] > max(rode["rise"], surface)
    dry = (wanted[1] - surface) / math.sin(rode["slope"]) if slides else 0.0
    sag = max(s.weight_in_air or s.weight for s in rode["segments"]) * dry * dry / pull
    assert (drawn.x[-1], drawn.z[-1]) == pytest.approx(wanted, abs=digits + sag)
    assert (drawn.z - rises * drawn.x).min() >= (-digits if rises else 0.0)
    distance = share * table.distance[-1]
    assert all(math.isfinite(value) for value in (*table.look_up(distance), table.energy(distance)))
    found = Line(**rode).solve_at_distance(distance).si
    assert found.distance == pytest.approx(distance, rel=1e-9, abs=1e-9)
    assert all(math.isfinite(value) for value in astuple(found))
    assert line.look_up(table.packed, distance)[0] >= 0.0


@pytest.mark.parametrize(
    ("tries", "fewer", "asked"),
    [
        ("TRIES", 2, Line.curve),
        ("TRIES", 2, lambda rode: rode.solve(900.0).si),
        ("TRIES", 2, lambda rode: rode.solve_at_distance(50.0).si),
        ("TRIES", 2, lambda rode: rode.shape(900.0).si),
        ("CLIMBS", 1, Line.curve),
    ],
)
def test_what_is_not_found_says_so(plain, monkeypatch, tries, fewer, asked):
    monkeypatch.setattr(statics, "kernel", plain[0])
    monkeypatch.setattr(plain[0], tries, fewer)
    with pytest.raises(
        RuntimeError, match=r"the line at rest under \S+ N was not found in \d+ steps\. Expected"
    ):
        asked(Line(**made("four")))
