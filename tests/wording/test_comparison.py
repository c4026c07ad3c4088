"""A comparison in words: each cell of typed-in spells, and when two set-ups can be told apart."""

from __future__ import annotations

import pytest
from invented_spells import invented

from anchorsim.numerics.interval import Interval
from anchorsim.risk.comparison import Comparison, Variant
from anchorsim.risk.limit_search import Limit, LimitSI
from anchorsim.wording import comparison
from anchorsim.wording.amounts import of_spells

KNOT = 1852 / 3600
LIMIT = Limit(
    "weather.mean_wind",
    0.05,
    Interval(30 * KNOT, 31 * KNOT, 33 * KNOT),
    LimitSI((5 * KNOT, 80 * KNOT), "m/s"),
    "",
    100,
)
LOADS = [1000.0 + 10.0 * number for number in range(100)]
RADII = [40.0 + 0.1 * number for number in range(100)]
CALM = invented(peak=LOADS, count=100)
DRAGS = invented(peak=LOADS, radius=RADII, drag=[2.0] * 12 + [0.0], count=100)
TIGHT = invented(
    peak=LOADS, radius=[55.0] * 3 + [49.0], drag=[0.0, 2.0, 0.0], clear_radius=50.0, count=100,
    weather__mean_wind="0 knot",
)  # fmt: skip


def table(**named: Variant) -> Comparison:
    return Comparison(tuple(named.values()), 100, 0.05)


FOUND = table(
    calm=Variant("calm", CALM, LIMIT),
    drags=Variant("drags", DRAGS, LIMIT),
    tight=Variant("tight", TIGHT, None),
)


def test_a_row_has_what_the_headings_name() -> None:
    heads = comparison.columns(FOUND)
    assert heads[4] == "Mean wind at which it drags in 5 of 100"
    assert comparison.columns(Comparison((), 100, 0.125))[4].endswith("in 12.5 of 100")
    rows = comparison.table(FOUND)
    assert [tuple(row) for row in rows] == [heads] * 3
    for row, variant in zip(rows, FOUND.variants, strict=True):
        assert tuple(row.values()) == comparison.cells(variant)


def test_every_cell_by_hand() -> None:
    """12 of 100 with Wilson's (1927) band, 0.0699 to 0.1981 by his formula; loads from 1 to 1.99 kN in steps.

    A quantile of 0.95 between order statistics: 1.9405 kN and 49.405 m, and its band by the binomial law, of
    which the 91st and the 99th or last of 100 are 1.9 and 1.98 or 1.99 kN, 49 and 49.8 or 49.9 m.
    """
    row = comparison.table(FOUND)[1]
    assert row["Set-up"] == "drags"
    assert row["Drags"] == row["Fails"] == "12 in 100 (7 to 20)"
    assert row["Overloaded"] == "0 in 100 (0 to 4)"
    assert row["Mean wind at which it drags in 5 of 100"] == "31 kn (30 to 33)"
    assert row["Swinging radius"] == "49 m (49 to 50)"
    assert row["Peak load at the bow"] == "1.9 kN (1.9 to 2.0)"
    part = DRAGS.most_loaded
    share = 100 * 1940.5 / part.state.wll.likely
    assert row["Most loaded part"].startswith(f"{part.name}: {share:.0f} % (")
    assert row["Most loaded part"].endswith(") of WLL")


def test_units_are_those_asked_for() -> None:
    """1 ft is 0.3048 m, 1 lbf 4.4482216 N."""
    row = comparison.table(FOUND, "US")[1]
    assert row["Swinging radius"] == "162 ft (160 to 164)", "48.9 to 49.9 m over 0.3048"
    assert row["Peak load at the bow"].split()[1] == "lbf"
    assert float(row["Peak load at the bow"].split()[0]) == pytest.approx(1940.5 / 4.4482216, rel=0.02)


def test_a_boat_out_of_her_room_is_told_with_the_failures() -> None:
    """Three outside, of which one drags too: three fail."""
    row = comparison.table(FOUND)[2]
    assert row["Drags"] == "1 in 100 (0 to 5)"
    swings = f"the boat swings outside the clear radius in {of_spells(TIGHT.chance('outside'))}"
    assert row["Fails"] == f"3 in 100 (1 to 8): {swings}"
    assert row["Mean wind at which it drags in 5 of 100"] == "no wind to raise"


def test_what_is_not_fit_is_told_with_the_most_loaded_part() -> None:
    rusted = invented(count=100, survey__findings=[{"kind": "anchor shank bent", "grade": "marked"}])
    assert rusted.unfit
    row = dict(
        zip(comparison.columns(FOUND), comparison.cells(Variant("rusted", rusted, LIMIT)), strict=True)
    )
    assert row["Most loaded part"].endswith(
        f"of WLL. Do not use: {', '.join(part.name for part in rusted.unfit)}"
    )
    assert "Do not use" not in comparison.table(FOUND)[0]["Most loaded part"]


def test_too_few_spells_leave_a_figure_at_the_least() -> None:
    few = Variant("few", invented(peak=LOADS, count=8), LIMIT)
    told = comparison.cells(few)
    assert told[5] == "at least 49 m" and told[6] == "at least 1.1 kN"
    assert "or more) of WLL" in told[7]


def test_two_that_differ_for_sure_and_two_that_do_not() -> None:
    """None and twelve of 100 differ by the exact sign test, p = 2^-11; two and three that overlap do not."""
    clear = "calm fails in 0 of 100 spells (0 to 4), drags in 12 of 100 spells (7 to 20): a clear difference."
    assert comparison.sentence(FOUND, "calm", "drags") == clear
    assert comparison.sentence(FOUND, "drags", "calm") == clear, "whichever is named first"
    two = invented(peak=LOADS, drag=[2.0, 2.0, 0.0], count=100)
    close = table(one=Variant("one", two, None), other=Variant("other", TIGHT, None))
    assert comparison.sentence(close, "other", "one") == (
        "Too close to call after 100 spells: one fails in 2 of 100 spells (1 to 7), other in 3 of 100 spells (1 to "
        "8)."
    )
