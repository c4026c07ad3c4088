"""Parts of a step of the boat's motion by themselves, in plain Python: by hand and by NumPy."""

from __future__ import annotations

import math

import numpy as np
import pytest
from plain_kernels import plainly

from anchorsim.dynamics import boat_motion, hull_loads, line_motion, motion_kernel, wave_kernel
from anchorsim.dynamics.boat_motion import Setting
from anchorsim.dynamics.wave_kernel import STILL
from anchorsim.mooring import line_mesh as of
from anchorsim.mooring.line_mesh import Mesh
from anchorsim.scenario.vessel import Hull

m, line = motion_kernel, line_motion
NOTHING = Hull(*[0.0] * 8, (), (), *[0.0] * 5, (0.0,) * 3, (0.0,) * 3, *[0.0] * 21)
HULL = NOTHING._replace(length=12.0, roller=5.5, wind_transverse=1.0, lateral_area=1e-9)
SETTING = Setting(1.2, 1000.0, 0.0, 0.0, 10.0, 0.0, 0.0, 0.6, 1.5, 0.0, 1.0, 20.0)


@pytest.fixture(autouse=True)
def plain(monkeypatch: pytest.MonkeyPatch) -> None:
    plainly(monkeypatch, boat_motion, hull_loads, line_motion, motion_kernel, wave_kernel)


@pytest.mark.parametrize("by", [0.0, 1e-4, -0.02, 0.03])
def test_an_angle_turns_by_the_sums_of_trigonometry(by: float) -> None:
    found = m.turned(math.cos(1.1), math.sin(1.1), by)
    assert found == pytest.approx((math.cos(1.1 + by), math.sin(1.1 + by)), abs=1e-15)


def test_its_sine_is_kept_to_the_last_digit() -> None:
    assert m.turned(1.0, 0.0, 0.06)[1] == pytest.approx(math.sin(0.06), abs=3e-17)


@pytest.mark.parametrize("time", [0.0, 0.1, 0.3, 0.74, 5.0])
def test_wind_goes_straight_from_row_to_row(time: float) -> None:
    wind = np.array([[1.0, -2.0], [3.0, 0.5], [-4.0, 2.0], [2.0, 2.5]])
    places = 0.25 * np.arange(4)
    found = m.wind_at(wind, 0.25, time)
    assert found == pytest.approx((np.interp(time, places, wind[:, 0]), np.interp(time, places, wind[:, 1])))


@pytest.mark.parametrize("spread", [0.0, 4.0])
def test_the_roller_s_nodes_are_brought_where_the_boat_has_them(spread: float) -> None:
    """Gains in speed by which they come there in one step: port first, half the spread off her middle."""
    h, heading = 1 / 30, 0.7
    c, s = math.cos(heading), math.sin(heading)
    state, nodes = np.zeros(m.STATE), np.zeros((4, line.NODE))
    state[m.NORTH], state[m.EAST] = -20.0, 3.0
    nodes[2:, : line.Z + 1], nodes[2:, line.U : line.W + 1] = (-16.0, 6.0, 1.4), (0.2, -0.1, 0.05)
    bridle = spread > 0.0
    press = m.put_bow(HULL, SETTING._replace(spread=spread), STILL, 0.0, state, nodes, 2, bridle, h, c, s)
    assert press == (0.0, 0.0)
    ahead, abeam = np.array([c, s, 0.0]), np.array([-s, c, 0.0])
    for k, side in ((2, -0.5), (3, 0.5)) if bridle else ((2, 0.0),):
        wanted = np.array([-20.0, 3.0, 1.5]) + 5.5 * ahead + side * spread * abeam
        came = nodes[k, : line.Z + 1] + h * (
            nodes[k, line.U : line.W + 1] + nodes[k, line.FREE : line.FREE + 3]
        )
        assert came == pytest.approx(wanted)
    assert bridle or not nodes[3, line.FREE : line.FREE + 3].any()


