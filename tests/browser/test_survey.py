"""The guided survey through the real command: a finding changes the weakest link, and a reload keeps it."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Locator, Page

from anchorsim.core.resources import folder
from anchorsim.scenario.scenario import Scenario
from browser.visiting import SIZES, START, Lab, Visit, running, visit

pytestmark = pytest.mark.browser

SETTLED = 30_000  # ms; the machine may be busy
LEAST_TOUCH = 44  # px, WCAG 2.2 success criterion 2.5.5 (target size, enhanced)


@pytest.fixture(scope="module")
def survey_lab(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Lab]:
    """The command that opens on the survey, in a home of its own: surveys leave files behind."""
    with running(tmp_path_factory.mktemp("surveyor"), "survey") as found:
        yield found


@pytest.fixture
def surveying(survey_lab: Lab, browser: Browser) -> Iterator[Visit]:
    """The survey's notebook on a tablet, with a kernel of its own."""
    survey_lab.stop_kernels()
    width, height = SIZES["tablet"]
    found = visit(browser.new_context(viewport={"width": width, "height": height}, has_touch=True))
    open_survey(found.page, survey_lab)
    yield found
    found.page.context.close()
    assert found.foreign(survey_lab.origin) == []
    assert found.errors == []


def open_survey(page: Page, lab: Lab) -> None:
    page.goto(lab.url)
    page.wait_for_selector(".anchorsim-result", timeout=START)


def part(page: Page, label: str) -> None:
    page.locator(".anchorsim-rail button", has_text=label).first.tap()
    page.locator(".anchorsim-title h2", has_text=label).wait_for(timeout=SETTLED)


def card(page: Page, label: str) -> Locator:
    return page.locator(".anchorsim-card", has=page.locator("button", has_text=label)).first


def weakest(page: Page) -> str:
    return page.locator(".anchorsim-result .value").first.inner_text()


def saved(page: Page, name: str) -> None:
    page.locator(".anchorsim-tools", has_text=name).wait_for(timeout=SETTLED)


def test_a_finding_changes_the_weakest_link_and_a_reload_keeps_it(
    surveying: Visit, survey_lab: Lab, tmp_path: Path
) -> None:
    page = surveying.page
    assert weakest(page).startswith("Snubber")
    part(page, "Chain")
    card(page, "Bolt used as a link").get_by_role("button").first.tap()
    page.wait_for_function(
        "() => document.querySelector('.anchorsim-result .value').textContent.startsWith('Chain')",
        timeout=SETTLED,
    )
    note = card(page, "Bolt used as a link").locator("textarea")
    note.press_sequentially("An M8 bolt, ten metres from the anchor.", delay=20)  # ms, as fast as people type
    picture = tmp_path / "bolt <1>.png"
    page.screenshot(path=picture)
    card(page, "Bolt used as a link").locator("input[type=file]").set_input_files(picture)
    card(page, "Bolt used as a link").locator("img").wait_for(timeout=SETTLED)
    saved(page, "my-survey.toml")
    page.wait_for_timeout(500)
    kept = Scenario.load(survey_lab.home / "explorer" / "my-survey.toml").survey.findings
    assert [(found.part, found.kind) for found in kept] == [("chain", "bolt in the chain")]
    assert kept[0].note == "An M8 bolt, ten metres from the anchor."
    assert kept[0].photographs == ("my-survey-chain-bolt-1.jpg",)
    assert (survey_lab.home / "explorer" / kept[0].photographs[0]).read_bytes()[:3] == b"\xff\xd8\xff"

    survey_lab.stop_kernels()  # whatever the kernel knew is gone
    page.reload()
    page.wait_for_selector(".anchorsim-result", timeout=START)
    assert weakest(page).startswith("Chain")
    part(page, "Chain")
    card(page, "Bolt used as a link").locator("img").wait_for(timeout=SETTLED)
    assert card(page, "Bolt used as a link").locator("textarea").input_value() == kept[0].note
    surveying.picture("survey-tablet-reloaded")


def test_the_keyboard_walks_the_boat_and_records(surveying: Visit) -> None:
    page = surveying.page
    for _ in range(3):
        page.get_by_role("button", name="Next →").focus()
        page.keyboard.press("Enter")
    page.locator(".anchorsim-title h2", has_text="Anchor shackle").wait_for(timeout=SETTLED)
    page.get_by_role("button", name="Shackle pin not moused").focus()
    page.keyboard.press("Space")
    page.locator(".anchorsim-card.anchorsim-found").wait_for(timeout=SETTLED)
    page.locator(".anchorsim-result", has_text="Shackle pin not moused").wait_for(timeout=SETTLED)
    page.get_by_role("button", name="Next →").focus()
    page.keyboard.press("Enter")
    page.locator(".anchorsim-title h2", has_text="Swivel").wait_for(timeout=SETTLED)
    page.get_by_role("button", name="Inspected").focus()
    page.keyboard.press("Space")
    page.locator(".anchorsim-rail button", has_text="Swivel\xa0✓").wait_for(timeout=SETTLED)


def test_all_that_is_tapped_is_large_enough_for_a_finger(surveying: Visit) -> None:
    page = surveying.page
    part(page, "Windlass")
    sizes = page.eval_on_selector_all(
        ".anchorsim-survey :is(button, select, input[type=number], input[type=date], input[type=text])",
        """all => all.filter(one => one.offsetParent)
            .map(one => [one.textContent || one.type, one.offsetWidth, one.offsetHeight])""",
    )
    assert len(sizes) > 25
    assert [size for size in sizes if size[1] < LEAST_TOUCH or size[2] < LEAST_TOUCH] == []
    sideways = "() => document.querySelector('.anchorsim-survey').scrollWidth - innerWidth"
    assert page.evaluate(sideways) <= 0


def test_the_result_stays_in_sight_while_the_page_is_scrolled(surveying: Visit) -> None:
    page = surveying.page
    part(page, "Chain")
    page.locator(".anchorsim-card").last.scroll_into_view_if_needed()
    box = page.locator(".anchorsim-result").bounding_box()
    assert box is not None and 0 <= box["y"] < 200


@pytest.mark.parametrize("dark", [False, True], ids=["light", "dark"])
def test_screens_to_look_at(survey_lab: Lab, browser: Browser, dark: bool) -> None:
    name = "survey-neglected-sloop"
    assert (folder("shared") / f"{name}.toml").exists()
    survey_lab.stop_kernels()
    survey_lab.set_theme(dark)
    found = visit(browser.new_context(has_touch=True))
    page = found.page
    open_survey(page, survey_lab)
    page.locator(".anchorsim-tools select").select_option(name)
    page.locator(".anchorsim-result", has_text="Do not use").wait_for(timeout=SETTLED)
    for label in ("Anchor", "Chain", "Strong point", "Overview"):
        if label == "Overview":
            page.locator(".anchorsim-steps button", has_text=label).tap()
            page.locator(".anchorsim-parts").wait_for(timeout=SETTLED)
        else:
            part(page, label)
        for size in SIZES:
            found.resize(size)
            assert found.too_wide(".anchorsim-page") <= 0, (label, size)
            found.picture(f"survey-{size}-{'dark' if dark else 'light'}-{label.lower().replace(' ', '-')}")
    page.context.close()
    survey_lab.set_theme(dark=False)
    assert found.errors == []
