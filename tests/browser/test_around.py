"""With the kernel in a browser: a danger put, dragged, typed, taken away and brought back."""

from __future__ import annotations

import pytest

from browser.access import violations
from browser.visiting import START, Opener

pytestmark = pytest.mark.browser

ROWS = """() => [...document.querySelectorAll('.anchorsim-around li')].map((row) =>
    [row.querySelector('.name input').value, Number(row.querySelector('.distance input').value)])"""

WHERE = """([north, east]) => {
  const plot = document.querySelector('.anchorsim-view-above .js-plotly-plot');
  const box = plot.getBoundingClientRect(), { xaxis, yaxis } = plot._fullLayout;
  return [box.x + xaxis._offset + xaxis.l2p(east), box.y + yaxis._offset + yaxis.l2p(north)]; }"""


def test_a_danger_goes_where_the_hand_has_it_and_comes_back(opened: Opener) -> None:
    page = opened("laptop").page
    page.locator(".anchorsim-fold", has_text="Round her").click()
    page.wait_for_selector(".anchorsim-around-picture", state="attached")
    page.get_by_role("button", name="Put a rock").click()
    page.mouse.click(*page.evaluate(WHERE, [35.0, 35.6]))  # m north and east: as far off as she reaches
    rock = page.locator(".anchorsim-around-picture .thing")
    rock.wait_for(timeout=START)
    [[name, put]] = page.evaluate(ROWS)
    assert name == "Rock" and put > 0.0
    page.locator(".anchorsim-around .note", has_text="in 95 of 100 spells").wait_for(timeout=START)
    ring = rock.locator(".ring").bounding_box()
    assert ring is not None
    x, y = ring["x"] + 0.5 * ring["width"], ring["y"] + 0.5 * ring["height"]
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x - 60, y - 30, steps=5)
    page.mouse.up()
    changed = f"(before) => ({ROWS})()[0]?.[1] !== before"
    page.wait_for_function(changed, arg=put, timeout=START)
    undo = page.get_by_role("button", name="Undo", exact=True)
    distance = page.locator(".anchorsim-around .distance input")
    distance.fill("90")
    distance.press("Enter")
    page.locator(".anchorsim-around-picture .label", has_text=" 90 m").wait_for(
        state="attached", timeout=START
    )
    rock.focus()
    page.keyboard.press("Delete")
    rock.wait_for(state="detached", timeout=START)
    assert page.evaluate(ROWS) == []
    undo.click()
    rock.wait_for(timeout=START)
    assert page.evaluate(ROWS) == [["Rock", 90.0]]
    assert violations(page, ".anchorsim-around") == []
    assert violations(page, ".anchorsim-around-picture") == []
