"""The rode's step in any direction: nodes, a bridle's hook, the anchor on a slope, by NumPy."""

from __future__ import annotations

import math

import numpy as np
import pytest
from plain_kernels import plainly

from anchorsim.dynamics import line_motion as m
from anchorsim.dynamics.boat_motion import Setting
from anchorsim.mooring import line_mesh as of

H = 1 / 30  # s
SETTING = Setting(1.2, 1000.0, 0.1, -0.3, 10.0, 0.1, -0.2, 0.6, 1.5, 4.0, 1.3, 20.0)
PLACES, SPEEDS, FREE, LEANS = (slice(start, start + 3) for start in (m.X, m.U, m.FREE, m.LEANS))
WAYS = slice(m.EX, m.EZ + 1)
CHAIN = {"MASS": 14.0, "ADDED": 2.0, "WEIGHT": 120.0, "IN_AIR": 140.0, "ACROSS": 50.0, "ALONG": 20.0,
         "STIFFNESS": 5e4}  # fmt: skip


@pytest.fixture(autouse=True)
def plain(monkeypatch: pytest.MonkeyPatch) -> None:
    plainly(monkeypatch, m)


def chain(count: int, **columns: float) -> np.ndarray:
    """Elements of chain of 10 m, each a tenth heavier and more stiff than the last."""
    elements = np.zeros((count, of.COLUMNS))
    elements[:, of.LENGTH], elements[:, of.LAW], elements[:, of.SLACK] = 10.0, of.NO_LAW, math.inf
    for name, value in {**CHAIN, **columns}.items():
        elements[:, getattr(of, name)] = value * (1.0 + 0.1 * np.arange(count))
    return elements


def units(random: np.random.Generator, count: int) -> np.ndarray:
    ways = random.normal(size=(count, 3))
    return ways / np.linalg.norm(ways, axis=1, keepdims=True)


def masses(nodes: np.ndarray, k: int) -> np.ndarray:
    """The matrix whose inverse the kernel keeps of a node, from its own account of it: columns of yields."""
    return np.linalg.inv(np.column_stack([m.yields(nodes, k, *way) for way in np.eye(3)]))


def halves(elements: np.ndarray, rows: np.ndarray, beside: list[int]) -> dict[str, float]:
    """Half of each element about a node: what is dry neither drags nor takes water along."""
    wet = rows[beside, m.WET]
    half = 0.5 * elements[beside]
    return {
        "mass": half[:, of.MASS].sum(),
        "added": (wet * half[:, of.ADDED]).sum(),
        "across": 1.3 * (wet * half[:, of.ACROSS]).sum(),
        "along": 1.3 * (wet * half[:, of.ALONG]).sum(),
        "weight": (half[:, of.IN_AIR] + wet * (half[:, of.WEIGHT] - half[:, of.IN_AIR])).sum(),
        "length": half[:, of.LENGTH].sum(),
    }


def about_a_node(seed: int, hook: bool) -> tuple[np.ndarray, np.ndarray, np.ndarray, list[int]]:
    random = np.random.default_rng(seed)
    rows, nodes = np.zeros((3, m.ROW)), np.zeros((4, m.NODE))
    rows[:, WAYS], rows[:, m.WET] = units(random, 3), random.uniform(0.3, 1.0, 3)
    nodes[1, SPEEDS] = random.normal(0.0, 0.5, 3)
    return chain(3), rows, nodes, [0, 1, 2] if hook else [0, 1]


@pytest.mark.parametrize("hook", [False, True])
@pytest.mark.parametrize("seed", range(4))
def test_a_node_in_mid_water_is_moved_by_drag_and_weight_alone(seed: int, hook: bool) -> None:
    """Morison's drag across and along the mean direction, implicitly: M I + A P + h D for its masses."""
    elements, rows, nodes, beside = about_a_node(seed, hook)
    nodes[1, m.Z] = -3.0
    m.free_node(SETTING._replace(depth=500.0), rows, nodes, elements, 1, 2 if hook else -1, H)
    of_it = halves(elements, rows, beside)
    line = rows[beside, WAYS].sum(axis=0)
    line /= np.linalg.norm(line)
    past = nodes[1, SPEEDS] - (0.1, -0.3, 0.0)
    run = (past @ line) * line
    side = past - run
    across, along = of_it["across"] * np.linalg.norm(side), of_it["along"] * np.linalg.norm(run)
    push = -across * side - along * run - np.array([0.0, 0.0, of_it["weight"]])
    assert nodes[1, FREE] == pytest.approx(H * push)
    whole = (of_it["mass"] + of_it["added"] + H * across) * (np.eye(3) - np.outer(line, line))
    whole += (of_it["mass"] + H * along) * np.outer(line, line)
    assert masses(nodes, 1) == pytest.approx(whole)
    assert nodes[1, m.BORNE] == nodes[1, m.STOP] == 0.0


