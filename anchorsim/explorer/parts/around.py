"""What lies round the anchor, as a widget: rows to type in, and handles over the view from above."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import anywidget
import traitlets


class Around(anywidget.AnyWidget):
    """Rows where the widget stands, and handles over the plot of the view from above on the same screen.

    ``things``: each key, kind (point, line, area or neighbour), name, corners ([north, east] m), at (the
    nearest of them to the anchor, m), bearing (degrees), distance, depth, boat and rode (None where they do
    not apply), and note and tone of how she clears it.  ``unit`` is that of lengths, ``per`` how many of it
    are a metre.

    It sends ``{"do": "put", "kind", "at"}``, ``{"do": "move", "key", "corners", "keys"}``, ``{"do": "remove",
    "key"}`` and ``{"do": "set", "key", "field", "value"}``.  Where one was refused, ``{"do": "again"}`` sent
    to it shows ``things`` as they are.
    """

    _esm = Path(__file__).with_name("around.js")

    things: traitlets.List[Any] = traitlets.List().tag(sync=True)
    boats: traitlets.List[Any] = traitlets.List().tag(sync=True)
    unit = traitlets.Unicode("m").tag(sync=True)
    per = traitlets.Float(1.0).tag(sync=True)
    words = traitlets.Dict().tag(sync=True)
