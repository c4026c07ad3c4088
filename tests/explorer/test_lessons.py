"""The page Lessons and the first screen without a browser: what is predicted is kept, each way leads on."""

from __future__ import annotations

import json
import math
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from anchorsim.core.resources import SCENARIO_VARIABLE, STATE, folder
from anchorsim.explorer import Explorer, explore
from anchorsim.explorer.lessons.screen import LessonScreen
from anchorsim.explorer.pace import Pace
from anchorsim.lessons.catalogue import PLANS
from anchorsim.lessons.lesson import run
from anchorsim.wording import lessons as wording
from anchorsim.wording.start import WAYS


@pytest.fixture
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    (tmp_path / STATE).mkdir()
    monkeypatch.chdir(tmp_path)
    monkeypatch.delenv(SCENARIO_VARIABLE, raising=False)
    return tmp_path


def tell(part: Any, **said: Any) -> None:
    """What a script sends."""
    part._handle_custom_msg(said, [])


def test_a_prediction_is_kept_and_shown_beside_what_came_out(home: Path) -> None:
    screen = LessonScreen(("scope",))
    assert not screen.shown.revealed and screen.asked.predicted == -1
    assert not screen.spells.children, "what came out is not in the page before it is asked for"
    tell(screen.asked, do="predict", choice=1)
    tell(screen.asked, do="reveal")
    assert screen.shown.revealed and screen.spells.children
    assert screen.shown.said["outcome"] == wording.outcome(run("scope"), 1)
    assert LessonScreen(("scope",)).asked.predicted == 1, "after the page was loaded again"
    for wrong in (7, -1, "1", None):
        tell(screen.asked, do="predict", choice=wrong)
    assert screen.predictions.of("scope") == 1


@pytest.mark.parametrize(
    "content", ["", "format = 2", "format = 1\npredicted = 3", "format = 1\n[predicted]\nscope = 9"]
)
def test_predictions_that_cannot_be_read_are_none(home: Path, content: str) -> None:
    (home / STATE / "lessons.toml").write_text(content, encoding="utf-8")
    assert LessonScreen(("scope",)).asked.predicted == -1


def test_what_is_tried_is_run_and_leads_back(home: Path) -> None:
    screen = LessonScreen(("scope", "snubber"))
    before = screen.player.run
    tell(screen.shown, do="try", key="breeze")
    assert screen.lesson is run("scope", tried="breeze") and screen.player.run != before
    assert screen.shown.tried == "breeze" and not screen.shown.said["explained"]
    tell(screen.shown, do="try", key="no such thing")
    assert screen.tried == "breeze"
    tell(screen.shown, do="try", key="")
    assert screen.lesson is run("scope") and screen.shown.said["explained"]
    tell(screen.asked, do="lesson", key="snubber")
    assert screen.asked.said["question"] == wording.question("snubber") and not screen.shown.revealed


class Later(Pace):
    """What is done aside waits until it is asked for."""

    def __init__(self) -> None:
        super().__init__(lambda: iter(()))  # type: ignore[arg-type, return-value]
        self.waiting: list[Callable[[], None]] = []

    def aside(self, work: Callable[[], Any], then: Callable[[Any], None]) -> None:
        self.waiting.append(lambda: then(work()))

    def come(self) -> None:
        self.waiting.pop(0)()


def test_a_lesson_asks_at_once_and_shows_nothing_of_another_while_it_is_calculated(home: Path) -> None:
    later = Later()
    screen = LessonScreen(("scope", "snubber"), later)
    assert screen.asked.said["question"] == wording.question("scope")
    assert screen.asked.said["choices"] == list(wording.choices(PLANS["scope"]))
    assert screen.asked.busy == "Calculating 24 spells of 3 boats…" and waits(screen)
    tell(screen.asked, do="predict", choice=1)
    tell(screen.asked, do="reveal")
    assert screen.asked.predicted == 1 and screen.shown.said == {}
    later.come()
    assert screen.asked.busy == screen.shown.busy == "" and not waits(screen)
    assert screen.shown.revealed and screen.shown.said["outcome"].startswith("You said")

    tell(screen.asked, do="lesson", key="snubber")
    assert screen.asked.said["question"] == wording.question("snubber")
    assert screen.asked.busy == "Calculating 24 spells of 4 boats…" and waits(screen)
    assert screen.shown.said == {} and not screen.shown.revealed
    tell(screen.asked, do="lesson", key="scope")
    later.come()
    assert waits(screen), "what comes of a lesson that was left is not shown"
    later.come()
    assert screen.lesson is run("scope") and not waits(screen)

    tell(screen.shown, do="try", key="breeze")
    assert screen.shown.busy and screen.shown.said["outcome"] and not waits(screen), "the boats are the same"


