"""A packed curve: its cubic by SciPy, how it is looked up, and how its fit between two nodes is told."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from plain_kernels import plainly
from scipy.interpolate import CubicHermiteSpline

from anchorsim.mooring import curve_kernel as of

MORE = {of.AT_BOW: 1.0, of.AT_ANCHOR: 1.0, of.ANGLE: 1.0, of.LYING: 0.1}
PULL = np.polynomial.Polynomial([0.0, 4.0, 0.3, 0.02])  # N at metres beyond the first node
LINEAR = {of.AT_BOW: (30.0, 1.1), of.AT_ANCHOR: (-5.0, 0.9), of.ANGLE: (0.1, 2e-3), of.SHARE: (0.9, -4e-3),
          of.LYING: (40.0, -0.15)}  # by the load: at none, and for each newton  # fmt: skip


@pytest.fixture(autouse=True)
def plain(monkeypatch: pytest.MonkeyPatch) -> None:
    plainly(monkeypatch, of)


@pytest.mark.parametrize("t", [0.0, 0.2, 0.5, 0.9, 1.0])
@pytest.mark.parametrize(("gain", "a", "b"), [(1.0, 1.0, 1.0), (5.0, 2.0, 9.0), (0.5, 0.0, 1.2)])
def test_a_cubic_is_hermite_s(t: float, gain: float, a: float, b: float) -> None:
    spline = CubicHermiteSpline([0.0, 1.0], [0.0, gain], [a, b])
    assert of.cubic(t, gain, a, b) == pytest.approx((float(spline(t)), float(spline(t, 1))), abs=1e-14)


# --- Misfit -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("row", MORE)
@pytest.mark.parametrize("off", [3.0, -3.0])
def test_what_is_off_in_the_middle_counts_whichever_way(row: int, off: float) -> None:
    """Loads over the load and 20 N, angles in rad, a tenth of what lies over the distance (judgement)."""
    left, right = np.zeros(of.ROWS), np.zeros(of.ROWS)
    left[[of.DISTANCE, of.LOAD, of.STIFFNESS]] = 10.0, 100.0, 50.0
    right[[of.DISTANCE, of.LOAD, of.STIFFNESS]] = 20.0, 600.0, 50.0
    middle = 0.5 * (left + right)
    straight = of.misfit(left, right, middle)
    assert straight == pytest.approx(1e-9 * 500.0 / 600.0)
    middle[row] += off
    per = {of.AT_BOW: 370.0, of.AT_ANCHOR: 370.0, of.ANGLE: 1.0, of.LYING: 20.0}[row]
    assert of.misfit(left, right, middle) - straight == pytest.approx(MORE[row] * 3.0 / per)


@pytest.mark.parametrize("share", [0.1, 0.4, 0.8])
def test_a_node_that_lies_where_it_is_interpolated_to_is_off_by_next_to_nothing(share: float) -> None:
    """A cubic of distance for the load, the rest linear in the load; each off by itself counts by itself."""
    left, right, middle = (np.zeros(of.ROWS) for _ in range(3))
    for node, distance in ((left, 8.0), (right, 14.0), (middle, 8.0 + 6.0 * share)):
        node[of.DISTANCE], node[of.LOAD] = distance, PULL(distance)
        node[of.STIFFNESS] = PULL.deriv()(distance)
        for row, (none, each) in LINEAR.items():
            node[row] = none + each * node[of.LOAD]
    least = 1e-9 * (right[of.LOAD] - left[of.LOAD]) / right[of.LOAD]
    assert of.misfit(left, right, middle) == pytest.approx(least, rel=1e-3)
    per_load = middle[of.LOAD] + 20.0
    for row, each in ((of.AT_BOW, 1 / per_load), (of.AT_ANCHOR, 1 / per_load), (of.ANGLE, 1.0),
                      (of.LYING, 0.1 / 14.0)):  # fmt: skip
        for off in (0.02, -0.02):
            there = middle.copy()
            there[row] += off
            assert of.misfit(left, right, there) == pytest.approx(0.02 * each, rel=1e-4)


def test_slopes_count_up_to_three_times_the_secant() -> None:
    """What keeps a cubic monotone (Fritsch & Carlson 1980): from 0 to 60 N in 2 m, so 90 N/m at the most."""
    left, right, middle = (np.zeros(of.ROWS) for _ in range(3))
    right[[of.DISTANCE, of.LOAD]], middle[[of.DISTANCE, of.LOAD]] = (2.0, 60.0), (0.5, 30.0)
    left[of.STIFFNESS], right[of.STIFFNESS] = 500.0, 80.0
    spline = CubicHermiteSpline([0.0, 2.0], [0.0, 60.0], [90.0, 80.0])
    assert of.misfit(left, right, middle) == pytest.approx(abs(spline(0.5) - 30.0) / 50.0, rel=1e-6)
    left[of.STIFFNESS], right[of.STIFFNESS] = 10.0, 500.0
    spline = CubicHermiteSpline([0.0, 2.0], [0.0, 60.0], [10.0, 90.0])
    assert of.misfit(left, right, middle) == pytest.approx(abs(spline(0.5) - 30.0) / 50.0, rel=1e-6)


def test_nodes_at_one_place_are_not_split() -> None:
    left, right = np.zeros(of.ROWS), np.zeros(of.ROWS)
    right[[of.DISTANCE, of.LOAD]], left[of.DISTANCE] = (100.0, 60.0), 100.0 - 0.9e-7
    assert of.misfit(left, right, right) == 0.0
    left[of.DISTANCE] = 100.0 - 1.1e-7
    assert of.misfit(left, right, right) > 0.0


# --- Look up ------------------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def packed() -> np.ndarray:
    """129 nodes from 20 m on, closer and farther apart by turns."""
    rows = np.zeros((of.ROWS, of.NODES))
    rows[of.DISTANCE] = 20.0 + np.cumsum(np.r_[0.0, 0.1 + 0.05 * np.sin(np.arange(128.0))])
    beyond = rows[of.DISTANCE] - 20.0
    rows[of.LOAD], rows[of.STIFFNESS] = PULL(beyond), PULL.deriv()(beyond)
    for row, (none, each) in LINEAR.items():
        rows[row] = none + each * rows[of.LOAD]
    return rows


def wanted(load: float, stiffness: float, up_to: float) -> tuple[Any, ...]:
    """Load, at bow, at anchor, angle, share, lying, stiffness; angle, share and lying end with the table."""
    values = [
        none + each * min(load, up_to if row >= of.ANGLE else load) for row, (none, each) in LINEAR.items()
    ]
    return load, *values, stiffness


def test_between_its_nodes_a_curve_is_a_cubic_and_the_rest_goes_with_the_load(packed: np.ndarray) -> None:
    last = float(packed[of.LOAD, -1])
    for place in (0, 1, 63, 64, 65, 100, 127):
        for share in (0.0, 0.3, 0.99):
            low, high = packed[of.DISTANCE, place : place + 2]
            distance = float(low + share * (high - low))
            at = wanted(float(PULL(distance - 20.0)), float(PULL.deriv()(distance - 20.0)), last)
            found = of.look_up(packed, distance)
            if place > 0 or share > 0.0:
                assert found == pytest.approx(at, rel=1e-9)
            assert of.between(packed, distance, place) == pytest.approx(found, rel=1e-12)


def test_beyond_its_nodes_a_curve_goes_on_straight(packed: np.ndarray) -> None:
    end, last, slope = (float(packed[row, -1]) for row in (of.DISTANCE, of.LOAD, of.STIFFNESS))
    for more in (0.0, 0.5, 30.0):
        found = of.look_up(packed, end + more)
        assert found == pytest.approx(wanted(last + more * slope, slope, last), rel=1e-9)


def test_before_its_first_node_nothing_pulls(packed: np.ndarray) -> None:
    for distance in (0.0, 19.9, 20.0):
        assert of.look_up(packed, distance) == pytest.approx(wanted(0.0, 0.0, 0.0), abs=1e-12)
