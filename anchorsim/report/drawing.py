"""What the report's drawings have in common: matplotlib on paper, in the colours of the screen.

A drawing is had as one self-contained SVG with its letters as outlines, so that it looks the same in a
browser and on paper, and as PNG where a program knows no SVG.
"""

from __future__ import annotations

import base64
import functools
import io
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any

import matplotlib as mpl
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from anchorsim.figures import theme

LOOK = theme()
WIDTH = 6.8  # inches: between the margins of A4 and of Letter
SMALL, NORMAL = 7.0, 8.0  # points
_DOTS = 200  # to the inch, of a PNG

_STYLE: Any = {
    "font.family": "DejaVu Sans",  # comes with matplotlib, so that every machine draws the same
    "font.size": NORMAL,
    "axes.edgecolor": LOOK.faint,
    "axes.labelcolor": LOOK.ink,
    "axes.linewidth": 0.6,
    "axes.titlesize": NORMAL,
    "axes.titleweight": "bold",
    "axes.titlelocation": "left",
    "axes.labelsize": SMALL,
    "xtick.labelsize": SMALL,
    "ytick.labelsize": SMALL,
    "xtick.color": LOOK.faint,
    "ytick.color": LOOK.faint,
    "xtick.labelcolor": LOOK.ink,
    "ytick.labelcolor": LOOK.ink,
    "text.color": LOOK.ink,
    "text.parse_math": False,  # a dollar sign is a dollar sign
    "hatch.linewidth": 0.6,
    "svg.fonttype": "path",
    "svg.hashsalt": "anchorsim",  # the same picture is the same file
    "path.simplify_threshold": 0.3,
}
_NOT_SAID = dict.fromkeys(("Creator", "Date", "Format", "Type"))


@dataclass(frozen=True)
class Drawing:
    """A drawing: its heading, what it shows in words, and itself, as whoever takes it in asks for."""

    figure: Figure
    heading: str
    words: str

    @functools.cached_property
    def address(self) -> str:
        """As SVG, in a data address."""
        sheet = io.StringIO()
        with style():
            self.figure.savefig(sheet, format="svg", metadata=_NOT_SAID)
        text = sheet.getvalue()
        drawn = text[text.index("<svg") :]  # without the prologue, which names an address on the net
        return f"data:image/svg+xml;base64,{base64.b64encode(drawn.encode()).decode()}"

    @functools.cached_property
    def png(self) -> bytes:
        """As PNG."""
        sheet = io.BytesIO()
        with style():
            self.figure.savefig(sheet, format="png", dpi=_DOTS, metadata={"Software": None})
        return sheet.getvalue()


@contextmanager
def style() -> Iterator[None]:
    """Within it, figures are made and saved in the report's style, whatever a ``matplotlibrc`` says.

    matplotlib reads one in the folder it was started in, by which letters could be set by another program.
    """
    with mpl.rc_context():
        mpl.rcdefaults()
        mpl.rcParams.update(_STYLE)
        yield


def drawing(figure: Figure, heading: str, words: str) -> Drawing:
    """A drawing of a figure, which is laid out once; saving would else do that again, and draw all of it."""
    if layout := figure.get_layout_engine():
        layout.execute(figure)
        figure.set_layout_engine("none")
    return Drawing(figure, heading, words)


def plain(axes: Axes) -> None:
    """Only the left and lower edges, and a grid that stays behind."""
    axes.spines[["top", "right"]].set_visible(False)
    axes.set_axisbelow(True)
