"""A group's headline: it opens and folds the group, and tells its values while that is folded."""

from __future__ import annotations

from pathlib import Path

import anywidget
import traitlets


class Fold(anywidget.AnyWidget):
    """The first child of a box of the class ``anchorsim-group``, whose other children it shows or not."""

    _esm = Path(__file__).with_name("fold.js")

    title = traitlets.Unicode().tag(sync=True)
    headline = traitlets.Unicode().tag(sync=True)
    unfolded = traitlets.Bool(False).tag(sync=True)
