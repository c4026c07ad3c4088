"""One step of the rode, part by part: against dense systems solved by NumPy, and by hand."""

from __future__ import annotations

import math

import numpy as np
import pytest
from plain_kernels import plainly

from anchorsim.dynamics import line_motion as m
from anchorsim.dynamics.boat_motion import Setting
from anchorsim.mooring import line_mesh as of

H = 1 / 30  # s
SETTING = Setting(1.2, 1000.0, 0.0, 0.0, 10.0, 0.0, 0.0, 0.6, 1.5, 0.0, 1.0, 20.0)


@pytest.fixture(autouse=True)
def plain(monkeypatch: pytest.MonkeyPatch) -> None:
    plainly(monkeypatch, m)


# --- The system of tensions ---------------------------------------------------------------------------------


def system(seed: int, count: int, bridle: bool) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Rows of a random system, and the same as a dense positive matrix and right side."""
    random = np.random.default_rng(seed)
    rows = np.zeros((count + (1 if bridle else 0), m.ROW))
    n = len(rows)
    rows[:, m.DIAGONAL] = 2.0 + random.random(n)
    rows[1:count, m.BEFORE] = -random.random(count - 1)
    rows[:, m.RIGHT] = random.normal(0.3, 1.0, n)
    rows[:, m.TAUT] = 1.0
    dense = np.diag(rows[:, m.DIAGONAL])
    for k in range(1, count):
        dense[k, k - 1] = dense[k - 1, k] = rows[k, m.BEFORE]
    if bridle:
        rows[count - 2 : count, m.BORDER] = random.normal(0.0, 0.5, 2)
        dense[count, count - 2 : count] = dense[count - 2 : count, count] = rows[count - 2 : count, m.BORDER]
    return rows, dense, rows[:, m.RIGHT].copy()


@pytest.mark.parametrize("seed", range(6))
def test_the_tensions_of_a_line_are_those_of_a_dense_system(seed: int) -> None:
    rows, dense, right = system(seed, 7, False)
    m.eliminate(rows, 7)
    assert rows[:, m.TENSION] == pytest.approx(np.linalg.solve(dense, right))


@pytest.mark.parametrize("slack", [(2,), (0, 5), (3, 4), (5,), (6,), (5, 6)])
@pytest.mark.parametrize("bridle", [False, True])
def test_what_is_slack_drops_out_of_the_system(slack: tuple[int, ...], bridle: bool) -> None:
    rows, dense, right = system(3, 7, bridle)
    rows[list(slack), m.TAUT] = 0.0
    m.eliminate(rows, 7)
    if bridle:
        m.add_leg(rows, 7)
    kept = [k for k in range(len(rows)) if k not in slack]
    wanted = np.zeros(len(rows))
    wanted[kept] = np.linalg.solve(dense[np.ix_(kept, kept)], right[kept])
    assert rows[:, m.TENSION] == pytest.approx(wanted, abs=1e-12)


@pytest.mark.parametrize("seed", range(6))
def test_a_second_leg_borders_the_system(seed: int) -> None:
    rows, dense, right = system(seed, 6, True)
    m.eliminate(rows, 6)
    m.add_leg(rows, 6)
    assert rows[:, m.TENSION] == pytest.approx(np.linalg.solve(dense, right))


def test_a_second_leg_that_is_slack_takes_nothing() -> None:
    rows, dense, right = system(2, 6, True)
    rows[6, m.TAUT] = 0.0
    m.eliminate(rows, 6)
    m.add_leg(rows, 6)
    assert rows[:6, m.TENSION] == pytest.approx(np.linalg.solve(dense[:6, :6], right[:6]))
    assert rows[6, m.TENSION] == 0.0


@pytest.mark.parametrize("seed", range(30))
@pytest.mark.parametrize("bridle", [False, True])
def test_nothing_pushes_and_what_is_slack_would_not_pull(seed: int, bridle: bool) -> None:
    """The conditions of a linear complementarity problem (Cottle, Pang & Stone): T ≥ 0, A T − b ≥ 0, and one
    of the two nought; its solution is the only one, as A is positive."""
    rows, dense, right = system(seed, 7, bridle)
    m.pull_taut(rows, 7, bridle)
    tension = rows[:, m.TENSION]
    left = dense @ tension - right
    assert (tension >= 0.0).all()
    assert left.min() > -1e-9
    assert np.abs(tension * left).max() < 1e-9


# --- Elements -----------------------------------------------------------------------------------------------


def element(**columns: float) -> np.ndarray:
    row = np.zeros((1, of.COLUMNS))
    row[0, of.LAW], row[0, of.SLACK], row[0, of.LENGTH] = of.NO_LAW, math.inf, 10.0
    for name, value in columns.items():
        row[0, getattr(of, name)] = value
    return row


LAWS = np.array([[0.0, 1000.0, 3000.0, 7000.0]])  # N at strains of 0, 0.1, 0.2, 0.3


@pytest.mark.parametrize(("far", "rate"), [(10.02, 0.0), (10.01, 0.3), (9.9, -0.5)])
def test_chain_is_damped_over_half_a_step(far: float, rate: float) -> None:
    """Stiff by k, damped by k h/2: two thirds of the stretch, and a third of what it grows in a step."""
    rows = np.zeros((1, m.ROW))
    m.stretch_element(rows, LAWS, element(STIFFNESS=5e5), 0, far, rate, H)
    assert rows[0, m.DIAGONAL] == pytest.approx(2 / 3 / 5e5)
    assert rows[0, m.RIGHT] == pytest.approx(2 / 3 * (far - 10.0) + H / 3 * rate)


@pytest.mark.parametrize(
    ("stretch", "load", "slope"),
    [(0.5, 500.0, 1000.0), (1.5, 2000.0, 2000.0), (2.5, 5000.0, 4000.0), (4.0, 11000.0, 4000.0)],
)
def test_rope_goes_by_its_table_and_on_with_its_last_slope(stretch: float, load: float, slope: float) -> None:
    """10 m of it: a strain of 0.1 is a metre.  Without loss the compliance is that of the slope."""
    rows = np.zeros((1, m.ROW))
    m.stretch_element(rows, LAWS, element(LAW=0.0, STRAIN=0.1), 0, 10.0 + stretch, 0.0, H)
    assert rows[0, m.DIAGONAL] == pytest.approx(1 / slope)
    assert rows[0, m.RIGHT] / rows[0, m.DIAGONAL] == pytest.approx(load)


def test_slack_rope_goes_on_below_nought_with_its_first_slope() -> None:
    rows = np.zeros((1, m.ROW))
    m.stretch_element(rows, LAWS, element(LAW=0.0, STRAIN=0.1), 0, 9.5, 0.0, H)
    assert rows[0, m.RIGHT] / rows[0, m.DIAGONAL] == pytest.approx(-500.0)


@pytest.mark.parametrize("rate", [-0.4, 0.05, 2.0])
def test_a_rope_s_loss_by_the_secant(rate: float) -> None:
    """Loads times 1 + κ ṡ/√(ṡ² + p²), p a hundredth of the length a second (judgement); the share of that is
    damping: load κ/√(ṡ² + p²) N s/m beside the stiffness."""
    rows = np.zeros((1, m.ROW))
    m.stretch_element(rows, LAWS, element(LAW=0.0, STRAIN=0.1, LOSS=0.2), 0, 11.5, rate, H)
    root = math.sqrt(rate**2 + (0.01 * 10.0) ** 2)
    factor = 1 + 0.2 * rate / root
    assert rows[0, m.DIAGONAL] == pytest.approx(H / (H * 2000.0 * factor + 2000.0 * 0.2 / root))
    assert rows[0, m.RIGHT] / rows[0, m.DIAGONAL] == pytest.approx(2000.0 * factor)


@pytest.mark.parametrize(("stretch", "chain"), [(0.79, 0.0), (0.9, 500.0)])
def test_the_chain_behind_a_snubber_pulls_beside_it(stretch: float, chain: float) -> None:
    rows, backed = np.zeros((1, m.ROW)), element(LAW=0.0, STRAIN=0.1, SLACK=0.8, BACKUP=5000.0)
    m.stretch_element(rows, LAWS, backed, 0, 10.0 + stretch, 0.0, H)
    assert rows[0, m.RIGHT] / rows[0, m.DIAGONAL] == pytest.approx(1000.0 * stretch + chain)
    assert rows[0, m.DIAGONAL] == pytest.approx(1 / (6000.0 if chain else 1000.0))


@pytest.mark.parametrize(
    ("low", "up", "wet"),
    [
        (-5.0, -1.0, 1.0),
        (-3.0, 1.0, 0.75),
        (1.0, -3.0, 0.75),
        (0.0, 4.0, 0.0),
        (2.0, 5.0, 0.0),
        (-4.0, 0.0, 1.0),
    ],
)
def test_where_an_element_lies_and_how_wet_it_is(low: float, up: float, wet: float) -> None:
    """Where the old speeds lead in a step; its direction, its rate of growth and the share under water."""
    nodes = np.zeros((2, m.NODE))
    nodes[:, m.X : m.Z + 1] = (1.0, 2.0, low), (4.0, 1.0, up)
    nodes[:, m.U : m.W + 1] = (0.1, 0.0, 0.0), (0.4, -0.3, 0.0)
    rows = np.zeros((1, m.ROW))
    rows[0, m.TENSION] = 600.0
    m.lie_along(rows, nodes, element(STIFFNESS=5e5), LAWS, 0, 0, 1, H)
    way = np.array([3.0 + 0.3 * H, -1.0 - 0.3 * H, up - low])
    far = float(np.linalg.norm(way))
    assert rows[0, m.EX : m.EZ + 1] == pytest.approx(way / far)
    assert rows[0, m.STIFF] == pytest.approx(600.0 / far)
    assert rows[0, m.WET] == pytest.approx(wet)
    rate = (0.3 * way[0] - 0.3 * way[1]) / far
    assert rows[0, m.RIGHT] == pytest.approx(2 / 3 * (far - 10.0) + H / 3 * rate)


@pytest.mark.parametrize("wet", [0.0, 0.4, 1.0])
def test_half_an_element(wet: float) -> None:
    rows = np.zeros((1, m.ROW))
    rows[0, m.WET] = wet
    one = element(MASS=14.0, ADDED=2.0, WEIGHT=120.0, IN_AIR=140.0, ACROSS=50.0, ALONG=20.0)
    found = m.half(rows, one, 0)
    assert found == pytest.approx((7.0, wet, 25.0 * wet, 10.0 * wet, 70.0 - 10.0 * wet, 5.0))


# --- Nodes --------------------------------------------------------------------------------------------------


def test_a_node_yields_by_the_inverse_of_its_masses() -> None:
    """(D + p n nᵀ)⁻¹, put by free_node as a diagonal less a part along n (Sherman & Morrison 1950)."""
    nodes = np.zeros((1, m.NODE))
    nodes[0, m.LEVEL], nodes[0, m.UPRIGHT], nodes[0, m.SHARE] = 0.2, 0.1, 0.03
    nodes[0, m.LEANS : m.LEANS + 3] = lean = np.array([0.5, -1.0, 0.7])
    inverse = np.diag([0.2, 0.2, 0.1]) - 0.03 * np.outer(lean, lean)
    push = np.array([3.0, 4.0, -5.0])
    assert m.yields(nodes, 0, *push) == pytest.approx(tuple(inverse @ push))
    rows = np.zeros((2, m.ROW))
    rows[:, m.EX : m.EZ + 1] = (0.6, 0.0, 0.8), (0.0, 0.6, -0.8)
    assert m.couple(nodes, 0, rows, 0, 1) == pytest.approx(rows[0, :3] @ inverse @ rows[1, :3])
    nodes[0, m.FREE : m.FREE + 3] = 0.1, 0.2, 0.3
    assert m.gained(nodes, 0, rows, 1) == pytest.approx(0.6 * 0.2 - 0.8 * 0.3)


def between(
    depth: float, speed: tuple[float, float, float], **setting: float
) -> tuple[np.ndarray, np.ndarray]:
    """Rows and nodes after a step of a node 20 m down between two wet elements of 10 m over a bed."""
    rows, nodes = np.zeros((2, m.ROW)), np.zeros((3, m.NODE))
    rows[:, m.WET] = 1.0
    rows[:, m.EX : m.EZ + 1] = (0.6, 0.0, 0.8), (0.8, 0.0, 0.6)
    one = element(MASS=14.0, ADDED=2.0, WEIGHT=120.0, IN_AIR=140.0, ACROSS=50.0, ALONG=20.0)
    nodes[1, m.Z], nodes[1, m.U : m.W + 1] = -20.0, speed
    m.free_node(SETTING._replace(depth=depth, **setting), rows, nodes, np.vstack([one, one]), 1, -1, H)
    return rows, nodes


def test_a_node_in_mid_water_is_dragged_across_and_along() -> None:
    """Morison's drag, quadratic across and along, on two halves; taken implicitly over the step."""
    speed, current = np.array([0.5, -0.2, 0.3]), np.array([0.1, 0.4, 0.0])
    _, nodes = between(100.0, tuple(speed), current_north=0.1, current_east=0.4, drag=1.3)
    along = np.array([1.4, 0.0, 1.4]) / math.hypot(1.4, 1.4)
    past = speed - current
    run = (past @ along) * along
    side = past - run
    across_drag, along_drag = 1.3 * 50.0 * np.linalg.norm(side), 1.3 * 20.0 * np.linalg.norm(run)
    push = -across_drag * side - along_drag * run - np.array([0.0, 0.0, 120.0])
    assert nodes[1, m.FREE : m.FREE + 3] == pytest.approx(H * push)
    stay, stay_along = 14.0 + 2.0 + H * across_drag, 14.0 + H * along_drag
    inverse = np.eye(3) / stay + (1 / stay_along - 1 / stay) * np.outer(along, along)
    for way in np.eye(3):
        assert m.yields(nodes, 1, *way) == pytest.approx(tuple(inverse @ way), abs=1e-12)
    assert nodes[1, m.BORNE] == nodes[1, m.STOP] == 0.0


