"""The class's page in a real browser, from a file and with no network: as a phone gets it."""

from __future__ import annotations

import base64
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, Page
from test_serve import handed_out

from anchorsim import Scenario, class_page, simulate
from anchorsim.classroom.class_runs import class_runs
from anchorsim.classroom.page import handout
from anchorsim.figures import theme
from browser.access import violations

pytestmark = pytest.mark.browser
SIZES = {"phone": (390, 844), "tablet": (820, 1180), "laptop": (1280, 720)}
SHOTS = Path(__file__).parents[2] / ".screenshots"
LABELS = "document.querySelector('.anchorsim-view-above canvas').labels"
SMALL = """[...document.querySelectorAll("button, input, summary")]
  .filter((each) => each.checkVisibility() && each.getBoundingClientRect().height < 24).length"""
FRAMES = """() => new Promise((done) => {
  const box = document.querySelector(".anchorsim-player");
  const start = performance.now(), had = +box.dataset.frames;
  setTimeout(() => done(1000 * (+box.dataset.frames - had) / (performance.now() - start)), 1500); })"""
HOSTILE = "</script><img src=x onerror=\"document.title='run'\"><b>Wall"
Opener = Callable[..., Page]


@pytest.fixture(scope="module")
def scenario() -> Scenario:
    danger = {"name": HOSTILE[:60], "shape": "point", "at": [{"bearing": "60 degree", "distance": "60 m"}]}
    return Scenario().vary(
        {"title": HOSTILE, "surroundings.dangers": [danger], "tackle.anchor.type": "plough"}
    )


@pytest.fixture(scope="module")
def file(scenario: Scenario, tmp_path_factory: pytest.TempPathFactory) -> Path:
    over = {"tackle.scope": [3, 5, 8], "weather.mean_wind": ["20 knot", "30 knot"]}
    path = tmp_path_factory.mktemp("page") / "lesson.html"
    path.write_text(
        class_page(scenario, over, minutes=2, spells=4, title=f"Scope? {HOSTILE}"), encoding="utf-8"
    )
    return path


@pytest.fixture
def opened(browser: Browser, file: Path) -> Iterator[Opener]:
    """Opens the page; at the end it has asked for nothing but itself, and nothing failed or was refused."""
    asked: list[str] = []
    wrong: list[str] = []
    contexts = []

    def open_page(size: str = "phone", dark: bool = False, **how: Any) -> Page:
        width, height = SIZES[size]
        scheme = "dark" if dark else "light"
        context = browser.new_context(viewport={"width": width, "height": height}, color_scheme=scheme, **how)
        contexts.append(context)
        page = context.new_page()
        page.on("request", lambda request: asked.append(request.url))
        page.on("pageerror", lambda error: wrong.append(str(error)))
        page.on("console", lambda said: wrong.append(said.text))
        page.goto(file.as_uri())
        until(page, "document.body.dataset.shown")
        return page

    yield open_page
    for context in contexts:
        context.close()
    assert wrong == []
    assert {url.partition(":")[0] for url in asked} <= {"file", "blob"}
    assert sum(url.startswith("file") for url in asked) == len(contexts)


def until(page: Page, expression: str) -> None:
    """Waits from outside: the page's own policy forbids the waiting that is put into it."""
    for _ in range(100):
        if page.evaluate(expression):
            return
        page.wait_for_timeout(50)
    pytest.fail(expression)


def time_of(page: Page) -> float:
    return float(page.get_attribute(".anchorsim-player", "data-time") or "nan")


def guess(page: Page, words: str = "1½ times") -> None:
    page.get_by_role("button", name=words).click()
    page.wait_for_selector("#outcome:visible")


def row(page: Page, label: str) -> list[str]:
    return page.locator("#figures tr", has=page.locator("th", has_text=label)).locator("td").all_inner_texts()


