"""What the player lays over the views: words never collide, she is large, the load is a slider."""

from __future__ import annotations

import dataclasses
import itertools
import math
from typing import Any
from xml.etree import ElementTree

import numpy as np
import pytest
from invented_scene import invented_scene
from PIL import Image
from playwright.sync_api import Page
from test_player_browser import by_plotly, facts, seek, seen, settle
from test_player_page import SCENE, Opener, one

from anchorsim.figures import VIEWS, Area, Scene

pytestmark = pytest.mark.browser

LOAD = "anchorsim-view-load"
ROCK, REEF, NEIGHBOUR, FAR = (
    "rock, dries 0.4 m",
    "Inner reef, dries 1 m",
    "Blue Heron's anchor",
    "Gannet ledge",
)


def crowded(scene: Scene) -> Scene:
    """With two dangers and a neighbour beside each other, and a ledge far off."""
    around = [
        (REEF, [12.0, 18, 20, 14], [62.0, 60, 66, 70]),
        (NEIGHBOUR, [21.5, 20, 18.5, 20], [58.0, 59.5, 58, 56.5]),
        (FAR, [-212.0, -220, -228, -220], [-215.0, -207, -215, -223]),
    ]
    more = (Area(name, np.array(north), np.array(east)) for name, north, east in around)
    return dataclasses.replace(scene, dangers=(*scene.dangers, *more))


def over_the_run(page: Page, step: float) -> dict[str, list[list[Any]]]:
    """The labels of each view at every instant of the run: text, left, right, top, bottom, and its width as
    the browser tells it."""
    return dict(
        page.evaluate(
            """(step) => { const pending = [], found = {};
          const pen = document.createElement('canvas').getContext('2d');
          const usual = window.requestAnimationFrame;
          window.requestAnimationFrame = (callback) => pending.push(callback);
          return new Promise(done => setTimeout(() => {
            for (let time = 0; time <= 600; time += step) {
              models.one.change({ seek: time });
              pending.splice(0).forEach(callback => callback(performance.now()));
              for (const canvas of document.querySelectorAll('.anchorsim-overlay')) {
                const view = canvas.className.split(' ')[1].replace('-overlay', '');
                (found[view] ??= []).push(canvas.labels.map(({ parts, label, x0, x1, y0, y1 }) => [
                  parts.map((part) => part.text).join(''), x0, x1, y0, y1,
                  parts.reduce((sum, { text, bold }) => { pen.font = `${bold ? '700 ' : ''}${label.size}px ` +
                    getComputedStyle(document.querySelector('.anchorsim-player')).fontFamily;
                    return sum + pen.measureText(text).width; }, 0)]));
              }
            }
            window.requestAnimationFrame = usual;
            pending.splice(0).forEach(callback => usual(callback));
            done(found);
          }, 100)); }""",
            step,
        )
    )


@pytest.mark.parametrize("others", [0, 3])
def test_no_two_labels_ever_collide(opened: Opener, others: int) -> None:
    laid_over = [invented_scene(length=length, name=f"{length:g} m") for length in (26.0, 50.0, 32.0)][
        :others
    ]
    page = opened(one("one", crowded(SCENE), laid_over, autoplay=False), width=1280, height=720)
    check_labels(page, others)
    page.set_viewport_size({"width": 390, "height": 844})
    page.wait_for_timeout(500)
    check_labels(page, others)
    assert page.locator(".annotation").evaluate_all(
        "found => found.length > 0 && found.every(note => getComputedStyle(note).display === 'none')"
    )


def check_labels(page: Page, others: int) -> None:
    found = over_the_run(page, 7.3)
    assert set(found) == set(VIEWS)
    for view, instants in found.items():
        left, right, top, foot = page.eval_on_selector(
            f".{view} .js-plotly-plot",
            "({ _fullLayout: { xaxis: x, yaxis: y, yaxis2: w } }) => [x._offset, x._offset + x._length, "
            "y._offset, (w ?? y)._offset + (w ?? y)._length]",
        )
        for labels in instants:
            for text, x0, x1, y0, y1, measured in labels:
                assert x1 - x0 == pytest.approx(measured, abs=1), text
                assert left <= x0 and x1 <= right and top <= y0 and y1 <= foot, (view, text)
            for (one_text, *a, _), (text, *b, _) in itertools.combinations(labels, 2):
                apart = a[1] <= b[0] or b[1] <= a[0] or a[3] <= b[2] or b[3] <= a[2]
                assert apart, (view, one_text, text)
    for labels in found["anchorsim-view-above"]:
        said = " / ".join(text for text, *_ in labels)
        assert all(name[:9] in said for name in (ROCK, REEF, NEIGHBOUR, FAR)) and "now" in said
    for labels in found[LOAD]:
        loads = [text for text, *_ in labels if "kN" in text and "WLL" not in text and "holding" not in text]
        assert len(loads) == 1 + others


