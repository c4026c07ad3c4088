"""The fine line's step in any direction: random places, speeds and slopes, by NumPy's vectors."""

from __future__ import annotations

import math

import numpy as np
import pytest
from plain_kernels import plainly

from anchorsim.dynamics import anchor_kernel, lumped_line
from anchorsim.dynamics.boat_motion import Setting
from anchorsim.dynamics.lumped_line import Line
from anchorsim.mooring import line_mesh as of
from anchorsim.mooring.line_mesh import Mesh
from anchorsim.scenario.site import Ground

m = lumped_line
PLACES, SPEEDS, FORCES, WAYS = (slice(start, start + 3) for start in (m.X, m.TO_X, m.FORCE, m.WAY))
SETTING = Setting(1.2, 1000.0, 0.1, -0.3, 10.0, 0.1, -0.2, 0.6, 1.5, 4.0, 1.0, 20.0)
NORMAL = np.array([-0.1, 0.2, 1.0]) / math.sqrt(
    1.05
)  # of a bottom that rises 0.1 to the north, falls 0.2 east
BY_LIFT = np.array([[0.0, 1.0], [0.5, 0.8], [1.5, 0.2]])  # rad, share of the holding
GROUND = Ground(holding=800.0, broken_share=0.5, set_share=1.0, dig_in=4.0)
STEP = 0.01  # s


@pytest.fixture(autouse=True)
def plain(monkeypatch: pytest.MonkeyPatch) -> None:
    plainly(monkeypatch, anchor_kernel, lumped_line)


def mesh(count: int, bridle: bool = False, **columns: float) -> Mesh:
    elements = np.zeros((count, of.COLUMNS))
    elements[:, of.LENGTH], elements[:, of.LAW], elements[:, of.SLACK] = 10.0, of.NO_LAW, math.inf
    for name, value in columns.items():
        elements[:, getattr(of, name)] = value
    return Mesh(elements, np.zeros((1, 4)), bridle)


CHAIN = {"STIFFNESS": 2e3, "MASS": 14.0, "WEIGHT": 120.0, "IN_AIR": 140.0, "ADDED": 2.0, "ACROSS": 50.0,
         "ALONG": 20.0}  # fmt: skip


def pieces(bridle: bool) -> list[tuple[int, int]]:
    """The nodes at the ends of four elements, the last two of which are a bridle's legs from node 2."""
    return [(0, 1), (1, 2), (2, 3), (2, 4) if bridle else (3, 4)]


@pytest.mark.parametrize("seed", range(3))
@pytest.mark.parametrize("bridle", [False, True])
def test_each_element_pulls_its_ends_together_and_weighs_on_them_half(bridle: bool, seed: int) -> None:
    """k ΔL and a fifth of critical damping; half its weight and drag at each end, as wet as that is."""
    random, given = np.random.default_rng(seed), mesh(4, bridle, **CHAIN, LENGTH=8.0)
    nodes, bonds = random.normal(size=(5, m.NODE)), np.zeros((4, m.BOND))
    nodes[:, PLACES] = np.cumsum(random.uniform(5.0, 7.0, (5, 3)) * (1.0, -1.0, 0.6), axis=0) - (
        0.0,
        0.0,
        10.0,
    )
    nodes[:, SPEEDS] = random.normal(0.0, 0.05, (5, 3))
    m.gather(given, 1.5, nodes, bonds)
    forces, ways, wets = np.zeros((5, 3)), np.zeros((5, 3)), np.zeros((5, 3))
    for k, (low, up) in enumerate(pieces(bridle)):
        way = nodes[up, PLACES] - nodes[low, PLACES]
        far = float(np.linalg.norm(way))
        rate = float(way @ (nodes[up, SPEEDS] - nodes[low, SPEEDS])) / far
        load = max(2e3 * (far - 8.0) + 0.2 * math.sqrt(2e3 * 14.0) * rate, 0.0) if far > 8.0 else 0.0
        assert bonds[k, m.UNIT : m.UNIT + 3] == pytest.approx(way / far)
        assert bonds[k, [m.TENSION, m.LOSSES, m.RATE]] == pytest.approx((load, 0.0, rate / 8.0))
        # of each half, by many slices of it
        share = (np.arange(2000) + 0.5) / 4000
        for node, sign, part in ((low, 1.0, share), (up, -1.0, 1.0 - share)):
            wet = 0.5 * float(np.mean(nodes[low, m.Z] + part * way[2] < 0.0))
            forces[node] += sign * load * way / far - (0.0, 0.0, 70.0 - 20.0 * wet)
            ways[node] += way / far
            wets[node] += wet * np.array([2.0, 75.0, 30.0])
    assert (bonds[:, m.TENSION] > 0.0).any()
    assert nodes[:, FORCES] == pytest.approx(forces, abs=0.02)
    assert nodes[:, WAYS] == pytest.approx(ways)
    assert nodes[:, [m.WET_ADDED, m.WET_ACROSS, m.WET_ALONG]] == pytest.approx(wets, abs=0.1)
    assert wets[0, 0] == 1.0 and wets[-1, 0] == 0.0, "the upper end is out of the water"


