"""The real command, its JupyterLab and a browser that reports every request it makes."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import time
import urllib.request
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

from playwright.sync_api import BrowserContext, Page, TimeoutError

from anchorsim.core.resources import STATE
from anchorsim.explorer.kept import NAME

ROOT = Path(__file__).parents[2]
SCREENSHOTS = ROOT / ".screenshots"
SIZES = {"desk": (1400, 900), "laptop": (1280, 720), "tablet": (820, 1180), "phone": (390, 844)}
COMMAND = (Path(sys.executable).with_name("anchorsim"),)
START = 120_000  # ms; on a first start the simulation is compiled
READY = """() => document.querySelectorAll('.anchorsim-explorer .js-plotly-plot .main-svg').length >= 4
    && document.querySelector('.anchorsim-player')?.dataset.samples > 0"""
SEEN = """() => ({
  frame: document.getElementById('anchorsim-frame')?.innerText,
  kernel: document.querySelector('.jp-Notebook-ExecutionIndicator')?.dataset.status,
  drawn: document.querySelectorAll('.anchorsim-explorer .js-plotly-plot .main-svg').length,
  text: document.body.innerText.slice(0, 400),
})"""

# JupyterLab's own option, which the page leaves off: with it a test can look at the notebook itself.
EXPOSED = """document.addEventListener('readystatechange', () => {
  const found = document.getElementById('jupyter-config-data');
  if (!found || document.readyState !== 'interactive') return;
  found.textContent = JSON.stringify({ ...JSON.parse(found.textContent), exposeAppInBrowser: 'true' });
});"""


@dataclass
class Lab:
    """A running explorer: its address with the token, the home, when it was started, and its process."""

    url: str
    home: Path
    began: float
    said: list[str]
    server: int = 0

    @property
    def origin(self) -> str:
        parts = urlsplit(self.url)
        return f"{parts.scheme}://{parts.netloc}"

    @property
    def token(self) -> str:
        return urlsplit(self.url).query.removeprefix("token=")

    def ask(self, path: str, method: str = "GET", body: object = None) -> Any:
        """The server's answer, through the token.  Raises urllib.error.HTTPError."""
        data = None if body is None else json.dumps(body).encode()
        request = urllib.request.Request(self.origin + path, data=data, method=method)
        request.add_header("Authorization", f"token {self.token}")
        with urllib.request.urlopen(request, timeout=20) as answer:
            content = answer.read()
        return json.loads(content) if content else None

    def stop_kernels(self) -> None:
        for session in self.ask("/api/sessions"):
            self.ask(f"/api/sessions/{session['id']}", "DELETE")

    def start_anew(self) -> None:
        """Stop all kernels, and forget what was made of the screen so far."""
        self.stop_kernels()
        (self.home / "explorer" / STATE / NAME).unlink(missing_ok=True)

    def forget_theme(self) -> None:
        """As if nobody had chosen."""
        self.ask("/lab/api/settings/@jupyterlab/apputils-extension:themes", "PUT", {"raw": "{}"})

    def set_theme(self, dark: bool) -> None:
        """As a person chooses; until then the colours follow the system's."""
        theme = json.dumps(
            {"adaptive-theme": False, "theme": "JupyterLab Dark" if dark else "JupyterLab Light"}
        )
        self.ask("/lab/api/settings/@jupyterlab/apputils-extension:themes", "PUT", {"raw": theme})


@contextmanager
def running(
    home: Path, *arguments: str, folder: str | None = "explorer", command: tuple[Path | str, ...] = COMMAND
) -> Iterator[Lab]:
    """The command as a person gives it, in a home of its own; stopped as Ctrl-C stops it."""
    kept = {
        name: value
        for name, value in os.environ.items()
        if not name.startswith(("JUPYTER", "XDG_", "IPYTHON"))
    }
    where = [] if folder is None else ["--folder", str(home / folder)]
    began = time.monotonic()
    process = subprocess.Popen(
        [*command, *arguments, "--no-browser", *where],
        env=kept | {"HOME": str(home), "PYTHONUNBUFFERED": "1"},
        cwd=home,
        stdout=subprocess.PIPE,
        stderr=(home.parent / f"{home.name}.errors").open("w"),
        text=True,
    )
    try:
        assert process.stdout is not None
        said: list[str] = []
        for line in process.stdout:
            said.append(line.rstrip())
            if "Ctrl-C" in line:
                break
        url = next(line.strip() for line in said if "token=" in line)
        yield Lab(url, home, began, said, process.pid)
    finally:
        process.terminate()
        process.wait(20)


@dataclass
class Visit:
    """What happened in a page: every request, every error that its scripts threw, and what they said."""

    page: Page
    requests: list[str] = field(default_factory=list)
    errors: list[str] = field(default_factory=list)
    dialogs: list[str] = field(default_factory=list)
    said: list[str] = field(default_factory=list)

    def foreign(self, origin: str) -> list[str]:
        """The requests that went anywhere but to the server."""
        own = (f"{origin}/", origin.replace("http", "ws", 1) + "/", "data:", "blob:", "about:")
        return [url for url in self.requests if not url.startswith(own)]

    def wait_for_picture(self) -> None:
        """Until the four views are drawn and the player has a run to show; then on from the first screen."""
        try:
            self.page.wait_for_function(READY, timeout=START)
        except TimeoutError as late:
            raise AssertionError(f"no picture: {self.page.evaluate(SEEN)}, {self.said[-8:]}") from late
        if self.page.locator(".anchorsim-explorer").get_attribute("data-page") == "start":
            self.page.get_by_role("tab", name="Swing").click()

    def unfold(self, group: str) -> None:
        """Open a group of entries, where it is folded."""
        fold = self.page.locator(".anchorsim-fold", has_text=group)
        if fold.get_attribute("aria-expanded") == "false":
            fold.click()

    def too_wide(self, what: str) -> int:
        """By how many pixels a part of the page is wider than its place, and would scroll sideways."""
        wider = "found => found.scrollWidth - found.clientWidth"
        return int(self.page.locator(what).first.evaluate(wider))

    def resize(self, size: str) -> None:
        """Give the window another of the sizes, and the page time to follow."""
        width, height = SIZES[size]
        self.page.set_viewport_size({"width": width, "height": height})
        self.page.wait_for_timeout(1000)

    def picture(self, name: str) -> Path:
        """A screenshot for people to look at."""
        SCREENSHOTS.mkdir(exist_ok=True)
        path = SCREENSHOTS / f"{name}.png"
        self.page.screenshot(path=path)
        return path


def visit(context: BrowserContext) -> Visit:
    """A new page in which all requests and errors are noted."""
    return noted(context.new_page())


def noted(page: Page) -> Visit:
    """From now on all requests and errors of a page are noted."""
    found = Visit(page)
    found.page.on("request", lambda request: found.requests.append(request.url))
    found.page.on("websocket", lambda socket: found.requests.append(socket.url))
    found.page.on("console", lambda message: found.said.append(message.text[:300]))
    found.page.on("pageerror", lambda error: found.errors.append(str(error)))

    def answer(dialog: Any) -> None:
        found.dialogs.append(dialog.message or dialog.type)
        dialog.accept()

    found.page.on("dialog", answer)
    return found


Opener = Callable[..., Visit]
