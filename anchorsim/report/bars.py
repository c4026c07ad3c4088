"""The load on each part, as bars on paper: as found and as recommended, with the range of both."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from numpy.typing import NDArray

from anchorsim.numerics.interval import Interval
from anchorsim.report.drawing import LOOK, SMALL, WIDTH, Drawing, drawing, plain, style
from anchorsim.wording.amounts import percent

_TALL, _BRIEF = 0.16, 0.11  # inches a bar, among all and of a few
_MOST = 2.5  # the share of the WLL at which the paper ends
_ROW = 0.38  # of a part's place that one of two bars takes


Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Bar:
    """A part's load over its WLL, as found and as recommended; None where it is not in line."""

    key: str
    name: str
    before: Interval | None
    after: Interval | None


def utilisation(bars: Sequence[Bar], names: Sequence[str]) -> Drawing:
    """One place a part, from the anchor aft; ``names`` of before and after, one where there is no after."""
    words = (
        f"Peak load on each part as a share of its WLL, {_which(names)}. Thin lines show the range over the "
        "spells and of the findings. The figures are in the table of parts."
    )
    return _drawn(bars, names, _TALL, "Load on each part", words)


def few(bars: Sequence[Bar], names: Sequence[str]) -> Drawing:
    """The same of a few parts, for who has two minutes."""
    words = "Peak load as a share of what the part may carry (WLL), with the anchor holding."
    return _drawn(bars, names, _BRIEF, "Load on the weakest parts", words)


def _drawn(bars: Sequence[Bar], names: Sequence[str], tall: float, heading: str, words: str) -> Drawing:
    both = len(names) > 1
    with style():
        height = tall * len(bars) * (2 if both else 1) * 1.35 + 0.75
        sheet = Figure(figsize=(WIDTH, height), layout="constrained")
        panel = sheet.subplots()
        plain(panel)
        top = _top(bars)
        places = np.arange(len(bars), dtype=float)
        shift = _ROW / 2 if both else 0.0
        _row(panel, places - shift, [bar.before for bar in bars], top, hatched=both)
        if both:
            _row(panel, places + shift, [bar.after for bar in bars], top, hatched=False)
            _key(panel, names)
        panel.axvline(100, color=LOOK.ink, linewidth=1.2, linestyle=(0, (8, 3, 2, 3)))
        panel.annotate("WLL", (100, -0.75), (3, 0), textcoords="offset points", fontsize=SMALL, va="center")
        panel.set(
            xlim=(0, 100 * top),
            ylim=(len(bars) - 0.45, -1.0),
            xlabel="peak load, % of the WLL that is left",
        )
        panel.set_yticks(places, [bar.name for bar in bars])
        panel.tick_params(axis="y", length=0)
        panel.grid(axis="x", color=LOOK.grid, linewidth=0.6)
        return drawing(sheet, heading, words)


def _top(bars: Sequence[Bar]) -> float:
    shares = [share for bar in bars for side in (bar.before, bar.after) if side for share in side]
    return max(1.25, min(1.2 * max((share for share in shares if math.isfinite(share)), default=1.0), _MOST))


def _row(panel: Axes, places: Floats, shares: Sequence[Interval | None], top: float, hatched: bool) -> None:
    """One bar a part with its range as a thin line, and its figure in a column on the right."""
    for place, share in zip(places, shares, strict=True):
        beyond = "→ " if share and share.likely > top else ""
        panel.annotate(
            f"{beyond}{percent(share.likely)}" if share else "no load",
            (1.0, place),
            (5, 0),
            xycoords=("axes fraction", "data"),
            textcoords="offset points",
            va="center",
            fontsize=SMALL,
            fontweight="bold" if share and share.likely > 1 else "normal",
        )
    shown = [(place, share) for place, share in zip(places, shares, strict=True) if share]
    at = [place for place, _ in shown]
    low, likely, high = 100 * np.minimum(np.array([tuple(share) for _, share in shown]).reshape(-1, 3).T, top)
    panel.barh(at, likely, _ROW, **_ink(hatched))
    spread = np.array([likely - low, high - likely])
    panel.errorbar(
        likely, at, xerr=spread, fmt="none", ecolor=LOOK.ink, elinewidth=1.1, capsize=2, capthick=1.1
    )


def _ink(hatched: bool) -> Any:
    """Hatched bars and filled ones are told apart without colour."""
    if hatched:
        return {"color": LOOK.paper, "edgecolor": LOOK.before, "linewidth": 0.7, "hatch": "////"}
    return {"color": LOOK.load, "edgecolor": LOOK.ink, "linewidth": 0.7}


def _key(panel: Axes, names: Sequence[str]) -> None:
    for name, hatched in zip(names, (True, False), strict=True):
        panel.barh([0], [0], label=name, **_ink(hatched))
    panel.legend(
        loc="lower center", bbox_to_anchor=(0.5, 1.0), ncols=2, fontsize=SMALL, frameon=False, borderpad=0
    )


def _which(names: Sequence[str]) -> str:
    if len(names) == 1:
        return "as it is (filled)"
    return f"{names[0].lower()} (hatched) and {names[1].lower()} (filled)"