def waits(screen: LessonScreen) -> bool:
    return "anchorsim-waits" in screen.stage._dom_classes


@pytest.mark.parametrize("key", [key for key, plan in PLANS.items() if plan.over])
def test_the_page_for_phones_is_saved_with_the_lesson_in_it(home: Path, key: str) -> None:
    screen = LessonScreen((key,))
    assert screen.shown.said["phones"] == "Save page for phones"
    tell(screen.shown, do="phones")
    (saved,) = home.glob("*.html")
    assert screen.shown.said["saved"] == f"Saved as {saved.name}"
    page = saved.read_text(encoding="utf-8")
    assert len(page.encode()) < 5_000_000
    assert f"<h1>{wording.title(key)}</h1>" in page
    (book,) = re.findall(r'<script type="application/json" id="book">(.*)</script>', page)
    held = json.loads(book)
    over = PLANS[key].over
    assert held["duration"] == "weather.duration=10 min"
    assert [len(axis["values"]) for axis in held["axes"]] == [len(values) for values in over.values()]
    assert len(held["cells"]) == math.prod(map(len, over.values())) and all(
        cell["data"] for cell in held["cells"]
    )


def test_a_lesson_that_no_page_can_tell_offers_none(home: Path) -> None:
    assert LessonScreen(("neighbours",)).shown.said["phones"] == ""


def test_the_boats_of_a_lesson_are_those_that_are_played(home: Path) -> None:
    screen = LessonScreen(("neighbours",))
    assert [scene["letter"] for scene in screen.player.scenes] == ["A", "B", "C"]
    assert [scene["name"] for scene in screen.player.scenes] == list(wording.boats(PLANS["neighbours"]))
    screen.turn("US")
    assert screen.player.units["length"]["label"] == "ft"


def test_the_first_screen_opens_first_and_each_way_leads_on_in_one_step(home: Path) -> None:
    screen = explore()
    assert screen.frame.head.page == "start"
    assert [way[0] for way in screen.frame.index.said["ways"]] == ["swing", "survey", "lessons"]
    for way in WAYS:
        tell(screen.frame.index, do="page", key=way.page)
        assert screen.frame.head.page == way.page
    assert screen.lessons.screen is not None
    assert explore().frame.head.page == "lessons", "who comes back is where they were"


def test_a_named_file_goes_straight_to_the_picture(home: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    named = folder("shared") / "sloop-gale-veering.toml"
    monkeypatch.setenv(SCENARIO_VARIABLE, str(named))
    screen = explore()
    assert screen.frame.head.page == "swing" and screen.state.recent == (named.name,)


def test_what_was_kept_and_opened_is_one_step_away(home: Path) -> None:
    screen = explore()
    tell(screen.frame.index, do="recent", key="gone.toml")
    assert "no longer here" in screen.frame.strip.problem
    screen.files.open_named("classroom-scope.toml")
    title = screen.scenario.title
    screen.keep()
    screen.files.open_named("sloop-gale-veering.toml")
    lists = {heading: entries for heading, _, entries in screen.frame.index.said["lists"]}
    assert [key for key, _ in lists["Recent scenarios"]] == [
        "sloop-gale-veering.toml",
        "classroom-scope.toml",
    ]
    assert lists["Kept set-ups"] == [["A", f"A: {title}"]]
    tell(screen.frame.index, do="kept", key="A")
    assert screen.scenario.title == title and screen.frame.head.page == "swing"


def test_a_scenario_that_is_handed_over_in_a_notebook_shows_its_picture() -> None:
    assert Explorer(run("scope").assessments[0].scenario).frame.head.page == "swing"
