"""A scenario: paths into it, other scenarios that differ by some, and the file it is kept in."""

from __future__ import annotations

import os
import pickle
import stat
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from anchorsim import toml_file
from anchorsim.scenario import Scenario, ScenarioError, short_of_rode
from anchorsim.tables import Choice, catalogue, folder
from anchorsim.tackle import Anchor
from anchorsim.thing import Thing
from anchorsim.units import Measure, quantity, si, us_unit

SHARED = sorted(folder("shared").glob("*.toml"))
STOCK = Scenario()


def paths_of(thing: Thing, prefix: str = "") -> Iterator[str]:
    for name in type(thing).model_fields:
        value = getattr(thing, name)
        yield f"{prefix}{name}"
        if isinstance(value, Thing):
            yield from paths_of(value, f"{prefix}{name}.")


PATHS = list(paths_of(STOCK))
QUANTITIES = [
    path for path in PATHS if path != "weather.gust" and isinstance(STOCK.get(path), type(quantity(1.0, "m")))
]


def in_us_units(scenario: Scenario) -> Scenario:
    changes = {}
    for path in QUANTITIES:
        unit = us_unit(Scenario.declaration(path).unit)  # type: ignore[union-attr]
        changes[path] = quantity(float(scenario.get(path).m_as(unit)), unit)
    return scenario.vary(changes)


def boats() -> Iterator[Scenario]:
    for model in catalogue():
        yield STOCK.vary({"boat.model": model})


