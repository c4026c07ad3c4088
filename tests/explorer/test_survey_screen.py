"""The guided survey without a browser: what is tapped is recorded, saved at once, and weighed."""

from __future__ import annotations

import asyncio
import os
import re
import tomllib
from collections.abc import Iterator
from html.parser import HTMLParser
from pathlib import Path

import pytest

from anchorsim.core.resources import SCENARIO_VARIABLE, folder
from anchorsim.core.tables import table
from anchorsim.core.units import si
from anchorsim.explorer import Explorer
from anchorsim.explorer.survey.cards import FindingCard
from anchorsim.explorer.survey.facts import facts
from anchorsim.explorer.survey.file import LAST, SurveyFile
from anchorsim.explorer.survey.part_drawings import PLACES, drawing, place_of
from anchorsim.explorer.survey.screen import PARTS, TackleSurvey, inspect_tackle, with_finding
from anchorsim.scenario.findings import Finding, kinds_on, parts_of
from anchorsim.scenario.scenario import Scenario
from anchorsim.survey.weakest_link import appraise

SHORT = Scenario().vary({"weather.duration": "1 min"})
HOSTILE = "<script>alert(1)</script><img src=x onerror=alert(2)>"
JPEG = b"\xff\xd8\xff\xe0" + bytes(60)
PNG = b"\x89PNG\r\n\x1a\n" + bytes(60)
BOMB = PNG[:12] + b"IHDR" + (12_000).to_bytes(4, "big") + (10_000).to_bytes(4, "big")  # 120 megapixels


@pytest.fixture
def survey(tmp_path: Path) -> TackleSurvey:
    return inspect_tackle(SHORT, tmp_path)


def card(survey: TackleSurvey, part: str, kind: str) -> FindingCard:
    if survey.step != part:
        survey.go(part)
    return next(card for card in survey.pages[part].cards if card.kind == kind)


def tap(survey: TackleSurvey, part: str, kind: str, grade: str = "") -> FindingCard:
    found = card(survey, part, kind)
    found.found.value = True
    if grade:
        found.entry.grade.value = grade
    return found


def measure(survey: TackleSurvey, part: str, kind: str, value: float) -> FindingCard:
    found = tap(survey, part, kind)
    found.entry.amount.value = value
    found.entry.record.click()
    return found


def findings(survey: TackleSurvey) -> list[tuple[str, str]]:
    return [(found.part, found.kind) for found in survey.scenario.survey.findings]


def test_the_walk_goes_from_the_anchor_aft_and_back(survey: TackleSurvey) -> None:
    seen = [survey.step]
    for _ in range(len(PARTS) + 3):
        survey.next.click()
        seen.append(survey.step)
    assert seen == ["about", *PARTS, "overview", "overview", "overview"]
    assert seen[1] == "anchor" and seen[-4] == "locker"
    survey.back.click()
    assert survey.step == "locker"
    assert f"Part {len(PARTS)} of {len(PARTS)}" in survey.pages["locker"].widget.children[0].value


def test_every_kind_of_finding_is_on_exactly_its_own_parts_and_at_one_place_of_each_drawing() -> None:
    kinds = {str(row["finding"]) for row in table("findings")}
    for kind in kinds:
        parts = {part for part, places in PLACES.items() for place in places if kind in place.kinds}
        assert parts == set(parts_of(kind)), kind
    for part, places in PLACES.items():
        drawn = [kind for place in places for kind in place.kinds]
        assert sorted(drawn) == sorted(kinds_on(part)), part
        assert all(13 <= place.x <= 387 and 13 <= place.y <= 227 for place in places), part


def test_every_kind_of_finding_has_a_card_on_its_part(survey: TackleSurvey) -> None:
    for part in PARTS:
        survey.go(part)
        cards = survey.pages[part].cards
        assert sorted(card.kind for card in cards) == sorted(kinds_on(part))
        assert [place_of(part, card.kind) for card in cards] == sorted(
            place_of(part, card.kind) for card in cards
        )


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


