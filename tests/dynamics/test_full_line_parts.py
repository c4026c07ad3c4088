"""The fine line's step, part by part in plain Python: by hand and by NumPy."""

from __future__ import annotations

import math

import numpy as np
import pytest
from plain_kernels import plainly

from anchorsim.dynamics import (
    anchor_kernel,
    boat_motion,
    full_line_kernel,
    hull_loads,
    lumped_line,
    wave_kernel,
)
from anchorsim.dynamics.boat_motion import Setting
from anchorsim.dynamics.lumped_line import Felt, Line
from anchorsim.dynamics.wave_kernel import STILL
from anchorsim.mooring import line_mesh as of
from anchorsim.mooring.line_mesh import Mesh
from anchorsim.scenario.site import Ground
from anchorsim.scenario.vessel import Hull

m, k = lumped_line, full_line_kernel
SETTING = Setting(1.2, 1000.0, 0.1, -0.3, 10.0, 0.0, 0.0, 0.6, 1.5, 4.0, 1.0, 20.0)
LAWS = np.array([[0.0, 1000.0, 3000.0, 7000.0]])  # N at strains of 0, 0.1, 0.2, 0.3
FLAT = np.array([[0.0, 1.0], [1.0, 1.0]])  # an anchor whose holding knows no lift


@pytest.fixture(autouse=True)
def plain(monkeypatch: pytest.MonkeyPatch) -> None:
    plainly(monkeypatch, anchor_kernel, boat_motion, hull_loads, lumped_line, wave_kernel, full_line_kernel)


def mesh(count: int, bridle: bool = False, **columns: float) -> Mesh:
    elements = np.zeros((count, of.COLUMNS))
    elements[:, of.LENGTH], elements[:, of.LAW], elements[:, of.SLACK] = 10.0, of.NO_LAW, math.inf
    for name, value in columns.items():
        elements[:, getattr(of, name)] = value
    return Mesh(elements, LAWS, bridle)


def line(count: int = 2, bridle: bool = False, ropes: int = 0) -> Line:
    return Line(mesh(count, bridle, WEIGHT=120.0, IN_AIR=140.0), ropes, 30.0)


# --- Peaks, places, the boat --------------------------------------------------------------------------------


def test_peaks_are_raised_and_never_lowered() -> None:
    peaks = np.array([5.0, 5.0, 0.1])
    k._raise(peaks, Felt(7.0, 3.0, 0.4))
    assert peaks.tolist() == [7.0, 5.0, 0.4]
    k._raise(peaks, Felt(6.0, 8.0, 0.2))
    assert peaks.tolist() == [7.0, 8.0, 0.4]


def test_a_picture_is_of_all_places() -> None:
    nodes, places = np.arange(2.0 * m.NODE).reshape(2, m.NODE), np.zeros((3, 2, 3))
    k._picture(nodes, places, 1)
    assert (places[1] == nodes[:, :3]).all() and not places[[0, 2]].any()


def test_a_sample_holds_what_its_columns_say() -> None:
    """Time, her place and heading, the loads and lift, the wind, the anchor: of the first of two samples."""
    hull = Hull(*[0.0] * 8, (), (), *[0.0] * 5, (0.0,) * 3, (0.0,) * 3, *[0.0] * 21)
    hull = hull._replace(length=12.0, mass=9e3, yaw_inertia=8e4, wind_transverse=1.0, lateral_area=1e-9)
    state, nodes, bonds = np.zeros(k.STATE), np.zeros((3, m.NODE)), np.zeros((2, m.BOND))
    state[: k.TURN + 1] = -18.0, 2.0, 0.1, 0.0, 0.0, 0.0
    nodes[:, :3] = (0.5, -0.3, -9.0), (-9.0, 1.0, -4.0), (-18.0, 2.0, 1.5)
    nodes[:, m.OWN], nodes[:, m.REACH] = 14.0, 10.0
    track, peaks = np.full((k.SAMPLED, 2), np.nan), np.zeros(3)
    k.integrate(
        hull, line(), SETTING, GROUND, FLAT, STILL, np.array([[-7.0, 3.0]] * 4), 0.25, 0.001, 1, 0, 1,
        state, nodes, bonds, track, np.zeros((0, 3, 3)), peaks,
    )  # fmt: skip
    assert track[[0, 1, 2, 3, 7, 8, 9, 10], 0] == pytest.approx((0.0, -18.0, 2.0, 0.1, -7.0, 3.0, 0.5, -0.3))
    assert track[4:7, 0] == pytest.approx(peaks)
    assert np.isnan(track[:, 1]).all()


