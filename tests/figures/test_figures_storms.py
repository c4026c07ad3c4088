"""The pictures of what matters and of variants hold the figures of their results, in plain words."""

from __future__ import annotations

import dataclasses
import math
from typing import Literal

import numpy as np
import plotly.graph_objects as go
import pytest

import anchorsim as am
from anchorsim.figures import side_by_side, theme, units_of, what_matters
from anchorsim.numerics.interval import Interval
from anchorsim.risk.comparison import Comparison, compare
from anchorsim.risk.sensitivity import Influence, Key, Ranking, RankingSI, Sensitivity

KNOT = 1852.0 / 3600.0  # m/s, international nautical mile of 1929, exact
FOOT = 0.3048  # m, international yard and pound agreement of 1959, exact
SHORT = am.Scenario().vary({"weather.duration": "1 min", "weather.mean_wind": "33 knot", "tackle.scope": 4})


def words(view: go.Figure) -> list[str]:
    return [note.text for note in view.layout.annotations if note.text]


KEYS: tuple[Key, ...] = ("wind", "holding", "line drag")


def ranking(of: Literal["peak load", "dragging"], *totals: float) -> Ranking:
    return Ranking(of, RankingSI(3000.0, 500.0), tuple(
        Influence(
            key,
            Interval(0.4 * total, 0.5 * total, 0.6 * total),
            Interval(total - 0.05, total, total + 0.1),
        )
        for key, total in zip(KEYS, totals, strict=True)
    ))  # fmt: skip


MATTERS = Sensitivity(
    SHORT, 704, ranking("peak load", 0.6, 0.3, 0.02), ranking("dragging", 0.5, 0.4, 0.2), 0.3, ()
)


def test_bars_are_the_indices_in_their_order() -> None:
    view = what_matters(MATTERS)
    whole, alone, dragging, _ = view.data
    np.testing.assert_allclose(whole.x, [60, 30, 2])
    np.testing.assert_allclose(alone.x, [30, 15, 1])
    np.testing.assert_allclose(dragging.x, [50, 40, 20])
    np.testing.assert_allclose(whole.error_x.array, 10)
    np.testing.assert_allclose(whole.error_x.arrayminus, [5, 5, 2])  # nothing has less than no part
    assert view.layout.yaxis.range[0] > view.layout.yaxis.range[1]  # the first is on top
    assert list(view.layout.yaxis.ticktext) == [
        "1. mean wind against the forecast",
        "2. how well the anchor has set",
        "3. drag of the rode in the water",
    ]
    assert (dragging.xaxis, dragging.yaxis) == ("x2", "y2")
    assert view.layout.yaxis2.domain[1] < view.layout.yaxis.domain[0]
    assert words(view)[:3] == ["60 %", "30 %", "too small to tell"]


def test_where_nothing_decides_dragging_there_is_one_panel() -> None:
    view = what_matters(dataclasses.replace(MATTERS, dragging=None), look=theme(dark=True))
    assert len(view.data) == 2
    assert view.layout.yaxis.domain == (0, 1)
    assert view.layout.paper_bgcolor == theme(dark=True).paper


@pytest.fixture(scope="module")
def comparison() -> Comparison:
    return compare({"as she lies": SHORT, "heavy": SHORT.vary({"tackle.anchor.mass": "200 kg"})}, 50)


def test_marks_are_the_variants_figures_in_the_units_asked_for(comparison: Comparison) -> None:
    view = side_by_side(comparison, units=units_of("US"))
    drags, wind, room, weakest = view.data
    one, other = comparison.variants
    assert list(drags.x) == [100 * each.assessment.chance("dragged").likely for each in (one, other)]
    assert one.limit and one.limit.found
    assert wind.x[0] == pytest.approx(one.limit.found.likely / KNOT)
    assert wind.error_x.array[0] == pytest.approx((one.limit.found.high - one.limit.found.likely) / KNOT)
    assert room.x[1] == pytest.approx(other.assessment.bad_radius.likely / FOOT)
    assert weakest.x[0] == pytest.approx(100 * one.assessment.most_loaded.use.likely)
    assert list(view.layout.yaxis.ticktext) == ["as she lies", "heavy"]
    assert one.assessment.most_loaded.name in words(view)


def test_within_and_over_the_limit_differ_by_more_than_colour(comparison: Comparison) -> None:
    assert [variant.assessment.within_limit for variant in comparison.variants] == [False, True]
    marks = side_by_side(comparison).data[0].marker
    assert list(marks.symbol) == ["diamond", "circle"]
    assert len(set(marks.color)) == 2


def test_a_name_is_shown_as_it_was_typed(comparison: Comparison) -> None:
    typed = dataclasses.replace(comparison.variants[0], name="<b>8 & 9</b>")
    view = side_by_side(dataclasses.replace(comparison, variants=(typed,)))
    assert list(view.layout.yaxis.ticktext) == ["&lt;b&gt;8 &amp; 9&lt;/b&gt;"]
    assert list(view.data[0].customdata) == ["&lt;b&gt;8 &amp; 9&lt;/b&gt;"]


def test_what_has_no_end_or_was_not_found_is_said_in_words(comparison: Comparison) -> None:
    one = comparison.variants[0]
    assert math.isinf(one.assessment.bad_radius.high)  # of 50 spells
    recorded = SHORT.vary({"weather.record": "wind.csv"})
    unlimited = dataclasses.replace(one.assessment, scenario=recorded)
    bare = dataclasses.replace(one, assessment=unlimited, limit=None)
    view = side_by_side(dataclasses.replace(comparison, variants=(bare,)))
    assert len(view.data[1].x) == 0
    assert "a recorded wind is not raised" in words(view)
    assert f"at least {one.assessment.bad_radius.likely:.2g} m" in words(view)
    assert view.data[2].error_x.array[0] == 0
