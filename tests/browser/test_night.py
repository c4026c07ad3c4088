"""Which of two set-ups tonight, as a newcomer finds out: kept, gone through a forecast, compared."""

from __future__ import annotations

import time
from pathlib import Path

import pytest
from playwright.sync_api import expect

from browser.visiting import START, Lab, Opener

pytestmark = pytest.mark.browser

ROWS = ((16, 22, 200), (26, 37, 215), (20, 28, 225))  # knots, knots, degrees; a minute each
OVER = "(found) => found.scrollHeight - found.clientHeight"


def test_which_of_two_set_ups_tonight(lab: Lab, opened: Opener, capsys: pytest.CaptureFixture[str]) -> None:
    lines = [f"20:0{row},{mean},{gust},{way}" for row, (mean, gust, way) in enumerate(ROWS)]
    head = "time,mean wind [knot],gust [knot],wind direction [degree]"
    (Path(lab.home) / "explorer" / "tonight.csv").write_text("\n".join([head, *lines]) + "\n")
    page = opened("laptop").page
    began, actions = time.monotonic(), 0

    def press(name: str, role: str = "button") -> None:
        nonlocal actions
        page.get_by_role(role, name=name, exact=True).locator("visible=true").first.click()  # type: ignore[arg-type]
        actions += 1

    press("Keep this one")
    scope = page.locator(".anchorsim-inputs .anchorsim-amount", has_text="Scope").locator(
        "input[type=number]"
    )
    scope.fill("8")
    scope.press("Enter")
    actions += 1
    expect(page.locator(".anchorsim-inputs", has_text="8:1")).to_be_visible(timeout=START)
    press("Keep this one")
    press("Night", "tab")
    page.locator(".anchorsim-on-night select").select_option("tonight")
    actions += 1
    decision = page.locator(".anchorsim-on-night .anchorsim-decision")
    expect(decision.locator(".foot")).to_contain_text("From", timeout=START)
    took = time.monotonic() - began
    headline = decision.locator(".headline").inner_text()
    assert headline.startswith(("Choose ", "No set-up holds this night: ")) and " of 100" in headline
    with capsys.disabled():
        print(f"\nwhich of two set-ups tonight: {actions} actions, {took:.1f} s: {headline}")
    hours = page.locator(".anchorsim-hours input")
    hours.press("Home")
    hours.press("ArrowRight")
    expect(page.locator(".anchorsim-hours .said")).to_contain_text("20:01: wind 26 kn")
    assert page.locator(".anchorsim-on-night").evaluate(OVER) <= 0, "all of it is in sight"
    press("Open this hour")
    expect(page.get_by_role("tab", name="Swing")).to_have_attribute("aria-selected", "true", timeout=START)
    mean = page.locator(".anchorsim-inputs .anchorsim-amount", has_text="Mean").locator("input[type=number]")
    expect(mean).to_have_value("26", timeout=START)
    press("Undo")
    expect(mean).to_have_value("20", timeout=START)
    press("Compare", "tab")
    lanes = page.locator(".anchorsim-lanes .lane:not(.heads)")
    expect(lanes).to_have_count(2)
    press("Rename A")
    lanes.first.locator("input.name").fill("As she lies")
    lanes.first.locator("input.name").press("Enter")
    expect(lanes.first.locator("strong.name")).to_have_text("As she lies", timeout=START)
    assert page.locator(".anchorsim-on-compare").evaluate(OVER) <= 0
