"""A night: the forecast's hours with the tide, on the rode let out at dusk.  Its hours are minutes here."""

from __future__ import annotations

import itertools
import math
import threading
from concurrent.futures import ThreadPoolExecutor

import numpy as np
import pytest

import anchorsim as am
from anchorsim.core.units import si
from anchorsim.dynamics.wave_motion import waves
from anchorsim.environment.tide import TideError, tide_curve
from anchorsim.planning.night import Night, overnight
from anchorsim.risk.monte_carlo import numbers_from, spells_each
from anchorsim.scenario.forecast import Forecast, make_forecast
from anchorsim.strength.degradation import as_found

KNOT = 1852.0 / 3600.0  # m/s, international nautical mile of 1929, exact
BASE = am.Scenario().vary({
    "boat.bow_height": "1.5 m", "boat.draught": "1.9 m", "spot.depth": "6 m", "tackle.scope": 5,
    "tackle.chain.length": "60 m",
})  # fmt: skip


def minutes(
    winds: list[float], directions: list[float] | None = None, step: int = 1, **more: str
) -> Forecast:
    """A forecast from 22:00 on, a row every ``step`` minutes: mean wind in knots, gusts 1.4 times that."""
    turned = directions or [225.0] * len(winds)
    return make_forecast([
        {
            "time": f"22:{step * row:02d}", "mean_wind": f"{wind} knot", "gust": f"{1.4 * wind:.6g} knot",
            "direction": f"{direction} degree", **more,
        }
        for row, (wind, direction) in enumerate(zip(winds, turned, strict=True))
    ])  # fmt: skip


def column(found: Night, name: str) -> np.ndarray:
    return np.array([getattr(hour.si, name) for hour in found.hours])


def test_the_scope_achieved_is_that_of_the_rode_let_out_at_dusk() -> None:
    """By hand: 5 · (6 + 0.5 + 1.5) m = 40 m at low water; over 6 + 4.5 + 1.5 = 12 m that is 3⅓."""
    rising = tide_curve([("22:00", "0.5 m"), ("22:04", "4.5 m"), ("22:08", "0.5 m")])
    found = overnight(BASE, minutes([15] * 5, step=2), rising, count=2)
    assert found.si.paid_out == pytest.approx(40.0, rel=1e-12)
    np.testing.assert_allclose(column(found, "tide"), [0.5, 2.5, 4.5, 2.5, 0.5], rtol=1e-9)
    np.testing.assert_allclose(column(found, "depth"), [6.5, 8.5, 10.5, 8.5, 6.5], rtol=1e-9)
    np.testing.assert_allclose(column(found, "scope"), [5, 4, 10 / 3, 4, 5], rtol=1e-9)
    for hour in found.hours:
        assert hour.scenario is not None and hour.assessment is not None
        assert hour.scenario.paid_out == pytest.approx(40.0, rel=1e-9)
        assert hour.assessment.spells.scenario.water_depth == pytest.approx(hour.si.depth, rel=1e-9)


def test_tide_and_forecast_are_laid_together_by_their_dates() -> None:
    """The tide table is in UTC and from the day before, the forecast an hour ahead of UTC."""
    curve = tide_curve(
        [("2031-05-13T23:00Z", "4 m"), ("2031-05-14T05:00Z", "1 m"), ("2031-05-14T11:00Z", "4 m")]
    )
    rows = [{"time": f"2031-05-14T{hour:02d}:00+01:00", "mean_wind": "5 knot", "direction": "0 degree"}
            for hour in (3, 6, 9)]  # fmt: skip
    found = overnight(BASE, make_forecast(rows), curve, count=1)
    np.testing.assert_allclose(column(found, "tide"), [2.5, 1.0, 2.5], rtol=1e-9)


