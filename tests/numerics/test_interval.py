"""A figure with its range: its arithmetic by hand, its units by pint, its ends in order."""

from __future__ import annotations

import math

import pytest

from anchorsim.core.errors import ArgumentError
from anchorsim.numerics.interval import Interval, exactly


def test_a_product_and_a_quotient_by_hand() -> None:
    load, strength = Interval(2.0, 3.0, 4.0, unit="N"), Interval(6.0, 12.0, 20.0, unit="N")
    assert load * 2.0 == Interval(4.0, 6.0, 8.0, unit="N")
    product = load * Interval(0.5, 0.6, 0.7)
    assert tuple(product) == pytest.approx((1.0, 1.8, 2.8), rel=1e-12) and product.unit == "N"
    assert strength / load == Interval(6.0 / 4.0, 12.0 / 3.0, 20.0 / 2.0)
    assert load / exactly(0.0) == exactly(math.inf) and exactly(0.0) / exactly(0.0) == exactly(0.0)
    assert load.least(Interval(1.0, 5.0, 5.0)) == Interval(1.0, 3.0, 4.0, unit="N")


def test_it_converts_as_pint_does_and_keeps_its_kind() -> None:
    found = Interval(1900.0, 2600.0, 3000.0, unit="N", kind="95 % confidence").to("kN")
    assert tuple(found) == pytest.approx((1.9, 2.6, 3.0)) and found.kind == "95 % confidence"
    assert found.quantity.to("lbf").m == pytest.approx(584.503, abs=0.0005)  # 1 lbf is 4.4482216152605 N
    for unit in ("m", "smoots an hour"):
        with pytest.raises(
            ArgumentError, match=rf'^unit: "{unit}" does not fit\. Expected one that kN goes into'
        ):
            found.to(unit)


@pytest.mark.parametrize("ends", [(3.0, 2.0, 4.0), (1.0, 5.0, 4.0), (math.nan, 1.0, 2.0)])
def test_ends_out_of_order_are_refused(ends: tuple[float, float, float]) -> None:
    with pytest.raises(ValueError, match=r"are out of order\. Expected low, likely, high"):
        Interval(*ends)


def test_it_shows_itself_on_one_line() -> None:
    shown = "<Interval: low 1.9 kN, likely 2.6 kN, high 3 kN, kind bounds>"
    assert repr(Interval(1900.0, 2600.0, 3000.0, unit="N").to("kN")) == shown
