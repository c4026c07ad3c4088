"""The sentences with which a wind record is refused: where, what is wrong, what fits, what to do."""

from __future__ import annotations

from pathlib import Path

import pytest

from anchorsim.environment.wind_record import WindRecordError, read_record

HEADING = "time [min],mean wind [knot],gust [knot],wind direction [degree]"
GOOD = ("0,15,22,350", "10,18,25,10")
CORRECT = "Correct it, or leave the cell blank where nothing was recorded."
TURN = "Correct it, or leave the cell blank."
DEGREES = "the degrees it blows from, 0 to 360"
SORT = "Expected a later time in every row. Sort the rows and keep one for each time."

REFUSED: list[tuple[list[str], str]] = [
    ([], "whole file: it is empty. Expected a heading line and at least two rows. Choose another file."),
    (
        ["", "  "],
        "whole file: it is empty. Expected a heading line and at least two rows. Choose another file.",
    ),
    (
        [HEADING],
        "whole file: too few rows with a mean wind. Expected at least 2; got 0. Use a longer record.",
    ),
    (
        [HEADING, GOOD[0]],
        "whole file: too few rows with a mean wind. Expected at least 2; got 1. Use a longer record.",
    ),
    (
        [HEADING, "0,,,10", "10,,,20"],
        "whole file: too few rows with a mean wind. Expected at least 2; got 0. Use a longer record.",
    ),
    (
        [HEADING.replace(",", "|"), "0|15|22|350"],
        'line 1: "time [min]|mean wind [knot]|gust [knot]|wind direction [degr…" is a single '
        "column. Expected columns separated by commas, semicolons or tabs. Save the file as CSV.",
    ),
    (
        ["mean_kn,gust_kn,dir", "15,22,350"],
        'line 1: no column is the time. Expected a heading like "time [s]"; got mean_kn, gust_kn, '
        "dir. Rename a column.",
    ),
    (
        ["time [s],gust_kn,dir", "0,22,350"],
        'line 1: no column is the mean wind. Expected a heading like "mean wind [knot]"; got time '
        "[s], gust_kn, dir. Rename a column.",
    ),
    (
        ["time [s],mean_kn,wind drection", "0,22,350"],
        'line 1: no column is the wind direction. Expected a heading like "wind direction '
        '[degree]"; got time [s], mean_kn, wind drection. Rename "wind drection".',
    ),
    (
        ["0,15,22,350", "10,18,25,10"],
        'line 1: no column is the time. Expected a heading like "time [s]"; got 0, 15, 22, 350. '
        "Rename a column.",
    ),
    (
        ["date,time,mean_kn,dir", "2031-05-14,18:00,12,90"],
        'line 1: "date" and "time" could both be the time. Expected one such column. Rename or '
        "delete one, or join them.",
    ),
    (
        ["time [s],mean_kn,wind speed [m/s],dir", "0,12,6,90"],
        'line 1: "mean_kn" and "wind speed [m/s]" could both be the mean wind. Expected one such '
        "column. Rename or delete one, or join them.",
    ),
    (
        ["time [s],mean_kn,gust_kn,max gust [knot],dir", "0,12,16,18,90"],
        'line 1: "gust_kn" and "max gust [knot]" could both be the gust. Expected one such column. '
        "Rename or delete one, or join them.",
    ),
    (
        ["time [s],wind speed,dir", "0,12,90"],
        'line 1, column "wind speed": there is no unit. Expected knot, m/s, mph or km/h. Write the '
        'heading like "mean wind [knot]".',
    ),
    (
        ["", "time [s],mean_kn,gust,dir", "0,12,16,90"],
        'line 2, column "gust": there is no unit. Expected knot, m/s, mph or km/h. Write the '
        'heading like "gust [knot]".',
    ),
    (
        ["time [s],wind [bft],dir", "0,5,90"],
        'line 1, column "wind [bft]": "bft" is not a known unit. Expected knot, m/s, mph or km/h. '
        'Write the heading like "mean wind [knot]".',
    ),
    (
        ["time [s],mean_kn,wind direction [rad]", "0,5,1"],
        'line 1, column "wind direction [rad]": "rad" is not a known unit. Expected degree. Write '
        'the heading like "wind direction [degree]".',
    ),
    (
        ["time,mean_kn,dir", "0,12,90", "60,12,90"],
        'line 2, column "time": "0" has no unit. Expected ISO 8601, or s, min or h in the heading. '
        'Write the heading like "time [s]".',
    ),
    (
        ["time,mean_kn,dir", "14/05/2031 18:00,12,90"],
        'line 2, column "time": "14/05/2031 18:00" is not a time. Expected ISO 8601. Write it like '
        '"2031-05-14T18:30".',
    ),
    (
        ["time,mean_kn,dir", "2031-02-30T10:00,12,90"],
        'line 2, column "time": "2031-02-30T10:00" is not a time. Expected ISO 8601. Write it like '
        '"2031-05-14T18:30".',
    ),
    (
        ["time,mean_kn,dir", "2031-05-14T10:00Z,12,90", "2031-05-14T10:10,12,90"],
        "lines 2 and 3: one time has an offset from UTC and the other has none. Expected the same "
        "kind in every row. Write all with one or all without.",
    ),
    (
        [HEADING, GOOD[0], ",18,25,10"],
        'line 3, column "time [min]": it is blank. Expected a time. Fill it in or delete the line.',
    ),
    ([HEADING, GOOD[0], GOOD[1], "10,18,25,10"], f"lines 3 and 4: the time is the same. {SORT}"),
    ([HEADING, GOOD[1], GOOD[0]], f"lines 2 and 3: the time goes back. {SORT}"),
    (
        [HEADING, "0,15,22,350", "10,abc,25,10"],
        f'line 3, column "mean wind [knot]": "abc" is not a number. Expected 0 to 194.4 knot. {CORRECT}',
    ),
    (
        [HEADING, "0,-15,22,350"],
        f'line 2, column "mean wind [knot]": "-15" is out of range. Expected 0 to 194.4 knot. {CORRECT}',
    ),
    (
        [HEADING, "0,15,220,350"],
        f'line 2, column "gust [knot]": "220" is out of range. Expected 0 to 194.4 knot. {CORRECT}',
    ),
    (
        ["time [s],mean [m/s],gust [m/s],dir", "0,15,100.5,350"],
        f'line 2, column "gust [m/s]": "100.5" is out of range. Expected 0 to 100 m/s. {CORRECT}',
    ),
    (
        [HEADING, "0,inf,,350"],
        f'line 2, column "mean wind [knot]": "inf" is not a number. Expected 0 to 194.4 knot. {CORRECT}',
    ),
    (
        [HEADING, "0,1_5,,350"],
        f'line 2, column "mean wind [knot]": "1_5" is not a number. Expected 0 to 194.4 knot. {CORRECT}',
    ),
    (
        [HEADING, "0,15 kn,,350"],
        f'line 2, column "mean wind [knot]": "15 kn" is not a number. Expected 0 to 194.4 knot. {CORRECT}',
    ),
    (
        [HEADING, "0,15,12,350"],
        'line 2, column "gust [knot]": "12" is below the mean wind. Expected at least 15 knot. '
        "Correct it, or leave the cell blank where no gust was recorded.",
    ),
    (
        ["time [s],mean_kn,gust [m/s],dir", "0,20,10,350"],
        'line 2, column "gust [m/s]": "10" is below the mean wind. Expected at least 20 knot. '
        "Correct it, or leave the cell blank where no gust was recorded.",
    ),
    (
        [HEADING, "0,15,22,400"],
        f'line 2, column "wind direction [degree]": "400" is out of range. Expected {DEGREES}. {TURN}',
    ),
    (
        [HEADING, "0,15,22,-10"],
        f'line 2, column "wind direction [degree]": "-10" is out of range. Expected {DEGREES}. {TURN}',
    ),
    (
        [HEADING, "0,15,22,SW"],
        f'line 2, column "wind direction [degree]": "SW" is not a number. Expected {DEGREES}. {TURN}',
    ),
    (
        [HEADING, "0,15,,350", *(f"{minute},16,," for minute in range(10, 70, 10)), "70,18,,350"],
        "lines 2 to 9: no wind direction for 70 min. Expected one every 60 min (an hour, or three "
        "times the usual step). Fill the gap, or use only the part before or after it.",
    ),
    (
        [HEADING, "0,3,,", "10,2,,"],
        "whole file: no row has a wind direction. Expected at least one. Fill in where it blows from.",
    ),
    (
        [HEADING, GOOD[0], "10,18,25"],
        "line 3: there are 3 cells. Expected 4 as in the heading line. Look for a missing or stray "
        "separator, or a decimal comma.",
    ),
    (
        [HEADING, "0,15,5,22,5,350"],
        "line 2: there are 6 cells. Expected 4 as in the heading line. Look for a missing or stray "
        "separator, or a decimal comma.",
    ),
    (
        [HEADING, GOOD[0], '10,"18,25,10'],
        "line 3: this is not CSV (unexpected end of data). Expected quotation marks in pairs. "
        "Correct the line.",
    ),
    (
        [HEADING, "0,15,,350", "10,16,,350", "20,17,,350", "90,18,,350"],
        "lines 4 to 5: no mean wind for 70 min. Expected one every 60 min (an hour, or three times "
        "the usual step). Fill the gap, or use only the part before or after it.",
    ),
]


