"""How quick the explorer's screen is, by hand: medians and worst, at rest and with a core taken.

``python tests/screen_times.py --times 20``: from a control to the first picture and to the strip; the odds of
a hundred spells after the last move; two hundred moves in four seconds; frames a second while playing, with
up to four set-ups and while the odds run.  ``--busy`` has another process take a core.
"""

from __future__ import annotations

import argparse
import multiprocessing
import os
import statistics
import tempfile
from pathlib import Path
from typing import Any

from browser.visiting import START, Visit, running, visit
from playwright.sync_api import sync_playwright

# Moves the slider of the scope, and says when (ms) the run in the picture, and the strip, are others.
MOVE = """async (value) => {
  const row = [...document.querySelectorAll('.anchorsim-inputs .anchorsim-amount')].find((one) => one.textContent.startsWith('Scope'));
  const range = row.querySelector('input[type=range]'), player = document.querySelector('.anchorsim-player');
  const strip = () => document.querySelector('.anchorsim-strip .of').textContent + document.querySelector('.figure b').textContent;
  const run = player.dataset.run, was = strip();
  range.value = value;
  range.dispatchEvent(new Event('input', { bubbles: true }));
  const began = performance.now(), seen = {};
  while (performance.now() - began < 20000 && !seen.odds) {
    const now = performance.now() - began;
    if (player.dataset.run !== run) seen.picture ??= now;
    if (seen.picture && strip() !== was) seen.strip ??= now;
    if (seen.strip && document.querySelector('.anchorsim-strip .of').textContent.startsWith('From 100 ')) seen.odds ??= now;
    await new Promise((done) => requestAnimationFrame(done));
  }
  return seen;
}"""  # noqa: E501 - as it reads best
# Two hundred moves in four seconds; how long (ms) after the last of them the run in the picture last changed.
FLOOD = """async (values) => {
  const row = [...document.querySelectorAll('.anchorsim-inputs .anchorsim-amount')].find((one) => one.textContent.startsWith('Scope'));
  const range = row.querySelector('input[type=range]'), player = document.querySelector('.anchorsim-player');
  for (const value of values) {
    range.value = value;
    range.dispatchEvent(new Event('input', { bubbles: true }));
    await new Promise((done) => setTimeout(done, 4000 / values.length));
  }
  const began = performance.now();
  let { run } = player.dataset, last = 0;
  while (performance.now() - began < 5000) {
    if (player.dataset.run !== run) { run = player.dataset.run; last = performance.now() - began; }
    await new Promise((done) => requestAnimationFrame(done));
  }
  return last;
}"""  # noqa: E501 - as it reads best
FRAMES = """async (seconds) => {
  const player = document.querySelector('.anchorsim-player'), frames = () => Number(player.dataset.frames);
  const first = frames(), began = performance.now();
  await new Promise((done) => setTimeout(done, 1000 * seconds));
  return (frames() - first) / (performance.now() - began) * 1000;
}"""


def burn() -> None:
    while True:
        pass


def measure(found: Visit, times: int) -> None:
    page, seen = found.page, []
    page.evaluate(MOVE, 7.25)
    for number in range(times):
        seen.append(page.evaluate(MOVE, 3.0 + 0.5 * (number % 19)))
    for name in ("picture", "strip", "odds"):
        told(f"move to {name} (ms)", [each[name] for each in seen if name in each], len(seen))
    last = page.evaluate(FLOOD, [3.0 + 0.5 * (number % 20) for number in range(199)] + [13.5])
    print(f"200 moves in 4 s       the last in the picture after {last:.0f} ms")
    page.evaluate(MOVE, 5.0)
    print(f"frames a second        {page.evaluate(FRAMES, 4.0):.0f} playing while the odds run")
    for kept in range(3):
        page.get_by_role("button", name="Keep this one").click()
        page.locator(".anchorsim-head small", has_text=f"{kept + 1} set-up").wait_for(timeout=START)
        page.evaluate(MOVE, 6.0 + kept)
    page.wait_for_timeout(4000)
    print(f"frames a second        {page.evaluate(FRAMES, 4.0):.0f} with four set-ups")


def told(what: str, times: list[float], of: int) -> None:
    worst = f"{statistics.median(times):.0f}, worst {max(times):.0f}" if times else "never seen"
    print(f"{what:<22} median {worst} ({len(times)} of {of})", flush=True)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--times", type=int, default=20)
    parser.add_argument("--busy", action="store_true")
    options: Any = parser.parse_args()
    other = multiprocessing.Process(target=burn, daemon=True)
    with tempfile.TemporaryDirectory() as place:
        home = Path(place) / "home"
        home.mkdir()
        with running(home) as lab, sync_playwright() as playwright:
            root = hasattr(os, "geteuid") and os.geteuid() == 0
            browser = playwright.chromium.launch(
                executable_path=os.environ.get("CHROMIUM", "/usr/bin/chromium"), args=["--no-sandbox"] * root
            )
            found = visit(browser.new_context(viewport={"width": 1400, "height": 900}))
            found.page.goto(lab.url)
            found.wait_for_picture()
            found.page.wait_for_timeout(3000)
            if options.busy:
                other.start()
            measure(found, options.times)
            browser.close()


if __name__ == "__main__":
    main()
