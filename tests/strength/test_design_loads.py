"""The published loads by which ground tackle is sized."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from anchorsim.core.tables import table
from anchorsim.core.units import quantity
from anchorsim.scenario.scenario import Scenario
from anchorsim.scenario.vessel import Boat
from anchorsim.strength.design_loads import published_load

# ABYC H-40 Table 1: spell, working, lunch hook in lbf by length and beam (sail, power) in ft
TABLE = {
    10: (4, 5, 320, 160, 40),  # from memory
    15: (5, 6, 500, 250, 60),  # from memory
    20: (7, 8, 720, 360, 90),  # loads in a reprint and in a cruising guide, read; beams from memory
    25: (8, 9, 980, 490, 125),  # working and lunch hook in a reprint, read; the rest from memory
    30: (9, 11, 1400, 700, 175),  # loads in a reprint, read; beams from memory
    35: (10, 13, 1800, 900, 225),  # same
    40: (
        11,
        14,
        2400,
        1200,
        300,
    ),  # loads in a reprint, sail's beam in a club's note, read; power from memory
    50: (13, 16, 3200, 1600, 400),  # loads in a reprint, read; beams from memory
    60: (15, 18, 4000, 2000, 500),  # same
}
USES = ("storm", "working", "lunch hook")


def boat(length: float, beam: float, kind: str = "sailing yacht") -> Boat:
    """One of our own of that length and beam in feet."""
    model = "motor-cruiser-11" if kind == "motor cruiser" else "sloop-12"
    return (
        Scenario()
        .vary({"boat.model": model})
        .boat.model_copy(
            update={"length": quantity(length, "ft"), "beam": quantity(beam, "ft"), "kind": kind}
        )
    )


def load(one: Boat, use: str = "working") -> float | None:
    found = published_load(one, use)  # type: ignore[arg-type]
    return None if found is None else found.m_as("lbf")


@pytest.mark.parametrize("length", TABLE)
@pytest.mark.parametrize("kind", ["sailing yacht", "ketch", "motor cruiser"])
def test_rows_as_printed(length: float, kind: str) -> None:
    sail, power, *loads = TABLE[length]
    for use, printed in zip(USES, loads, strict=True):
        beam = power if kind == "motor cruiser" else sail
        assert load(boat(length, beam, kind), use) == pytest.approx(printed, abs=0.5)


def test_the_handbooks_example() -> None:
    """A boating handbook's example (read): power, 32 ft by 12 ft, working anchor 900 lbf."""
    assert load(boat(32.0, 12.0, "motor cruiser")) == pytest.approx(900, abs=0.5)


def test_between_two_rows_the_larger_counts_by_length_or_beam() -> None:
    assert load(boat(30.5, 8.0)) == pytest.approx(900, abs=0.5)  # 35 ft
    assert load(boat(30.0, 9.1)) == pytest.approx(900, abs=0.5)  # 35 ft, by the beam of 10 ft
    assert load(boat(30.0, 12.9), "storm") == pytest.approx(3200, abs=0.5)  # 50 ft, by the beam of 13 ft
    assert load(boat(41.0, 11.0)) == pytest.approx(1600, abs=0.5)  # 50 ft
    assert load(boat(8.0, 3.0), "lunch hook") == pytest.approx(40, abs=0.5)  # smaller than the first


def test_beyond_the_last_row_there_is_no_load() -> None:
    assert load(boat(60.0, 15.0)) == pytest.approx(2000, abs=0.5)
    for one in (boat(60.1, 12.0), boat(40.0, 15.1), boat(61.0, 18.0, "motor cruiser")):
        assert all(load(one, use) is None for use in USES)


@settings(deadline=None)
@given(st.floats(5, 60), st.floats(3, 15), st.sampled_from(USES))
def test_only_loads_that_are_printed_come_out(length: float, beam: float, use: str) -> None:
    printed = [row[use] for row in table("sizing_loads")]
    found = published_load(boat(length, beam), use)  # type: ignore[arg-type]
    assert found is not None
    assert found.m_as("N") in printed
