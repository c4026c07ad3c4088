"""Plotly figures on the screen, whose five megabytes of browser code go there once.

plotly sends its code with each figure anew, which for four figures takes longer than all the rest of a start.
"""

from __future__ import annotations

import functools
from pathlib import Path
from typing import Any

import anywidget
import plotly
import plotly.graph_objects as go
import traitlets

from anchorsim.core.optional_imports import IRI_GRAMMAR, without
from anchorsim.figures import CONFIG

# Whichever of the two is there first makes the promise: the figures wait for what the code comes to.
_PROMISE = """
const code = globalThis.anchorsimPlotly ??= (() => {
  let keep;
  return { come: new Promise((resolve) => { keep = resolve; }), keep };
})();
"""


class _Code(anywidget.AnyWidget):
    """Carries plotly's code.  It is never shown, only in the page."""

    _esm = f"""{_PROMISE}
    export default {{
      initialize({{ model }}) {{  // waits for nothing: anywidget gives up a model after two seconds
        const url = URL.createObjectURL(new Blob([model.get("code")], {{ type: "text/javascript" }}));
        code.keep(import(url).then((module) => module.default).finally(() => URL.revokeObjectURL(url)));
      }},
    }};
    """
    code = traitlets.Bytes().tag(sync=True)


@functools.cache
def _code() -> _Code:
    """The code as a widget, one for each kernel."""
    bundle = Path(plotly.__file__).with_name("package_data") / "widgetbundle.js"
    return _Code(code=bundle.read_bytes())


with without(IRI_GRAMMAR):  # which comes along with how plotly shows a figure outside a widget
    _FigureWidget: Any = go.FigureWidget


class LiveFigure(_FigureWidget):
    """A figure that fills its box: plotly draws before there is one, and minds only the window."""

    _esm = f"{_PROMISE} const COME = code.come;" + (
        Path(__file__).with_name("live_figure.js").read_text(encoding="utf-8")
    )

    def __init__(self, figure: go.Figure, **widget: Any) -> None:
        _code()
        super().__init__(figure, **widget)
        self._config = CONFIG
