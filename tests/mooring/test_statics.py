"""The rode at rest against published values, closed forms and its own symmetries."""

import math
from dataclasses import astuple, replace

import numpy as np
import pytest
from scipy.interpolate import PchipInterpolator
from scipy.optimize import brentq

from anchorsim import line
from anchorsim.mooring import line_kernel
from anchorsim.mooring.material import law_nodes, pack
from anchorsim.mooring.statics import Line, LoadElongation, Segment, along, solve

CHAIN = Segment(length=40.0, weight=13.6, stiffness=5.46e6)
NYLON = LoadElongation(
    load=tuple(40e3 * share for share in (0.0, 0.10, 0.15, 0.20, 0.30, 0.50, 0.75, 1.0)),
    strain=(0.0, 0.14, 0.18, 0.21, 0.26, 0.33, 0.40, 0.47),  # three strand, from memory, ±0.03
    loss=0.3,
)
ROPE = Segment(length=25.0, weight=0.15, law=NYLON, weight_in_air=1.3)


def close(a: line.LineState, b: line.LineState, tolerance: float) -> None:
    assert astuple(a) == pytest.approx(astuple(b), rel=tolerance, abs=tolerance)


class TestMooringOfOceanEngineering:
    """The OC3-Hywind line, NREL/TP-500-47535 [reprint], beyond its published values (`test_published`)."""

    LINE = (Segment(length=902.2, weight=698.094, stiffness=384.243e6),)  # m, N/m, N

    def test_friction_takes_load_off_what_lies(self):
        pull = 0.9 * 902.2 * 698.094
        state = solve(segments=self.LINE, rise=336.93205, horizontal_load=pull, friction=0.1).si
        assert state.load_at_anchor == pytest.approx(pull - 0.1 * 698.094 * state.length_on_bottom)

    def test_without_friction_it_pulls_level_at_the_anchor(self):
        state = Line(self.LINE, 250.0).solve_at_distance(848.67).si
        assert state.distance == pytest.approx(848.67, abs=1e-9)
        assert state.load_at_anchor == pytest.approx(state.horizontal_load)
        assert state.angle_at_anchor == 0.0