@pytest.mark.parametrize("hook", [False, True])
def test_a_taut_line_makes_its_nodes_heavy_enough_for_the_step(hook: bool) -> None:
    """A string's node swings at √(2 Σ T/L / m) at the most; across it has a mass of 2 h² Σ T/L or more."""
    elements, rows, nodes, beside = about_a_node(7, hook)
    nodes[1, SPEEDS], rows[:, m.STIFF] = (0.1, -0.3, 0.0), (9e3, 2e4, 5e3)
    m.free_node(SETTING._replace(depth=500.0), rows, nodes, elements, 1, 2 if hook else -1, H)
    found = np.sort(np.linalg.eigvalsh(masses(nodes, 1)))
    stay = 2.0 * H**2 * rows[beside, m.STIFF].sum()
    mass = halves(elements, rows, beside)["mass"]
    assert found == pytest.approx(np.sort([mass, stay, stay]))


@pytest.mark.parametrize("hook", [False, True])
@pytest.mark.parametrize("seed", range(3))
def test_a_node_on_a_slope_is_borne_and_rubbed(seed: int, hook: bool) -> None:
    """20 kN/m each metre of rode, damped by 0.02 s of that (judgements), over a step; friction as ``rubs``
    has it, on what the bottom bore before, which also pushes down the slope."""
    elements, rows, nodes, beside = about_a_node(seed, hook)
    nodes[1, PLACES], nodes[1, m.BORNE], nodes[1, m.STOP] = (2.0, -3.0, -9.25), 400.0, 1.0
    nodes[1, SPEEDS] *= 0.1
    nodes[1, m.HELD_X : m.HELD_Y + 1] = 1.9995, -2.9992
    u, v, w = nodes[1, SPEEDS]
    before = nodes.copy()
    m.free_node(SETTING, rows, nodes, elements, 1, 2 if hook else -1, H)
    of_it = halves(elements, rows, beside)
    line = rows[beside, WAYS].sum(axis=0)
    line /= np.linalg.norm(line)
    past = np.array([u - 0.1, v + 0.3, w])
    run = (past @ line) * line
    side = past - run
    across, along = of_it["across"] * np.linalg.norm(side), of_it["along"] * np.linalg.norm(run)
    firm = 2e4 * of_it["length"]
    deep = -10.0 + 0.1 * (2.0 + H * u) - 0.2 * (-3.0 + H * v) + 9.25
    assert deep > 0.04
    north, east, less = m.rubs(before, 1, 0.6 * 400.0, firm, H)
    borne, stop = firm * (deep - (H + 0.02) * w), firm * (H + 0.02)
    push = -across * side - along * run + (north - 40.0, east + 80.0, borne - of_it["weight"])
    assert nodes[1, FREE] == pytest.approx(H * push)
    assert (nodes[1, m.BORNE], nodes[1, m.STOP]) == pytest.approx((borne, stop))
    whole = (of_it["mass"] + of_it["added"] + H * across) * (np.eye(3) - np.outer(line, line))
    whole += (of_it["mass"] + H * along) * np.outer(line, line) + H * np.diag([less, less, stop])
    assert masses(nodes, 1) == pytest.approx(whole, rel=1e-6)


@pytest.mark.parametrize(("lift", "lies"), [(0.0, True), (900.0, False)])
def test_what_the_line_lifts_is_not_borne(lift: float, lies: bool) -> None:
    """At rest a hair's breadth down; the elements' pull upwards is more than its weight, or none."""
    elements, rows, nodes = chain(2), np.zeros((2, m.ROW)), np.zeros((3, m.NODE))
    rows[:, WAYS], rows[:, m.WET], rows[1, m.TENSION] = (0.0, 0.6, 0.8), 1.0, lift / 0.8
    nodes[1, PLACES] = 0.0, 0.0, -10.001
    m.free_node(SETTING, rows, nodes, elements, 1, -1, H)
    assert (nodes[1, m.BORNE] > 0.0) == lies
    rows[0, m.TENSION] = lift / 0.8  # as much downwards
    m.free_node(SETTING, rows, nodes, elements, 1, -1, H)
    assert nodes[1, m.BORNE] > 0.0


