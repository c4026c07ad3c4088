"""The guided survey without a browser: what is tapped is recorded, saved at once, and weighed."""

from __future__ import annotations

import asyncio
import datetime
import os
import re
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pytest

from anchorsim.core.resources import SCENARIO_VARIABLE, folder
from anchorsim.core.tables import table
from anchorsim.core.units import si
from anchorsim.explorer import Explorer
from anchorsim.explorer.survey.facts import facts
from anchorsim.explorer.survey.file import LAST, SurveyFile
from anchorsim.explorer.survey.part_drawings import PLACES, drawing, place_of
from anchorsim.explorer.survey.screen import PARTS, STEPS, TackleSurvey, inspect_tackle
from anchorsim.scenario.findings import OTHER, Finding, kinds_on, parts_of
from anchorsim.scenario.scenario import Scenario
from anchorsim.survey.weakest_link import appraise
from anchorsim.wording.amounts import factor, percents

SHORT = Scenario().vary({"weather.duration": "1 min"})
HOSTILE = "<script>alert(1)</script><img src=x onerror=alert(2)>"
JPEG = b"\xff\xd8\xff\xe0" + bytes(60)
PNG = b"\x89PNG\r\n\x1a\n" + bytes(60)
BOMB = PNG[:12] + b"IHDR" + (12_000).to_bytes(4, "big") + (10_000).to_bytes(4, "big")  # 120 megapixels


@pytest.fixture
def survey(tmp_path: Path) -> TackleSurvey:
    return inspect_tackle(SHORT, tmp_path)


@dataclass(frozen=True)
class Card:
    """A card on the screen: what it shows, and what is done on it as the page sends it."""

    survey: TackleSurvey
    part: str
    key: int

    @property
    def shown(self) -> dict[str, Any]:
        self.open()
        return next(one for one in self.survey.found.cards if one["key"] == self.key)

    def open(self) -> None:
        if self.survey.step != self.part:
            self.survey.go(self.part)

    def do(self, what: str, *buffers: Any, **content: Any) -> None:
        self.open()
        self.survey.found._handle_custom_msg({"do": what, "key": self.key, **content}, list(buffers))

    def grade(self, grade: str) -> None:
        self.do("grade", grade=grade)

    def note(self, text: str) -> None:
        self.do("note", note=text)

    def measure(self, value: float | None, row: int = 0, column: int = 0, sure: bool = False) -> None:
        self.do("measured", row=row, column=column, value=value, unit=self.shown["amount"]["unit"], sure=sure)

    @property
    def figures(self) -> list[Any]:
        return [value for row in self.shown["amount"]["rows"] for value in row["values"]]

    def picture(self, name: str, content: bytes) -> None:
        self.do("picture", memoryview(content), name=name)


def card(survey: TackleSurvey, part: str, kind: str, turn: int = 0) -> Card:
    if survey.step != part:
        survey.go(part)
    return Card(survey, part, [one for one in survey.found.cards if one["kind"] == kind][turn]["key"])


def tap(survey: TackleSurvey, part: str, kind: str, grade: str = "") -> Card:
    """Tap the tile of a kind, and a grade."""
    survey.go(part)
    survey.found._handle_custom_msg({"do": "add", "kind": kind, "part": part}, [])
    found = card(survey, part, kind, -1)
    if grade:
        found.grade(grade)
    return found


def measure(survey: TackleSurvey, part: str, kind: str, value: float) -> Card:
    found = tap(survey, part, kind)
    found.measure(value)
    return found


def undo(survey: TackleSurvey) -> None:
    survey.found._handle_custom_msg({"do": "undo"}, [])


def findings(survey: TackleSurvey) -> list[tuple[str, str]]:
    return [(found.part, found.kind) for found in survey.scenario.survey.findings]


def test_the_walk_goes_from_the_anchor_aft(survey: TackleSurvey) -> None:
    assert survey.step == "about" and [one[0] for one in survey.walk.steps] == list(STEPS)
    assert ("about", "boat", *PARTS, "overview") == STEPS and PARTS[0] == "anchor" and PARTS[-1] == "locker"
    for step in STEPS:
        survey.walk.step = step
        assert survey.walk.shown == step  # whose page is in place
        assert survey.walk.done == ("no" if step in PARTS else "")
    survey.walk.step = "no such step"
    assert survey.step == "about"


def test_every_kind_of_finding_is_on_exactly_its_own_parts_and_at_one_place_of_each_drawing() -> None:
    kinds = {str(row["finding"]) for row in table("findings")} - {OTHER}
    for kind in kinds:
        parts = {part for part, places in PLACES.items() for place in places if kind in place.kinds}
        assert parts == set(parts_of(kind)), kind
    for part, places in PLACES.items():
        drawn = [kind for place in places for kind in place.kinds]
        assert sorted(drawn) == sorted(kinds_on(part)), part
        assert all(13 <= place.x <= 387 and 13 <= place.y <= 227 for place in places), part


