"""How near she comes, in words, for typed-in distances."""

from __future__ import annotations

import numpy as np
import pytest

from anchorsim.risk.clearances import Clearance, ClearanceSI, Kind, Thing
from anchorsim.wording.amounts import of_spells
from anchorsim.wording.assessment import clearance


@pytest.mark.parametrize(
    ("kind", "does"),
    [("danger", "hits the bar"), ("neighbour", "hits the bar"), ("shoal", "goes aground on the bar")],
)
def test_what_she_does_to_it_and_how_often(kind: Kind, does: str) -> None:
    often = Clearance(Thing("the bar", kind), ClearanceSI(np.array([0.0] * 30 + [7.0] * 70)))
    assert clearance(often) == f"The boat {does} in {of_spells(often.touched)}."
    assert of_spells(often.touched).startswith("30 of 100 spells (")


def test_how_near_she_comes_where_she_seldom_touches_it() -> None:
    """The twentieth of a hundred: between the 5th and the 6th of distances from 1 m in steps of 0.1 m."""
    seldom = Clearance(Thing("the bar", "danger"), ClearanceSI(1.0 + 0.1 * np.arange(100)))
    assert seldom.near.likely == pytest.approx(1.495)
    told = f"The boat hits the bar in {of_spells(seldom.touched)}."
    assert clearance(seldom) == f"{told} In 95 of 100 spells she clears it by 1.5 m or more."
    # 1 ft is 0.3048 m: 4.9 ft
    assert clearance(seldom, "US").endswith("she clears it by 4.9 ft or more.")