def test_a_held_bow_s_samples_and_pictures() -> None:
    """Taut chain of 10 kN/m between held ends, pulled out by 0.5 m: k ΔL, less half its weight at the
    anchor and with half of it at the bow; a sample each second step."""
    whole = Line(mesh(1, STIFFNESS=1e4, WEIGHT=120.0, IN_AIR=120.0, MASS=14.0), 0, 1e9)
    state, nodes, bonds = np.zeros(k.STATE), np.zeros((2, m.NODE)), np.zeros((1, m.BOND))
    setting = SETTING._replace(height=-3.7, spread=0.0)
    nodes[0, :3] = 0.0, 0.0, -10.0
    state[: k.TURN + 1] = -math.sqrt(10.5**2 - 6.3**2) - 5.0, 0.0, 0.0, 0.0, 0.0, 0.0
    track, places, peaks = np.full((4, 3), np.nan), np.full((3, 2, 3), np.nan), np.zeros(3)
    k.haul(
        whole, setting, GROUND._replace(holding=1e9), FLAT, STILL, 5.0, 0.0, 0.01, 2, 0, 3,
        state, nodes, bonds, track, places, peaks,
    )  # fmt: skip
    out, up = 5000.0 * math.sqrt(1 - 0.6**2), 5000.0 * 0.6
    assert track[0] == pytest.approx([0.0, 0.02, 0.04])
    assert track[1] == pytest.approx([math.hypot(out, up + 60.0)] * 3)
    assert track[2] == pytest.approx([math.hypot(out, up - 60.0)] * 3)
    assert track[3] == pytest.approx([math.atan2(up - 60.0, out)] * 3)
    assert peaks == pytest.approx(track[1:, 0])
    assert places == pytest.approx(np.array([[[0.0, 0.0, -10.0], [-8.4, 0.0, -3.7]]] * 3))


@pytest.mark.parametrize(("first", "last", "steps"), [(0, 1, 2), (1, 3, 3), (2, 3, 1), (0, 3, 5)])
def test_samples_are_sailed_through_from_one_to_before_another(first: int, last: int, steps: int) -> None:
    """Two steps to a sample, but one for the last of all: how far a boat that nothing stops has gone."""
    hull = Hull(*[0.0] * 8, (), (), *[0.0] * 5, (0.0,) * 3, (0.0,) * 3, *[0.0] * 21)
    hull = hull._replace(length=12.0, mass=9e3, yaw_inertia=8e4, wind_transverse=1.0, lateral_area=1e-9)
    state, nodes, bonds = np.zeros(k.STATE), np.zeros((3, m.NODE)), np.zeros((2, m.BOND))
    state[: k.TURN + 1] = -1.0, 2.0, 0.3, 0.5, -0.2, 0.0
    nodes[:, :3], nodes[:, m.OWN] = [[0.0, 0.0, -9.0], [-0.5, 1.0, -4.0], [-1.0, 2.0, 1.5]], 14.0
    track = np.full((k.SAMPLED, 3), np.nan)
    k.integrate(
        hull, line(), SETTING, GROUND, FLAT, STILL, np.zeros((4, 2)), 0.25, 0.001, 2, first, last,
        state, nodes, bonds, track, np.zeros((0, 3, 3)), np.zeros(3),
    )  # fmt: skip
    c, s = math.cos(0.3), math.sin(0.3)
    went = 0.001 * steps * np.array([0.5 * c + 0.2 * s, 0.5 * s - 0.2 * c])
    assert state[[k.NORTH, k.EAST]] - (-1.0, 2.0) == pytest.approx(went)
    filled = ~np.isnan(track[0])
    assert filled.tolist() == [first <= i < last for i in range(3)]
    assert track[0, filled] == pytest.approx(0.002 * np.arange(first, last))


