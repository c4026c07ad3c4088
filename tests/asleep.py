"""What a sleep costs, by hand: the explorer and a survey are halted in the middle of work, and woken.

``python tests/asleep.py all --seconds 7200``: as when the computer sleeps; ``server``: server and kernel;
``page``: the browser only, as one that puts a page to rest.  Printed are times, memory before and after, and
what is kept of a note that was typed well before, just before and after.
"""

from __future__ import annotations

import argparse
import signal
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import psutil
from browser.visiting import Lab, Visit, running
from under_load import AT_DEPTH, chromium, kernels, memory, moved, opened, record, show

from anchorsim.scenario.scenario import Scenario

TYPED = 20  # ms a letter, as fast as people type
HUNG_UP = 60_000  # ms in which a server that missed an answer would hang up


def asleep(which: str, seconds: float, home: Path) -> None:
    for name in ("explorer", "survey"):
        (home / name).mkdir()
    with (
        running(home / "explorer") as explorer,
        running(home / "survey", "survey") as survey,
        chromium() as browser,
    ):
        screen, cards = opened(browser, explorer), opened(browser, survey)
        sockets: list[str] = []
        for found in (screen, cards):
            found.page.on("websocket", lambda socket: sockets.append(socket.url))
        show("moves before", s=[round(moved(screen, depth), 2) for depth in (7.0, 12.0, 9.0)])
        record(cards, "Chain", "Bolt used as a link", "typed well before")
        screen.page.wait_for_timeout(5000)
        before = [memory(explorer, screen), memory(survey, cards)]
        cards.page.keyboard.type(" and just before", delay=TYPED)
        with halted(which, [explorer, survey]):
            time.sleep(seconds)
        show("after a sleep", s=seconds, depth_is_still_there=screen.page.evaluate(AT_DEPTH, 9.0))
        cards.page.keyboard.type(" and after", delay=TYPED)
        show("moved", picture_after_s=moved(screen, 11.0))
        screen.page.wait_for_timeout(HUNG_UP)
        show("a minute later", picture_after_s=moved(screen, 13.0), sockets_opened_anew=len(sockets))
        work(screen, home)
        for name, lab, found, held in zip(
            ("explorer", "survey"), (explorer, survey), (screen, cards), before, strict=True
        ):
            notices = found.page.locator(".anchorsim-moved").count()
            show(name, notices=notices, dialogs=found.dialogs, errors=found.errors)
            show("  before", **held)
            show("  after", **memory(lab, found))


@contextmanager
def halted(which: str, labs: list[Lab]) -> Iterator[None]:
    """Halt the servers with their kernels, the browser, or all of them; woken in the end."""
    processes: list[psutil.Process] = []
    if which in ("all", "server"):
        processes += [each for lab in labs for each in (psutil.Process(lab.server), *kernels(lab))]
    if which in ("all", "page"):
        children = psutil.Process().children(recursive=True)
        processes += [each for each in children if each.name().startswith("chrom")]
    for process in processes:
        process.send_signal(signal.SIGSTOP)
    try:
        yield
        states = {process.status() for process in processes}
        show("halted", processes=len(processes), states=sorted(states))
    finally:
        for process in reversed(processes):
            process.send_signal(signal.SIGCONT)


def work(screen: Visit, home: Path) -> None:
    """What is kept: the note of the survey, and the scenario that is saved now."""
    findings = Scenario.load(home / "survey" / "explorer" / "my-survey.toml").survey.findings
    screen.page.get_by_role("button", name="Open…").click()
    screen.page.get_by_label("Save as", exact=True).fill("slept")
    screen.page.get_by_role("button", name="Save", exact=True).click()
    screen.page.get_by_text("Saved as slept.toml").wait_for()
    saved = Scenario.load(home / "explorer" / "explorer" / "slept.toml")
    show("kept", notes=[found.note for found in findings], depth_of_scenario=saved.spot.depth.m_as("m"))


def main() -> None:
    parser = argparse.ArgumentParser(description=str(__doc__).split("\n", maxsplit=1)[0])
    parser.add_argument("which", choices=["all", "server", "page"])
    parser.add_argument("--seconds", type=float, default=120.0)
    options = parser.parse_args()
    with tempfile.TemporaryDirectory() as home:
        asleep(options.which, options.seconds, Path(home))


if __name__ == "__main__":
    main()
