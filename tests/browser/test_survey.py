"""The guided survey through the real command, on a tablet that is touched: what is entered is kept."""

from __future__ import annotations

import datetime
import random
import re
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, CDPSession, Locator, Page, TimeoutError

from anchorsim.core.resources import folder
from anchorsim.core.units import si
from anchorsim.scenario.scenario import Scenario
from anchorsim.wording import findings
from browser.access import turn, violations
from browser.visiting import SIZES, START, Lab, Visit, running, visit

pytestmark = pytest.mark.browser

SETTLED = 30_000  # ms; the machine may be busy
LEAST_TOUCH = 48  # px, more than the 44 of WCAG 2.2 success criterion 2.5.5: hands are cold, and in gloves
ON_TOP = 90  # px of a tablet that what stays on top may take
SWIPES = 200
SCREEN = ".anchorsim-survey"
AT_REST = """() => {  // twenty frames on which neither the page nor the list of parts has glided on
  const at = [...document.querySelectorAll('.anchorsim-survey, .anchorsim-rail button')]
    .map((one) => one.getBoundingClientRect()).map(({ left, top }) => `${left} ${top}`).join();
  window.still = window.stood === at ? window.still + 1 : 0;
  window.stood = at;
  if (window.still <= 20) return false;
  window.stood = null;
  return true;
}"""

# A click opens at once; looked at and clicked in one go, frame by frame, none is clicked that has opened.
UNFOLDED = """(folded) => { const closed = [...document.querySelectorAll(folded)];
  closed.forEach((one) => one.click());
  return closed.length === 0; }"""


@pytest.fixture(scope="module")
def survey_lab(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Lab]:
    """The command that opens on the survey, in a home of its own: surveys leave files behind."""
    with running(tmp_path_factory.mktemp("surveyor"), "survey") as found:
        yield found


@pytest.fixture(scope="module")
def surveying(survey_lab: Lab, browser: Browser) -> Iterator[Visit]:
    """The survey's notebook on a tablet, opened once; each test begins a survey of its own."""
    width, height = SIZES["tablet"]
    found = visit(browser.new_context(viewport={"width": width, "height": height}, has_touch=True))
    open_survey(found.page, survey_lab)
    yield found
    found.page.context.close()
    assert found.foreign(survey_lab.origin) == []
    assert found.errors == []


def open_survey(page: Page, lab: Lab) -> None:
    page.goto(lab.url)
    page.wait_for_selector(".anchorsim-rail button", timeout=START)
    page.locator("#anchorsim-frame").wait_for(state="detached", timeout=START)


STANDS = """() => ({
  marked: document.querySelector('.anchorsim-rail [aria-current]')?.innerText,
  shown: document.querySelector('.anchorsim-page h2')?.innerText,
  focus: document.activeElement?.outerHTML.slice(0, 120),
  foot: document.querySelector('.anchorsim-foot')?.innerText,
})"""


class Hand:
    """A surveyor's hand, which counts its taps."""

    def __init__(self, page: Page) -> None:
        self.page, self.taps = page, 0
        self.finger = page.context.new_cdp_session(page)

    def tap(self, what: Locator) -> None:
        what.tap()
        self.taps += 1

    def part(self, label: str) -> None:
        named = re.compile(rf"^(\d+ )?{label}$")
        self.tap(self.page.locator(".anchorsim-rail .name", has_text=named))
        try:
            self.page.locator(".anchorsim-page h2", has_text=named).wait_for(timeout=SETTLED)
        except TimeoutError as late:
            raise AssertionError(f"tapped {label}, not shown: {self.page.evaluate(STANDS)}") from late

    def write(self, label: str, words: str) -> None:
        """Tap a field and type into it."""
        field = self.page.get_by_label(label, exact=True).and_(self.page.locator("input:visible"))
        self.tap(field)
        field.fill(words)
        field.press("Enter")

    def find(self, kind: str, grade: str = "", measured: str = "") -> Locator:
        """Tap a tile, then a grade or a number."""
        self.tap(self.page.locator(".tile", has_text=kind))
        found = card(self.page, kind)
        found.wait_for(timeout=SETTLED)
        if grade:
            self.tap(found.locator(".grades button", has_text=grade))
        if measured:
            self.tap(found.locator("input[type=number]").first)
            self.page.keyboard.type(measured)
            self.page.keyboard.press("Enter")
        self.page.locator(".anchorsim-card.anchorsim-found", has_text=kind).wait_for(timeout=SETTLED)
        return found

    def picture(self, found: Locator, picture: Path) -> None:
        with self.page.expect_file_chooser() as chosen:
            self.tap(found.get_by_role("button", name="Take a picture"))
        chosen.value.set_files(picture)
        found.locator("img").first.wait_for(timeout=SETTLED)