def test_a_guess_comes_first_and_stays_beside_the_outcome(opened: Opener, scenario: Scenario) -> None:
    page = opened()
    assert not page.locator("#outcome, .anchorsim-view-load, #bar, .choose").filter(visible=True).count()
    guess(page)
    assert page.inner_text("#guessed").startswith("You said 1½ times")
    assert "It was" in page.inner_text("#outcome") and not page.locator("#guess").is_visible()
    loads = []
    for scope in (3, 8):
        changes = {"tackle.scope": scope, "weather.mean_wind": "30 knot", "weather.duration": "2 min"}
        loads.append(simulate(scenario.vary(changes)).peak_load.to("kN").magnitude)
    assert row(page, "Peak load at the bow") == [f"{load:.3g} kN" for load in loads]


def test_it_plays_pauses_and_is_dragged(opened: Opener) -> None:
    page = opened(has_touch=True, is_mobile=True)
    guess(page)
    until(page, "+document.querySelector('.anchorsim-player').dataset.time > 1")
    page.get_by_role("button", name="Pause").click()
    held = time_of(page)
    page.wait_for_timeout(150)
    assert time_of(page) == held
    slider = page.get_by_role("slider", name="Load and wind")
    box = slider.bounding_box()
    assert box
    slider.tap(position={"x": 46 + 0.5 * (box["width"] - 54), "y": box["height"] / 2})
    page.wait_for_timeout(100)
    assert time_of(page) == pytest.approx(60, abs=2)
    slider.press("ArrowRight")
    page.wait_for_timeout(100)
    assert time_of(page) == pytest.approx(61, abs=2)
    page.locator(".anchorsim-player").focus()
    page.keyboard.press("Space")
    page.wait_for_timeout(300)
    assert time_of(page) > 61.5


def test_boats_are_added_changed_and_removed_and_units_switch(opened: Opener) -> None:
    page = opened("laptop")
    guess(page, "twice")
    page.get_by_role("button", name="Add a boat").click()
    page.locator("#controls fieldset").nth(0).get_by_role("radio").nth(1).check(force=True)
    until(page, "document.querySelectorAll('#figures thead th').length === 4")
    assert page.locator("#boats label").all_inner_texts()[2].split("\n")[-1].strip() == "5:1, 30 kn"
    assert page.get_by_role("button", name="Add a boat").is_disabled()
    letters = page.evaluate(
        "document.querySelector('.anchorsim-view-above canvas').labels.map((l) => l.label.id)"
    )
    assert {"letter A", "letter B", "letter C"} <= set(letters)
    assert '--set "tackle.scope=5" --set "weather.mean_wind=30 knot"' in page.text_content("#command")
    page.locator("[name=system][value=US]").check(force=True)
    assert row(page, "Peak load at the bow")[0].endswith(" lbf")
    assert "--us" in page.text_content("#command")
    until(page, "document.querySelector('.anchorsim-view-side').textContent.includes('ft')")
    page.get_by_role("button", name="Remove C").click()
    until(page, "document.querySelectorAll('#figures thead th').length === 3")
    page.locator("#boats input").first.focus()
    page.keyboard.press("ArrowRight")
    until(page, "document.querySelector('#remove').textContent === 'Remove B'")


def test_what_a_stranger_wrote_is_shown_as_text(opened: Opener) -> None:
    page = opened()
    guess(page)
    page.wait_for_timeout(300)
    assert page.title().startswith("Scope? </script><img")
    assert page.locator("img").count() == 0
    assert HOSTILE in page.inner_text("h1")
    words = page.evaluate(f"{LABELS}.flatMap((label) => label.parts.map((part) => part.text))")
    assert any("</script>" in text for text in words)


@pytest.mark.parametrize(
    ("size", "dark"), [("phone", False), ("phone", True), ("tablet", True), ("laptop", False)]
)
def test_it_is_usable_by_all_and_fits(opened: Opener, size: str, dark: bool) -> None:
    page = opened(size, dark)
    assert violations(page) == []
    guess(page)
    for each in page.locator("details:not(.anchorsim-save)").all():
        each.locator("summary").click()
    page.get_by_role("button", name="Pause").click()
    assert violations(page) == []
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    assert page.evaluate(SMALL) == 0
    SHOTS.mkdir(exist_ok=True)
    page.evaluate("scrollTo(0, 0)")
    page.screenshot(path=SHOTS / f"class-page-{size}-{'dark' if dark else 'light'}.png")