def test_no_more_is_let_out_than_there_is_aboard() -> None:
    """By hand: of 40 m there are 30, so 30 / 8 = 3.75 at low water and 30 / 12 = 2.5 at high water."""
    short = BASE.vary({"tackle.chain.length": "30 m", "tackle.rope.length": "0 m"})
    found = overnight(short, minutes([15] * 3), tide_curve([("22:00", "0.5 m"), ("22:02", "4.5 m")]), count=1)
    assert found.si.paid_out == pytest.approx(30.0)
    np.testing.assert_allclose(column(found, "scope")[[0, 2]], [3.75, 2.5], rtol=1e-9)


def test_an_hour_is_the_spells_of_its_own_scenario() -> None:
    found = overnight(BASE, minutes([15, 25, 20], [225, 250, 270]), count=3)
    by_hand = BASE.vary({
        "weather.mean_wind": "25 knot", "weather.gust": "35 knot", "weather.direction": "250 degree",
        "weather.duration": "60 s",
    })  # fmt: skip
    (expected,) = spells_each([as_found(by_hand)], numbers_from(0, 3), known=[None])
    assessment = found.hours[1].assessment
    assert assessment is not None
    for name in ("peak_load", "radius", "drag", "holding"):  # knots come back from m/s with a last bit lost
        np.testing.assert_allclose(getattr(assessment.spells, name), getattr(expected, name), rtol=1e-6)
    np.testing.assert_array_equal(assessment.spells.number, [0, 1, 2])


def test_the_scenarios_own_shift_squall_and_record_give_way() -> None:
    wild = BASE.vary({
        "weather.duration": "30 min", "weather.shift": "90 degree", "weather.shift_start": "0 min",
        "weather.squall_wind": "60 knot", "weather.record": "wind.csv", "weather.record_start": "3 h",
    })  # fmt: skip
    calm, same = (overnight(scenario, minutes([15, 15]), count=2) for scenario in (BASE, wild))
    for one, other in zip(calm.hours, same.hours, strict=True):
        assert one.assessment is not None and other.assessment is not None
        np.testing.assert_array_equal(one.assessment.spells.peak_load, other.assessment.spells.peak_load)


def test_in_a_steady_night_all_hours_are_the_same() -> None:
    found = overnight(BASE.vary({"spot.tide": "1 m"}), minutes([20] * 4), count=3)
    first = found.hours[0].assessment
    assert first is not None and found.complete
    for hour in found.hours[1:]:
        assert hour.assessment is not None and hour.assessment.spells.same_as(first.spells)
    assert len({(hour.si.bearing, hour.si.distance, hour.scope, hour.si.tide) for hour in found.hours}) == 1
    assert found.hours[0].si.tide == 1.0 and not found.groundings
    assert found.worst is found.hours[0] and found.first_over_limit is None
    assert found.causes(found.hours[0]) == ()


def test_the_hour_over_the_limit_is_that_of_the_forecasts_peak() -> None:
    found = overnight(BASE, minutes([15, 25, 50, 30, 15]), count=4)
    assert found.first_over_limit is found.worst is found.hours[2]
    assert [hour.over_limit for hour in found.hours] == [False, False, True, False, False]
    assert found.worst is not None and found.worst.assessment is not None
    assert found.worst.assessment.chance("dragged").likely == 1.0
    loads = [hour.assessment.bad_peak_load.likely for hour in found.hours if hour.assessment]
    assert loads[0] < loads[1] and loads[4] < loads[3]
    assert found.causes(found.hours[2]) == ("strongest gusts",)
    assert found.failing is not None and found.failing.likely == 1.0


def test_the_hour_over_the_limit_is_that_of_high_water() -> None:
    """The wind is the same all night; at 4 m more of water the scope falls from 4 to 2.5."""
    curve = tide_curve([("22:00", "0 m"), ("22:06", "5 m"), ("22:12", "0 m")])
    held = BASE.vary({"tackle.scope": 4, "spot.depth": "4 m"})
    found = overnight(held, minutes([26] * 7, step=2), curve, count=6)
    assert column(found, "scope").argmin() == 3
    assert found.worst is found.hours[3] and found.worst.over_limit
    drags = [hour.assessment.spells.drag.mean() for hour in found.hours if hour.assessment]
    assert drags[0] < drags[1] < drags[2] < drags[3] > drags[4] > drags[5] > drags[6]
    np.testing.assert_allclose(
        drags, drags[::-1], rtol=1e-6
    )  # the tide falls as it rose, the spells are the same
    assert found.causes(found.hours[3]) == ("lowest scope",)
    np.testing.assert_allclose(
        (found.hours[3].scope, found.hours[3].si.depth), (4 * 5.5 / 10.5, 9.0), rtol=1e-9
    )


