"""Paths into a scenario, other scenarios that differ by some of them, and a scenario as a value."""

from __future__ import annotations

import pickle
from pathlib import Path
from typing import Any

import pytest
from scenario_samples import PATHS, SAMPLES, STOCK

from anchorsim.core.resources import folder
from anchorsim.core.tables import Choice
from anchorsim.core.units import Measure, quantity, si
from anchorsim.scenario.own_boat import ANSWERS
from anchorsim.scenario.paths import where
from anchorsim.scenario.scenario import Scenario, ScenarioError
from anchorsim.scenario.tackle import Anchor

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
    with pytest.raises(ScenarioError, match=r"^spot\.depth .*: too shallow\. Expected .* 2 m; got 1\.5 m"):
        STOCK.vary({"spot.depth": "1.5 m"})


# --- Paths --------------------------------------------------------------------------------------------------

UNDECLARED = {"format", "title", "boat.model", "boat.name", "boat.kind", "boat.hulls", "tackle.chain.grade",
              "tackle.snubber.legs", "weather.record", "boat", "tackle", "tackle.anchor", "tackle.chain",
              "tackle.rope", "tackle.snubber", "spot", "spot.fetches", "weather"}  # fmt: skip
FITTED = [
    "second_anchor",
    "stern_anchor",
    "anchor_shackle",
    "swivel",
    "swivel.construction",
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
    "windlass.rope_held_by",
    "bitter_end",
    "bitter_end.turns",
    "bitter_end.reaches_deck",
]
SURVEYED = [
    "number",
    "letterhead",
    "logo",
    "asked",
    "lying",
    "previous",
    "lifted_by",
    "works",
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
    "looked_at",
]
UNDECLARED |= {"tackle.fittings", "survey", "surroundings", "tackle.chain.material"}
UNDECLARED |= {f"boat.{name}" for name in ("type", "builder", "year", "hull_number", *ANSWERS)}
UNDECLARED |= {f"surroundings.{name}" for name in ("anchor", "dangers", "neighbours")}
UNDECLARED |= {f"tackle.fittings.{name}" for name in FITTED} | {f"survey.{name}" for name in SURVEYED}


@pytest.mark.parametrize("path", PATHS)
def test_every_path_has_a_declaration_or_says_why_not(path: str) -> None:
    if path in UNDECLARED:
        with pytest.raises(ScenarioError) as caught:
            Scenario.declaration(path)
        assert str(caught.value) == (
            f"{where(Scenario, path)}: has neither unit nor table. Expected a quantity or a name out of a "
            "table. Name another path."
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
            f"{path}: unknown path. Expected the path of a field, such as tackle.scope"
            if path
            else "unknown path. Expected the path of a field, such as tackle.scope."
        )


def test_the_nearest_path_is_offered() -> None:
    with pytest.raises(ScenarioError) as caught:
        STOCK.get("wether.meanwind")
    assert str(caught.value) == (
        "wether.meanwind: unknown path. Expected the path of a field, such as tackle.scope; did "
        "you mean weather.mean_wind? Correct it."
    )


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


def test_she_cannot_let_out_more_than_she_carries() -> None:
    scenario = STOCK.vary({"spot.depth": "8.6 m", "tackle.scope": 7})
    assert scenario.rode_aboard == 60.0
    assert scenario.paid_out == 60.0
    assert scenario.scope_achieved == pytest.approx(6.0)