def test_the_bottom_bears_a_node_that_sinks_into_it() -> None:
    """20 kN/m for each metre of rode (10 m here), with 0.02 s of damping (judgement), over a step.

    What has just come down is held to the sides as firmly.
    """
    _, nodes = between(19.99, (0.0, 0.0, -0.05))
    firm = 2e4 * 10.0
    assert nodes[1, m.BORNE] == pytest.approx(firm * (0.01 + (H + 0.02) * 0.05))
    assert nodes[1, m.STOP] == pytest.approx(firm * (0.02 + H))
    drag = 50.0 * 0.05 / math.sqrt(2)
    level, upright = 16.0 + H * drag + H * H * firm, 16.0 + H * drag + H * firm * (0.02 + H)
    along = np.array([1.0, 0.0, 1.0]) / math.sqrt(2)
    part = 14.0 + H * 20.0 * 0.05 / math.sqrt(2) - (16.0 + H * drag)
    matrix = np.diag([level, level, upright]) + part * np.outer(along, along)
    for way in np.eye(3):
        assert m.yields(nodes, 1, *way) == pytest.approx(
            tuple(np.linalg.inv(matrix) @ way), rel=1e-9, abs=1e-12
        )


def test_on_a_slope_what_the_bottom_bears_pushes_downhill() -> None:
    _, flat = between(19.9, (0.0, 0.0, 0.0))
    rows, nodes = np.zeros((2, m.ROW)), np.zeros((3, m.NODE))
    rows[:, m.WET], rows[:, m.EX] = 1.0, 1.0
    one = element(MASS=14.0, WEIGHT=120.0, IN_AIR=140.0)
    nodes[1, m.Z], nodes[1, m.BORNE] = -20.0, 500.0
    sloping = SETTING._replace(depth=19.9, friction=0.0, rise_north=0.1, rise_east=-0.2)
    m.free_node(sloping, rows, nodes, np.vstack([one, one]), 1, -1, H)
    assert nodes[1, m.FREE : m.FREE + 2] == pytest.approx((-H * 50.0, H * 100.0))
    assert nodes[1, m.BORNE] == flat[1, m.BORNE]


