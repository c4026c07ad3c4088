"""The anchor: it stays, gives way at what it stands, and goes as the pull takes it."""

from __future__ import annotations

import math
from itertools import pairwise
from statistics import NormalDist

import numpy as np
import pytest
from watch_parts import HEAVY, ROW, UPLIFT, Spell, watch

from anchorsim import simulate
from anchorsim.core.units import si
from anchorsim.dynamics.anchor_kernel import holding_left, resistance
from anchorsim.dynamics.hull_loads import air_load, water_load
from anchorsim.dynamics.line_motion import EX, EZ, WET, X, Y, Z
from anchorsim.dynamics.motion_kernel import DUG
from anchorsim.dynamics.simulation import blow
from anchorsim.mooring.line_mesh import ACROSS, ALONG, MASS
from anchorsim.scenario.scenario import Scenario

GALE = {"weather.mean_wind": "35 knot", "weather.gust": "48 knot"}
POOR = {"tackle.anchor.type": "plough", "tackle.anchor.mass": "16 kg", "spot.bottom": "sticky clay"}
RODES = {
    "snubber": {},
    "bare chain, short": {"tackle.snubber.length": "0 m", "tackle.scope": 3.5},
    "rope": {"tackle.chain.length": "10 m", "tackle.rope.length": "80 m"},
    "bridle": {"boat.model": "catamaran-12", "tackle.snubber.legs": 2},
}


def holds(uplift):
    """Share of the holding left at a lift (rad), by the table."""
    return np.interp(uplift, UPLIFT[:, 0], UPLIFT[:, 1])


@pytest.mark.parametrize("angle", [0.0, 3.0, 5.0, 10.0, 15.0, 30.0, 45.0, 80.0, 90.0])
def test_the_holding_left_by_lift(angle):
    assert holding_left(UPLIFT, math.radians(angle)) == pytest.approx(holds(math.radians(angle)))
    published = {0.0: 1.0, 5.0: 0.75, 15.0: 0.5}  # Danton, Theory and Practice of Seamanship, reprint
    if angle in published:
        assert holding_left(UPLIFT, math.radians(angle)) == pytest.approx(published[angle])


def gusts(changes):
    wind = blow(Scenario().vary({**GALE, **changes}), 4)
    return np.column_stack([wind.north, wind.east])


STEP = 1 / 30  # s of the line


def step_by_step(parts: Spell, air, seconds, step=STEP):
    """For each step of a spell: pull, what the anchor stood, how far and which way it went, pull's way."""
    state, found = parts.at_rest(8.0), []
    for n in range(round(seconds / step)):
        before, dug = state.nodes[0, X : Z + 1].copy(), float(state.boat[DUG])
        row = parts.sail(state, air[int(n * step / 0.25)], step, dt=step, substeps=1)[-1]
        stands = resistance(parts.whole.ground, dug, float(row[ROW["uplift"]]), UPLIFT)
        moved = state.nodes[0, X : Z + 1] - before
        found.append((row[ROW["at_anchor"]], stands, *moved, *parts.anchor_pull(state)))
    return np.array(found)


