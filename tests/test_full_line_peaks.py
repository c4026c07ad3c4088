"""The quick line against the full one: peaks at bow and anchor, lift and ending, over cases of all kinds.

The full line has its figures in `full_line_peaks.csv`; a case counts by the mean of its spells.  Limits are
those that were set before the line was made.
"""

from __future__ import annotations

from functools import cache
from typing import Any

import numpy as np
import pytest
from full_line_cases import CHOSEN, HELD, RODES, SEAS, figures, key, read

from anchorsim.gales import CREEP
from anchorsim.swing import simulate

LEAST = 100.0  # N: a pull at the anchor that is less is none


@cache
def compared(held: bool) -> tuple[tuple[dict[str, Any], np.ndarray, np.ndarray], ...]:
    """Cases with the figures of their spells, (5, 4), by the full line and by the quick one."""
    known = read()
    return tuple(
        (case, np.array(known[key(case)]), np.array(figures(case, simulate)))
        for case in (HELD if held else CHOSEN)
    )


def off(held: bool, column: int, **of: str) -> np.ndarray:
    """How far the quick line's means are from the full one's: of loads as a share, of lift in degrees."""
    found = []
    for case, full, quick in compared(held):
        one, other = float(np.mean(full[:, column])), float(np.mean(quick[:, column]))
        if all(case[name] == value for name, value in of.items()) and (column == 2 or one > LEAST):
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


def ending(dragged: float) -> str:
    return "held" if dragged == 0.0 else "crept" if dragged < CREEP else "dragged"


@pytest.mark.parametrize("held", [False, True], ids=["chosen by", "held out"])
def test_ending(held):
    same = [
        ending(one) == ending(other)
        for _, full, quick in compared(held)
        for one, other in zip(full[:, 3], quick[:, 3], strict=True)
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