def test_every_kind_of_finding_has_a_tile_on_its_part(survey: TackleSurvey) -> None:
    for part in PARTS:
        survey.go(part)
        kinds = [one["kind"] for one in survey.found.tiles]
        assert kinds.pop() == OTHER and survey.found.cards == []
        assert sorted(kinds) == sorted(kinds_on(part))
        assert [place_of(part, kind) for kind in kinds] == sorted(place_of(part, kind) for kind in kinds)
    survey.vary({"tackle.chain.material": "stainless"})
    survey.go("chain")
    offered = {one["kind"] for one in survey.found.tiles}
    assert "chain of stainless steel stained" in offered
    assert not offered & {"chain zinc thin", "chain regalvanised"}, "there is no zinc on it"


@pytest.mark.parametrize("part", PARTS)
def test_a_drawing_is_whole_and_takes_the_colour_of_the_text(part: str) -> None:
    marked = drawing(part, {1})
    assert marked.count("<svg") == marked.count("</svg>") == 1
    colours = set(re.findall(r'(?:stroke|fill|color)="([^"]*)"', marked))
    assert colours == {"currentColor", "none"}
    assert marked.count('class="place') == len(PLACES[part])
    assert marked.count('class="place found"') == 1


@pytest.mark.parametrize("system", ["metric", "US"])
@pytest.mark.parametrize("part", PARTS)
def test_facts_show_the_scenario_and_give_it_back(part: str, system: str) -> None:
    for control in facts(part):
        control.show(SHORT, system)
        for path, value in control.changes().items():
            held = SHORT.get(path)
            if hasattr(held, "m") and value is not None:
                assert si(value) == pytest.approx(si(held), rel=1e-12, abs=1e-12), path
            elif value is not None:
                assert value == held, path


def test_a_finding_is_recorded_weighed_deleted_and_had_back(survey: TackleSurvey) -> None:
    sound = survey.appraisal.part("chain").strength_left.likely
    found = tap(survey, "chain", "bolt in the chain")
    assert findings(survey) == [("chain", "bolt in the chain")]
    assert survey.appraisal == appraise(survey.scenario)
    assert survey.appraisal.part("chain").strength_left.likely < sound
    assert survey.appraisal.weakest.key == "chain" and "chain" in survey.strip.outcome["sentence"]
    assert "Before use" in found.shown["said"] and found.shown["urgent"]
    assert "bolt in the chain" not in [one["kind"] for one in survey.found.tiles]
    other = tap(survey, "chain", "chain not marked")
    found.note("ten metres from the anchor")
    held = survey.scenario.survey.findings
    found.do("delete")
    assert findings(survey) == [("chain", "chain not marked")] and survey.found.gone == "Bolt used as a link"
    undo(survey)
    assert survey.scenario.survey.findings == held and survey.found.gone == ""
    found.do("delete")
    other.do("delete")
    assert findings(survey) == []
    assert survey.appraisal.part("chain").strength_left.likely == sound


def test_what_was_entered_stays_while_another_part_is_open(survey: TackleSurvey) -> None:
    rusted = tap(survey, "chain", "chain rusted")
    rusted.note("two metres at the bitter end")
    assert findings(survey) == []
    survey.go("rope")
    rusted.grade("pitted")
    assert survey.scenario.survey.findings[0].note == "two metres at the bitter end"


def test_nothing_is_recorded_before_it_is_graded_or_measured(survey: TackleSurvey) -> None:
    rusted = tap(survey, "chain", "chain rusted")
    assert findings(survey) == [] and rusted.shown["missing"] == ["grade"]
    rusted.grade("flaking")
    assert [found.grade for found in survey.scenario.survey.findings] == ["flaking"]
    worn = tap(survey, "chain", "chain link worn")
    assert findings(survey) == [("chain", "chain rusted")] and worn.shown["missing"] == ["measured"]
    assert worn.figures == [None, None]
    assert worn.shown["amount"]["start"] == pytest.approx(8.0)  # as new: a start, not a record
    worn.measure(7.5)
    assert findings(survey) == [("chain", "chain rusted"), ("chain", "chain link worn")]
    assert si(survey.scenario.survey.findings[1].measured) == pytest.approx(7.5e-3)
    worn.measure(7.2)
    assert si(survey.scenario.survey.findings[1].measured) == pytest.approx(7.2e-3)


def test_wear_that_is_larger_than_new_is_asked_about(survey: TackleSurvey) -> None:
    worn = measure(survey, "chain", "chain link worn", 9.4)  # of 8 mm
    assert findings(survey) == [] and worn.shown["amount"]["doubted"] == [0, 0, 9.4]
    worn.do("doubt")
    assert worn.shown["amount"]["doubted"] is None and worn.shown["missing"] == ["measured"]
    worn.measure(7.4)
    worn.measure(8.2)
    assert [one.measured.m_as("mm") for one in survey.scenario.survey.findings] == [7.4]
    worn.measure(8.2, sure=True)  # as made: standards allow for it
    assert [one.measured.m_as("mm") for one in survey.scenario.survey.findings] == [8.2]
    assert worn.shown["amount"]["doubted"] is None
    worn.measure(8.0)  # as new is not larger
    assert [one.measured.m_as("mm") for one in survey.scenario.survey.findings] == [8.0]


