"""A forecast, typed or from a CSV file."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from anchorsim.core.resources import folder
from anchorsim.core.units import quantity
from anchorsim.scenario.forecast import Forecast, ForecastError, ForecastSI, make_forecast, read_forecast

KNOT = 1852.0 / 3600.0  # m/s, international nautical mile of 1929, exact
MILE = 1609.344  # m, international mile of 1959, exact
FOOT = 0.3048  # m, international foot of 1959, exact
HOUR = 3600.0  # s
HEADING = "time,mean wind [knot],gust [knot],wind direction [degree]"


def row(time: str, wind: str = "15 knot", direction: str = "225 degree", **more: Any) -> dict[str, Any]:
    return {"time": time, "mean_wind": wind, "direction": direction, **more}


def same(one: Forecast, other: Forecast) -> bool:
    names = [field.name for field in dataclasses.fields(ForecastSI) if field.name != "clock"]
    return all(
        np.allclose(getattr(one.si, k), getattr(other.si, k), rtol=1e-12, equal_nan=True) for k in names
    )


def test_typed_rows_become_si() -> None:
    found = make_forecast([
        row("23:00", gust=quantity(22.0, "mph"), tide="10 ft", current="1.5 knot", current_set="90 degree"),
        row("00:00", "18 knot", tide="2.5 m", current="0 knot"),
        row("01:30", "9 m/s", "30 degree", tide="2 m", current="0.5 m/s", current_set="270 degree"),
    ])  # fmt: skip
    np.testing.assert_allclose(found.si.time, [23 * HOUR, 24 * HOUR, 25.5 * HOUR])
    np.testing.assert_allclose(
        found.si.lasts, [HOUR, 1.5 * HOUR, 1.5 * HOUR]
    )  # the last as the one before it
    assert (found.si.end, len(found)) == (27 * HOUR, 3)
    np.testing.assert_allclose(found.si.mean_wind, [15 * KNOT, 18 * KNOT, 9.0])
    np.testing.assert_allclose(found.si.gust, [22 * MILE / HOUR, np.nan, np.nan])
    np.testing.assert_allclose(found.si.direction, np.radians([225, 225, 30]))
    np.testing.assert_allclose(found.si.tide, [10 * FOOT, 2.5, 2.0])
    np.testing.assert_allclose(found.si.current, [1.5 * KNOT, 0.0, 0.5])
    np.testing.assert_allclose(found.si.current_set, np.radians([90, 0, 270]))
    with pytest.raises(ValueError, match="read-only"):
        found.si.mean_wind[0] = 0.0


def test_tide_and_current_can_be_left_out() -> None:
    found = make_forecast([row("20:00"), row("21:00", tide=None)])
    assert all(np.isnan(getattr(found, name)).all() for name in ("tide", "current", "current_set", "gust"))


@pytest.mark.parametrize(
    "heading, factors",
    [
        ("time,mean wind [knot],gust [knot],wind direction [degree],tide [m],current [knot],current set", 0),
        ("Time (UTC);wind_kn;gusts_kt;wind_dir;height of tide (m);tidal stream rate (kn);set_deg", 0),
        ("time\tAverage wind (mph)\tgust (m/s)\tDirection\ttide_ft\tcurrent speed [m/s]\tset towards [°]", 1),
    ],
)
def test_columns_are_known_by_their_headings(heading: str, factors: int) -> None:
    parted = next(mark for mark in "\t;," if mark in heading)
    rows = [("20:00", "15", "22", "225", "1", "2", "90"), ("21:00", "18", "26", "230", "1", "2", "90")]
    found = read_forecast([heading, *(parted.join(cells) for cells in rows)])
    wind, gust, tide, current = [(KNOT, KNOT, 1.0, KNOT), (MILE / HOUR, 1.0, FOOT, 1.0)][factors]
    np.testing.assert_allclose(found.si.mean_wind, np.array([15, 18]) * wind)
    np.testing.assert_allclose(found.si.gust, np.array([22, 26]) * gust)
    np.testing.assert_allclose(found.si.tide, tide)
    np.testing.assert_allclose(found.si.current, 2 * current)
    np.testing.assert_allclose(found.si.current_set, np.pi / 2)


def test_a_file_and_typed_rows_of_the_same_are_the_same(tmp_path: Path) -> None:
    path = tmp_path / "forecast.csv"
    path.write_text(f"{HEADING}\n22:30,15,22,350\n23:30,18,,10\n00:30,20,30,20\n", encoding="utf-8")
    typed = [row("22:30", "15 knot", "350 degree", gust="22 knot"), row("23:30", "18 knot", "10 degree"),
             row("00:30", "20 knot", "20 degree", gust="30 knot")]  # fmt: skip
    assert same(read_forecast(path), make_forecast(typed))


def test_a_calm_takes_its_direction_from_its_neighbours() -> None:
    found = read_forecast([HEADING, "20:00,10,,350", "21:00,3,,", "22:00,10,,10"])
    np.testing.assert_allclose(np.degrees(found.si.direction) % 360, [350, 0, 10], atol=1e-9)


def test_a_night_is_cut_out_of_a_longer_forecast() -> None:
    days = make_forecast([row(f"{hour % 24:02d}:00", f"{hour} knot") for hour in range(12, 48)])
    assert len(days) == 36
    night = days.between("21:30", "05:00")
    np.testing.assert_allclose(night.si.time / HOUR, np.arange(21, 29))  # the row of 21:00 stands at 21:30
    np.testing.assert_allclose(night.si.mean_wind, np.arange(21, 29) * KNOT)
    np.testing.assert_allclose(days.between("08:00", "11:00").si.time / HOUR, [32, 33, 34])  # the day after
    dated = make_forecast([row(f"2031-05-14T{hour}:00") for hour in range(18, 24)])
    assert len(dated.between("2031-05-14T19:00", "23:00")) == 4


def test_the_shared_forecasts_can_be_read() -> None:
    shared = {path.stem: read_forecast(path) for path in folder("shared").glob("forecast-*.csv")}
    gale, quiet = shared["forecast-gale-passing"], shared["forecast-quiet-night"]
    assert (len(gale), gale.clock.text(float(gale.si.time[int(np.argmax(gale.si.gust))]))) == (12, "02:00")
    assert quiet.si.gust.max() < gale.si.mean_wind.min()
    assert np.isnan(quiet.si.tide).all() and np.isfinite(gale.si.tide).all()


def test_what_is_typed_and_wrong_is_told() -> None:
    cases: list[tuple[list[Mapping[str, Any]], str]] = [
        ([row("20:00")], "forecast: too few rows. Expected at least 2; got 1. Use a longer forecast."),
        ([row("20:00"), row("21:00", gsut="3 knot")],
         'forecast.1.gsut: unknown name gsut. Expected one of time, mean_wind, gust, '
         "direction, tide, current, current_set; did you mean gust? Correct or delete it."),
        ([row("20:00"), {"time": "21:00", "direction": "3 degree"}],
         "forecast.1.mean_wind: missing. Expected a value. Write one."),
        ([row("20:00"), row("21:00", "20")], 'forecast.1.mean_wind: "20" has no unit. Expected 0'),
        ([row("20:00"), row("21:00", "20 m")], 'forecast.1.mean_wind: "20 m" is a length. Expected a speed'),
        ([row("20:00"), row("eight")], 'forecast.1: "eight" is not a time. Expected a time of day'),
        ([row("20:00"), row("19:00")],
         "forecast.1: no row for 23 h, from 20:00. Expected at least one every 3 h."),
        ([row("2031-05-14T20:00"), row("2031-05-14T19:00")], "forecast.1: the time goes back. Expected a"),
        ([row("20:00"), row("20:00:30")], "forecast.1: too soon after the row before. Expected at"),
        ([row("20:00"), row("21:00", gust="12 knot")],
         "forecast.1: gusts of 12 knot are below the mean wind. Expected at least 15 knot."),
        ([row("20:00"), row("21:00", tide="1 m")],
         "forecast.0: no tide, which other rows have. Expected it in all rows or in none. Fill it in."),
        ([row("20:00", current="1 knot"), row("21:00", current="1 knot", current_set="3 degree")],
         "forecast.0: the current has no set. Expected the direction it flows to. Fill that in."),
    ]  # fmt: skip
    for rows, sentence in cases:
        with pytest.raises(ForecastError) as told:
            make_forecast(rows)
        assert sentence in str(told.value)


GOOD = "20:00,15,22,225"
REFUSED = [
    ([], "whole file: it is empty. Expected a heading line and at least two rows. Choose another file."),
    ([HEADING, GOOD], "forecast: too few rows. Expected at least 2; got 1. Use a longer forecast."),
    (
        [HEADING.replace(" [knot],gust", ",gust"), GOOD],
        'line 1, column "mean wind": there is no unit. Expected knot, m/s, mph or km/h. Write the '
        'heading like "mean wind [knot]".',
    ),
    (
        [HEADING + ",tide", GOOD + ",1"],
        'line 1, column "tide": there is no unit. Expected m or ft. Write the heading like "tide [m]".',
    ),
    ([HEADING, GOOD, "21:00,15,22"], "line 3: there are 3 cells. Expected 4 as in the heading line."),
    ([HEADING, GOOD, "9 pm,15,22,225"], 'line 3: "9 pm" is not a time. Expected a time of day or ISO 8601.'),
    (
        [HEADING, GOOD, ",15,22,225"],
        'line 3, column "time": it is blank. Expected a time. Fill it in or delete the line.',
    ),
    (
        [HEADING, GOOD, "21:00,,22,225"],
        'line 3, column "mean wind [knot]": it is blank. Expected a mean wind.',
    ),
    (
        [HEADING, GOOD, "21:00,15,12,225"],
        'line 3, column "gust [knot]": "12" is below the mean wind. Expected at least 15 knot. '
        "Correct it, or leave the cell blank where no gust was recorded.",
    ),
    (
        [HEADING, GOOD, "21:00,90,95,225"],
        "line 3: 90 knot of mean wind is out of range. Expected at most 80 knot. Correct it.",
    ),
    (
        [HEADING, GOOD, "21:00,15,22,"],
        "line 3: the wind of 15 knot has no direction. Expected one in every wind above 6 knots. "
        "Fill in where it blows from.",
    ),
    ([HEADING, "20:00,2,,", "21:00,2,,"], "forecast: no row has a wind direction. Expected at least one."),
    (
        [HEADING, GOOD, "21:00,15,22,400"],
        '"400" is out of range. Expected the degrees it blows from, 0 to 360.',
    ),
    (
        [HEADING + ",tide [m]", GOOD + ",1", "21:00,15,22,225,22"],
        '"22" is out of range. Expected -5 to 15 m.',
    ),
    (
        [HEADING + ",tide [m]", GOOD + ",1", "21:00,15,22,225,"],
        "line 3: no tide, which other rows have. Expected it in all rows or in none. Fill it in.",
    ),
    ([HEADING + ",current [knot]", GOOD + ",1", "21:00,15,22,225,1"], "line 2: the current has no set"),
    (
        [HEADING, GOOD, "23:30,15,22,225"],
        "line 3: no row for 3.5 h, from 20:00. Expected at least one every 3 h. Add what is "
        "missing, or sort the rows.",
    ),
]


@pytest.mark.parametrize("lines, sentence", REFUSED)
def test_what_is_wrong_in_a_file_is_told_with_its_line(
    lines: list[str], sentence: str, tmp_path: Path
) -> None:
    with pytest.raises(ForecastError) as told:
        read_forecast(lines)
    assert sentence in str(told.value)
    path = tmp_path / "mine.csv"
    path.write_text("\n".join(lines), encoding="utf-8")
    with pytest.raises(ForecastError) as told:
        read_forecast(path)
    assert str(told.value).startswith("mine.csv, ") and sentence in str(told.value)


def test_a_file_that_is_not_there_is_told(tmp_path: Path) -> None:
    with pytest.raises(
        ForecastError, match=r"could not be read \(no such file or directory\)\. Expected a CSV"
    ):
        read_forecast(tmp_path / "none.csv")


@pytest.mark.parametrize(
    "dusk, dawn, sentence",
    [
        ("19:00", "23:00", "Expected times within 20:00 to 00:00; got 19:00 to 23:00"),
        ("21:00", "00:30", "Expected times within 20:00 to 00:00; got 21:00 to 00:30"),
        ("dusk", "00:30", 'dusk: "dusk" is not a time. Expected a time of day'),
        ("21:00", "2031-05-15T00:30", "dawn: \"2031-05-15T00:30\" does not match the table. Expected clock"),
    ],
)  # fmt: skip
def test_a_night_that_it_does_not_reach_over_is_refused(dusk: str, dawn: str, sentence: str) -> None:
    with pytest.raises(ForecastError) as told:
        make_forecast([row(f"{hour}:00") for hour in range(20, 24)]).between(dusk, dawn)
    assert sentence in str(told.value)