class TestClosedForms:
    @pytest.mark.parametrize(("length", "rise"), [(20.0, 4.0), (60.0, 12.0), (200.0, 5.0)])
    def test_catenary_just_lifted(self, length, rise):
        # inextensible catenary touching down at the anchor: H = w(L² − z²)/(2z), T at the bow = H + wz
        rode = [Segment(length=length, weight=15.0, stiffness=1e16)]
        pull = 15.0 * (length**2 - rise**2) / (2.0 * rise)
        state = solve(segments=rode, rise=rise, horizontal_load=pull).si
        assert state.length_on_bottom == pytest.approx(0.0, abs=1e-6 * length)
        assert state.angle_at_anchor == pytest.approx(0.0, abs=1e-6)
        assert state.load_at_bow == pytest.approx(pull + 15.0 * rise, rel=1e-9)
        assert state.distance == pytest.approx(pull / 15.0 * math.asinh(15.0 * length / pull), rel=1e-9)

    def test_bar_tight_is_straight(self):
        state = solve(
            segments=[Segment(length=50.0, weight=1e-9, stiffness=2e6)], rise=14.0, horizontal_load=30e3
        ).si
        span = math.hypot(state.distance, 14.0)
        tension = 30e3 * span / state.distance
        assert span == pytest.approx(50.0 * (1.0 + tension / 2e6), rel=1e-12)
        assert state.angle_at_anchor == pytest.approx(math.asin(14.0 / span), rel=1e-9)
        assert state.load_at_anchor == pytest.approx(tension, rel=1e-12)

    def test_weightless_springs_in_series(self):
        rode = [
            Segment(length=30.0, weight=0.0, stiffness=4e5),
            Segment(length=10.0, weight=0.0, stiffness=1e5),
        ]
        state = solve(segments=rode, rise=8.0, horizontal_load=5e3).si
        tension = math.hypot(state.horizontal_load, state.vertical_load_at_bow)
        span = math.hypot(state.distance, 8.0)
        assert span == pytest.approx(40.0 + tension * (30.0 / 4e5 + 10.0 / 1e5), rel=1e-12)

    def test_weight_vanishes_smoothly(self):
        def at(weight):
            return solve(segments=[replace(CHAIN, weight=weight)], rise=6.0, horizontal_load=900.0).si

        straight = at(0.0)
        for weight in (1e-3, 1e-6, 1e-9, 1e-12, 1e-300):
            state = at(weight)
            assert state.distance == pytest.approx(straight.distance, abs=1e-4 * weight + 1e-12)
            assert state.load_at_anchor == pytest.approx(straight.load_at_anchor, abs=30.0 * weight + 1e-9)

    def test_slack_rode_hangs_upright(self):
        # what hangs is stretched by its own weight: z = L₀ + wL₀²/2EA, and it pulls with wL₀
        state = solve(segments=[CHAIN], rise=10.0, horizontal_load=0.0).si
        hanging = brentq(lambda up: up + 13.6 * up * up / (2 * 5.46e6) - 10.0, 5.0, 10.0, xtol=1e-13)
        assert state.length_on_bottom == pytest.approx(40.0 - hanging, abs=2e-7)
        assert state.distance == pytest.approx(40.0 - hanging, abs=2e-6)
        assert state.vertical_load_at_bow == pytest.approx(13.6 * hanging, abs=2e-6)
        assert (state.horizontal_load, state.angle_at_anchor) == (0.0, 0.0)
        assert state.load_at_anchor == pytest.approx(0.0, abs=2e-6)

    def test_weight_in_air_hangs_upright(self):
        rode = [replace(CHAIN, weight_in_air=15.7, stiffness=1e15)]
        state = solve(segments=rode, rise=10.0, horizontal_load=0.0, depth=7.0).si
        assert state.vertical_load_at_bow == pytest.approx(13.6 * 7.0 + 15.7 * 3.0, abs=2e-6)

    def test_length_equal_to_rise(self):
        state = solve(segments=[CHAIN], rise=40.0, horizontal_load=0.0).si
        assert state.distance == pytest.approx(
            0.0, abs=0.06
        )  # stretched by its weight, it just reaches bottom
        assert 0.0 < state.length_on_bottom < 0.01
        pulled = solve(segments=[CHAIN], rise=40.0, horizontal_load=50.0).si
        assert pulled.angle_at_anchor > 0.5

    def test_friction_takes_all_of_a_small_load(self):
        # 100 N over 0.5 · 13.6 N/m: nothing is left after 14.7 m of chain on the bottom
        state = solve(segments=[CHAIN], rise=3.0, horizontal_load=100.0, friction=0.5).si
        assert state.length_on_bottom > 100.0 / (0.5 * 13.6)
        assert state.load_at_anchor == 0.0
        # a heavier pull loses friction · weight for each metre lying (Coulomb)
        state = solve(segments=[CHAIN], rise=3.0, horizontal_load=300.0, friction=0.5).si
        assert state.load_at_anchor == pytest.approx(300.0 - 0.5 * 13.6 * state.length_on_bottom, rel=1e-12)


