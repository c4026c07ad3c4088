"""Places on the ellipsoid: against the library itself, and there and back (`test_published` has lines)."""

from __future__ import annotations

import math

import pytest
from geographiclib.geodesic import Geodesic

from anchorsim.numerics.geodesy import to_local, to_place


@pytest.mark.parametrize("origin", [(50.1, -4.5), (0.0, 179.9999), (-80.0, 12.0), (89.9, 0.0)])
@pytest.mark.parametrize("bearing", [0.0, 45.0, 137.0, 270.0])
def test_there_and_back(origin: tuple[float, float], bearing: float) -> None:
    far, angle = 1234.5, math.radians(bearing)
    north, east = far * math.cos(angle), far * math.sin(angle)
    place = to_place(north, east, origin)
    assert to_local(place, origin) == pytest.approx((north, east), abs=1e-6)
    assert -180 <= place[1] <= 180
    line = Geodesic.WGS84.Direct(*origin, bearing, far)
    assert place == pytest.approx((line["lat2"], line["lon2"]), abs=1e-12)
