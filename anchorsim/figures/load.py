"""Load against time, with the anchor's holding and the WLL of the weakest link; the wind beneath."""

from __future__ import annotations

import numpy as np
import plotly.graph_objects as go

from anchorsim.figures.scene import Array, Scene
from anchorsim.figures.style import METRIC, Theme, Units, axis, figure, label, theme, tint
from anchorsim.numerics.interval import Interval
from anchorsim.wording.amounts import lower


def load_against_time(
    now: Scene,
    before: Scene | None = None,
    *,
    units: Units = METRIC,
    look: Theme | None = None,
    still: float | None = None,
) -> go.Figure:
    """Load at the bow and at the anchor over the run, the holding as a band, the weakest link as a line.

    The cursor is left to the player, or drawn at the time ``still`` (s) for a printed page.
    """
    look = look or theme()
    force, speed, clock = units.force, units.speed, units.time
    at_anchor = {"color": tint(look.load, 0.75), "width": 1, "dash": "dot"}
    dashed = {"color": look.before, "width": 1, "dash": "dash"}
    view = figure(
        look,
        "Load against time",
        "bow solid, anchor dotted" + (", before dashed" if before else ""),
        xaxis=axis(look, f"time ({clock.label})", range=_span(now, clock.factor), anchor="y2", mirror="all"),
        yaxis=axis(
            look, f"load ({force.label})", domain=[0.34, 1], range=[0, _top(now, before) * force.factor]
        ),
        yaxis2=axis(
            look,
            f"wind ({speed.label})",
            domain=[0, 0.26],
            anchor="x",
            range=[0, 1.15 * float(now.track.wind_speed.max()) * speed.factor],
            nticks=4,
        ),
        shapes=[*_limits(now, force.factor, look), *_still(still, clock.factor, look)],
        annotations=_words(now, before, units, look),
    )
    view.add_traces(
        [
            _line("load at the bow before", before, "bow_load", units, dashed),
            _line("load at the anchor", now, "anchor_load", units, at_anchor),
            _line("load at the bow", now, "bow_load", units, {"color": look.load, "width": 1.5}),
            _line("wind", now, "wind_speed", units, {"color": look.wind, "width": 1.5}, yaxis="y2"),
        ]
    )
    return view


def _line(
    name: str, scene: Scene | None, field: str, units: Units, line: dict[str, object], yaxis: str = "y"
) -> go.Scatter:
    unit = units.speed if field == "wind_speed" else units.force
    time: Array = np.empty(0) if scene is None else scene.track.time * units.time.factor
    values: Array = np.empty(0) if scene is None else getattr(scene.track, field) * unit.factor
    return go.Scatter(
        name=name,
        x=time,
        y=values,
        yaxis=yaxis,
        mode="lines",
        line=line,
        hovertemplate=f"%{{y:.3g}} {unit.label}, %{{x:.1f}} {units.time.label}",
    )


def _span(now: Scene, factor: float) -> list[float]:
    return [float(now.track.time[0]) * factor, float(now.track.time[-1]) * factor]


def _top(now: Scene, before: Scene | None) -> float:
    """The top of the load axis in N: the loads always, the limits unless they would flatten the loads."""
    loads = max(float(s.track.bow_load.max()) for s in (now, before) if s is not None)
    weakest = now.weakest()
    limits = [now.holding.high, *([weakest.wll] if weakest else [])]
    return 1.12 * max([loads, *(limit for limit in limits if limit < 3 * loads)])


def _limits(now: Scene, factor: float, look: Theme) -> list[dict[str, object]]:
    whole = {"xref": "paper", "x0": 0, "x1": 1, "yref": "y", "layer": "below"}
    edge = {"color": look.holding, "width": 1}
    band: Interval = now.holding
    shapes: list[dict[str, object]] = [
        {
            **whole,
            "type": "rect",
            "y0": band.low * factor,
            "y1": band.high * factor,
            "fillcolor": tint(look.holding, 0.16),
            "line": edge,
        },
        {**whole, "type": "line", "y0": band.likely * factor, "y1": band.likely * factor, "line": edge},
    ]
    weakest = now.weakest()
    if weakest:
        level = weakest.wll * factor
        line = {"color": look.limit, "width": 2, "dash": "longdashdot"}
        shapes.append({**whole, "type": "line", "y0": level, "y1": level, "line": line})
    return shapes


def _still(still: float | None, factor: float, look: Theme) -> list[dict[str, object]]:
    if still is None:
        return []
    place = {"xref": "x", "yref": "paper", "x0": still * factor, "x1": still * factor, "y0": 0, "y1": 1}
    return [{"type": "line", **place, "line": {"color": look.ink, "width": 1}}]


def _words(now: Scene, before: Scene | None, units: Units, look: Theme) -> list[dict[str, object]]:
    force, top = units.force, _top(now, before)
    span = now.holding
    low, high = force.text(span.low), force.text(span.high)
    words = [_level(look, f"anchor's holding {low} to {high}", span.high, top, force.factor, x=0)]
    weakest = now.weakest()
    if weakest:
        text = f"WLL of the {lower(weakest.name)}, {force.text(weakest.wll)}"
        words.append(_level(look, text, weakest.wll, top, force.factor, x=1))
    return words


def _level(look: Theme, text: str, level: float, top: float, factor: float, *, x: int) -> dict[str, object]:
    """A name on a line; a line above the top of the axis is named at the top, with an arrow."""
    side = {"xref": "paper", "x": x, "xanchor": "right" if x else "left"}
    if level < top:
        return label(look, text, **side, y=level * factor, yanchor="bottom")
    return label(look, f"↑ {text}", **side, yref="paper", y=1, yanchor="top")
