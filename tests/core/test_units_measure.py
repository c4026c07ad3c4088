"""What is said once about a quantity that people set: its range, and how a value is read and refused."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from anchorsim.core.units import Measure, parse, quantity, si, write

# --- What is said once about a quantity ---------------------------------------------------------------------

DEPTH = Measure("Charted depth", "m", 0.5, 60, 0.5)
SCOPE = Measure("Scope", "", 1.2, 30, 0.5)
PLACE = Measure("Centre of the keel", "m", -8, 8, 0.1)
RANGE = "Expected 0.5 to 60 m"
KIND = "Expected a length, 0.5 to 60 m"
EXAMPLE = 'Write for example "12.5 m".'


@pytest.mark.parametrize(
    ("given", "sentence"),
    [
        (6, f'6 has no unit. {RANGE}. Write for example "6 m".'),
        (6.5, f'6.5 has no unit. {RANGE}. Write for example "6.5 m".'),
        (600, f"600 has no unit. {RANGE}. {EXAMPLE}"),
        (math.nan, f"nan has no unit. {RANGE}. {EXAMPLE}"),
        (10**400, f"a number far too large has no unit. {RANGE}. {EXAMPLE}"),
        (True, f"true is not a quantity. {RANGE}. {EXAMPLE}"),
        (None, f"nothing is not a quantity. {RANGE}. {EXAMPLE}"),
        ([6], f"a list is not a quantity. {RANGE}. {EXAMPLE}"),
        ({}, f"a table of keys is not a quantity. {RANGE}. {EXAMPLE}"),
        ("6", f'"6" has no unit. {RANGE}. {EXAMPLE}'),
        ("61 m", f'"61 m" is out of range. {RANGE}.'),
        ("1e400 m", f'"1e400 m" is out of range. {RANGE}.'),
        ("-1 m", f'"-1 m" is out of range. {RANGE}.'),
        ("200 ft", f'"200 ft" is out of range. {RANGE} (1.641 to 196.8 ft).'),
        ("6 knot", f'"6 knot" is a speed. {KIND}. {EXAMPLE}'),
        ("6 m²", f'"6 m²" is an area. {KIND}. {EXAMPLE}'),
        ("6 kg", f'"6 kg" is a mass. {KIND}. {EXAMPLE}'),
        ("6 m³", f'"6 m³" has the wrong unit. {KIND}. {EXAMPLE}'),
        (quantity(math.nan, "m"), f"nan m is out of range. {RANGE}."),
        (quantity(70.0, "m"), f"70 m is out of range. {RANGE}."),
        (quantity(70.0, "s"), f"70 s is a time. {KIND}. {EXAMPLE}"),
        (
            quantity(np.ones(2), "m"),
            f"a quantity that is not one number is not a quantity. {RANGE}. {EXAMPLE}",
        ),
    ],
    ids=str,
)
def test_a_quantity_is_refused_with_a_sentence(given: object, sentence: str) -> None:
    with pytest.raises(ValueError) as caught:
        DEPTH.read(given)
    assert str(caught.value) == sentence


@pytest.mark.parametrize(
    ("given", "sentence"),
    [
        ("7", '"7" is not a number. Expected 1.2 to 30. Write 7 without quotation marks.'),
        ("seven", '"seven" is not a number. Expected 1.2 to 30. Write for example 7.2.'),
        (True, "true is not a number. Expected 1.2 to 30. Write for example 7.2."),
        (0, "0 is out of range. Expected 1.2 to 30."),
        (math.inf, "inf is out of range. Expected 1.2 to 30."),
        (math.nan, "nan is out of range. Expected 1.2 to 30."),
        (
            10**400,
            "a number far too large is out of range. Expected 1.2 to 30.",
        ),
    ],
    ids=str,
)
def test_a_number_is_refused_with_a_sentence(given: object, sentence: str) -> None:
    with pytest.raises(ValueError) as caught:
        SCOPE.read(given)
    assert str(caught.value) == sentence


def test_knots_and_kilonewtons_are_told_apart() -> None:
    wind = Measure("Mean wind", "knot", 0, 80, 1)
    with pytest.raises(ValueError) as caught:
        wind.read("35 kN")
    assert str(caught.value) == (
        '"35 kN" is a force. Expected a speed, 0 to 80 knot. Write for example "16 knot": kN is '
        "the kilonewton, the knot is written knot."
    )
    assert wind.read("35 kn") == quantity(35.0, "knot")


def test_a_share_is_no_angle() -> None:
    direction = Measure("Wind direction", "degree", 0, 360, 5)
    for share in (quantity(0.5, ""), quantity(50.0, "percent")):
        with pytest.raises(ValueError, match=r"has the wrong unit\. Expected an angle, 0 to 360"):
            direction.read(share)


def test_a_quantity_keeps_its_unit_and_twelve_digits() -> None:
    found = DEPTH.read(quantity(1 / 3, "fathom"))
    assert found.magnitude == 0.333333333333  # type: ignore[union-attr]
    assert str(found.units) == "fathom"  # type: ignore[union-attr]
    assert parse(write(found)) == found  # type: ignore[arg-type]


def test_there_is_no_minus_nought() -> None:
    assert write(PLACE.read("-0 m")) == "0 m"  # type: ignore[arg-type]


@settings(deadline=None)
@given(st.sampled_from([DEPTH, PLACE]), st.sampled_from(["ft", "in", "yd", "cm", "nmi"]))
def test_a_range_shown_in_another_unit_can_be_used(measure: Measure, unit: str) -> None:
    """Its ends are rounded inwards, and to four digits."""
    with pytest.raises(ValueError) as caught:
        measure.read(quantity(1e6, unit))
    low, high = str(caught.value).split(" (")[1].split(f" {unit})")[0].split(" to ")
    for end, limit in ((low, measure.low), (high, measure.high)):
        assert si(measure.read(f"{end} {unit}")) == pytest.approx(limit, rel=1.1e-3)  # type: ignore[arg-type]


@settings(deadline=None)
@given(st.floats(0.5, 60), st.sampled_from(["m", "ft", "in", "cm"]))
def test_a_limit_survives_conversion(value: float, unit: str) -> None:
    for amount in (value, 0.5, 60.0):
        converted = quantity(quantity(amount, "m").m_as(unit), unit)
        assert si(DEPTH.read(converted)) == pytest.approx(amount, rel=1e-11)  # type: ignore[arg-type]


@pytest.mark.parametrize("unit", ["m", "mm", "kg", "m²", "knot", "degree", "min", "h", "s", "kN"])
def test_what_a_unit_measures_is_named_in_words(unit: str) -> None:
    assert Measure("x", unit, 0, 1, 1).kind != "a quantity"