def test_a_phone_turned_round_shows_the_same_boats(opened: Opener) -> None:
    page = opened()
    guess(page)
    page.set_viewport_size({"width": 844, "height": 390})
    page.wait_for_timeout(300)
    for view in ("above", "side", "load"):
        box, drawn = (
            page.locator(f".anchorsim-view-{view}{inner}").first.bounding_box() for inner in ("", " canvas")
        )
        assert box and drawn and drawn["width"] == pytest.approx(box["width"], abs=1)
        assert drawn["height"] == pytest.approx(box["height"], abs=1)


def test_it_plays_at_fifty_frames_a_second(opened: Opener) -> None:
    page = opened(has_touch=True, is_mobile=True, device_scale_factor=2)
    guess(page)
    page.get_by_role("button", name="Add a boat").click()
    # one window of a dozen is enough: other work on the machine is not the page's doing
    assert any(page.evaluate(FRAMES) >= 50 for _ in range(20))


def test_on_paper_all_is_light_and_unfolded(opened: Opener, tmp_path: Path) -> None:
    page = opened(dark=True)
    guess(page)
    cdp = page.context.new_cdp_session(page)
    sheets = base64.b64decode(cdp.send("Page.printToPDF", {"printBackground": True})["data"])
    from pypdfium2 import PdfDocument  # noqa: PLC0415

    document = PdfDocument(sheets)
    text = "\n".join(page_of.get_textpage().get_text_range() for page_of in document)
    assert "All figures" in text and "anchorsim run scenario.toml" in text and "NOTICE" in text
    SHOTS.mkdir(exist_ok=True)
    image = document[0].render(scale=1).to_pil()
    image.save(SHOTS / "class-page-printed.png")
    colours = {colour for _, colour in image.convert("RGB").getcolors(maxcolors=1 << 20)}
    water, first = "#DCEAF2", theme().setups[0]  # what stays, and what moves
    assert image.convert("RGB").getpixel((5, 5)) == (255, 255, 255)
    assert {tuple(bytes.fromhex(each[1:])) for each in (water, first)} <= colours
    assert page.evaluate("document.body.dataset.jpThemeLight") is None


def test_handed_out_it_sends_a_guess_and_the_instructor_sees_the_counts(
    browser: Browser, scenario: Scenario
) -> None:
    runs = class_runs(scenario, {"tackle.scope": [3, 8]}, minutes=1, spells=2)
    with handed_out(handout(runs, "metric")) as served:
        instructor, phone = browser.new_page(), browser.new_page()
        asked: list[str] = []
        for page in (instructor, phone):
            page.on("request", lambda request: asked.append(request.url))
        instructor.goto(served.opened.instructor)
        phone.goto(served.opened.address)
        until(phone, "document.body.dataset.shown")
        guess(phone, "half")
        until(phone, "document.querySelector('#sent').textContent.startsWith('Sent')")
        until(instructor, "document.querySelector('#all').textContent === '1 guess'")
        assert instructor.locator("[data-choice='1'] output").inner_text() == "1"
        assert violations(instructor) == []
        assert instructor.locator("img").count() == 0
        instructor.screenshot(path=SHOTS / "class-page-guesses.png")
        assert all(url.startswith((served.opened.instructor, served.opened.address)) for url in asked)
        instructor.close()
        phone.close()


def test_a_browser_that_cannot_unpack_says_so(browser: Browser, file: Path) -> None:
    page = browser.new_page()
    page.add_init_script("delete window.DecompressionStream")
    page.goto(file.as_uri())
    assert page.locator("#old").is_visible()
    page.close()