@pytest.mark.parametrize("fast", [0.05, 2.0])
@pytest.mark.parametrize("seed", range(3))
def test_the_bottom_s_friction_holds_or_slides_on_any_slope(seed: int, fast: float) -> None:
    """A spring of 20 kN/m each metre, half critically damped (judgements); Coulomb: 0.6 of the push."""
    random = np.random.default_rng(seed)
    node = np.zeros(m.NODE)
    node[m.OWN], node[m.REACH] = 14.0, 0.05
    node[PLACES] = (3.0, -4.0, -10.0 + 0.3 + 0.8 - 0.2)  # 0.2 m under the plane
    node[SPEEDS] = speed = fast * random.normal(size=3)
    before = np.cross(NORMAL, random.normal(size=3)) * 0.01
    node[m.STUCK : m.STUCK + 3] = before
    m.bear(SETTING, node, STEP)
    stiff = 2e4 * 0.05
    damped = math.sqrt(stiff * 14.0)
    push = max(stiff * 0.2 * NORMAL[2] - damped * speed @ NORMAL, 0.0)
    slide = speed - (speed @ NORMAL) * NORMAL
    rub = -stiff * (before + STEP * slide) - damped * slide
    share = min(1.0, 0.6 * push / float(np.linalg.norm(rub)))
    assert node[FORCES] == pytest.approx(push * NORMAL + share * rub)
    strained = before + STEP * slide if share == 1.0 else -share * rub / stiff
    assert node[m.STUCK : m.STUCK + 3] == pytest.approx(strained)


def test_the_bottom_lets_go_of_all_that_it_held() -> None:
    node = np.full(m.NODE, 0.5)
    node[PLACES], node[FORCES] = (0.0, 0.0, -9.99), (1.0, 2.0, 3.0)
    m.bear(SETTING, node, STEP)
    assert node[m.STUCK : m.STUCK + 3].tolist() == [0.0, 0.0, 0.0]
    assert node[FORCES].tolist() == [1.0, 2.0, 3.0]


@pytest.mark.parametrize("up", [-300.0, -40.0, 150.0, 700.0])
@pytest.mark.parametrize("seed", range(4))
def test_an_anchor_is_hauled_along_the_bottom_whichever_way_it_slopes(seed: int, up: float) -> None:
    """What presses takes friction off the pull, what lifts adds to the load; the rest hastens
    30 kg of anchor and 7 kg of chain, less what the anchor stands at that lift."""
    random = np.random.default_rng(seed)
    nodes = np.zeros((2, m.NODE))
    going = np.cross(NORMAL, random.normal(size=3))
    nodes[0, SPEEDS], nodes[0, m.OWN], nodes[0, m.LATE] = going, 7.0, 0.4
    pull = np.array([*random.normal(0.0, 500.0, 2), up])
    found = m.haul_anchor(Line(mesh(1), 0, 30.0), SETTING, GROUND, BY_LIFT, nodes, *pull, 0.8, STEP)
    lifting = float(pull @ NORMAL)
    along = pull - lifting * NORMAL
    size = float(np.linalg.norm(along))
    left = max(size - 0.6 * max(-lifting, 0.0), 0.0)
    lift = math.atan2(max(lifting, 0.0), left if lifting <= 0.0 else size)
    stands = 800.0 * (0.5 + 0.5 * 0.8) * float(np.interp(lift, *BY_LIFT.T))
    speed = going + STEP * left / size * along / 37.0
    fast = float(np.linalg.norm(speed))
    after = max(fast - STEP * stands / 37.0, 0.0)
    assert nodes[0, SPEEDS] == pytest.approx(speed * after / fast)
    late = 0.4 + STEP / (STEP + 1.0) * (after - 0.4)
    assert nodes[0, m.LATE] == pytest.approx(late)
    assert found[1] == pytest.approx(math.hypot(left, max(lifting, 0.0)))
    assert found[2] == pytest.approx(lift if lifting > 0.0 else 0.0)
    assert found[0] == pytest.approx(anchor_kernel.dig(GROUND, 0.8, STEP * after, found[2], late))