def test_the_night_fails_in_the_spells_that_fail_in_any_hour() -> None:
    found = overnight(BASE, minutes([15, 40, 34, 15], [225, 225, 180, 225]), count=8)
    fails = np.array([hour.assessment.happened("failed") for hour in found.hours if hour.assessment])
    by_hand = sum(bool(fails[:, spell].any()) for spell in range(8))
    assert found.failing is not None and 0 < by_hand < 8
    assert found.failing.likely == by_hand / 8
    assert found.failing.likely >= fails.mean(axis=1).max()
    steady = overnight(BASE, minutes([30, 30]), count=8)
    first = steady.hours[0].assessment
    assert first is not None and steady.failing == first.chance(
        "failed"
    )  # the same spells fail in every hour


def test_she_lies_to_leeward_as_far_as_the_rode_lets_her() -> None:
    """In a wind without gusts; Pythagoras bounds how far a taut rode and half her length reach."""
    steady = make_forecast([
        {"time": f"22:0{row}", "mean_wind": "30 knot", "gust": "30 knot", "direction": f"{degrees} degree"}
        for row, degrees in enumerate((0, 90, 200))
    ])  # fmt: skip
    found = overnight(BASE.vary({"tackle.snubber.length": "0 m"}), steady, count=1)
    np.testing.assert_allclose(np.degrees(column(found, "bearing")), [180, 270, 20], atol=0.1)
    taut = math.sqrt(found.si.paid_out**2 - 7.5**2) + 0.5 * si(BASE.boat.length)
    assert (column(found, "distance") < 1.01 * taut).all() and (column(found, "distance") > 0.95 * taut).all()


def test_what_lies_to_leeward_is_met_when_the_wind_has_shifted() -> None:
    rock = {"name": "Gannet Rock", "at": [{"bearing": "90 degree", "distance": "40 m"}]}
    scenario = BASE.vary({"surroundings.dangers": [rock]})
    steps: list[tuple[int, int]] = []
    found = overnight(
        scenario, minutes([20, 20], [180, 270]), count=2, progress=lambda *step: steps.append(step)
    )
    clear, hit = found.hours
    assert clear.assessment is not None and hit.assessment is not None
    assert (clear.assessment.count("touched"), hit.assessment.count("touched")) == (0, 2)
    assert all(outcome.hit == ("Gannet Rock",) for outcome in hit.assessment.outcomes)
    assert found.first_over_limit is found.worst is hit
    assert steps[-1] == (4, 4) and all(a[0] < b[0] for a, b in itertools.pairwise(steps))


def test_a_shoal_is_met_at_low_water_only() -> None:
    """She draws 1.9 m: over 1 m charted she floats at a tide of 2 m and not at 0 m."""
    ends = [{"bearing": "39 degree", "distance": f"{away} m"} for away in (35, 60)]
    shoal = {"name": "Mussel Bank", "shape": "line", "depth": "1 m", "at": ends}
    falling = tide_curve([("22:00", "2 m"), ("22:01", "0 m"), ("22:02", "2 m")])
    found = overnight(BASE.vary({"surroundings.dangers": [shoal]}), minutes([20] * 3), falling, count=1)
    assert [hour.assessment.count("aground") for hour in found.hours if hour.assessment] == [0, 1, 0]
    lower = tide_curve([("22:00", "1 m"), ("22:01", "-0.5 m"), ("22:02", "1 m")])
    deeper = BASE.vary({"surroundings.dangers": [{**shoal, "depth": "2.2 m"}]})
    found = overnight(deeper, minutes([20] * 3), lower, count=1)
    assert [hour.assessment.count("aground") for hour in found.hours if hour.assessment] == [0, 1, 0]
    np.testing.assert_allclose(column(found, "depth"), [7, 5.5, 7])


