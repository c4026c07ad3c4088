"""The explorer without a browser: a control's move ends in the new picture, and all views agree."""

from __future__ import annotations

import asyncio
import math
import struct
from datetime import UTC, datetime
from pathlib import Path

import numpy as np
import pytest
from scipy.stats import norm

from anchorsim.core.units import quantity, si
from anchorsim.dynamics.simulation import simulate
from anchorsim.explorer import Explorer, explore
from anchorsim.explorer.controls import Control
from anchorsim.explorer.files import kept
from anchorsim.explorer.pace import Pace, Slices
from anchorsim.scenario.scenario import Scenario

SHORT = Scenario().vary({"weather.duration": "1 min"})


@pytest.fixture
def screen() -> Explorer:
    return Explorer(SHORT)


def control(screen: Explorer, path: str) -> Control:
    return next(c for controls in screen.groups.values() for c in controls if c.path == path)


def uploaded(content: bytes) -> dict[str, object]:
    now = datetime.now(UTC)
    name, size = "wind.csv", len(content)
    return {"name": name, "type": "text/csv", "size": size, "content": content, "last_modified": now}


def act(screen: Explorer, action: str) -> None:
    """Press a button of the head, as its script tells of it."""
    screen.frame.head._handle_custom_msg({"do": action}, [])


def shown(screen: Explorer, view: str):
    return screen.views[f"anchorsim-view-{view}"].children[0].picture


def test_every_kind_of_input_that_a_person_needs_has_a_control(screen: Explorer) -> None:
    paths = {path for controls in screen.groups.values() for c in controls for path in c.changes()}
    assert list(screen.groups) == ["Wind", "Rode", "Anchor", "Spot", "Sea", "Boat"]
    assert paths >= {
        "boat.model", "tackle.scope", "tackle.chain.length", "tackle.rope.length", "tackle.snubber.length",
        "tackle.anchor.type", "spot.bottom", "spot.depth", "spot.tide", "spot.slope", "spot.deepens_towards",
        "weather.mean_wind", "weather.gust", "weather.direction", "weather.shift",
    }  # fmt: skip


@pytest.mark.parametrize("system", ["metric", "US"])
def test_controls_show_the_scenario_and_give_it_back(screen: Explorer, system: str) -> None:
    if system == "US":
        act(screen, "units")
    for controls in screen.groups.values():
        for one in controls:
            for path, value in one.changes().items():
                held = screen.scenario.get(path)
                if path in ("weather.gust", "weather.wave_direction"):
                    continue  # shown as what the exposure or the wind comes to until a person sets it
                if hasattr(held, "m"):
                    assert si(value) == pytest.approx(si(held), rel=1e-12), path
                else:
                    assert value == held, path


def test_a_move_ends_in_the_new_picture(screen: Explorer) -> None:
    before = screen.player.run_id, np.array(shown(screen, "load").data[0].y)
    control(screen, "tackle.scope").widget.value = 8.0
    assert screen.scenario.tackle.scope == 8.0
    assert screen.player.run_id != before[0]
    # By hand, the first spell: (1/2, 1/3, 1/5) is the first point of Halton's sequence in bases 2, 3 and 5.
    windage, drag = math.exp(0.15 * norm.ppf(1 / 3)), math.exp(0.25 * norm.ppf(1 / 5))
    expected = simulate(screen.scenario, seed=0, holding_quantile=0.5, windage=windage, line_drag=drag)
    assert np.array_equal(screen.run.si.bow_load, expected.si.bow_load)
    traces = {trace.name: trace for trace in shown(screen, "load").data}
    load = traces["load at the bow"]
    assert np.allclose(np.asarray(load.y), expected.si.bow_load / 1000)  # kN


def test_the_player_has_the_same_run_as_the_figures(screen: Explorer) -> None:
    magic, samples, columns, start, step = struct.unpack_from("<4sIIff", screen.player.run)
    assert (magic, samples, columns) == (b"RUN1", 601, 10)
    packed = np.frombuffer(screen.player.run, "<f4", offset=20).reshape(samples, columns)
    assert np.allclose(packed[:, 3], screen.run.si.bow_load, rtol=1e-6)
    assert (start, step) == (0.0, pytest.approx(0.1))


