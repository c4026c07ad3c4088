"""What lies round her in a real browser, on a page without a kernel: by hand and by key."""

from __future__ import annotations

import json
import math
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, Page

from anchorsim.explorer.parts import around
from anchorsim.wording.around import WORDS

pytestmark = pytest.mark.browser

PARTS = Path(around.__file__).parent
# A plot of 400 by 400 pixels at (300, 0): 4 pixels a metre, the anchor in its middle.
PAGE = """<style>{style}</style><body style="margin:0" class="anchorsim-explorer">
<div id="rows" style="width:300px"></div>
<div class="anchorsim-view-above" style="position:absolute;left:300px;top:0"><div class="js-plotly-plot">
<div class="svg-container" style="position:relative;width:400px;height:400px"></div></div></div>
<script type="module">
const code = new Blob([{code}], {{type: "text/javascript"}});
const widget = (await import(URL.createObjectURL(code))).default;
const axis = (range) => ({{ range, _offset: 0, _length: 400 }});
document.querySelector(".js-plotly-plot")._fullLayout = {{
  width: 400, height: 400, xaxis: axis([-50, 50]), yaxis: axis([-50, 50]) }};
const heard = {{}}, state = {state}, sent = [];
const tell = (name, ...said) => (heard[name] ?? []).forEach((act) => act(...said));
Object.assign(window, {{ state, sent, tell }});
widget.render({{ el: document.getElementById("rows"), model: {{
  get: (key) => state[key], send: (message) => sent.push(message),
  on: (name, act) => {{ (heard[name] ??= []).push(act); }}, off: () => {{}} }} }});
window.ready = true;
</script></body>"""


def thing(key: str, north: float, east: float, kind: str = "point", **more: Any) -> dict[str, Any]:
    bearing, distance = math.degrees(math.atan2(east, north)) % 360.0, math.hypot(north, east)
    told = {"key": key, "kind": kind, "name": "Rock", "corners": [[north, east]], "at": [north, east]}
    told |= {"bearing": bearing, "distance": distance, "depth": None, "boat": None, "rode": None}
    return {**told, "note": "", "tone": "none", **more}


ROCK = thing("dangers.0", 20.0, 30.0)


@pytest.fixture
def opened(browser: Browser, tmp_path: Path) -> Iterator[Callable[..., Page]]:
    pages = []

    def open_page(*things: dict[str, Any]) -> Page:
        page = browser.new_page()
        pages.append(page)
        state = {"things": things, "boats": [["sloop-12", "Sloop"]], "unit": "m", "per": 1.0, "words": WORDS}
        texts = (PARTS / name for name in ("around.js", "around.css"))
        code, style = (path.read_text(encoding="utf-8") for path in texts)
        file = tmp_path / "around.html"
        file.write_text(PAGE.format(style=style, code=json.dumps(code), state=json.dumps(state)), "utf-8")
        page.goto(file.as_uri())
        page.wait_for_function("window.ready && document.querySelector('.anchorsim-around-picture')")
        return page

    yield open_page
    for page in pages:
        page.close()


def pixels(north: float, east: float) -> tuple[float, float]:
    return 300.0 + 4.0 * (east + 50.0), 4.0 * (50.0 - north)


def sent(page: Page) -> list[dict[str, Any]]:
    return list(page.evaluate("window.sent.splice(0)"))


def follow(page: Page, *things: dict[str, Any]) -> None:
    """The kernel has followed."""
    page.evaluate("(things) => { state.things = things; tell('change'); }", things)


def test_a_click_on_the_picture_puts_it_there_and_escape_puts_nothing(opened: Callable[..., Page]) -> None:
    page = opened()
    button = page.get_by_role("button", name="Put a rock")
    button.click()
    assert button.get_attribute("aria-pressed") == "true"
    assert page.locator(".hint").inner_text() == WORDS["hint"]
    page.keyboard.press("Escape")
    page.mouse.click(*pixels(20, 30))
    assert sent(page) == []
    button.click()
    page.wait_for_selector(".anchorsim-around-picture.putting")
    page.mouse.click(*pixels(20, 30))
    (put,) = sent(page)
    assert (put["do"], put["kind"]) == ("put", "point") and put["at"] == pytest.approx([20, 30], abs=0.3)
    follow(page, ROCK)
    page.wait_for_function("document.activeElement.dataset.key === 'dangers.0'")  # ready for the arrow keys


