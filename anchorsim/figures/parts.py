"""The load on each part: its peak against its WLL and the strength that is left of it."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import plotly.graph_objects as go

from anchorsim.figures.scene import BREAKS, Part, Scene
from anchorsim.figures.setups import Setup, key, line_of, setups, slots
from anchorsim.figures.style import (
    METRIC,
    SMALL,
    Theme,
    Units,
    axis,
    enlarged,
    label,
    lean,
    tint,
    whiskers,
)

_EDGE = {"xref": "paper", "x": 1, "xanchor": "right"}
_BAR, _BARS = 0.5, 0.8  # rows: how wide bars are, alone and all together
_HEAD = 1.45  # rows over the first part, for words
_BOLD = 0.68  # of its size of type that a bold letter is wide
_LONGEST = 200.0  # per cent of the WLL that the axis goes up to


def utilisation(
    now: Scene,
    others: Sequence[Scene] = (),
    *,
    units: Units = METRIC,
    look: Theme | None = None,
    scale: float = 1.0,
    still: float | None = None,
) -> go.Figure:
    """One bar a part, from anchor to bow, in per cent of its WLL, with its range if there is one.

    Up to three others have their bars beneath those of the parts of the same name.  The needles that show the
    load now are left to the player, or drawn at the time ``still`` (s) for a printed page.
    """
    look = enlarged(look, scale)
    parts = now.parts
    shown = setups(now, others, look)
    top = _top(shown)
    view = lean(
        look,
        "Load on each part",
        f"{key(shown)}  in this spell" if others else "of its WLL, ▼ now",
        left=8,
        xaxis=axis(look, "", range=[0, top], ticksuffix=" %", nticks=5),
        yaxis=axis(
            look,
            "",
            range=[len(parts) - 0.45, -_HEAD],
            tickvals=list(range(len(parts))),
            ticktext=[f"<b>{part.name}</b>" if part.weakest else part.name for part in parts],
            ticks="",
            showgrid=False,
        ),
        shapes=[_wll(look), *_needles(shown, still, look)],
        annotations=[
            *(text for row, part in enumerate(parts) for text in _words(part, row, top, shown, look)),
            label(look, "WLL", name="second here", x=100, y=-_HEAD, yanchor="top"),
            *(
                [label(look, "strength left", name="second", y=-_HEAD, yanchor="top", **_EDGE)]
                if parts
                else []
            ),
        ],
        bargap=0.0,
        barmode="overlay",
    )
    view.add_traces(
        [
            _bars(shown[0], lane(0, len(shown)), look, units),
            *(
                _outlines(f"other {place}", other, parts, lane(place, len(shown)), look)
                for place, other in enumerate(slots(shown), 1)
            ),
            _ends(parts, look),
        ]
    )
    return view


def lane(place: int, count: int) -> tuple[float, float]:
    """Where in a row the bars of one of so many set-ups run: middle and width, in rows."""
    width = (_BAR if count == 1 else _BARS) / count
    return (place + 0.5 - 0.5 * count) * width, width * (1.0 if count == 1 else 0.86)


def _ends(parts: tuple[Part, ...], look: Theme) -> go.Scatter:
    return go.Scatter(
        name="strength left",
        x=np.array([percent(part, part.strength_left) for part in parts]),
        y=np.arange(len(parts), dtype=np.float64),
        mode="markers",
        marker={
            "symbol": "x-thin",
            "size": 9 * look.scale,
            "line": {"width": look.stroke(2), "color": look.ink},
        },
        text=[part.failure for part in parts],
        hovertemplate="%{text} at %{x:.0f} %<extra></extra>",
    )


def percent(part: Part, load: float) -> float:
    """A load on a part as per cent of its WLL."""
    return 100 * load / part.wll


def _top(shown: Sequence[Setup]) -> float:
    parts = shown[0].scene.parts
    highest = max((percent(part, part.peak.high) for part in parts), default=100.0)
    likely = [percent(part, part.peak.likely) for one in shown for part in one.scene.parts]
    strength_left = max((percent(part, part.strength_left) for part in parts), default=100.0)
    return max(125.0, 1.08 * max([highest, *likely]), min(1.05 * strength_left, _LONGEST))


def _bars(front: Setup, place: tuple[float, float], look: Theme, units: Units) -> go.Bar:
    parts = front.scene.parts
    peaks = [percent(part, part.peak.likely) for part in parts]
    ends = [percent(p, p.peak.low) for p in parts], [percent(p, p.peak.high) for p in parts]
    weakest = front.colour if front.letter else look.limit
    return go.Bar(
        name="peak load",
        orientation="h",
        x=np.array(peaks),
        y=np.arange(len(parts), dtype=np.float64) + place[0],
        width=place[1],
        marker={
            "color": [weakest if part.weakest else front.colour for part in parts],
            "line": {"color": look.ink, "width": 0.5},
            "pattern": {
                "shape": ["/" if peak > 100 else "" for peak in peaks],
                "solidity": 0.35,
                "fgcolor": look.paper,
            },
        },
        error_x=whiskers(look.ink, peaks, *ends, width=5 if place[1] > 0.2 else 2),
        customdata=[f"{units.force.text(p.peak.likely)} of {units.force.text(p.wll)}" for p in parts],
        hovertemplate="%{customdata} (%{x:.0f} %)<extra></extra>",
    )


def _outlines(
    name: str, other: Setup | None, parts: tuple[Part, ...], place: tuple[float, float], look: Theme
) -> go.Scatter:
    """Another set-up's bars, each in the row of the part of the same name, outlined with its dash."""
    peaks = {part.name: percent(part, part.peak.likely) for part in other.scene.parts} if other else {}
    x: list[float | None] = []
    y: list[float | None] = []
    for row, part in enumerate(parts):
        if part.name in peaks:
            upper, lower, end = row + place[0] - place[1] / 2, row + place[0] + place[1] / 2, peaks[part.name]
            x += [0.0, end, end, 0.0, 0.0, None]
            y += [upper, upper, lower, lower, upper, None]
    return go.Scatter(
        name=name,
        x=x,
        y=y,
        mode="lines",
        fill="toself",
        fillcolor=tint(other.colour if other else look.ink, 0.3),
        line=line_of(other, look, 1.5),
        hovertemplate=f"{other.letter if other else ''}: %{{x:.0f}} %<extra></extra>",
    )


