"""How far a curve is from a node in the middle: each of its terms by itself, in plain Python."""

from __future__ import annotations

import numpy as np
import pytest

from anchorsim.mooring import curve_kernel as of

MORE = {of.AT_BOW: 1.0, of.AT_ANCHOR: 1.0, of.ANGLE: 1.0, of.LYING: 0.1}


@pytest.mark.parametrize("row", MORE)
@pytest.mark.parametrize("off", [3.0, -3.0])
def test_what_is_off_in_the_middle_counts_whichever_way(row: int, off: float) -> None:
    """Loads over the load and 20 N, angles in rad, a tenth of what lies over the distance (judgement)."""
    left, right = np.zeros(of.ROWS), np.zeros(of.ROWS)
    left[[of.DISTANCE, of.LOAD, of.STIFFNESS]] = 10.0, 100.0, 50.0
    right[[of.DISTANCE, of.LOAD, of.STIFFNESS]] = 20.0, 600.0, 50.0
    middle = 0.5 * (left + right)
    straight = of.misfit.py_func(left, right, middle)
    assert straight == pytest.approx(1e-9 * 500.0 / 600.0)
    middle[row] += off
    per = {of.AT_BOW: 370.0, of.AT_ANCHOR: 370.0, of.ANGLE: 1.0, of.LYING: 20.0}[row]
    assert of.misfit.py_func(left, right, middle) - straight == pytest.approx(MORE[row] * 3.0 / per)
