"""The file a scenario is kept in: what is saved is loaded, whole or not at all."""

from __future__ import annotations

import os
import stat
from pathlib import Path

import pytest
from scenario_samples import QUANTITIES, SAMPLES, SHARED, STOCK, in_us_units

from anchorsim.core import toml_file
from anchorsim.core.tables import catalogue
from anchorsim.core.units import quantity, si
from anchorsim.scenario.scenario import Scenario, ScenarioError

# --- The file -----------------------------------------------------------------------------------------------


def test_there_are_scenarios_to_share() -> None:
    assert len(SHARED) >= 6
    assert len(catalogue()) >= 7


@pytest.mark.parametrize("system", ["metric", "US"])
@pytest.mark.parametrize("name", SAMPLES)
def test_what_is_saved_is_loaded(tmp_path: Path, name: str, system: str) -> None:
    scenario = SAMPLES[name] if system == "metric" else in_us_units(SAMPLES[name])
    first, second = tmp_path / "first.toml", tmp_path / "second.toml"
    scenario.save(first)
    loaded = Scenario.load(first)
    assert loaded == scenario
    assert loaded.document() == scenario.document()
    loaded.save(second)
    assert second.read_bytes() == first.read_bytes()


@pytest.mark.parametrize("name", SAMPLES)
def test_us_units_say_the_same(name: str) -> None:
    metric, us = SAMPLES[name], in_us_units(SAMPLES[name])
    for path in QUANTITIES:
        assert si(us.get(path)) == pytest.approx(si(metric.get(path)), rel=1e-11, abs=1e-12), path
    assert us.boat.length.units == quantity(1.0, "ft").units


@pytest.mark.parametrize("path", SHARED, ids=[path.stem for path in SHARED])
def test_shared_scenarios_are_what_their_title_says(path: Path) -> None:
    scenario = Scenario.load(path)
    assert scenario.format == 1
    assert scenario.title.isprintable() and len(scenario.title) > 20
    assert scenario.paid_out < scenario.rode_aboard


def test_the_file_reads_well(tmp_path: Path) -> None:
    changes = {
        "boat.draught": "6 ft",
        "weather.gust": "42 knot",
        "title": "Gale, “Tarrow” Haven",
        "tackle.scope": 5.5,
    }
    STOCK.vary(changes).save(tmp_path / "gale.toml")
    assert (tmp_path / "gale.toml").read_text(encoding="utf-8") == (
        """\
format = 1
title = "Gale, “Tarrow” Haven"

[boat]
model = "sloop-12"
draught = "6 ft"

[tackle]
scope = 5.5

[tackle.anchor]
type = "concave scoop"
mass = "20 kg"

[tackle.chain]
size = "8 mm"
grade = 40
length = "60 m"

[tackle.rope]
construction = "three-strand nylon"
diameter = "14 mm"
length = "0 m"

[tackle.snubber]
rope = "three-strand nylon"
diameter = "14 mm"
length = "8 m"
legs = 1
slack = "3 m"

[spot]
depth = "6 m"
tide = "0 m"
bottom = "firm sand"
slope = "0 degree"
deepens_towards = "0 degree"
current = "0 knot"
current_set = "0 degree"

[weather]
mean_wind = "20 knot"
exposure = "off-sea"
gust = "42 knot"
direction = "225 degree"
duration = "10 min"
shift = "0 degree"
shift_start = "3 min"
shift_duration = "2 min"
record_start = "0 h"
squall_wind = "0 knot"
squall_start = "3 min"
squall_duration = "5 min"
squall_shift = "30 degree"
wave_height = "0 m"
wave_period = "4 s"
"""
    )


@pytest.mark.parametrize("content", ["", "\n# nothing yet\n", "[tackle]\nscope = 7\n"])
def test_a_file_without_its_format_is_not_taken_for_a_scenario(tmp_path: Path, content: str) -> None:
    (tmp_path / "night.toml").write_text(content)
    with pytest.raises(ScenarioError) as caught:
        Scenario.load(tmp_path / "night.toml")
    assert str(caught.value) == (
        "format: missing. Expected format = 1, as the first line of a scenario file. Write it there."
    )


def test_a_file_that_tells_no_more_is_the_usual_boat_in_the_usual_place(tmp_path: Path) -> None:
    (tmp_path / "least.toml").write_text("format = 1\n")
    assert Scenario.load(tmp_path / "least.toml") == STOCK
    assert STOCK.boat.model == "sloop-12"
    assert si(STOCK.tackle.snubber.length) == 8.0
    (tmp_path / "bare.toml").write_text("format = 1\n[tackle]\n")
    assert si(Scenario.load(tmp_path / "bare.toml").tackle.snubber.length) == 0.0


def test_a_mark_of_the_encoding_is_passed_over(tmp_path: Path) -> None:
    (tmp_path / "marked.toml").write_text('\ufeffformat = 1\ntitle = "Marked"\n', encoding="utf-8")
    assert Scenario.load(tmp_path / "marked.toml").title == "Marked"


