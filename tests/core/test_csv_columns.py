"""Headings and cells of CSV files: where the unit stands, and how long they take."""

from __future__ import annotations

import contextlib
import time

import pytest

from anchorsim.core.csv_columns import SPEEDS, ColumnError, Role, number_in, read_table

MEAN = Role("mean wind", "mean wind", "speed", SPEEDS, "mean wind [knot]")


def seconds(heading: str, cell: str) -> float:
    """The least of three: what else the machine does only adds to it."""
    taken = []
    for _ in range(3):
        start = time.process_time()
        with contextlib.suppress(ColumnError):
            read_table([f"{heading},other", f"{cell},1"], [MEAN], [], list)
        number_in(cell)
        taken.append(time.process_time() - start)
    return min(taken)


@pytest.mark.parametrize("piece", ["_", "a_", " ", "[", "]", "(_", "[m]", "m/s_", "aB"])
def test_a_heading_takes_as_long_as_it_is(piece: str) -> None:
    for end in ("x", "wind kn]", "]"):
        short, long = (f"wind {piece * (length // len(piece))}{end}" for length in (600, 4_800))
        # Eight times the length: 8 where it is linear, 64 where it is quadratic; 5 ms for what is too fast.
        assert seconds(long, "1") < 24.0 * (seconds(short, "1") + 0.005)


@pytest.mark.parametrize("cell", ["1", "1.", ".1", "1e"])
def test_a_cell_takes_as_long_as_it_is(cell: str) -> None:
    short, long = (cell * (length // len(cell)) + "x" for length in (600, 4_800))
    assert seconds("wind [kn]", long) < 24.0 * (seconds("wind [kn]", short) + 0.005)


@pytest.mark.parametrize(
    ("heading", "unit"),
    [
        ("wind [kn]", "knot"),
        ("wind(m/s)", "m/s"),
        ("wind [10 m] [kn]", None),  # 10 and m are no words of a mean wind
        ("wind__speed__kmh", "km/h"),
        ("wind KTS", "knot"),
    ],
)
def test_where_the_unit_stands(heading: str, unit: str | None) -> None:
    [row] = read_table([f"{heading},other", "1,1"], [MEAN], [], list)
    assert (row["mean wind"].column.unit if row else None) == unit