@pytest.mark.parametrize("about", [(0.0, 0.0), (-7.0, 3.0)])
@pytest.mark.parametrize(("place", "held"), [((0.02, 0.01), True), ((0.3, -0.4), False)])
def test_friction_gives_like_a_spring_and_slides_at_its_most(
    place: tuple[float, float], held: bool, about: tuple[float, float]
) -> None:
    """Coulomb's law, elastic and plastic: 2000 N/m up to 100 N, so 0.05 m about the place that holds it."""
    nodes = np.zeros((1, m.NODE))
    nodes[0, m.X], nodes[0, m.Y] = np.array(place) + about
    nodes[0, m.HELD_X : m.HELD_Y + 1] = about
    nodes[0, m.STOP] = 1.0
    x, y, less = m.rubs(nodes, 0, 100.0, 2000.0, H)
    far = math.hypot(*place)
    size = 2000.0 * min(far, 0.05)
    assert (x, y) == pytest.approx((-size * place[0] / far, -size * place[1] / far))
    assert less == pytest.approx(H * 2000.0)
    off = np.array(place) * (0.0 if held else 1 - 0.05 / far)
    assert nodes[0, m.HELD_X : m.HELD_Y + 1] == pytest.approx(off + about)


def test_friction_against_speed_is_no_more_than_its_most() -> None:
    nodes = np.zeros((1, m.NODE))
    nodes[0, m.U], nodes[0, m.V] = 3.0, -4.0
    x, y, less = m.rubs(nodes, 0, 100.0, 2000.0, H)
    assert (x, y) == pytest.approx((-60.0, 80.0))
    assert less == pytest.approx(100.0 / 5.0)  # H · 100 N over H · 5 m/s