def test_an_anchor_that_nothing_pulls_stays() -> None:
    nodes = np.zeros((2, m.NODE))
    flat = SETTING._replace(rise_north=0.0, rise_east=0.0)
    line = Line(mesh(1), 0, 30.0)
    assert m.haul_anchor(line, flat, GROUND, BY_LIFT, nodes, 0.0, 0.0, -5.0, 0.7, STEP) == (0.7, 0.0, 0.0)
    assert m.haul_anchor(line, flat, GROUND, BY_LIFT, nodes, 0.0, 0.0, 90.0, 0.7, STEP)[1:] == pytest.approx(
        (90.0, 0.5 * math.pi)
    )
    assert not nodes[0, SPEEDS].any()


@pytest.mark.parametrize("seed", range(3))
def test_a_bridle_s_legs_lose_through_their_hook(seed: int) -> None:
    """The dense system of ``test_full_line_loss`` for two legs that begin at one node and end held."""
    random = np.random.default_rng(seed)
    given = mesh(4, True)
    nodes, bonds = np.zeros((5, m.NODE)), np.zeros((4, m.BOND))
    way, speed = random.normal(size=3), random.normal(0.0, 0.3, (5, 3))
    way /= np.linalg.norm(way)
    nodes[2, WAYS], nodes[2, m.FREE], nodes[2, m.MORE] = way, 0.2, 0.1
    nodes[:, SPEEDS] = speed
    units = random.normal(size=(4, 3))
    bonds[:, :3] = units = units / np.linalg.norm(units, axis=1, keepdims=True)
    bonds[2:, m.LOSSES], bonds[:, m.TENSION] = (40.0, 60.0), 500.0
    m.lose(Line(given, 2, 30.0), nodes, bonds, STEP)
    gives = 0.2 * np.eye(3) + 0.1 * np.outer(way, way)
    acts = STEP * units[2:] @ gives @ units[2:].T
    stretches = np.einsum("ij,ij->i", units[2:], speed[3:] - speed[2])
    dashpots = np.diag(bonds[2:, m.FACTOR])
    lost = np.linalg.solve(np.eye(2) + dashpots @ acts, dashpots @ stretches)
    assert bonds[2:, m.LOST] == pytest.approx(np.clip(lost, (-40.0, -60.0), (40.0, 60.0)))
    rate = (stretches - acts @ lost) / 10.0
    assert bonds[2:, m.FACTOR] == pytest.approx(
        np.array([40.0, 60.0]) / (10.0 * np.sqrt(rate**2 + 0.01**2)), rel=0.05
    )
    assert bonds[:, m.TENSION] == pytest.approx((500.0, 500.0, *(500.0 + bonds[2:, m.LOST])))
    push = STEP * bonds[2:, m.LOST] @ units[2:]
    assert nodes[2, SPEEDS] - speed[2] == pytest.approx(gives @ push)
    assert nodes[[0, 1, 3, 4], SPEEDS] == pytest.approx(speed[[0, 1, 3, 4]])


# --- A whole step -------------------------------------------------------------------------------------------


@pytest.mark.parametrize("bridle", [False, True])
def test_what_hangs_free_in_air_falls_as_galileo_has_it(bridle: bool) -> None:
    """Slack and above the water: g dt of speed, and the place by the new speed; the bow's nodes are held."""
    nodes, bonds = np.zeros((5, m.NODE)), np.zeros((4, m.BOND))
    nodes[:, PLACES] = [[n, -0.5 * n, 2.0 + n] for n in range(5)]
    nodes[:, SPEEDS] = speed = np.array([[0.0] * 3, [1.0, 2.0, 3.0], [-1.0, 0.5, 0.2], [0.3] * 3, [0.4] * 3])
    given, flat = mesh(4, bridle, IN_AIR=140.0, WEIGHT=120.0), SETTING._replace(rise_north=0.0, rise_east=0.0)
    nodes[:, m.OWN] = 14.0
    before = nodes.copy()
    m.gather(given, 1.0, nodes, bonds)
    dug, felt = m.advance(Line(given, 0, 30.0), flat, GROUND, BY_LIFT, nodes, bonds, 0.7, 0.0, STEP)
    free = (1, 2) if bridle else (1, 2, 3)
    for node in free:
        halves = 3 if bridle and node == 2 else 2
        after = speed[node] - (0.0, 0.0, STEP * halves * 70.0 / 14.0)
        assert nodes[node, SPEEDS] == pytest.approx(after)
        assert nodes[node, PLACES] == pytest.approx(before[node, PLACES] + STEP * after)
    for node in set(range(5)) - {*free}:
        assert nodes[node, PLACES] == pytest.approx(before[node, PLACES])
        assert nodes[node, SPEEDS] == pytest.approx(before[node, SPEEDS])
    assert dug == 0.7 and felt.at_anchor == felt.uplift == 0.0
    assert felt.at_bow == pytest.approx(140.0 if bridle else 70.0), "half of each last element's weight"


