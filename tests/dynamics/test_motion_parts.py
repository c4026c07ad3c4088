"""Parts of a step of the boat's motion by themselves, in plain Python: by hand and by NumPy."""

from __future__ import annotations

import math

import numpy as np
import pytest
from plain_kernels import plainly

from anchorsim.dynamics import anchor_kernel, boat_motion, hull_loads, line_motion, motion_kernel, wave_kernel
from anchorsim.dynamics.boat_motion import Setting
from anchorsim.dynamics.wave_kernel import STILL
from anchorsim.mooring import line_mesh as of
from anchorsim.mooring.line_mesh import Mesh
from anchorsim.scenario.site import Ground
from anchorsim.scenario.vessel import Hull

m, line = motion_kernel, line_motion
NOTHING = Hull(*[0.0] * 8, (), (), *[0.0] * 5, (0.0,) * 3, (0.0,) * 3, *[0.0] * 21)
HULL = NOTHING._replace(length=12.0, roller=5.5, wind_transverse=1.0, lateral_area=1e-9)
SETTING = Setting(1.2, 1000.0, 0.0, 0.0, 10.0, 0.0, 0.0, 0.6, 1.5, 0.0, 1.0, 20.0)


@pytest.fixture(autouse=True)
def plain(monkeypatch: pytest.MonkeyPatch) -> None:
    plainly(monkeypatch, anchor_kernel, boat_motion, hull_loads, line_motion, motion_kernel, wave_kernel)


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


# --- Steps of rode, anchor and boat -------------------------------------------------------------------------

H, SAND = 1 / 30, Ground(holding=800.0, broken_share=0.5, set_share=1.0, dig_in=4.0)
LEVEL = np.array([[0.0, 1.0], [1.0, 1.0]])  # holding that knows no lift


def one_element(stretch: float, speed: float = 0.0, **setting: float) -> tuple[Setting, Mesh, m.State]:
    """10 m of weightless chain of 5 kN/m from an anchor on a slope to a held node, down a bearing of 30°."""
    given = SETTING._replace(**{"rise_north": 0.1, "rise_east": -0.2, **setting})
    elements = np.zeros((1, of.COLUMNS))
    elements[0, [of.LENGTH, of.MASS, of.STIFFNESS]] = 10.0, 14.0, 5e3
    elements[0, of.LAW], elements[0, of.SLACK] = of.NO_LAW, math.inf
    boat, nodes, rows = np.zeros(m.STATE), np.zeros((2, line.NODE)), np.zeros((1, line.ROW))
    boat[m.DUG] = 1.0
    north, east = math.cos(math.pi / 6), math.sin(math.pi / 6)
    nodes[0, line.X : line.Z + 1] = 0.0, 0.0, -10.0
    nodes[0, line.U : line.W + 1] = speed * np.array([north, east, 0.1 * north - 0.2 * east])
    nodes[1, line.X : line.Z + 1] = (10.0 + stretch) * north, (10.0 + stretch) * east, -10.0
    rows[0, line.TAUT] = 1.0
    return given, Mesh(elements, np.zeros((1, 2)), False), m.State(boat, nodes, rows)


# of a level pull, whose bearing the slope falls away from by 0.0134
LIFT = math.asin((0.2 * math.sin(math.pi / 6) - 0.1 * math.cos(math.pi / 6)) / math.sqrt(1.05))


@pytest.mark.parametrize("stretch", [0.08, 0.15])
def test_an_anchor_stays_while_it_is_pulled_by_less_than_it_stands(stretch: float) -> None:
    setting, mesh, at = one_element(stretch)
    at.boat[m.DRAGS] = 0.2
    pull, lift = m.line_step(setting, mesh, SAND, LEVEL, at, H, 1)
    assert (pull, lift) == pytest.approx((5e3 * stretch, LIFT))
    assert not at.nodes[0, line.U : line.W + 1].any() and at.boat[m.DUG] == 1.0
    assert at.boat[m.DRAGS] == pytest.approx(0.2 - 0.2 * H / (H + 1.0)), (
        "told over the last second (judgement)"
    )