@pytest.mark.parametrize("model", catalogue())
def test_of_the_boat_only_what_differs_is_kept(model: str) -> None:
    stock = STOCK.vary({"boat.model": model})
    assert stock.document()["boat"] == {"model": model}
    assert stock.vary({"boat.name": "Wren", "boat.riding_sail": "2 m²"}).document()["boat"] == {
        "model": model,
        "name": "Wren",
        "riding_sail": "2 m²",
    }
    same = stock.vary({"boat.length": catalogue()[model]["length"], "boat.riding_sail": "0 ft²"})
    assert same.document()["boat"] == {"model": model}


# --- Saving, whole or not at all ----------------------------------------------------------------------------


class Unplugged(BaseException):
    """Ends a save half-way, as a person's interrupt does."""


@pytest.mark.parametrize("step", ["fsync", "replace"])
@pytest.mark.parametrize("error", [OSError(28, "No space left on device"), Unplugged()])
def test_a_save_that_fails_leaves_the_old_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, step: str, error: BaseException
) -> None:
    target = tmp_path / "night.toml"
    STOCK.save(target)
    before = target.read_bytes()

    def fail(*_: object) -> None:
        raise error

    monkeypatch.setattr(*((os, "fsync") if step == "fsync" else (Path, "replace")), fail)
    with pytest.raises((ScenarioError, Unplugged)) as caught:
        STOCK.vary({"title": "Another"}).save(target)
    if isinstance(error, OSError):
        assert str(caught.value) == (
            f"{target}: could not be written (no space left on device). Expected room on the disk. "
            "Make room, or choose a folder on another disk."
        )
    assert target.read_bytes() == before
    assert list(tmp_path.iterdir()) == [target]


def test_saving_keeps_the_permissions_of_the_file(tmp_path: Path) -> None:
    target = tmp_path / "night.toml"
    STOCK.save(target)
    target.chmod(0o640)
    STOCK.save(target)
    assert stat.S_IMODE(target.stat().st_mode) == 0o640


@pytest.mark.parametrize(("mask", "mode"), [(0o022, 0o644), (0o077, 0o600)])
def test_a_new_file_has_the_permissions_of_any_new_file(tmp_path: Path, mask: int, mode: int) -> None:
    old = os.umask(mask)
    try:
        STOCK.save(tmp_path / "night.toml")
    finally:
        os.umask(old)
    assert stat.S_IMODE((tmp_path / "night.toml").stat().st_mode) == mode


def test_saving_through_a_link_keeps_the_link(tmp_path: Path) -> None:
    real, link = tmp_path / "real.toml", tmp_path / "link.toml"
    real.write_text("")
    link.symlink_to(real)
    STOCK.save(link)
    assert link.is_symlink()
    assert Scenario.load(real) == STOCK


# --- The wind record ----------------------------------------------------------------------------------------


def test_a_record_lies_beside_the_file_that_names_it(tmp_path: Path) -> None:
    here, there = tmp_path / "here", tmp_path / "there"
    here.mkdir()
    there.mkdir()
    (here / "night.toml").write_text('format = 1\n[weather]\nrecord = "winds/night.csv"\n')
    scenario = Scenario.load(here / "night.toml")
    assert scenario.record_path == here / "winds" / "night.csv"
    assert scenario.vary({"tackle.scope": 7}).record_path == here / "winds" / "night.csv"
    scenario.save(there / "night.toml")
    moved = Scenario.load(there / "night.toml")
    assert moved.weather.record == "../here/winds/night.csv"
    assert moved.record_path is not None and scenario.record_path is not None
    assert moved.record_path.resolve() == scenario.record_path.resolve()
    scenario.save(here / "again.toml")
    assert Scenario.load(here / "again.toml").weather.record == "winds/night.csv"


def test_a_record_in_the_folder_of_the_file_is_named_from_there(tmp_path: Path) -> None:
    inside, outside = (
        STOCK.vary({"weather.record": str(tmp_path / "night.csv")}),
        tmp_path.parent / "night.csv",
    )
    assert inside.record_path == tmp_path / "night.csv"
    inside.save(tmp_path / "night.toml")
    assert Scenario.load(tmp_path / "night.toml").weather.record == "night.csv"
    STOCK.vary({"weather.record": str(outside)}).save(tmp_path / "night.toml")
    assert Scenario.load(tmp_path / "night.toml").weather.record == str(outside)


def test_a_scenario_without_a_file_names_its_record_from_where_one_is(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    scenario = STOCK.vary({"weather.record": "night.csv"})
    assert scenario.record_path == Path("night.csv")
    (tmp_path / "kept").mkdir()
    scenario.save("kept/night.toml")
    assert Scenario.load("kept/night.toml").weather.record == "../night.csv"
    monkeypatch.chdir("kept")
    loaded = Scenario.load("night.toml")
    monkeypatch.chdir("/")
    assert loaded.record_path is not None
    assert loaded.record_path.resolve() == tmp_path / "night.csv"
    assert STOCK.record_path is None


def test_a_record_on_another_drive_is_named_whole(monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_: object) -> str:
        raise ValueError("path is on mount 'C:', start on mount 'D:'")

    monkeypatch.setattr(os.path, "relpath", refuse)
    assert toml_file.relative(Path("/winds/night.csv"), Path("/here")) == "/winds/night.csv"
