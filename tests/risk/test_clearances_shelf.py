"""Where a bottom that slopes comes up to what she draws: the plane's own geometry, and a steady wind."""

from __future__ import annotations

import math

import numpy as np
import pytest

import anchorsim as am
from anchorsim.core.units import si
from anchorsim.dynamics.run import positions
from anchorsim.environment.tide import tide_curve
from anchorsim.numerics.clearance import Shape, separation
from anchorsim.planning.hours import circumstances, groundings, heights_of_tide
from anchorsim.risk.clearances import SHELF, Clearance, neighbours, shelf, surrounded
from anchorsim.risk.draws import draw
from anchorsim.scenario.forecast import make_forecast
from anchorsim.scenario.scenario import Scenario, ScenarioError
from anchorsim.scenario.vessel import corners
from anchorsim.wording import advice
from anchorsim.wording import assessment as wording
from anchorsim.wording.warnings import warnings

# Wind from the south-west, so she lies to the north-east; 6 m of water over a bottom that rises there by 3°.
STEADY = am.Scenario().vary({
    "weather.duration": "1 min", "weather.mean_wind": "30 knot", "weather.gust": "30 knot",
    "tackle.anchor.mass": "150 kg", "boat.draught": "2 m", "spot.depth": "6 m", "spot.slope": "3 degree",
    "spot.deepens_towards": "225 degree", "tackle.chain.length": "100 m",
})  # fmt: skip
RISE = math.tan(math.radians(3.0))


def from_anchor(scenario: Scenario) -> float:
    """How far the shelf lies from the anchor, m."""
    found = shelf(scenario)
    assert found is not None
    return float(separation(Shape(np.zeros((1, 1, 2)), False), found).min())


def of_shelf(scenario: Scenario, count: int = 1) -> Clearance:
    (only,) = am.assess(scenario, count).clearances
    return only


def least_water(scenario: Scenario) -> float:
    """The least depth (m) under any corner of her in spell 0, by the plane through the anchor's depth."""
    run = am.simulate(scenario, **draw(0)._asdict())
    north, east = positions(run.si, corners(scenario.boat))
    return float((scenario.water_depth - RISE * (north + east) * math.sqrt(0.5)).min())


def test_it_begins_where_the_plane_says() -> None:
    found = shelf(STEADY)
    assert found is not None and found.area
    assert from_anchor(STEADY) == pytest.approx((6.0 - 2.0) / RISE, rel=1e-9)  # 76 m
    low = STEADY.vary({"spot.depth": "5 m", "spot.tide": "4 m", "surroundings.low_water": "0.5 m"})
    assert from_anchor(low) == pytest.approx((5.5 - 2.0) / RISE, rel=1e-9)
    depth = 6.0 - RISE * found.corners[0] @ [math.sqrt(0.5), math.sqrt(0.5)]
    assert depth[[0, 3]] == pytest.approx(2.0, rel=1e-9)
    assert (depth[[1, 2]] < 0.0).all()


def test_none_on_a_flat_bottom_and_none_far_off() -> None:
    assert shelf(STEADY.vary({"spot.slope": "0 degree"})) is None
    assert shelf(STEADY.vary({"spot.slope": "0 degree", "boat.draught": "2 m", "spot.depth": "2 m"})) is None
    assert shelf(STEADY.vary({"spot.slope": "0.5 degree"})) is None  # 460 m off
    assert surrounded(STEADY) and not surrounded(STEADY.vary({"spot.slope": "0.5 degree"}))


@pytest.mark.parametrize("scope", [5, 7, 9])
def test_how_near_she_comes_is_the_water_under_her_over_the_slope(scope: float) -> None:
    scenario = STEADY.vary({"tackle.scope": scope})
    clearance = of_shelf(scenario)
    assert (clearance.thing.name, clearance.thing.kind) == (SHELF, "shoal")
    spare = least_water(scenario) - 2.0
    assert clearance.si.closest[0] == pytest.approx(max(spare / RISE, 0.0), abs=0.02)
    assert (clearance.si.closest[0] == 0.0) == (scope == 9)


def test_she_goes_aground_on_a_lee_shore_and_not_off_a_weather_shore() -> None:
    shore = {"tackle.scope": 9, "weather.direction": "225 degree"}
    on = am.assess(STEADY.vary(shore), 2)
    assert on.clearances[0].touched.likely == 1.0
    assert on.happened("aground").all()
    off = am.assess(STEADY.vary({**shore, "weather.direction": "45 degree"}), 2)
    assert off.clearances[0].touched.likely == 0.0
    assert not off.happened("aground").any()


def test_aground_is_told_of_the_water_of_now_and_of_low_water() -> None:
    """6 m at the anchor; 2 m more of tide float her over what she goes aground on at low water."""
    shore = STEADY.vary({"tackle.scope": 9})
    found = am.assess(shore, 8)
    assert found.count("aground") == len(found) == 8
    assert all(outcome.grounded_on == (SHELF,) for outcome in found.outcomes)
    assert wording.gist(found) == "Goes aground"
    assert wording.sentence(found).startswith("The boat goes aground in all 8 spells, on the shelving bottom")
    assert found.spells.water[0] == pytest.approx(least_water(shore), rel=1e-9)
    assert (found.spells.water < 2.0).all(), "in the water of now, too"
    flood = am.assess(shore.vary({"spot.tide": "2 m", "tackle.scope": 7}), 8)
    assert (flood.spells.water > 2.0).all()
    assert flood.clearances[0].si.closest[0] < 10.0
    np.testing.assert_array_equal(flood.happened("aground"), flood.clearances[0].si.closest < 0.01)
    away = am.assess(shore.vary({"weather.direction": "45 degree"}), 8)
    assert away.count("aground") == 0 and not any("aground" in told.text for told in warnings(away))