def test_aground_at_low_water_is_said_to_the_minute() -> None:
    """Water 2 + 0.5 + 1.5 cos(πt/6 h): she draws 1.9 m, so aground while that cosine is under −0.4."""
    curve = tide_curve([("22:00", "2 m"), ("04:00", "-1 m"), ("10:00", "2 m")])
    rows = [
        {"time": f"{hour % 24:02d}:00", "mean_wind": "5 knot", "direction": "0 degree"}
        for hour in range(22, 33)
    ]
    found = overnight(BASE.vary({"spot.depth": "2 m"}), make_forecast(rows), curve, count=1)
    (grounding,) = found.groundings
    touches = math.acos(-0.4) / math.pi * 6 * 3600.0
    assert grounding.si.start - 22 * 3600.0 == pytest.approx(touches, abs=60.0)
    assert grounding.si.end - 22 * 3600.0 == pytest.approx(12 * 3600.0 - touches, abs=60.0)
    assert (grounding.si.low_water, grounding.si.least) == (28 * 3600.0, pytest.approx(1.0))
    assert [hour.aground for hour in found.hours] == [False] * 4 + [True] * 5 + [False] * 2
    assert [hour.assessment is None for hour in found.hours] == [hour.aground for hour in found.hours]
    assert found.complete
    assert found.hours[6].si.depth == pytest.approx(1.0)


def test_a_table_without_dates_may_begin_on_the_evening_before() -> None:
    """The forecast begins at 00:30, between the high water of 21:30 and the low water of 03:30."""
    rows = [{"time": f"0{hour}:30", "mean_wind": "5 knot", "direction": "0 degree"} for hour in (0, 3)]
    dated = [{**row, "time": f"2031-05-14T{row['time']}+02:00"} for row in rows]
    for given in (rows, dated):
        found = overnight(
            BASE, make_forecast(given), tide_curve([("21:30", "4 m"), ("03:30", "1 m")]), count=1
        )
        np.testing.assert_allclose(column(found, "tide"), [2.5, 1.0], rtol=1e-9)


def test_the_sea_is_named_where_it_makes_the_load() -> None:
    """Wind and scope are the same all night; it veers from off the shore to over 15 km of open water."""
    open_water = [
        {"bearing": f"{bearing} degree", "distance": distance}
        for bearing, distance in ((90, "0 km"), (180, "15 km"), (270, "0 km"))
    ]
    exposed = BASE.vary({"spot.fetches": open_water})
    found = overnight(exposed, minutes([30] * 3, [90, 135, 180], step=10), count=1)
    flat, some, rough = found.hours
    assert flat.si.sea == flat.sea_adds == 0.0 < some.si.sea < rough.si.sea
    assert rough.scenario is not None
    assert rough.si.sea == waves(rough.scenario).si.height
    loads = []
    for fetches in (open_water, ()):
        alone = exposed.vary({"spot.fetches": fetches, "weather.mean_wind": "30 knot",
                              "weather.gust": "42 knot", "weather.direction": "180 degree",
                              "weather.duration": "10 min", "tackle.anchor.mass": "200 kg"})  # fmt: skip
        loads.append(sum(am.simulate(alone, seed=seed).si.peak_load for seed in range(4)))
    assert rough.sea_adds == pytest.approx(loads[0] / loads[1] - 1.0, rel=1e-3) and rough.sea_adds > 0.1
    assert found.causes(rough) == ("highest waves",)
    assert found.causes(flat) == ()


