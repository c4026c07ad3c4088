"""The tide between high and low water."""

from __future__ import annotations

from datetime import datetime, time

import numpy as np
import pytest

from anchorsim.core.units import quantity
from anchorsim.environment.tide import TideError, read_tide, tide_curve

HOUR = 3600.0  # s
EVENING = (("15:02", "4.3 m"), ("21:14", "0.9 m"), ("03:26", "4.1 m"), ("09:40", "1.1 m"))


def test_it_is_a_cosine() -> None:
    """The rule of twelfths gives it in round numbers, and exactly in the hours of 0, 3, 6, 9 and 12."""
    curve = tide_curve([("06:00", "1.0 m"), ("12:00", "13.0 m")])  # 12 m, so that a twelfth is a metre
    risen = curve.si.at(HOUR * np.array([6, 8, 9, 10, 12])) - 1.0
    np.testing.assert_allclose(risen, [0, 3, 6, 9, 12], rtol=1e-12)


def test_it_passes_through_each_high_and_low_water_and_stands_still_there() -> None:
    curve = tide_curve(EVENING)
    np.testing.assert_allclose(curve.si.at(curve.si.time), [4.3, 0.9, 4.1, 1.1], rtol=1e-12)
    near = curve.si.at(np.array([[-60.0], [60.0]]) + curve.si.time[1:-1])
    assert np.abs(near - curve.si.height[1:-1]).max() < 1e-3  # half a cosine: π²/4 · range · (60 s / 6.2 h)²
    every = curve.si.at(np.linspace(curve.si.time[0], curve.si.time[-1], 2000))
    assert (every.min(), every.max()) == pytest.approx((0.9, 4.3), abs=1e-4)


def test_it_rises_as_it_falls() -> None:
    curve = tide_curve([("00:00", "0.5 m"), ("06:00", "3.5 m"), ("12:00", "0.5 m")])
    since = np.linspace(0.0, 6 * HOUR, 50)
    np.testing.assert_allclose(curve.si.at(6 * HOUR - since), curve.si.at(6 * HOUR + since), atol=1e-12)
    np.testing.assert_allclose(curve.si.at(since) + curve.si.at(6 * HOUR - since), 4.0, atol=1e-12)


def test_one_value_is_given_for_one_time_in_any_unit() -> None:
    feet = tide_curve([("18:00", quantity(10.0, "ft")), (time(23), "0 ft")])
    assert feet.si.at(18 * HOUR).shape == ()
    assert float(feet.si.at(18 * HOUR)) == pytest.approx(3.048, rel=1e-12)  # foot of 1959, 0.3048 m, exact


def test_clock_times_go_on_past_midnight_and_dates_do_the_same() -> None:
    dated = tide_curve([
        ("2031-05-14T15:02", "4.3 m"), ("2031-05-14T21:14", "0.9 m"), ("2031-05-15 03:26", "4.1 m"),
        (datetime(2031, 5, 15, 9, 40), "1.1 m"),
    ])  # fmt: skip
    np.testing.assert_array_equal(dated.si.time, tide_curve(EVENING).si.time)
    short = tide_curve([("9:05", "1 m"), (" 15:02:30 ", "4 m")])
    np.testing.assert_array_equal(short.si.time, [9 * HOUR + 300, 15 * HOUR + 150])
    assert tide_curve(EVENING).si.time[2] == (24 + 3) * HOUR + 26 * 60
    assert dated.clock.moment(float(dated.si.time[2])) == datetime(2031, 5, 15, 3, 26)
    assert [dated.clock.text(float(when)) for when in dated.si.time] == ["15:02", "21:14", "03:26", "09:40"]


def test_a_clock_that_is_put_forward_in_the_night_does_not_stretch_the_tide() -> None:
    summer = tide_curve([("2031-03-30T00:00+00:00", "4 m"), ("2031-03-30T07:00+01:00", "1 m")])
    assert np.diff(summer.si.time) == [6 * HOUR]


def test_the_lowest_is_that_of_low_water_or_of_an_end() -> None:
    curve = tide_curve(EVENING)
    assert curve.si.lowest(18 * HOUR, 24 * HOUR) == pytest.approx((21 * HOUR + 14 * 60, 0.9))
    assert curve.si.lowest(22 * HOUR, 26 * HOUR)[0] == 22 * HOUR
    assert curve.si.lowest(16 * HOUR, 18 * HOUR)[0] == 18 * HOUR


def test_heights_below_the_datum_are_taken() -> None:
    assert float(tide_curve([("01:00", "-0.4 m"), ("07:00", "3.0 m")]).si.at(HOUR)) == pytest.approx(-0.4)


def test_it_is_read_from_lines_as_people_write_them() -> None:
    typed = "15:02 4.3 m\n\n  21:14   0.9m\n3:26, 4.1 m\n09:40\t3.609 ft\n"
    np.testing.assert_allclose(read_tide(typed).si.height, [4.3, 0.9, 4.1, 1.1], atol=5e-4)
    np.testing.assert_array_equal(read_tide(typed).si.time, tide_curve(EVENING).si.time)
    dated = read_tide("2031-05-14 15:02 4.3 m\n2031-05-14T21:14 0.9 m")
    assert dated.clock.moment(float(dated.si.time[1])) == datetime(2031, 5, 14, 21, 14)