@pytest.mark.parametrize("bridle", [False, True])
def test_the_bow_s_nodes_are_where_boat_and_waves_have_them(bridle: bool) -> None:
    """Starboard last, half the spread off her middle; speeds with her turning, v + ω × r."""
    heading, roller = 0.9, 5.5
    c, s = math.cos(heading), math.sin(heading)
    state, nodes = np.zeros(k.STATE), np.zeros((4, m.NODE))
    state[: k.TURN + 1] = -20.0, 3.0, heading, 0.8, -0.3, 0.05
    ridden = (0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.0, 0.0)
    k.place_bow(line(3, bridle), SETTING, nodes, roller, state, c, s, ridden)
    turn = np.array([[c, -s], [s, c]])
    for node, off in ((3, 2.0), (2, -2.0)) if bridle else ((3, 0.0),):
        at = turn @ (roller, off)
        assert nodes[node, :3] == pytest.approx((-20.0 + at[0] + 0.1, 3.0 + at[1] + 0.2, 1.5 + 0.3))
        speed = turn @ (0.8 - off * 0.05, -0.3 + roller * 0.05)
        assert nodes[node, m.TO_X : m.TO_Z + 1] == pytest.approx((speed[0] + 0.4, speed[1] + 0.5, 0.6))
    assert bridle or not nodes[2].any()


@pytest.mark.parametrize("bridle", [False, True])
def test_the_line_pulls_on_the_boat_where_it_is_made_fast(bridle: bool) -> None:
    heading, roller = 2.1, 5.5
    c, s = math.cos(heading), math.sin(heading)
    bonds = np.zeros((3, m.BOND))
    bonds[:, m.UNIT : m.UNIT + 3] = (0.6, 0.0, 0.8), (0.48, 0.64, 0.6), (-0.36, 0.48, 0.8)
    bonds[:, m.TENSION], bonds[:, m.LOST] = (500.0, 900.0, 700.0), (10.0, 20.0, -30.0)
    force, moment = np.zeros(2), 0.0
    for bond, off in ((2, 2.0), (1, -2.0)) if bridle else ((2, 0.0),):
        pull = -(bonds[bond, m.TENSION] + bonds[bond, m.LOST]) * bonds[bond, :2]
        hers = np.array([[c, s], [-s, c]]) @ pull
        force += hers
        moment += roller * hers[1] - off * hers[0]
    found = k.pull_boat(line(3, bridle), SETTING, bonds, roller, c, s)
    assert found == pytest.approx((*force, moment))


# --- Elements -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("a", "b", "share"),
    [
        (-1.0, -2.0, 1.0),
        (0.0, 0.0, 1.0),
        (-3.0, 1.0, 0.75),
        (1.0, -3.0, 0.75),
        (2.0, 5.0, 0.0),
        (2.0, 2.0, 0.0),
    ],
)
def test_how_much_of_a_piece_is_under_water(a: float, b: float, share: float) -> None:
    assert m.under(a, b) == pytest.approx(share)


def test_chain_has_a_fifth_of_critical_damping_and_never_pushes() -> None:
    chain = mesh(1, STIFFNESS=5e5, MASS=14.0)
    dashpot = 0.2 * math.sqrt(5e5 * 14.0)  # judgement
    assert m.tension(chain, 0, 0.01, 0.3) == pytest.approx((5000.0 + 0.3 * dashpot, 0.0))
    assert m.tension(chain, 0, 0.001, -9.0) == (0.0, 0.0)
    assert m.tension(chain, 0, -0.01, 9.0) == (0.0, 0.0)


@pytest.mark.parametrize(("longer", "load"), [(0.5, 500.0), (1.5, 2000.0), (2.5, 5000.0), (4.0, 11000.0)])
def test_rope_by_its_table_and_the_chain_behind_it(longer: float, load: float) -> None:
    """10 m of it: a strain of 0.1 is a metre; from 2 m on 4 kN/m of chain beside it, which loses none."""
    rope = mesh(1, LAW=0.0, STRAIN=0.1, LOSS=0.25, SLACK=2.0, BACKUP=4000.0)
    assert m.tension(rope, 0, longer, 1.0) == pytest.approx(
        (load + 4000.0 * max(longer - 2.0, 0.0), 0.25 * load)
    )
    assert m.tension(rope, 0, -0.1, 1.0) == (0.0, 0.0)


