"""The picture of one night for several set-ups holds the figures of their hours, each in its own line."""

from __future__ import annotations

import numpy as np
import plotly.graph_objects as go
import pytest

import anchorsim as am
from anchorsim.figures import marked, nights_together, theme, units_of
from anchorsim.figures.style import DASHES, METRIC
from anchorsim.planning.night import Night, overnight
from anchorsim.scenario.forecast import make_forecast

KNOT = 1852.0 / 3600.0  # m/s, international nautical mile of 1929, exact
FOOT = 0.3048  # m, international yard and pound agreement of 1959, exact
NINE = 21 * 3600.0  # s


@pytest.fixture(scope="module")
def found() -> dict[str, Night]:
    rows = [
        {"time": f"21:0{2 * row}", "mean_wind": f"{wind} knot", "gust": f"{1.4 * wind:g} knot",
         "direction": "200 degree"}
        for row, wind in enumerate((15, 40, 20))
    ]  # fmt: skip
    forecast, base = make_forecast(rows), am.Scenario().vary({"boat.draught": "1.9 m"})
    return {
        letter: overnight(base.vary({"tackle.scope": scope, "spot.depth": depth}), forecast, count=3)
        for letter, scope, depth in (("A", 4, "6 m"), ("C", 7, "9 m"))
    }


def line(view: go.Figure, name: str) -> go.Scatter:
    (trace,) = (trace for trace in view.data if trace.name == name)
    return trace


def test_each_set_up_has_the_figures_of_its_hours_in_its_own_line(found: dict[str, Night]) -> None:
    view = nights_together(found, {"A": "four <b>", "C": "seven"}, units=units_of("US"))
    for letter, place in (("A", 0), ("C", 2)):
        chances = [hour.assessment.chance("failed") for hour in found[letter].hours if hour.assessment]
        marks, steps = line(view, f"{letter} range"), line(view, f"{letter} fails")
        np.testing.assert_allclose(marks.y, [100 * each.likely for each in chances])
        tops = np.add(marks.y, marks.error_y.array)
        np.testing.assert_allclose(tops, [100 * each.high for each in chances])
        assert (steps.line.color, steps.line.dash) == (theme().setups[place], DASHES[place])
        np.testing.assert_allclose(line(view, f"{letter} water").y, found[letter].hours[0].si.depth / FOOT)
        assert line(view, f"{letter} scope").y[0] == pytest.approx(found[letter].hours[0].scope)
    np.testing.assert_allclose(line(view, "mean wind").y[::2], [15, 40, 20])
    assert "four &lt;b&gt;" in view.layout.title.text and "<b>C</b> seven" in view.layout.title.text


def test_limit_gale_draught_and_the_hour_looked_at_lie_behind(found: dict[str, Night]) -> None:
    shapes = marked(found, METRIC, theme(), 1)
    levels = {(shape["yref"], round(shape["y0"], 6)) for shape in shapes if shape["type"] == "line"}
    assert levels == {("y", 34.0), ("y2", 5.0), ("y3", 1.9)}  # force 8 begins at 34 knots
    (hour,) = (shape for shape in shapes if shape["type"] == "rect")
    assert (hour["x0"], hour["x1"]) == (NINE + 120.0, NINE + 240.0)
    assert len([shape for shape in marked(found, METRIC, theme()) if shape["type"] == "rect"]) == 0


def test_one_alone_has_no_key(found: dict[str, Night]) -> None:
    view = nights_together({"A": found["A"]}, look=theme(dark=True))
    assert "<b>A</b>" not in view.layout.title.text and view.layout.paper_bgcolor == theme(dark=True).paper
