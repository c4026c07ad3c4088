"""From the explorer's cautions to the proofs: one link, another tab, and the notebook runs by itself."""

from __future__ import annotations

import pytest

from browser.visiting import START, Opener

pytestmark = pytest.mark.browser

DONE = """() => document.querySelectorAll('.jp-NotebookPanel .js-plotly-plot .main-svg').length >= 1
    && [...document.querySelectorAll('.jp-OutputArea-output')]
        .some((output) => output.innerText.includes('published values within tolerance'))"""


def test_the_link_opens_the_notebook_which_runs_by_itself(opened: Opener) -> None:
    found = opened()
    with found.page.context.expect_page() as other:
        found.page.get_by_role("link", name="How we know").click()
    page = other.value
    page.wait_for_selector(".jp-NotebookPanel.anchorsim-app", timeout=START)
    page.wait_for_function(DONE, timeout=START)
    assert page.url.partition("?")[0].endswith("/how_we_know.ipynb")
    assert found.page.locator(".anchorsim-explorer").count() == 1, "the explorer is still there"