def test_what_is_graded_and_measured_asks_for_both(survey: TackleSurvey) -> None:
    zinc = measure(survey, "chain", "chain zinc thin", 20.0)
    assert findings(survey) == [] and zinc.shown["missing"] == ["grade"]
    zinc.grade("C4")
    assert findings(survey) == [("chain", "chain zinc thin")]


def test_the_unit_switch_changes_what_is_shown_and_no_value(survey: TackleSurvey) -> None:
    worn = measure(survey, "chain", "chain link worn", 7.3)
    survey.go("anchor")
    survey.go("chain")
    before = survey.scenario
    survey.units.value = "US"
    assert worn.shown["amount"]["unit"] == "in"
    assert worn.figures[0] == pytest.approx(7.3 / 25.4, rel=1e-5)  # 1 in = 25.4 mm, NIST SP 811
    for step in STEPS:
        survey.go(step)
    assert "lbf" in str(survey.strip.figures)
    survey.units.value = "metric"
    survey.go("chain")
    assert survey.scenario is before and survey.scenario.survey.findings == before.survey.findings
    assert worn.figures[0] == pytest.approx(7.3)


def test_a_fact_is_recorded_through_its_path(survey: TackleSurvey) -> None:
    survey.go("chain")
    control = next(one for one in survey.part.details.controls if one.path == "tackle.chain.length")
    control.widget.value = 50.0
    assert si(survey.scenario.tackle.chain.length) == 50.0


def test_what_cannot_be_is_said_and_holds_up_nothing_else(survey: TackleSurvey) -> None:
    survey.go("chain")
    control = next(one for one in survey.part.details.controls if one.path == "tackle.chain.length")
    control.widget.value = 2.0  # does not reach the bottom
    assert "tackle.chain.length" in survey.walk.problem
    tap(survey, "chain", "bolt in the chain")
    assert findings(survey) == [("chain", "bolt in the chain")]
    assert si(survey.scenario.tackle.chain.length) == 60.0
    control.widget.value = 40.0
    assert si(survey.scenario.tackle.chain.length) == 40.0 and survey.walk.problem == ""


def test_every_change_is_in_the_file_and_a_new_kernel_goes_on_from_it(
    survey: TackleSurvey, tmp_path: Path
) -> None:
    assert survey.file.path is None and list(tmp_path.iterdir()) == []  # looking writes nothing
    tap(survey, "anchor shackle", "shackle pin not moused")
    rusted = tap(survey, "chain", "chain rusted", "pitted")
    rusted.note("worst at the splice\nand beneath the windlass")
    measure(survey, "anchor shackle", "shackle worn", 7.0)
    survey.go("about")
    next(
        one for one in survey.pages["about"].controls if one.path == "survey.client"
    ).widget.value = "A. Hale"
    assert "Saved" in survey.walk.saved and "my-survey.toml" in survey.walk.saved
    again = inspect_tackle(folder=tmp_path)
    assert again.scenario == survey.scenario
    assert again.scenario.survey.client == "A. Hale"
    assert again.file.path == (tmp_path / "my-survey.toml").absolute()
    assert card(again, "chain", "chain rusted").shown["note"] == rusted.shown["note"]
    assert again.strip.figures == survey.strip.figures


