"""A rode cut into elements: each column by hand."""

from __future__ import annotations

import math

import numpy as np
import pytest

from anchorsim.mooring import line_mesh
from anchorsim.mooring.line_mesh import NO_LAW, mesh
from anchorsim.mooring.statics import LoadElongation, Segment

G, WATER = 9.80665, 1025.0  # m/s², CGPM 1901; kg/m³, the usual sea water
CHAIN = Segment(
    length=40.0, weight=12.0, weight_in_air=14.0, stiffness=5e6, drag_across=0.02, drag_along=0.01
)
STRAIGHT = LoadElongation(load=(0.0, 8e3), strain=(0.0, 0.4), loss=0.4)  # 20 kN for all of its length more
ROPE = Segment(length=12.0, weight=2.0, weight_in_air=3.0, law=STRAIGHT, slack=3.0, backup_stiffness=6e6)


def test_an_element_of_chain_by_hand() -> None:
    found = mesh((CHAIN,), (8,), False)
    assert found.elements.shape == (8, line_mesh.COLUMNS) and not found.bridle
    assert (found.elements == found.elements[0]).all()
    wanted = {
        "LENGTH": 5.0,
        "MASS": 14.0 * 5.0 / G,
        "ADDED": 2.0 * 5.0 / G,  # the mass of the water that it displaces
        "WEIGHT": 60.0,
        "IN_AIR": 70.0,
        "STIFFNESS": 5e6 / 5.0,
        "LAW": NO_LAW,
        "SLACK": math.inf,
        "BACKUP": 0.0,
        "ACROSS": 0.5 * WATER * 0.02 * 5.0,
        "ALONG": 0.5 * WATER * 0.01 * 5.0,
    }
    for name, value in wanted.items():
        assert found.elements[0, getattr(line_mesh, name)] == pytest.approx(value, rel=1e-12), name


def test_what_weighs_the_same_in_air_displaces_nothing() -> None:
    [row] = mesh((Segment(length=4.0, weight=5.0, stiffness=1e6),), (1,), False).elements
    assert row[line_mesh.IN_AIR] == row[line_mesh.WEIGHT] == 20.0
    assert row[line_mesh.ADDED] == 0.0


def test_a_rope_has_a_table_of_its_law() -> None:
    found = mesh((CHAIN, Segment(length=12.0, weight=2.0, law=STRAIGHT)), (1, 3), False)
    assert len(found.elements) == 4
    row = found.elements[-1]
    assert row[line_mesh.LENGTH] == pytest.approx(4.0)
    assert row[line_mesh.STIFFNESS] == 0.0 and row[line_mesh.BACKUP] == 0.0
    table = found.laws[int(row[line_mesh.LAW])]
    strains = row[line_mesh.STRAIN] * np.arange(len(table))
    assert strains[-1] == pytest.approx(0.4)
    assert table == pytest.approx(20e3 * strains, rel=1e-9, abs=1e-6)


def test_a_cycle_loses_the_share_that_the_law_says() -> None:
    """Loads are (1 ± κ) times the law's: a cycle loses 2κ of the (1 + κ) that go in."""
    kappa = mesh((ROPE,), (1,), False).elements[0, line_mesh.LOSS]
    assert kappa == pytest.approx(0.25)  # 0.4/(2 − 0.4)
    assert 2 * kappa / (1 + kappa) == pytest.approx(0.4)


def test_a_snubber_is_one_element_with_its_chain_behind_it() -> None:
    found = mesh((CHAIN, ROPE), (2, 5), False)
    assert len(found.elements) == 3
    row = found.elements[-1]
    assert row[line_mesh.LENGTH] == 12.0
    assert row[line_mesh.SLACK] == pytest.approx(3.0)
    assert row[line_mesh.BACKUP] == pytest.approx(6e6 / 15.0)  # 12 m and 3 m of slack: 15 m of chain


def test_the_legs_of_a_bridle_have_half_each() -> None:
    one, two = mesh((CHAIN, ROPE), (2, 1), False), mesh((CHAIN, ROPE), (2, 1), True)
    assert len(two.elements) == 4 and two.bridle
    leg, whole = two.elements[-1], one.elements[-1]
    assert (two.elements[-2] == leg).all() and (two.elements[:2] == one.elements[:2]).all()
    for name in ("MASS", "ADDED", "WEIGHT", "IN_AIR", "ACROSS", "ALONG", "BACKUP"):
        column = getattr(line_mesh, name)
        assert leg[column] == pytest.approx(0.5 * whole[column]), name
    for name in ("LENGTH", "STRAIN", "LOSS", "SLACK"):
        column = getattr(line_mesh, name)
        assert leg[column] == pytest.approx(whole[column]), name
    legs, ropes = two.laws[int(leg[line_mesh.LAW])], one.laws[int(whole[line_mesh.LAW])]
    assert legs == pytest.approx(0.5 * ropes)