def test_a_finding_is_recorded_weighed_and_taken_back(survey: TackleSurvey) -> None:
    sound = survey.appraisal.part("chain").strength_left.likely
    found = tap(survey, "chain", "bolt in the chain")
    assert findings(survey) == [("chain", "bolt in the chain")]
    assert survey.appraisal == appraise(survey.scenario)
    assert survey.appraisal.part("chain").strength_left.likely < sound
    assert survey.appraisal.weakest.key == "chain" and "Chain 8 mm" in survey.result.value
    assert "Before use" in found.entry.effect.value
    found.found.value = False
    assert findings(survey) == []
    assert survey.appraisal.part("chain").strength_left.likely == sound


def test_a_slip_of_the_finger_loses_nothing(survey: TackleSurvey) -> None:
    found = tap(survey, "chain", "chain rusted", "pitted")
    found.entry.note.value = "two metres at the bitter end"
    held = survey.scenario.survey.findings
    found.found.value = False
    assert survey.scenario.survey.findings == ()
    found.found.value = True
    assert survey.scenario.survey.findings == held


def test_nothing_is_recorded_before_it_is_graded_or_measured(survey: TackleSurvey) -> None:
    rusted = tap(survey, "chain", "chain rusted")
    assert findings(survey) == [] and "Not recorded. Choose a grade." in rusted.entry.missing.value
    rusted.entry.grade.value = "flaking"
    assert [found.grade for found in survey.scenario.survey.findings] == ["flaking"]
    worn = tap(survey, "chain", "chain link worn")
    assert findings(survey) == [("chain", "chain rusted")]
    assert worn.entry.amount.value == pytest.approx(8.0, rel=0.01)  # as new: a start, not a record
    worn.entry.amount.value = 7.5
    assert findings(survey) == [("chain", "chain rusted")]
    worn.entry.record.click()
    assert findings(survey) == [("chain", "chain rusted"), ("chain", "chain link worn")]
    assert si(survey.scenario.survey.findings[1].measured) == pytest.approx(7.5e-3)
    worn.entry.amount.value = 7.2  # and from then on it goes with the amount
    assert si(survey.scenario.survey.findings[1].measured) == pytest.approx(7.2e-3)


def test_what_is_graded_and_measured_asks_for_both(survey: TackleSurvey) -> None:
    zinc = tap(survey, "chain", "chain zinc thin")
    zinc.entry.amount.value = 20.0
    zinc.entry.record.click()
    assert findings(survey) == [] and "C3" in survey.problem.value
    zinc.entry.grade.value = "C4"
    zinc.entry.record.click()
    assert findings(survey) == [("chain", "chain zinc thin")]


def test_the_unit_switch_changes_what_is_shown_and_no_value(survey: TackleSurvey) -> None:
    worn = measure(survey, "chain", "chain link worn", 7.3)
    survey.go("anchor")
    survey.go("chain")
    before = survey.scenario
    survey.units.value = "US"
    assert worn.entry.amount.unit == "in"
    assert worn.entry.amount.value == pytest.approx(7.3 / 25.4)  # 1 in = 25.4 mm, NIST SP 811
    for part in (*PARTS, "about", "overview"):
        survey.go(part)
    assert "lbf" in survey.result.value
    survey.units.value = "metric"
    survey.go("chain")
    assert survey.scenario is before and survey.scenario.survey.findings == before.survey.findings
    assert worn.entry.amount.value == pytest.approx(7.3)


def test_a_fact_is_recorded_through_its_path(survey: TackleSurvey) -> None:
    survey.go("chain")
    control = next(one for one in survey.pages["chain"].controls if one.path == "tackle.chain.length")
    control.widget.value = 50.0
    assert si(survey.scenario.tackle.chain.length) == 50.0


def test_what_cannot_be_is_said_and_holds_up_nothing_else(survey: TackleSurvey) -> None:
    survey.go("chain")
    control = next(one for one in survey.pages["chain"].controls if one.path == "tackle.chain.length")
    control.widget.value = 2.0  # does not reach the bottom
    assert "Check your entries" in survey.problem.value and "tackle.chain.length" in survey.problem.value
    tap(survey, "chain", "bolt in the chain")
    assert findings(survey) == [("chain", "bolt in the chain")]
    assert si(survey.scenario.tackle.chain.length) == 60.0
    control.widget.value = 40.0
    assert si(survey.scenario.tackle.chain.length) == 40.0 and survey.problem.value == ""


