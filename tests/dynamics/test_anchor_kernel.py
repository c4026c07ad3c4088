"""The anchor's own law: what it holds, how it comes out and digs in, and a boat that drags it."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from anchorsim.core.units import GRAVITY
from anchorsim.dynamics import anchor_kernel as law
from anchorsim.scenario import site
from anchorsim.scenario.site import Ground
from anchorsim.scenario.weather import Weather, realise

KNOT, FOOT, POUND = 1852.0 / 3600.0, 0.3048, 0.45359237
UPLIFT = site.uplift_table()
TYPES = ["fluke", "plough", "claw", "concave scoop", "fisherman"]
MUD = site.ground("concave scoop", 20.0, "soft mud")
grounds = st.builds(Ground, st.floats(100, 2e4), st.floats(0.1, 0.6), st.floats(0.3, 1.0), st.floats(0.5, 20))
shares, moves, lifts, speeds = st.floats(0, 1), st.floats(0, 5), st.floats(0, 1.57), st.floats(0, 4)

# --- What it holds ------------------------------------------------------------------------------------------


@settings(deadline=None)
@given(grounds, lifts)
def test_well_set_it_holds_all_and_broken_out_its_broken_share(ground: Ground, uplift: float) -> None:
    left = np.interp(uplift, UPLIFT[:, 0], UPLIFT[:, 1])
    set_well, out = (law.resistance(ground, dug, uplift, UPLIFT) for dug in (law.WELL_SET, 0.0))
    assert set_well == pytest.approx(ground.holding * left, rel=1e-12)
    assert out == pytest.approx(ground.broken_share * ground.holding * left, rel=1e-12)


@settings(deadline=None)
@given(grounds, shares, shares, lifts)
def test_resistance_grows_steadily_with_how_far_it_is_dug_in(
    ground: Ground, one: float, other: float, uplift: float
) -> None:
    less, more = (law.resistance(ground, luck(one, other), uplift, UPLIFT) for luck in (min, max))
    assert less <= more
    assert more - less <= ground.holding * (abs(one - other) + 1e-12)  # no jump


# --- How it digs in and comes out ---------------------------------------------------------------------------


def dragged_to_full_hold(ground: Ground, speed: float = 10 * FOOT / 60.0) -> float:
    """Travel (m) from lying on the bottom till it holds all it can, winched in at 10 ft a minute."""
    dug, travel = 0.0, 0.0
    while dug < 1.0 and travel < 100.0:
        dug, travel = law.dig(ground, dug, 0.01, 0.0, speed), travel + 0.01
    return travel


@pytest.mark.parametrize(
    ("pounds", "shortest", "longest"),
    [
        (2.0, 4, 10),  # ft; Practical Sailor, small versus large anchors, read: small ones
        (2.5, 4, 10),  # ft; same
        (35.0, 30, 40),  # ft; same: anchors in the soft mud of the Chesapeake, of 35 to 46 lb
        (46.0, 30, 40),  # ft; same
    ],
)
def test_full_hold_takes_the_published_travel(pounds: float, shortest: float, longest: float) -> None:
    ground = site.ground("concave scoop", pounds * POUND, "soft mud")._replace(set_share=1.0)
    assert shortest <= dragged_to_full_hold(ground) / FOOT <= longest


@settings(deadline=None)
@given(grounds, shares, moves, lifts, speeds)
def test_only_travel_changes_how_it_is_dug_in_and_never_at_a_jump(
    ground: Ground, dug: float, moved: float, uplift: float, speed: float
) -> None:
    after = law.dig(ground, dug, moved, uplift, speed)
    assert 0.0 <= after <= 1.0
    assert law.dig(ground, dug, 0.0, uplift, speed) == dug
    assert after - dug <= moved / ground.dig_in + 1e-12
    assert dug - after <= moved / (law.LETS_GO * ground.dig_in) + 1e-12


@settings(deadline=None)
@given(grounds, shares, moves, lifts, speeds)
def test_two_half_moves_are_one(
    ground: Ground, dug: float, moved: float, uplift: float, speed: float
) -> None:
    half = law.dig(ground, law.dig(ground, dug, 0.5 * moved, uplift, speed), 0.5 * moved, uplift, speed)
    assert half == pytest.approx(law.dig(ground, dug, moved, uplift, speed), abs=1e-12)


@settings(deadline=None)
@given(grounds, shares, moves, lifts, speeds)
def test_fast_or_lifted_it_never_bites_and_slow_and_level_it_never_lets_go(
    ground: Ground, dug: float, moved: float, uplift: float, speed: float
) -> None:
    after = law.dig(ground, dug, moved, uplift, speed)
    if speed >= law.SKIPS or uplift >= law.STEEP:
        assert after <= dug
    else:
        assert after >= dug


@settings(deadline=None)
@given(grounds, shares)
def test_it_comes_back_to_its_set_share_and_no_further(ground: Ground, dug: float) -> None:
    again = law.resistance(ground, law.dig(ground, dug, 1e3, 0.0, 0.05), 0.0, UPLIFT) / ground.holding
    before = law.resistance(ground, dug, 0.0, UPLIFT) / ground.holding
    assert again == pytest.approx(max(before, ground.set_share), abs=1e-12)


def test_compiled_and_plain_agree() -> None:
    for dug, moved, uplift, speed in [(0.2, 0.3, 0.02, 0.1), (0.9, 0.4, 0.1, 0.9), (0.5, 1.0, 0.3, 0.1)]:
        plain = law.bite.py_func(uplift, speed)
        assert law.bite(uplift, speed) == plain
        assert law.dig.py_func(MUD, dug, moved, uplift, speed) == law.dig(MUD, dug, moved, uplift, speed)
        args = (MUD, dug, uplift, UPLIFT)
        assert law.resistance.py_func(*args) == pytest.approx(law.resistance(*args), rel=1e-15)


# --- A boat that drags it -----------------------------------------------------------------------------------

STIFF, MASS = 4000.0, 9000.0  # N/m of rode and snubber; kg of a 12 m sloop and her added mass: round figures
WINDAGE, HULL = 10.0, 1.5  # m², drag coefficient times area in air and, pushed astern, in water: the same


class Dragged(NamedTuple):
    dug: np.ndarray
    anchor: np.ndarray
    load: np.ndarray
    dt: float

    @property
    def outs(self) -> int:
        """How often it came out: fell below a third dug in after having been more than half so."""
        state, count = self.dug[0] > 0.5, 0
        for dug in self.dug:
            if state and dug < 1 / 3:
                state, count = False, count + 1
            elif dug > 0.5:
                state = True
        return count

    def speed(self, start: float, end: float) -> float:
        first, last = round(start / self.dt), round(end / self.dt) - 1
        return float((self.anchor[last] - self.anchor[first]) / ((last - first) * self.dt))


def drag(
    ground: Ground, air: np.ndarray, *, dt: float = 0.04, dug: float = law.WELL_SET, uplift: float = 0.0
) -> Dragged:
    """A boat on a spring along the wind, the wind's speed every 0.25 s in ``air``; the anchor slides."""
    count = round((len(air) - 1) * 0.25 / dt)
    wind = np.interp(np.arange(count) * dt, np.arange(len(air)) * 0.25, air)
    place, speed, anchor = 0.5 * 1.225 * WINDAGE * wind[0] ** 2 / STIFF, 0.0, 0.0
    rows = np.empty((count, 3))
    for i in range(count):
        past = wind[i] - speed
        push = 0.5 * 1.225 * WINDAGE * past * abs(past) - 0.5 * 1025.0 * HULL * speed * abs(speed)
        speed += dt * (push - max(STIFF * (place - anchor), 0.0)) / MASS
        place += dt * speed
        load, most = max(STIFF * (place - anchor), 0.0), law.resistance(ground, dug, uplift, UPLIFT)
        if load > most:
            moved = (load - most) / STIFF
            anchor, load = anchor + moved, most
            dug = law.dig(ground, dug, moved, uplift, moved / dt)
        rows[i] = dug, anchor, load
    return Dragged(*rows.T, dt)