def test_a_node_that_comes_down_is_held_where_it_is() -> None:
    nodes = np.zeros((1, m.NODE))
    nodes[0, m.X], nodes[0, m.Y] = 7.0, -3.0
    assert m.rubs(nodes, 0, 100.0, 2000.0, H)[:2] == pytest.approx((0.0, 0.0))
    assert nodes[0, m.HELD_X : m.HELD_Y + 1] == pytest.approx((7.0, -3.0))


# --- The anchor's end ---------------------------------------------------------------------------------------


def first(tension: float, way: tuple[float, float, float], wet: float = 1.0) -> np.ndarray:
    rows = np.zeros((1, m.ROW))
    rows[0, m.EX : m.EZ + 1], rows[0, m.TENSION], rows[0, m.WET] = way, tension, wet
    return rows


WEIGHS = element(WEIGHT=120.0, IN_AIR=140.0, MASS=14.0)


def test_the_pull_at_the_anchor_is_less_half_the_first_element() -> None:
    pull, lift, north, east = m.at_anchor(SETTING, first(1000.0, (0.48, -0.64, 0.6)), WEIGHS)
    assert pull == pytest.approx(math.hypot(800.0, 540.0))
    assert lift == pytest.approx(math.atan2(540.0, 800.0))
    assert (north, east) == pytest.approx((0.6, -0.8))
    dry = m.at_anchor(SETTING, first(1000.0, (0.48, -0.64, 0.6), 0.0), WEIGHS)
    assert dry[0] == pytest.approx(math.hypot(800.0, 530.0))


