"""How near shapes come, against closed forms."""

from __future__ import annotations

import math

import numpy as np
import pytest

from anchorsim.numerics.clearance import Shape, closest, separation

SQUARE = np.array([[[0.0, 0.0], [2.0, 0.0], [2.0, 2.0], [0.0, 2.0]]])


def at(*corners: tuple[float, float], area: bool = False) -> Shape:
    return Shape(np.array([corners], dtype=float), area)


@pytest.mark.parametrize(
    ("other", "distance"),
    [
        (at((5.0, 1.0)), 3.0),  # off a side
        (at((5.0, 6.0)), 5.0),  # off a corner: 3, 4, 5
        (at((1.0, 1.0)), 0.0),  # within
        (at((2.0, 1.0)), 0.0),  # on a side
        (at((-1.0, 1.0), (3.0, 1.0)), 0.0),  # a line right through, with no end inside
        (at((3.0, -1.0), (3.0, 3.0)), 1.0),
        (at((4.0, 0.0), (0.0, 4.0)), 0.0),  # touches the corner (2, 2)
        (at((5.0, 0.0), (0.0, 5.0)), 1.0 / math.sqrt(2.0)),  # from (2, 2) to the line x + y = 5
        (at((-9.0, -9.0), (9.0, -9.0), (9.0, 9.0), (-9.0, 9.0), area=True), 0.0),  # around
        (at((3.0, 3.0), (4.0, 3.0), (4.0, 4.0), area=True), math.sqrt(2.0)),
    ],
)
def test_known_distances(other: Shape, distance: float) -> None:
    square = Shape(SQUARE, True)
    for first, second in ((square, other), (other, square)):
        assert separation(first, second)[0] == pytest.approx(distance, abs=1e-12)


def test_a_line_round_a_point_does_not_hold_it_but_an_area_does() -> None:
    corners = ((-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0))
    assert separation(at(*corners), at((0.0, 0.0)))[0] == 1.0
    assert separation(at(*corners, area=True), at((0.0, 0.0)))[0] == 0.0


def test_moving_past_at_a_known_distance() -> None:
    # A square of side 2 along y = 0 to 2, from x = −50 to 50, past the point (1, 5) and past another square.
    shift = np.linspace(-50.0, 50.0, 1001)
    moving = Shape(SQUARE + np.column_stack([shift, 0 * shift])[:, None], True)
    assert closest(moving, at((1.0, 5.0))) == pytest.approx(3.0, abs=1e-12)
    mirrored = Shape(SQUARE + np.column_stack([-shift, 0 * shift + 7.0])[:, None], True)
    assert closest(moving, mirrored) == pytest.approx(5.0, abs=1e-12)


@pytest.mark.parametrize("speed", [0.0, 3.0])
def test_two_that_pass_on_straight_courses_are_nearest_when_their_relative_way_says(speed: float) -> None:
    # Places d + w t are nearest at t = −d·w/w²; for discs of n-sided polygons, less their two radii, which a
    # polygon falls short of by up to r(1 − cos(π/n)).
    time = np.linspace(0.0, 60.0, 6001)[:, None]
    round_ = np.linspace(0.0, 2 * np.pi, 180, endpoint=False)
    disc = np.column_stack([np.cos(round_), np.sin(round_)])
    d, w = np.array([30.0, -40.0]), np.array([-1.5, speed - 0.5])
    nearest = np.hypot(*(d + w * np.clip(-(d @ w) / (w @ w), 0.0, 60.0)))
    first = Shape(2.0 * disc + (np.array([0.0, -speed]) * time)[:, None], True)
    second = Shape(3.0 * disc + (d + np.array([-1.5, -0.5]) * time)[:, None], True)
    short = 5.0 * (1.0 - math.cos(math.pi / 180))
    assert nearest - 5.0 <= closest(first, second) <= nearest - 5.0 + short + 1e-3
    assert len(separation(first, second)) == 6001
