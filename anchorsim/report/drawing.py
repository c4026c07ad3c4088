"""What the report's drawings have in common: matplotlib on paper, in the colours of the screen.

Each drawing becomes one self-contained SVG with its letters as outlines, so that it looks the same in a
browser and on paper.
"""

from __future__ import annotations

import base64
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
    """A drawing as the page takes it in: a data address, what it shows in words, and its heading."""

    address: str
    words: str
    heading: str


@contextmanager
def style() -> Iterator[None]:
    """Within it, figures are made and saved in the report's style, whatever a ``matplotlibrc`` says.

    matplotlib reads one in the folder it was started in, by which letters could be set by another program.
    """
    with mpl.rc_context():
        mpl.rcdefaults()
        mpl.rcParams.update(_STYLE)
        yield


def as_svg(figure: Figure, heading: str, words: str) -> Drawing:
    """The figure as SVG in a data address."""
    if layout := figure.get_layout_engine():  # once is enough; saving would draw all of it for that again
        layout.execute(figure)
        figure.set_layout_engine("none")
    sheet = io.StringIO()
    figure.savefig(sheet, format="svg", metadata=_NOT_SAID)
    text = sheet.getvalue()
    drawn = text[text.index("<svg") :]  # without the prologue, which names an address on the net
    code = base64.b64encode(drawn.encode()).decode()
    return Drawing(f"data:image/svg+xml;base64,{code}", words, heading)


def plain(axes: Axes) -> None:
    """Only the left and lower edges, and a grid that stays behind."""
    axes.spines[["top", "right"]].set_visible(False)
    axes.set_axisbelow(True)
