"""The anchor's law by value: each figure of it typed here again, with where it is from."""

from __future__ import annotations

import math

import numpy as np
import pytest
from plain_kernels import plainly

from anchorsim.dynamics import anchor_kernel
from anchorsim.scenario.site import Ground

GROUND = Ground(holding=8000.0, broken_share=0.25, set_share=0.7, dig_in=4.0)
TABLE = np.array([[0.0, 1.0], [0.1, 0.8], [0.3, 0.2]])  # rad and share: round figures
HALF_KNOT, KNOT = 0.25, 0.5  # m/s, as rounded there


@pytest.fixture(autouse=True)
def plain(monkeypatch: pytest.MonkeyPatch) -> None:
    plainly(monkeypatch, anchor_kernel)


@pytest.mark.parametrize("angle", [0.0, 0.03, 0.1, 0.17, 0.3, 1.2])
def test_what_a_lift_leaves_is_linear_between_the_rows_and_flat_beyond(angle: float) -> None:
    left = anchor_kernel.holding_left(TABLE, angle)
    assert left == pytest.approx(np.interp(angle, TABLE[:, 0], TABLE[:, 1]))


@pytest.mark.parametrize(("dug", "share"), [(0.0, 0.25), (0.4, 0.55), (1.0, 1.0)])
def test_what_it_resists(dug: float, share: float) -> None:
    assert anchor_kernel.resistance(GROUND, dug, 0.1, TABLE) == pytest.approx(8000.0 * share * 0.8)


@pytest.mark.parametrize(
    ("speed", "degrees", "bites"),
    [
        # digs in up to half a knot, comes out from a knot on (judgement)
        (0.0, 0.0, 1.0),
        (HALF_KNOT, 0.0, 1.0),
        (0.5 * (HALF_KNOT + KNOT), 0.0, 0.5),
        (KNOT, 0.0, 0.0),
        (1.2 * KNOT, 0.0, -0.4),
        (2.0, 0.0, -1.0),
        # half of 8 degrees (judgement) to 12 (short-scope anchor test in a magazine, read)
        (0.0, 4.0, 1.0),
        (0.0, 8.0, 0.5),
        (0.0, 12.0, 0.0),
        (0.0, 16.0, -0.5),
        (0.0, 80.0, -1.0),
        # the worse of the two
        (0.5 * (HALF_KNOT + KNOT), 10.0, 0.25),
    ],
)
def test_how_well_it_bites(speed: float, degrees: float, bites: float) -> None:
    assert anchor_kernel.bite(math.radians(degrees), speed) == pytest.approx(bites, abs=1e-12)


@pytest.mark.parametrize(
    ("dug", "moved", "speed", "after"),
    [
        (0.2, 0.4, 0.1, 0.3),  # 0.4 of 4 m
        (0.2, 0.4, 0.375, 0.25),  # half as well at three quarters of a knot
        (0.5, 4.0, 0.1, 0.6),  # no further than its set share: (0.7 − 0.25)/(1 − 0.25)
        (0.8, 4.0, 0.1, 0.8),  # set better than that it stays so
        (0.8, 4.0, 0.5, 0.8),
        (0.8, 0.2, 0.6, 0.72),  # comes out over a quarter of the travel (judgement): 0.4 · 0.2 m of 1 m
        (0.8, 0.3, 2.0, 0.5),
        (0.8, 2.0, 2.0, 0.0),
    ],
)
def test_how_a_move_changes_it(dug: float, moved: float, speed: float, after: float) -> None:
    assert anchor_kernel.dig(GROUND, dug, moved, 0.0, speed) == pytest.approx(after)


def test_an_anchor_that_sets_worse_than_it_skips_stays_out() -> None:
    assert anchor_kernel.dig(GROUND._replace(set_share=0.2), 0.0, 9.0, 0.0, 0.1) == 0.0


def test_its_speed_is_told_over_a_second() -> None:
    assert anchor_kernel.OF_LATE == 1.0  # s: an inch in one snatch does not tear it out (judgement)