def gale(seed: int, minutes: float = 10.0, mean: float = 30.0, gust: float = 42.0) -> np.ndarray:
    told = {"mean_wind": f"{mean} knot", "gust": f"{gust} knot", "duration": f"{minutes} min"}
    return realise(Weather.model_validate(told), seed=seed, height=4.0).speed


WEAK = site.ground("plough", 16.0, "sticky clay")


def test_below_its_holding_it_never_moves() -> None:
    push = 0.5 * 1.225 * WINDAGE * 14.0**2
    for ground in (WEAK, MUD):
        held = drag(ground._replace(holding=1.01 * push), np.full(400, 14.0))
        assert held.anchor[-1] == 0.0 and (held.dug == 1.0).all()


def test_pulled_just_over_its_holding_it_creeps_under_about_that_load() -> None:
    air = np.full(1200, 14.0)
    push = 0.5 * 1.225 * WINDAGE * 14.0**2
    crept = drag(WEAK._replace(holding=0.98 * push), air)
    assert crept.anchor[-1] > 1.0
    assert crept.outs == 0
    assert crept.load[-1] == pytest.approx(0.98 * push)
    assert crept.speed(200, 299) < law.BITES


def test_broken_out_in_a_steady_wind_it_drags_at_the_closed_form_speed() -> None:
    """½ρ C A (V − u)² = broken share · holding + ½ρ_w C_w A_w u², a quadratic in u."""
    wind = 22.0
    towed = drag(WEAK, np.full(1200, wind))
    keeps = WEAK.broken_share * WEAK.holding
    speed = towed.speed(200, 299)
    assert 0.5 * 1.225 * WINDAGE * (wind - speed) ** 2 == pytest.approx(
        keeps + 0.5 * 1025.0 * HULL * speed**2, rel=1e-3
    )
    assert towed.outs == 1 and towed.dug[-1] == 0.0


