"""A lesson in the real explorer: predicted, played, shown; by any hand, at any size, in both looks."""

from __future__ import annotations

import pytest
from playwright.sync_api import Browser, Page

from browser.access import turn, violations
from browser.visiting import START, Lab, Opener, visit

pytestmark = pytest.mark.browser

PLAYS = "() => document.querySelector('.anchorsim-lesson .anchorsim-player')?.dataset.samples > 0"
DRAWN = "() => document.querySelectorAll('.anchorsim-every-spell .main-svg').length > 0"


def choose(page: Page) -> None:
    page.get_by_role("tab", name="Lessons").click()
    page.wait_for_function(PLAYS, timeout=START)
    page.wait_for_function("() => document.querySelectorAll('.anchorsim-lesson-stage .main-svg').length >= 3")


def test_a_class_predicts_and_sees(lab: Lab, opened: Opener) -> None:
    found = opened("laptop")
    page = found.page
    page.get_by_role("tab", name="Start").click()
    page.wait_for_timeout(500)
    wrong = {"Start": violations(page)}
    choose(page)
    wrong["asked"] = violations(page)
    turn(page, dark=True)
    wrong["asked, dark"] = violations(page, colours=True)
    turn(page, dark=False)
    player = page.locator(".anchorsim-lesson .anchorsim-player")
    assert player.get_attribute("data-playing") == "false", "the class predicts before it moves"
    page.locator(".picks button").nth(1).press("Enter")
    page.get_by_role("button", name="Play").last.click()
    page.wait_for_function(
        "() => document.querySelector('.anchorsim-lesson .anchorsim-player').dataset.frames > 20"
    )
    page.get_by_role("button", name="Show what happened").click()
    page.wait_for_function(DRAWN)
    assert page.locator(".anchorsim-shown .outcome").inner_text().startswith("You said: about 25.")
    wrong["shown"] = violations(page)
    page.get_by_role("button", name="Save page for phones").click()
    page.get_by_text("Saved as lesson_scope").wait_for()
    (lab.home / "explorer" / "lesson_scope.html").unlink()
    for size in ("laptop", "tablet", "phone"):
        found.resize(size)
        assert found.too_wide(".anchorsim-explorer") <= 0, size
        found.picture(f"lesson-{size}-light")
        wrong[size] = violations(page)
    turn(page, dark=True)
    for size in ("phone", "tablet", "laptop"):
        found.resize(size)
        found.picture(f"lesson-{size}-dark")
        wrong[f"{size}, dark"] = violations(page, colours=True)
    page.get_by_role("tab", name="Start").click()
    page.wait_for_timeout(500)
    wrong["Start, dark"] = violations(page, colours=True)
    assert wrong == {name: [] for name in wrong}


def test_a_lesson_is_a_notebook_too(lab: Lab, browser: Browser) -> None:
    lab.stop_kernels()
    other = visit(browser.new_context(viewport={"width": 1280, "height": 720}, reduced_motion="reduce"))
    other.page.goto(f"{lab.origin}/doc/tree/lesson_sheering.ipynb?token={lab.token}")
    other.page.wait_for_function(PLAYS, timeout=START)
    assert "sheering" in other.page.locator(".anchorsim-asked h2").inner_text()
    assert other.page.locator(".anchorsim-asked .chooser:visible").count() == 0
    other.page.wait_for_timeout(1000)
    other.picture("lesson-notebook")
    assert other.foreign(lab.origin) == [] and other.errors == []
    other.page.context.close()