def test_a_failing_save_is_said_and_the_old_file_stays_whole(
    survey: TackleSurvey, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    tap(survey, "chain", "bolt in the chain")
    held = survey.file.path.read_bytes()

    def full(*_: object, **__: object) -> None:
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as broken:
        broken.setattr(os, "fsync", full)
        tap(survey, "chain", "chain hockled")
        assert "Not saved" in survey.walk.saved and "no space left" in survey.walk.saved
        assert survey.file.path.read_bytes() == held
        survey.begin.click()  # and an unsaved survey is not left
        assert findings(survey) == [("chain", "bolt in the chain"), ("chain", "chain hockled")]
    assert [path.name for path in tmp_path.iterdir() if path.suffix != ".toml"] == [".anchorsim"]
    tap(survey, "chain", "chain not marked")
    assert "Saved" in survey.walk.saved
    assert len(tomllib.loads(survey.file.path.read_text())["survey"]["findings"]) == 3


def test_a_survey_that_was_changed_elsewhere_is_not_written_over(survey: TackleSurvey) -> None:
    tap(survey, "chain", "bolt in the chain")
    first = survey.file.path
    survey.scenario.vary({"survey.client": "someone else"}).save(first)
    theirs = first.read_bytes()
    tap(survey, "chain", "chain hockled")
    assert first.read_bytes() == theirs
    assert survey.file.path.name == "my-survey-2.toml" and "changed in another window" in survey.walk.saved
    assert len(Scenario.load(survey.file.path).survey.findings) == 2


def test_what_another_window_changed_since_the_explorer_opened_it_is_kept(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    hers = tmp_path / "hers.toml"
    SHORT.vary({"survey.client": "A. Hale"}).save(hers)
    screen = Explorer(SHORT)
    screen.files.scenarios.value = hers
    SHORT.vary({"survey.client": "changed elsewhere"}).save(hers)
    screen.frame.head.page = "survey"
    tap(screen.aside.survey, "chain", "bolt in the chain")
    assert Scenario.load(hers).survey.client == "changed elsewhere"
    assert screen.aside.survey.file.path == tmp_path / "hers-2.toml"
    screen.files.name.value = "hers-2"  # and what this window's survey wrote is its own to save over
    screen.frame.head.page = "swing"
    screen.files.save.click()
    assert screen.files.said.value == "Saved as hers-2.toml"
    assert Scenario.load(tmp_path / "hers-2.toml").survey.findings != ()


def test_a_second_survey_of_a_window_is_not_written_over_its_first(survey: TackleSurvey) -> None:
    tap(survey, "chain", "bolt in the chain")
    survey.begin.click()
    tap(survey, "chain", "chain hockled")
    assert survey.file.path.name == "my-survey-2.toml"
    assert "my-survey.toml is another survey and was kept" in survey.walk.saved
    assert len(Scenario.load(survey.file.folder / "my-survey.toml").survey.findings) == 1


def test_a_new_survey_never_writes_over_a_file(tmp_path: Path) -> None:
    (tmp_path / "my-survey.toml").write_text('title = "mine"\n', encoding="utf-8")
    survey = inspect_tackle(SHORT, tmp_path)
    tap(survey, "chain", "bolt in the chain")
    assert (tmp_path / "my-survey.toml").read_text(encoding="utf-8") == 'title = "mine"\n'
    assert survey.file.path.name == "my-survey-2.toml"


def test_a_scenario_without_a_survey_gets_a_file_beside_it(tmp_path: Path) -> None:
    SHORT.save(tmp_path / "cove.toml")
    before = (tmp_path / "cove.toml").read_bytes()
    survey = inspect_tackle(SHORT, tmp_path)
    survey.chooser.value = (tmp_path / "cove.toml").absolute()
    tap(survey, "chain", "bolt in the chain")
    assert (tmp_path / "cove.toml").read_bytes() == before
    assert survey.file.path.name == "cove-survey.toml"


def test_a_page_that_is_loaded_again_goes_on_with_the_copy_of_a_file_from_elsewhere(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    elsewhere, here = tmp_path / "elsewhere", tmp_path / "here"
    elsewhere.mkdir()
    here.mkdir()
    SHORT.vary({"survey.client": "A. Hale"}).save(elsewhere / "hers.toml")
    monkeypatch.setenv(SCENARIO_VARIABLE, str(elsewhere / "hers.toml"))
    survey = inspect_tackle(folder=here)
    assert survey.scenario.survey.client == "A. Hale"
    tap(survey, "chain", "bolt in the chain")
    again = inspect_tackle(folder=here)
    assert again.file.path == survey.file.path == (here / "hers.toml").absolute()
    assert findings(again) == [("chain", "bolt in the chain")]


def test_a_shared_survey_is_opened_gone_on_with_and_remembered(tmp_path: Path) -> None:
    name = "survey-neglected-sloop.toml"
    (tmp_path / name).write_bytes((folder("shared") / name).read_bytes())
    survey = inspect_tackle(SHORT, tmp_path)
    survey.chooser.value = (tmp_path / name).absolute()
    assert survey.scenario == Scenario.load(tmp_path / name)
    assert survey.strip.outcome["word"] == "Do not use"
    assert "chain and snubber" in survey.strip.outcome["sentence"]
    again = inspect_tackle(folder=tmp_path)
    assert again.scenario == survey.scenario
    for found in again.scenario.survey.findings:
        shown = card(again, found.part, found.kind).shown
        assert shown["recorded"] and shown["note"] == found.note
    assert again.scenario == survey.scenario  # and showing it changed nothing


def test_a_survey_that_cannot_be_read_is_said_and_another_begins(tmp_path: Path) -> None:
    (tmp_path / "torn.toml").write_text("title = ", encoding="utf-8")
    (tmp_path / LAST).parent.mkdir()
    (tmp_path / LAST).write_text("torn.toml", encoding="utf-8")
    survey = inspect_tackle(folder=tmp_path)
    assert "torn.toml" in survey.walk.problem
    assert (tmp_path / "torn.toml").read_text(encoding="utf-8") == "title = "


def test_another_survey_brings_nothing_of_this_one(survey: TackleSurvey) -> None:
    tap(survey, "chain", "chain rusted", "pitted").note("of this boat")
    survey.begin.click()
    survey.go("chain")
    assert survey.found.cards == []
    tap(survey, "chain", "chain rusted", "surface")
    assert survey.scenario.survey.findings[0].note == ""


def test_photographs_lie_beside_the_file_under_safe_names(survey: TackleSurvey, tmp_path: Path) -> None:
    found = tap(survey, "anchor shackle", "shackle pin not moused")
    for name, content in (("../../etc/pin <1>.jpg", JPEG), ("pin <1>.jpg", PNG), ("..", JPEG)):
        found.picture(name, content)
    names = survey.scenario.survey.findings[0].photographs
    assert names == (
        "my-survey-anchor-shackle-pin-1.jpg",
        "my-survey-anchor-shackle-pin-1.png",
        "my-survey-anchor-shackle-photograph.jpg",
    )
    assert [(tmp_path / name).read_bytes() for name in names] == [JPEG, PNG, JPEG]
    assert found.shown["photographs"] == list(names)
    assert [survey.found.pictures[name] for name in names] == [JPEG, PNG, JPEG]
    again = inspect_tackle(folder=tmp_path)
    shown = card(again, "anchor shackle", "shackle pin not moused")
    assert shown.shown["photographs"] == list(names)
    shown.do("drop", name=names[0])
    assert again.scenario.survey.findings[0].photographs == names[1:]
    assert (tmp_path / names[0]).exists()  # taken out of the survey, not off the disk


def test_the_same_photograph_twice_keeps_both(survey: TackleSurvey, tmp_path: Path) -> None:
    found = tap(survey, "anchor shackle", "shackle pin not moused")
    for content in (JPEG, JPEG + b"2"):
        found.picture("a.jpg", content)
    assert len(set(survey.scenario.survey.findings[0].photographs)) == 2
    assert len(list(tmp_path.glob("*.jpg"))) == 2


@pytest.mark.parametrize(
    "content", [b"", b"<svg onload=alert(1)>", b"GIF89a", JPEG + bytes(17_000_000), BOMB]
)
def test_what_is_no_photograph_is_refused_and_said(
    survey: TackleSurvey, tmp_path: Path, content: bytes
) -> None:
    found = tap(survey, "anchor shackle", "shackle pin not moused")
    found.picture("<b>x</b>.jpg", content)
    assert survey.scenario.survey.findings[0].photographs == ()
    assert "Expected" in survey.walk.problem and "<b>x" not in survey.walk.problem
    assert not [*tmp_path.glob("*.jpg"), *tmp_path.glob("*.png")]


def test_a_file_of_another_folder_is_not_shown_as_a_photograph(tmp_path: Path) -> None:
    home = tmp_path / "home"
    home.mkdir()
    (tmp_path / "other.jpg").write_bytes(JPEG)
    (home / "link.jpg").symlink_to(tmp_path / "other.jpg")
    file = SurveyFile(home)
    assert [file.photograph(name) for name in ("../other.jpg", "link.jpg", "none.jpg", "", "\0")] == [
        None
    ] * 5


class Seen(HTMLParser):
    """The tags that a browser would find."""

    def __init__(self) -> None:
        super().__init__()
        self.tags: set[str] = set()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.add(tag)
        assert not any(name.startswith("on") for name, _ in attrs)


def htmls(widget: object) -> Iterator[str]:
    for child in getattr(widget, "children", ()):
        if type(child).__name__ == "HTML" and not child.value.startswith("<style"):
            yield child.value
        yield from htmls(child)


def test_hostile_text_is_harmless_and_kept(survey: TackleSurvey) -> None:
    found = tap(survey, "chain", "bolt in the chain")
    found.note(HOSTILE)
    other = tap(survey, "chain", OTHER, "B")
    other.do("words", words=HOSTILE)
    other.do("action", action=HOSTILE)
    survey.vary({"title": HOSTILE[:190], "survey.surveyor": HOSTILE, "boat.name": HOSTILE})
    survey.say(HOSTILE)
    for step in STEPS:
        survey.go(step)
        cards = (one[text] for one in survey.found.cards for text in ("about", "said"))
        for text in (*htmls(survey), *cards):
            seen = Seen()
            seen.feed(text)
            assert not seen.tags & {"script", "img", "iframe"}
    assert inspect_tackle(folder=survey.file.folder).scenario.survey.findings[0].note == HOSTILE


def test_a_note_of_ten_thousand_characters_is_kept_and_a_longer_one_said(survey: TackleSurvey) -> None:
    found = tap(survey, "chain", "bolt in the chain")
    found.note("x" * 10_000)
    assert survey.scenario.survey.findings[0].note == "x" * 10_000
    found.note("x" * 10_001)
    assert "10000" in found.shown["wrong"].replace(",", "")
    assert survey.scenario.survey.findings[0].note == "x" * 10_000


def test_one_kind_in_two_places_of_a_part_has_two_cards(survey: TackleSurvey) -> None:
    kind = "chain link worn"
    measure(survey, "chain", kind, 7.6)
    worse = measure(survey, "chain", kind, 7.0)
    assert worse.shown["title"].endswith("place 2")
    assert [found.measured.m_as("mm") for found in survey.scenario.survey.findings] == [7.6, 7.0]
    anew = inspect_tackle(survey.scenario, survey.file.folder / "elsewhere")
    anew.go("chain")
    assert [one["short"] for one in anew.found.cards] == ["7.6 mm", "7 mm"]
    worse.do("delete")
    assert [found.measured.m_as("mm") for found in survey.scenario.survey.findings] == [7.6]


def test_of_several_places_the_least_counts(survey: TackleSurvey) -> None:
    worn = measure(survey, "chain", "chain link worn", 7.8)
    worn.measure(7.6, column=1)  # across it
    worn.do("row")
    worn.measure(7.1, row=1)
    worn.measure(7.0, row=1, column=1)
    worn.do("row")
    worn.measure(7.5, row=2)
    worn.do("place", row=1, place="last 10 m")
    found = survey.scenario.survey.findings[0]
    assert [one.place for one in found.readings] == ["", "last 10 m", ""]
    assert found.measured.m_as("mm") == pytest.approx(7.05)  # the mean of 7.1 and 7.0, by hand
    assert worn.shown["amount"]["counts"] == 1 and worn.shown["short"] == "7.05 mm"
    again = inspect_tackle(folder=survey.file.folder)
    assert card(again, "chain", "chain link worn").figures == [7.8, 7.6, 7.1, 7.0, 7.5, None]
    worn.do("unrow", row=1)
    assert survey.scenario.survey.findings[0].measured.m_as("mm") == 7.5
    worn.measure(None, row=1)
    worn.measure(None, column=1)
    found = survey.scenario.survey.findings[0]
    assert found.readings == () and found.measured.m_as("mm") == 7.8


def test_a_defect_of_ones_own_needs_words_and_a_grade(survey: TackleSurvey) -> None:
    other = tap(survey, "locker", OTHER)
    assert other.shown["missing"] == ["words", "grade"] and findings(survey) == []
    other.do("words", words="Paint tin rolling about on the chain")
    other.grade("B")
    other.do("action", action="Stow it elsewhere")
    assert "B" in other.shown["when"] and "Stow it elsewhere." in other.shown["said"]
    second = tap(survey, "locker", OTHER, "C")
    assert second.shown["missing"] == ["words"] and len(findings(survey)) == 1
    assert survey.found.tiles[-1]["kind"] == OTHER


def test_the_boat_is_entered_as_she_is_and_the_rest_follows(survey: TackleSurvey) -> None:
    survey.go("boat")
    entries = {one.path: one for one in survey.pages["boat"].controls}
    for name, value in {"name": "Sea Thrift", "hull_number": "PLN-0147", "year": "1986 or 1987"}.items():
        entries[f"boat.{name}"].widget.value = value
    entries["boat.kind"].widget.value = "ketch"
    sizes = {"length": 11.0, "waterline": 9.1, "beam": 3.4, "displacement": 9200.0, "draught": 1.6}
    for name, value in sizes.items():
        entries[f"boat.{name}"].widget.value = value
    before = si(survey.scenario.boat.frontal_area)
    entries["boat.dinghy"].widget.value = "on davits"
    boat = survey.scenario.boat
    assert (boat.name, boat.hull_number, boat.year) == ("Sea Thrift", "PLN-0147", "1986 or 1987")
    assert {name: si(getattr(boat, name)) for name in sizes} == sizes and boat.model == "ketch-13"
    assert si(boat.frontal_area) > before
    assert survey.walk.problem == ""
    assert Scenario.load(survey.file.path).boat == boat


def mark(survey: TackleSurvey, part: str) -> str:
    return next(one[2] for one in survey.walk.steps if one[0] == part)


def test_a_part_is_done_and_without_fault(survey: TackleSurvey) -> None:
    assert {mark(survey, part) for part in PARTS} == {"–"}
    assert survey.strip.outcome["word"] == "Nothing recorded"
    survey.go("chain")
    survey.walk._handle_custom_msg({"do": "done", "part": "chain", "done": True}, [])
    assert survey.scenario.survey.looked_at == ("chain",) and survey.walk.done == "yes"
    assert mark(survey, "chain") == "✓"
    assert survey.strip.outcome["word"] == "Chain"
    tap(survey, "anchor shackle", "shackle pin not moused")
    assert survey.walk.done == "by fault", "what has a finding was looked at"
    assert mark(survey, "anchor shackle") == "1" and mark(survey, "rope") == "–"
    assert survey.scenario.survey.seen == ("anchor shackle", "chain")
    survey.go("overview")
    said = survey.summary.value
    unseen = said.partition("Not recorded, and not counted: ")[2].partition(".")[0]
    assert unseen.startswith("anchor, second anchor") and "chain," not in unseen
    survey.go("chain")
    survey.walk._handle_custom_msg({"do": "done", "part": "chain", "done": False}, [])
    assert survey.scenario.survey.looked_at == ()


def test_what_was_done_on_a_page_counts_for_its_part_though_another_is_open_by_now(
    survey: TackleSurvey,
) -> None:
    survey.go("snubber")  # "Next" was tapped on the rope's page, and then its tiles and Done
    survey.found._handle_custom_msg({"do": "add", "kind": "rope stiff", "part": "rope"}, [])
    survey.found._handle_custom_msg({"do": "add", "kind": "roller seized", "part": "lead"}, [])
    survey.walk._handle_custom_msg({"do": "done", "part": "chain", "done": True}, [])
    assert findings(survey) == [("rope", "rope stiff"), ("lead", "roller seized")]
    assert survey.scenario.survey.looked_at == ("chain",), "the snubber was not looked at"
    survey.go("overview")
    survey.found._handle_custom_msg({"do": "note", "key": 0, "note": "Stiff as a board."}, [])
    assert survey.scenario.survey.findings[0].note == "Stiff as a board."
    for part in ("overview", "mast", None, ["rope"]):
        survey.found._handle_custom_msg({"do": "add", "kind": OTHER, "part": part}, [])
        survey.walk._handle_custom_msg({"do": "done", "part": part, "done": True}, [])
    assert len(survey.entries.drafts) == 2 and survey.scenario.survey.looked_at == ("chain",)


def test_logo_and_last_survey_are_chosen_of_what_lies_beside_or_typed(tmp_path: Path) -> None:
    for name in ("Firm.PNG", "last-year.toml", "my-survey-2024.toml", "pyproject.toml", "notes.txt"):
        (tmp_path / name).write_bytes(PNG if name.endswith("PNG") else b"")
    survey = inspect_tackle(SHORT, tmp_path)
    tap(survey, "chain", "bolt in the chain").picture("bolt.png", PNG)
    survey.go("about")
    logo, last = (control(survey, path) for path in ("survey.logo", "survey.previous"))
    assert list(logo.options) == ["Firm.PNG"], "not the survey's own photograph"
    assert list(last.options) == ["last-year.toml", "my-survey-2024.toml"]
    logo.value, last.value = "Firm.PNG", "typed.toml"
    assert (survey.scenario.survey.logo, survey.scenario.survey.previous) == ("Firm.PNG", "typed.toml")
    (tmp_path / "Firm.PNG").unlink()
    survey.go("chain"), survey.go("about")
    assert list(logo.options) == [] and logo.value == "Firm.PNG"


def control(survey: TackleSurvey, path: str) -> Any:
    return next(one.widget for one in survey.pages["about"].controls if one.path == path)


def test_the_date_is_today_until_it_is_changed_and_looking_writes_nothing(
    survey: TackleSurvey, tmp_path: Path
) -> None:
    today = datetime.date.today()
    date = next(one for one in survey.pages["about"].controls if one.path == "survey.date")
    assert date.widget.value == today and survey.scenario.survey.date is None
    assert list(tmp_path.iterdir()) == []
    tap(survey, "chain", "chain not marked")
    assert survey.scenario.survey.date == today
    survey.go("about")
    date.widget.value = datetime.date(2026, 3, 1)
    tap(survey, "chain", "chain hockled")
    assert survey.scenario.survey.date == datetime.date(2026, 3, 1)


def test_the_overview_names_what_is_due_and_saves_the_calendar(survey: TackleSurvey, tmp_path: Path) -> None:
    tap(survey, "anchor shackle", "shackle pin not moused")
    survey.go("overview")
    assert "Before use" in survey.summary.value and "Shackle pin not moused" in survey.summary.value
    survey.outputs.buttons[".ics"].click()
    assert "my-survey.ics" in survey.outputs.said.value
    assert (tmp_path / "my-survey.ics").read_bytes().startswith(b"BEGIN:VCALENDAR\r\n")  # RFC 5545, 3.4


def test_the_explorer_opens_the_survey_on_its_scenario_and_takes_it_back(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    explorer = Explorer(SHORT)
    explorer.frame.head.page = "survey"
    survey = explorer.aside.survey
    assert survey.scenario == explorer.scenario
    tap(survey, "chain", "bolt in the chain")
    explorer.frame.head.page = "swing"
    assert explorer.scenario == survey.scenario
    explorer.vary({"tackle.scope": 7})
    explorer.frame.head.page = "survey"
    assert survey.scenario.tackle.scope == 7 and findings(survey) == [("chain", "bolt in the chain")]
    assert [path.name for path in tmp_path.glob("*.toml")] == ["my-survey.toml"]


def test_what_threads_deliver_ends_on_the_loop_with_the_last_of_many(tmp_path: Path) -> None:
    begun = {"do": "add", "kind": "chain rusted", "part": "chain"}
    graded = [{"do": "grade", "key": 0, "grade": grade} for grade in ("surface", "flaking", "pitted")]

    async def main() -> TackleSurvey:
        survey = inspect_tackle(SHORT, tmp_path)
        survey.go("chain")
        for done in (begun, *graded):
            await asyncio.to_thread(survey.found._handle_custom_msg, done, [])
            await asyncio.sleep(0.01)
        for _ in range(600):
            await asyncio.sleep(0.02)
            if survey.appraisal and survey.appraisal.scenario == survey.scenario:
                break
        return survey

    survey = asyncio.run(main())
    assert [found.grade for found in survey.scenario.survey.findings] == ["pitted"]
    assert survey.appraisal == appraise(survey.scenario)
    assert Scenario.load(survey.file.path) == survey.scenario


def test_forty_findings_are_all_weighed(survey: TackleSurvey) -> None:
    some = [
        Finding.model_validate({"kind": row["finding"], "grade": row.get("grade", ""), "part": parts[0]})
        for row in table("findings")
        if "measure" not in row and row["finding"] != OTHER and (parts := parts_of(str(row["finding"])))
    ][:40]
    survey.vary({"survey.findings": tuple(some)})
    assert len(survey.effects()) == 40
    assert survey.appraisal == appraise(survey.scenario)


def test_an_empty_survey_says_so_and_nothing_of_the_gear(survey: TackleSurvey) -> None:
    survey.go("overview")
    assert "Nothing was recorded" in survey.summary.value and "<table" not in survey.summary.value
    assert "Nothing recorded" in survey.strip.outcome["word"]
    assert [one["value"] for one in survey.strip.figures] == ["–", "–", "0", str(len(PARTS))]
    tap(survey, "chain", "chain rusted", "surface")
    survey.go("overview")
    rows = re.findall(r'<th scope="row">([^<]*)</th>', survey.summary.value)
    assert rows == ["Chain 8 mm grade 40"]  # no part that nobody saw stands as a fact


def test_times_and_costs_are_the_surveyors_and_are_kept(survey: TackleSurvey) -> None:
    tap(survey, "chain", "bolt in the chain")
    survey.go("overview")
    survey.works.ask.click()
    line = next(one for one in survey.works.lines.children if "Chain" in one.children[0].value)
    line.children[1].value, line.children[2].value = "half a day", "280"
    works = Scenario.load(survey.file.path).survey.works
    assert [(one.job, one.time, one.cost) for one in works] == [
        ("chain: bolt in the chain", "half a day", "280")
    ]
    survey.go("chain")
    survey.go("overview")
    assert survey.works.lines.children == ()
    survey.works.ask.click()
    line = next(one for one in survey.works.lines.children if "Chain" in one.children[0].value)
    assert line.children[2].value == "280"
    line.children[1].value = line.children[2].value = ""
    assert survey.scenario.survey.works == ()


def test_the_explorer_loaded_again_on_the_survey_goes_on_with_all_of_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    first = Explorer(SHORT)
    first.frame.head.page = "survey"
    rusted = tap(first.aside.survey, "chain", "chain rusted", "pitted")
    rusted.note("worst at the splice")
    again = Explorer(first.state)  # as it is kept: the survey was never left
    assert again.aside.survey.scenario == first.aside.survey.scenario
    tap(again.aside.survey, "chain", "chain not marked")
    assert [path.name for path in tmp_path.glob("*.toml")] == ["my-survey.toml"]
    assert len(Scenario.load(tmp_path / "my-survey.toml").survey.findings) == 2
    again.frame.head.page = "swing"
    assert again.scenario.survey.findings == again.aside.survey.scenario.survey.findings


def test_the_survey_is_told_in_the_explorers_units(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    explorer = Explorer(SHORT)
    explorer.frame.head.page = "survey"
    explorer.aside.survey.go("chain")
    explorer._do("units")
    assert explorer.aside.survey.system == "US"


def test_two_loads_stand_in_two_labelled_columns(survey: TackleSurvey) -> None:
    survey.vary({"tackle.anchor.mass": "10 kg", "weather.mean_wind": "35 knot"})
    tap(survey, "chain", "chain rusted", "flaking")
    titles = [one["title"] for one in survey.strip.figures[:2]]
    assert titles == ["As she lies today", "With an anchor that holds"]
    found = survey.appraisal
    assert found.drags
    today, held = (next(one for one in parts if one.key == "chain") for parts in (found.today, found.parts))
    assert today.load.likely < held.load.likely
    assert [one["value"] for one in survey.strip.figures[:2]] == [
        factor(part.safety_factor.likely) for part in (today, held)
    ]
    assert "With an anchor that holds, as it must" in survey.strip.figures[1]["why"][1]
    for told in (survey.part.now.value, overview_of(survey)):
        assert all(title in told for title in titles)
        for part in (today, held):
            assert str(percents(part.utilisation)) in told


def overview_of(survey: TackleSurvey) -> str:
    survey.go("overview")
    return survey.summary.value