def test_every_change_is_in_the_file_and_a_new_kernel_goes_on_from_it(
    survey: TackleSurvey, tmp_path: Path
) -> None:
    assert survey.file.path is None and list(tmp_path.iterdir()) == []  # looking writes nothing
    tap(survey, "anchor shackle", "shackle pin not moused")
    rusted = tap(survey, "chain", "chain rusted", "pitted")
    rusted.entry.note.value = "worst at the splice\nand beneath the windlass"
    measure(survey, "anchor shackle", "shackle worn", 7.0)
    survey.go("about")
    next(
        one for one in survey.pages["about"].controls if one.path == "survey.client"
    ).widget.value = "A. Hale"
    assert "Saved" in survey.saved.value and "my-survey.toml" in survey.saved.value
    again = inspect_tackle(folder=tmp_path)
    assert again.scenario == survey.scenario
    assert again.scenario.survey.client == "A. Hale"
    assert again.file.path == (tmp_path / "my-survey.toml").absolute()
    assert card(again, "chain", "chain rusted").entry.note.value == rusted.entry.note.value
    assert again.result.value == survey.result.value


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
        assert "Not saved" in survey.saved.value and "no space left" in survey.saved.value
        assert survey.file.path.read_bytes() == held
        survey.begin.click()  # and an unsaved survey is not left
        assert findings(survey) == [("chain", "bolt in the chain"), ("chain", "chain hockled")]
    assert [path.name for path in tmp_path.iterdir() if path.suffix != ".toml"] == [".anchorsim"]
    tap(survey, "chain", "chain not marked")
    assert "Saved" in survey.saved.value
    assert len(tomllib.loads(survey.file.path.read_text())["survey"]["findings"]) == 3


def test_a_survey_that_was_changed_elsewhere_is_not_written_over(survey: TackleSurvey) -> None:
    tap(survey, "chain", "bolt in the chain")
    first = survey.file.path
    survey.scenario.vary({"survey.client": "someone else"}).save(first)
    theirs = first.read_bytes()
    tap(survey, "chain", "chain hockled")
    assert first.read_bytes() == theirs
    assert survey.file.path.name == "my-survey-2.toml" and "changed in another window" in survey.saved.value
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
    screen.aside.button.click()
    tap(screen.aside.survey, "chain", "bolt in the chain")
    assert Scenario.load(hers).survey.client == "changed elsewhere"
    assert screen.aside.survey.file.path == tmp_path / "hers-2.toml"
    screen.files.name.value = "hers-2"  # and what this window's survey wrote is its own to save over
    screen.aside.survey.tools.children[0].click()
    screen.files.save.click()
    assert screen.files.said.value == "Saved as hers-2.toml"
    assert Scenario.load(tmp_path / "hers-2.toml").survey.findings != ()


def test_a_second_survey_of_a_window_is_not_written_over_its_first(survey: TackleSurvey) -> None:
    tap(survey, "chain", "bolt in the chain")
    survey.begin.click()
    tap(survey, "chain", "chain hockled")
    assert survey.file.path.name == "my-survey-2.toml"
    assert "my-survey.toml is another survey and was kept" in survey.saved.value
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
    assert "Do not use: chain 8 mm grade 30, snubber 14 mm" in survey.result.value
    again = inspect_tackle(folder=tmp_path)
    assert again.scenario == survey.scenario
    for found in again.scenario.survey.findings:
        shown = card(again, found.part, found.kind)
        assert shown.found.value and shown.finding == found
    assert again.scenario == survey.scenario  # and showing it changed nothing


def test_a_survey_that_cannot_be_read_is_said_and_another_begins(tmp_path: Path) -> None:
    (tmp_path / "torn.toml").write_text("title = ", encoding="utf-8")
    (tmp_path / LAST).parent.mkdir()
    (tmp_path / LAST).write_text("torn.toml", encoding="utf-8")
    survey = inspect_tackle(folder=tmp_path)
    assert "torn.toml" in survey.problem.value
    assert (tmp_path / "torn.toml").read_text(encoding="utf-8") == "title = "


