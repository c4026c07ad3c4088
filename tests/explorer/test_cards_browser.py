"""Answers as cards in a real browser, on a page without a kernel."""

from __future__ import annotations

import json
from dataclasses import asdict
from pathlib import Path
from typing import Any

import pytest
from browser.access import violations
from playwright.sync_api import Browser

from anchorsim.explorer.parts import cards as part
from anchorsim.wording import odds_cards as cards

pytestmark = pytest.mark.browser

PARTS = Path(part.__file__).parent
PAGE = """<!doctype html><html lang="en"><title>Cards</title><style>{style}</style>
<body class="anchorsim-explorer">
<main><h1>Odds</h1><div id="cards"></div></main><script type="module">
const code = new Blob([{code}], {{type: "text/javascript"}});
const widget = (await import(URL.createObjectURL(code))).default;
const heard = [], sent = [], state = {state};
Object.assign(window, {{ state, sent, tell: () => heard.forEach((act) => act()) }});
widget.render({{ el: document.getElementById("cards"), model: {{
  get: (key) => state[key], send: (message) => sent.push(message),
  on: (_, act) => heard.push(act), off: () => {{}} }} }});
window.ready = true;
</script></body></html>"""


def section(*held: cards.Card, asks: tuple[list[str], ...] = ()) -> dict[str, Any]:
    return {"title": "What helps", "note": "", "cards": [asdict(one) for one in held], "asks": list(asks)}


def change(title: str, then: float = 0.25) -> cards.Card:
    bars = (cards.Bar("Now", 0.5, 0.4, 0.6, "50 in 100"), cards.Bar("With it", then, 0.2, 0.3, "25 in 100"))
    picture = cards.Picture("bars", bars, "100 in 100")
    return cards.Card("help 0", title, "Uplift falls.", picture, ("Because <b>.",), tries=True)


def test_cards_keep_what_is_unfolded_and_say_what_is_pressed(browser: Browser, tmp_path: Path) -> None:
    marks = (cards.Bar("1 in 100", 0.5, 0.4, 0.6, "25 kn"), cards.Bar("50 in 100", 0.7, 0.65, 0.8, "35 kn"))
    scale = cards.Picture("scale", marks, "50 kn", 0.4, "now 20 kn")
    wind = cards.Card("winds", "Limits of wind", "Mean wind now 20 kn.", scale, ("Raised.",))
    state: dict[str, Any] = {"sections": [section(wind, change("<img src=x onerror=alert(1)>"))]}
    state |= {"tried": "", "age": "", "busy": "", "done": 0.0, "words": cards.WORDS}
    code, style = ((PARTS / name).read_text(encoding="utf-8") for name in ("cards.js", "cards.css"))
    page = browser.new_page()
    file = tmp_path / "cards.html"
    file.write_text(PAGE.format(style=style, code=json.dumps(code), state=json.dumps(state)), "utf-8")
    page.goto(file.as_uri())
    page.wait_for_function("window.ready")

    assert page.locator("img").count() == 0, "a title is text"
    bars = page.locator("[data-key='help 0'] .bar")
    now, then = (bars.nth(place).bounding_box() for place in (0, 1))
    assert now and then and now["width"] == pytest.approx(2.0 * then["width"], rel=0.01), "on one axis"
    told = page.locator("[data-key=winds] .picture").get_attribute("aria-label")
    assert told == "1 in 100: 25 kn; 50 in 100: 35 kn"
    assert violations(page) == []

    page.locator("[data-key='help 0'] summary").click()
    act = page.locator(".act")
    act.click()
    assert page.evaluate("window.sent.splice(0)") == [{"do": "try", "key": "help 0"}]
    state |= {"tried": "help 0", "sections": [section(wind, change("Let out rode", then=0.1))]}
    page.evaluate("(told) => { Object.assign(state, told); tell(); }", state)
    assert act.inner_text() == "Undo" and act.get_attribute("aria-pressed") == "true"
    assert page.evaluate("document.activeElement.matches('.act')"), (
        "the same button, so that one click undoes"
    )
    assert page.locator("[data-key='help 0'] details[open]").count() == 1
    assert page.locator("[data-key='help 0'] details p").inner_text() == "Because <b>."
    act.click()
    assert page.evaluate("window.sent.splice(0)") == [{"do": "undo", "key": "help 0"}]
    page.close()
