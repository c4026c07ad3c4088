"""Plotly figures on the screen, whose five megabytes of browser code go there once.

plotly's own widget sends its code with each figure anew, which for four figures takes longer than all the
rest of a start.  It also checks each part of a picture once more to find out what is new in it, and has the
browser tell what it made of that, which takes longer than to send the whole.
"""

from __future__ import annotations

import base64
import functools
import json
from pathlib import Path
from typing import Any

import anywidget
import numpy as np
import plotly
import plotly.graph_objects as go
import traitlets
from plotly.utils import PlotlyJSONEncoder

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
        code.keep(import(url).then(() => globalThis.Plotly).finally(() => URL.revokeObjectURL(url)));
      }},
    }};
    """
    code = traitlets.Bytes().tag(sync=True)


@functools.cache
def _code() -> _Code:
    """The code as a widget, one for each kernel."""
    bundle = Path(plotly.__file__).with_name("package_data") / "plotly.min.js"
    return _Code(code=bundle.read_bytes())


class LiveFigure(anywidget.AnyWidget):
    """A figure that fills its box, at each size of it; ``show`` puts another picture in its place."""

    _esm = f"{_PROMISE} const COME = code.come;" + (
        Path(__file__).with_name("live_figure.js").read_text(encoding="utf-8")
    )
    _sent = traitlets.Bytes().tag(sync=True)
    _config = traitlets.Dict({**CONFIG, "responsive": False}).tag(sync=True)  # its script minds the size

    def __init__(self, picture: go.Figure, **widget: Any) -> None:
        _code()
        super().__init__(**widget)
        self.show(picture)

    def show(self, picture: go.Figure) -> None:
        """Draw another picture."""
        self.picture = picture
        parts = {
            "data": [trace.to_plotly_json() for trace in picture.data],
            "layout": picture.layout.to_plotly_json(),
        }
        self._sent = json.dumps(parts, cls=_Encoder).encode()


class _Encoder(PlotlyJSONEncoder):
    """plotly's, with arrays of numbers as plotly's browser code reads them quickest."""

    def default(self, obj: Any) -> Any:
        if isinstance(obj, np.ndarray) and np.issubdtype(obj.dtype, np.number):
            return {"dtype": "f4", "bdata": base64.b64encode(obj.astype(np.float32).tobytes()).decode()}
        return super().default(obj)