def test_another_survey_brings_nothing_of_this_one(survey: TackleSurvey) -> None:
    tap(survey, "chain", "chain rusted", "pitted").entry.note.value = "of this boat"
    survey.begin.click()
    fresh = card(survey, "chain", "chain rusted")
    assert not fresh.found.value
    fresh.found.value = True
    fresh.entry.grade.value = "surface"
    assert survey.scenario.survey.findings[0].note == ""


def test_photographs_lie_beside_the_file_under_safe_names(survey: TackleSurvey, tmp_path: Path) -> None:
    found = tap(survey, "anchor shackle", "shackle pin not moused")
    for name, content in (("../../etc/pin <1>.jpg", JPEG), ("pin <1>.jpg", PNG), ("..", JPEG)):
        found._pictured({"name": name}, [memoryview(content)])
    names = survey.scenario.survey.findings[0].photographs
    assert names == (
        "my-survey-anchor-shackle-pin-1.jpg",
        "my-survey-anchor-shackle-pin-1.png",
        "my-survey-anchor-shackle-photograph.jpg",
    )
    assert [(tmp_path / name).read_bytes() for name in names] == [JPEG, PNG, JPEG]
    assert [shown["content"] for shown in found.entry.photos.photographs] == [JPEG, PNG, JPEG]
    again = inspect_tackle(folder=tmp_path)
    shown = card(again, "anchor shackle", "shackle pin not moused")
    assert [picture["name"] for picture in shown.entry.photos.photographs] == list(names)
    shown._pictured({"drop": names[0]}, [])
    assert again.scenario.survey.findings[0].photographs == names[1:]
    assert (tmp_path / names[0]).exists()  # taken out of the survey, not off the disk


def test_the_same_photograph_twice_keeps_both(survey: TackleSurvey, tmp_path: Path) -> None:
    found = tap(survey, "anchor shackle", "shackle pin not moused")
    for content in (JPEG, JPEG + b"2"):
        found._pictured({"name": "a.jpg"}, [content])
    assert len(set(survey.scenario.survey.findings[0].photographs)) == 2
    assert len(list(tmp_path.glob("*.jpg"))) == 2


@pytest.mark.parametrize(
    "content", [b"", b"<svg onload=alert(1)>", b"GIF89a", JPEG + bytes(17_000_000), BOMB]
)
def test_what_is_no_photograph_is_refused_and_said(
    survey: TackleSurvey, tmp_path: Path, content: bytes
) -> None:
    found = tap(survey, "anchor shackle", "shackle pin not moused")
    found._pictured({"name": "<b>x</b>.jpg"}, [content])
    assert survey.scenario.survey.findings[0].photographs == ()
    assert "Expected" in survey.problem.value and "<b>x" not in survey.problem.value
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
    found.entry.note.value = HOSTILE
    survey.vary({"title": HOSTILE[:190], "survey.surveyor": HOSTILE, "boat.name": HOSTILE})
    survey._say(HOSTILE)
    for step in ("about", *PARTS, "overview"):
        survey.go(step)
        for text in htmls(survey):
            seen = Seen()
            seen.feed(text)
            assert not seen.tags & {"script", "img", "iframe"}
    assert inspect_tackle(folder=survey.file.folder).scenario.survey.findings[0].note == HOSTILE


def test_a_note_of_ten_thousand_characters_is_kept_and_a_longer_one_said(survey: TackleSurvey) -> None:
    found = tap(survey, "chain", "bolt in the chain")
    found.entry.note.value = "x" * 10_000
    assert survey.scenario.survey.findings[0].note == "x" * 10_000
    found.entry.note.value = "x" * 10_001
    assert "10000" in survey.problem.value.replace(",", "")
    assert survey.scenario.survey.findings[0].note == "x" * 10_000


