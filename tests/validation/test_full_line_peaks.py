"""The quick line against the full one: peaks at bow and anchor, lift and ending, over cases of all kinds.

The full line has its figures in `data/reference/full_line_peaks.csv`; a case counts by the mean of its
spells.  Limits are those that were set before the line was made.
"""

from __future__ import annotations

import numpy as np
import pytest

from anchorsim.dynamics.anchor_travel import held_crept_or_dragged
from anchorsim.dynamics.simulation import simulate
from anchorsim.dynamics.wave_motion import snatches
from anchorsim.risk.assessment import assess
from anchorsim.scenario.scenario import Scenario
from anchorsim.validation.full_line_cases import (
    CHOSEN,
    RODES,
    SEAS,
    Compared,
    agreements,
    compared,
    figures,
    key,
    read,
    scenario,
)
from anchorsim.wording import assessment as wording

LEAST = 100.0  # N: a pull at the anchor that is less is none


def of_them(held: bool) -> list[Compared]:
    return [one for one in compared() if one.held == held]


def off(held: bool, column: int, **of: str) -> np.ndarray:
    """How far the quick line's means are from the full one's: of loads as a share, of lift in degrees."""
    found = []
    for case in of_them(held):
        one, other = case.mean(column)
        if all(case.case[name] == value for name, value in of.items()) and (column == 2 or one > LEAST):
            found.append(other - one if column == 2 else other / one - 1.0)
    return np.abs(found)


@pytest.mark.parametrize("held", [False, True], ids=["chosen by", "held out"])
@pytest.mark.parametrize("column", [0, 1], ids=["at the bow", "at the anchor"])
def test_peaks(held, column):
    shares = 100.0 * off(held, column)
    told = np.median(shares), np.quantile(shares, 0.9), shares.max()
    assert all(np.array(told) <= (2.0, 6.0, 15.0)), "median {:.1f}, 90 % {:.1f}, worst {:.1f} %".format(*told)


def test_lift():
    """Within a degree in nine of ten of all, 94 % of those chosen by and 35 of the 40 held out.

    What is off by more are anchors that drag with a lift of 20° and more.
    """
    each = [off(held, 2) for held in (False, True)]
    assert np.mean(np.concatenate(each) <= 1.0) >= 0.9
    assert np.mean(each[1] <= 1.5) >= 0.9


@pytest.mark.parametrize("held", [False, True], ids=["chosen by", "held out"])
def test_ending(held):
    same = [
        held_crept_or_dragged(one) == held_crept_or_dragged(other)
        for case in of_them(held)
        for one, other in zip(case.full[:, 3], case.quick[:, 3], strict=True)
    ]
    assert np.mean(same) >= 0.98, f"{np.sum(np.logical_not(same))} of {len(same)} end otherwise"


@pytest.mark.parametrize(
    "kind", [*({"rode": rode} for rode in RODES), *({"sea": sea} for sea in SEAS)], ids=str
)
def test_no_rode_and_no_sea_is_worse_than_the_others(kind):
    shares = 100.0 * np.concatenate([off(held, 0, **kind) for held in (False, True)])
    assert np.median(shares) <= 3.0


def test_the_file_is_of_the_full_line_as_it_is():
    """Cases that converge and do not drag, run anew: the file was made by the hull, sea and line of today."""
    known, calm = read(), [case for case in CHOSEN if case["sea"] == "none" and case["anchor"] == "holds"]
    for case in calm[:2]:
        full = figures(case, lambda *given, **more: simulate(*given, **more, line="full"))
        assert np.array(full)[:, :3] == pytest.approx(np.array(known[key(case)])[:, :3], rel=2e-3, abs=0.01)


def test_the_table_that_people_read_is_of_the_same_figures():
    told = {one.name: one for one in agreements(compared())}
    assert told["All cases"].count == told["Chosen by"].count + told["Held out"].count == 200
    shares = off(True, 0)
    assert told["Held out"].median == pytest.approx(np.median(shares))
    assert told["Held out"].worst == pytest.approx(shares.max())
    assert sum(told[rode].count for rode in RODES) == sum(told[f"sea: {sea}"].count for sea in SEAS) == 200


def test_where_single_peaks_come_out_otherwise_it_is_said():
    """One spell a fifth off the other line, with an anchor that holds: all are told of, and few others."""
    holds = [one for one in compared() if one.case["anchor"] == "holds"]
    apart = [bool(np.abs(one.quick[:, 0] / one.full[:, 0] - 1.0).max() > 0.2) for one in holds]
    told = [snatches(scenario(one.case)) for one in holds]
    assert sum(apart) >= 3
    assert all(said for said, off_by_much in zip(told, apart, strict=True) if off_by_much)
    assert sum(told) < 0.15 * len(told)


def test_the_note_stands_with_the_assessment():
    sea = {"weather.wave_height": "1 m", "weather.wave_period": "4.5 s", "spot.depth": "3 m"}
    snubbed = Scenario().vary({**sea, "weather.duration": "1 min"})
    bare = snubbed.vary({"tackle.snubber.length": "0 m"})
    for one, said in ((bare, True), (snubbed, False)):
        assert (
            any("Bare chain snatches in this sea" in note for note in wording.notes(assess(one, 1))) == said
        )