def words_of(page: Page, view: str) -> list[str]:
    said = "canvas => canvas.labels.map(({ parts }) => parts.map((part) => part.text).join(''))"
    return list(page.eval_on_selector(f".{view}-overlay", said))


@pytest.mark.parametrize("rode", [38.0, 150.0])
def test_the_boat_is_large_and_what_lies_far_off_is_pointed_to(opened: Opener, rode: float) -> None:
    page = opened(one("one", crowded(invented_scene(length=rode)), autoplay=False))
    seek(page, 100)
    for width, height in [(600, 420), (380, 330)]:
        page.evaluate(
            """([width, height]) => { const box = document.querySelector('.anchorsim-view-above .plot');
              box.style.cssText = `width: ${width}px; height: ${height}px`; }""",
            [width, height],
        )
        page.wait_for_function(
            "([width]) => document.querySelector('.anchorsim-view-above .plot')._fullLayout.width === width",
            arg=[width],
        )
        page.wait_for_timeout(300)
        ends = [by_plotly(page, "anchorsim-view-above", "xaxis", end) for end in (0.0, 12.0)]
        assert ends[1] - ends[0] >= 40  # she is 12 m long
        bow = facts(page, "anchorsim-view-above")
        assert 0 < float(bow["px"]) < width and 0 < float(bow["py"]) < height
        labels = words_of(page, "anchorsim-view-above")
        assert math.hypot(212, 215) == pytest.approx(302, abs=1)  # the ledge's nearest corners, in m
        assert "Gannet ledge, 300 m SW" in labels
        assert any(text.startswith("Anchor, 150 m") for text in labels) == (rode > 100), labels


def middle_of(page: Page) -> tuple[float, float, float]:
    """Left and right end of the time axis on the page, and a height within the view."""
    box = page.locator(f".{LOAD} .plot").bounding_box()
    assert box is not None
    left, right = (box["x"] + by_plotly(page, LOAD, "xaxis", end) for end in (0.0, 10.0))
    return left, right, box["y"] + box["height"] / 2


def test_the_clock_goes_where_the_load_is_pressed_and_dragged(opened: Opener) -> None:
    page = opened(one("one"))
    assert page.locator(".anchorsim-player input").is_hidden()
    left, right, height = middle_of(page)
    page.mouse.move(left + 0.25 * (right - left), height)
    page.mouse.down()
    settle(page)
    assert float(seen(page)["time"]) == pytest.approx(150, abs=1)
    page.wait_for_timeout(200)
    assert float(seen(page)["time"]) == pytest.approx(150, abs=1)  # held, although it plays
    page.mouse.move(left + 0.75 * (right - left), height - 20, steps=4)
    settle(page)
    assert float(seen(page)["time"]) == pytest.approx(450, abs=1)
    page.mouse.move(right + 300, height)
    settle(page)
    assert float(seen(page)["time"]) == 600
    page.mouse.move(left, height)
    page.mouse.up()
    page.wait_for_timeout(200)
    assert 0 < float(seen(page)["time"]) < 60  # and plays on from there


def test_keys_move_the_timeline_or_where_there_is_none_the_scrubber(opened: Opener) -> None:
    page = opened(one("one", autoplay=False))
    slider = page.get_by_role("slider", name="Load and wind")
    slider.focus()
    steps = {"PageUp": 10, "ArrowRight": 11, "ArrowLeft": 10, "End": 600, "PageDown": 590, "Home": 0}
    for key, time in steps.items():
        page.keyboard.press(key)
        settle(page)
        assert float(seen(page)["time"]) == time
        assert slider.get_attribute("aria-valuenow") == str(time)
    page.evaluate(f"document.querySelector('.{LOAD}').remove()")
    settle(page)
    scrubber = page.get_by_role("slider", name="Time in the run")
    scrubber.evaluate("input => { input.value = 125; input.dispatchEvent(new Event('input')); }")
    settle(page)
    assert seen(page)["time"] == "125.000"
    assert scrubber.get_attribute("aria-valuetext") == "2:05 of 10:00"


def test_a_finger_along_it_seeks_and_one_across_it_scrolls(opened: Opener) -> None:
    page = opened(one("one", autoplay=False), width=390, height=600, has_touch=True)
    seek(page, 300)
    hand = page.context.new_cdp_session(page)

    def swipe(x: float, y: float, along: float, down: float) -> None:
        hand.send("Input.dispatchTouchEvent", {"type": "touchStart", "touchPoints": [{"x": x, "y": y}]})
        for share in (0.1, 0.25, 0.5, 0.75, 1.0):
            point = {"x": x + share * along, "y": y + share * down}
            hand.send("Input.dispatchTouchEvent", {"type": "touchMove", "touchPoints": [point]})
            page.wait_for_timeout(30)
        hand.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})
        settle(page)

    left, right, height = middle_of(page)
    swipe(left + 0.2 * (right - left), height, 4, -200)
    assert page.evaluate("scrollY") > 100
    assert seen(page)["time"] == "300.000"
    page.evaluate("scrollTo(0, 0)")
    settle(page)
    swipe(left + 0.3 * (right - left), height, 0.4 * (right - left), 3)
    assert page.evaluate("scrollY") == 0
    assert float(seen(page)["time"]) == pytest.approx(420, abs=3)