@pytest.mark.parametrize(("lines", "sentence"), REFUSED, ids=[row[1][:60] for row in REFUSED])
def test_refused_with_a_whole_sentence(lines: list[str], sentence: str) -> None:
    with pytest.raises(WindRecordError) as caught:
        read_record(lines)
    assert str(caught.value) == sentence


def test_a_fault_in_a_file_names_the_file(tmp_path: Path) -> None:
    path = tmp_path / "night.csv"
    path.write_text("time [s],mean_kn,dir\n0,12,90\n60,x,90\n", encoding="utf-8")
    with pytest.raises(
        WindRecordError, match=r'^night\.csv, line 3, column "mean_kn": "x" is not a number\. Expected 0 to'
    ):
        read_record(path)


def test_a_spreadsheet_is_no_csv(tmp_path: Path) -> None:
    path = tmp_path / "night.xlsx"
    path.write_bytes(b"PK\x03\x04\x14\x00\x06\x00")
    with pytest.raises(WindRecordError) as caught:
        read_record(path)
    assert str(caught.value) == (
        "night.xlsx, whole file: this is not text. Expected CSV. Save it as CSV from the program "
        "that made it."
    )


def test_a_file_that_is_not_there(tmp_path: Path) -> None:
    with pytest.raises(WindRecordError) as caught:
        read_record(tmp_path / "none.csv")
    assert str(caught.value) == (
        f"{tmp_path / 'none.csv'}: could not be read (no such file or directory). Expected a CSV "
        "file. Check the path."
    )
