"""The explorer's screen in a browser: all in sight at once, nothing jumps, nothing is lost."""

from __future__ import annotations

import os
import random
import re
import signal
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, Page

from browser.access import turn, violations
from browser.visiting import SIZES, START, Lab, Opener, Visit, visit

pytestmark = pytest.mark.browser

WINDOWS = {"laptop": (1280, 720), "desk": (1400, 900), "large": (1920, 1080)}
RELOADS = 3  # of the fifty that were once tried by hand: RELOADS=50
IN_SIGHT = [".anchorsim-head-row", ".anchorsim-strip .outcome", ".anchorsim-strip .figure"]
IN_SIGHT += [f".anchorsim-view-{name}" for name in ("above", "side", "parts", "load")]
PLACES = """(names) => names.flatMap((name) => [...document.querySelectorAll(name)].map((found) => {
    const box = found.getBoundingClientRect();
    return [name, Math.round(box.left), Math.round(box.top), Math.round(box.right), Math.round(box.bottom)];
}))"""
SMALLEST = """() => { let least = ['', 1e9];
    for (const found of document.querySelectorAll('.anchorsim-explorer *')) {
      const said = [...found.childNodes].some((node) => node.nodeType === 3 && node.textContent.trim());
      const box = found.getBoundingClientRect();
      if (!said || !box.width || !box.height || found.closest('style, option')) continue;
      if (!found.checkVisibility()) continue;
      const size = parseFloat(getComputedStyle(found).fontSize);
      if (size < least[1]) least = [found.textContent.trim().slice(0, 40), size];
    }
    return least; }"""

BAND = 16  # px that may be blank between one part of the survey's page and the next
BLANK = """() => { const survey = '.anchorsim-survey ';
    const box = (name) => document.querySelector(name).getBoundingClientRect();
    return [box(survey + '.anchorsim-strip').top - box('.anchorsim-head').bottom,
      box(survey + '.anchorsim-page h2').top - box(survey + '.anchorsim-page').top,
      box(survey + '.anchorsim-foot .row').top - box(survey + '.anchorsim-foot').top]; }"""
CUT = """() => { const card = document.querySelector('.anchorsim-survey .anchorsim-strip .outcome');
    return card.scrollHeight - card.clientHeight; }"""


def places(page: Page) -> list[list[Any]]:
    return page.evaluate(PLACES, IN_SIGHT)


def entry(page: Page, label: str) -> Any:
    return page.locator(".anchorsim-inputs .anchorsim-amount", has_text=label).locator("input[type=number]")


def type_in(page: Page, label: str, value: str) -> None:
    box = entry(page, label)
    box.fill(value)
    box.press("Enter")


def settled(page: Page) -> None:
    """Until the odds have come to a hundred spells, or more."""
    page.locator(".anchorsim-strip .of", has_text=re.compile("From [14]00 spells")).wait_for(timeout=START)


def test_what_is_made_is_there_after_reloads_and_after_a_killed_kernel(opened: Opener, lab: Lab) -> None:
    found = opened("desk")
    page, rng = found.page, random.Random(7)
    type_in(page, "Scope", "6.25")
    page.get_by_role("button", name="Keep this one").click()
    page.locator(".anchorsim-head small", has_text="1 set-up kept").wait_for()
    scope = 6.25
    for number in range(int(os.environ.get("RELOADS", RELOADS))):
        scope = 3.0 + 0.25 * (number % 20)
        type_in(page, "Scope", f"{scope}")
        page.wait_for_timeout(rng.uniform(300, 900))
        page.reload()
        found.wait_for_picture()
        assert float(entry(page, "Scope").input_value()) == scope
    page.get_by_role("tab", name="Compare").click()
    assert page.locator(".anchorsim-on-compare").is_visible()
    page.wait_for_timeout(300)
    kill_kernels(lab)
    page.get_by_role("button", name="Reload").click(timeout=START)
    found.wait_for_picture()
    assert set(found.errors) <= {
        "Kernel connection is disposed"
    }  # JupyterLab's own words for the one that died
    found.errors.clear()
    assert page.get_by_role("tab", name="Compare").get_attribute("aria-selected") == "true"
    page.get_by_role("tab", name="Swing").click()
    assert float(entry(page, "Scope").input_value()) == scope
    page.keyboard.press("Control+z")
    page.wait_for_function(
        "(was) => Number([...document.querySelectorAll('.anchorsim-inputs .anchorsim-amount')]"
        ".find((row) => row.textContent.includes('Scope')).querySelector('[type=number]').value) !== was",
        arg=scope,
    )


