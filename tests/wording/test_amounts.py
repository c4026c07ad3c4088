"""Amounts in words near a limit: none is rounded on to it or past it."""

from __future__ import annotations

import math

import pytest

from anchorsim.numerics.interval import Interval
from anchorsim.wording.amounts import bearing, hundredths, length


@pytest.mark.parametrize(
    ("low", "likely", "high", "shown"),
    [
        (0.02, 0.05, 0.10, ("5", "2 to 10")),  # on the limit of 5 in 100
        (0.02, 0.053, 0.10, ("6", "2 to 10")),  # over it
        (0.02, 0.047, 0.10, ("5", "2 to 10")),  # within it
        (0.02, 0.063, 0.10, ("6", "2 to 10")),
        (0.0, 0.0, 0.02, ("0", "0 to 2")),
        (0.0, 0.003, 0.02, ("under 1", "0 to 2")),
        (0.98, 1.0, 1.0, ("100", "98 to 100")),
        (0.98, 0.997, 1.0, ("over 99", "98 to 100")),
    ],
)
def test_a_chance_in_hundredths(low: float, likely: float, high: float, shown: tuple[str, str]) -> None:
    assert hundredths(Interval(low, likely, high)) == shown


@pytest.mark.parametrize(
    ("metres", "metric", "us"),
    [
        (0.04, "under 0.1 m", "0.1 ft"),
        (4.26, "4.3 m", "14 ft"),
        (9.97, "10 m", "33 ft"),
        (126.4, "126 m", "415 ft"),
    ],
)
def test_a_length(metres: float, metric: str, us: str) -> None:
    """A foot is 0.3048 m (the international yard and pound agreement of 1959)."""
    assert (length(metres, "metric"), length(metres, "US")) == (metric, us)


@pytest.mark.parametrize(
    ("degrees", "shown"),
    [
        (225.0, "225° (SW)"),
        (11.2, "011° (N)"),
        (11.3, "011° (NNE)"),
        (348.7, "349° (NNW)"),
        (359.6, "000° (N)"),
        (-90.0, "270° (W)"),
    ],
)
def test_a_bearing_has_its_point_of_the_compass(degrees: float, shown: str) -> None:
    """A card of sixteen points has one every 22½°, so that each reaches 11¼° to either side."""
    assert bearing(math.radians(degrees)) == shown