def test_what_cannot_be_is_said_and_the_picture_stays(screen: Explorer) -> None:
    run = screen.player.run_id
    control(screen, "spot.depth").widget.value = 60.0
    assert screen.frame.strip.problem
    assert "spot.depth" in screen.frame.strip.problem or "tackle.chain.length" in screen.frame.strip.problem
    assert screen.player.run_id == run
    assert si(screen.scenario.spot.depth) == pytest.approx(6.0)
    control(screen, "tackle.chain.length").widget.value = 120.0  # and now it can
    assert si(screen.scenario.spot.depth) == pytest.approx(60.0)
    assert screen.frame.strip.problem == ""


def test_the_unit_switch_changes_what_is_shown_and_nothing_else(screen: Explorer) -> None:
    scenario, run = screen.scenario, screen.run
    act(screen, "units")
    assert screen.scenario is scenario and screen.run is run
    assert control(screen, "spot.depth").widget.unit == "ft"
    assert control(screen, "spot.depth").widget.value == pytest.approx(
        6 / 0.3048
    )  # 1 ft = 0.3048 m, NIST SP 811
    assert "lbf" in shown(screen, "load").layout.yaxis.ticksuffix
    assert "lbf" in screen.frame.strip.figures[0]["value"]


def test_an_entry_is_read_in_the_unit_whose_sign_stands_beside_it(screen: Explorer) -> None:
    speed, bearing = (control(screen, path).widget for path in ("spot.current", "weather.direction"))
    assert (speed.unit, bearing.unit) == ("kn", "°")
    speed.value, bearing.value = 2.0, 90.0
    assert si(screen.scenario.spot.current) == pytest.approx(2 * 1852 / 3600)  # knot, NIST SP 811, table 8
    assert si(screen.scenario.weather.direction) == pytest.approx(math.pi / 2)


def test_gusts_stay_as_many_times_the_mean(screen: Explorer) -> None:
    control(screen, "weather.gust").widget.value = 30.0
    control(screen, "weather.mean_wind").widget.value = 10.0
    assert si(screen.scenario.weather.gust) == pytest.approx(si(quantity(15.0, "knot")))


def test_a_set_up_that_is_kept_stays_beside_the_new_one(screen: Explorer) -> None:
    first = screen.scenario
    act(screen, "keep")
    act(screen, "keep")  # the same again is not kept twice
    assert len(screen.player.scenes) == 1, "what is on screen is not laid over itself"
    control(screen, "tackle.snubber.length").widget.value = 0.0
    assert [(one.letter, one.scenario) for one in screen.kept] == [("A", first)]
    assert [scene["letter"] for scene in screen.player.scenes] == ["B", "A"]
    bars = {bar.name: bar for bar in screen.views["anchorsim-view-parts"].children[0].picture.data}
    assert max(bars["peak load"].error_x.array) == 0.0, "all bars are of the one spell that is known of all"
    control(screen, "weather.mean_wind").widget.value = 14.0
    assert len(screen._others) == 1 and all(
        si(one.weather.mean_wind) == pytest.approx(si(quantity(14.0, "knot"))) for one, _ in screen._others
    ), "in the weather on screen"
    act(screen, "keep")
    assert [one.letter for one in screen.kept] == ["A", "B"]
    screen.rename("A", "with snubber")
    screen.let_go("B")
    assert [(one.letter, one.name) for one in screen.kept] == [("A", "with snubber")]
    screen.let_go("A")
    assert len(screen.player.scenes) == 1


def test_another_boat_brings_her_own_figures(screen: Explorer) -> None:
    control(screen, "boat.model").widget.value = "catamaran-12"
    assert screen.scenario.boat.hulls == 2
    assert si(screen.scenario.boat.beam) == pytest.approx(6.6)