# --- The whole system ---------------------------------------------------------------------------------------


@pytest.mark.parametrize("bridle", [False, True])
@pytest.mark.parametrize("seed", range(3))
def test_a_step_is_that_of_all_nodes_and_tensions_together(seed: int, bridle: bool) -> None:
    """M Δv = h Gᵀ T + M Δv₀ and C T = ΔL + h G v, one dense system for all elements, solved by NumPy.

    C and what stands beside it are those of chain, two thirds of L/EA and of the stretch where the old speeds
    lead, and a third of what it grows in a step; taut throughout.
    """
    random, count = np.random.default_rng(seed), 4
    last, extra = count - 1, 1 if bridle else 0
    elements = chain(count + extra, STIFFNESS=3e3)
    elements[:, of.LENGTH] = 9.0
    nodes = np.zeros((count + 1 + extra, m.NODE))
    nodes[: count + 1, PLACES] = np.cumsum(
        random.uniform(6.0, 8.0, (count + 1, 3)) * (1.0, -1.0, 1.0), axis=0
    )
    nodes[:, m.Z] -= 80.0
    if bridle:
        nodes[-1, PLACES] = nodes[last, PLACES] + (9.0, -3.0, 10.0)
    nodes[:, SPEEDS] = random.normal(0.0, 0.1, (len(nodes), 3))
    ends = [0, count, count + 1] if bridle else [0, count]
    nodes[ends, FREE] = random.normal(0.0, 0.05, (len(ends), 3))
    rows = np.zeros((count + extra, m.ROW))
    rows[:, m.TAUT], rows[:, m.TENSION] = 1.0, 300.0
    pairs = [(k, k + 1) for k in range(count)] + ([(last, count + 1)] if bridle else [])
    before = nodes.copy()
    far_down = SETTING._replace(depth=500.0)
    m.set_up(far_down, rows, nodes, elements, np.zeros((1, 2)), count, bridle, H)
    m.pull_taut(rows, count, bridle)
    m.move_on(rows, nodes, count, bridle, H)

    alone = before.copy()  # what each node does with no tension in the end
    alone_rows = rows.copy()
    for k in range(1, count):
        alone_rows[:, m.TENSION] = 300.0
        m.free_node(far_down, alone_rows, alone, elements, k, count if bridle and k == last else -1, H)
    weights = np.zeros((3 * len(nodes), 3 * len(nodes)))  # inverse masses; nothing at the ends
    gain = before[:, FREE].copy()
    for k in range(1, count):
        inverse = np.linalg.inv(masses(alone, k))
        weights[3 * k : 3 * k + 3, 3 * k : 3 * k + 3] = inverse
        gain[k] = inverse @ alone[k, FREE]
    grows = np.zeros((len(rows), 3 * len(nodes)))
    stretch = np.zeros(len(rows))
    for k, (low, up) in enumerate(pairs):
        way = before[up, PLACES] - before[low, PLACES] + H * (before[up, SPEEDS] - before[low, SPEEDS])
        far = float(np.linalg.norm(way))
        grows[k, 3 * up : 3 * up + 3], grows[k, 3 * low : 3 * low + 3] = way / far, -way / far
        stretch[k] = far - 9.0
    rate = grows @ before[:, SPEEDS].ravel()
    own = 2 / 3 / (3e3 * (1.0 + 0.1 * np.arange(len(rows))))
    right = 2 / 3 * stretch + H / 3 * rate + H * grows @ gain.ravel()
    tension = np.linalg.solve(np.diag(own) + H**2 * grows @ weights @ grows.T, right)
    assert (tension > 0.0).all()
    assert rows[:, m.TENSION] == pytest.approx(tension, rel=1e-6)
    speeds = before[:, SPEEDS].ravel() + gain.ravel() - H * weights @ grows.T @ tension
    assert nodes[:, SPEEDS].ravel() == pytest.approx(speeds, rel=1e-6, abs=1e-9)
    assert nodes[:, PLACES].ravel() == pytest.approx(before[:, PLACES].ravel() + H * speeds)


# --- The anchor ---------------------------------------------------------------------------------------------


def first(random: np.random.Generator, tension: float) -> np.ndarray:
    rows = np.zeros((1, m.ROW))
    rows[0, WAYS], rows[0, m.TENSION], rows[0, m.WET] = (0.48, -0.64, 0.6), tension, random.uniform(0.1, 0.9)
    return rows