@pytest.mark.parametrize("rode", RODES)
def test_it_is_hastened_by_what_is_over_what_it_stands_and_less_while_it_stays(rode):
    """Every step of a gale, the anchor too small; it goes level, along the pull, and never backwards.

    Newton's law for the anchor and the rode beside it, within what its lift changes in a step.
    """
    parts = watch({**GALE, **RODES[rode]}).ground(holding=2000.0)
    found = step_by_step(parts, gusts(RODES[rode]), 90.0)
    pull, stands, moved, way = found[:, 0], found[:, 1], found[:, 2:5], found[:, 5:8]
    far = np.hypot(moved[:, 0], moved[:, 1])
    goes = far > 0.0
    assert goes.sum() > 50
    assert (~goes).sum() > 50
    speed = far / STEP
    mass = parts.setting.anchor + 0.5 * float(parts.whole.mesh.elements[0, MASS])
    over = mass * np.diff(speed, prepend=0.0) / STEP
    steady = goes & np.concatenate([[False], goes[:-1]])
    miss = pull[steady] - stands[steady] - over[steady]
    assert np.abs(miss).max() < 0.1 * stands.max()
    assert np.median(np.abs(miss)) < 0.01 * np.median(stands)
    assert np.mean(pull[goes]) == pytest.approx(np.mean(stands[goes]), rel=0.05)
    assert (pull[~goes] <= stands[~goes] * (1 + 1e-9)).all()
    assert not moved[:, 2].any(), "a level bottom"
    quick = far > 1e-4
    level = np.hypot(way[:, 0], way[:, 1])
    cosine = np.sum(moved[:, :2] * way[:, :2], axis=1)[quick] / (far * level)[quick]
    assert cosine.min() > math.cos(math.radians(1.0))
    # what the solved tensions make of the pull is what is recorded
    steep = np.hypot(level, np.maximum(way[:, 2], 0.0))
    assert steep[goes] == pytest.approx(pull[goes], rel=0.02)


@pytest.mark.parametrize("rode", RODES)
@pytest.mark.parametrize("seed", [1, 2])
def test_below_what_it_stands_it_never_moves(rode, seed):
    """It stays to the last digit where it was let go."""
    told = Scenario().vary({**GALE, **RODES[rode]})
    moved = []
    for changes, quantile in (({}, 0.01), ({}, 0.5), ({}, 0.99), (HEAVY, 0.99)):
        run = simulate(told.vary(changes), seed=seed, holding_quantile=quantile)
        track = run.si
        far = np.hypot(track.anchor_x, track.anchor_y)
        first = int(np.argmax(far > 0)) if far[-1] > 0 else len(far)
        assert not far[:first].any()
        assert run.dragged == (far[-1] >= 1.0)
        assert (np.diff(far) > -1e-9).mean() > 0.99, "to leeward, on the whole"
        moved.append(far[-1])
    assert moved == sorted(moved, reverse=True)
    assert moved[-1] == 0.0


@pytest.mark.parametrize("rode", RODES)
def test_it_drags_towards_the_boat_and_to_leeward(rode):
    run = simulate(Scenario().vary({**GALE, **POOR, **RODES[rode]}), seed=4, holding_quantile=0.02)
    track = run.si
    assert run.dragged
    assert run.si.peak_anchor_load >= track.anchor_load.max()
    downwind = -np.array([math.cos(math.radians(225.0)), math.sin(math.radians(225.0))])
    end = np.array([track.anchor_x[-1], track.anchor_y[-1]])
    assert end @ downwind > 0.9 * np.hypot(*end)


@pytest.mark.parametrize("degrees", [5.0, 12.0])
def test_it_goes_along_a_sloping_bottom(degrees):
    """Its path stays on the plane, whichever way it is pulled, and so does what lies."""
    rise = math.tan(math.radians(degrees))
    parts = watch({"spot.depth": "15 m"}).ground(holding=800.0).around(rise_north=rise, rise_east=0.5 * rise)
    state = parts.at_rest(5.0)
    for air in ([-16.0, 0.0], [-16.0, 8.0]):
        parts.sail(state, air, 60.0)
    anchor = state.nodes[0]
    assert math.hypot(anchor[X], anchor[Y]) > 5.0
    assert abs(anchor[Y]) > 0.1
    assert anchor[Z] == pytest.approx(parts.bed(anchor), abs=1e-9)
    assert min(node[Z] - parts.bed(node) for node in state.nodes[1:]) > -0.02


def steady(parts: Spell, wind: float, seconds: float = 600.0):
    """Samples of a steady wind from the north, begun at rest in half of it."""
    return parts.sail(parts.at_rest(0.5 * wind), [-wind, 0.0], seconds, stride=2)


