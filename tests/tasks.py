"""What a newcomer wants, done by a script: how many actions, and seconds until the answer is there.

``python tests/tasks.py``: three scopes laid over each other; what a longer snubber buys.  Which of two
anchorages tonight is timed by the browser tests of the night.
"""

from __future__ import annotations

import os
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from browser.visiting import START, Visit, running, visit
from playwright.sync_api import sync_playwright


class Hand:
    """Counts what a person does."""

    def __init__(self, found: Visit) -> None:
        self.page, self.actions = found.page, 0

    def type(self, label: str, value: str) -> None:
        row = self.page.locator(".anchorsim-inputs .anchorsim-amount", has_text=label)
        box = row.locator("input[type=number]")
        run = self.page.locator(".anchorsim-player").get_attribute("data-run")
        box.fill(value)
        box.press("Enter")
        self.actions += 1
        moved = "(run) => document.querySelector('.anchorsim-player').dataset.run !== run"
        self.page.wait_for_function(moved, arg=run, timeout=START)

    def press(self, name: str) -> None:
        self.page.get_by_role("button", name=name, exact=True).click()
        self.actions += 1

    def firm(self) -> None:
        """Until the odds are those of a hundred spells."""
        self.page.locator(".anchorsim-strip .of", has_text="From 100 ").wait_for(timeout=START)


def three_scopes(hand: Hand) -> None:
    for number, scope in enumerate(("3", "5", "7"), start=1):
        hand.type("Scope", scope)
        if number < 3:
            hand.press("Keep this one")
            hand.page.locator(".anchorsim-head small", has_text=f"{number} set-up").wait_for(timeout=START)


def longer_snubber(hand: Hand) -> None:
    hand.press("Keep this one")
    hand.type("Snubber", "15")
    hand.firm()


def main() -> None:
    tasks: dict[str, Callable[[Hand], None]] = {
        "3:1, 5:1 and 7:1": three_scopes,
        "a longer snubber": longer_snubber,
    }
    for name, task in tasks.items():
        with tempfile.TemporaryDirectory() as place:
            home = Path(place) / "home"
            home.mkdir()
            with running(home) as lab, sync_playwright() as playwright:
                root = hasattr(os, "geteuid") and os.geteuid() == 0
                browser = playwright.chromium.launch(
                    executable_path=os.environ.get("CHROMIUM", "/usr/bin/chromium"),
                    args=["--no-sandbox"] * root,
                )
                found = visit(browser.new_context(viewport={"width": 1280, "height": 720}))
                found.page.goto(lab.url)
                found.wait_for_picture()
                hand, began = Hand(found), time.monotonic()
                task(hand)
                print(f"{name:<20} {hand.actions} actions, {time.monotonic() - began:.1f} s", flush=True)
                found.picture(f"task-{name.split()[-1]}")
                browser.close()


if __name__ == "__main__":
    main()
