"""A page without a kernel for the tests of the player: plotly.js, the module as it is, and a bare model."""

from __future__ import annotations

import base64
import json
from collections.abc import Callable, Sequence
from typing import Any

import plotly.offline
from invented_scene import invented_scene
from playwright.sync_api import Page

from anchorsim.figures import CONFIG, VIEWS, Scene, theme
from anchorsim.player import SCRIPT, state
from anchorsim.player.packing import COLUMNS

Opener = Callable[..., Page]
SCENE = invented_scene()
BEFORE = invented_scene(length=26.0, name="before")
PAGE = """<!doctype html><meta charset="utf-8"><title>player</title>
<meta name="viewport" content="width=device-width"><style>
body { margin: 0 } .whole { height: 100vh; display: flex; flex-direction: column }
.views { flex: 1; min-height: 0; display: grid; gap: 6px;
  grid-template: 1.1fr 1fr minmax(150px, 0.7fr) / 1.25fr 1fr;
  grid-template-areas: "above side" "above parts" "time time" }
.views > div, .plot { min-width: 0; min-height: 0; overflow: hidden }
.anchorsim-view-above { grid-area: above } .anchorsim-view-side { grid-area: side }
.anchorsim-view-parts { grid-area: parts } .anchorsim-view-load { grid-area: time }
@media (max-width: 900px) { .whole { height: auto !important } .views { flex: none;
  grid-template: 380px 150px 200px 200px / 1fr; grid-template-areas: "above" "time" "side" "parts" } }
.plot { width: 100%%; height: 100%% }</style>
<script>%(plotly)s</script><body>%(body)s
<script type="module">
class Model {
  constructor(state) { this.state = state; this.handlers = {}; this.saved = 0; }
  get(name) { return this.state[name]; }
  set(name, value) { this.state[name] = value; }
  save_changes() { this.saved += 1; }
  on(event, handler) { (this.handlers[event] ??= []).push(handler); }
  off(event, handler) { this.handlers[event] = this.handlers[event].filter((found) => found !== handler); }
  change(values) {
    const moved = Object.keys(values).filter((name) => this.state[name] !== values[name]);
    Object.assign(this.state, values);
    for (const name of moved) for (const handler of this.handlers[`change:${name}`] ?? []) handler();
  }
}
const bytes = (text) => new DataView(Uint8Array.from(atob(text), (c) => c.charCodeAt(0)).buffer);
window.revive = (state) => Object.fromEntries(
  Object.entries(state).map(([name, value]) => [name, value?.b64 === undefined ? value : bytes(value.b64)]));
window.config = %(config)s;
window.draw = (scope, figures) => Promise.all(Object.entries(figures).map(([view, figure]) =>
  Plotly.newPlot(document.querySelector(`.${scope} .${view} .plot`), figure.data, figure.layout, config)));
const module = URL.createObjectURL(new Blob([%(script)s], { type: "text/javascript" }));
const { default: { render } } = await import(module);
window.models = {};
window.ends = {};
for (const { scope, figures, state } of %(players)s) {
  models[scope] = new Model(revive(state));
  ends[scope] = render({ model: models[scope], el: document.querySelector(`.${scope} .here`) });
  window.figures = figures;
  if (figures) await draw(scope, figures);
}
window.ready = true;
</script>"""


def player_state(scope: str, now: Scene, others: Sequence[Scene] = (), **more: Any) -> dict[str, Any]:
    traits = state(now, others) | {
        "scope": scope,
        "speed": 5,
        "autoplay": True,
        "seek": 0,
        "dark": False,
    }
    return {
        name: {"b64": base64.b64encode(value).decode()} if isinstance(value, bytes) else value
        for name, value in (traits | more).items()
    }


def page_of(*players: dict[str, Any], dark: bool = False) -> str:
    def as_script(value: Any) -> str:
        return json.dumps(value).replace("</", "<\\/")

    boxes = "".join(f'<div class="{view}"><div class="plot"></div></div>' for view in VIEWS)
    height = 100 // len(players)
    body = "".join(
        f'<div class="whole {found["scope"]}" style="height:{height}vh;background:{theme(dark).paper}">'
        f'<div class="views">{boxes}</div><div class="here"></div></div>'
        for found in players
    )
    return PAGE % {
        "plotly": plotly.offline.get_plotlyjs(),
        "body": body,
        "config": as_script(CONFIG),
        "script": as_script(SCRIPT),
        "players": as_script(list(players)),
    }


def one(
    scope: str,
    now: Scene = SCENE,
    others: Sequence[Scene] = (),
    *,
    dark: bool = False,
    scale: float = 1.0,
    **more: Any,
) -> dict[str, Any]:
    figures = {
        view: json.loads(draw(now, others, look=theme(dark), scale=scale).to_json())
        for view, draw in VIEWS.items()
    }
    return {
        "scope": scope,
        "figures": figures,
        "state": player_state(scope, now, others, scale=scale, **more),
    }


def test_the_module_stands_alone_and_asks_for_nothing() -> None:
    assert "import " not in SCRIPT
    assert "http" not in SCRIPT.replace("http://www.w3.org/2000/svg", "")  # a name, not an address
    assert "fetch(" not in SCRIPT


def test_the_module_reads_the_columns_that_are_packed() -> None:
    assert f'const COLUMNS = "{" ".join(COLUMNS)}"' in SCRIPT
