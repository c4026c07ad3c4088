"""Pages without a kernel that tests of the player share."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, Page
from test_player_page import Opener, page_of


@pytest.fixture
def opened(browser: Browser, tmp_path: Path) -> Iterator[Opener]:
    """Opens a page of players; at the end nothing was asked of the network and no error thrown."""
    asked: list[str] = []
    errors: list[str] = []
    contexts = []

    def open_page(
        *players: dict[str, Any], dark: bool = False, width: int = 1400, height: int = 900, **how: Any
    ) -> Page:
        scheme = "dark" if dark else "light"
        context = browser.new_context(
            viewport={"width": width, "height": height}, offline=True, color_scheme=scheme, **how
        )
        contexts.append(context)
        page = context.new_page()
        page.on("request", lambda request: asked.append(request.url))
        page.on("pageerror", lambda error: errors.append(str(error)))
        file = tmp_path / f"{len(contexts)}.html"
        file.write_text(page_of(*players, dark=dark), encoding="utf-8")
        page.goto(file.as_uri())
        page.wait_for_function("window.ready")
        page.wait_for_function("document.querySelectorAll('.anchorsim-overlay').length >= 4")
        return page

    yield open_page
    for context in contexts:
        context.close()
    assert not errors
    assert all(url.startswith(("file:", "blob:", "data:")) for url in asked), asked
