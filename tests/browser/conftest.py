"""An explorer that tests share, and pages of it."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser

from browser.visiting import SIZES, Lab, Opener, Visit, running, visit


@pytest.fixture(scope="package")
def lab(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Lab]:
    """One explorer for all tests of what it shows, each with a kernel of its own."""
    with running(tmp_path_factory.mktemp("home")) as found:
        yield found


@pytest.fixture
def opened(lab: Lab, browser: Browser) -> Iterator[Opener]:
    """Opens the explorer as on its first day; at the end no request may have left this machine."""
    visits: list[Visit] = []

    def open_page(size: str = "desk") -> Visit:
        lab.start_anew()
        width, height = SIZES[size]
        # The player waits to be started: pages that play, side by side, are much of what two cores can do.
        context = browser.new_context(viewport={"width": width, "height": height}, reduced_motion="reduce")
        found = visit(context)
        visits.append(found)
        found.page.goto(lab.url)
        found.wait_for_picture()
        return found

    yield open_page
    for found in visits:
        found.page.context.close()
    assert [found.foreign(lab.origin) for found in visits] == [[] for _ in visits]
    assert [found.errors for found in visits] == [[] for _ in visits]
