"""What ropes of the fine line lose in a step, against a dense system; and how a bridle's legs are laid."""

from __future__ import annotations

import math

import numpy as np
import pytest
from plain_kernels import plainly

from anchorsim.dynamics import full_line, lumped_line
from anchorsim.dynamics.lumped_line import Line
from anchorsim.mooring import line_mesh as of
from anchorsim.mooring.line_mesh import Mesh
from anchorsim.mooring.rode import assemble
from anchorsim.scenario.scenario import Scenario

m, STEP = lumped_line, 0.002  # s, about as long as such a line takes


@pytest.fixture(autouse=True)
def plain(monkeypatch: pytest.MonkeyPatch) -> None:
    plainly(monkeypatch, lumped_line)


@pytest.mark.parametrize("seed", range(4))
def test_ropes_in_a_row_lose_as_a_dense_system_says(seed: int) -> None:
    """(1 + F A) lost = F s: F the dashpots, s how fast each stretches, A what a loss does to that (1/kg · s).

    F is LOSSES/(L √(ε̇² + ε̇₀²)), ε̇₀ a hundredth a second (judgement), found by three rounds from the rate
    before; so fast a rate is found by then to some per cent.
    """
    random, count = np.random.default_rng(seed), 4
    elements = np.zeros((count, of.COLUMNS))
    elements[:, of.LENGTH] = 5.0
    nodes, bonds = np.zeros((count + 1, m.NODE)), np.zeros((count, m.BOND))
    ways = random.normal(size=(count + 1, 3))
    nodes[:, m.WAY : m.WAY + 3] = ways / np.linalg.norm(ways, axis=1, keepdims=True)
    nodes[1:-1, m.FREE], nodes[1:-1, m.MORE] = random.uniform(0.1, 0.3, (2, count - 1))
    nodes[:, m.TO_X : m.TO_Z + 1] = before = random.normal(0.0, 0.3, (count + 1, 3))
    units = random.normal(size=(count, 3))
    bonds[:, :3] = units = units / np.linalg.norm(units, axis=1, keepdims=True)
    bonds[:, m.LOSSES], bonds[:, m.TENSION] = random.uniform(20.0, 60.0, count), 500.0
    losses = bonds[:, m.LOSSES].copy()
    m.lose(Line(Mesh(elements, np.zeros((1, 2)), False), count, 30.0), nodes, bonds, STEP)

    gives = [row[m.FREE] * np.eye(3) + row[m.MORE] * np.outer(t, t)
             for row, t in zip(nodes, nodes[:, m.WAY : m.WAY + 3], strict=True)]  # fmt: skip
    acts = np.zeros((count, count))
    for k in range(count):
        acts[k, k] = STEP * units[k] @ (gives[k] + gives[k + 1]) @ units[k]
    for k in range(count - 1):
        acts[k, k + 1] = acts[k + 1, k] = -STEP * units[k] @ gives[k + 1] @ units[k + 1]
    stretches = np.einsum("ij,ij->i", units, np.diff(before, axis=0))
    dashpots = np.diag(bonds[:, m.FACTOR])
    lost = np.linalg.solve(np.eye(count) + dashpots @ acts, dashpots @ stretches)
    assert bonds[:, m.LOST] == pytest.approx(np.clip(lost, -losses, losses))
    rate = (stretches - acts @ lost) / 5.0
    assert bonds[:, m.FACTOR] == pytest.approx(losses / (5.0 * np.sqrt(rate**2 + 0.01**2)), rel=0.05)
    assert bonds[:, m.TENSION] == pytest.approx(500.0 + bonds[:, m.LOST])
    for node in range(count + 1):
        push = np.zeros(3)
        if node < count:
            push += STEP * bonds[node, m.LOST] * units[node]
        if node > 0:
            push -= STEP * bonds[node - 1, m.LOST] * units[node - 1]
        assert nodes[node, m.TO_X : m.TO_Z + 1] - before[node] == pytest.approx(gives[node] @ push)


@pytest.mark.parametrize("bearing", [0.0, 0.7, 4.0])
def test_a_bridle_s_legs_are_laid_alike_on_both_sides(bearing: float) -> None:
    """Turned back by the bearing, they mirror each other and end half the spread off the middle."""
    rode = assemble(Scenario().vary({"boat.model": "catamaran-12", "tackle.snubber.legs": 2}))
    whole = full_line.mesh_of(rode)
    nodes = full_line.lay(rode, whole.mesh, 2000.0, bearing, 0.0)
    c, s = math.cos(bearing), math.sin(bearing)
    out, aside = nodes[:, 0] * c + nodes[:, 1] * s, nodes[:, 1] * c - nodes[:, 0] * s
    trunk = len(whole.mesh.elements) - 2
    assert aside[: trunk + 1] == pytest.approx(np.zeros(trunk + 1), abs=1e-9)
    assert aside[-2:] == pytest.approx((0.5 * rode.spread, -0.5 * rode.spread))
    assert out[-1] == pytest.approx(out[-2]) and nodes[-1, 2] == pytest.approx(nodes[-2, 2])
    assert nodes[-1, 2] == pytest.approx(rode.rise - rode.depth, abs=1e-6)
