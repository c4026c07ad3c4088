"""The picture of a night holds the figures of its hours, and says in words what it marks."""

from __future__ import annotations

import dataclasses

import numpy as np
import plotly.graph_objects as go
import pytest

import anchorsim as am
from anchorsim.environment.tide import tide_curve
from anchorsim.figures import theme, through_the_night, units_of
from anchorsim.planning.night import Hour, Night, overnight
from anchorsim.scenario.forecast import make_forecast

KNOT = 1852.0 / 3600.0  # m/s, international nautical mile of 1929, exact
FOOT = 0.3048  # m, international yard and pound agreement of 1959, exact
POUND_FORCE = 4.4482216152605  # N, from the pound of 1959 and standard gravity, exact
WINDS = (15, 50, 20, 15, 15)  # knots
NINE = 21 * 3600.0  # s


@pytest.fixture(scope="module")
def found() -> Night:
    """Five hours of two minutes each, the third of them aground."""
    rows = [
        {"time": f"21:0{2 * row}", "mean_wind": f"{wind} knot", "gust": f"{1.4 * wind:g} knot",
         "direction": f"{200 + 30 * row} degree"}
        for row, wind in enumerate(WINDS)
    ]  # fmt: skip
    scenario = am.Scenario().vary({"spot.depth": "3 m", "boat.draught": "1.9 m"})
    water = tide_curve([("21:00", "1 m"), ("21:04", "-2 m"), ("21:08", "1 m"), ("21:14", "-1 m")])
    return overnight(scenario, make_forecast(rows), water, count=3)


def words(view: go.Figure) -> list[str]:
    return [note.text for note in view.layout.annotations]


def line(view: go.Figure, name: str) -> go.Scatter:
    (trace,) = (trace for trace in view.data if trace.name == name)
    return trace


def test_marks_are_the_figures_of_the_hours_afloat(found: Night) -> None:
    view = through_the_night(found, units=units_of("US"))
    looked = [hour for hour in found.hours if hour.assessment]
    assert [hour.aground for hour in found.hours] == [False, False, True, False, False]
    fails, load = line(view, "fails"), line(view, "load")
    assert list(fails.x) == list(load.x) == [NINE + minute * 60 for minute in (1, 3, 7, 9)]  # their middles
    np.testing.assert_allclose(fails.y, [100 * hour.assessment.chance("failed").likely for hour in looked])
    peaks = [hour.assessment.bad_peak_load.likely for hour in looked]
    np.testing.assert_allclose(load.y, np.divide(peaks, POUND_FORCE))
    tops = [100 * hour.assessment.chance("failed").high for hour in looked]
    np.testing.assert_allclose(np.add(fails.y, fails.error_y.array), tops)
    assert not np.any(load.error_y.array)  # of three spells none bounds 95 of 100
    assert fails.yaxis == "y" and load.yaxis == "y2"


def test_what_stands_through_an_hour_is_drawn_through_it(found: Night) -> None:
    view = through_the_night(found)
    mean, gusts, scope = (line(view, name) for name in ("mean wind", "gusts", "scope"))
    np.testing.assert_allclose(np.array(mean.y[::2], dtype=float), WINDS)
    np.testing.assert_allclose(np.array(gusts.y[1::2], dtype=float), np.multiply(WINDS, 1.4))
    assert list(mean.x) == [NINE + minute * 60 for minute in (0, 2, 2, 4, 4, 6, 6, 8, 8, 10)]
    assert gusts.line.dash == "dot" and mean.line.dash == "solid" and gusts.yaxis == mean.yaxis == "y5"
    gap = list(scope.y).index(None)  # she is aground
    assert scope.x[gap] == NINE + 6 * 60 and list(scope.y).count(None) == 1
    assert scope.y[0] == found.hours[0].scope


