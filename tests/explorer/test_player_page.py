"""A page without a kernel for the tests of the player: plotly.js, the module as it is, and a bare model."""

from __future__ import annotations

import base64
import json
from pathlib import Path
from typing import Any

import plotly.offline
from invented_scene import invented_scene

from anchorsim.explorer import player as packed
from anchorsim.figures import CONFIG, VIEWS, Scene, theme

SCENE = invented_scene()
BEFORE = invented_scene(length=26.0, name="before")
SCRIPT = Path(packed.__file__).with_name("player.js").read_text(encoding="utf-8")
PAGE = """<!doctype html><meta charset="utf-8"><title>player</title>
<style>body { margin: 0 } .whole { height: 100vh; display: flex; flex-direction: column }
.views { flex: 1; min-height: 0; display: grid; gap: 6px }
.views { grid-template-columns: 1fr 1fr; grid-template-rows: 1fr 1fr }
.views > div, .plot { min-width: 0; min-height: 0; overflow: hidden }
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


def player_state(scope: str, now: Scene, before: Scene | None, **more: Any) -> dict[str, Any]:
    state = packed.state(now, before) | {
        "scope": scope,
        "speed": 5,
        "autoplay": True,
        "seek": 0,
        "dark": False,
    }
    return {
        name: {"b64": base64.b64encode(value).decode()} if isinstance(value, bytes) else value
        for name, value in (state | more).items()
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
    scope: str, now: Scene = SCENE, before: Scene | None = None, *, dark: bool = False, **more: Any
) -> dict[str, Any]:
    figures = {
        view: json.loads(draw(now, before, look=theme(dark)).to_json()) for view, draw in VIEWS.items()
    }
    return {"scope": scope, "figures": figures, "state": player_state(scope, now, before, **more)}


def test_the_module_stands_alone_and_asks_for_nothing() -> None:
    assert "import " not in SCRIPT
    assert "http" not in SCRIPT
    assert "fetch(" not in SCRIPT


def test_the_module_reads_the_columns_that_are_packed() -> None:
    assert f'const COLUMNS = "{" ".join(packed.COLUMNS)}"' in SCRIPT
