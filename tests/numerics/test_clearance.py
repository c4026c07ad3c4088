"""How near shapes come: against closed forms, and against shapely where it is installed."""

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


def wandering(random: np.random.Generator, area: bool, corners: int) -> Shape:
    """A shape that turns and wanders."""
    turn = random.uniform(0, 2 * np.pi) + np.cumsum(random.normal(0, 0.05, 300))
    way = np.cumsum(random.normal(0, 0.5, (300, 2)), axis=0) + random.normal(0, 15, 2)
    angle = np.sort(random.uniform(0, 2 * np.pi, corners))
    points = random.uniform(2, 6, corners)[:, None] * np.column_stack([np.cos(angle), np.sin(angle)])
    rotation = np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
    return Shape(np.einsum("ijt,nj->tni", rotation, points) + way[:, None], area)


@pytest.mark.parametrize("seed", range(12))
def test_the_closest_is_the_least_of_all_moments(seed: int) -> None:
    random = np.random.default_rng(seed)
    first = wandering(random, True, 8)
    second = wandering(random, bool(seed % 2), 1 + seed % 5)
    assert closest(first, second) == separation(first, second).min()


@pytest.mark.parametrize("seed", range(8))
def test_separation_agrees_with_shapely(seed: int) -> None:
    shapely = pytest.importorskip("shapely", reason="shapely is not installed")
    random = np.random.default_rng(100 + seed)
    corners = (1, 2, 5, 3, 4, 6, 7, 3)[seed]
    first, second = wandering(random, True, 7), wandering(random, corners > 2 and seed % 2 == 1, corners)

    def drawn(shape: Shape, moment: int) -> object:
        points = shape.corners[moment]
        kind = "Polygon" if shape.area else "Point" if len(points) == 1 else "LineString"
        return getattr(shapely, kind)(points[0] if kind == "Point" else points)

    ours = separation(first, second)
    theirs = [drawn(first, k).distance(drawn(second, k)) for k in range(0, 300, 7)]  # type: ignore[attr-defined]
    np.testing.assert_allclose(ours[::7], theirs, atol=1e-9)