def test_arrows_point_to_where_it_blows(found: Night) -> None:
    arrows = line(through_the_night(found), "wind direction")
    np.testing.assert_allclose(arrows.marker.angle, [20, 50, 80, 110, 140])  # 180° from where it comes from
    assert list(arrows.customdata) == [
        "200° (SSW)",
        "230° (SW)",
        "260° (W)",
        "290° (WNW)",
        "320° (NW)",
    ]


def test_the_water_follows_the_tides_curve_down_to_the_draught(found: Night) -> None:
    view = through_the_night(found, units=units_of("US"))
    water = line(view, "water")
    assert min(water.y) == pytest.approx(1.0 / FOOT) and max(water.y) == pytest.approx(4.0 / FOOT)
    (draught,) = (shape for shape in view.layout.shapes if shape.yref == "y4")
    assert draught.y0 == draught.y1 == pytest.approx(1.9 / FOOT)
    assert "draught 6.2 ft" in words(view)
    bare = line(through_the_night(dataclasses.replace(found, tide=None)), "water")
    depths = [hour.si.depth for hour in found.hours]
    np.testing.assert_allclose(bare.y, [*depths, depths[-1]])  # through the last hour
    assert bare.x[-1] == found.hours[-1].si.time + found.hours[-1].si.lasts


def test_the_hour_over_the_limit_and_the_times_aground_are_marked_by_more_than_colour(found: Night) -> None:
    view = through_the_night(found)
    assert found.first_over_limit is found.worst is found.hours[1]
    assert list(line(view, "fails").marker.symbol) == ["circle", "diamond", "circle", "circle"]
    assert "over your limit: 21:02" in words(view) and words(view).count("aground") == 1
    (grounding,) = found.groundings
    whole = [(shape.x0, shape.x1, shape.line.dash) for shape in view.layout.shapes if shape.type == "rect"]
    assert whole == [(grounding.si.start, grounding.si.end, None), (NINE + 120, NINE + 240, "solid")]


def test_a_quiet_night_is_told_from_one_over_the_limit_by_word_and_line(found: Night) -> None:
    hours = tuple(hour for hour in found.hours if not hour.over_limit)
    quiet = through_the_night(dataclasses.replace(found, hours=hours, groundings=()))
    assert any(text.startswith("highest risk: ") for text in words(quiet)) and "aground" not in words(quiet)
    assert [shape.line.dash for shape in quiet.layout.shapes if shape.type == "rect"] == ["dot"]


def test_the_clock_is_that_of_the_forecast(found: Night) -> None:
    ticks = through_the_night(found).layout.xaxis
    assert list(ticks.ticktext) == ["21:00", "21:02", "21:04", "21:06", "21:08", "21:10"]
    assert list(ticks.range) == [NINE, NINE + 600]
    first = found.hours[0].si
    times = (dataclasses.replace(first, time=NINE + 120.0 * row) for row in range(24))
    many = tuple(Hour(time) for time in times)
    ticks = through_the_night(dataclasses.replace(found, hours=many, tide=None)).layout.xaxis
    assert 5 <= len(ticks.ticktext) <= 9


def test_a_printed_page_has_a_cursor(found: Night) -> None:
    with_it, without = (through_the_night(found, still=still) for still in (NINE + 60, None))
    assert len(with_it.layout.shapes) == len(without.layout.shapes) + 1
    assert with_it.layout.shapes[-1].x0 == with_it.layout.shapes[-1].x1 == NINE + 60


def test_a_night_that_was_cancelled_at_once_is_drawn_without_marks(found: Night) -> None:
    hours = tuple(dataclasses.replace(hour, assessment=None) for hour in found.hours)
    view = through_the_night(dataclasses.replace(found, hours=hours), look=theme(dark=True))
    assert len(line(view, "fails").x) == 0 and len(line(view, "mean wind").x) == 10
    assert view.layout.paper_bgcolor == theme(dark=True).paper
    assert not any(text.startswith(("over your limit", "highest risk")) for text in words(view))
