"""The rode at rest on a bottom that slopes along the pull: closed forms, conservation, limits, practice."""

import math
from dataclasses import astuple, replace
from itertools import pairwise

import numpy as np
import pytest

from anchorsim.mooring.statics import Line, Segment, curve, solve

CHAIN = Segment(length=40.0, weight=13.6, stiffness=5.46e6)
STIFF = replace(CHAIN, stiffness=1e15)
ROPE = Segment(length=20.0, weight=1.5, stiffness=3e5, weight_in_air=2.0)
SLOPES = [math.radians(degrees) for degrees in (-20.0, -8.0, -2.0, 0.0, 2.0, 7.0)]


@pytest.mark.parametrize("slope", SLOPES)
def test_catenary_tangent_to_the_bottom(slope):
    # An inextensible chain of w a metre: y = a cosh(x/a), a = H/w, has the slope sinh(x/a), and measures
    # a sinh(x/a) from its lowest point.  It leaves the bottom at x₀ = a asinh(tan β) and goes on for the
    # length that hangs, to x₁ = a asinh(tan β + hanging/a); what lies spans its length times cos β and sin β.
    random, checks = np.random.default_rng(4), 0
    while checks < 50:
        pull, hanging = 10 ** random.uniform(1.0, 3.5), random.uniform(5.0, 39.9)
        a, lying = pull / 13.6, 40.0 - hanging
        start, end = math.asinh(math.tan(slope)), math.asinh(math.tan(slope) + hanging / a)
        rise = lying * math.sin(slope) + a * (math.cosh(end) - math.cosh(start))
        if rise <= max(40.0 * math.sin(slope) * 1.01, 0.5):
            continue  # not a place for a bow
        checks += 1
        state = solve(segments=[STIFF], rise=rise, horizontal_load=pull, slope=slope).si
        assert state.length_on_bottom == pytest.approx(lying, abs=1e-6)
        assert state.distance == pytest.approx(lying * math.cos(slope) + a * (end - start), abs=1e-6)
        assert state.load_at_bow == pytest.approx(pull * math.cosh(end), rel=1e-8)
        assert state.angle_at_anchor == 0.0


@pytest.mark.parametrize("slope", SLOPES)
@pytest.mark.parametrize("uplift", [0.01, 0.2, 0.6])
def test_catenary_lifted_off_the_bottom(slope, uplift):
    # the same curve from where it leaves the anchor, ``lift`` above the bottom
    pull = 500.0
    a, start = pull / 13.6, math.asinh(math.tan(slope + uplift))
    end = math.asinh(math.tan(slope + uplift) + 40.0 / a)
    state = solve(
        segments=[STIFF], rise=a * (math.cosh(end) - math.cosh(start)), horizontal_load=pull, slope=slope
    ).si
    assert state.length_on_bottom == 0.0
    assert state.angle_at_anchor == pytest.approx(uplift, abs=1e-9)
    assert state.load_at_anchor == pytest.approx(pull * math.cosh(start), rel=1e-9)
    assert state.distance == pytest.approx(a * (end - start), rel=1e-9)


@pytest.mark.parametrize("slope", SLOPES)
@pytest.mark.parametrize("pull", [0.0, 200.0, 3e3, 20e3])
def test_tension_grows_with_height_on_a_smooth_bottom(slope, pull):
    # A heavy string on a smooth curve: T − wz is the same all along it (Routh, Analytical Statics), whether
    # it lies or hangs.  Where the bottom is too gentle to pull what lies taut, nothing is left at the anchor.
    state = solve(segments=[STIFF], rise=6.0, horizontal_load=pull, slope=slope).si
    assert state.load_at_anchor == pytest.approx(max(state.load_at_bow - 13.6 * 6.0, 0.0), abs=1e-4)


@pytest.mark.parametrize("slope", SLOPES)
@pytest.mark.parametrize("friction", [0.3, 0.8])
def test_friction_and_weight_share_what_lies(slope, friction):
    # balance along the slope of what lies: T falls by w (μ cos β + sin β) a metre
    state = solve(segments=[CHAIN], rise=6.0, horizontal_load=150.0, friction=friction, slope=slope).si
    taken = 13.6 * state.length_on_bottom * (friction * math.cos(slope) + math.sin(slope))
    assert state.length_on_bottom > 1.0
    assert state.load_at_anchor == pytest.approx(max(150.0 / math.cos(slope) - taken, 0.0), rel=1e-12)


