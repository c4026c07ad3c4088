"""Set-ups side by side: how often each drags, at what wind, swinging radius and most loaded part."""

from __future__ import annotations

import math
import textwrap
from collections.abc import Sequence
from typing import TYPE_CHECKING

import plotly.graph_objects as go

from anchorsim.figures.style import METRIC, SMALL, Theme, Units, axis, figure, label, plain, theme, whiskers
from anchorsim.risk.outcome import LIMIT
from anchorsim.wording import limits
from anchorsim.wording.comparison import no_limit

if TYPE_CHECKING:  # a first picture does not wait for the statistics
    from anchorsim.numerics.interval import Interval
    from anchorsim.risk.comparison import Comparison, Variant

_GAP = 0.04
_WIDEST = 20  # characters of a name on a line


def side_by_side(found: Comparison, *, units: Units = METRIC, look: Theme | None = None) -> go.Figure:
    """Four panels over one list of variants: a mark is the figure, a whisker its 95 % band.

    Where so many spells tell no upper end of a radius, or no wind was found, words stand in its place.
    Variants over the limit carry another mark and another colour than the others.
    """
    look = look or theme()
    variants = found.variants
    view = figure(
        look,
        "Side by side",
        f"{found.count} spells, the same for all; whiskers: 95 % confidence; ◆ over the limit of "
        f"{100 * LIMIT:g} in 100",
        height=170 + 46 * len(variants),
        margin={"l": 52, "r": 14, "t": 34, "b": 64},
        yaxis=axis(
            look,
            "",
            range=[len(variants) - 0.4, -0.6],
            tickvals=list(range(len(variants))),
            ticktext=["<br>".join(map(plain, textwrap.wrap(variant.name, _WIDEST))) for variant in variants],
        ),
    )
    speed, length = units.speed, units.length
    titles = (
        "drags<br>(in 100 spells)",
        f"drags in {100 * found.chance:g} of 100<br>at a mean wind of ({speed.label})",
        f"swinging radius,<br>1 in 20 more ({length.label})",
        "most loaded part<br>(% of WLL)",
    )
    columns: tuple[tuple[list[Interval | None], float], ...] = (
        ([variant.assessment.chance("dragged") for variant in variants], 100.0),
        ([variant.limit.found if variant.limit else None for variant in variants], speed.factor),
        ([variant.assessment.bad_radius for variant in variants], length.factor),
        ([variant.assessment.most_loaded.use for variant in variants], 100.0),
    )
    part = (1.0 - 3 * _GAP) / 4
    for place, (title, (estimates, factor)) in enumerate(zip(titles, columns, strict=True)):
        number = "" if place == 0 else str(place + 1)
        start = place * (part + _GAP)
        view.layout[f"xaxis{number}"] = axis(look, title, domain=[start, start + part], rangemode="tozero")
        view.add_trace(_marks(variants, estimates, factor, f"x{number}", look))
    _lines(view, found, look)
    for row, variant in enumerate(variants):
        for note in _words(variant, row, units, look):
            view.add_annotation(note)
    return view


def _marks(
    variants: Sequence[Variant], estimates: Sequence[Interval | None], factor: float, at: str, look: Theme
) -> go.Scatter:
    rows = [row for row, found in enumerate(estimates) if found]
    known = [found for found in estimates if found]
    within = [variants[row].assessment.within_limit for row in rows]
    values = [found.likely * factor for found in known]
    ends = [max(found.low, 0.0) * factor for found in known], [found.high * factor for found in known]
    return go.Scatter(
        x=values,
        y=rows,
        xaxis=at,
        mode="markers",
        marker={
            "symbol": ["circle" if well else "diamond" for well in within],
            "color": [look.load if well else look.limit for well in within],
            "size": 11,
            "line": {"color": look.ink, "width": 1},
        },
        error_x=whiskers(look.ink, values, *ends),
        customdata=[plain(variants[row].name) for row in rows],
        hovertemplate="%{customdata}: %{x:.3g}<extra></extra>",
    )


def _lines(view: go.Figure, found: Comparison, look: Theme) -> None:
    """The chance of failing that is accepted, and the WLL."""
    line = {"color": look.faint, "width": 1.5, "dash": "longdashdot"}
    for at, level in (("x", 100 * LIMIT), ("x4", 100.0)):
        view.add_shape(type="line", xref=at, x0=level, x1=level, yref="y domain", y0=0, y1=1, line=line)


def _words(variant: Variant, row: int, units: Units, look: Theme) -> list[dict[str, object]]:
    weak = variant.assessment.most_loaded
    bare = {"bgcolor": "rgba(0,0,0,0)", "yanchor": "bottom", "yshift": 7, "y": row}
    quiet = {"font": {"size": SMALL, "color": look.faint}}
    notes = [
        label(look, weak.name, xref="x4 domain", x=0.02, xanchor="left", **bare, **quiet),
    ]
    if math.isinf(variant.assessment.bad_radius.high):
        text = f"at least {units.length.text(variant.assessment.bad_radius.likely)}"
        notes.append(label(look, text, xref="x3 domain", x=0.02, xanchor="left", **bare, **quiet))
    if not (variant.limit and variant.limit.found):
        text = limits.value(variant.limit) if variant.limit else no_limit(variant)
        notes.append(label(look, text, xref="x2 domain", x=0.02, xanchor="left", **bare, **quiet))
    return notes