def test_in_a_steady_wind_it_drags_until_the_winds_push_is_what_it_stands():
    """½ρ C A (V − u)² = R cos θ + what water takes of hull and rode as they go, θ the lift.

    The boat steered head to wind, so that she does not sheer.
    """
    wind = 20.0
    parts = watch({"boat.model": "ketch-13", "tackle.snubber.length": "0 m"}, elements=24)
    parts = parts.ground(holding=1500.0).around(friction=0.0)
    parts = parts.boat(yaw_inertia=1e30, added_sway_yaw=0.0)
    state = parts.at_rest(0.5 * wind)
    rows = parts.sail(state, [-wind, 0.0], 1200.0, stride=2)
    speed = (rows[-1, ROW["anchor_x"]] - rows[-501, ROW["anchor_x"]]) / -100.0
    boat = (rows[-1, ROW["x"]] - rows[-501, ROW["x"]]) / -100.0
    assert speed == pytest.approx(boat, rel=1e-3), "all goes at one speed"
    assert speed > 1.0
    push = -air_load(parts.body, -(wind - speed), 0.0, 1.225)[0]
    hull = water_load(parts.body, -speed, 0.0, 0.0, parts.setting.water)[0]  # she goes astern
    uplift = float(rows[-1, ROW["uplift"]])
    stands = resistance(parts.whole.ground, 0.0, uplift, UPLIFT)
    assert rows[-1, ROW["at_anchor"]] == pytest.approx(stands, rel=2e-3)
    assert push - hull - dragged(parts, state, speed) == pytest.approx(stands * math.cos(uplift), rel=0.01)


def dragged(parts: Spell, state, speed: float) -> float:
    """What the water takes of a rode that goes level through it, N: across and along each element.

    But for the halves at its ends, which go with boat and anchor.
    """
    total = 0.0
    for k, (row, element) in enumerate(zip(state.rows, parts.mesh.elements, strict=True)):
        tangent = row[EX : EZ + 1]
        run = speed * tangent[0]
        side = np.array([speed, 0.0, 0.0]) - run * tangent
        force = element[ACROSS] * np.linalg.norm(side) * side + element[ALONG] * abs(run) * run * tangent
        total += (0.5 if k in (0, len(state.rows) - 1) else 1.0) * row[WET] * force[0]
    return total


def test_more_holding_never_drags_farther_in_a_steady_pull():
    far = [
        -steady(watch({"boat.model": "ketch-13"}).ground(holding=holding), 18.0)[-1, ROW["anchor_x"]]
        for holding in (500.0, 1000.0, 1500.0, 2000.0, 3000.0, 6000.0, 20000.0)
    ]
    assert all(b < a or b == 0.0 for a, b in pairwise(far)), far
    assert far[-1] == 0.0


@pytest.mark.parametrize("rode", RODES)
def test_an_anchor_moves_that_holds_less_than_was_asked_of_one_that_stayed(rode):
    """What is asked of an anchor that stays does not hang on what it holds, whose scatter is lognormal."""
    heavy = {"tackle.anchor.mass": "150 kg", "weather.duration": "3 min"}
    scenario = Scenario().vary({**GALE, **RODES[rode], **heavy})

    def sailed(deviations):
        return simulate(scenario, seed=4, holding_quantile=NormalDist().cdf(deviations))

    likely, more = sailed(0.0), sailed(1.0)
    assert si(likely.drag_distance) == 0.0 and 0.05 < likely.holding_used < 0.9
    scatter = math.log(more.si.holding / likely.si.holding)
    assert more.holding_used == pytest.approx(likely.holding_used * math.exp(-scatter), rel=1e-9)
    just, short = (sailed(math.log(share * likely.holding_used) / scatter) for share in (1.02, 0.98))
    assert si(just.drag_distance) == 0.0 and just.holding_used == pytest.approx(1.0 / 1.02, rel=1e-6)
    assert si(short.drag_distance) > 0.0 and short.holding_used == 1.0


def test_without_wind_next_to_nothing_is_asked_of_an_anchor():
    calm = {"weather.mean_wind": "0 knot", "weather.gust": "0 knot", "weather.duration": "1 min"}
    assert 0.0 <= simulate(Scenario().vary(calm)).holding_used < 0.02