def test_shortening_in_is_tried_where_the_bottom_shelves() -> None:
    """Less rode keeps her over deeper water: geometry."""
    found = am.advise(STEADY.vary({"tackle.scope": 9}), 4)
    assert any("Shorten" in advice.action(one) and one.within_limit for one in found)


def test_a_neighbour_lies_in_the_water_at_her_own_anchor() -> None:
    """40 m down the slope there are 40 tan 3° metres more, and 100 m up it hardly any."""
    at = {"bearing": "225 degree", "distance": "40 m"}
    deeper = STEADY.vary({"surroundings.neighbours": [{"name": "Other", "at": at}]})
    (other,) = neighbours(deeper)
    assert si(other.spot.depth) == pytest.approx(6.0 + 40.0 * RISE)
    up = {"bearing": "45 degree", "distance": "100 m"}
    dry = STEADY.vary({"surroundings.neighbours": [{"name": "Other", "at": up}]})
    with pytest.raises(ScenarioError, match=r"surroundings\.neighbours\.0"):
        neighbours(dry)


def test_turned_with_the_wind_it_is_as_near() -> None:
    turned = STEADY.vary({"weather.direction": "318 degree", "spot.deepens_towards": "318 degree"})
    first, other = (of_shelf(each).si.closest[0] for each in (STEADY, turned))
    assert other == pytest.approx(first, abs=0.01)


def test_a_shift_brings_her_on_to_it() -> None:
    """Along the shore she lies in the depth of her anchor; 90° later the same rode reaches the shelf."""
    along = STEADY.vary({"tackle.scope": 9, "weather.direction": "135 degree", "weather.duration": "20 min"})
    assert of_shelf(along).si.closest[0] > 0.0
    shift = {"weather.shift": "90 degree", "weather.shift_start": "1 min", "weather.shift_duration": "5 min"}
    assert of_shelf(along.vary(shift)).si.closest[0] == 0.0


def test_hours_aground_where_the_wind_has_her_lie() -> None:
    """The tide falls while the wind goes from along the shore to on to it, off it and on to it again."""
    base = STEADY.vary({"tackle.scope": 9, "boat.bow_height": "1.5 m"})
    rows = [
        {"time": f"{hour:02d}:00", "mean_wind": "15 knot", "direction": f"{way} degree"}
        for hour, way in ((10, 135), (11, 225), (12, 45), (13, 225))
    ]
    hours = make_forecast(rows)
    curve = tide_curve([("10:00", "1.5 m"), ("13:00", "0 m"), ("19:00", "3 m")])
    heights = heights_of_tide(base, hours, curve)
    found = circumstances(base, hours, heights)
    out = 9.0 * (7.5 + 1.5)
    roller, after = si(base.boat.roller), 0.5 * si(base.boat.waterline)
    less = [RISE * (math.sqrt(out**2 - (7.5 + h) ** 2) + roller + after) for h in heights]
    expected = 6.0 + heights - np.where([False, True, False, True], less, 0.0)
    np.testing.assert_allclose([each.depth for each in found], expected, rtol=1e-9)
    assert [each.aground for each in found] == [False, False, False, True]
    # the tide stands at 0.75 + 0.75 cos(πt/3 h) m, t from 10:00 on; from 11:00 to 12:00 she lies on to it
    first, second = groundings(base, hours, curve, heights)
    touches = math.acos((less[1] - 4.0) / 0.75 - 1.0) / math.pi * 3 * 3600.0
    assert first.si.start - hours.si.time[0] == pytest.approx(touches, abs=60.0)
    assert first.si.end == hours.si.time[2]
    assert second.si.start == hours.si.time[3] and second.si.least == pytest.approx(expected[3], rel=1e-6)


@pytest.mark.parametrize(("more", "near"), [(-0.01, True), (0.01, False)])
def test_a_shelf_is_looked_at_within_twice_her_rode_and_length(more: float, near: bool) -> None:
    """Judgement: that far from the anchor it begins where the water comes down to what she draws."""
    reach = 2.0 * (5.0 * STEADY.height + si(STEADY.boat.length))
    scenario = STEADY.vary({"tackle.scope": 5})
    assert scenario.paid_out == pytest.approx(5.0 * STEADY.height)
    slope = math.degrees(math.atan(4.0 / (reach + more)))
    assert (shelf(scenario.vary({"spot.slope": f"{slope:.12f} degree"})) is not None) == near


def test_a_shelf_reaches_on_to_all_sides() -> None:
    """Five kilometres on and to either side, or as far as is asked for; a rectangle square to the slope."""
    for far, found in ((5000.0, shelf(STEADY)), (30.0, shelf(STEADY, 30.0))):
        assert found is not None
        out, aside = np.array([1.0, 1.0]) / math.sqrt(2), np.array([-1.0, 1.0]) / math.sqrt(2)
        begins = 4.0 / RISE
        assert found.corners[0] @ out == pytest.approx([begins, begins + far, begins + far, begins])
        assert found.corners[0] @ aside == pytest.approx([-far, -far, far, far])