def test_calm_takes_the_same_share_of_every_speed() -> None:
    """dv/dt = −c v: 5 % of it in 0.01 s at 5/s; weightless and slack, in air."""
    nodes, bonds = np.zeros((3, m.NODE)), np.zeros((2, m.BOND))
    nodes[:, PLACES], nodes[:, m.OWN] = [[0.0, 0.0, 1.0], [1.0, 2.0, 3.0], [2.0, 1.0, 4.0]], 14.0
    nodes[1, SPEEDS] = 0.4, -0.8, 1.2
    given = mesh(2)
    m.gather(given, 1.0, nodes, bonds)
    m.advance(Line(given, 0, 30.0), SETTING, GROUND, BY_LIFT, nodes, bonds, 1.0, 5.0, STEP)
    assert nodes[1, SPEEDS] == pytest.approx((0.38, -0.76, 1.14))
    assert nodes[1, WAYS] @ nodes[1, WAYS] == pytest.approx(1.0), "the line's direction there, of length one"


def test_a_rope_s_loss_counts_in_the_step_and_in_the_loads() -> None:
    """Lengthening fast it pulls by 1 + κ, shortening fast by 1 − κ: the node between feels no other force."""
    for sign in (1.0, -1.0):
        given = mesh(2, LAW=0.0, STRAIN=0.1, LOSS=0.25)
        given = given._replace(laws=np.array([[0.0, 1000.0, 2000.0, 3000.0]]))
        nodes, bonds = np.zeros((3, m.NODE)), np.zeros((2, m.BOND))
        nodes[:, PLACES], nodes[:, m.OWN] = [[0.0, 0.0, 1.0], [11.0, 0.0, 1.0], [22.0, 0.0, 1.0]], 1e9
        nodes[:, m.TO_X] = 0.0, 5.0 * sign, 10.0 * sign
        m.gather(given, 1.0, nodes, bonds)
        _, felt = m.advance(Line(given, 2, 30.0), SETTING, GROUND, BY_LIFT, nodes, bonds, 1.0, 0.0, STEP)
        assert felt.at_bow == pytest.approx(1000.0 * (1.0 + 0.25 * sign), rel=1e-3)
        assert bonds[:, m.TENSION] == pytest.approx([1000.0 * (1.0 + 0.25 * sign)] * 2, rel=1e-3)


def test_what_lies_is_moved_by_what_the_bottom_does() -> None:
    """A weightless node half strained to the sides, by the spring and damper of :func:`bear` alone."""
    nodes, bonds = np.zeros((3, m.NODE)), np.zeros((2, m.BOND))
    nodes[:, PLACES], nodes[:, m.OWN] = [[0.0, 0.0, -10.0], [1.0, 2.0, -10.5], [2.0, 1.0, 4.0]], 14.0
    nodes[1, m.STUCK : m.STUCK + 3], nodes[1, m.REACH] = (0.02, -0.01, 0.0), 0.05
    nodes[1, SPEEDS] = 0.1, 0.2, -0.05
    setting = SETTING._replace(rise_north=0.0, rise_east=0.0)
    given, alone = mesh(2), nodes[1].copy()
    m.bear(setting, alone, STEP)
    assert abs(alone[m.STUCK]) > 0.01
    m.gather(given, 1.0, nodes, bonds)
    before = nodes[1].copy()
    m.advance(Line(given, 0, 30.0), setting, GROUND, BY_LIFT, nodes, bonds, 1.0, 0.0, STEP)
    speed = before[SPEEDS] + STEP * alone[FORCES] / 14.0
    assert nodes[1, SPEEDS] == pytest.approx(speed)
    assert nodes[1, PLACES] == pytest.approx(before[PLACES] + STEP * speed)