@pytest.mark.parametrize("tension", [60.0, 90.0, 2000.0])
@pytest.mark.parametrize("way", [(0.48, -0.64, 0.6), (-0.36, 0.48, 0.8), (0.8, 0.59, -0.1)])
def test_lift_is_the_angle_to_the_plane(tension: float, way: tuple[float, float, float]) -> None:
    rows, elements = first(np.random.default_rng(1), tension), chain(1)
    rows[0, WAYS] = way
    weight = 70.0 - 10.0 * rows[0, m.WET]
    force = tension * np.array(way) - (0.0, 0.0, weight)
    normal = np.array([-0.1, 0.2, 1.0]) / math.sqrt(1.05)
    pull, lift, north, east = m.at_anchor(SETTING, rows, elements)
    level = float(np.hypot(*force[:2]))
    assert (north, east) == pytest.approx(tuple(force[:2] / level))
    if force @ normal > 0.0:
        assert pull == pytest.approx(np.linalg.norm(force))
        assert lift == pytest.approx(math.asin(force @ normal / pull))
    else:
        assert (pull, lift) == (pytest.approx(level), 0.0)


@pytest.mark.parametrize(("north", "east"), [(0.6, -0.8), (-1.0, 0.0)])
def test_an_anchor_goes_along_the_slope(north: float, east: float) -> None:
    """Its way along the element is e · (n, e, rise), a fifth at the least; by hand as on the level."""
    elements = chain(1)
    rows = first(np.random.default_rng(2), 0.0)
    rows[0, m.DIAGONAL], rows[0, m.RIGHT], rows[0, m.TAUT] = 1e-3, 0.9, 1.0
    way = max(rows[0, WAYS] @ (north, east, 0.1 * north - 0.2 * east), 0.2)
    gain = H * way / (20.0 + 7.0)
    tension = (0.9 - H * way * (0.1 - gain * 300.0)) / (1e-3 + H * way * gain)
    found = m.give_way(SETTING, rows, elements, 1, False, H, 300.0, north, east, 0.1)
    assert found == pytest.approx(0.1 + gain * (tension - 300.0)) and found > 0.1
    assert rows[0, m.TENSION] == pytest.approx(tension)


def test_an_anchor_that_stops_leaves_the_system_as_it_was() -> None:
    """Two elements: by hand the anchor would go back, so that both tensions are those of an end held."""
    elements, rows = chain(2), np.zeros((2, m.ROW))
    rows[:, WAYS], rows[:, m.TAUT] = (1.0, 0.0, 0.0), 1.0
    rows[:, m.DIAGONAL], rows[:, m.RIGHT], rows[1, m.BEFORE] = (1e-3, 2e-3), (0.2, 0.3), -4e-4
    held = np.linalg.solve([[1e-3, -4e-4], [-4e-4, 2e-3]], [0.2, 0.3])
    assert m.give_way(SETTING, rows, elements, 2, False, H, 900.0, 1.0, 0.0, 0.01) == 0.0
    assert rows[:, m.TENSION] == pytest.approx(held)
    assert (rows[0, m.DIAGONAL], rows[0, m.RIGHT]) == (1e-3, 0.2)


def test_a_hook_is_pulled_by_both_legs_and_by_the_trunk() -> None:
    """The strong points go as they are given; the hook yields to three pulls, here with one mass all ways."""
    rows, nodes = np.zeros((3, m.ROW)), np.zeros((4, m.NODE))
    rows[:, WAYS] = (0.6, 0.0, 0.8), (0.8, 0.6, 0.0), (0.0, -0.6, 0.8)
    rows[:, m.TENSION] = 500.0, 300.0, 400.0
    nodes[:, m.LEVEL], nodes[:, m.UPRIGHT], nodes[:, FREE] = 0.05, 0.05, (0.1, 0.2, 0.3)
    nodes[1, m.BORNE], nodes[1, m.STOP] = 50.0, 4.0
    m.move_on(rows, nodes, 2, True, H)
    push = rows[1:, m.TENSION] @ rows[1:, WAYS] - 500.0 * rows[0, WAYS]
    gain = 0.05 * H * push + (0.1, 0.2, 0.3)
    assert nodes[1, SPEEDS] == pytest.approx(gain)
    assert nodes[1, m.BORNE] == pytest.approx(50.0 - 4.0 * gain[2])
    for end in (0, 2, 3):
        assert nodes[end, SPEEDS] == pytest.approx((0.1, 0.2, 0.3))
        assert nodes[end, PLACES] == pytest.approx(H * np.array([0.1, 0.2, 0.3]))
