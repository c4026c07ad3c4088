"""The row of slider and number in a real browser, on a static page: what a blank stands for."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, Page

from anchorsim.explorer.parts import amount

pytestmark = pytest.mark.browser

SCRIPT = Path(amount.__file__).with_name("amount.js").read_text(encoding="utf-8")
PAGE = """<body><script type="module">
const code = new Blob([{code}], {{type: "text/javascript"}});
const widget = (await import(URL.createObjectURL(code))).default;
const heard = [], state = {state};
window.state = state;
window.model = {{
  get: (key) => state[key],
  set: (key, value) => {{ state[key] = value; }},
  save_changes: () => heard.forEach((tell) => tell()),
  on: (_, tell) => heard.push(tell), off: () => {{}},
}};
widget.render({{ model: window.model, el: document.body }});
window.ready = true;
</script></body>"""
RADIUS = {
    "label": "Clear radius", "unit": "m", "help": "", "value": None, "blank": "unlimited",
    "low": 1.0, "high": 200.0, "step": 5.0,
}  # fmt: skip


@pytest.fixture
def opened(browser: Browser, tmp_path: Path) -> Iterator[Callable[[dict[str, Any]], Page]]:
    pages = []

    def open_page(state: dict[str, Any]) -> Page:
        page = browser.new_page()
        pages.append(page)
        file = tmp_path / "amount.html"
        file.write_text(PAGE.format(code=json.dumps(SCRIPT), state=json.dumps(state)), encoding="utf-8")
        page.goto(file.as_uri())
        page.wait_for_function("window.ready")
        return page

    yield open_page
    for page in pages:
        page.close()


def test_a_blank_is_shown_kept_filled_and_emptied(opened: Callable[[dict[str, Any]], Page]) -> None:
    page = opened(RADIUS)
    number, slider = page.locator("input[type=number]"), page.locator("input[type=range]")
    assert number.input_value() == "" and number.get_attribute("placeholder") == "unlimited"
    assert slider.get_attribute("aria-valuetext") == "unlimited"
    number.fill("40")
    number.press("Enter")
    assert page.evaluate("state.value") == 40 and slider.get_attribute("aria-valuetext") == "40 m"
    number.fill("0")  # no radius: the least there is, and it is seen
    number.press("Enter")
    assert page.evaluate("state.value") == 1 and number.input_value() == "1"
    number.fill("")
    number.press("Enter")
    assert page.evaluate("state.value") is None and number.input_value() == ""
    slider.press("ArrowRight")
    assert page.evaluate("state.value") == 5


def test_a_value_that_is_needed_is_not_left_blank(opened: Callable[[dict[str, Any]], Page]) -> None:
    page = opened({**RADIUS, "blank": "", "value": 6.0})
    number = page.locator("input[type=number]")
    number.fill("")
    number.press("Enter")
    assert page.evaluate("state.value") == 6 and number.input_value() == "6"


def test_a_finger_that_scrolls_moves_nothing_and_one_that_slides_does(
    browser: Browser, tmp_path: Path
) -> None:
    context = browser.new_context(has_touch=True, viewport={"width": 400, "height": 500})
    page = context.new_page()
    file = tmp_path / "amount.html"
    state = {**RADIUS, "blank": "", "value": 50.0}
    style = "<style>body{height:3000px} input[type=range]{touch-action:pan-y;width:300px;height:40px}</style>"
    file.write_text(style + PAGE.format(code=json.dumps(SCRIPT), state=json.dumps(state)), encoding="utf-8")
    page.goto(file.as_uri())
    page.wait_for_function("window.ready")
    box = page.locator("input[type=range]").bounding_box()
    assert box is not None
    finger = context.new_cdp_session(page)

    def swipe(across: float, along: float, down: float) -> float:
        """From a share of the slider's width, pixels to the right and down; gives the value after it."""
        x, y = box["x"] + across * box["width"], box["y"] + box["height"] / 2 - page.evaluate("scrollY")
        for kind, share in (("touchStart", 0.0), *(("touchMove", (i + 1) / 8) for i in range(8))):
            points = [{"x": x + share * along, "y": y + share * down}]
            finger.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})
        finger.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})
        page.wait_for_timeout(60)
        page.evaluate("scrollTo(0, 0)")
        return float(page.evaluate("state.value"))

    for across in (0.05, 0.5, 0.95):
        for along, down in ((0, -200), (40, -200), (-60, -150), (0, 0), (30, 40), (-9, 3)):
            assert swipe(across, along, down) == 50.0, (across, along, down)
    assert swipe(0.25, 120, 10) > 90
    context.close()
