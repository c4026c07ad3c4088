"""The icon as bitmaps, drawn from its SVG by Chromium: ``python tests/icons.py``, by hand when it changes."""

from __future__ import annotations

import io
import os
from pathlib import Path

from PIL import Image
from playwright.sync_api import sync_playwright

import anchorsim

ICONS = Path(anchorsim.__file__).parent / "jupyter" / "icons"
SIZES = (16, 24, 32, 48, 64, 128, 256)


def main() -> None:
    svg = (ICONS / "anchorsim.svg").read_text(encoding="utf-8")
    with sync_playwright() as playwright:
        root = hasattr(os, "geteuid") and os.geteuid() == 0
        browser = playwright.chromium.launch(
            executable_path=os.environ.get("CHROMIUM", "/usr/bin/chromium"), args=["--no-sandbox"] * root
        )
        page = browser.new_page()
        drawn = []
        for size in SIZES:
            page.set_viewport_size({"width": size, "height": size})
            page.set_content(
                f"<style>body {{ margin: 0 }} svg {{ width: {size}px; height: {size}px }}</style>{svg}"
            )
            drawn.append(Image.open(io.BytesIO(page.screenshot(omit_background=True))))
        browser.close()
    drawn[SIZES.index(128)].save(ICONS / "anchorsim.png", optimize=True)
    drawn[-1].save(ICONS / "anchorsim.ico", sizes=[(size, size) for size in SIZES], append_images=drawn[:-1])


if __name__ == "__main__":
    main()
