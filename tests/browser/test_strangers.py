"""What a stranger's file does when it is opened: nothing; and what it does where nothing defends."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, Page

from browser.strangers import HELD, OTHERS, OVER, Canary, hand_over, listening, outputs
from browser.visiting import COMMAND, START, Lab, Visit, running, visit

pytestmark = pytest.mark.browser

UNDEFENDED = (sys.executable, Path(__file__).with_name("undefended.py"), "open")
RUNS = (*outputs(Canary("")), *OTHERS)
SILENCE = 1500  # ms to go on listening once all is there; where nothing defends, all is heard by then
PATIENCE = 60.0  # s, where it is sure to be heard

# What is opened, and what shows that it is there; the last is no page of JupyterLab's.
PAGES = {
    "doc/tree/below/showing.ipynb": '.jp-Notebook-ExecutionIndicator[data-status="idle"]',
    "doc/tree/report.html": "iframe, .jp-FileEditor",
    "files/alone.html?token=": "p",
}
HELD_PAGES = {  # opened only where something defends, since nothing is heard of them anywhere
    "doc/tree/picture.svg": ".jp-ImageViewer, .jp-FileEditor",
    "doc/tree/job.jupyterlab-workspace": "#jp-top-panel",
    "doc/tree/kernel.ipynb": ".jp-Dialog:has-text('Select Kernel')",  # what is not there cannot be started
}
KEPT = "() => Object.keys(localStorage).filter((key) => key.startsWith('canary ')).map((key) => key.slice(7))"
LIES_OVER = f"() => Boolean(document.elementFromPoint(innerWidth / 2, innerHeight - 9)?.closest('.{OVER}'))"
UNCONTAIN = """() => [...document.querySelectorAll('head style')]
    .filter((style) => style.textContent.includes('contain: paint'))
    .forEach((style) => { style.textContent = style.textContent.replaceAll('contain: paint', ''); })"""


@dataclass
class Seen:
    """What came of opening one of each and clicking in it."""

    heard: set[str]
    ran: bool  # a cell, by a click on a button in a text
    over: bool  # a text over the page
    over_uncontained: bool
    images: int
    errors: list[str]


def opened(context: BrowserContext, lab: Lab, path: str, there: str) -> Visit:
    found = visit(context)
    found.page.goto(f"{lab.origin}/{path}{lab.token if path.endswith('token=') else ''}")
    found.page.wait_for_selector(there, state="attached", timeout=START)
    return found


def look(browser: Browser, home: Path, command: tuple[Path | str, ...], wanted: set[str]) -> Seen:
    """Open one of each, wait for what is wanted to be heard, and a while longer; then click what can be."""
    person = home / "explorer"
    with listening() as canary:
        hand_over(person, canary)
        with running(home, command=command) as lab:
            context = browser.new_context(viewport={"width": 1200, "height": 900})
            context.new_page().goto(f"{lab.origin}/api/status?token={lab.token}")  # the cookie, for all pages
            visits = [opened(context, lab, path, there) for path, there in PAGES.items()]
            for path, there in ({} if wanted else HELD_PAGES).items():
                opened(context, lab, path, there)
            page = visits[0].page
            wait(page, lambda: wanted <= canary.heard)
            shown = page.locator(f'.jp-Notebook img[src^="{canary.address}"]').count()
            over = page.evaluate(LIES_OVER)
            page.locator("a.link").click(force=True)
            page.get_by_role("button", name="Open the report").click()
            wait(page, lambda: not wanted or (person / "below" / "ran.txt").exists())
            page.evaluate(UNCONTAIN)
            kept = {name for found in visits[:-1] for name in found.page.evaluate(KEPT)}
            ran = (person / "below" / "ran.txt").exists()
            seen = Seen(canary.heard | kept, ran, over, page.evaluate(LIES_OVER), shown, visits[0].errors)
            context.close()
    return seen


def wait(page: Page, enough: Callable[[], bool]) -> None:
    until = time.monotonic() + PATIENCE
    while not enough() and time.monotonic() < until:
        page.wait_for_timeout(100)
    page.wait_for_timeout(SILENCE)


@pytest.fixture(scope="module")
def defended(browser: Browser, tmp_path_factory: pytest.TempPathFactory) -> Seen:
    return look(browser, tmp_path_factory.mktemp("defended"), COMMAND, set())


@pytest.fixture(scope="module")
def undefended(browser: Browser, tmp_path_factory: pytest.TempPathFactory) -> Seen:
    return look(browser, tmp_path_factory.mktemp("undefended"), UNDEFENDED, set(RUNS))


@pytest.mark.parametrize("kind", RUNS)
def test_what_is_heard_where_nothing_defends_is_silent_here(
    defended: Seen, undefended: Seen, kind: str
) -> None:
    assert kind in undefended.heard
    assert kind not in defended.heard


@pytest.mark.parametrize("kind", HELD)
def test_what_jupyterlab_holds_back_is_silent_here_too(defended: Seen, kind: str) -> None:
    assert kind not in defended.heard


def test_a_click_on_a_button_in_a_text_runs_nothing(defended: Seen, undefended: Seen) -> None:
    assert undefended.ran
    assert not defended.ran


def test_a_text_does_not_lie_over_the_page(defended: Seen) -> None:
    assert defended.over_uncontained
    assert not defended.over


def test_a_strangers_notebook_is_shown_all_the_same(defended: Seen) -> None:
    assert defended.images == 3
    assert defended.errors == []