@pytest.mark.parametrize(("stretch", "speed"), [(0.3, 0.0), (0.3, 0.4), (0.12, 0.4)])
def test_an_anchor_goes_with_what_is_over_that_along_the_slope(stretch: float, speed: float) -> None:
    """27 kg by T − 800 N or less; the chain's T by what it is long at the step's end: solved by hand.

    Pulled by less than it stands it slows down; it goes on as long as it goes.
    """
    setting, mesh, at = one_element(stretch, speed)
    north, east = math.cos(math.pi / 6), math.sin(math.pi / 6)
    fall = 0.1 * north - 0.2 * east
    m.line_step(setting, mesh, SAND, LEVEL, at, H, 1)
    # the chain as it would lie with the anchor going on as before
    way = np.array([north, east, 0.0]) * (10.0 + stretch) - H * speed * np.array([north, east, fall])
    far = float(np.linalg.norm(way))
    along = float(way @ (north, east, fall)) / far
    grows = -speed * along
    right = 2 / 3 * (far - 10.0) + H / 3 * grows + H * along * speed  # as if it stood still at the end
    gain = H * along / 27.0
    tension = (right - H * along * (speed - gain * 800.0)) / (2 / 3 / 5e3 + H * along * gain)
    after = speed + gain * (tension - 800.0)
    assert after > 0.0 and (after > speed) == (stretch > 0.2)
    assert at.nodes[0, line.U : line.W + 1] == pytest.approx(after * np.array([north, east, fall]), rel=1e-3)
    assert at.boat[m.DRAGS] == pytest.approx(H / (H + 1.0) * after, rel=1e-3)


def test_an_anchor_that_goes_fast_comes_out() -> None:
    """As :func:`dig` has it for how far it went, how fast it went of late, before this step."""
    setting, mesh, at = one_element(0.5, 0.9)
    at.boat[m.DRAGS] = 1.0
    m.line_step(setting, mesh, SAND, LEVEL, at, H, 1)
    went = float(np.hypot(*at.nodes[0, line.U : line.V + 1]))
    assert at.boat[m.DUG] == pytest.approx(1.0 - H * went / (0.25 * 4.0)) and at.boat[m.DUG] < 0.98


def sailed(at: m.State, mesh: Mesh, setting: Setting, samples: int, stride: int, parts: int) -> np.ndarray:
    hull = HULL._replace(mass=9000.0, yaw_inertia=8e4, rig_drag=1.0, rig_frontal_area=10.0)
    track, peaks = np.full((m.SAMPLED, samples), np.nan), np.zeros(3)
    wind = np.array([[-3.0, 1.0], [-7.0, 3.0], [-5.0, 2.0]])
    m.integrate(hull, setting, mesh, SAND, LEVEL, STILL, wind, 0.1, at, 0.05, stride, parts, track, peaks)
    assert peaks[0] >= track[4, 1:].max() - 1e-9 and peaks[1] >= track[5, 1:].max() - 1e-9
    return track


def afloat() -> tuple[Setting, Mesh, m.State]:
    """A boat whose roller carries the node of :func:`one_element`, drifting with no load of water."""
    setting, mesh, at = one_element(0.1, height=-10.0, spread=0.0)
    heading = math.pi + math.pi / 6  # towards the anchor
    at.boat[m.HEADING], at.boat[m.AHEAD] = heading, -0.3
    at.boat[m.NORTH] = at.nodes[1, line.X] - 5.5 * math.cos(heading)
    at.boat[m.EAST] = at.nodes[1, line.Y] - 5.5 * math.sin(heading)
    at.rows[0, line.EX : line.EX + 2] = math.cos(math.pi / 6), math.sin(math.pi / 6)
    at.rows[0, line.TENSION] = 500.0
    return setting, mesh, at


