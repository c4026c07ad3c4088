"""What is left unsaid of a rode at rest: no friction, all under water, a level bottom, sixty points."""

from __future__ import annotations

from dataclasses import astuple

import numpy as np
import pytest

from anchorsim.mooring.statics import Segment, curve, shape, shapes, solve, solve_at_distance

GIVEN = {"segments": (Segment(length=40.0, weight=12.0, weight_in_air=14.0, stiffness=5e6),), "rise": 8.0}
SAID = {"friction": 0.0, "depth": None, "slope": 0.0}


@pytest.mark.parametrize("load", [50.0, 3000.0])
def test_unsaid_is_as_said(load: float) -> None:
    assert solve(**GIVEN, horizontal_load=load) == solve(**GIVEN, **SAID, horizontal_load=load)
    near, told = (solve_at_distance(**GIVEN, **more, distance=38.0) for more in ({}, SAID))
    assert near == told
    assert (curve(**GIVEN).packed == curve(**GIVEN, **SAID).packed).all()
    for one, other in (
        (shape(**GIVEN, horizontal_load=load), shape(**GIVEN, **SAID, horizontal_load=load, points=60)),
        (
            shapes(**GIVEN, horizontal_loads=[load]),
            shapes(**GIVEN, **SAID, horizontal_loads=[load], points=60),
        ),
    ):
        assert all((a == b).all() for a, b in zip(astuple(one), astuple(other), strict=True))
        assert np.shape(one.x)[-1] == 60


def test_what_is_said_counts() -> None:
    """Friction takes load off the anchor, air adds weight, and a slope lifts: none is passed over."""
    plain = solve(**GIVEN, horizontal_load=300.0)
    rubbed = solve(**GIVEN, horizontal_load=300.0, friction=0.5)
    assert rubbed.load_at_anchor == pytest.approx(300.0 - 0.5 * 12.0 * plain.length_on_bottom)
    assert solve(**GIVEN, horizontal_load=300.0, depth=6.0).load_at_bow > plain.load_at_bow
    assert solve(**GIVEN, horizontal_load=300.0, slope=-0.1).length_on_bottom < plain.length_on_bottom
    for more in ({"friction": 0.5}, {"depth": 6.0}, {"slope": -0.1}):
        one, other = (shape(**GIVEN, **given, horizontal_load=300.0) for given in ({}, more))
        assert not np.array_equal(one.x, other.x), more
