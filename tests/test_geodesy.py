"""Places on the ellipsoid: against published lines, against the library itself, and there and back."""

from __future__ import annotations

import math

import pytest

pytest.importorskip("geographiclib", reason="geographiclib is not installed")

from geographiclib.geodesic import Geodesic

from anchorsim.geodesy import to_local, to_place


def degrees(whole: int, minutes: int, seconds: float) -> float:
    return math.copysign(abs(whole) + minutes / 60 + seconds / 3600, whole)


def test_the_line_from_flinders_peak_to_buninyong() -> None:
    # Geocentric Datum of Australia, Technical Manual, worked example of Vincenty's formulae (GRS 80, whose
    # flattening differs from that of WGS 84 by 2 in 10¹¹).
    flinders = degrees(-37, 57, 3.72030), degrees(144, 25, 29.52440)
    buninyong = degrees(-37, 39, 10.15610), degrees(143, 55, 35.38390)
    north, east = to_local(buninyong, flinders)
    assert math.hypot(north, east) == pytest.approx(54972.271, abs=0.0005)  # ibid.
    bearing = math.degrees(math.atan2(east, north)) % 360
    assert bearing == pytest.approx(degrees(306, 52, 5.37), abs=0.005 / 3600)  # ibid.


def test_the_line_of_the_librarys_own_manual() -> None:
    # Karney, manual page of GeodSolve: from 40.6° N 73.8° W to 51.6° N 0.5° W.
    north, east = to_local((51.6, -0.5), (40.6, -73.8))
    assert math.hypot(north, east) == pytest.approx(5551759.400, abs=0.0005)  # GeodSolve(1), example
    assert math.degrees(math.atan2(east, north)) == pytest.approx(51.19888285, abs=5e-9)  # ibid.


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


def test_a_minute_of_latitude_is_about_a_nautical_mile() -> None:
    # 1852 m by definition; on the ellipsoid 1843 m at the equator and 1862 m at the poles (from memory).
    assert to_local((1 / 60, 0.0), (0.0, 0.0))[0] == pytest.approx(1843, abs=0.5)
    assert to_local((90.0, 0.0), (90 - 1 / 60, 0.0))[0] == pytest.approx(1862, abs=0.5)
