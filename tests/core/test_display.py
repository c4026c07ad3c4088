"""Results show themselves: one line where Python prints them, a small table in a notebook."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from html_page import Page

import anchorsim as am

MINUTE = am.Scenario().vary({"weather.duration": "60 s", "title": "A <b>gale</b> & more"})
SHOWN: list[Any] = [
    MINUTE,
    am.waves(MINUTE),
    am.tide_curve([("15:00", "4.2 m"), ("21:00", "1.0 m")]),
    am.make_forecast(
        [{"time": f"{hour}:00", "mean_wind": "9 knot", "direction": "0 degree"} for hour in (18, 19)]
    ),
]


@pytest.mark.parametrize("shown", SHOWN, ids=lambda one: type(one).__name__)
def test_a_line_and_a_small_table(shown: Any) -> None:
    line = repr(shown)
    assert line.startswith(f"<{type(shown).__name__}") and "\n" not in line and len(line) < 200
    cells = Page(shown._repr_html_())
    assert cells.seen == {"table", "caption", "tr", "th", "td"} and not cells.open
    assert len(shown._repr_html_()) < 2000


def test_a_run_shows_itself_and_lists_what_it_carries() -> None:
    run = am.simulate(MINUTE, seed=4)
    assert repr(run).startswith("<Run 4: peak load at the bow ")
    cells = Page(run._repr_html_())
    assert "A <b>gale</b> & more" in cells.text and "b" not in cells.seen
    for name in ("time", "bow_load", "wind_speed", "anchor_y", "peak_load", "swing_radius", "si"):
        assert name in dir(run)
        assert getattr(run, name) is not None
    assert str(run.bow_load.units) == "newton"
    np.testing.assert_array_equal(run.bow_load.magnitude, run.si.bow_load)
    with pytest.raises(AttributeError, match="no attribute 'bow_laod'"):
        _ = run.bow_laod