def test_four_are_drawn_each_in_its_colour(opened: Opener) -> None:
    others = [invented_scene(length=length) for length in (26.0, 50.0, 32.0)]
    page = opened(one("one", SCENE, others, autoplay=False))
    seek(page, 100)
    for view in ("anchorsim-view-above", "anchorsim-view-side", LOAD):
        found = page.eval_on_selector(
            f".{view}-overlay",
            """canvas => { const { width, height } = canvas;
              const { data } = canvas.getContext('2d').getImageData(0, 0, width, height);
              const counts = {};
              for (let k = 0; k < data.length; k += 4) if (data[k + 3] === 255) {
                const colour = data.slice(k, k + 3).join(); counts[colour] = (counts[colour] ?? 0) + 1; }
              return counts; }""",
        )
        # B. Wong, Nature Methods 8, 441 (2011), RGB as printed there after Okabe and Ito
        for colour in ("0,114,178", "213,94,0", "0,158,115", "204,121,167"):
            assert found.get(colour, 0) > 20, (view, colour)


def test_from_afar_words_are_large(opened: Opener) -> None:
    page = opened(
        one("one", crowded(SCENE), [invented_scene(length=26.0)], scale=1.45), width=1280, height=720
    )
    sizes = page.locator(".anchorsim-overlay").evaluate_all(
        "found => found.flatMap(({ labels }) => labels.map(({ label }) => label.size))"
    )
    assert len(sizes) > 15 and min(sizes) >= 18
    drawn = page.locator(".js-plotly-plot .main-svg text:visible").evaluate_all(
        "found => found.filter((text) => text.textContent)"
        ".map((text) => parseFloat(getComputedStyle(text).fontSize))"
    )
    assert min(drawn) >= 18


def test_a_picture_is_kept_with_what_moves(opened: Opener) -> None:
    page = opened(one("one", crowded(SCENE), autoplay=False), accept_downloads=True)
    seek(page, 222)
    found = {}
    for kind in ("SVG", "PNG"):
        page.get_by_label("Save picture: From above").click()
        with page.expect_download() as coming:
            page.locator(".anchorsim-view-above").get_by_role("button", name=kind).click()
        assert coming.value.suggested_filename == f"anchorsim-from-above-3m42.{kind.lower()}"
        found[kind] = coming.value.path()
    drawing = ElementTree.parse(found["SVG"])
    text = found["SVG"].read_text(encoding="utf-8")
    words = [
        " ".join("".join(each.itertext()).split())
        for each in drawing.iter("{http://www.w3.org/2000/svg}text")
    ]
    assert any(word.startswith("now ") and " kn from " in word for word in words)
    assert sum(ROCK in word for word in words) == 1  # the figure's own words are left out
    assert any(FAR in word for word in words) and any(word.startswith("From above") for word in words)
    assert "http" not in text.replace("http://www.w3.org/", "")
    size = [int(float(drawing.getroot().get(side, "0"))) for side in ("width", "height")]
    with Image.open(found["PNG"]) as picture:
        assert list(picture.size) == pytest.approx([2 * side for side in size], abs=2)
        colours = picture.convert("RGB").getcolors(1 << 24)
    assert colours is not None and len(colours) > 50


def test_the_layer_keeps_to_colours_that_a_person_has_forced(opened: Opener) -> None:
    page = opened(one("one", autoplay=False), forced_colors="active")
    seek(page, 100)
    ink, paper, drawn = page.evaluate(
        """() => { const probe = document.body.appendChild(document.createElement('i'));
          probe.style.color = 'CanvasText'; probe.style.backgroundColor = 'Canvas';
          const { color, backgroundColor } = getComputedStyle(probe);
          const { data } = document.querySelector('.anchorsim-view-side-overlay').getContext('2d')
            .getImageData(0, 0, 600, 300), found = new Set();
          for (let k = 0; k < data.length; k += 4)
            if (data[k + 3] === 255) found.add(`rgb(${[...data.slice(k, k + 3)].join(', ')})`);
          return [color, backgroundColor, [...found]]; }"""
    )
    assert ink in drawn and paper in drawn
    ground = "getComputedStyle(document.querySelector('.anchorsim-view-side .main-svg')).backgroundColor"
    assert page.evaluate(ground) == paper
