"""What lies round her on the screen without a browser: put, moved, typed, read, told and undone."""

from __future__ import annotations

import json
import math
from datetime import UTC, datetime
from pathlib import Path

import pytest

from anchorsim.core.resources import folder
from anchorsim.core.units import si
from anchorsim.explorer import Explorer
from anchorsim.risk.assessment import assess
from anchorsim.scenario import placing
from anchorsim.scenario.scenario import Scenario
from anchorsim.wording import around as wording

BRIEF = Scenario().vary({"weather.duration": "1 min"})


@pytest.fixture(scope="module")
def explorer() -> Explorer:
    return Explorer(BRIEF)


@pytest.fixture
def screen(explorer: Explorer) -> Explorer:
    explorer.turn_to(BRIEF)
    return explorer


def act(screen: Explorer, **told: object) -> None:
    """As the script in the page tells of it."""
    screen.around.part._handle_custom_msg(told, [])


def rows(screen: Explorer) -> list[dict[str, object]]:
    return list(screen.around.part.things)


def test_a_click_puts_a_rock_where_it_was_and_undo_takes_it_away(screen: Explorer) -> None:
    act(screen, do="put", kind="point", at=[30.0, 40.0])
    (rock,) = rows(screen)
    assert (rock["name"], rock["distance"], rock["bearing"]) == ("Rock", 50.0, pytest.approx(53.1))
    assert placing.corners(screen.scenario.surroundings, "dangers.0")[0] == pytest.approx((30, 40), abs=0.01)
    act(screen, do="put", kind="point", at=[50.0, 40.0])
    assert [row["name"] for row in rows(screen)] == ["Rock", "Rock 2"]
    screen.undo()
    screen.undo()
    assert rows(screen) == [] and screen.scenario == BRIEF


def test_how_much_water_low_water_leaves_over_a_shoal_is_entered_once_there_is_one(screen: Explorer) -> None:
    low = next(one for one in screen.groups["Spot"] if one.path == "surroundings.low_water")
    assert low.widget.layout.display == "none"
    act(screen, do="put", kind="area", at=[30.0, 40.0])
    assert low.widget.layout.display != "none"
    assert si(screen.scenario.boat.draught) > 1.0  # m, which is what the chart has over it
    assert rows(screen)[0]["note"] != wording.AFLOAT
    low.widget.value = 4.0
    assert rows(screen)[0]["note"] == wording.AFLOAT, "5 m at low water: she floats over it"


@pytest.mark.parametrize("kind", ["point", "line", "area", "neighbour"])
def test_without_a_picture_it_is_put_down_the_wind_beyond_what_she_reaches(
    screen: Explorer, kind: str
) -> None:
    act(screen, do="put", kind=kind, at=None)
    (row,) = rows(screen)
    assert row["kind"] == kind
    # the wind blows from 225°; of a shoal the corner that is nearest lies a little aside
    assert row["bearing"] == pytest.approx(45.0, abs=5.0 if kind == "area" else 0.1)
    far = screen.scenario.paid_out + si(screen.scenario.boat.length)
    north, east = row["at"]  # type: ignore[misc]
    assert math.hypot(north, east) > far or kind == "area"


def test_a_lee_shore_lies_across_its_bearing(screen: Explorer) -> None:
    act(screen, do="put", kind="line", at=[60.0, 0.0])
    ends = placing.corners(screen.scenario.surroundings, "dangers.0")
    assert [north for north, _ in ends] == pytest.approx([60.0, 60.0], abs=0.05)
    assert ends[0][1] == pytest.approx(-ends[1][1], abs=0.05)


def test_what_is_typed_moves_it_in_the_units_of_the_screen(screen: Explorer) -> None:
    act(screen, do="put", kind="point", at=[30.0, 40.0])
    act(screen, do="set", key="dangers.0", field="bearing", value=90.0)
    act(screen, do="set", key="dangers.0", field="name", value="Old <b>wreck</b>")
    screen._switch("US")
    act(screen, do="set", key="dangers.0", field="distance", value=100.0)  # ft
    (rock,) = screen.scenario.surroundings.dangers
    north, east = rock.at[0].local(None)
    assert (north, east) == pytest.approx((0.0, 100.0 * 0.3048), abs=0.05)
    assert rows(screen)[0]["distance"] == pytest.approx(100.0, abs=0.2)
    assert rows(screen)[0]["name"] == "Old <b>wreck</b>", "the page puts it in as text"
    screen._switch("metric")


def test_steps_of_the_arrow_keys_are_one_step_to_undo_and_a_drag_is_another(screen: Explorer) -> None:
    act(screen, do="put", kind="point", at=[30.0, 40.0])
    for north in (31.0, 32.0, 33.0):
        act(screen, do="move", key="dangers.0", corners=[[north, 40.0]], keys=True)
    act(screen, do="move", key="dangers.0", corners=[[50.0, 10.0]], keys=False)
    screen.undo()
    assert rows(screen)[0]["at"][0] == pytest.approx(33.0, abs=0.05)  # type: ignore[index]
    screen.undo()
    assert rows(screen)[0]["at"][0] == pytest.approx(30.0, abs=0.05)  # type: ignore[index]


def test_a_neighbours_boat_and_rode_are_typed(screen: Explorer) -> None:
    act(screen, do="put", kind="neighbour", at=[0.0, -70.0])
    act(screen, do="set", key="neighbours.0", field="boat", value="ketch-13")
    act(screen, do="set", key="neighbours.0", field="rode", value=45.0)
    (row,) = rows(screen)
    assert (row["boat"], row["rode"]) == ("ketch-13", pytest.approx(45.0, abs=0.1))
    act(screen, do="remove", key="neighbours.0")
    assert rows(screen) == []