def test_what_elements_do_to_their_nodes() -> None:
    """Two pieces of chain, the upper out of the water: pulls, half of each weight, and what is wet."""
    given = mesh(2, STIFFNESS=1e5, WEIGHT=120.0, IN_AIR=140.0, ADDED=2.0, ACROSS=50.0, ALONG=20.0)
    nodes, bonds = np.zeros((3, m.NODE)), np.zeros((2, m.BOND))
    nodes[:, :3] = (0.0, 0.0, -8.0), (6.0, 0.0, 0.0), (6.0, 10.5, 3.0)
    m.gather(given, 1.5, nodes, bonds)
    lower, upper = np.array([0.6, 0.0, 0.8]), np.array([0.0, 10.5, 3.0])
    far = float(np.linalg.norm(upper))
    load = 1e5 * (far - 10.0)
    assert bonds[:, m.TENSION] == pytest.approx((0.0, load), abs=1e-6)
    assert bonds[1, :3] == pytest.approx(upper / far)
    assert nodes[1, m.FORCE : m.FORCE + 3] == pytest.approx(
        load * upper / far - (0.0, 0.0, 140.0) + (0.0, 0.0, 0.5 * 20.0)
    )
    assert nodes[2, m.FORCE : m.FORCE + 3] == pytest.approx(-load * upper / far - (0.0, 0.0, 70.0))
    assert nodes[1, m.WAY : m.WAY + 3] == pytest.approx(lower + upper / far)
    wet = nodes[:, [m.WET_ADDED, m.WET_ACROSS, m.WET_ALONG]]
    assert wet[0] == pytest.approx((1.0, 37.5, 15.0)) and wet[1] == pytest.approx((1.0, 37.5, 15.0))
    assert not wet[2].any()


# --- Nodes --------------------------------------------------------------------------------------------------


def node(**columns: float | tuple[float, ...]) -> np.ndarray:
    one = np.zeros(m.NODE)
    for name, value in columns.items():
        start, values = getattr(m, name), np.atleast_1d(value)
        one[start : start + len(values)] = values
    return one


def test_water_drags_across_and_along() -> None:
    along, speed = np.array([0.48, 0.64, 0.6]), np.array([0.5, -0.2, 0.4])
    one = node(TO_X=tuple(speed), WAY=tuple(along), WET_ACROSS=50.0, WET_ALONG=20.0, FORCE=(1.0, 2.0, 3.0))
    m.resist(SETTING, one)
    past = speed - (0.1, -0.3, 0.0)
    run = past @ along
    side = past - run * along
    wanted = -50.0 * np.linalg.norm(side) * side - 20.0 * abs(run) * run * along
    assert one[m.FORCE : m.FORCE + 3] == pytest.approx(wanted + np.array([1.0, 2.0, 3.0]))


def test_the_bottom_bears_and_holds_what_lies() -> None:
    """A spring of 20 kN/m each metre, half critically damped (judgements), square to a slope; Coulomb."""
    setting = SETTING._replace(rise_north=0.1, rise_east=-0.2)
    one = node(X=(1.0, 2.0, -10.32), TO_X=(0.02, -0.01, -0.03), OWN=14.0, REACH=0.01)
    m.bear(setting, one, 0.001)
    normal = np.array([-0.1, 0.2, 1.0]) / math.sqrt(1.05)
    stiff = 2e4 * 0.01
    damped = 2 * 0.5 * math.sqrt(stiff * 14.0)
    deep = -normal @ (1.0, 2.0, -0.32)
    speed = np.array([0.02, -0.01, -0.03])
    push = stiff * deep - damped * (speed @ normal)
    slide = speed - (speed @ normal) * normal
    rub = -(stiff * 0.001 + damped) * slide
    most = 0.6 * push
    share = min(1.0, most / np.linalg.norm(rub))
    assert deep > 0 and push > 0
    assert one[m.FORCE : m.FORCE + 3] == pytest.approx(push * normal + share * rub)
    strained = 0.001 * slide if share == 1.0 else -share * rub / stiff
    assert one[m.STUCK : m.STUCK + 3] == pytest.approx(strained)
    fast = node(X=(1.0, 2.0, -10.32), TO_X=(3.0, 0.0, 0.0), OWN=14.0, REACH=0.01)
    m.bear(setting._replace(rise_north=0.0, rise_east=0.0), fast, 0.001)
    assert fast[m.FORCE : m.FORCE + 3] == pytest.approx((-0.6 * stiff * 0.32, 0.0, stiff * 0.32))
    assert fast[m.STUCK] == pytest.approx(0.6 * 0.32)


def test_above_the_bottom_nothing_holds() -> None:
    one = node(X=(0.0, 0.0, -9.9), STUCK=(0.1, 0.2, 0.3), OWN=14.0, REACH=5.0)
    m.bear(SETTING, one, 0.001)
    assert not one[m.STUCK : m.FORCE + 3].any()