@pytest.mark.parametrize("bridle", [False, True])
def test_the_rode_pulls_on_the_boat_at_its_strong_points(bridle: bool) -> None:
    """Forces and r × F by NumPy; at the bow with half of each last element's weight, as wet as it is."""
    heading = 2.2
    c, s = math.cos(heading), math.sin(heading)
    elements = np.zeros((3, of.COLUMNS))
    elements[:, of.WEIGHT], elements[:, of.IN_AIR] = 30.0, 40.0
    rows = np.zeros((3, line.ROW))
    rows[:, line.EX : line.EZ + 1] = (0.6, 0.0, 0.8), (0.48, 0.64, 0.6), (-0.36, 0.48, 0.8)
    rows[:, line.TENSION], rows[:, line.WET] = (500.0, 900.0, 700.0), (1.0, 0.25, 0.5)
    mesh = Mesh(elements, np.zeros((1, 2)), bridle)
    last = 2 if bridle else 3
    ahead, abeam, turn, at_bow = m.aboard(
        HULL, SETTING._replace(spread=4.0 if bridle else 0.0), mesh, rows, last, c, s
    )
    total, moment = np.zeros(3), 0.0
    for k, off in ((1, -2.0), (2, 2.0)) if bridle else ((2, 0.0),):
        pull = rows[k, line.TENSION] * rows[k, line.EX : line.EZ + 1]
        fore, side = -pull[0] * c - pull[1] * s, pull[0] * s - pull[1] * c
        moment += float(np.cross([5.5, off, 0.0], [fore, side, 0.0])[2])
        total += pull
        total[2] += 0.5 * (40.0 - 10.0 * rows[k, line.WET])
    assert (ahead, abeam) == pytest.approx((-total[0] * c - total[1] * s, total[0] * s - total[1] * c))
    assert turn == pytest.approx(moment)
    assert at_bow == pytest.approx(np.linalg.norm(total))


def test_the_hull_s_loads_are_carried_on_half_a_step() -> None:
    """A straight line through the last two, to the middle of the step to come; at the start the first."""
    hull = HULL._replace(surge_drag=1.0)
    state = np.zeros(m.STATE)
    state[m.AHEAD] = 1.0
    # the air goes along with her, so that the water alone pushes: ½ρ·1 m²·V²
    first = m.carried_on(hull, SETTING, state, 1.0, 0.0, 1.0, 0.0, (10.0, 20.0, 30.0), 0.1)
    assert first == pytest.approx((-490.0, 20.0, 30.0))
    assert state[m.PUSH_AHEAD : m.PUSHED + 1] == pytest.approx((-490.0, 20.0, 30.0, 0.1))
    state[m.AHEAD] = 1.2
    after = m.carried_on(hull, SETTING, state, 1.0, 0.0, 1.2, 0.0, (5.0, 26.0, 24.0), 0.05)
    now = np.array([-720.0 + 5.0, 26.0, 24.0])
    assert after == pytest.approx(tuple(now + 0.5 * 0.05 / 0.1 * (now - (-490.0, 20.0, 30.0))))
    assert state[m.PUSH_AHEAD : m.PUSHED + 1] == pytest.approx((*now, 0.05))


def test_how_fast_the_water_damps_her() -> None:
    """½ρV times the slopes of force over mass and of moment over inertia, each at its largest."""
    hull = HULL._replace(
        mass=9000.0, added_sway=6000.0, yaw_inertia=8e4, added_yaw=4e4, strip_place=(-4.0, 3.0),
        strip_drag=(2.0, 1.5), keel_area=2.0, keel_centre=0.4, keel_lift_slope=3.0,
        rudder_area=0.5, rudder_centre=-5.0, rudder_lift_slope=2.5, plate_drag=1.17,
    )  # fmt: skip
    state = np.zeros(m.STATE)
    state[m.AHEAD], state[m.ABEAM], state[m.TURN] = -0.8, 0.3, -0.05
    setting = SETTING._replace(current_north=-0.4, current_east=0.2)
    speed = 0.8 + 0.3 + 0.6 + 6.0 * 0.05
    keel, rudder = 2.0 * (3.0 + 2.34), 0.5 * (2.5 + 2.34)
    across = keel + rudder + 2 * 2.0 + 2 * 1.5
    turning = keel * 0.16 + rudder * 25.0 + 2 * 2.0 * 16.0 + 2 * 1.5 * 9.0
    wanted = 500.0 * speed * (across / 15000.0 + turning / 12e4)
    assert m.damped(hull, setting, state) == pytest.approx(wanted)
