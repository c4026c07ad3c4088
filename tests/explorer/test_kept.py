"""What a person made of the screen is there again, whatever happened to page and kernel in between."""

from __future__ import annotations

import time
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from anchorsim.core.resources import SCENARIO_VARIABLE, START_VARIABLE, STATE
from anchorsim.core.toml_file import parse_toml, toml
from anchorsim.core.writing import write_whole
from anchorsim.explorer import Explorer, explore, kept
from anchorsim.explorer.history import MOST, History
from anchorsim.jupyter.server import SETTLE
from anchorsim.scenario.scenario import Scenario

SHORT = Scenario().vary({"weather.duration": "1 min"})
SCOPES = [SHORT.vary({"tackle.scope": 3.0 + 0.5 * step}) for step in range(12)]


@pytest.fixture
def place(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    (tmp_path / STATE).mkdir()
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv(START_VARIABLE, "this start")
    monkeypatch.delenv(SCENARIO_VARIABLE, raising=False)
    found = kept.place()
    assert found is not None
    return found


def opened(state: kept.State, place: Path) -> Explorer:
    return Explorer(state, kept.Keeper(place))


def read(place: Path) -> kept.State:
    state, _ = kept.remembered(place)
    assert state is not None
    return state


def test_all_that_was_made_of_the_screen_is_read_back_as_it_was_written(place: Path) -> None:
    record = SHORT.vary({"title": "Naïve “cove” \\ 'x' <b>", "survey.notes": "two\nlines"})
    state = kept.State(
        History(SCOPES[1], (SHORT, record), (SCOPES[2],)),
        kept=(kept.SetUp("A", "five to one", SCOPES[4]), kept.SetUp("C", "", record)),
        page="night", system="US", stretch="12 hour", file="cove", clear_radius=55.5,
        open=("Sea",), chosen=("spot.depth", "tackle.scope", "weather.gust"),
    )  # fmt: skip
    keeper = kept.Keeper(place)
    keeper.keep(state)
    kept.settle()
    assert kept.remembered(place) == (state, True)


def test_a_kernel_that_is_to_be_restarted_first_writes_what_it_was_given(
    place: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """By what the server has it execute, however slow the disk is."""

    def slow(target: Path, content: bytes) -> None:
        time.sleep(0.3)
        write_whole(target, content)

    monkeypatch.setattr(kept, "write_whole", slow)
    state = kept.State(History(SCOPES[0]))
    kept.Keeper(place).keep(state)
    exec(SETTLE, {})
    assert kept.remembered(place) == (state, True)


def test_a_move_is_kept_and_undone_and_done_again_after_a_reload(place: Path) -> None:
    screen = opened(kept.State(History(SHORT)), place)
    scope = next(one for one in screen.frame.controls if one.path == "tackle.scope").widget
    snubber = next(one for one in screen.frame.controls if one.path == "tackle.snubber.length").widget
    scope.value, snubber.value = 7.0, 2.0
    kept.settle()
    again = opened(read(place), place)
    assert again.scenario == screen.scenario
    again.undo()
    again.undo()
    assert again.scenario == SHORT
    again.redo()
    kept.settle()
    last = opened(read(place), place)
    assert (last.scenario.tackle.scope, last.scenario.tackle.snubber.length.m_as("m")) == (7.0, 8.0)


def test_a_drag_of_one_slider_is_one_step(place: Path) -> None:
    screen = opened(kept.State(History(SHORT)), place)
    scope = next(one for one in screen.frame.controls if one.path == "tackle.scope").widget
    for value in (5.5, 6.0, 6.5):
        scope.value = value
    assert len(screen.state.history.past) == 1
    screen.undo()
    assert screen.scenario == SHORT


def test_another_scenario_that_is_opened_loses_nothing(place: Path) -> None:
    screen = opened(kept.State(History(SCOPES[0])), place)
    screen.turn_to(SCOPES[5])
    screen.undo()
    assert screen.scenario == SCOPES[0]


def test_a_named_file_opens_once_and_a_reload_goes_on_with_what_was_made_of_it(
    place: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    keeper = kept.Keeper(place)
    keeper.keep(kept.State(History(SCOPES[3])))
    kept.settle()
    SCOPES[8].save(place.parent.parent / "named.toml")
    monkeypatch.setenv(SCENARIO_VARIABLE, "named.toml")
    monkeypatch.setenv(START_VARIABLE, "the next start")
    first = explore()
    assert first.scenario.tackle.scope == SCOPES[8].tackle.scope
    first.turn_to(SCOPES[9])
    kept.settle()
    second = explore()
    assert second.scenario == SCOPES[9]
    assert second.state.history.past[-2].tackle.scope == SCOPES[3].tackle.scope  # of the day before


@pytest.mark.parametrize(
    "content",
    [b"", b"\x00\xff", b"format = 2", b"format = 1", b"format = 1\nnow = 3", b'format = 1\n[now]\na = 1'],
    ids=["empty", "bytes", "later", "nothing", "number", "table"],
)  # fmt: skip
def test_what_cannot_be_read_begins_anew(place: Path, content: bytes) -> None:
    place.write_bytes(content)
    assert kept.remembered(place) == (None, False)
    assert explore().scenario == Scenario()


def test_a_file_cut_off_anywhere_is_read_whole_or_not_at_all(place: Path) -> None:
    whole = toml(kept.written(kept.State(History(SHORT, (SCOPES[1],)))))
    for end in range(0, len(whole), 97):
        place.write_bytes(whole[:end])
        state, _ = kept.remembered(place)
        assert state is None or state.history.now == SHORT
    assert parse_toml(whole.decode())["now"]


def test_nothing_is_written_where_the_command_made_no_place(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    assert kept.place() is None
    explore().vary({"tackle.scope": 6.0})
    assert list(tmp_path.iterdir()) == []


@given(st.lists(st.sampled_from(["turn", "move", "undo", "redo"]), max_size=60), st.data())
@settings(max_examples=60, deadline=None)
def test_undo_goes_back_the_way_that_was_come(steps: list[str], data: st.DataObject) -> None:
    history, way, at = History(SCOPES[0]), [SCOPES[0]], 0  # a list and a place in it, as a browser's history
    for step in steps:
        if step in ("turn", "move"):
            scenario = data.draw(st.sampled_from(SCOPES))
            history = (
                history.turned_to(scenario, "")
                if step == "turn"
                else history.paused().turned_to(scenario, "a")
            )
            if scenario != way[at]:
                way, at = [*way[: at + 1], scenario], at + 1
        elif step == "undo":
            history, at = history.undone(), max(at - 1, 0, len(way) - 1 - MOST)
        else:
            history, at = history.redone(), min(at + 1, len(way) - 1)
        assert history.now == way[at]
