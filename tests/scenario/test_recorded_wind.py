"""Which wind record of a scenario is read, and how it goes with the scenario's file."""

from __future__ import annotations

from pathlib import Path

import pytest
from opened_files import RECORD

from anchorsim.cli import main
from anchorsim.environment.wind_record import WindRecordError
from anchorsim.scenario.recorded_wind import record_of
from anchorsim.scenario.scenario import Scenario

NAMED = 'format = 1\n[weather]\nrecord = "{}"\nduration = "5 min"\n'


@pytest.fixture
def folders(tmp_path: Path) -> tuple[Path, Path]:
    """A folder with scenarios of somebody else, and one that is none of their business."""
    theirs, ours = tmp_path / "theirs", tmp_path / "ours"
    for folder in (theirs, theirs / "winds", ours):
        folder.mkdir()
        (folder / "wind.csv").write_text(RECORD, encoding="utf-8")
    (theirs / "linked.csv").symlink_to(ours / "wind.csv")
    (theirs / "round.csv").symlink_to(theirs / "round.csv")
    return theirs, ours


def naming(folder: Path, record: Path | str) -> Scenario:
    (folder / "night.toml").write_text(NAMED.format(record), encoding="utf-8")
    return Scenario.load(folder / "night.toml")


def test_a_record_of_the_own_folder_is_read(folders: tuple[Path, Path]) -> None:
    theirs, _ = folders
    for record in ("wind.csv", "winds/wind.csv", "winds/../wind.csv", theirs / "wind.csv"):
        found = record_of(naming(theirs, record))
        assert found is not None and len(found.time) == 3


def test_no_other_is_read(folders: tuple[Path, Path]) -> None:
    theirs, ours = folders
    for record in (
        ours / "wind.csv",
        "../ours/wind.csv",
        "linked.csv",
        "/dev/zero",
        "round.csv",
        "../theirs2",
    ):
        scenario = naming(theirs, record).vary({"tackle.scope": 6})
        with pytest.raises(
            WindRecordError, match=r"weather\.record: .* is outside the folder of the scenario"
        ):
            record_of(scenario)


def test_one_that_a_person_names_is_read(folders: tuple[Path, Path]) -> None:
    theirs, ours = folders
    chosen = naming(theirs, "../ours/wind.csv").vary({"weather.record": str(ours / "wind.csv")})
    for scenario in (
        chosen,
        chosen.vary({"spot.depth": "7 m"}),
        Scenario().vary({"weather": chosen.weather}),
    ):
        assert record_of(scenario) is not None


def test_the_command_line_names_one(folders: tuple[Path, Path], capsys: pytest.CaptureFixture[str]) -> None:
    theirs, ours = folders
    naming(theirs, "../ours/wind.csv")
    run = ["run", str(theirs / "night.toml"), "--seed", "1"]
    assert main(run) == 2
    assert "outside the folder" in capsys.readouterr().err
    assert main([*run, "--set", f"weather.record={ours / 'wind.csv'}"]) == 0


def test_it_is_copied_to_where_the_scenario_is_saved(folders: tuple[Path, Path], tmp_path: Path) -> None:
    _, ours = folders
    kept = tmp_path / "kept"
    kept.mkdir()
    (kept / "wind.csv").write_text("another", encoding="utf-8")
    chosen = Scenario().vary({"weather.record": str(ours / "wind.csv"), "weather.duration": "5 min"})
    for _ in range(3):
        chosen.save(kept / "night.toml")
    assert sorted(path.name for path in kept.iterdir()) == ["night.toml", "wind-2.csv", "wind.csv"]
    again = Scenario.load(kept / "night.toml")
    assert again.weather.record == "wind-2.csv"
    assert record_of(again) is record_of(again)  # it is read once


def test_one_that_is_not_to_be_read_is_not_copied_either(folders: tuple[Path, Path], tmp_path: Path) -> None:
    theirs, ours = folders
    kept = tmp_path / "kept"
    kept.mkdir()
    naming(theirs, ours / "wind.csv").save(kept / "night.toml")
    assert [path.name for path in kept.iterdir()] == ["night.toml"]
    with pytest.raises(WindRecordError, match="outside the folder"):
        record_of(Scenario.load(kept / "night.toml"))


def test_a_record_that_was_changed_is_read_again(folders: tuple[Path, Path]) -> None:
    theirs, _ = folders
    scenario = naming(theirs, "wind.csv")
    assert record_of(scenario) is not None
    (theirs / "wind.csv").write_text(RECORD + "2031-05-14T18:30,20,25,10,\n", encoding="utf-8")
    found = record_of(scenario)
    assert found is not None and len(found.time) == 4
