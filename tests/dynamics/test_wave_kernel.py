"""How the bow rides: a motion of known polynomials, of time and of the square of the cosine, comes back."""

from __future__ import annotations

import math

import numpy as np
import pytest
from plain_kernels import plainly

from anchorsim.dynamics import wave_kernel
from anchorsim.dynamics.wave_kernel import COLUMNS, STILL, Sea

PACE, ROWS = 0.5, 9
ROLLER, HEIGHT = 5.5, 1.4
# heave, slope and way as cubics of time (s), and as parabolas of cos² of her angle to the waves
TIMES = [
    np.polynomial.Polynomial(c)
    for c in ([0.2, -0.3, 0.11, 0.02], [0.05, 0.02, -0.04, 0.01], [-0.4, 0.5, 0.3, -0.07])
]
SQUARES = [np.polynomial.Polynomial(c) for c in ([1.0, -0.6, 0.4], [0.7, 0.9, -0.5], [1.3, 0.2, 0.8])]
TOWARDS = math.radians(200.0)  # the way that they go
PUSH = (-30.0, 12.0)  # N/m


def sea() -> Sea:
    motion = np.zeros((ROWS, COLUMNS))
    for row, time in enumerate(PACE * np.arange(ROWS)):
        for which, (of_time, of_square) in enumerate(zip(TIMES, SQUARES, strict=True)):
            for place, square in enumerate((1.0, 0.5, 0.0)):  # head to the waves, at 45° to them, abeam
                motion[row, 3 * which + place] = of_time(time) * of_square(square)
                motion[row, 9 + 3 * which + place] = of_time.deriv()(time) * of_square(square)
    motion[:, 18], motion[:, 19] = math.cos(TOWARDS), math.sin(TOWARDS)
    motion[:, 20], motion[:, 21] = PUSH
    return Sea(motion, PACE, ROLLER, HEIGHT)


@pytest.fixture(autouse=True)
def plain(monkeypatch: pytest.MonkeyPatch) -> None:
    plainly(monkeypatch, wave_kernel)


@pytest.mark.parametrize("time", [0.0, 0.1, 0.77, 1.5, 3.9])
@pytest.mark.parametrize("heading", [10.0, 65.0, 200.0, 290.0])
def test_the_roller_is_where_the_polynomials_have_it(time: float, heading: float) -> None:
    """The bow is carried along the waves, lifted by heave and by the slope times its arm, and rocked back."""
    angle = math.radians(heading)
    c, s = math.cos(angle), math.sin(angle)
    against = -math.cos(TOWARDS - angle)  # cosine of how she lies to where they come from
    place, rate = [], []
    for of_time, of_square in zip(TIMES, SQUARES, strict=True):
        place.append(of_time(time) * of_square(against**2))
        rate.append(of_time.deriv()(time) * of_square(against**2))
    north, east = math.cos(TOWARDS), math.sin(TOWARDS)
    found = wave_kernel.ride(sea(), time, c, s)
    for at, (up, slope, way) in ((0, place), (3, rate)):
        pitch = against * slope
        assert found[at] == pytest.approx(way * north - HEIGHT * pitch * c, abs=1e-9)
        assert found[at + 1] == pytest.approx(way * east - HEIGHT * pitch * s, abs=1e-9)
        assert found[at + 2] == pytest.approx(up + ROLLER * pitch, abs=1e-9)
    assert found[6] == pytest.approx(PUSH[0] * c + PUSH[1] * s)
    assert found[7] == pytest.approx(PUSH[1] * c - PUSH[0] * s)


def test_after_its_last_row_it_stays_there() -> None:
    assert wave_kernel.ride(sea(), 99.0, 1.0, 0.0) == wave_kernel.ride(sea(), PACE * (ROWS - 1), 1.0, 0.0)


def test_without_a_sea_nothing_moves() -> None:
    assert wave_kernel.ride(STILL, 3.0, 1.0, 0.0) == (0.0,) * 8
