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


class LiveFigure(go.FigureWidget):
    """A figure that fills its box: plotly draws before there is one, and minds only the window."""

    _esm = f"""{_PROMISE}
    const plot = await code.come;
    export default async () => {{
      const own = await plot();
      return {{
        ...own,
        async render(context) {{
          const remove = await own.render(context);
          const sizes = new ResizeObserver(() => window.dispatchEvent(new Event("resize")));
          sizes.observe(context.el);
          return () => {{ sizes.disconnect(); remove?.(); }};
        }},
      }};
    }};
    """

    def __init__(self, figure: go.Figure, **widget: Any) -> None:
        _code()
        super().__init__(figure, **widget)
        self._config = CONFIG