def _wll(look: Theme) -> dict[str, object]:
    line = {"color": look.ink, "width": look.stroke(1.5), "dash": "longdashdot"}
    return {"type": "line", "x0": 100, "x1": 100, "yref": "paper", "y0": 0, "y1": 1, "line": line}


def _needles(shown: Sequence[Setup], still: float | None, look: Theme) -> list[dict[str, object]]:
    if still is None:
        return []
    now = shown[0].scene
    middle, width = lane(0, len(shown))
    at = int(np.argmin(np.abs(now.track.time - still)))
    loads = {"bow": float(now.track.bow_load[at]), "anchor": float(now.track.anchor_load[at])}
    line = {"color": look.ink, "width": look.stroke(3)}
    return [
        {
            "type": "line",
            "x0": level,
            "x1": level,
            "y0": row + middle - 0.6 * width,
            "y1": row + middle + 0.6 * width,
            "line": line,
        }
        for row, part in enumerate(now.parts)
        for level in [percent(part, loads[part.at] * part.share)]
    ]


def _words(part: Part, row: int, top: float, shown: Sequence[Setup], look: Theme) -> list[dict[str, object]]:
    likely, high, strength_left = (
        percent(part, v) for v in (part.peak.likely, part.peak.high, part.strength_left)
    )
    fails = "" if part.failure == BREAKS else f"{part.failure} at "
    ends = f"{fails}{strength_left:.0f} %{' →' if strength_left > top else ''}"
    figure = f"{shown[0].letter} {likely:.0f} %".strip()
    text = f"<b>{figure}{' weakest' if part.weakest else ''}</b>"
    if len(shown) == 2:  # of more there is no room for all, and one row must not tell more than the next
        for same in (each for each in shown[1].scene.parts if each.name == part.name):
            other = percent(same, same.peak.likely)
            text, high = f"{text} {shown[1].letter} {other:.0f} %", max(high, other)
    fits = high < (0.75 if len(shown) == 1 else 0.6) * top
    past = {"x": high, "xanchor": "left", "xshift": 6} if fits else _EDGE
    quiet = {"font": {"size": look.text(SMALL), "color": look.faint}}
    beside = []
    if fits and part.weakest and len(shown) == 1:  # the word by itself, for a narrow view to leave out
        text, far = f"<b>{figure}</b>", 10 + _BOLD * look.text(SMALL) * len(figure)
        there = past | {"xshift": far, "y": row, "yanchor": "middle"}
        beside = [label(look, "<b>weakest</b>", name="third here", **there)]
    below = row + 0.36 if high > 0.5 * top else row  # where the figure reaches across
    return [
        label(look, text, name="first here", y=row, yanchor="middle", **past),
        *beside,
        label(look, ends, name="third here", y=below, yanchor="middle", **_EDGE, **quiet),
    ]