# plotly's code as on a slow computer: anywidget gives whatever waits for it up after two seconds
LATE = """globalThis.anchorsimPlotly = (() => {
  let done;
  const come = new Promise((resolve) => { done = resolve; });
  return { come, keep: (code) => setTimeout(() => done(code), 4000) };
})();"""
DRAWN = """() => [...document.querySelectorAll('.anchorsim-stage .js-plotly-plot')]
    .filter((plot) => plot.offsetParent).map(({ _fullData, layout }) =>
      [layout.title?.text ?? '', Math.max(..._fullData.flatMap(({ x }) => [...x]).filter(isFinite))])"""


def test_pictures_that_come_late_are_those_of_the_last_move(lab: Lab, browser: Browser) -> None:
    lab.start_anew()
    found = visit(browser.new_context(viewport={"width": 1280, "height": 720}))
    page = found.page
    page.add_init_script(LATE)
    page.goto(lab.url)
    page.get_by_role("tab", name="Swing").click(timeout=START)
    settled(page)
    type_in(page, "Scope", "10")
    found.wait_for_picture()
    page.wait_for_timeout(1500)
    late = page.evaluate(DRAWN)
    assert [title[:7] for title, _ in late] == ["<b>From", "<b>From", "<b>Load", "<b>Load"]
    assert late[0][1] > 50.0, "m: at ten times the depth, not at five as it opened"
    page.reload()  # plotly is as late again, but nothing moves meanwhile
    found.wait_for_picture()
    page.wait_for_timeout(3000)
    assert [far for _, far in page.evaluate(DRAWN)] == pytest.approx([far for _, far in late], rel=1e-3)
    assert found.errors == []
    page.context.close()


SCALES = """() => [...document.querySelectorAll('.anchorsim-stage .js-plotly-plot')]
    .filter((plot) => plot.offsetParent && plot._fullLayout.yaxis.scaleanchor)
    .map(({ _fullLayout, layout }) => ['xaxis', 'yaxis'].map((name) => {
      const { _length, range } = _fullLayout[name];
      const [from, to] = layout[name].uirevision.split(",").map(parseFloat);
      return [_length / (range[1] - range[0]), _length, to - from]; }))"""


ROOM = """() => [...document.querySelectorAll('.anchorsim-stage .js-plotly-plot')]
    .filter((plot) => plot.offsetParent).map((plot) => plot._fullLayout._size.h)"""


def scales(page: Page) -> list[float]:
    """Pixels to the metre of each view that is to scale, as many as there is room for."""
    found = page.evaluate(SCALES)
    for (across, wide, far), (upright, high, tall) in found:
        assert across == pytest.approx(upright, rel=1e-6)
        assert across == pytest.approx(min(wide / far, high / tall), rel=1e-6)
    return [across for (across, *_), _ in found]


@pytest.fixture(scope="module")
def there(lab: Lab, browser: Browser) -> Iterator[Visit]:
    """The explorer as it opens, settled, on a laptop; no request may have left this machine.

    Opening costs more than what is looked at, so one serves for several tests, and each leaves it so.
    """
    lab.start_anew()
    width, height = SIZES["laptop"]
    found = visit(browser.new_context(viewport={"width": width, "height": height}, reduced_motion="reduce"))
    found.page.goto(lab.url)
    found.wait_for_picture()
    settled(found.page)
    yield found
    found.page.context.close()
    assert found.foreign(lab.origin) == []
    assert found.errors == []


