"""The chance over a stretch as told from spells of ten minutes, against stretches sailed without a break.

Both have their figures in `data/reference/long_stretch.csv`.  The draws of the stretches are the same in all
cases, and none is that of a spell.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pytest

from anchorsim.numerics.estimates import chance
from anchorsim.numerics.hazard import over_stretch
from anchorsim.numerics.interval import Interval
from anchorsim.risk.draws import scores_of
from anchorsim.validation.long_stretch import (
    CASES,
    FIRST,
    HAPPENS,
    MEASURED,
    MINUTES,
    SPELLS,
    STRETCHES,
    figures,
    read,
)

LIFTED = "sloop, scope 3"  # each creep under its lift leaves the anchor less well set


@dataclass(frozen=True)
class Compared:
    """A chance over some hours as predicted from spells of ten minutes, and as sailed without a break."""

    case: str
    what: str
    hours: float
    one: Interval
    predicted: Interval
    sailed: Interval

    @property
    def agrees(self) -> bool:
        """Whether the two bands have something in common."""
        return self.predicted.low <= self.sailed.high and self.sailed.low <= self.predicted.high


def compared(what: str, hours: float = 6.0) -> list[Compared]:
    """All cases, of one of ``HAPPENS`` within some hours, up to six."""
    least, column = HAPPENS[what]
    known, found = read(), []
    for case in CASES:
        spells, stretches = known[case, "spell"], known[case, "stretch"]
        happened = spells.figures[:, 1] >= least
        margin, drawn = np.log(spells.figures[:, 0]), scores_of(spells.number)
        predicted = over_stretch(happened, margin, drawn, 60.0 * hours / MINUTES["spell"])
        sailed = chance(stretches.figures[:, MEASURED.index(column)] <= 60.0 * hours)
        found.append(Compared(case, what, hours, chance(happened), predicted, sailed))
    return found


def overloads(passed_by: float, hours: float = 6.0) -> list[Compared]:
    """All cases, of a load on the part nearest to breaking that this share of spells passes."""
    known, found = read(), []
    for case in CASES:
        spells, stretches = known[case, "spell"], known[case, "stretch"]
        load, later = spells.figures[:, 3], stretches.figures[:, 3]
        level = float(np.quantile(load, 1.0 - passed_by))
        margin = np.log(load / level)
        predicted = over_stretch(
            margin >= 0.0, margin, scores_of(spells.number), 60.0 * hours / MINUTES["spell"], capped=False
        )
        found.append(
            Compared(case, f"{passed_by:g}", hours, chance(margin >= 0.0), predicted, chance(later >= level))
        )
    return found


def apart(found):
    return {one.case: (one.predicted, one.sailed) for one in found if not one.agrees}


@pytest.mark.parametrize("hours", [1.0, 3.0, 6.0])
def test_a_metre_off(hours):
    found = compared("is a metre off", hours)
    assert not apart(found)
    off = [one.predicted.likely - one.sailed.likely for one in found]
    assert abs(np.mean(off)) < 0.05 and np.abs(off).max() < 0.15


def test_moving_at_all():
    assert not apart(compared("moves"))


def test_dragging_at_once_but_where_creep_pulls_it_out_by_and_by():
    found = compared("drags")
    assert apart(found).keys() <= {LIFTED}
    (lifted,) = (one for one in found if one.case == LIFTED)
    assert lifted.predicted.high < 0.8 and lifted.sailed.likely > 0.9


@pytest.mark.parametrize("passed_by", [0.005, 0.05])
def test_a_load_that_few_spells_pass(passed_by):
    found = overloads(passed_by)
    assert not apart(found)
    assert np.mean([one.predicted.likely - one.sailed.likely for one in found]) == pytest.approx(
        0.0, abs=0.08
    )


def test_spells_are_not_independent():
    """What the chance would be if they were lies over the band of what was sailed, in half of the cases."""
    found = compared("is a metre off")
    over = [1.0 - (1.0 - one.one.likely) ** 36 > one.sailed.high for one in found]
    assert sum(over) >= len(CASES) // 2
    assert sum(1.0 - (1.0 - one.one.likely) ** 36 > one.sailed.likely + 0.3 for one in found) >= 4


def test_an_anchor_may_creep_a_metre_off_that_never_drags():
    """So a stretch is not to be judged by whether the anchor drags at once."""
    ends = np.concatenate([read()[case, "stretch"].figures[:, [1, 2]] for case in CASES])
    off = ends[:, 0] >= 1.0
    assert 0.1 < np.mean(ends[off, 1] < 1.0) < 0.3


def test_the_cases_span_calm_to_hopeless():
    likely = [one.predicted.likely for one in compared("is a metre off")]
    assert min(likely) < 0.01 and max(likely) > 0.99
    assert sum(0.1 < each < 0.9 for each in likely) >= 5


@pytest.mark.parametrize("length", MINUTES)
def test_the_file_is_whole(length):
    first, count = (0, SPELLS) if length == "spell" else (FIRST, STRETCHES)
    for case in CASES:
        assert read()[case, length].number.tolist() == list(range(first, first + count))


@pytest.mark.parametrize(("length", "number"), [("spell", 3), ("stretch", FIRST + 1)])
@pytest.mark.parametrize("case", ["sloop, near gale", "weekender, current", "as found, neglected"])
def test_the_file_is_of_the_boat_as_she_sails_today(case, length, number):
    sailed = read()[case, length]
    (kept,) = sailed.figures[sailed.number == number]
    assert figures(case, length, number) == pytest.approx(tuple(kept), rel=1e-5)