def card(page: Page, kind: str) -> Locator:
    return page.locator(".anchorsim-card", has=page.locator(".head", has_text=kind)).first


def unfold(page: Page, what: str) -> None:
    """Open all that are folded, those that come meanwhile too; what opens by itself is left alone."""
    page.wait_for_function(UNFOLDED, arg=f"{what}[aria-expanded=false]")


def until_saved(page: Page, name: str) -> None:
    page.locator(".anchorsim-foot .saved", has_text=name).wait_for(timeout=SETTLED)
    page.wait_for_timeout(700)  # ms; what was typed last is sent after a pause


WALK = (  # part, kind of finding, grade, what is measured: an invented ketch's
    ("anchor", "anchor tip blunt", "", ""),
    ("anchor shackle", "shackle pin not moused", "", ""),
    ("anchor shackle", "shackle worn", "", "7.4"),
    ("swivel", "swivel seized", "", ""),
    ("chain", "chain rusted", "flaking", ""),
    ("chain", "chain link worn", "", "7.3"),
    ("snubber", "rope chafed", "worn", ""),
    ("lead", "roller seized", "", ""),
    ("windlass", "windlass brake slips", "", ""),
    ("locker", "locker drain blocked", "", ""),
)
KETCH = {
    "Length overall": 11.0,
    "Waterline length": 9.1,
    "Beam overall": 3.4,
    "Displacement": 9200.0,
    "Draught": 1.6,
}
NAMED = {"Name": "Sea Thrift", "Type": "Long-keeled ketch", "Hull number": "PLN-0147", "Year": "1986 or 1987"}


def test_a_boat_of_ones_own_is_walked_and_no_swipe_changes_an_entry(
    surveying: Visit, survey_lab: Lab, tmp_path: Path, record_property: Callable[[str, object], None]
) -> None:
    page, hand, began = surveying.page, Hand(surveying.page), time.monotonic()
    picture = tmp_path / "seen.png"
    page.screenshot(path=picture)
    file = survey_lab.home / "explorer" / "my-survey.toml"
    hand.part("Boat")
    for label, words in NAMED.items():
        hand.write(label, words)
    page.get_by_label("Kind", exact=True).select_option("ketch")
    for label, size in KETCH.items():
        hand.write(f"{label} in {'kg' if size > 1000 else 'm'}", f"{size:g}")
    page.get_by_label("Dinghy").select_option("Dinghy on davits")
    boat_taps, found_taps = hand.taps + 2, []
    for part, kind, grade, measured in WALK:
        name = findings.part(part)
        if not page.locator(".anchorsim-page h2").first.inner_text().endswith(f" {name}"):
            hand.part(name)
        before = hand.taps
        found = hand.find(findings.title(kind), grade, measured)
        found_taps.append(hand.taps - before)
        hand.picture(found, picture)
    assert max(found_taps) <= 2
    until_saved(page, file.name)
    record_property("taps", f"{boat_taps} for the boat, {hand.taps} in all")
    record_property("seconds", round(time.monotonic() - began, 1))
    kept = Scenario.load(file)
    boat, found_there = kept.boat, kept.survey.findings
    assert [boat.name, boat.type, boat.hull_number, boat.year] == list(NAMED.values())
    sizes = [boat.length, boat.waterline, boat.beam, boat.displacement, boat.draught]
    assert [si(one) for one in sizes] == list(KETCH.values())
    assert (boat.kind, boat.dinghy) == ("ketch", "on davits")
    entered = [
        (one.part, one.kind, one.grade, one.measured and f"{one.measured.m_as('mm'):g}")
        for one in found_there
    ]
    assert entered == [(part, kind, grade, measured or None) for part, kind, grade, measured in WALK]
    assert [len(one.photographs) for one in found_there] == [1] * len(WALK)

    content, chance, tops = file.read_bytes(), random.Random(11), set[float]()
    for number in range(SWIPES):
        if number % 20 == 0:
            swipe(hand.finger, (2, 600), (0, 0))  # a touch on what still glides only stops it
            page.wait_for_function(AT_REST)
            hand.part(chance.choice(["Survey", "Boat", *(findings.part(part) for part, *_ in WALK)]))
            unfold(page, ".anchorsim-card .head")
            unfold(page, ".anchorsim-fold")
        start = chance.uniform(200, 800), chance.uniform(120, 1060)
        by = chance.uniform(-150, 150), chance.choice([-1, 1]) * chance.uniform(60, 500)
        swipe(hand.finger, start, by)
        tops.add(page.evaluate(f"document.querySelector('{SCREEN}').getBoundingClientRect().top"))
    page.wait_for_timeout(1500)
    assert len(tops) > SWIPES / 4  # they did scroll
    assert file.read_bytes() == content
    surveying.picture("survey-tablet-walked")


