"""A night against the clock: the chance of failing, load and scope hour by hour; water and wind beneath."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np
import plotly.graph_objects as go
from numpy.typing import NDArray

from anchorsim.core.units import si
from anchorsim.figures.style import METRIC, SMALL, Theme, Units, axis, figure, label, theme, tint, whiskers
from anchorsim.wording.amounts import bearing

if TYPE_CHECKING:  # a first picture does not wait for the statistics
    from anchorsim.numerics.interval import Interval
    from anchorsim.planning.night import Hour, Night

Floats = NDArray[np.float64]

_PANELS = (0.27, 0.2, 0.14, 0.16, 0.23)  # shares of the height, from the top
_GAP = 0.03
_STEP = 120.0  # s between the points of a tide's curve
_MOST_TICKS = 9


def through_the_night(
    found: Night, *, units: Units = METRIC, look: Theme | None = None, still: float | None = None
) -> go.Figure:
    """Five panels over one clock: chance of failing, load at the bow, scope, depth of water, wind.

    Marks are an hour's figures with their 95 % bands as whiskers, which end at the mark where so few spells
    tell no end; hours over the limit carry another mark and another colour.  The load is what one spell in
    twenty passes.  The worst hour is shaded, and so are the times aground.  ``still``: the
    time (s on the forecast's clock) of a cursor, for a printed page; on screen the one who scrubs draws it.
    """
    look = look or theme()
    top, axes = 1.0, {}
    titles = (
        "fails (in<br>100 spells)",
        f"peak load,<br>1 in 20 more<br>({units.force.label})",
        "scope",
        f"water<br>({units.length.label})",
        f"wind<br>({units.speed.label})",
    )
    for place, (share, title) in enumerate(zip(_PANELS, titles, strict=True)):
        low = max(top - share + (_GAP if place < len(_PANELS) - 1 else 0.0), 0.0)
        axes[f"yaxis{place + 1}"] = axis(
            look, title, domain=[low, top], anchor="x", rangemode="tozero", nticks=4
        )
        top -= share
    axes["yaxis1"]["range"] = [0, 100]
    view = figure(
        look,
        "Through the night",
        "whiskers: 95 % confidence; ◆ hour over your limit; gusts dotted, arrows point downwind",
        height=640,
        margin={"l": 72, "r": 14, "t": 62, "b": 44},
        xaxis=axis(look, "time", anchor="y5", mirror="all", **clock_axis(found)),
        shapes=[*_shades(found, look), *_levels(found, units, look), *_cursor(still, look)],
        annotations=_words(found, units, look),
        **axes,
    )
    looked = [hour for hour in found.hours if hour.assessment is not None]
    chances = [hour.assessment.chance("failed") for hour in looked if hour.assessment]
    loads = [hour.assessment.bad_peak_load for hour in looked if hour.assessment]
    hours, speed = list(found.hours), units.speed.factor
    afloat = [hour for hour in hours if not hour.aground]
    view.add_traces(
        [
            *_marks("fails", looked, chances, 100.0, "y", look),
            *_marks("load", looked, loads, units.force.factor, "y2", look),
            steps("scope", afloat, [hour.scope for hour in afloat], "y3", look.holding),
            _water(found, units, look),
            steps("gusts", hours, [hour.si.gust * speed for hour in hours], "y5", look.wind, "dot"),
            steps("mean wind", hours, [hour.si.mean_wind * speed for hour in hours], "y5", look.wind),
            arrows(hours, [hour.si.mean_wind * speed for hour in hours], look),
        ]
    )
    return view


def end_of(found: Night) -> float:
    """When the last hour is over, s on the forecast's clock."""
    last = found.hours[-1]
    return last.si.time + last.si.lasts


def clock_axis(found: Night) -> dict[str, object]:
    """Ticks at the beginnings of hours, no more than fit."""
    times = [hour.si.time for hour in found.hours]
    shown = [*times, end_of(found)][:: math.ceil((len(times) + 1) / _MOST_TICKS)]
    return {
        "range": [times[0], end_of(found)],
        "tickvals": shown,
        "ticktext": [found.forecast.clock.text(time) for time in shown],
    }


def _middle(hour: Hour) -> float:
    return hour.si.time + 0.5 * hour.si.lasts


def _marks(
    name: str, hours: list[Hour], estimates: list[Interval], factor: float, at: str, look: Theme
) -> tuple[go.Scatter, go.Scatter]:
    """Figures with their bands in the middle of each hour, and the steps from one to the next."""
    values = [estimate.likely * factor for estimate in estimates]
    ends = [max(each.low, 0.0) * factor for each in estimates], [each.high * factor for each in estimates]
    marks = go.Scatter(
        name=name,
        x=[_middle(hour) for hour in hours],
        y=values,
        yaxis=at,
        mode="markers",
        cliponaxis=False,
        marker={
            "symbol": ["diamond" if hour.over_limit else "circle" for hour in hours],
            "color": [look.limit if hour.over_limit else look.load for hour in hours],
            "size": 9,
            "line": {"color": look.ink, "width": 1},
        },
        error_y=whiskers(tint(look.ink, 0.6), values, *ends, width=4),
        customdata=[hour.assessment.most_loaded.name if hour.assessment else "" for hour in hours],
        hovertemplate="%{y:.3g}; most loaded: %{customdata}<extra></extra>",
    )
    return steps(f"{name} by the hour", hours, values, at, look.load), marks


def steps(
    name: str, hours: list[Hour], values: list[float], at: str, colour: str, dash: str = "solid"
) -> go.Scatter:
    """A figure that stands through each hour, with a gap where hours are left out."""
    time: list[float] = []
    shown: list[float | None] = []
    for hour, value in zip(hours, values, strict=True):
        if time and time[-1] != hour.si.time:
            time.append(hour.si.time)
            shown.append(None)
        time += [hour.si.time, hour.si.time + hour.si.lasts]
        shown += [value, value]
    return go.Scatter(
        name=name,
        x=time,
        y=shown,
        yaxis=at,
        mode="lines",
        line={"color": colour, "width": 2, "dash": dash},
        hovertemplate="%{y:.3g}<extra></extra>",
    )


def arrows(hours: list[Hour], winds: list[float], look: Theme, at: str = "y5") -> go.Scatter:
    """Where it blows to, on the mean wind; north is up."""
    return go.Scatter(
        name="wind direction",
        x=[_middle(hour) for hour in hours],
        y=winds,
        yaxis=at,
        mode="markers",
        cliponaxis=False,
        marker={
            "symbol": "arrow",
            "angle": [(math.degrees(hour.si.direction) + 180.0) % 360.0 for hour in hours],
            "size": 13,
            "color": look.wind,
            "line": {"color": look.ink, "width": 1},
        },
        customdata=[bearing(hour.si.direction) for hour in hours],
        hovertemplate="from %{customdata}<extra></extra>",
    )


def depths(found: Night) -> tuple[Floats, Floats]:
    """Times (s on the forecast's clock) and depths (m).

    At the anchor along the tide's curve where there is one, else from hour to hour.
    """
    time = np.array([*(hour.si.time for hour in found.hours), end_of(found)])
    depth = np.array([*(hour.si.depth for hour in found.hours), found.hours[-1].si.depth])
    if found.tide is not None:
        end = min(end_of(found), float(found.tide.si.time[-1]))
        time = np.append(np.arange(time[0], end, _STEP), end)
        depth = si(found.scenario.spot.depth) + found.tide.si.at(time)
    return time, depth


def _water(found: Night, units: Units, look: Theme) -> go.Scatter:
    time, depth = depths(found)
    return go.Scatter(
        name="water",
        x=time,
        y=depth * units.length.factor,
        yaxis="y4",
        mode="lines",
        line={"color": look.load, "width": 2},
        hovertemplate="%{y:.3g}<extra></extra>",
    )


def _shades(found: Night, look: Theme) -> list[dict[str, object]]:
    whole = {"type": "rect", "xref": "x", "yref": "paper", "y0": 0, "y1": 1, "layer": "below"}
    shades: list[dict[str, object]] = [
        {**whole, "x0": each.si.start, "x1": each.si.end, "fillcolor": look.bottom, "line": {"width": 0}}
        for each in found.groundings
    ]
    if (worst := found.worst) is not None:
        edge = {"color": look.limit, "width": 1.5, "dash": "solid" if worst.over_limit else "dot"}
        fill = tint(look.limit, 0.14)
        ends = {"x0": worst.si.time, "x1": worst.si.time + worst.si.lasts}
        shades.append({**whole, **ends, "fillcolor": fill, "line": edge})
    return shades


def _levels(found: Night, units: Units, look: Theme) -> list[dict[str, object]]:
    """Her draught, in the panel of the water."""
    draught = si(found.scenario.boat.draught) * units.length.factor
    line = {"color": look.limit, "width": 1.5, "dash": "longdashdot"}
    return [
        {"type": "line", "xref": "paper", "x0": 0, "x1": 1, "yref": "y4", "y0": draught, "y1": draught,
         "line": line},
    ]  # fmt: skip


def _cursor(still: float | None, look: Theme) -> list[dict[str, object]]:
    if still is None:
        return []
    place = {"xref": "x", "yref": "paper", "x0": still, "x1": still, "y0": 0, "y1": 1}
    return [{"type": "line", **place, "line": {"color": look.ink, "width": 1}}]


def _words(found: Night, units: Units, look: Theme) -> list[dict[str, object]]:
    clock, words = found.forecast.clock, []
    if (worst := found.worst) is not None:
        text = f"{'over your limit' if worst.over_limit else 'highest risk'}: {clock.text(worst.si.time)}"
        start, end = found.hours[0].si.time, end_of(found)
        share = (_middle(worst) - start) / (end - start)
        side = "left" if share < 0.15 else "right" if share > 0.85 else "center"
        place = {"xref": "x", "x": _middle(worst), "xanchor": side, "yref": "paper", "y": 1}
        words.append(label(look, text, **place, yanchor="bottom"))
    for each in found.groundings:
        middle = 0.5 * (each.si.start + each.si.end)
        words.append(label(look, "aground", xref="x", x=middle, yref="y2 domain", y=0.5))
    draws = f"draught {units.length.text(si(found.scenario.boat.draught))}"
    place = {"xref": "paper", "x": 0.01, "xanchor": "left", "yref": "y4 domain", "y": 0.02}
    quiet = {"font": {"size": SMALL, "color": look.faint}}
    return [*words, label(look, draws, **place, yanchor="bottom") | quiet]
