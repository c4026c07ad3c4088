"""One night for several set-ups, hour by hour: wind, and how often each fails, its water and its scope."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING, Any

import numpy as np
import plotly.graph_objects as go

from anchorsim.core.units import si
from anchorsim.figures.night import arrows, clock_axis, depths, end_of, steps
from anchorsim.figures.setups import STROKES, drawn_as
from anchorsim.figures.style import (
    METRIC,
    SMALL,
    Theme,
    Units,
    axis,
    figure,
    label,
    plain,
    theme,
    whiskers,
)
from anchorsim.planning.hours import GALE
from anchorsim.risk.outcome import LIMIT

if TYPE_CHECKING:  # a first picture does not wait for the statistics
    from anchorsim.planning.night import Hour, Night

_PANELS = (0.27, 0.36, 0.21, 0.16)  # shares of the height, from the top
_GAP = 0.045
_LONGEST = 26  # characters of a name in the key


def nights_together(
    found: Mapping[str, Night],
    names: Mapping[str, str] | None = None,
    *,
    units: Units = METRIC,
    look: Theme | None = None,
    still: int | None = None,
) -> go.Figure:
    """Four panels over one clock for the nights of up to four set-ups by letter, all of one forecast.

    Wind with gusts; how often each set-up fails in the spells of an hour, with its 95 % band; depth of water;
    scope.  Each has the colour and dash of its letter, and its name of ``names``.
    ``still``: the hour that is marked.
    """
    look = look or theme()
    first = next(iter(found.values()))
    top, axes = 1.0, {}
    for place, share in enumerate(_PANELS):
        low = max(top - share + (_GAP if place < len(_PANELS) - 1 else 0.0), 0.0)
        axes[f"yaxis{place + 1}"] = axis(
            look, "", domain=[low, top], anchor="x", rangemode="tozero", nticks=3
        )
        top -= share
    axes["yaxis2"] |= {"range": [0, 104], "tickvals": [0, 50]}
    view = figure(
        look,
        "",
        _key(found, names or {}, look) or "whiskers: 95 % confidence",
        margin={"l": 44, "r": 14, "t": 26, "b": 26},
        xaxis=axis(look, "", anchor="y4", mirror="all", **clock_axis(first)),
        shapes=marked(found, units, look, still),
        annotations=list(_words(first, units, look)),
        **axes,
    )
    view.add_traces(list(_wind(first, units, look)))
    for place, (letter, night) in enumerate(found.items()):
        view.add_traces(list(_set_up(letter, night, place, units, look)))
    return view


def marked(
    found: Mapping[str, Night], units: Units, look: Theme, still: int | None = None
) -> list[dict[str, Any]]:
    """What lies behind the lines: the hour marked, the limit, a gale, the draughts, the times aground."""
    first = next(iter(found.values()))
    across = {"type": "line", "xref": "paper", "x0": 0, "x1": 1, "layer": "below"}
    quiet = {"color": look.faint, "width": look.stroke(1.5), "dash": "longdashdot"}
    levels = [("y", GALE * units.speed.factor), ("y2", 100.0 * LIMIT)]
    levels += sorted(
        {("y3", si(night.scenario.boat.draught) * units.length.factor) for night in found.values()}
    )
    shapes: list[dict[str, Any]] = [
        {**across, "yref": at, "y0": level, "y1": level, "line": quiet} for at, level in levels
    ]
    for night in found.values():
        shapes += [_shade(look.bottom, each.si.start, each.si.end, 0.5) for each in night.groundings]
    if still is not None:
        hour = first.hours[still]
        shapes.insert(0, _shade(look.load, hour.si.time, hour.si.time + hour.si.lasts, 0.18))
    return shapes


def _shade(colour: str, start: float, end: float, opacity: float) -> dict[str, Any]:
    return {
        "type": "rect", "xref": "x", "yref": "paper", "y0": 0, "y1": 1, "x0": start, "x1": end,
        "fillcolor": colour, "opacity": opacity, "line": {"width": 0}, "layer": "below",
    }  # fmt: skip


def _key(found: Mapping[str, Night], names: Mapping[str, str], look: Theme) -> str:
    """The lines of the set-ups, in words."""
    if len(found) == 1:
        return ""
    said = []
    for letter in found:
        colour, dash = drawn_as(letter, look)
        name = textwrap.shorten(names.get(letter, ""), _LONGEST, placeholder="…")
        said.append(f'<span style="color:{colour}">{STROKES[dash]}</span> <b>{letter}</b> {plain(name)}')
    return "   ".join(said)


def _wind(found: Night, units: Units, look: Theme) -> Iterator[go.Scatter]:
    hours, factor = list(found.hours), units.speed.factor
    means = [hour.si.mean_wind * factor for hour in hours]
    yield steps("gusts", hours, [hour.si.gust * factor for hour in hours], "y", look.faint, "dot")
    yield steps("mean wind", hours, means, "y", look.faint)
    yield arrows(hours, means, look, "y")


def _set_up(letter: str, found: Night, place: int, units: Units, look: Theme) -> Iterator[go.Scatter]:
    colour, dash = drawn_as(letter, look)
    looked = [hour for hour in found.hours if hour.assessment is not None]
    chances = [hour.assessment.chance("failed") for hour in looked if hour.assessment is not None]
    values = [100.0 * chance.likely for chance in chances]
    yield steps(f"{letter} fails", looked, values, "y2", colour, dash)
    yield go.Scatter(
        name=f"{letter} range",
        x=[_beside(hour, place) for hour in looked],
        y=values,
        yaxis="y2",
        mode="markers",
        cliponaxis=False,
        marker={"color": colour, "size": 7, "line": {"color": look.ink, "width": 1}},
        error_y=whiskers(
            colour, values, [100.0 * each.low for each in chances], [100.0 * each.high for each in chances], 4
        ),
        hovertemplate=f"{letter}: %{{y:.0f}} in 100<extra></extra>",
    )
    time, depth = depths(found)
    yield go.Scatter(
        name=f"{letter} water",
        x=time,
        y=np.asarray(depth) * units.length.factor,
        yaxis="y3",
        mode="lines",
        line={"color": colour, "width": 2, "dash": dash},
        hovertemplate=f"{letter}: %{{y:.3g}}<extra></extra>",
    )
    afloat = [hour for hour in found.hours if not hour.aground]
    yield steps(f"{letter} scope", afloat, [hour.scope for hour in afloat], "y4", colour, dash)


def _beside(hour: Hour, place: int) -> float:
    """Marks of several set-ups stand beside each other within an hour."""
    return hour.si.time + hour.si.lasts * (0.32 + 0.12 * place)


def _words(found: Night, units: Units, look: Theme) -> Iterator[dict[str, object]]:
    quiet = {"font": {"size": look.text(SMALL), "color": look.faint}}
    titles = (
        f"wind and gusts (dotted), {units.speed.label}",
        "fails, in 100 spells",
        f"depth of water, {units.length.label}",
        "scope",
    )
    for place, title in enumerate(titles, start=1):
        corner = {
            "xref": "paper",
            "x": 0.0,
            "xanchor": "left",
            "yref": f"y{place if place > 1 else ''} domain",
            "y": 1.0,
        }
        yield label(look, title, **corner, yanchor="top", borderpad=1)
    at_end = {"xref": "x", "x": end_of(found), "xanchor": "right", "yanchor": "bottom", "borderpad": 0}
    if max(hour.si.gust for hour in found.hours) >= GALE:
        yield label(look, "gale", **at_end, yref="y", y=GALE * units.speed.factor) | quiet
    yield label(look, "your limit", **at_end, yref="y2", y=100.0 * LIMIT) | quiet
    draught = si(found.scenario.boat.draught) * units.length.factor
    yield label(look, "draught", **at_end, yref="y3", y=draught) | quiet