def swipe(finger: CDPSession, start: tuple[float, float], by: tuple[float, float], steps: int = 3) -> None:
    """A finger that goes along the glass, as the browser gets it from the screen."""
    (x, y), (dx, dy) = start, by
    for kind, share in (("touchStart", 0.0), *(("touchMove", (i + 1) / steps) for i in range(steps))):
        points = [{"x": x + share * dx, "y": y + share * dy}]
        finger.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})
    finger.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})


def test_a_finding_changes_the_result_and_a_reload_keeps_it(
    surveying: Visit, survey_lab: Lab, tmp_path: Path
) -> None:
    page, hand = surveying.page, Hand(surveying.page)
    hand.part("Survey")
    hand.tap(page.get_by_role("button", name="New survey"))
    page.locator(f"{SCREEN} .outcome", has_text="Nothing recorded").wait_for(timeout=SETTLED)
    hand.part("Chain")
    found = hand.find("Bolt used as a link")
    page.locator(f"{SCREEN} .outcome", has_text="Chain").wait_for(timeout=SETTLED)
    note = found.locator("textarea")
    note.press_sequentially("An M8 bolt, ten metres from the anchor.", delay=20)  # ms, as fast as people type
    picture = tmp_path / "bolt <1>.png"
    page.screenshot(path=picture)
    hand.picture(found, picture)
    until_saved(page, ".toml")
    name = page.locator(".anchorsim-foot .saved").inner_text().split(" in ")[1].split(";")[0]
    kept = Scenario.load(survey_lab.home / "explorer" / name).survey
    assert [(found.part, found.kind) for found in kept.findings] == [("chain", "bolt in the chain")]
    assert kept.findings[0].note == "An M8 bolt, ten metres from the anchor."
    assert kept.date == datetime.date.today()
    photograph = survey_lab.home / "explorer" / kept.findings[0].photographs[0]
    assert "bolt-1" in photograph.name and photograph.read_bytes()[:3] == b"\xff\xd8\xff"

    survey_lab.stop_kernels()  # whatever the kernel knew is gone
    open_survey(page, survey_lab)
    hand.part("Chain")
    again = card(page, "Bolt used as a link")
    assert not again.locator("textarea").is_visible()  # folded, until it is tapped
    hand.tap(again.locator(".head"))
    again.locator("img").wait_for(timeout=SETTLED)
    assert again.locator("textarea").input_value() == kept.findings[0].note
    hand.tap(again.get_by_role("button", name="Delete"))
    hand.tap(again.get_by_role("button", name="Yes, delete"))
    again.wait_for(state="detached", timeout=SETTLED)
    hand.tap(page.get_by_role("button", name="Undo"))
    card(page, "Bolt used as a link").wait_for(timeout=SETTLED)
    until_saved(page, name)
    assert Scenario.load(survey_lab.home / "explorer" / name).survey.findings == kept.findings


def test_the_keyboard_walks_the_boat_and_records(surveying: Visit) -> None:
    page = surveying.page
    Hand(page).part("Survey")
    page.get_by_role("button", name="New survey").press("Enter")
    page.locator(f"{SCREEN} .outcome", has_text="Nothing recorded").wait_for(timeout=SETTLED)
    for label in ("Boat", "Anchor", "Second anchor", "Anchor shackle", "Swivel"):
        page.get_by_role("button", name=f"Next: {label}").focus()
        page.keyboard.press("Enter")
        page.locator(".anchorsim-page h2", has_text=label).wait_for(timeout=SETTLED)
    page.locator(".tile", has_text="Swivel reversed").focus()
    page.keyboard.press("Enter")
    page.locator(".anchorsim-card.anchorsim-found").wait_for(timeout=SETTLED)
    page.get_by_role("button", name="Next: Chain").focus()
    page.keyboard.press("Enter")
    page.locator(".anchorsim-page h2", has_text="Chain").wait_for(timeout=SETTLED)
    page.locator(".anchorsim-foot .done:enabled", has_text="Chain is done").focus()
    page.keyboard.press("Enter")
    page.locator(".anchorsim-rail button", has_text="Chain✓").wait_for(timeout=SETTLED)


