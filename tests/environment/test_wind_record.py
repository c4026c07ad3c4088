"""The door for recorded winds: what it takes, and that it takes nothing else silently."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from anchorsim.environment.wind_record import WindRecordError, read_record

KNOT = 1852.0 / 3600.0
HEADING = "time [min],mean wind [knot],gust [knot],wind direction [degree]"


def test_a_plain_record() -> None:
    read = read_record([HEADING, "0,15,22,350", "10,18,25,10", "20.5,20,20,360"])
    assert read.time.tolist() == [0.0, 600.0, 1230.0] and read.length == 1230.0
    assert read.mean / KNOT == pytest.approx([15.0, 18.0, 20.0])
    assert read.gust / KNOT == pytest.approx([22.0, 25.0, 20.0])
    assert np.degrees(read.direction_from) % 360.0 == pytest.approx([350.0, 10.0, 0.0])
    assert all(
        part.dtype == np.float64 and not part.flags.writeable for part in (read.time, read.mean, read.gust)
    )


@pytest.mark.parametrize(
    ("heading", "factor"),
    [
        # international knot 1852 m/h, international mile 1609.344 m: exact by definition
        ("mean wind [knot]", 1852 / 3600),
        ("wind_speed [mph]", 1609.344 / 3600),
        ("mean (kn)", 1852 / 3600),
        ("wind_kts", 1852 / 3600),
        ("Wind speed (m/s)", 1.0),
        ("windSpeed m/s", 1.0),
        ("avg wind km/h", 1 / 3.6),
        ("10 min mean wind [km/h]", 1 / 3.6),
        ("Average (10 min) [MPH]", 1609.344 / 3600),
        ("sustained_wind_kt", 1852 / 3600),
    ],
)
def test_mean_by_its_heading(heading: str, factor: float) -> None:
    read = read_record([f"time [s],{heading},dir", "0,10,90", "60,20,90"])
    assert read.mean == pytest.approx([10.0 * factor, 20.0 * factor], rel=1e-12)


@pytest.mark.parametrize(
    "heading",
    ["gust [knot]", "gust_kn", "Gusts (kts)", "wind_gust [kn]", "windGust kt", "max gust (3 s) [knots]"],
)
def test_gust_by_its_heading(heading: str) -> None:
    assert read_record([f"time [s],mean_kn,{heading},dir", "0,10,14,90", "60,20,,90"]).gust[0] == 14.0 * KNOT


@pytest.mark.parametrize(
    "heading",
    ["wind_dir", "direction", "Wind direction [°]", "dir (deg)", "windDirection", "wind from (true) dir"],
)
def test_direction_by_its_heading(heading: str) -> None:
    read = read_record([f"time [s],mean_kn,{heading}", "0,10,90", "60,20,45"])
    assert np.degrees(read.direction_from) == pytest.approx([90.0, 45.0])


@pytest.mark.parametrize(
    ("heading", "cells", "seconds"),
    [
        ("time [s]", ("5", "65"), 60.0),
        ("elapsed (min)", ("0", "1.5"), 90.0),
        ("time_h", ("1", "1.25"), 900.0),
        ("date and time", ("2031-05-14 23:50", "2031-05-15 00:10"), 1200.0),
        ("timestamp", ("2031-05-14T23:50:00Z", "2031-05-15T02:10:00+02:00"), 1200.0),
        ("time_hour", ("2031-02-28T23:30:00", "2031-03-01T00:00:00"), 1800.0),
        ("valid time (UTC)", ("2032-02-28T23:30", "2032-02-29T00:30"), 3600.0),
    ],
)
def test_time_by_its_heading(heading: str, cells: tuple[str, str], seconds: float) -> None:
    read = read_record([f"{heading},mean_kn,dir", f"{cells[0]},10,90", f"{cells[1]},12,90"])
    assert read.time.tolist() == [0.0, seconds]


def test_columns_of_other_things_are_left_alone() -> None:
    heading = "station,time [s],air temp [C],pressure,mean_kn,boat_speed,current direction,wind chill,dir"
    read = read_record([heading, "A,0,12,1013,10,6,180,9,90", "A,60,,,11,,,,95"])
    assert read.mean / KNOT == pytest.approx([10.0, 11.0])


@pytest.mark.parametrize("separator", [",", ";", "\t"])
def test_separators(separator: str) -> None:
    lines = [HEADING, "0,15,22,350", "10,18,25,10"]
    assert read_record([line.replace(",", separator) for line in lines]).mean[1] == 18.0 * KNOT


def test_decimal_comma() -> None:
    read = read_record([HEADING.replace(",", ";"), "0;15,5;22,25;350", "10;18;25;10"])
    assert read.mean[0] == pytest.approx(15.5 * KNOT) and read.gust[0] == pytest.approx(22.25 * KNOT)


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
@pytest.mark.parametrize("ending", ["\n", "\r\n"])
def test_encodings(tmp_path: Path, encoding: str, ending: str) -> None:
    path = tmp_path / "Bö.csv"
    lines = ["time [min],mean_kn,dir [°],Ort", "0,15,350,Förde", "10,18,10,Förde", "", ""]
    path.write_bytes(ending.join(lines).encode(encoding))
    assert read_record(path).mean == pytest.approx([15.0 * KNOT, 18.0 * KNOT])
    assert read_record(str(path)).length == 600.0


# --- Gaps -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("blank", ["", " ", "NA", "NaN", "n/a", "null", "-", "--"])
def test_a_blank_gust_is_no_gust(blank: str) -> None:
    read = read_record([HEADING, f"0,15,{blank},350", "10,18,25,10"])
    assert math.isnan(read.gust[0]) and read.gust[1] == 25.0 * KNOT


def test_no_gust_column_is_no_gust() -> None:
    assert np.isnan(read_record(["time [s],mean_kn,dir", "0,15,10", "60,12,20"]).gust).all()


def test_a_row_without_mean_is_bridged() -> None:
    read = read_record([HEADING, "0,15,,350", "10,,,", "20,NA,30,77", "30,18,25,10", ",,,", ""])
    assert read.time.tolist() == [0.0, 1800.0] and read.mean / KNOT == pytest.approx([15.0, 18.0])


def test_direction_of_light_airs_is_bridged_the_short_way() -> None:
    read = read_record([HEADING, "0,5,,", "10,5,,340", "20,3,,", "30,5,,20", "40,2,,"])
    assert np.degrees(read.direction_from) == pytest.approx([340.0, 340.0, 0.0, 20.0, 20.0], abs=1e-9)


def test_direction_of_a_strong_wind_is_bridged_over_an_hour() -> None:
    read = read_record([HEADING, "0,25,,40", "20,25,,", "40,25,,", "60,25,,70"])
    assert np.degrees(read.direction_from) == pytest.approx([40.0, 50.0, 60.0, 70.0])


def test_three_usual_steps_are_bridged_and_no_more() -> None:
    hourly = ["time [h],mean_kn,dir", *(f"{hour},20,90" for hour in range(6))]
    assert read_record([*hourly, "8,20,90"]).length == 8.0 * 3600.0
    with pytest.raises(
        WindRecordError, match=r"^lines 7 to 8: no mean wind for 181\.2 min\. Expected one every"
    ):
        read_record([*hourly, "8.02,20,90"])


# --- Whatever comes --------------------------------------------------------------------------------------

CELLS = st.sampled_from(
    ["0", "10", "20.5", "360", "-1", "1e400", "nan", "", "NA", '"', "2031-05-14T18:30Z", "x"]
)


@settings(max_examples=200, deadline=None)
@given(st.lists(st.lists(CELLS, min_size=4, max_size=4), max_size=5))
@example([["0001-01-01T00:00+14:00", "1", "", "0"], ["9999-12-31T23:59-14:00", "1", "", "0"]])
@example([["1e14", "1", "", "0"], ["2e14", "1", "", "0"]])
def test_any_rows_give_a_finite_record_or_a_sentence(rows: list[list[str]]) -> None:
    for heading in (HEADING, HEADING.replace(" [min]", "")):
        _finite_or_refused([heading, *(",".join(row) for row in rows)])


@settings(max_examples=200, deadline=None)
@given(st.lists(st.text(max_size=20), max_size=4))
def test_any_text_gives_a_finite_record_or_a_sentence(lines: list[str]) -> None:
    _finite_or_refused(lines)


def _finite_or_refused(lines: list[str]) -> None:
    try:
        read = read_record(lines)
    except WindRecordError as error:
        assert ". Expected " in str(error)
        return
    assert len(read.time) > 1 and (np.diff(read.time) > 0.0).all()
    assert np.isfinite([read.time, read.mean, read.direction_from]).all()
    assert ((read.gust >= read.mean * (1.0 - 1e-9)) | np.isnan(read.gust)).all()