def test_a_node_is_hastened_by_its_masses() -> None:
    """Its own along the line, with the water's across: (M I + A (I − t tᵀ))⁻¹ F, by NumPy."""
    along, force = np.array([0.48, 0.64, 0.6]), np.array([30.0, -50.0, 20.0])
    one = node(WAY=tuple(along), OWN=14.0, WET_ADDED=3.0, FORCE=tuple(force))
    m.hasten(one, 0.01)
    masses = 17.0 * np.eye(3) - 3.0 * np.outer(along, along)
    assert one[m.TO_X : m.TO_Z + 1] == pytest.approx(0.01 * np.linalg.solve(masses, force))
    a, b = np.zeros(m.BOND), np.zeros(m.BOND)
    a[:3], b[:3] = (0.6, 0.0, 0.8), (0.0, -0.6, 0.8)
    assert m.yields(one, a, b) == pytest.approx(a[:3] @ np.linalg.solve(masses, b[:3]))
    before = one[m.TO_X : m.TO_Z + 1].copy()
    m.push_on(one, b, 5.0)
    assert one[m.TO_X : m.TO_Z + 1] - before == pytest.approx(np.linalg.solve(masses, 5.0 * b[:3]))


@pytest.mark.parametrize("bridle", [False, True])
def test_the_loads_at_both_ends(bridle: bool) -> None:
    """At the bow with half the weight of the last elements, dry here; at the anchor less half the first's."""
    bonds, nodes = np.zeros((3, m.BOND)), np.zeros((4, m.NODE))
    bonds[:, m.UNIT : m.UNIT + 3] = (0.6, 0.0, 0.8), (0.48, 0.64, 0.6), (-0.36, 0.48, 0.8)
    bonds[:, m.TENSION] = 500.0, 900.0, 700.0
    nodes[:, m.Z] = -10.0, 1.0, 2.0, 2.0
    total = np.zeros(3)
    for bond in (1, 2) if bridle else (2,):
        total += bonds[bond, m.TENSION] * bonds[bond, :3] + (0.0, 0.0, 70.0)
    found = m.at_ends(line(3, bridle).mesh, nodes, bonds)
    assert found == pytest.approx((np.linalg.norm(total), 300.0, 0.0, 400.0 - 60.0))


# --- The anchor ---------------------------------------------------------------------------------------------

GROUND = Ground(holding=800.0, broken_share=0.5, set_share=1.0, dig_in=4.0)


def hauled(north: float, up: float, own: float = 7.0) -> tuple[np.ndarray, tuple[float, float, float]]:
    nodes = np.zeros((2, m.NODE))
    nodes[0, m.OWN] = own
    return nodes, m.haul_anchor(line(), SETTING, GROUND, FLAT, nodes, north, 0.0, up, 1.0, 0.01)


def test_an_anchor_that_holds_stays() -> None:
    nodes, (dug, load, uplift) = hauled(790.0, 0.0)
    assert not nodes[0, m.TO_X : m.TO_Z + 1].any() and dug == 1.0
    assert (load, uplift) == (790.0, 0.0)


def test_an_anchor_is_hastened_by_what_it_does_not_hold() -> None:
    """(1000 − 800) N on 37 kg for 0.01 s; how fast it went of late follows by 0.01/(0.01 + 1)."""
    nodes, (dug, load, uplift) = hauled(1000.0, 0.0)
    speed = 0.01 * 200.0 / 37.0
    assert nodes[0, m.TO_X] == pytest.approx(speed)
    assert nodes[0, m.LATE] == pytest.approx(speed * 0.01 / 1.01)
    assert load == pytest.approx(1000.0) and uplift == 0.0 and dug == 1.0


def test_lift_and_friction_at_the_anchor() -> None:
    """Pressed down by 100 N, 60 N of the pull are rubbed off; lifted, the load is that of both."""
    _, (_, load, uplift) = hauled(500.0, -100.0)
    assert (load, uplift) == (pytest.approx(440.0), 0.0)
    _, (_, load, uplift) = hauled(400.0, 300.0)
    assert (load, uplift) == pytest.approx((500.0, math.atan2(300.0, 400.0)))
    _, (_, load, _) = hauled(30.0, -100.0)
    assert load == 0.0, "no more is rubbed off than pulls"