def test_what_does_not_lift_pulls_along_the_bottom() -> None:
    assert m.at_anchor(SETTING, first(100.0, (0.8, 0.0, 0.6)), WEIGHS)[:2] == pytest.approx((80.0, 0.0))


def test_lift_is_told_from_the_slope() -> None:
    """By the angle between the pull and a plane that rises 0.1 to the north and falls 0.2 to the east."""
    sloping = SETTING._replace(rise_north=0.1, rise_east=-0.2)
    pull, lift, _, _ = m.at_anchor(sloping, first(1000.0, (0.48, -0.64, 0.6)), WEIGHS)
    force, normal = np.array([480.0, -640.0, 540.0]), np.array([-0.1, 0.2, 1.0])
    assert lift == pytest.approx(math.asin(force @ normal / np.linalg.norm(normal) / np.linalg.norm(force)))
    assert pull == pytest.approx(np.linalg.norm(force))


@pytest.mark.parametrize("wet", [0.0, 1.0])
def test_the_tension_for_a_pull_is_its_inverse(wet: float) -> None:
    rows = first(1000.0, (0.48, -0.64, 0.6), wet)
    pull = m.at_anchor(SETTING, rows, WEIGHS)[0]
    assert m.tension_for(rows, WEIGHS, pull) == pytest.approx(1000.0)


