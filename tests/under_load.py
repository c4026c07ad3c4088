"""How the real command, its kernel and its page bear load, by hand: what was seen, in figures.

``python tests/under_load.py flood``: a thousand moves of a control in ten seconds, through a kernel alone and
in the page.  ``play --minutes 30``: the picture is left to play.  ``restart``: the kernel is started again
under the page.  ``sessions``: three servers, windows and surveys at once.
"""

from __future__ import annotations

import argparse
import json
import statistics
import tempfile
import time
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path
from typing import Any

import psutil
from browser.visiting import SIZES, START, Lab, Visit, running, visit
from jupyter_client.manager import KernelManager
from playwright.sync_api import Browser, sync_playwright

from anchorsim.jupyter.launch import isolate
from anchorsim.scenario.scenario import Scenario

CHROMIUM = "/usr/bin/chromium"
MEGA = 1e6
MOVES, EVERY = 1000, 0.01  # s
DEPTHS = [5.0 + 0.5 * (number % 30) for number in range(MOVES - 1)] + [23.0]  # m, the last as none before
BEGIN = """
import anchorsim
from anchorsim.core.units import si
screen = anchorsim.explore()
depth = next(c.widget for cs in screen.groups.values() for c in cs if c.path == "spot.depth")
heard = []
depth.observe(lambda change: heard.append(change["new"]), "value")
print("begun", depth.comm.comm_id)
"""
END = """
side = screen.views["anchorsim-view-side"].children[0].picture.data
drawn = any(-23.0 in (trace.y if trace.y is not None else ()) for trace in side)
held = screen.player.scenes[0]["depth"]
of_it = screen.run.scenario == screen.scenario
print("end", depth.value, si(screen.scenario.spot.depth), screen.scene.depth, held, of_it, drawn, len(heard))
"""
DRAG = """async ([depths, every]) => {
  const rows = [...document.querySelectorAll(".anchorsim-amount")];
  const row = rows.find((one) => one.textContent.startsWith("Charted depth"));
  const range = row.querySelector('input[type=range]'), begun = performance.now();
  for (const [number, depth] of depths.entries()) {
    const wait = begun + 1000 * every * number - performance.now();
    if (wait > 0) await new Promise((done) => setTimeout(done, wait));
    range.value = depth;
    range.dispatchEvent(new Event('input', { bubbles: true }));
  }
  range.dispatchEvent(new Event('change', { bubbles: true }));
  return (performance.now() - begun) / 1000;
}"""
AT_DEPTH = """(depth) => document.querySelector('.anchorsim-view-side .js-plotly-plot')?._fullData.some(
  (trace) => trace.y && [...trace.y].includes(-depth))"""


def show(what: str, **figures: object) -> None:
    words = (
        f"{name.replace('_', ' ')} {value:.2f}"
        if isinstance(value, float)
        else f"{name.replace('_', ' ')} {value}"
        for name, value in figures.items()
    )
    print(f"{what:<20}", ", ".join(words), flush=True)


def kernels(lab: Lab) -> list[psutil.Process]:
    """The kernels of a running explorer."""
    children = psutil.Process(lab.server).children(recursive=True)
    return [each for each in children if "ipykernel_launcher" in each.cmdline()]


@contextmanager
def chromium() -> Iterator[Browser]:
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        yield browser
        browser.close()


def opened(browser: Browser, lab: Lab) -> Visit:
    """A page of the explorer or the survey with its result there."""
    width, height = SIZES["desk"]
    found = visit(browser.new_context(viewport={"width": width, "height": height}))
    found.page.goto(lab.url)
    ready(found)
    return found


def ready(found: Visit) -> None:
    found.page.wait_for_selector(".anchorsim-explorer", timeout=START)
    if found.page.locator(".anchorsim-survey").count():
        found.page.wait_for_selector(".anchorsim-rail button", timeout=START)
    else:
        found.wait_for_picture()


def memory(lab: Lab, found: Visit) -> dict[str, float]:
    """What is held once the page has cleared up: MB of its heap and of processes, its nodes, listeners."""
    tools = found.page.context.new_cdp_session(found.page)
    tools.send("HeapProfiler.collectGarbage")
    tools.send("Performance.enable")
    seen = {each["name"]: each["value"] for each in tools.send("Performance.getMetrics")["metrics"]}
    tools.detach()
    return {
        "page_MB": seen["JSHeapUsedSize"] / MEGA,
        "nodes": seen["Nodes"],
        "listeners": seen["JSEventListeners"],
        "kernel_MB": sum(each.memory_info().rss for each in kernels(lab)) / MEGA,
        "server_MB": psutil.Process(lab.server).memory_info().rss / MEGA,
    }


