"""The row of slider and number in a real browser, on a static page: what a blank stands for."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, Page

from anchorsim.explorer import amount

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