def test_whatever_size_a_window_had_the_pictures_fill_their_place(there: Visit) -> None:
    found, page = there, there.page
    page.wait_for_timeout(1000)  # ms; drawn beneath the first screen, they take their size once they are seen
    before = scales(page)
    for size in ("phone", "tablet", "laptop"):
        found.resize(size)
        scales(page)
    assert scales(page) == before
    type_in(page, "Scope", "8")
    page.wait_for_timeout(1500)
    assert all(now < was for now, was in zip(scales(page), before, strict=True))
    type_in(page, "Scope", "5")
    page.get_by_role("tab", name="Odds").click()
    found.resize("phone")
    found.resize("laptop")
    page.get_by_role("tab", name="Swing").click()
    page.wait_for_timeout(1500)
    assert scales(page) == before


def test_tablet_and_phone_show_outcome_figures_and_the_view_from_above_without_scrolling(
    there: Visit,
) -> None:
    for size, height in (("tablet", 1180), ("phone", 844)):
        there.resize(size)
        for what, _, top, _, bottom in places(there.page)[:6]:
            assert 0 <= top < bottom <= height, (size, what)
        assert there.too_wide(".anchorsim-explorer") <= 0, size
    there.resize("laptop")


def test_screens_to_look_at(there: Visit) -> None:
    for dark in (False, True):
        turn(there.page, dark)
        for size in SIZES:
            there.resize(size)
            assert there.too_wide(".anchorsim-explorer") <= 0, size
            there.picture(f"explorer-{size}-{'dark' if dark else 'light'}")
    turn(there.page, False)
    there.resize("laptop")


def test_presenting_is_legible_from_afar(there: Visit) -> None:
    page = there.page
    page.get_by_role("button", name="Present").click()
    page.wait_for_function("document.querySelector('.anchorsim-presenting')")
    page.wait_for_timeout(2500)
    words, size = page.evaluate(SMALLEST)
    assert size >= 18.0, words
    assert page.locator(".anchorsim-chosen .anchorsim-amount:visible").count() == 3
    assert min(page.evaluate(ROOM)) >= 80, "px of height in which each view is drawn"
    assert all(bottom <= 720 for *_, bottom in places(page))
    page.get_by_role("button", name="Present").click()
    page.wait_for_function("!document.querySelector('.anchorsim-presenting')")


def test_everything_is_in_sight_at_once_and_nothing_jumps(there: Visit) -> None:
    page = there.page
    for name, (width, height) in WINDOWS.items():
        page.set_viewport_size({"width": width, "height": height})
        page.wait_for_timeout(700)
        before = places(page)
        assert len(before) == len(IN_SIGHT) + 3, name  # four figures
        for what, left, top, right, bottom in before:
            assert 0 <= left < right <= width and 0 <= top < bottom <= height, (name, what)
        assert page.evaluate("document.documentElement.scrollHeight <= window.innerHeight"), name
        page.locator(".anchorsim-strip .figure").first.click()
        page.locator(".anchorsim-strip .drawer", has_text="Median of").wait_for()
        assert places(page) == before, name
        page.keyboard.press("Escape")
    open_entries = page.locator(".anchorsim-open .anchorsim-amount").count()
    assert open_entries >= 8
    before = places(page)
    usual = {label: entry(page, label).input_value() for label in ("Snubber", "Scope")}
    type_in(page, "Snubber", "0")  # which brings a warning, and hides what has no effect without one
    page.locator(".anchorsim-strip .more", has_text="warning").wait_for(timeout=START)
    page.locator(".anchorsim-strip .more").click()
    assert places(page) == before
    page.keyboard.press("Escape")
    type_in(page, "Scope", "11.7")  # more than there is aboard is said, too
    page.wait_for_timeout(1500)
    assert places(page) == before
    for label in ("Snubber", "Scope"):
        type_in(page, label, usual[label])
    there.resize("laptop")


