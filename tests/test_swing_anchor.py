"""The anchor: it holds, breaks out, drags as the pull takes it, and digs in again."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from watch_parts import KNOT, ROW, Watch, watch

from anchorsim import seabed, simulate
from anchorsim import swing_kernel as kernel
from anchorsim.scenario import Scenario

UPLIFT = seabed.uplift_table()
GALE = {"weather.mean_wind": "35 knot", "weather.gust": "48 knot"}
POOR = {"tackle.anchor.type": "plough", "tackle.anchor.mass": "16 kg", "spot.bottom": "sticky clay"}
RODES = {
    "snubber": {},
    "bare chain, short": {"tackle.snubber.length": "0 m", "tackle.scope": 3.5},
    "rope": {"tackle.chain.length": "10 m", "tackle.rope.length": "80 m"},
    "bridle": {"boat.model": "catamaran-12", "tackle.snubber.legs": 2},
}


def holds(lift):
    """Share of the holding left at a lift (rad), by the table."""
    return np.interp(lift, UPLIFT[:, 0], UPLIFT[:, 1])


@pytest.mark.parametrize("angle", [0.0, 3.0, 5.0, 10.0, 15.0, 30.0, 45.0, 80.0, 90.0])
def test_the_holding_left_by_lift(angle):
    assert kernel.holding_left(UPLIFT, math.radians(angle)) == pytest.approx(holds(math.radians(angle)))
    published = {0.0: 1.0, 5.0: 0.75, 15.0: 0.5}  # Danton, Theory and Practice of Seamanship, reprint
    if angle in published:
        assert kernel.holding_left(UPLIFT, math.radians(angle)) == pytest.approx(published[angle])


@pytest.mark.parametrize("rode", RODES)
@pytest.mark.parametrize("seed", [1, 2, 3])
def test_below_its_holding_it_never_moves(rode, seed):
    """It stays to the last digit where it was let go, while the pull is less than it holds at that lift."""
    told = Scenario().vary({**GALE, **RODES[rode]})
    for quantile in (0.01, 0.5, 0.99):
        run = simulate(told, seed=seed, holding_quantile=quantile)
        track = run.track
        moved = np.hypot(track.anchor_x, track.anchor_y)
        first = int(np.argmax(moved > 0)) if run.dragged else len(moved)
        before = track.anchor_load[:first] <= run.holding * holds(track.angle_at_anchor[:first]) * (1 + 1e-9)
        assert before.all()
        assert run.dragged == bool(moved[-1] > 0)
        if run.dragged:
            assert run.greatest_anchor_load >= run.holding * holds(run.greatest_lift) * (1 - 1e-9)


@pytest.mark.parametrize("rode", RODES)
def test_it_never_carries_more_than_it_holds_and_drags_with_less(rode):
    told = Scenario().vary({**GALE, **POOR, **RODES[rode]})
    run = simulate(told, seed=4)
    track = run.track
    assert run.dragged
    limit = run.holding * holds(track.angle_at_anchor)
    assert (track.anchor_load <= limit * (1 + 1e-9)).all()
    assert run.greatest_anchor_load <= run.holding
    step = np.hypot(np.diff(track.anchor_x), np.diff(track.anchor_y))
    dragging = np.flatnonzero((step[:-1] > 0) & (step[1:] > 0)) + 1
    assert len(dragging) > 10
    anchor = told.tackle.anchor
    ground = seabed.ground(anchor.type, anchor.mass.m_as("kg"), told.spot.bottom)
    share = 0.5 * (1.0 + ground.broken_share)
    assert (track.anchor_load[dragging] <= share * limit[dragging] * (1 + 1e-6)).all()


@pytest.mark.parametrize("rode", RODES)
def test_it_drags_along_the_pull_towards_the_boat(rode):
    run = simulate(Scenario().vary({**GALE, **POOR, **RODES[rode]}), seed=4)
    track = run.track
    move = np.column_stack([np.diff(track.anchor_x), np.diff(track.anchor_y)])
    bow = run.scenario.boat.roller.m_as("m") * np.column_stack([np.cos(track.heading), np.sin(track.heading)])
    pull = np.column_stack([track.x - track.anchor_x, track.y - track.anchor_y])[1:] + bow[1:]
    far = np.hypot(*move.T) > 1e-3
    cosine = np.sum(move * pull, axis=1)[far] / (np.hypot(*move.T) * np.hypot(*pull.T))[far]
    assert far.sum() > 10
    assert cosine.min() > math.cos(math.radians(35.0)), "what lies may lie a little aside"
    assert np.median(cosine) > math.cos(math.radians(5.0))
    downwind = -np.array([math.cos(math.radians(225.0)), math.sin(math.radians(225.0))])
    assert [track.anchor_x[-1], track.anchor_y[-1]] @ downwind > 0.9 * np.hypot(
        track.anchor_x[-1], track.anchor_y[-1]
    )


def steady(parts: Watch, wind: float, seconds: float = 600.0):
    """Samples of a steady wind from the north, begun at rest in half of it."""
    return parts.sail(parts.at_rest(0.5 * wind), [-wind, 0.0], seconds, stride=2)


def test_in_a_steady_wind_it_drags_at_the_closed_form_speed():
    """The wind's push on a boat that it carries along, less the water's drag, is what the anchor keeps.

    ½ρ C A (V − u)² = H + R(u), her resistance astern, with H the load under which the pull at the
    anchor is just that.
    """
    wind = 20.0
    parts = watch({"boat.model": "ketch-13", "boat.riding_sail": "6 m²"}).around(holding=1500.0)
    rows = steady(parts, wind, 1200.0)
    speed = (rows[-1, ROW["anchor_x"]] - rows[-1001, ROW["anchor_x"]]) / -100.0
    limit = 1500.0 * parts.setting.drag_share
    gives = kernel.yield_distance(parts.curve.packed, UPLIFT, limit)
    load = parts.curve.look_up(gives)[0]
    push = -kernel.air_load(parts.body, -(wind - speed), 0.0, 1.225)[0]
    assert push == pytest.approx(load - parts.drag(-speed), rel=1e-3)
    assert speed > 1.0


def test_the_distance_at_which_it_gives_way():
    """There the pull at the anchor is just what is left of the holding at the lift it has there."""
    for changes in RODES.values():
        curve = watch(changes).curve
        for holding in (200.0, 1000.0, 4000.0, 20000.0):
            *_, at_anchor, lift, _, _, _ = curve.look_up(kernel.yield_distance(curve.packed, UPLIFT, holding))
            assert at_anchor == pytest.approx(holding * holds(lift), rel=1e-3)


def test_more_holding_never_drags_farther_in_a_steady_pull():
    far = [
        -steady(watch({"boat.model": "ketch-13"}).around(holding=holding), 18.0)[-1, ROW["anchor_x"]]
        for holding in (500.0, 1000.0, 1500.0, 2000.0, 3000.0, 6000.0, 20000.0)
    ]
    assert all(b < a for a, b in pairwise(far)), far
    assert far[-1] == 0.0
    # While what a dragging anchor keeps holds her head to the wind: with less she drifts broadside, slower.
    ploughs = [seabed.ground("plough", 16.0, "sticky clay", share) for share in (0.05, 0.25, 0.5, 0.75, 0.95)]
    moved = [
        -steady(watch().around(holding=plough.holding, drag_share=0.7), 34.0 * KNOT)[-1, ROW["anchor_x"]]
        for plough in ploughs
    ]
    assert moved == sorted(moved, reverse=True)


class TestTheRule:
    """One call of the rule, on the standard rode with 10 kN of holding and a boat right downwind."""

    parts = watch().around(holding=10e3, drag_share=0.7, reset_share=0.8)

    def pulled(self, distance, gives_way=math.inf, held=10e3):
        """State, what it holds from now on, and its share of the pull, with the bow at a distance."""
        state = self.parts.put(-distance - self.parts.body.roller, 0.0, 0.0)
        state[kernel.GIVES_WAY] = gives_way
        args = (self.parts.body, self.parts.setting, self.parts.curve.packed, state, 1.0, 0.0)
        pull = kernel.rode_pull(*args)
        after, share = kernel.drag(
            self.parts.setting, self.parts.curve.packed, UPLIFT, state, 1.0, 0.0, pull, held
        )
        return state, pull, after, share

    @property
    def edge(self):
        return kernel.yield_distance(self.parts.curve.packed, UPLIFT, 10e3)

    def test_it_holds(self):
        state, _, held, share = self.pulled(self.edge - 0.01)
        assert (held, share, state[kernel.GIVES_WAY]) == (10e3, 1.0, math.inf)

    def test_it_breaks_out(self):
        state, pull, held, share = self.pulled(self.edge + 0.05)
        assert held == 10e3
        assert share * pull.at_anchor == pytest.approx(10e3 * holds(pull.lift))
        at = self.parts.curve.look_up(state[kernel.GIVES_WAY])
        assert at[2] == pytest.approx(0.7 * 10e3 * holds(at[3]), rel=1e-4)

    def test_it_drags(self):
        gives = self.edge - 0.5
        state, pull, held, share = self.pulled(self.edge, gives)
        assert (held, share) == (10e3, 1.0)
        assert pull.load == pytest.approx(self.parts.curve.look_up(gives)[0])
        assert state[kernel.ANCHOR_NORTH] == pytest.approx(-0.5)
        assert state[kernel.ANCHOR_EAST] == 0.0
        assert self.parts.distance(state) == pytest.approx(gives)

    def test_it_digs_in_again(self):
        state, _, held, share = self.pulled(self.edge - 1.0, self.edge - 0.5)
        assert held == 0.8 * 10e3
        assert (share, state[kernel.GIVES_WAY]) == (1.0, math.inf)
        assert state[kernel.ANCHOR_NORTH] == 0.0

    def test_a_second_time_it_breaks_out_at_less(self):
        edge = kernel.yield_distance(self.parts.curve.packed, UPLIFT, 8e3)
        assert self.pulled(edge - 0.01, held=8e3)[0][kernel.GIVES_WAY] == math.inf
        state, _, held, _ = self.pulled(edge + 0.05, held=8e3)
        assert held == 8e3
        at = self.parts.curve.look_up(state[kernel.GIVES_WAY])
        assert at[2] == pytest.approx(0.7 * 8e3 * holds(at[3]), rel=1e-4)
