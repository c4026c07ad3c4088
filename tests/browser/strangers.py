"""Files as a stranger might hand them over: opening one is to tell a canary nothing.

A canary is a server of the test's own on another port.  What runs in a page asks it for a name, and keeps
that name in the page's storage too, where it is found even if the browser kept the page from asking.
"""

from __future__ import annotations

import json
import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import Any
from urllib.parse import quote, unquote

SVG = '<svg xmlns="http://www.w3.org/2000/svg" onload="{}"></svg>'
WIDGET = "application/vnd.jupyter.widget-state+json"


@dataclass
class Canary:
    """What was asked of it, by name."""

    address: str
    heard: set[str] = field(default_factory=set)

    def image(self, name: str) -> str:
        return f"{self.address}/{quote(name)}"

    def script(self, name: str) -> str:
        """What a page runs to be heard under a name; without double quotation marks."""
        return f"localStorage['canary {name}'] = 1; new Image().src = '{self.image(name)}';"


@contextmanager
def listening() -> Iterator[Canary]:
    class Answer(BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            canary.heard.add(unquote(self.path.partition("?")[0].strip("/")))
            self.send_response(204)
            self.send_header("Access-Control-Allow-Origin", "*")
            self.end_headers()

        def log_message(self, *_: object) -> None:
            pass

    server = ThreadingHTTPServer(("127.0.0.1", 0), Answer)
    canary = Canary(f"http://127.0.0.1:{server.server_port}")
    threading.Thread(target=server.serve_forever, daemon=True).start()
    try:
        yield canary
    finally:
        server.shutdown()
        server.server_close()


def outputs(canary: Canary) -> dict[str, dict[str, Any]]:
    """Saved outputs that run, or ask, when they are shown: kind to the output's data."""
    run, image = canary.script, canary.image
    framed = f"<script>{run('html frame')}</script>"
    points = [{"type": "scatter", "x": [0, 1], "y": [0, 1]}]
    picture = {"source": image("plotly image"), "x": 0, "y": 1, "sizex": 1, "sizey": 1}
    return {
        "html script": {"text/html": f"<script>{run('html script')}</script>"},
        "html handler": {"text/html": f'<img src="/nowhere.png" onerror="{run("html handler")}">'},
        "html frame": {"text/html": f'<iframe srcdoc="{framed}"></iframe>'},
        "html image": {"text/html": f'<img src="{image("html image")}">'},
        "html style": {"text/html": f'<p style="background-image: url({image("html style")})">.</p>'},
        "javascript": {"application/javascript": run("javascript")},
        "markdown image": {"text/markdown": f"![a picture]({image('markdown image')})"},
        "vega": {
            "application/vnd.vega.v5+json": {
                "$schema": "https://vega.github.io/schema/vega/v5.json",
                "width": 9,
                "height": 9,
                "data": [{"name": "table", "url": image("vega")}],
                "marks": [{"type": "symbol", "from": {"data": "table"}}],
            }
        },
        "plotly image": {"application/vnd.plotly.v1+json": {"data": points, "layout": {"images": [picture]}}},
    }


def widget(canary: Canary, name: str) -> dict[str, Any]:
    """Saved widgets, among them one that brings a script of its own."""
    module = f"{canary.script(name)} export default {{ render() {{}} }};"
    state = {
        "_model_name": "AnyModel",
        "_model_module": "anywidget",
        "_model_module_version": "~0.11.*",
        "_view_name": "AnyView",
        "_view_module": "anywidget",
        "_view_module_version": "~0.11.*",
        "_esm": module,
        "_anywidget_id": "stranger.Widget",
        "layout": None,
    }
    saved = {
        "model_name": "AnyModel",
        "model_module": "anywidget",
        "model_module_version": "~0.11.*",
        "state": state,
    }
    return {WIDGET: {"version_major": 2, "version_minor": 0, "state": {"a" * 32: saved}}}


def notebook(cells: list[dict[str, Any]], **metadata: Any) -> dict[str, Any]:
    spec = {"name": "python3", "display_name": "Python 3", "language": "python"}
    named = [{"id": f"cell-{number}", "metadata": {}, **cell} for number, cell in enumerate(cells)]
    said = {"kernelspec": spec} | metadata
    return {"cells": named, "metadata": said, "nbformat": 4, "nbformat_minor": 5}


def code(source: str, *data: dict[str, Any]) -> dict[str, Any]:
    """A code cell that says of itself that it is to be trusted."""
    shown = [{"output_type": "display_data", "data": one, "metadata": {}} for one in data]
    return {
        "cell_type": "code",
        "source": source,
        "outputs": shown,
        "execution_count": 1,
        "metadata": {"trusted": True},
    }


def markdown(source: str, **more: Any) -> dict[str, Any]:
    return {"cell_type": "markdown", "source": source, **more}


OVER = "over"  # the class of what lies over the page

# Kinds that are heard where nothing defends, beside the outputs: see ``showing`` and ``hand_over``.
OTHERS = ("markdown cell image", "saved widget", "web page", "file of its own")
# What JupyterLab keeps from running wherever it is opened.
HELD = (
    "markdown cell handler",
    "markdown cell script",
    "link",
    "attachment",
    "form",
    "raw cell",
    "svg output",
    "picture file",
    "kernel of its own",
)


def showing(canary: Canary, ran: str) -> dict[str, Any]:
    """A notebook that is only looked at; its last cell writes a file if it is run."""
    view = {"version_major": 2, "version_minor": 0, "model_id": "a" * 32}
    raw = {"raw_mimetype": "text/html", "format": "text/html"}
    place = "top: 0px; left: 0px; width: 4000px; height: 4000px; z-index: 9999"
    cells = [
        markdown(f'<div class="jp-HoverBox {OVER}" style="{place}">Your session has expired.</div>'),
        markdown('<button data-commandlinker-command="notebook:run-all-cells">Open the report</button>'),
        markdown(f"![a picture]({canary.image('markdown cell image')})"),
        markdown(f'<img src="/nowhere.png" onerror="{canary.script("markdown cell handler")}">'),
        markdown(f"<script>{canary.script('markdown cell script')}</script>", metadata={"trusted": True}),
        markdown(f'<a class="link" href="javascript:{canary.script("link")}">More</a>'),
        markdown(
            "![a](attachment:a.svg)",
            attachments={"a.svg": {"image/svg+xml": SVG.format(canary.script("attachment"))}},
        ),
        markdown(f'<form action="{canary.image("form")}"><input autofocus></form>'),
        {"cell_type": "raw", "source": f"<script>{canary.script('raw cell')}</script>", "metadata": raw},
        *(code("", data) for data in outputs(canary).values()),
        code("", {"image/svg+xml": SVG.format(canary.script("svg output"))}),
        code("", {"application/vnd.jupyter.widget-view+json": view}),
        code(f"open({ran!r}, 'w').close()"),
    ]
    return notebook(cells, widgets=widget(canary, "saved widget"))


def hand_over(home: Path, canary: Canary) -> None:
    """Put one of each into a person's folder, with settings in its hidden one that would let them run."""
    page = "<!doctype html><title>A report</title><script>{}</script><p>Good news.</p>"
    settings = ".anchorsim/settings/@jupyterlab"
    luring = {"data": {"path": "below/showing.ipynb", "factory": "Notebook"}}
    ask = f"import urllib.request; urllib.request.urlopen({canary.image('kernel of its own')!r})"
    spec = {"name": "own", "display_name": "Own", "language": "python", "argv": [sys.executable, "-c", ask]}
    files: dict[str, Any] = {
        "below/showing.ipynb": showing(canary, "ran.txt"),
        "kernel.ipynb": notebook([code("")], kernelspec=spec),
        "report.html": page.format(canary.script("web page")),
        "alone.html": page.format(canary.script("file of its own").partition(";")[2]),
        "picture.svg": SVG.format(canary.script("picture file")),
        "job.jupyterlab-workspace": {
            "metadata": {"id": "job"},
            "data": {"notebook:below/showing.ipynb": luring},
        },
        f"{settings}/htmlviewer-extension/plugin.jupyterlab-settings": {"trustByDefault": True},
        f"{settings}/apputils-extension/sanitizer.jupyterlab-settings": {"allowCommandLinker": True},
    }
    for name, content in files.items():
        path = home / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(content if isinstance(content, str) else json.dumps(content), encoding="utf-8")