@pytest.mark.parametrize("quantile", [0.1, 0.5])
@pytest.mark.parametrize("seed", [1, 2, 3])
def test_in_gusts_it_breaks_out_a_few_times_and_drags_as_fast_as_yachts_do(
    quantile: float, seed: int
) -> None:
    """A dragging yacht makes a fraction of a knot to a knot or two: common practice, no source."""
    ground = site.ground("plough", 16.0, "sticky clay", quantile)
    dragged = drag(ground, gale(seed))
    assert dragged.outs <= 4
    step = np.diff(dragged.anchor)
    moving = step > 0
    assert moving.any()
    assert 0.1 < step[moving].mean() / dragged.dt / KNOT < 2.5
    half = drag(ground, gale(seed), dt=0.02)
    assert half.outs == dragged.outs
    assert half.anchor[-1] == pytest.approx(dragged.anchor[-1], rel=0.03)


def test_torn_out_by_a_squall_it_digs_in_again_only_over_its_travel() -> None:
    """A minute of hard wind, then less than what it comes back to: it stops, but not at once."""
    ground = WEAK._replace(holding=1500.0)
    calm = math.sqrt(0.95 * ground.set_share * 0.5 * ground.holding / (0.5 * 1.225 * WINDAGE))
    air = np.concatenate([np.full(40, calm), np.full(240, 24.0), np.full(1200, calm)])
    dragged = drag(ground, air)
    out = round(69 / dragged.dt)
    assert dragged.dug[out] == 0.0
    assert 0.3 * ground.dig_in < dragged.anchor[-1] - dragged.anchor[out]
    assert dragged.anchor[-1] == dragged.anchor[-2500]  # it has come to rest
    back = law.resistance(ground, float(dragged.dug[-1]), 0.0, UPLIFT)
    assert ground.broken_share * ground.holding < back <= ground.set_share * ground.holding + 1e-9
    assert dragged.outs == 1


def test_lifted_it_lets_go_and_does_not_come_back() -> None:
    uplift = math.radians(20.0)
    for speed in (0.05, 0.2, 1.0):
        assert law.dig(WEAK, 1.0, 3.0, uplift, speed) < 0.5
        assert law.dig(WEAK, 0.0, 50.0, uplift, speed) == 0.0
    dragged = drag(WEAK._replace(holding=2500.0), gale(1), uplift=uplift)
    level = drag(WEAK._replace(holding=2500.0), gale(1))
    assert dragged.outs >= 1 > level.outs
    assert dragged.anchor[-1] > 10.0 * max(level.anchor[-1], 1.0)


@pytest.mark.parametrize("anchor", TYPES)
def test_broken_out_it_keeps_more_than_its_weight_slides_with_and_less_than_it_regains(anchor: str) -> None:
    """Chain slides over mud with 0.56 of its weight in water (US Navy, from memory): no anchor with less."""
    for bottom in ("firm sand", "soft mud", "sticky clay"):
        found = site.ground(anchor, 20.0, bottom)
        slides = 0.56 * 0.869 * 20.0 * GRAVITY
        assert slides < found.broken_share * found.holding
        assert found.broken_share < found.set_share < 1.0