class TestSymmetries:
    def rode(self):
        return [CHAIN, Segment(length=20.0, weight=1.5, stiffness=3e5, weight_in_air=2.0)]

    @pytest.mark.parametrize("pull", [0.0, 5.0, 80.0, 500.0, 4e3, 60e3])
    @pytest.mark.parametrize("depth", [None, 6.0])
    def test_splitting_changes_nothing(self, pull, depth):
        whole = solve(segments=self.rode(), rise=8.0, horizontal_load=pull, friction=0.4, depth=depth).si
        parts = [
            replace(segment, length=segment.length * share)
            for segment in self.rode()
            for share in (0.3, 0.5, 0.2)
        ]
        split = solve(segments=parts, rise=8.0, horizontal_load=pull, friction=0.4, depth=depth).si
        close(whole, split, 1e-9)

    @pytest.mark.parametrize("pull", [30.0, 700.0, 20e3])
    def test_scaling(self, pull):
        # lengths by 3 and loads by 5: weights per metre by 5/3, stiffness by 5, angles the same
        def scaled(a, b):
            rode = [
                replace(
                    s,
                    length=s.length * a,
                    weight=s.weight * b / a,
                    stiffness=s.stiffness * b,
                    weight_in_air=None,
                )
                for s in self.rode()
            ]
            return solve(segments=rode, rise=8.0 * a, horizontal_load=pull * b, friction=0.3).si

        small, big = scaled(1.0, 1.0), scaled(3.0, 5.0)
        assert big.distance == pytest.approx(3.0 * small.distance, rel=1e-9)
        assert big.length_on_bottom == pytest.approx(3.0 * small.length_on_bottom, rel=1e-9)
        assert big.load_at_bow == pytest.approx(5.0 * small.load_at_bow, rel=1e-9)
        assert big.load_at_anchor == pytest.approx(5.0 * small.load_at_anchor, rel=1e-9)
        assert big.angle_at_anchor == pytest.approx(small.angle_at_anchor, abs=1e-9)

    def test_lifted_line_carries_its_own_weight(self):
        # whichever end of a lifted line is called the bow, its two vertical loads differ by its weight
        state = solve(segments=[CHAIN], rise=9.0, horizontal_load=8e3).si
        assert state.length_on_bottom == 0.0
        at_anchor = state.load_at_anchor * math.sin(state.angle_at_anchor)
        assert state.vertical_load_at_bow - at_anchor == pytest.approx(13.6 * 40.0, rel=1e-12)

    def test_more_scope_lowers_the_lift(self):
        angles = [
            solve(
                segments=[replace(CHAIN, length=8.0 * scope)], rise=8.0, horizontal_load=2500.0
            ).si.angle_at_anchor
            for scope in (2, 3, 4, 5, 7, 10)
        ]
        assert angles == sorted(angles, reverse=True)
        assert angles[0] > math.radians(15)
        assert angles[-1] == 0.0

    def test_weightless_rope_on_the_bottom_just_lies(self):
        rode = [Segment(length=15.0, weight=0.0, stiffness=1e7), CHAIN]
        alone = solve(segments=[CHAIN], rise=5.0, horizontal_load=200.0, friction=0.3).si
        state = solve(segments=rode, rise=5.0, horizontal_load=200.0, friction=0.3).si
        assert state.length_on_bottom == pytest.approx(alone.length_on_bottom + 15.0, abs=1e-9)
        assert state.load_at_anchor == pytest.approx(alone.load_at_anchor, rel=1e-9)
        assert state.distance == pytest.approx(
            alone.distance + 15.0 * (1.0 + alone.load_at_anchor / 1e7), rel=1e-12
        )

    def test_a_light_rope_on_heavy_chain_is_placed_finely(self):
        # 40 kN of chain lies under 2 mN of rope: the rope's own few newtons must not be lost beside it
        rode = [
            Segment(length=150.0, weight=200.0, stiffness=5e8),
            Segment(length=30.0, weight=1e-4, stiffness=1e6),
        ]
        state = solve(segments=rode, rise=0.5, horizontal_load=1e-3).si
        hanging = 180.0 - state.length_on_bottom
        rise = 1e-3 / 1e-4 * (math.sqrt(1.0 + (1e-4 * hanging / 1e-3) ** 2) - 1.0)
        assert rise == pytest.approx(0.5, abs=1e-9)

    @pytest.mark.parametrize("distance", [33.001, 35.0, 38.5, 39.4, 40.5])
    def test_inverse(self, distance):
        by_distance = Line((CHAIN,), 7.0, friction=0.2, depth=5.0).solve_at_distance(distance).si
        by_load = solve(
            segments=[CHAIN], rise=7.0, horizontal_load=by_distance.horizontal_load, friction=0.2, depth=5.0
        ).si
        assert by_distance.distance == pytest.approx(distance, rel=1e-12)
        close(by_load, by_distance, 1e-9)

    def test_nearer_than_slack_nothing_pulls(self):
        state = Line((CHAIN,), 7.0).solve_at_distance(12.0).si
        assert (state.distance, state.horizontal_load) == (12.0, 0.0)