def test_the_current_of_the_forecast_is_hers() -> None:
    still = minutes([0.5, 0.5])
    stream = minutes([0.5, 0.5], current="2 knot", current_set="90 degree")
    lies = overnight(BASE, stream, count=1).hours[0]
    assert lies.si.current == pytest.approx(2 * KNOT)
    own = overnight(
        BASE.vary({"spot.current": "2 knot", "spot.current_set": "90 degree"}), still, count=1
    ).hours[0]
    assert (lies.si.bearing, lies.si.distance) == pytest.approx((own.si.bearing, own.si.distance), rel=1e-3)
    slack = overnight(BASE, still, count=1).hours[0]
    assert (lies.si.bearing, lies.si.distance) != pytest.approx((slack.si.bearing, slack.si.distance))


def test_cancelling_keeps_what_is_done() -> None:
    whole = overnight(BASE, minutes([15, 20, 25, 30], step=2), count=8)
    calls: list[int] = []
    with ThreadPoolExecutor(1) as one:
        part = overnight(
            BASE, minutes([15, 20, 25, 30], step=2), count=8, executor=one,
            progress=lambda done, _: calls.append(done), cancel=lambda: len(calls) >= 4,
        )  # fmt: skip
    assert whole.complete and not part.complete
    held = [hour.assessment for hour in part.hours]
    assert held[0] is not None and held[-1] is None
    for here, there in zip(held, whole.hours, strict=True):
        if here is not None:
            assert there.assessment is not None
            count = len(here.spells)
            np.testing.assert_array_equal(here.spells.peak_load, there.assessment.spells.peak_load[:count])
    assert part.first_over_limit is None and part.failing is None


def test_cancelled_before_anything_is_done() -> None:
    busy = threading.Event()
    with ThreadPoolExecutor(1) as one:
        one.submit(busy.wait)
        found = overnight(BASE, minutes([15, 20]), count=1, executor=one, cancel=lambda: True)
        busy.set()
    assert [hour.assessment for hour in found.hours] == [None, None]
    assert found.worst is found.first_over_limit is found.failing is None and not found.complete
    np.testing.assert_allclose(column(found, "scope"), 5.0)


@pytest.mark.parametrize(
    "scenario, more, waters, error, sentence",
    [
        (BASE, {"tide": "1 m"}, [("22:00", "1 m"), ("23:00", "3 m")], TideError,
         "tide: the forecast has a tide too. Expected one of the two. Omit the tide table"),
        (BASE, {}, [("2031-05-14T22:00", "1 m"), ("2031-05-14T23:00", "3 m")], TideError,
         "tide: its times are not of the forecast's kind. Expected clock times without a date; got dates"),
        (BASE, {}, [("21:00", "1 m"), ("22:01", "3 m")], TideError,
         "tide: 22:02 is after the table. Expected 21:00 to 22:01."),
        (BASE.vary({"spot.depth": "3 m"}), {}, [("22:00", "-2 m"), ("23:00", "3 m")], am.ScenarioError,
         "at 22:00, when the night begins: too shallow. Expected at least the draught, 1.9 m; got 1 m."),
        (BASE.vary({"tackle.scope": 2}), {}, [("22:00", "0 m"), ("22:02", "15 m")], am.ScenarioError,
         "tackle.scope (Scope): at 22:01: too little rode is out. Expected a scope of at least 1.2; got 1."),
        (BASE.vary({"spot.depth": "3 m", "tackle.scope": 20, "tackle.chain.length": "150 m"}), {},
         [("22:00", "2 m"), ("22:02", "-1 m")],
         am.ScenarioError, "tackle.scope (Scope): at 22:02: 37.14"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_told_with_its_hour(
    scenario: am.Scenario,
    more: dict[str, str],
    waters: list[tuple[str, str]],
    error: type[Exception],
    sentence: str,
) -> None:
    with pytest.raises(error) as told:
        overnight(scenario, minutes([10] * 3, **more), tide_curve(waters), count=1)
    assert sentence in str(told.value)


def test_a_number_of_spells_that_makes_no_sense_is_refused() -> None:
    with pytest.raises(ValueError, match=r"^count: 0 is out of range\. Expected a whole number, 1 or more\."):
        overnight(BASE, minutes([10, 10]), count=0)
