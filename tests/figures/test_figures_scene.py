"""The values that a scene is made of, and the invented one that other tests draw."""

from __future__ import annotations

import numpy as np
import pytest
from invented_scene import catenary, invented_scene

from anchorsim.figures import RodeShapes, draw_boat


def test_the_invented_rode_is_a_catenary_of_its_own_length() -> None:
    # Closed form: an arc's length is the sum of its chords in the limit; 400 points are near it.
    for pull in (50.0, 800.0, 6000.0):
        x, z, _ = catenary(pull, 38.0, 7.5, points=400)
        assert np.sum(np.hypot(np.diff(x), np.diff(z))) == pytest.approx(38.0, rel=1e-4)
        assert z[-1] == pytest.approx(7.5, abs=1e-9)


def test_a_shape_between_two_rows_ends_at_the_bow() -> None:
    rode = invented_scene(duration=10.0).rode
    for distance in (rode.distance[0], 30.0, 36.9, rode.distance[-1]):
        x, z = rode.at(distance)
        assert x[-1] == pytest.approx(distance, abs=1e-9)
        assert z[-1] == pytest.approx(7.5, abs=1e-9)
        assert (x[0], z[0]) == (0.0, 0.0)


def test_a_shape_between_two_rows_lies_between_them() -> None:
    rode = RodeShapes(
        np.array([10.0, 20.0]), np.array([[0.0, 10.0], [0.0, 20.0]]), np.array([[0.0, 5.0], [0.0, 3.0]])
    )
    x, z = rode.at(12.5)
    assert x.tolist() == [0.0, 12.5]
    assert z.tolist() == [0.0, 4.5]


def test_a_shape_beyond_the_table_is_stretched_to_the_bow() -> None:
    rode = RodeShapes(
        np.array([10.0, 20.0]), np.array([[0.0, 10.0], [0.0, 20.0]]), np.array([[0.0, 5.0], [0.0, 3.0]])
    )
    assert rode.at(22.0)[0].tolist() == [0.0, 22.0]
    assert rode.at(5.0)[0].tolist() == [0.0, 5.0]


def test_shapes_that_do_not_fit_their_distances_are_refused() -> None:
    with pytest.raises(ValueError, match=r"needed x and z of shape \(3, m\).*given \(2, 4\)"):
        RodeShapes(np.arange(3.0), np.zeros((2, 4)), np.zeros((2, 4)))
    with pytest.raises(ValueError, match="ascending order; sort the table"):
        RodeShapes(np.array([2.0, 1.0]), np.zeros((2, 4)), np.zeros((2, 4)))


def test_the_bow_is_half_a_length_ahead_and_pulls_from_its_distance() -> None:
    scene = invented_scene(duration=60.0)
    north, east = scene.bow()
    gap = np.hypot(north - scene.track.x, east - scene.track.y)
    assert gap == pytest.approx(6.0)  # half of the twelve metres
    assert scene.distance() == pytest.approx(np.hypot(north, east))


def test_a_drawn_boat_has_the_dimensions_asked_for() -> None:
    boat = draw_boat(length=12.0, beam=3.9, freeboard=1.2, draught=1.9, mast=16.5, bow_height=1.5)
    ahead, starboard = boat.plan.polygon.T
    assert (ahead.min(), ahead.max()) == (-6.0, 6.0)
    assert starboard.max() == pytest.approx(1.95, rel=0.01)
    assert starboard.max() == -starboard.min()  # the same on both sides
    assert boat.profile.polygon[:, 1].min() == -1.9
    assert max(line[:, 1].max() for line in boat.profile.lines) == 16.5
    assert [6.0, 1.5] in boat.profile.polygon.round(9).tolist()  # the bow roller is on the stem


def test_a_motor_boat_has_no_mast() -> None:
    boat = draw_boat(length=10.0, beam=3.4, freeboard=1.3, draught=0.9)
    assert max(line[:, 1].max() for line in boat.profile.lines) < 3.5