def test_a_scenario_is_saved_and_opened_again(
    screen: Explorer, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    control(screen, "tackle.scope").widget.value = 6.5
    screen.files.name.value = "../my <cove>"
    screen.files.save.click()
    (saved,) = tmp_path.glob("*.toml")
    assert saved.name == "my-cove.toml"
    assert Scenario.load(saved) == screen.scenario
    again = Explorer(SHORT)
    again.files.scenarios.value = saved.resolve()
    assert again.scenario.tackle.scope == 6.5
    control(again, "tackle.scope").widget.value = 8.0
    again.files.name.value = "another"
    again.files.save.click()
    assert again.scenario.tackle.scope == 8.0 and again.files.said.value == "Saved as another.toml"
    assert again.files.scenarios.value == tmp_path / "another.toml"
    assert Scenario.load(saved).tackle.scope == 6.5


def test_a_window_saves_over_its_own_file_and_beside_one_that_another_saved(
    screen: Explorer, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    first, second = screen, Explorer(SHORT.vary({"tackle.scope": 9.0}))
    for window in (first, second, first, second):
        window.files.name.value = window.files.name.value or "cove"
        window.files.save.click()
    assert first.files.said.value == "Saved as cove.toml"
    second.files.name.value = "cove"
    second.files.save.click()
    assert second.files.said.value == "Saved as cove-3.toml; cove.toml is another scenario and was kept"
    assert [Scenario.load(tmp_path / f"cove{n}.toml").tackle.scope for n in ("", "-2", "-3")] == [
        first.scenario.tackle.scope,
        9.0,
        9.0,
    ]


def test_a_file_that_is_brought_goes_over_none_that_is_there(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    names = [kept((uploaded(content),), "wind").name for content in (b"one", b"two", b"one", b"two")]
    assert names == ["wind.csv", "wind-2.csv"] * 2
    assert [(tmp_path / name).read_bytes() for name in names[:2]] == [b"one", b"two"]


def test_a_wind_record_is_brought_and_dropped(
    screen: Explorer, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    record = b"time [min],mean [knot],gust [knot],direction\n0,12,18,200\n30,20,30,230\n60,22,33,240\n"
    screen.files.record.value = (uploaded(record),)
    assert screen.scenario.weather.record is not None
    assert not screen.files.drop.disabled
    screen.files.drop.click()
    assert screen.scenario.weather.record is None


def test_a_bad_wind_record_is_refused_with_its_line(
    screen: Explorer, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    record = b"time [min],mean [knot],direction\n0,12,200\n10,windy,210\n"
    screen.files.record.value = (uploaded(record),)
    assert "line 3" in screen.frame.strip.problem
    assert screen.scenario.weather.record is None


def test_an_uploaded_file_never_takes_the_place_of_another(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "wind.csv").write_bytes(b"mine")
    contents = (b"one", b"one", b"mine", b"two")
    targets = [kept((uploaded(content),), "wind") for content in contents]
    assert [target.name for target in targets if target] == [
        "wind-2.csv", "wind-2.csv", "wind.csv", "wind-3.csv",
    ]  # fmt: skip
    assert (tmp_path / "wind.csv").read_bytes() == b"mine"


def test_hostile_text_is_escaped(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    hostile = SHORT.vary({"title": "<script>alert(1)</script>"})
    hostile.save(tmp_path / "hostile.toml")
    screen = Explorer(SHORT)
    screen.files.scenarios.value = (tmp_path / "hostile.toml").resolve()
    assert screen.frame.head.title == hostile.title  # which its script sets as text, never as markup
    assert "<script" not in screen.files.said.value


def test_explore_opens_what_the_command_line_named(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    SHORT.vary({"tackle.scope": 4.5}).save(tmp_path / "named.toml")
    monkeypatch.setenv("ANCHORSIM_SCENARIO", str(tmp_path / "named.toml"))
    monkeypatch.chdir(tmp_path)
    assert explore().scenario.tackle.scope == 4.5


def test_a_flood_of_requests_ends_on_the_last_with_no_backlog() -> None:
    seen: list[int] = []
    begun: list[int] = []
    wanted = 0

    def work() -> Slices:
        asked = wanted
        begun.append(asked)
        yield
        yield
        seen.append(asked)

    async def flood() -> None:
        nonlocal wanted
        pace = Pace(work)
        for wanted in range(1, 101):  # noqa: B007 - read by the work
            pace.ask()
            await asyncio.sleep(0.002)
        await asyncio.sleep(0.3)

    asyncio.run(flood())
    assert seen[-1] == 100
    assert seen.count(100) == 1
    assert len(begun) < 10  # one for each 0.15 s of the flood, not one for each request


def test_requests_from_other_threads_come_to_the_one_loop() -> None:
    async def main() -> list[bool]:
        home = asyncio.get_running_loop()
        pace = Pace(lambda: iter(()))  # type: ignore[arg-type,return-value]
        where: list[bool] = []
        await asyncio.to_thread(pace.hand_over, lambda: where.append(asyncio.get_running_loop() is home))
        await asyncio.sleep(0.01)
        return where

    assert asyncio.run(main()) == [True]