SAMPLES = {path.stem: Scenario.load(path) for path in SHARED} | {made.boat.model: made for made in boats()}


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
    assert short_of_rode(scenario) is None


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
squall_shift = "0 degree"
"""
    )


def test_an_empty_file_is_the_usual_boat_in_the_usual_place(tmp_path: Path) -> None:
    (tmp_path / "empty.toml").write_text("")
    assert Scenario.load(tmp_path / "empty.toml") == STOCK
    assert STOCK.boat.model == "sloop-12"
    assert si(STOCK.tackle.snubber.length) == 8.0
    (tmp_path / "bare.toml").write_text("[tackle]\n")
    assert si(Scenario.load(tmp_path / "bare.toml").tackle.snubber.length) == 0.0


def test_a_mark_of_the_encoding_is_passed_over(tmp_path: Path) -> None:
    (tmp_path / "marked.toml").write_text('\ufefftitle = "Marked"\n', encoding="utf-8")
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
            f"{target} could not be written (no space left on device); needed a folder that can be written "
            "to; choose another folder or name"
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


# --- Varying ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", SAMPLES)
def test_a_path_set_to_what_it_is_changes_nothing(name: str) -> None:
    scenario = SAMPLES[name]
    for path in PATHS:
        assert scenario.vary({path: scenario.get(path)}) == scenario, path
    assert scenario.vary({path: scenario.get(path) for path in PATHS}) == scenario
    assert scenario.vary({}) == scenario


VARIED: list[dict[str, Any]] = [
    {"tackle.scope": 7},
    {"tackle.scope": 7.25, "weather.mean_wind": "35 knot"},
    {"weather.mean_wind": quantity(18.0, "m/s")},
    {"weather.gust": "50 knot", "weather.exposure": "in-land"},
    {"tackle.snubber.length": "25 ft", "tackle.snubber.legs": 2},
    {"tackle.chain.size": "5/16 in", "tackle.chain.grade": 70},
    {"tackle.rope": {"diameter": "16 mm", "length": "40 m"}},
    {"tackle.anchor": Anchor(type="fluke", mass=quantity(1 / 3, "tonne") * 0.1)},
    {"boat.model": "ketch-13", "spot.depth": "9 m"},
    {"boat.displacement": "9 tonne", "boat.riding_sail": quantity(1 / 3, "m²")},
    {"title": "Another night"},
    {"spot.bottom": "soft mud", "spot.tide": "3 ft", "spot.current": "1 knot"},
]


@pytest.mark.parametrize("changes", VARIED, ids=str)
def test_varying_is_the_same_as_writing_it_into_the_file(tmp_path: Path, changes: dict[str, Any]) -> None:
    base = SAMPLES["sloop-gale-veering"]
    varied = base.vary(changes)
    varied.save(tmp_path / "varied.toml")
    assert Scenario.load(tmp_path / "varied.toml") == varied
    one_by_one = base
    for path, value in changes.items():
        one_by_one = one_by_one.vary({path: value})
    assert one_by_one == varied
    assert base == Scenario.load(folder("shared") / "sloop-gale-veering.toml")
    for path in PATHS:
        if not any(path.startswith(changed) or changed.startswith(path) for changed in changes) and (
            "boat.model" not in changes or not path.startswith("boat.")
        ):
            assert varied.get(path) == base.get(path), path


def test_text_number_and_quantity_say_the_same() -> None:
    text, amount = STOCK.vary({"spot.depth": "8 m"}), STOCK.vary({"spot.depth": quantity(8, "m")})
    assert text == amount
    assert text.spot.depth.magnitude == 8.0
    assert STOCK.vary({"tackle.scope": 7}) == STOCK.vary({"tackle.scope": 7.0})


def test_nothing_stands_for_what_a_silent_file_means() -> None:
    base = SAMPLES["sloop-gale-veering"].vary({"boat.draught": "1.5 m", "boat.name": "Wren"})
    varied = base.vary({"weather.gust": None, "tackle.scope": None, "boat.draught": None, "title": None})
    assert varied.weather.gust is None
    assert varied.tackle.scope == 5.0
    assert si(varied.boat.draught) == 2.0  # the model's own
    assert varied.boat.name == "Wren"
    assert varied.title == "Unnamed scenario"
    assert base.vary({"tackle.anchor": None}).tackle.anchor == Anchor()
    assert base.vary({"boat": None}).boat == STOCK.boat


def test_a_new_model_brings_all_of_its_own_figures() -> None:
    base = STOCK.vary({"boat.draught": "1.5 m", "boat.riding_sail": "3 m²"})
    assert base.vary({"boat.model": "sloop-14"}).boat == STOCK.vary({"boat.model": "sloop-14"}).boat
    assert base.vary({"boat.model": "sloop-12"}) == base, "the model she already is changes nothing"
    both = base.vary({"boat.model": "sloop-14", "boat.riding_sail": "4 m²"})
    assert both.document()["boat"] == {"model": "sloop-14", "riding_sail": "4 m²"}
    assert base.vary({"boat.riding_sail": "4 m²", "boat.model": "sloop-14"}) == both, "in either order"


def test_what_varies_is_still_checked_as_a_whole() -> None:
    with pytest.raises(ScenarioError, match=r"^spot\.depth: she draws 2 m and takes the ground in 1\.5 m"):
        STOCK.vary({"spot.depth": "1.5 m"})


# --- Paths --------------------------------------------------------------------------------------------------

UNDECLARED = {"format", "title", "boat.model", "boat.name", "boat.kind", "boat.hulls", "tackle.chain.grade",
              "tackle.snubber.legs", "weather.record", "boat", "tackle", "tackle.anchor", "tackle.chain",
              "tackle.rope", "tackle.snubber", "spot", "weather"}  # fmt: skip
FITTED = [
    "second_anchor",
    "anchor_shackle",
    "swivel",
    "joining_link",
    "joining_link.count",
    "rope_join",
    "rope_join.shackle",
    "lead",
    "snubber_end",
    "snubber_end.shackle",
    "strong_point",
    "strong_point.bolts",
    "windlass",
    "bitter_end",
    "bitter_end.turns",
    "bitter_end.reaches_deck",
]
SURVEYED = [
    "surveyor",
    "client",
    "place",
    "date",
    "notes",
    "log",
    "log.laid_out",
    "log.severe_load",
    "log.turned_end_for_end",
    "log.regalvanised",
    "log.chain_new",
    "log.rope_new",
    "log.snubber_new",
    "log.windlass_run",
    "log.windlass_serviced",
    "log.electrics_checked",
    "log.drains_cleared",
    "log.moused",
    "log.surveyed",
    "findings",
]
UNDECLARED |= {"tackle.fittings", "survey"}
UNDECLARED |= {f"tackle.fittings.{name}" for name in FITTED} | {f"survey.{name}" for name in SURVEYED}


@pytest.mark.parametrize("path", PATHS)
def test_every_path_has_a_declaration_or_says_why_not(path: str) -> None:
    if path in UNDECLARED:
        with pytest.raises(ScenarioError) as caught:
            Scenario.declaration(path)
        assert str(caught.value) == (
            f"{path}: has no unit or table; needed a quantity or a name out of a table; name another path"
        )
        return
    declared = Scenario.declaration(path)
    value = STOCK.get(path)
    assert declared.label
    if isinstance(declared, Choice):
        assert value in declared.options
        return
    assert isinstance(declared, Measure)
    assert declared.low < declared.high
    assert 0 < declared.step <= declared.high - declared.low
    if value is not None:
        assert declared.read(value) == value
        amount = float(value.m_as(declared.unit)) if declared.unit else value
        assert declared.low <= amount <= declared.high


def test_labels_are_not_used_twice_in_a_group() -> None:
    fittings = [path for path in PATHS if path.startswith("tackle.fittings.")]
    for group in ("boat", "tackle", "spot", "weather", *{path.rpartition(".")[0] for path in fittings}):
        inside = [path for path in PATHS if path.startswith(f"{group}.") and path not in UNDECLARED]
        labels = [
            Scenario.declaration(path).label
            for path in inside
            if path.rpartition(".")[0] == group or path not in fittings  # each fitting is a group of its own
        ]
        assert len({label.lower() for label in labels}) == len(labels), group


@pytest.mark.parametrize(
    "path", ["", ".", "boat.", "tackle.scop", "tackle.scope.x", "wether.gust", "boat.model.x"]
)
def test_an_unknown_path_is_refused_wherever_it_is_asked_for(path: str) -> None:
    for ask in (STOCK.get, Scenario.declaration, lambda path: STOCK.vary({path: 1})):
        with pytest.raises(ScenarioError) as caught:
            ask(path)
        assert str(caught.value).startswith(
            f"{path}: unknown path; needed the path of a field, such as tackle.scope"
            if path
            else "unknown path; needed the path of a field, such as tackle.scope"
        )


def test_the_nearest_path_is_offered() -> None:
    with pytest.raises(ScenarioError) as caught:
        STOCK.get("wether.meanwind")
    assert str(caught.value) == (
        "wether.meanwind: unknown path; needed the path of a field, such as tackle.scope; "
        "nearest known name: weather.mean_wind; mend it"
    )


# --- The wind record ----------------------------------------------------------------------------------------


def test_a_record_lies_beside_the_file_that_names_it(tmp_path: Path) -> None:
    here, there = tmp_path / "here", tmp_path / "there"
    here.mkdir()
    there.mkdir()
    (here / "night.toml").write_text('[weather]\nrecord = "winds/night.csv"\n')
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


# --- As a value ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", SAMPLES)
def test_a_scenario_can_be_sent_to_another_process(name: str) -> None:
    sent = pickle.loads(pickle.dumps(SAMPLES[name]))
    assert sent == SAMPLES[name]
    assert sent.record_path == SAMPLES[name].record_path
    assert sent.vary({"tackle.scope": 6.5}) == SAMPLES[name].vary({"tackle.scope": 6.5})


def test_an_error_can_be_sent_to_another_process() -> None:
    with pytest.raises(ScenarioError) as caught:
        STOCK.vary({"tackle.scope": 0, "spot.bottom": "lava"})
    sent = pickle.loads(pickle.dumps(caught.value))
    assert str(sent) == str(caught.value)
    assert (sent.path, sent.problems) == (caught.value.path, caught.value.problems)
    assert len(sent.problems) == 2


def test_equal_scenarios_hash_alike(tmp_path: Path) -> None:
    STOCK.save(tmp_path / "stock.toml")
    loaded = Scenario.load(tmp_path / "stock.toml")
    assert loaded == STOCK and hash(loaded) == hash(STOCK)
    other = STOCK.vary({"tackle.scope": 7})
    assert other != STOCK
    assert len({STOCK, loaded, other}) == 2
    assert STOCK != "a scenario"


# --- What follows from it -----------------------------------------------------------------------------------


def test_scope_is_measured_from_the_bottom_to_the_roller() -> None:
    scenario = STOCK.vary({"spot.depth": "5 m", "spot.tide": "1.2 m", "tackle.scope": 7})
    assert scenario.water_depth == pytest.approx(6.2)
    assert scenario.height == pytest.approx(6.2 + 1.4)
    assert scenario.paid_out == pytest.approx(7 * 7.6)
    assert scenario.scope_achieved == pytest.approx(7.0)
    assert short_of_rode(scenario) is None


def test_she_cannot_let_out_more_than_she_carries() -> None:
    scenario = STOCK.vary({"spot.depth": "8.6 m", "tackle.scope": 7})
    assert scenario.rode_aboard == 60.0
    assert scenario.paid_out == 60.0
    assert scenario.scope_achieved == pytest.approx(6.0)
    assert short_of_rode(scenario) == (
        "A scope of 7 asks for 70 m of rode here, but she carries 60 m: all of it is out, which gives 6."
    )
    assert short_of_rode(scenario, "US") == (
        "A scope of 7 asks for 230 ft of rode here, but she carries 197 ft: all of it is out, which gives 6."
    )