def test_it_is_dragged_and_told_where_it_was_let_go(opened: Callable[..., Page]) -> None:
    page = opened(ROCK)
    x, y = pixels(20, 30)
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + 1, y)  # a hand that trembles moves nothing
    page.mouse.move(x - 40, y + 80, steps=4)
    page.wait_for_function("document.querySelector('.label').textContent.startsWith('090°')")
    page.mouse.up()
    (moved,) = sent(page)
    assert moved["do"] == "move" and moved["corners"][0] == pytest.approx([0, 20], abs=0.3)
    assert page.locator(".bearing input").input_value() == "90"
    page.evaluate("tell('msg:custom', {do: 'again'})")  # refused
    page.wait_for_function("document.querySelector('.label').textContent.startsWith('056°')")


def test_a_shore_is_turned_by_its_corner(opened: Callable[..., Page]) -> None:
    page = opened(thing("dangers.0", 20.0, 0.0, "line", corners=[[20, -20], [20, 20]]))
    page.locator(".thing").focus()
    page.mouse.move(*pixels(20, 20))
    page.mouse.down()
    page.mouse.move(*pixels(40, 20), steps=4)
    page.mouse.up()
    (moved,) = sent(page)
    assert moved["corners"][0] == [20, -20] and moved["corners"][1] == pytest.approx([40, 20], abs=0.3)


def test_all_of_it_goes_by_key(opened: Callable[..., Page]) -> None:
    page = opened()
    page.get_by_role("button", name="Put a rock").focus()
    page.keyboard.press("Enter")
    assert sent(page) == [{"do": "put", "kind": "point", "at": None}]
    follow(page, ROCK)
    page.wait_for_function("document.activeElement.ariaLabel === 'Rock: bears'")
    page.keyboard.type("123")
    page.keyboard.press("Enter")
    assert sent(page) == [{"do": "set", "key": "dangers.0", "field": "bearing", "value": 123}]
    page.locator(".thing").focus()
    for key in ("ArrowUp", "ArrowUp", "ArrowLeft", "Shift+ArrowRight"):
        page.keyboard.press(key)
    page.wait_for_function("window.sent.length === 1")
    assert sent(page) == [{"do": "move", "key": "dangers.0", "corners": [[22, 34]], "keys": True}]
    page.keyboard.press("Delete")
    assert sent(page) == [{"do": "remove", "key": "dangers.0"}]


def test_what_the_kernel_tells_meanwhile_takes_no_step_back(opened: Callable[..., Page]) -> None:
    page = opened(ROCK)
    page.locator(".thing").focus()
    page.keyboard.press("ArrowUp")
    follow(page, {**ROCK, "note": "clears it by 4 m"})
    page.keyboard.press("ArrowUp")
    page.wait_for_function("window.sent.length === 1")
    assert sent(page)[0]["corners"] == [[22, 30]]


def test_a_name_is_text_and_a_depth_may_be_left_blank(opened: Callable[..., Page]) -> None:
    page = opened(thing("dangers.0", 20.0, 30.0, "area", depth=1.0, corners=[[20, 30], [30, 30], [30, 40]]))
    name, depth = page.locator(".name input"), page.locator(".depth input")
    name.fill("<img src=x onerror=alert(1)>")
    name.press("Enter")
    depth.fill("")
    depth.press("Enter")
    found = sent(page)
    assert [(one["field"], one["value"]) for one in found] == [
        ("name", "<img src=x onerror=alert(1)>"),
        ("depth", None),
    ]
    follow(page, thing("dangers.0", 20.0, 30.0, name="<img src=x>"))
    assert page.locator("img").count() == 0
    page.wait_for_function(
        "document.querySelector('.thing').ariaLabel.startsWith('<img src=x>, 056° 36.1 m')"
    )


def test_what_lies_beyond_the_picture_has_its_handle_at_the_edge(opened: Callable[..., Page]) -> None:
    page = opened(thing("dangers.0", 0.0, 500.0))
    box = page.locator(".thing.away .ring").bounding_box()
    assert box is not None and box["x"] + box["width"] < 700.0
    assert box["y"] + 0.5 * box["height"] == pytest.approx(200.0, abs=2.0)
