"""Load against time, with the anchor's holding and the WLL of the weakest link; the wind beneath."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import plotly.graph_objects as go

from anchorsim.figures.scene import Array, Scene
from anchorsim.figures.setups import Setup, key, line_of, setups, slots
from anchorsim.figures.style import METRIC, Theme, Units, axis, enlarged, label, lean, tint
from anchorsim.numerics.interval import Interval
from anchorsim.wording.amounts import lower


def load_against_time(
    now: Scene,
    others: Sequence[Scene] = (),
    *,
    units: Units = METRIC,
    look: Theme | None = None,
    scale: float = 1.0,
    still: float | None = None,
) -> go.Figure:
    """Load at the bow and at the anchor over the run, the holding as a band, the weakest link as a line.

    Up to three others are laid over it with their loads at the bow.  The cursor is left to the player, or
    drawn at the time ``still`` (s) for a printed page.
    """
    look = enlarged(look, scale)
    force, speed, clock = units.force, units.speed, units.time
    shown = setups(now, others, look)
    windiest = float(now.track.wind_speed.max()) * speed.factor
    mark = max(10 * (windiest // 10), 5)
    at_anchor = {"color": tint(shown[0].colour, 0.75), "width": look.stroke(1), "dash": "dot"}
    wind = {"color": look.faint if others else look.wind, "width": look.stroke(1)}
    view = lean(
        look,
        "Load and wind",
        key(shown) or "bow solid, anchor dotted",
        left=50,
        xaxis=axis(
            look,
            "",
            range=_span(now, clock.factor),
            ticksuffix=f" {clock.label}",
            anchor="y2",
            mirror="all",
        ),
        yaxis=axis(
            look,
            "",
            domain=[0.36, 1],
            range=[0, _top(shown) * force.factor],
            nticks=4,
            ticksuffix=f" {force.label}",
        ),
        yaxis2=axis(
            look,
            "",
            domain=[0, 0.27],
            anchor="x",
            range=[0, 1.15 * windiest],
            tickvals=[0, mark],
            ticktext=["0", f"{mark:.0f} {speed.label}"],
        ),
        shapes=[*_limits(shown[0], force.factor, look), *_still(still, clock.factor, look)],
        annotations=_words(shown, units, look),
    )
    for place, other in enumerate(slots(shown), 1):
        line = line_of(other, look, 1.5)
        view.add_trace(
            _line(f"load at the bow, other {place}", other.scene if other else None, "bow_load", units, line)
        )
    view.add_traces(
        [
            _line("load at the anchor", None if others else now, "anchor_load", units, at_anchor),
            _line("load at the bow", now, "bow_load", units, line_of(shown[0], look, 1.5)),
            _line("wind", now, "wind_speed", units, wind, yaxis="y2"),
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


def _top(shown: Sequence[Setup]) -> float:
    """The top of the load axis in N: the loads always, the limits unless they would flatten the loads."""
    now = shown[0].scene
    loads = max(float(one.scene.track.bow_load.max()) for one in shown)
    weakest = now.weakest()
    limits = [now.holding.high, *([weakest.wll] if weakest else [])]
    return 1.12 * max([loads, *(limit for limit in limits if limit < 3 * loads)])


def _limits(front: Setup, factor: float, look: Theme) -> list[dict[str, object]]:
    """Holding and WLL of the set-up in front, in its colour where it is among others."""
    whole = {"xref": "paper", "x0": 0, "x1": 1, "yref": "y", "layer": "below"}
    colour = front.colour if front.letter else look.holding
    edge = {"color": colour, "width": look.stroke(1)}
    band: Interval = front.scene.holding
    shapes: list[dict[str, object]] = [
        {
            **whole,
            "type": "rect",
            "y0": band.low * factor,
            "y1": band.high * factor,
            "fillcolor": tint(colour, 0.16),
            "line": edge,
        },
        {**whole, "type": "line", "y0": band.likely * factor, "y1": band.likely * factor, "line": edge},
    ]
    weakest = front.scene.weakest()
    if weakest:
        level = weakest.wll * factor
        line = {
            "color": front.colour if front.letter else look.limit,
            "width": look.stroke(2),
            "dash": "longdashdot",
        }
        shapes.append({**whole, "type": "line", "y0": level, "y1": level, "line": line})
    return shapes


def _still(still: float | None, factor: float, look: Theme) -> list[dict[str, object]]:
    if still is None:
        return []
    place = {"xref": "x", "yref": "paper", "x0": still * factor, "x1": still * factor, "y0": 0, "y1": 1}
    return [{"type": "line", **place, "line": {"color": look.ink, "width": look.stroke(1)}}]


def _words(shown: Sequence[Setup], units: Units, look: Theme) -> list[dict[str, object]]:
    force, top, now = units.force, _top(shown), shown[0].scene
    whose = f"{shown[0].letter}: " if shown[0].letter else ""
    low, high = force.text(now.holding.low), force.text(now.holding.high)
    words = [
        _level(look, f"{whose}anchor's holding {low} to {high}", now.holding.high, top, force.factor, x=0)
    ]
    weakest = now.weakest()
    if weakest:
        text = f"{whose}WLL of the {lower(weakest.name)}, {force.text(weakest.wll)}"
        words.append(_level(look, text, weakest.wll, top, force.factor, x=1))
    return words


def _level(look: Theme, text: str, level: float, top: float, factor: float, *, x: int) -> dict[str, object]:
    """A name on a line; a line above the top of the axis is named at the top, with an arrow."""
    side = {"xref": "paper", "x": x, "xanchor": "right" if x else "left", "name": "first"}
    if level < top:
        return label(look, text, **side, y=level * factor, yanchor="bottom")
    return label(look, f"↑ {text}", **side, yref="paper", y=1, yanchor="top")