def test_what_cannot_be_is_refused_and_the_rows_stay(screen: Explorer) -> None:
    act(screen, do="put", kind="point", at=[30.0, 40.0])
    before = screen.scenario
    act(screen, do="set", key="dangers.0", field="distance", value=30_000.0)
    assert "surroundings.dangers.0.at.0.distance" in screen.frame.strip.problem
    assert screen.scenario == before and rows(screen)[0]["distance"] == 50.0
    act(screen, do="remove", key="dangers.5")  # taken away meanwhile
    assert screen.scenario == before


def test_each_row_says_how_she_clears_it(screen: Explorer) -> None:
    """With the distances and the chances of the same spells, run here."""
    act(screen, do="put", kind="point", at=[26.0, 26.0])  # down the wind, where she lies
    act(screen, do="put", kind="area", at=[-40.0, 0.0])
    act(screen, do="set", key="dangers.1", field="depth", value=9.0)  # she floats over it
    act(screen, do="put", kind="neighbour", at=[-10.0, 100.0])
    found = assess(screen.scenario, len(screen.assessment))  # type: ignore[arg-type]
    rock, shoal, neighbour = rows(screen)
    hits = 100.0 * (found.clearances[0].si.closest < 0.01).mean()
    assert rock["note"].startswith(f"hits it in {hits:.0f} of 100 spells") or hits == 0.0  # type: ignore[attr-defined]
    assert hits > 5.0 and rock["tone"] == "bad"
    assert shoal["note"] == "enough water over it at low water"
    near = sorted(found.clearances[1].si.closest)[0]
    assert f"{near:.2g} m" in str(neighbour["note"])


def test_dangers_are_read_from_a_chart_once_the_anchor_has_a_position(
    screen: Explorer, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    point = {"type": "Point", "coordinates": [-4.5, 50.201]}
    feature = {"type": "Feature", "properties": {"name": "Reef"}, "geometry": point}
    content = json.dumps({"type": "FeatureCollection", "features": [feature]}).encode()
    upload = {"name": "chart.geojson", "type": "application/json", "size": len(content), "content": content}
    screen.around.bring.value = ({**upload, "last_modified": datetime.now(UTC)},)
    assert "a latitude without that of the anchor" in screen.frame.strip.problem and rows(screen) == []
    screen.around.anchor.value = "50°12'N 4°30'W"
    screen.around.bring.value = ({**upload, "last_modified": datetime(2026, 1, 1, tzinfo=UTC)},)
    (reef,) = rows(screen)
    assert reef["name"] == "Reef" and reef["bearing"] == pytest.approx(0.0, abs=0.1)
    assert reef["distance"] == pytest.approx(111.2, abs=0.2)  # a thousandth of a degree of latitude there
    screen.around.anchor.value = "nowhere"
    assert "the position cannot be read" in screen.frame.strip.problem


def test_the_place_of_another_is_taken_over_and_her_own_gear_stays(screen: Explorer) -> None:
    cove = folder("shared") / "cove-with-neighbour.toml"
    screen.around.place.value = next(path for _, path in screen.around.place.options if path == cove)
    other = Scenario.load(cove)
    assert screen.scenario.spot == other.spot and screen.scenario.surroundings == other.surroundings
    assert screen.scenario.tackle == BRIEF.tackle and screen.scenario.weather == BRIEF.weather
    assert screen.around.place.value is None, "ready for the next"
    assert {row["name"] for row in rows(screen)} == {"Reef", "Sea wall", "Ketch"}
    screen.undo()
    assert screen.scenario == BRIEF


def test_what_lies_round_her_is_drawn(screen: Explorer) -> None:
    brief = {"weather.duration": "1 min", "weather.shift": "0 degree", "spot.fetches": ()}
    screen.turn_to(Scenario.load(folder("shared") / "cove-with-neighbour.toml").vary(brief))
    assert screen.scene is not None
    drawn = {area.name: area for area in screen.scene.dangers}
    assert set(drawn) == {"Reef", "Sea wall", "Ketch's anchor"}
    north, east = 55.0 * math.cos(math.radians(35.0)), 55.0 * math.sin(math.radians(35.0))
    assert (drawn["Reef"].x[0], drawn["Reef"].y[0]) == pytest.approx((north, east))
    assert len(drawn["Sea wall"].x) == 4, "there and back"


def test_a_shelving_bottom_is_drawn_and_is_no_row_to_move(screen: Explorer) -> None:
    """6 m at the anchor, rising by 4°: (6 − 2) m / tan 4° on there is what she draws, across the slope."""
    beach = {"spot.slope": "4 degree", "spot.deepens_towards": "225 degree", "boat.draught": "2 m"}
    screen.turn_to(BRIEF.vary({**beach, "spot.depth": "6 m"}))
    assert screen.scene is not None
    (edge,) = screen.scene.dangers
    assert edge.name == "Too shallow past this line at low water"
    along = (edge.x + edge.y) * math.sqrt(0.5)
    assert along == pytest.approx([4.0 / math.tan(math.radians(4.0))] * 4)
    assert rows(screen) == []
    act(screen, do="put", kind="neighbour", at=[0.0, -70.0])
    near = screen.assessment.clearances[-1].si.closest.min()  # type: ignore[union-attr]
    assert f"{near:.2g} m" in str(rows(screen)[0]["note"]), "hers, not that of the shelving bottom"
