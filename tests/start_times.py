"""From the command and from the page's opening to what is seen, by hand: medians, warm and cold.

``python tests/start_times.py --times 5``: each time a new server and a new browser; ``--cold`` with nothing
compiled, which takes minutes.  ``--size 1280x720`` is the window.
"""

from __future__ import annotations

import argparse
import os
import statistics
import tempfile
import time
from pathlib import Path

from browser.visiting import READY, START, running, visit
from playwright.sync_api import sync_playwright

# What was there at which time of the page, seen at each frame the browser paints.
WATCH = """(() => {
  window.seen = {};
  const parts = {
    frame: () => document.querySelector('#anchorsim-frame'),
    cell: () => document.querySelector('.jp-Notebook .jp-Cell'),
    explorer: () => document.querySelector('.anchorsim-explorer'),
    'frame gone': () => window.seen.frame && !document.querySelector('#anchorsim-frame'),
    picture: () => (READY)(),
  };
  const look = () => {
    for (const [name, there] of Object.entries(parts)) {
      if (!(name in window.seen) && there()) window.seen[name] = performance.now();
    }
    requestAnimationFrame(look);
  };
  requestAnimationFrame(look);
})();""".replace("READY", READY)
ALL_SEEN = "() => 'picture' in window.seen"
PAINTED = "() => performance.getEntriesByName('first-contentful-paint')[0]?.startTime ?? NaN"


def once(home: Path, size: tuple[int, int], cold: bool) -> dict[str, float]:
    """Seconds from the page's opening to each sight, and from the command to the picture."""
    home.mkdir(parents=True)
    os.environ["NUMBA_CACHE_DIR"] = str(home / "numba") if cold else str(home.parent / "numba")
    with running(home) as lab, sync_playwright() as playwright:
        answers = time.monotonic() - lab.began
        root = hasattr(os, "geteuid") and os.geteuid() == 0
        browser = playwright.chromium.launch(
            executable_path=os.environ.get("CHROMIUM", "/usr/bin/chromium"), args=["--no-sandbox"] * root
        )
        page = visit(browser.new_context(viewport={"width": size[0], "height": size[1]})).page
        page.add_init_script(WATCH)
        began = time.monotonic() - lab.began
        page.goto(lab.url)
        page.wait_for_function(ALL_SEEN, timeout=2 * START)
        whole = time.monotonic() - lab.began
        seen = {"painted": page.evaluate(PAINTED) / 1000}
        seen |= {name: at / 1000 for name, at in page.evaluate("window.seen").items()}
        browser.close()
    # the browser's own start counts as a person's would
    return {"server answers": answers, **seen, "command to picture": whole - (began - answers)}


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--times", type=int, default=5)
    parser.add_argument("--cold", action="store_true")
    parser.add_argument("--size", default="1280x720")
    options = parser.parse_args()
    width, height = map(int, options.size.split("x"))
    with tempfile.TemporaryDirectory() as place:
        if not options.cold:
            once(Path(place) / "first", (width, height), cold=False)
        found = [
            once(Path(place) / str(number), (width, height), options.cold) for number in range(options.times)
        ]
    for name in found[-1]:
        times = [each[name] for each in found if name in each]
        print(f"{name:<20} median {statistics.median(times):6.2f} s, worst {max(times):6.2f} s")


if __name__ == "__main__":
    main()