@pytest.mark.parametrize(("right", "speed"), [(0.9, 0.0), (0.9, 0.3), (0.2, 0.05)])
def test_an_anchor_goes_by_what_pulls_it_more_than_it_stands(right: float, speed: float) -> None:
    """(M + m/2) dv = h e (T − standing), and the element grows the less by h e v: solved by hand."""
    rows = first(0.0, (0.8, 0.0, 0.6))
    rows[0, m.DIAGONAL], rows[0, m.RIGHT], rows[0, m.TAUT] = 1e-3, right, 1.0
    standing, way = 300.0, 0.8
    gain = H * way / (20.0 + 7.0)
    # 1e-3 T = right − h e v and v = speed + gain (T − standing)
    tension = (right - H * way * (speed - gain * standing)) / (1e-3 + H * way * gain)
    wanted = speed + gain * (tension - standing)
    found = m.give_way(SETTING, rows, WEIGHS, 1, False, H, standing, 1.0, 0.0, speed)
    if wanted > 0.0:
        assert found == pytest.approx(wanted)
        assert rows[0, m.TENSION] == pytest.approx(tension)
    else:
        assert found == 0.0
        assert rows[0, m.TENSION] == pytest.approx(right / 1e-3), "it holds again"


def test_the_nodes_go_on_under_their_tensions() -> None:
    """Between two elements a node is pulled up the one and down the other; the ends go by themselves."""
    rows, nodes = np.zeros((2, m.ROW)), np.zeros((3, m.NODE))
    rows[:, m.EX : m.EZ + 1], rows[:, m.TENSION] = ((0.6, 0.0, 0.8), (0.8, 0.6, 0.0)), (500.0, 700.0)
    nodes[:, m.LEVEL], nodes[:, m.UPRIGHT] = 0.05, 0.02
    nodes[:, m.U : m.W + 1], nodes[:, m.FREE : m.FREE + 3] = (1.0, 2.0, 3.0), (0.1, 0.2, 0.3)
    nodes[1, m.BORNE], nodes[1, m.STOP] = 10.0, 4.0
    m.move_on(rows, nodes, 2, False, H)
    push = H * (700.0 * np.array([0.8, 0.6, 0.0]) - 500.0 * np.array([0.6, 0.0, 0.8]))
    gain = push * (0.05, 0.05, 0.02) + (0.1, 0.2, 0.3)
    assert nodes[1, m.U : m.W + 1] == pytest.approx(np.array([1.0, 2.0, 3.0]) + gain)
    assert nodes[1, : m.Z + 1] == pytest.approx(H * (np.array([1.0, 2.0, 3.0]) + gain))
    assert nodes[1, m.BORNE] == pytest.approx(max(10.0 - 4.0 * gain[2], 0.0))
    for end in (0, 2):
        assert nodes[end, m.U : m.W + 1] == pytest.approx((1.1, 2.2, 3.3))