def test_targets_suit_a_glove_bars_are_low_and_a_page_starts_at_its_top(surveying: Visit) -> None:
    page, hand = surveying.page, Hand(surveying.page)
    hand.part("Survey")
    hand.tap(page.get_by_role("button", name="New survey"))
    page.locator(f"{SCREEN} .outcome", has_text="Nothing recorded").wait_for(timeout=SETTLED)
    hand.part("Windlass")
    unfold(page, ".anchorsim-fold")
    hand.find("Clutch or brake slips")
    sizes = page.eval_on_selector_all(
        f"{SCREEN} :is(button, select, textarea, input):not([hidden])",
        """all => all.filter(one => one.offsetParent)
            .map(one => [one.textContent || one.type, one.offsetWidth, one.offsetHeight])""",
    )
    assert len(sizes) > 40
    assert [size for size in sizes if size[1] < LEAST_TOUCH or size[2] < LEAST_TOUCH] == []
    page.mouse.move(500, 600)
    page.mouse.wheel(0, 3000)
    page.wait_for_timeout(300)
    top = page.locator(f"{SCREEN} .anchorsim-strip").bounding_box()
    assert top is not None and top["y"] == 0 and top["height"] <= ON_TOP
    under = page.evaluate(f"innerHeight - document.querySelector('{SCREEN}').getBoundingClientRect().bottom")
    assert under <= 100  # px beneath the survey's end, where the notebook's own button is
    hand.tap(page.get_by_role("button", name="Next: Gypsy"))
    heading = page.locator(".anchorsim-page h2", has_text="Gypsy")
    heading.wait_for(timeout=SETTLED)
    page.wait_for_timeout(300)
    box = heading.bounding_box()
    assert box is not None and ON_TOP - 10 <= box["y"] < ON_TOP + 40
    sideways = f"() => document.querySelector('{SCREEN}').scrollWidth - innerWidth"
    assert page.evaluate(sideways) <= 0


def test_every_step_is_accessible_and_fits(surveying: Visit) -> None:
    name = "survey-neglected-sloop"
    assert (folder("shared") / f"{name}.toml").exists()
    page, hand = surveying.page, Hand(surveying.page)
    hand.part("Survey")
    page.get_by_label("Open survey").select_option(name)
    page.locator(f"{SCREEN} .outcome", has_text="Do not use").wait_for(timeout=SETTLED)
    steps = [step.lstrip("0123456789 ") for step in page.locator(".anchorsim-rail .name").all_inner_texts()]
    for dark in (False, True):
        turn(page, dark)
        for place, label in enumerate(steps):
            hand.tap(page.locator(".anchorsim-rail button").nth(place))
            page.locator(".anchorsim-page h2", has_text=label).first.wait_for(timeout=SETTLED)
            unfold(page, ".anchorsim-card .head")
            assert violations(page, SCREEN, colours=dark) == [], (label, dark)
            for size in ("phone", "laptop", "tablet") if label in ("Boat", "Chain", "Overview") else ():
                surveying.resize(size)
                assert surveying.too_wide(".anchorsim-page") <= 0, (label, size)
                surveying.picture(f"survey-{size}-{'dark' if dark else 'light'}-{label.lower()}")


def test_a_kernel_that_is_started_again_from_elsewhere_is_noticed_at_the_next_touch(
    survey_lab: Lab, surveying: Visit
) -> None:
    """Else all that is entered from then on would be lost without a word.  Last, for the page is left."""
    page = surveying.page
    notice = page.get_by_role("alert").filter(has_text="Reload this page to use it here.")
    for kernel in survey_lab.ask("/api/kernels"):
        survey_lab.ask(f"/api/kernels/{kernel['id']}/restart", "POST", {})
    for _ in range(10):
        if notice.count():
            break
        page.evaluate("document.querySelector('.anchorsim-rail button')?.click()")
        page.wait_for_timeout(1000)
    assert notice.count() == 1
    assert set(surveying.errors) <= {"Kernel connection is disposed"}
    surveying.errors.clear()