ZOOMED = """() => { const { _fullLayout: { dragmode, xaxis } } =
    document.querySelector('.anchorsim-stage .anchorsim-view-above .js-plotly-plot');
    return [dragmode, ...xaxis.range]; }"""


def test_what_was_zoomed_to_stays_when_the_picture_is_drawn_anew_and_no_longer(there: Visit) -> None:
    page = there.page
    page.wait_for_timeout(1500)
    _, *whole = page.evaluate(ZOOMED)
    box = page.locator(".anchorsim-stage .anchorsim-view-above .js-plotly-plot").bounding_box()
    assert box is not None
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    page.mouse.move(x, y)
    page.locator(".anchorsim-stage .anchorsim-view-above .modebar-btn[data-title=Zoom]").click(force=True)
    page.mouse.move(x - 50, y - 50)
    page.mouse.down()
    page.mouse.move(x + 50, y + 50, steps=5)
    page.mouse.up()
    page.wait_for_timeout(500)
    zoomed = page.evaluate(ZOOMED)
    assert zoomed[0] == "zoom" and zoomed[2] - zoomed[1] < 0.8 * (whole[1] - whole[0])
    turn(page, True)  # which has all pictures drawn anew
    turn(page, False)
    assert page.evaluate(ZOOMED) == zoomed
    there.resize("desk")
    there.resize("laptop")
    assert page.evaluate(ZOOMED)[1:] == pytest.approx(whole, rel=1e-6)


def test_every_page_can_be_used_with_any_sense_and_hand(there: Visit) -> None:
    page = there.page
    there.resize("desk")
    settled(page)
    page.get_by_role("button", name="Keep this one").click()
    page.locator(".anchorsim-head small", has_text="1 set-up kept").wait_for()
    page.locator(".anchorsim-fold").evaluate_all(
        "(folds) => folds.filter((fold) => fold.ariaExpanded === 'false').forEach((fold) => fold.click())"
    )
    found = {}
    for dark in (False, True):
        turn(page, dark)
        for name, broken in every_page(there, colours=dark).items():
            found[f"{name}, {'dark' if dark else 'light'}"] = broken
    for size in ("phone", "laptop", "desk"):
        there.resize(size)
        assert max(page.evaluate(BLANK)) <= BAND, size
        assert page.evaluate(CUT) <= 0, size
    assert found == {name: [] for name in found}


def every_page(visited: Visit, colours: bool) -> dict[str, list[str]]:
    """What is broken on each page, ending on the survey's."""
    page = visited.page
    page.get_by_role("tab", name="Swing").click()
    found = {"Swing": violations(page, colours=colours)}
    page.locator(".anchorsim-strip .figure").first.click()
    found["why"] = violations(page, colours=colours)
    page.keyboard.press("Escape")
    page.get_by_role("button", name="Open…").click()
    page.locator(".anchorsim-drawer").wait_for()
    found["files"] = violations(page, colours=colours)
    page.get_by_role("button", name="Open…").click()
    page.get_by_role("button", name="Present").click()
    page.wait_for_timeout(1500)
    found["Present"] = violations(page, colours=colours)
    page.get_by_role("button", name="Present").click()
    for name in ("Odds", "Night", "Compare", "Survey"):
        page.get_by_role("tab", name=name).click()
        page.wait_for_timeout(3000)
        found[name] = violations(page, colours=colours)
    return found


def kill_kernels(lab: Lab) -> None:
    """As the machine does when memory is short: without a word."""
    for entry in Path("/proc").iterdir():
        if entry.name.isdigit():
            try:
                line = (entry / "cmdline").read_bytes()
                parent = int((entry / "stat").read_text().rsplit(")", 1)[1].split()[1])
            except (OSError, ValueError):
                continue
            if b"ipykernel_launcher" in line and parent == lab.server:
                os.kill(int(entry.name), signal.SIGKILL)