class TestRope:
    def test_law_is_a_monotone_cubic(self):
        nodes = np.array(law_nodes("law", NYLON))
        scipys = PchipInterpolator(NYLON.load, NYLON.strain)  # scipy, the same published construction
        for load in np.linspace(0.0, 40e3, 333):
            strain, slope = line_kernel.strain_at(nodes, 0, len(nodes) - 1, load)
            assert strain == pytest.approx(float(scipys(load)), rel=1e-13, abs=1e-16)
            assert slope == pytest.approx(float(scipys(load, 1)), rel=1e-11)

    def test_law_goes_on_with_its_last_slope(self):
        nodes = np.array(law_nodes("law", NYLON))
        last = float(PchipInterpolator(NYLON.load, NYLON.strain)(40e3, 1))
        strain, slope = line_kernel.strain_at(nodes, 0, len(nodes) - 1, 55e3)
        assert (strain, slope) == pytest.approx((0.47 + 15e3 * last, last), rel=1e-12)

    def test_a_straight_law_is_a_spring(self):
        # the law acts at the mean tension; for a taut light line that is the elastic catenary to second order
        law = LoadElongation(load=(0.0, 1e4, 5e4), strain=(0.0, 0.1, 0.5))
        spring = solve(
            segments=[Segment(length=30.0, weight=0.1, stiffness=1e5)], rise=6.0, horizontal_load=4e3
        ).si
        rope = solve(segments=[Segment(length=30.0, weight=0.1, law=law)], rise=6.0, horizontal_load=4e3).si
        close(rope, spring, 2e-5)
        straight = [Segment(length=30.0, weight=0.0, law=law)]
        spring = solve(
            segments=[Segment(length=30.0, weight=0.0, stiffness=1e5)], rise=6.0, horizontal_load=4e3
        ).si
        close(solve(segments=straight, rise=6.0, horizontal_load=4e3).si, spring, 1e-12)

    def snubber(self, weight=0.0):
        return Segment(length=8.0, weight=weight, law=NYLON, slack=1.2, backup_stiffness=5.46e6)

    def test_snubber_hands_over_to_the_chain(self):
        # weightless and level enough: its stretch is read off the distance; the loads of the two parts add
        rope = PchipInterpolator(NYLON.load, NYLON.strain)
        kink = brentq(lambda load: float(rope(load)) * 8.0 - 1.2, 1.0, 40e3, xtol=1e-9)
        for pull in (0.3 * kink, 0.9 * kink, 1.1 * kink, 3 * kink, 20 * kink):
            state = solve(segments=[self.snubber()], rise=0.5, horizontal_load=pull).si
            tension, stretch = state.load_at_bow, math.hypot(state.distance, 0.5) - 8.0
            if tension < kink:
                assert stretch == pytest.approx(8.0 * float(rope(tension)), rel=1e-9)
                continue
            carried = brentq(lambda load, far: float(rope(load)) * 8.0 - far, 0.0, 40e3, (stretch,), 1e-9)
            chain = 5.46e6 * (stretch - 1.2) / (8.0 + 1.2)
            assert tension == pytest.approx(carried + chain, rel=1e-6)

    def test_snubber_has_a_kink_where_the_slack_is_used_up(self):
        rode, laws = pack((self.snubber(),))
        take_up = float(rode[0, line_kernel.TAKE_UP])
        first, last = int(rode[0, line_kernel.FIRST]), int(rode[0, line_kernel.LAST])
        strain, after = line_kernel.strain_at(laws, first, last, take_up)
        before = line_kernel.strain_at(laws, first, last, take_up * (1 - 1e-12))[1]
        assert strain * 8.0 == pytest.approx(1.2, rel=1e-12)
        chain = 5.46e6 * 8.0 / 9.2
        assert 1.0 / after == pytest.approx(1.0 / before + chain, rel=1e-6)

    def test_kink_beyond_the_table(self):
        segment = Segment(length=2.0, weight=0.0, law=NYLON, slack=1.5, backup_stiffness=1e6)
        state = solve(segments=[segment], rise=0.5, horizontal_load=120e3).si
        stretch = math.hypot(state.distance, 0.5) - 2.0
        last = float(PchipInterpolator(NYLON.load, NYLON.strain)(40e3, 1))
        rope = 40e3 + (stretch / 2.0 - 0.47) / last
        assert state.load_at_bow == pytest.approx(rope + 1e6 * (stretch - 1.5) / 3.5, rel=1e-9)

    def test_no_slack_shares_from_the_start(self):
        segment = Segment(length=8.0, weight=0.0, law=NYLON, slack=0.0, backup_stiffness=1e5)
        state = solve(segments=[segment], rise=0.5, horizontal_load=2e3).si
        strain = math.hypot(state.distance, 0.5) / 8.0 - 1.0
        rope = brentq(lambda load: PchipInterpolator(NYLON.load, NYLON.strain)(load) - strain, 0.0, 40e3)
        assert state.load_at_bow == pytest.approx(rope + 1e5 * strain, rel=1e-6)


@pytest.mark.parametrize(("lying", "flat"), [(0.0, 0), (0.01, 1), (10.0, 10), (39.9, 13)])
def test_points_are_drawn_from_anchor_to_bow_with_the_joints_among_them(lying: float, flat: int) -> None:
    """Of forty as many lie as of the rode does, a third of them at the most and one at the least."""
    arc = along(np.array([15.2, 40.0]), lying, 40)
    assert (arc[0], arc[-1], len(arc)) == (0.0, 40.0, 40)
    assert (np.diff(arc) >= 0.0).all() and np.count_nonzero(arc < lying) == flat
    assert lying in arc and 15.2 in arc


def test_what_is_left_unsaid_of_a_line_is_level_smooth_and_under_water() -> None:
    said = Line((CHAIN,), 8.0, 0.0, None, 0.0)
    assert Line((CHAIN,), 8.0) == said
    assert solve(segments=[CHAIN], rise=8.0, horizontal_load=500.0).si == said.solve(500.0).si
    assert (line.curve(segments=[CHAIN], rise=8.0).si.packed == said.curve().si.packed).all()