def test_a_sample_holds_what_its_columns_say() -> None:
    """The first is the beginning; each after it is ``stride`` steps on, with the wind between its rows."""
    setting, mesh, at = afloat()
    before = at.boat.copy()
    track = sailed(at, mesh, setting, 3, 2, 3)
    assert track[0] == pytest.approx([0.0, 0.1, 0.2])
    assert track[1:4, 0] == pytest.approx(before[:3])
    assert track[4:7, 0] == pytest.approx((500.0, 500.0, LIFT))
    for sample, wind in enumerate([(-3.0, 1.0), (-7.0, 3.0), (-5.0, 2.0)]):
        assert track[7:9, sample] == pytest.approx(wind)
    assert track[9:, 0].tolist() == [0.0, 0.0]
    assert track[1:3, 2] == pytest.approx(at.boat[:2]) and track[3, 2] == at.boat[m.HEADING]
    assert track[9:, 2] == pytest.approx(at.nodes[0, line.X : line.Y + 1])
    # she drifts on astern, and her roller takes the node along
    gone = np.hypot(track[1, 2] - before[0], track[2, 2] - before[1])
    assert gone == pytest.approx(0.06, abs=0.01)
    roller = at.boat[:2] + 5.5 * np.array([math.cos(at.boat[2]), math.sin(at.boat[2])])
    assert at.nodes[1, line.X : line.Y + 1] == pytest.approx(roller)


def test_her_way_is_gathered_by_wind_and_rode() -> None:
    """(X_wind + T)/m in the first step of many; the wind ½ρ·10 m²·V V_x, the chain of 5 kN/m 0.1 m longer."""
    setting, mesh, at = afloat()
    at.boat[m.AHEAD] = 0.0
    sailed(at, mesh, setting._replace(air=1.2), 2, 1, 1)
    c, s = math.cos(math.pi + math.pi / 6), math.sin(math.pi + math.pi / 6)
    ahead = -3.0 * c + 1.0 * s
    force = 0.5 * 1.2 * 10.0 * math.hypot(3.0, 1.0) * ahead
    assert at.boat[m.AHEAD] == pytest.approx(0.05 * (force + 500.0) / 9000.0, rel=1e-9)


@pytest.mark.parametrize(("late", "steps"), [(0.0, 3), (0.02, 6), (0.005, 3)])
def test_the_line_makes_half_as_long_steps_while_the_anchor_goes(
    late: float, steps: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """From a centimetre a second on (ours)."""
    setting, mesh, at = afloat()
    at.boat[m.DRAGS] = late
    lengths: list[float] = []
    step = m.line_step

    def noted(*given: object) -> tuple[float, float]:
        lengths.append(given[5])  # type: ignore[arg-type]
        return step(*given)  # type: ignore[no-any-return]

    monkeypatch.setattr(m, "line_step", noted)
    sailed(at, mesh, setting, 2, 1, 3)
    assert lengths == pytest.approx([0.05 / steps] * steps)


def test_a_rode_that_pulls_aside_turns_her() -> None:
    """Without air, her head 0.4 rad off the rode: T cos, T sin and the roller times that, over her masses."""
    setting, mesh, at = afloat()
    heading = math.pi + math.pi / 6 + 0.4
    at.boat[m.HEADING], at.boat[m.AHEAD] = heading, 0.0
    at.boat[m.NORTH] = at.nodes[1, line.X] - 5.5 * math.cos(heading)
    at.boat[m.EAST] = at.nodes[1, line.Y] - 5.5 * math.sin(heading)
    sailed(at, mesh, setting._replace(air=0.0, water=0.0), 2, 1, 1)
    ahead, aside = 500.0 * math.cos(0.4), -500.0 * math.sin(0.4)
    assert at.boat[m.AHEAD : m.TURN + 1] == pytest.approx(
        (0.05 * ahead / 9000.0, 0.05 * aside / 9000.0, 0.05 * 5.5 * aside / 8e4)
    )