@pytest.mark.parametrize("slope", SLOPES)
def test_energy_is_conserved(slope):
    # Without friction and stretch the pull's work is what lifts the rode's weight: ∫H dx = w ∫Δz ds.
    table = curve(segments=[STIFF], rise=6.0, slope=slope).si
    heights = []
    for i in (10, 60, 90):
        drawn = Line((STIFF,), 6.0, slope=slope).shape(table.horizontal_load[i], points=4000).si
        pieces = np.hypot(np.diff(drawn.x), np.diff(drawn.z))
        heights.append(float((pieces * 0.5 * (drawn.z[1:] + drawn.z[:-1])).sum()) / pieces.sum() * 40.0)
    works = [table.energy(table.distance[i]) for i in (10, 60, 90)]
    for (low, high), (less, more) in zip(pairwise(heights), pairwise(works), strict=True):
        assert more - less == pytest.approx(13.6 * (high - low), rel=2e-3)


@pytest.mark.parametrize("pull", [0.0, 20.0, 300.0, 2e3, 30e3])
def test_a_slope_that_vanishes_is_flat(pull):
    def at(slope):
        given = {"segments": [CHAIN, ROPE], "rise": 8.0, "friction": 0.4, "depth": 6.0}
        return np.array(astuple(solve(**given, horizontal_load=pull, slope=slope).si))

    flat = at(0.0)
    assert at(1e-13) == pytest.approx(flat, rel=1e-9, abs=1e-9)
    below, above = at(-1e-6), at(1e-6)
    assert 0.5 * (below + above) == pytest.approx(flat, rel=1e-6, abs=1e-6)  # no kink there


@pytest.mark.parametrize("slope", SLOPES)
def test_bar_tight_it_does_not_matter_to_the_load(slope):
    # a taut line without weight touches nothing: its span is that of the chord, from any bottom
    rode = [Segment(length=50.0, weight=0.0, stiffness=2e6)]
    state = solve(segments=rode, rise=14.0, horizontal_load=30e3, slope=slope).si
    flat = solve(segments=rode, rise=14.0, horizontal_load=30e3).si
    assert state.distance == pytest.approx(flat.distance, rel=1e-12)
    assert state.load_at_anchor == pytest.approx(flat.load_at_anchor, rel=1e-12)
    assert state.angle_at_anchor + slope == pytest.approx(math.atan2(14.0, state.distance), rel=1e-12)


def test_slack_rode_hangs_upright_over_the_slope():
    # ℓ lies and the rest hangs upright: L − ℓ = rise − ℓ sin β
    for slope in SLOPES:
        state = solve(segments=[STIFF], rise=10.0, horizontal_load=0.0, slope=slope).si
        lying = 30.0 / (1.0 - math.sin(slope))
        assert state.length_on_bottom == pytest.approx(lying, abs=1e-5)
        assert state.distance == pytest.approx(lying * math.cos(slope), abs=1e-5)


def test_everything_goes_one_way_with_the_slope():
    """The more it rises towards her, the less is lifted and the less comes to the anchor, link by link."""
    slopes = np.linspace(-0.35, 0.14, 50)
    states = [
        solve(segments=[CHAIN], rise=6.0, horizontal_load=700.0, friction=0.6, slope=float(slope)).si
        for slope in slopes
    ]
    assert (np.diff([state.length_on_bottom for state in states]) >= 0).all()
    assert (np.diff([state.load_at_anchor for state in states]) < 1e-9).all()
    assert (np.diff([state.angle_at_anchor for state in states]) <= 0).all()


@pytest.mark.parametrize("pull", [1500.0, 3000.0, 6000.0])
def test_off_a_shelving_shore_a_rode_lifts_the_anchor_more(pull):
    """With the bottom falling away from the anchor towards her.  Common practice, no source."""
    off, flat, on = (
        solve(segments=[CHAIN], rise=8.0, horizontal_load=pull, friction=0.7, slope=slope).si
        for slope in (-0.1, 0.0, 0.1)
    )
    assert off.angle_at_anchor > flat.angle_at_anchor > on.angle_at_anchor >= 0.0


def test_a_bow_that_the_bottom_comes_up_to_slides_along_it():
    # rope of 30 m that stretches to 30 · (1 + T/EA), at 9 m of rise on a slope of 14°
    rode, slope = [Segment(length=30.0, weight=0.5, stiffness=2e4)], math.radians(14.0)
    state = solve(segments=rode, rise=9.0, horizontal_load=30e3, slope=slope).si
    assert state.length_on_bottom == 30.0
    tension = 30e3 / math.cos(slope)
    assert state.load_at_bow == pytest.approx(tension, rel=1e-12)
    mean = tension - 0.5 * 0.5 * 30.0 * math.sin(slope)
    assert state.distance == pytest.approx(30.0 * (1.0 + mean / 2e4) * math.cos(slope), rel=1e-12)
    table = curve(segments=rode, rise=9.0, slope=slope).si
    assert np.isfinite(table.packed).all()
    assert (np.diff(table.distance) > 0).all()