def moved(found: Visit, depth: float) -> float:
    """How long (s) it takes from a depth that is typed to its picture."""
    found.unfold("Spot")
    box = found.page.locator(".anchorsim-amount", has_text="Charted depth").locator("input[type=number]")
    begun = time.monotonic()
    box.fill(str(depth))
    box.press("Enter")
    found.page.wait_for_function(AT_DEPTH, arg=depth, timeout=60_000)
    return time.monotonic() - begun


def flood_a_kernel(home: Path) -> None:
    """A thousand messages in ten seconds to a kernel: how long each waits, and what is drawn at last."""
    isolate(home)
    manager = KernelManager(kernel_name="python3")
    manager.start_kernel(cwd=str(home))
    client = manager.client()
    client.start_channels()
    try:
        client.wait_for_ready(timeout=60)
        comm = printed(client, BEGIN, "begun")[0]
        while printed(client, "print('ready', screen.assessment is not None)", "ready") != ["True"]:
            time.sleep(0.5)
        process = psutil.Process(manager.provisioner.process.pid)
        before, begun = process.memory_info().rss, time.monotonic()
        sent: dict[str, float] = {}
        waits: list[float] = []
        counts = {"messages": 0, "bytes": 0}
        for number, depth in enumerate(DEPTHS):
            content = {
                "comm_id": comm,
                "data": {"method": "update", "state": {"value": depth}, "buffer_paths": []},
            }
            message = client.session.msg("comm_msg", content)
            client.shell_channel.send(message)
            sent[message["header"]["msg_id"]] = time.monotonic()
            while True:
                left = begun + EVERY * (number + 1) - time.monotonic()
                if not heard(client, sent, waits, counts, max(left, 0.0)):
                    break
        ended = time.monotonic()
        while len(waits) < MOVES and time.monotonic() < ended + 60:
            heard(client, sent, waits, counts, 0.1)
        drained = time.monotonic() - ended
        time.sleep(1.5)
        end = printed(client, END, "end")
        show(
            "kernel",
            moves=MOVES,
            in_s=ended - begun,
            answered=len(waits),
            median_wait_ms=1000 * statistics.median(waits),
            longest_wait_ms=1000 * max(waits),
            last_answer_after_s=drained,
            sent_messages=counts["messages"],
            sent_MB=counts["bytes"] / MEGA,
            MB_before=before / MEGA,
            MB_after=process.memory_info().rss / MEGA,
        )
        show(
            "kernel, at its end",
            depth_of_control=end[0],
            of_scenario=end[1],
            of_picture=end[2],
            of_player=end[3],
            run_is_of_it=end[4],
            drawn=end[5],
            changes_heard=end[6],
        )
    finally:
        client.stop_channels()
        manager.shutdown_kernel(now=True)


def heard(
    client: Any, sent: dict[str, float], waits: list[float], counts: dict[str, int], wait: float
) -> bool:
    """Take in one message of the kernel within a time; whether one came."""
    try:
        message = client.get_iopub_msg(timeout=wait)
    except Exception:  # queue.Empty
        return False
    counts["messages"] += 1
    counts["bytes"] += sum(len(each) for each in message["buffers"]) + len(
        json.dumps(message["content"], default=str)
    )
    if message["msg_type"] == "status" and message["content"]["execution_state"] == "idle":
        begun = sent.pop(message["parent_header"].get("msg_id", ""), None)
        if begun is not None:
            waits.append(time.monotonic() - begun)
    return True


def printed(client: Any, code: str, word: str) -> list[str]:
    """The words after one that code prints."""
    client.execute(code)
    while True:
        message = client.get_iopub_msg(timeout=120)
        text = message["content"].get("text", "") if message["msg_type"] == "stream" else ""
        if message["msg_type"] == "error":
            raise RuntimeError("\n".join(message["content"]["traceback"]))
        for line in text.splitlines():
            if line.startswith(word):
                return line.split()[1:]


def flood_a_page(home: Path) -> None:
    """The same by dragging in the page, while the picture plays."""
    with running(home) as lab, chromium() as browser:
        found = opened(browser, lab)
        found.page.wait_for_timeout(3000)
        player = found.page.locator(".anchorsim-player")
        before, frames = memory(lab, found), int(player.get_attribute("data-frames") or 0)
        lasted = found.page.evaluate(DRAG, [DEPTHS, EVERY])
        drawn = int(player.get_attribute("data-frames") or 0) - frames
        begun = time.monotonic()
        found.page.wait_for_function(AT_DEPTH, arg=DEPTHS[-1], timeout=60_000)
        settled = time.monotonic() - begun
        found.page.wait_for_timeout(1000)
        run = player.get_attribute("data-run")
        found.page.wait_for_timeout(2000)
        show(
            "page",
            moves=MOVES,
            in_s=lasted,
            picture_of_last_after_s=settled,
            frames_a_second=drawn / lasted,
            nothing_came_after=player.get_attribute("data-run") == run,
            errors=found.errors,
        )
        show("page, before", **before)
        show("page, after", **memory(lab, found))


