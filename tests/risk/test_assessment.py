"""The odds that spells give, counted by hand."""

from __future__ import annotations

import numpy as np
import pytest
import scipy.stats

import anchorsim as am
from anchorsim.numerics.estimates import quantile
from anchorsim.numerics.interval import Interval
from anchorsim.risk.assessment import SELDOM, assess, odds

SHORT = am.Scenario().vary({"weather.duration": "1 min", "weather.mean_wind": "30 knot"})


@pytest.fixture(scope="module")
def spells() -> am.Spells:
    return am.spells(SHORT, 60)


def test_odds_are_those_counted(spells: am.Spells) -> None:
    found = assess(spells)
    assert found.dragging.likely == np.count_nonzero(spells.drag >= 1.0) / 60
    assert 0 < found.dragging.likely < 1
    assert found.peak.likely == np.quantile(spells.peak_load, 0.95)
    assert found.room.likely == np.quantile(spells.room, 0.95)


def test_the_peaks_law_is_that_of_scipy(spells: am.Spells) -> None:
    location, scale = scipy.stats.gumbel_r.fit(spells.peak_load)
    found = assess(spells).peak_by("Gumbel")
    assert (found.location, found.scale) == (
        pytest.approx(location, rel=1e-5),
        pytest.approx(scale, rel=1e-5),
    )
    plain = quantile(spells.peak_load, 0.9)
    law = found.quantile(0.9)
    assert law.low < plain.high and plain.low < law.high  # two ways to one figure, each within its doubt


def test_too_few_storms_are_said_to_be(spells: am.Spells) -> None:
    found = assess(spells)
    assert found.too_few(0.9) is None
    assert found.too_few() == (
        "60 storms are too few to say what 99 in 100 of them stay under; needed 368; run more storms, "
        "or take the figure as a lower bound."
    )
    assert "or more: too few storms to say how much" in found.sentence()
    few = assess(am.spells(SHORT, 10))
    with pytest.raises(ValueError, match="10 storms are too few; needed 30 at the least"):
        few.peak_by("GEV")


def test_the_sentence_carries_each_figure_with_its_band(spells: am.Spells) -> None:
    found = assess(spells)
    assert found.sentence().startswith(
        f"The anchor drags in {odds(found.dragging)} of such storms. In 95 of 100 the pull on the bow stays"
    )
    assert " lbf" in found.sentence("us") and " ft " in found.sentence("us")
    assert SELDOM == 0.95
    assert odds(Interval(0.0149, 0.034, 0.06)) == "3 of 100 (1.5 to 6)"
    assert odds(Interval(0.0, 0.0, 0.018)) == "0 of 100 (0 to 1.8)"