@pytest.mark.parametrize(
    "text, sentence",
    [
        (
            "15:02 4.3 m\n\n21:14",
            'line 3: "21:14" is not a time and a height. Expected both, of a high or low water. Write '
            'it like "21:40 4.2 m".',
        ),
        ("15:02 4.3 m\nhigh 0.9 m", 'line 2: "high" is not a time. Expected a time of day or ISO 8601.'),
        ("15:02 4.3\n21:14 0.9 m", 'line 1: "4.3" has no unit. Expected -5 to 15 m.'),
        ("15:02 43 m\n21:14 0.9 m", 'line 1: "43 m" is out of range'),
        (
            "21:14 0.9 m\n\n15:02 4.3 m",
            "line 3: no high or low water for 17.8 h, from 21:14. Expected at least one every 16 h. "
            "Add what is missing, or sort the rows.",
        ),
        (
            "15:02 4.3 m",
            "tide: too few high and low waters. Expected at least 2, one before and one after every "
            "time asked for; got 1. Add the next one.",
        ),
    ],
)
def test_what_is_wrong_in_a_line_is_told_with_its_number(text: str, sentence: str) -> None:
    with pytest.raises(TideError) as told:
        read_tide(text)
    assert sentence in str(told.value)


TURNS = "Expected high and low water in turn"
REFUSED = [
    ([], "tide: too few high and low waters. Expected at least 2, one before and one after every "
         "time asked for; got 0. Add the next one."),
    ([("15:02", "4.3 m")], "tide: too few high and low waters. Expected at least 2, one before and one"),
    ([("15:02", "4.3 m"), ("nine", "0.9 m")], 'tide.1: "nine" is not a time. Expected a time of day'),
    ([("15:02", "4.3 m"), ("21:61", "0.9 m")], 'tide.1: "21:61" is not a time'),
    ([("15:02", "4.3 m"), (21.5, "0.9 m")], "tide.1: 21.5 is not a time"),
    ([("15:02", "4.3 m"), ("2031-05-14", "0.9 m")], 'tide.1: "2031-05-14" is not a time'),
    (
        [("15:02", "4.3 m"), ("21:14Z", "0.9 m")],
        'tide.1: "21:14Z" has an offset from UTC but no date. Expected both or neither. Write it '
        'like "21:14" or "2031-05-14T21:14+02:00".',
    ),
    ([("15:02", 4.3), ("21:14", "0.9 m")], "tide.0: 4.3 has no unit. Expected -5 to 15 m."),
    ([("15:02", "43 m"), ("21:14", "0.9 m")], 'tide.0: "43 m" is out of range. Expected -5 to 15 m.'),
    (
        [("15:02", "4.3 m"), ("2031-05-14T21:14", "0.9 m")],
        "tide.1: times of two kinds. Expected clock times without a date in every row; got dates "
        "and times. Write all in the same way.",
    ),
    (
        [("2031-05-14T15:02Z", "4.3 m"), ("2031-05-14T21:14", "0.9 m")],
        "tide.1: times of two kinds. Expected dates and times with an offset from UTC in every "
        "row; got dates and times. Write all in the same way.",
    ),
    (
        [("2031-05-14T21:14", "0.9 m"), ("2031-05-14T15:02", "4.3 m")],
        "tide.1: the time goes back. Expected a later time in every row. Sort the rows and keep "
        "one of each time.",
    ),
    ([("15:02", "4.3 m"), ("15:02", "0.9 m")], "tide.1: the time is that of the row before. Expected a"),
    (
        [("21:14", "0.9 m"), ("15:02", "4.3 m")],  # without dates this can only be the day after
        "tide.1: no high or low water for 17.8 h, from 21:14. Expected at least one every 16 h. "
        "Add what is missing, or sort the rows.",
    ),
    ([("15:02", "4.3 m"), ("21:14", "4.3 m")], f"tide.1: as high as the one before. {TURNS}"),
    (
        [("03:00", "4.3 m"), ("15:02", "4.1 m"), ("21:14", "0.9 m")],
        f"tide.1: the water goes on falling after it. {TURNS}",
    ),
]  # fmt: skip


@pytest.mark.parametrize("waters, sentence", REFUSED)
def test_what_is_wrong_is_told(waters: list[tuple[str, str]], sentence: str) -> None:
    with pytest.raises(TideError) as told:
        tide_curve(waters)
    assert sentence in str(told.value)


@pytest.mark.parametrize(
    "asked, sentence",
    [
        (14.5, "14:30 is before the table. Expected 15:02 to 09:40. Add the high or low water before that."),
        (34.0, "10:00 is after the table. Expected 15:02 to 09:40. Add the high or low water after that."),
    ],
)
def test_outside_its_times_it_says_nothing(asked: float, sentence: str) -> None:
    with pytest.raises(TideError) as told:
        tide_curve(EVENING).si.at([20 * HOUR, asked * HOUR])
    assert str(told.value) == f"tide: {sentence}"
