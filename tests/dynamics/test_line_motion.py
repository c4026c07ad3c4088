"""The rode in the water by itself, against closed forms: how it swings, falls, lies, rubs and is stopped."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import brentq
from scipy.special import j0, jn_zeros
from watch_parts import ROW, crossings, loose, on_a_line, settled, watch

from anchorsim import line
from anchorsim.dynamics.line_motion import BORNE, NODE, TENSION, U, V, W, X, Y, Z
from anchorsim.dynamics.motion_kernel import AHEAD, HEADING, STATE, State
from anchorsim.mooring.statics import LoadElongation, Segment

GRAVITY, SEA_WATER = 9.80665, 1025.0
CHAIN = Segment(
    length=10.0, weight=12.0, weight_in_air=13.8, stiffness=5e6, drag_across=0.02, drag_along=0.01
)
STANDARD = watch()  # for her parts; what hangs on her is another line


def straight(start, end, count):
    return np.linspace(np.array(start, float), np.array(end, float), count)


# --- it swings ---


@pytest.mark.parametrize("where", ["in air", "in water"])
@pytest.mark.parametrize("mode", [1, 2])
def test_a_hanging_chain_swings_as_bessel_has_it(where, mode):
    """ω = (z/2)√(g/L), z the zeros of J₀ (D. Bernoulli 1732; Lamb, Higher Mechanics, from memory).

    In water g is the weight in it over the mass with that of the water displaced.
    """
    length, count = 10.0, 41
    foot = 1.0 if where == "in air" else -20.0
    places = straight((0.0, 0.0, foot), (0.0, 0.0, foot + length), count)
    parts, state = loose(STANDARD, CHAIN, places, 30.0, hangs=True)
    parts = parts.around(drag=0.0)
    zero = jn_zeros(0, 2)[mode - 1]
    up = state.nodes[1:, Z] - foot
    shape = j0(zero * np.sqrt(up / length))
    state.nodes[1:, Y] = 0.02 * shape
    moved = [
        (n + 1, float(state.nodes[1:-1, Y] @ shape[:-1]))
        for n, _ in enumerate(parts.follow(state, 15.0 if mode == 1 else 8.0, 0.02, 0.001))
    ]
    time, along = 0.02 * np.array(moved)[:, 0], np.array(moved)[:, 1]
    found = 2 * math.pi / np.diff(crossings(time, along)).mean()
    mass = 13.8 / GRAVITY + (0.0 if where == "in air" else 1.8 / GRAVITY)
    pull = 13.8 if where == "in air" else 12.0
    assert found == pytest.approx(0.5 * zero * math.sqrt(pull / mass / length), rel=4e-3)


@pytest.mark.parametrize("mode", [1, 3])
def test_a_taut_line_swings_as_a_string(mode):
    """f = (n/2L)√(T/μ), with the mass of the water displaced in μ (Mersenne; n/2L of 40 elements' sines).

    A string of beads has f = (1/πa) sin(nπa/2L) √(T/μ), a its spacing (Lagrange).
    """
    length, pull, count = 20.0, 4000.0, 40
    neutral = Segment(length=length, weight=0.0, weight_in_air=7.0, stiffness=2e6)
    parts = on_a_line(STANDARD, neutral, elements=count).fast().around(drag=0.0)
    nodes = np.zeros((count + 1, NODE))
    stretched = length * (1 + pull / 2e6)
    nodes[:, Z] = -30.0 + 5.0 + np.linspace(0.0, stretched, count + 1)
    parts = parts.around(depth=25.0, height=float(nodes[-1, Z]))
    shape = np.sin(mode * math.pi * np.arange(count + 1) / count)
    nodes[:, Y] = 0.01 * shape
    boat = np.zeros(STATE)
    boat[0] = -parts.body.roller
    state = State(boat, nodes, settled(parts, nodes, pull))
    rows = [float(state.nodes[:, Y] @ shape) for _ in parts.follow(state, 2.5, 0.002, 0.0005)]
    found = 1.0 / np.diff(crossings(0.002 * np.arange(len(rows)), np.array(rows))).mean()
    space, speed = stretched / count, math.sqrt(pull / (14.0 / GRAVITY) * (stretched / length))
    beads = speed / (math.pi * space) * math.sin(0.5 * mode * math.pi / count)
    assert beads == pytest.approx(mode * speed / (2 * stretched), rel=3e-3)
    assert found == pytest.approx(beads, rel=3e-3)


def swung(step, added):
    """Shares of its energy that a chain keeps, begun as an arc on its side between two fixed ends in water.

    Every half second, with no drag; above that of hanging at rest.
    """
    count, span = 8, 4.0
    parts = on_a_line(STANDARD, CHAIN, elements=count).fast()
    parts = parts.around(drag=0.0, depth=60.0, height=-36.0)
    parts = parts if added else parts.elements(ADDED=0.0)
    chord = brentq(
        lambda angle: math.sin(0.5 * count * angle) / math.sin(0.5 * angle) - count * span / CHAIN.length,
        1e-3, 2 * math.pi / count - 1e-3,
    )  # fmt: skip
    radius = 0.5 * CHAIN.length / count / math.sin(0.5 * chord)
    angles = chord * (np.arange(count + 1) - 0.5 * count)
    nodes, boat = np.zeros((count + 1, NODE)), np.zeros(STATE)
    nodes[:, X] = 0.5 * span + radius * np.sin(angles)
    nodes[:, Y] = radius * (np.cos(angles) - math.cos(angles[0]))
    nodes[:, Z] = -36.0
    boat[0] = span - parts.body.roller
    state = State(boat, nodes, settled(parts, nodes))
    rest = State(*(part.copy() for part in state))
    for _ in parts.around(drag=3.0).follow(rest, 60.0, 1.0, 1 / 30):
        pass
    least, first = parts.line_energy(rest), parts.line_energy(state)
    return [
        (parts.line_energy(state) - least) / (first - least) for _ in parts.follow(state, 10.0, 0.5, step)
    ]


def test_a_swinging_chain_gains_no_energy_and_loses_in_proportion_to_the_step():
    """Nothing but the scheme takes any before it first snatches; half the step, half of that."""
    kept = {step: swung(step, added=False) for step in (1 / 30, 1 / 60, 1 / 120, 1 / 240)}
    for shares in kept.values():
        assert max(np.diff([1.0, *shares])) < 1e-9
    lost = [1.0 - shares[0] for shares in kept.values()]
    assert lost[0] < 0.05
    assert np.array(lost[1:]) / lost[:-1] == pytest.approx(0.52, abs=0.03)


def test_water_that_moves_with_it_brings_in_next_to_no_energy():
    """The terms of a direction that turns are left out of its inertia: a hundredth at the most."""
    assert max(np.diff([1.0, *swung(1 / 240, added=True)])) < 0.01


# --- it falls ---


@pytest.mark.parametrize("way", ["across", "along"])
def test_it_falls_as_fast_as_its_weight_is_its_drag(way):
    """√(2w/ρ C_D d) for a length that falls level, with its drag along for one that falls upright."""
    end = (10.0, 0.0, -40.0) if way == "across" else (0.0, 0.0, -40.0)
    start = (0.0, 0.0, -40.0) if way == "across" else (0.0, 0.0, -50.0)
    parts, state = loose(STANDARD, CHAIN, straight(start, end, 6), 60.0 if way == "across" else 500.0)
    for _ in parts.follow(state, 10.0, 1.0, 1 / 30):
        pass
    drag = CHAIN.drag_across if way == "across" else CHAIN.drag_along
    falls = math.sqrt(2 * CHAIN.weight / (SEA_WATER * drag))
    assert -state.nodes[1:-1, W] == pytest.approx(falls, rel=0.01)
    assert not state.nodes[:, V].any()


def test_it_falls_from_rest_as_the_quadratic_law_says():
    """v = v∞ tanh(t/τ), τ = m v∞ / w with the water's mass: to a hundredth, at a step of a thousandth."""
    parts, state = loose(STANDARD, CHAIN, straight((0.0, 0.0, -40.0), (10.0, 0.0, -40.0), 6), 60.0)
    last = math.sqrt(2 * CHAIN.weight / (SEA_WATER * CHAIN.drag_across))
    mass = (13.8 + 1.8) / GRAVITY
    for n, _ in enumerate(parts.follow(state, 0.4, 0.1, 0.001)):
        time = 0.1 * (n + 1)
        falls = last * math.tanh(time * CHAIN.weight / (mass * last))
        assert -state.nodes[3, W] == pytest.approx(falls, rel=0.01)


@pytest.mark.parametrize("height", [0.05, 1.0, 5.0])
def test_a_chain_that_is_dropped_comes_to_rest_on_the_bottom_that_bears_its_weight(height):
    places = straight((0.0, 0.0, height - 20.0), (9.9, 0.0, height - 20.0), 11)
    parts, state = loose(STANDARD.around(friction=0.5), CHAIN, places, 20.0)
    lowest, fastest = 0.0, 0.0
    for n, _ in enumerate(parts.follow(state, 20.0, 0.1, 1 / 30)):
        lowest = min(lowest, state.nodes[1:-1, Z].min() + 20.0)
        if n > 100:
            fastest = max(fastest, np.abs(state.nodes[1:-1, U : W + 1]).max())
    assert lowest > -0.005, "it does not go into the bottom"
    assert fastest < 1e-6, "it lies still: no hopping"
    assert state.nodes[1:-1, BORNE].sum() == pytest.approx(120.0, rel=1e-6)
    assert np.abs(state.nodes[1:-1, Z] + 20.0).max() < 2e-3
    assert state.rows[:, TENSION].max() < 0.5 * 12.0, "no more is left in it than friction holds"


# --- it lies ---


def dragged(push, friction=0.6, step=1 / 30, seconds=5.0):
    """How far a lone length of chain goes along the bottom in a current that pushes it with so many N."""
    short = Segment(length=1.0, weight=12.0, stiffness=5e6, drag_across=0.0, drag_along=1.0)
    parts, state = loose(
        STANDARD.around(friction=friction), short, straight((0.0, 0.0, -20.0), (1.0, 0.0, -20.0), 3), 20.0
    )
    for _ in parts.follow(state, 2.0, 1.0, step):
        pass
    start = state.nodes[2, X]
    speed = math.sqrt(push / (0.5 * SEA_WATER))
    for _ in parts.around(current_north=speed).follow(state, seconds, 1.0, step):
        pass
    return state.nodes[2, X] - start, state.nodes[2, U]


@pytest.mark.parametrize("share", [0.1, 0.5, 0.9, 0.98])
def test_what_lies_stays_while_it_is_pushed_with_less_than_its_friction(share):
    moved, speed = dragged(share * 0.6 * 12.0, seconds=120.0)
    assert moved < 1e-3, "no farther than the ground gives"
    assert abs(speed) < 1e-6


@pytest.mark.parametrize("share", [1.1, 2.0, 5.0])
def test_what_is_pushed_with_more_slides_at_what_is_left_of_the_push(share):
    """In the end ½ρ C d L (U − u)² = μ w L."""
    _, speed = dragged(share * 0.6 * 12.0, seconds=60.0)
    assert speed == pytest.approx(
        math.sqrt(0.6 * 12.0 / (0.5 * SEA_WATER)) * (math.sqrt(share) - 1), rel=0.01
    )


def lying_pulled(changes=None):
    """The standard chain, bare and long, with her bow moved to and fro a metre and then held."""
    parts = watch(
        {"tackle.snubber.length": "0 m", "tackle.scope": 9, "tackle.chain.length": "100 m", **(changes or {})}
    )
    state = parts.at_rest(10.0)
    held = parts.fast()
    for speed in (0.1, -0.1):
        state.boat[AHEAD] = speed
        held.sail(state, [0.0, 0.0], 10.0)
    state.boat[AHEAD] = 0.0
    return held, state


def test_what_lies_holds_a_difference_of_tension():
    """Not for the tenths of a second in which a chain's stretch could even it out: for good."""
    parts, state = lying_pulled()
    parts.sail(state, [0.0, 0.0], 2.0)
    first = state.rows[:, TENSION].copy()
    parts.sail(state, [0.0, 0.0], 1200.0)
    assert state.rows[:, TENSION] == pytest.approx(first, abs=0.1)
    nodes = state.nodes
    lies = nodes[1:-1, BORNE] > 1.0
    assert lies.sum() >= 2
    steps = np.diff(state.rows[:, TENSION])[lies]
    share = steps / (parts.setting.friction * nodes[1:-1, BORNE][lies])
    assert share.max() > 0.5, "most of what friction could hold, where it slid last"
    assert np.abs(share).max() < 1.05, "and never more than that"


def test_a_lying_chain_is_not_swept_aside_by_less_than_its_friction():
    parts, state = lying_pulled()
    before = state.nodes[1, Y]
    aside = math.sqrt(0.5 * 0.56 * 11.9 / (0.5 * SEA_WATER * 0.0192))
    parts.around(current_east=aside).sail(state, [0.0, 0.0], 600.0)
    assert abs(state.nodes[1, Y] - before) < 2e-3
    parts.around(current_east=3.0 * aside).sail(state, [0.0, 0.0], 600.0)
    assert state.nodes[1, Y] - before > 0.1


@pytest.mark.parametrize("degrees", [5.0, 15.0])
def test_what_lies_on_a_slope_stays_if_it_rubs_more_than_that_and_bears_its_weight(degrees):
    rise = math.tan(math.radians(degrees))
    places = straight((0.0, 0.0, -20.0), (0.0, 4.0, -20.0), 5)  # along the contour
    moved = {}
    for friction in (0.6, 0.0):
        parts, state = loose(STANDARD.around(friction=friction), replace(CHAIN, length=4.0), places, 20.0)
        parts = parts.around(rise_north=rise)
        for _ in parts.follow(state, 30.0, 1.0, 1 / 30):
            pass
        moved[friction] = state.nodes[2, X]
        if friction:
            assert state.nodes[1:-1, BORNE].sum() == pytest.approx(48.0, rel=0.02)
    assert abs(moved[0.6]) < 0.01
    assert moved[0.0] < -5.0, "without friction it slides off"


# --- elements ---


def test_more_elements_come_to_the_line_of_the_statics():
    """A catenary of chain off the bottom, held at a distance: one, two, eight and thirty-two elements."""
    chain, span, rise = replace(CHAIN, length=30.0), 27.2, 12.0
    rest = line.Line((chain,), rise, depth=40.0).solve_at_distance(span).si
    assert rest.length_on_bottom == 0.0
    off = []
    for count in (1, 2, 8, 32):
        parts = on_a_line(STANDARD, chain, rise=rise, depth=40.0, elements=count).fast()
        state = parts.at_rest()
        state.boat[:2] = -span - parts.body.roller, 0.0
        state.nodes[:, X : W + 1] = 0.0
        state.nodes[:, X] = np.linspace(0.0, -span, count + 1)
        state.nodes[:, Z] = np.linspace(-40.0, rise - 40.0, count + 1)
        rows = parts.sail(state, [0.0, 0.0], 120.0)
        off.append(
            [rows[-1, ROW["at_bow"]] / rest.load_at_bow - 1.0, rows[-1, ROW["uplift"]] - rest.angle_at_anchor]
        )
    off = np.abs(off)
    assert off[2:, 0].max() < 0.01
    assert (np.diff(off[1:], axis=0) < 0.0).all(), off
    assert off[3] == pytest.approx([0.0, 0.0], abs=1e-3)


def test_what_is_slack_never_pushes_and_pulls_nothing():
    """A light rope, its ends brought together from a jerk on, time and again."""
    rope = Segment(
        length=20.0, weight=0.2, weight_in_air=1.2, drag_across=0.02, drag_along=1e-3,
        law=LoadElongation(load=(0.0, 2e4), strain=(0.0, 0.2), loss=0.3),
    )  # fmt: skip
    parts = on_a_line(STANDARD, rope, rise=5.0, elements=8).fast()
    state = parts.at_rest()
    slack, taut = 0, 0.0
    for n in range(400):
        state.boat[AHEAD] = 2.0 * math.sin(0.05 * n)
        parts.sail(state, [0.0, 0.0], 0.1)
        tension, far = state.rows[:, TENSION], -state.nodes[-1, X]
        assert tension.min() >= 0.0
        assert np.isfinite(state.nodes).all()
        if math.hypot(far, 5.0) < 18.0:
            slack, taut = slack + 1, max(taut, tension.max())
    assert slack > 50
    assert taut < 200.0, "only what falls and is dragged through the water"


def test_a_snubber_takes_up_its_loop():
    """Rope alone to the slack, rope and chain beside it beyond: the law's load and EA/(L + slack)."""
    law = LoadElongation(load=(0.0, 1e4), strain=(0.0, 0.5), loss=0.0)
    snubber = Segment(length=8.0, weight=1e-4, weight_in_air=1e-3, law=law, slack=1.0, backup_stiffness=1e6)
    parts = on_a_line(STANDARD, snubber).fast()
    for stretch in (0.5, 0.99, 1.01, 1.2):
        state = parts.at_rest()
        state.boat[:2] = -8.0 - stretch - parts.body.roller, 0.0
        state.nodes[-1, X] = -8.0 - stretch
        rows = parts.sail(state, [0.0, 0.0], 1.0)
        chain = 1e6 / 9.0 * max(stretch - 1.0, 0.0)
        assert rows[-1, ROW["at_anchor"]] == pytest.approx(1e4 / 0.5 * stretch / 8.0 + chain, rel=5e-4)


def test_a_lossy_rope_takes_its_share_of_the_work_of_stretching_it():
    """Drawn out and let back at an even pace, a cycle loses ``loss`` of the loading work (its definition)."""
    law = LoadElongation(load=(0.0, 2e4), strain=(0.0, 0.5), loss=0.3)
    parts = on_a_line(STANDARD, Segment(length=8.0, weight=1e-4, weight_in_air=1e-3, law=law)).fast()
    state = parts.at_rest()
    state.boat[:2] = -8.0 - parts.body.roller, 0.0
    state.nodes[-1, X] = -8.0
    state.boat[AHEAD] = -1.0
    out = parts.sail(state, [0.0, 0.0], 2.0, dt=0.01, substeps=2)
    state.boat[AHEAD] = 1.0
    back = parts.sail(state, [0.0, 0.0], 2.0, dt=0.01, substeps=2)
    work = [np.trapezoid(rows[:, ROW["at_anchor"]], -rows[:, ROW["x"]]) for rows in (out, back)]
    assert 1.0 + work[1] / work[0] == pytest.approx(0.3, abs=0.01)
    assert out[-1, ROW["at_anchor"]] > back[1, ROW["at_anchor"]]


@pytest.mark.parametrize("step", [1 / 30, 1 / 120])
def test_a_jolt_leaves_no_trembling_in_a_lossy_rope(step):
    """The bow thrown a metre back and brought forward again: in a minute the load is what it was."""
    rope = {"tackle.chain.length": "10 m", "tackle.rope.length": "80 m"}
    parts = watch(rope).fast()
    state = watch(rope).at_rest(13.0)
    first = parts.sail(state, [0.0, 0.0], 60.0)[-1, ROW["at_bow"]]
    for side in (-1.0, 1.0):
        state.boat[0] += side
        for _ in parts.follow(state, 2.0, 0.1, step):
            pass
    seconds, load = 60.0, []
    for last in parts.follow(state, seconds, 0.1, step):
        load.append(last[ROW["at_bow"]])
    assert load[-50:] == pytest.approx([first] * 50, rel=2e-3)
    assert np.abs(state.nodes[:, U : W + 1]).max() < 1e-3


# --- a bridle ---


def bridled():
    return watch({"boat.model": "catamaran-12", "tackle.snubber.legs": 2})


def test_a_bridle_pulled_from_ahead_has_no_moment_and_legs_alike():
    parts = bridled()
    state = parts.at_rest(15.0)
    parts.fast().sail(state, [0.0, 0.0], 60.0)
    port, starboard = state.rows[-2:, TENSION]
    assert port == pytest.approx(starboard, rel=1e-9)
    assert port > 500.0
    assert np.abs(state.nodes[: parts.last, Y]).max() < 1e-9
    hook = state.nodes[parts.last - 1]
    leg = state.nodes[parts.last] - hook
    along = math.hypot(leg[X], leg[Z]) / float(np.linalg.norm(leg[:3]))
    assert 2 * port * along == pytest.approx(state.rows[-3, TENSION], rel=0.1), "its two make the one's"


@pytest.mark.parametrize("side", [1.0, -1.0])
def test_a_bridle_pulled_from_far_aside_has_one_leg_slack(side):
    parts = bridled()
    state = parts.at_rest(15.0)
    state.boat[HEADING] += side * math.radians(70.0)
    parts.fast().sail(state, [0.0, 0.0], 20.0)
    legs = state.rows[-2:, TENSION] if side < 0 else state.rows[-2:, TENSION][::-1]
    assert legs[0] > 500.0
    assert legs[1] < 0.1 * legs[0], "but for its own weight"