def flood(home: Path) -> None:
    flood_a_kernel(home)
    flood_a_page(home)


def play(home: Path, minutes: float) -> None:
    """The picture plays, and the memory that is held is noted each minute."""
    with running(home) as lab, chromium() as browser:
        found = opened(browser, lab)
        player = found.page.locator(".anchorsim-player")
        frames, begun = int(player.get_attribute("data-frames") or 0), time.monotonic()
        show("0 min", **memory(lab, found))
        while (passed := time.monotonic() - begun) < 60 * minutes:
            found.page.wait_for_timeout(min(60_000, 1000 * (60 * minutes - passed)))
            show(f"{(time.monotonic() - begun) / 60:.0f} min", **memory(lab, found))
        drawn = int(player.get_attribute("data-frames") or 0) - frames
        show("frames", drawn=drawn, a_second=drawn / (time.monotonic() - begun), errors=found.errors)


def record(found: Visit, part: str, finding: str, note: str) -> None:
    """Record a finding in a survey, with a note."""
    found.page.locator(".anchorsim-rail button", has_text=part).first.click()
    found.page.locator(".tile", has_text=finding).click()
    found.page.locator(".anchorsim-card", has_text=finding).locator("textarea").click()
    found.page.keyboard.type(note, delay=20)  # ms a letter, as fast as people type


def restart(home: Path) -> None:
    """The kernel is started again under the explorer's page and under the survey's."""
    with chromium() as browser:
        for name, command in (("explorer", []), ("survey", ["survey"])):
            (home / name).mkdir()
            with running(home / name, *command) as lab:
                found = opened(browser, lab)
                if command:
                    record(found, "Chain", "Bolt used as a link", "typed just before")
                    found.page.wait_for_timeout(1000)
                else:
                    moved(found, 17.0)
                begun = time.monotonic()
                for kernel in lab.ask("/api/kernels"):
                    lab.ask(f"/api/kernels/{kernel['id']}/restart", "POST", {})
                notice = found.page.get_by_role("alert").filter(has_text="Reload")
                notice.wait_for(timeout=30_000)
                said, after = notice.inner_text(), time.monotonic() - begun
                begun = time.monotonic()
                notice.get_by_role("button").click()
                found.page.wait_for_selector(".anchorsim-moved", state="detached", timeout=START)
                ready(found)
                show(
                    name,
                    notice_after_s=after,
                    screen_back_after_s=time.monotonic() - begun,
                    errors=found.errors,
                )
                print(f"{'':<20} {said!r}")
                if command:
                    kept = Scenario.load(home / name / "explorer" / "my-survey.toml").survey.findings
                    shown = found.page.locator(".anchorsim-rail button", has_text="Chain").first.inner_text()
                    show("", findings_kept=len(kept), note=kept[0].note, rail=shown)
                else:
                    show("", depth_is_still_there=found.page.evaluate(AT_DEPTH, 17.0))


def sessions(home: Path) -> None:
    """Three servers, each in a folder of its own, a window each: all survey at the same time."""
    names = ["one", "two", "three"]
    with chromium() as browser, ExitStack() as stack:
        begun = time.monotonic()
        for name in names:
            (home / name).mkdir()
        labs = [stack.enter_context(running(home / name, "survey")) for name in names]
        pages = [opened(browser, lab) for lab in labs]
        show("three windows", open_after_s=time.monotonic() - begun)
        for found in pages:
            found.page.locator(".anchorsim-rail button", has_text="Chain").first.click()
            found.page.locator(".tile").first.wait_for()
        for found, name in zip(pages, names, strict=True):
            record(found, "Chain", "Bolt used as a link", name)
        pages[0].page.wait_for_timeout(2000)
        for found, lab, name in zip(pages, labs, names, strict=True):
            said = found.page.locator(".anchorsim-foot .saved").inner_text()
            show(name, said=said, errors=found.errors, **memory(lab, found))
        for name in names:
            kept = Scenario.load(home / name / "explorer" / "my-survey.toml").survey.findings
            show(name, notes=[found.note for found in kept])


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("what", choices=["flood", "play", "restart", "sessions"])
    parser.add_argument("--minutes", type=float, default=30.0)
    options = parser.parse_args()
    more = {"play": [options.minutes]}
    with tempfile.TemporaryDirectory() as home:
        globals()[options.what](Path(home), *more.get(options.what, []))


if __name__ == "__main__":
    main()
