"""The README's pictures, taken from the running program: ``python tests/readme_pictures.py``.

They go into ``.pictures``, in as few colours as they can be told apart in, so that the three weigh little.
"""

from __future__ import annotations

import io
import os
import tempfile
from pathlib import Path

from browser.visiting import ROOT, SIZES, running, visit
from PIL import Image
from playwright.sync_api import Browser, sync_playwright

import anchorsim as am
from anchorsim.core.resources import folder

PLACE = ROOT / ".pictures"
SHEET = 820, 1160  # px, about as an A4 page
COLOURS = 64
MOVED = 6000  # ms of play


def kept(name: str, picture: Image.Image) -> None:
    PLACE.mkdir(exist_ok=True)
    path = PLACE / f"{name}.png"
    picture.convert("RGB").quantize(COLOURS, dither=Image.Dither.NONE).save(path, optimize=True)
    print(f"{path.name}: {path.stat().st_size / 1e3:.0f} kB")


def explorer(browser: Browser, home: Path) -> Image.Image:
    width, height = SIZES["laptop"]
    with running(home, str(folder("shared") / "sloop-gale-veering.toml")) as lab:
        found = visit(browser.new_context(viewport={"width": width, "height": height}))
        found.page.goto(lab.url)
        found.wait_for_picture()
        found.page.wait_for_timeout(MOVED)
        return Image.open(io.BytesIO(found.page.screenshot()))


def report(browser: Browser, home: Path) -> Image.Image:
    target = home / "report.html"
    am.write_report(am.Scenario.load(folder("shared") / "survey-neglected-sloop.toml"), target)
    return shot(browser, target, SHEET, 0)


def phone(browser: Browser, home: Path) -> Image.Image:
    target = home / "page.html"
    scenario = am.Scenario.load(folder("shared") / "classroom-scope.toml")
    over = {"tackle.scope": [3, 5, 7, 10], "weather.mean_wind": ["15 knot", "18 knot", "25 knot"]}
    target.write_text(am.class_page(scenario, over), encoding="utf-8")
    return shot(browser, target, SIZES["phone"], MOVED)


def shot(browser: Browser, page_of: Path, size: tuple[int, int], wait: float) -> Image.Image:
    page = browser.new_context(viewport={"width": size[0], "height": size[1]}).new_page()
    page.goto(page_of.as_uri())
    page.wait_for_timeout(wait)
    return Image.open(io.BytesIO(page.screenshot()))


def main() -> None:
    with tempfile.TemporaryDirectory() as scratch, sync_playwright() as pw:
        home = Path(scratch)
        browser = pw.chromium.launch(
            executable_path=os.environ.get("CHROMIUM", "/usr/bin/chromium"), args=["--no-sandbox"]
        )
        (home / "home").mkdir()
        kept("explorer", explorer(browser, home / "home"))
        kept("report", report(browser, home))
        kept("lesson-on-a-phone", phone(browser, home))
        browser.close()


if __name__ == "__main__":
    main()