def test_one_finding_among_others_is_replaced_in_its_place() -> None:
    first, second = (Finding(kind=kind) for kind in ("chain hockled", "bolt in the chain"))
    other = Finding(kind="rope stiff", part="rope")
    mended = Finding(kind="chain hockled", note="a little")
    held = (first, second, other)
    assert with_finding(held, "chain", "chain hockled", 0, mended) == (mended, second, other)
    assert with_finding(held, "snubber", "rope stiff", 0, None) == held
    assert with_finding(held, "rope", "rope stiff", 0, None) == (first, second)
    assert with_finding((first, second, mended), "chain", "chain hockled", 0, None) == (second, mended)
    assert with_finding((first, second, mended), "chain", "chain hockled", 1, None) == (first, second)
    assert with_finding(held, "chain", "chain hockled", 1, mended) == (first, second, other, mended)


def test_one_kind_in_two_places_of_a_part_has_two_cards(survey: TackleSurvey) -> None:
    kind = "chain link worn"
    measure(survey, "chain", kind, 7.6).entry.another.click()
    worse = [found for found in survey.pages["chain"].cards if found.kind == kind][1]
    worse.entry.another.click()  # which waits until this one is recorded
    worse.entry.amount.value = 7.0
    worse.entry.record.click()
    assert [found.measured.m_as("mm") for found in survey.scenario.survey.findings] == [7.6, 7.0]
    anew = inspect_tackle(survey.scenario, survey.file.folder / "elsewhere")
    anew.go("chain")
    assert [found.turn for found in anew.pages["chain"].cards if found.kind == kind] == [0, 1]
    worse.found.value = False
    assert [found.measured.m_as("mm") for found in survey.scenario.survey.findings] == [7.6]
    assert [found.turn for found in survey.pages["chain"].cards if found.kind == kind] == [0]


def test_a_part_is_inspected_and_without_fault(survey: TackleSurvey) -> None:
    survey.go("chain")
    survey.pages["chain"].seen.value = True
    assert survey.scenario.survey.looked_at == ("chain",)
    assert survey.rail["chain"].description.endswith("✓")
    tap(survey, "anchor shackle", "shackle pin not moused")
    assert survey.pages["anchor shackle"].seen.value, "what has a finding was looked at"
    assert survey.scenario.survey.seen == ("anchor shackle", "chain")
    survey.go("overview")
    said = survey.summary.value
    unseen = said.partition("Not inspected; the figures assume them as new: ")[2].partition(".")[0]
    assert unseen.startswith("anchor, snubber") and "chain," not in unseen
    survey.go("chain")
    survey.pages["chain"].seen.value = False
    assert survey.scenario.survey.looked_at == ()


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
    explorer.aside.button.click()
    survey = explorer.aside.survey
    assert survey.scenario == explorer.scenario
    assert explorer.children[1].layout.display == "none"
    tap(survey, "chain", "bolt in the chain")
    survey.tools.children[0].click()
    assert explorer.children[1].layout.display is None and survey.layout.display == "none"
    assert explorer.scenario == survey.scenario
    explorer.vary({"tackle.scope": 7})
    explorer.aside.button.click()
    assert survey.scenario.tackle.scope == 7 and findings(survey) == [("chain", "bolt in the chain")]
    assert [path.name for path in tmp_path.glob("*.toml")] == ["my-survey.toml"]


def test_what_threads_deliver_ends_on_the_loop_with_the_last_of_many(tmp_path: Path) -> None:
    async def main() -> TackleSurvey:
        survey = inspect_tackle(SHORT, tmp_path)
        survey.go("chain")
        found = next(one for one in survey.pages["chain"].cards if one.kind == "chain rusted")
        await asyncio.to_thread(setattr, found.found, "value", True)
        await asyncio.sleep(0.01)
        for grade in ("surface", "flaking", "pitted"):
            await asyncio.to_thread(setattr, found.entry.grade, "value", grade)
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
        if "measure" not in row and (parts := parts_of(str(row["finding"])))
    ][:40]
    survey.vary({"survey.findings": tuple(some)})
    assert len(survey.effects()) == 40
    assert survey.appraisal == appraise(survey.scenario)
