"""From the explorer's cautions to the proofs: one link, another tab, and the notebook runs by itself."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser

from anchorsim.figures.style import theme
from browser.visiting import START, Lab, Visit, noted, visit

pytestmark = pytest.mark.browser

DONE = """() => document.querySelectorAll('.jp-NotebookPanel .js-plotly-plot .main-svg').length >= 1
    && [...document.querySelectorAll('.jp-OutputArea-output')]
        .some((output) => output.innerText.includes('published values within tolerance'))"""
# A picture is kept as an image once it has been drawn.
IN_SIGHT = """() => [...document.querySelectorAll('.jp-RenderedPlotly:has(.main-svg), .jp-RenderedImage')]
    .filter((one) => one.getBoundingClientRect().height > 100)
    .filter((one) => getComputedStyle(one).visibility === 'visible').length"""


@pytest.fixture(scope="module")
def explorer(lab: Lab, browser: Browser) -> Iterator[Visit]:
    lab.start_anew()
    found = visit(browser.new_context(viewport={"width": 1400, "height": 900}, reduced_motion="reduce"))
    found.page.goto(lab.url)
    found.wait_for_picture()
    yield found
    found.page.context.close()
    assert found.foreign(lab.origin) == []
    assert found.errors == []


@pytest.fixture(scope="module")
def proofs(explorer: Visit, lab: Lab) -> Iterator[Visit]:
    """The page that the link opens, as it comes."""
    opened: list[Visit] = []
    explorer.page.context.on("page", lambda page: opened.append(noted(page)))
    with explorer.page.context.expect_page():
        explorer.page.get_by_role("link", name="How we know").click()
    (found,) = opened
    yield found
    assert found.foreign(lab.origin) == []
    assert found.errors == []


def test_a_notebook_shows_its_pictures_from_the_start_and_keeps_them(proofs: Visit) -> None:
    """Those that it was saved with stay until there are new ones, and it opens at its top."""
    page = proofs.page
    page.wait_for_function(f"() => ({IN_SIGHT})() >= 3", timeout=START)
    assert page.locator(".jp-CodeCell .jp-InputArea:visible").count() == 0
    for _ in range(20):
        assert page.evaluate(IN_SIGHT) >= 3
        page.wait_for_timeout(200)
    assert page.locator(".jp-WindowedPanel-outer").first.evaluate("outer => outer.scrollTop") == 0


def test_the_link_opens_the_notebook_which_runs_by_itself(explorer: Visit, proofs: Visit) -> None:
    page = proofs.page
    page.wait_for_selector(".jp-NotebookPanel.anchorsim-app", timeout=START)
    page.wait_for_function(DONE, timeout=START)
    assert page.url.partition("?")[0].endswith("/how_we_know.ipynb")
    assert explorer.page.locator(".anchorsim-explorer").count() == 1, "the explorer is still there"


def test_the_pictures_of_a_notebook_follow_the_colours(proofs: Visit) -> None:
    paper = "(paper) => document.querySelector('.jp-RenderedPlotly')?._fullLayout?.paper_bgcolor === paper"
    for scheme, look in (("dark", theme(True)), ("light", theme(False))):
        proofs.page.emulate_media(color_scheme=scheme)
        proofs.page.wait_for_function(paper, arg=look.paper, timeout=START)
        proofs.picture(f"how-we-know-{scheme}")
