"""What matters most: the share of the uncertainty that is each doubt's, the largest on top."""

from __future__ import annotations

from typing import TYPE_CHECKING

import plotly.graph_objects as go

from anchorsim.figures.style import SMALL, Theme, axis, figure, label, theme, tint, whiskers
from anchorsim.wording.sensitivity import LABELS, OF, RANGES

if TYPE_CHECKING:  # a first picture does not wait for the statistics
    from anchorsim.risk.sensitivity import Influence, Ranking, Sensitivity


def what_matters(found: Sensitivity, *, look: Theme | None = None) -> go.Figure:
    """Two panels, peak load and dragging, each ranked by itself.

    A bar is the doubt's share in all with its 95 % band, and the hatched part of it what the doubt does on
    its own; the rest it does together with others.  Where dragging does not hang on anything
    there is one panel only.
    """
    look = look or theme()
    rankings = [found.peak] if found.dragging is None else [found.peak, found.dragging]
    rows = len(found.peak.influences)
    view = figure(
        look,
        "What matters most",
        "bar: in all; hatched: on its own; whiskers: 95 % confidence",
        height=110 + 34 * rows * len(rankings) + 60 * (len(rankings) - 1),
        barmode="overlay",
        bargap=0.45,
    )
    gap = 0.16 if len(rankings) > 1 else 0.0
    part = (1.0 - gap) / len(rankings)
    for place, ranking in enumerate(rankings):
        top = 1.0 - place * (part + gap)
        _panel(view, ranking, "" if place == 0 else "2", (top - part, top), look)
    return view


def _panel(view: go.Figure, ranking: Ranking, number: str, domain: tuple[float, float], look: Theme) -> None:
    influences = ranking.influences
    highest = max(min(one.total.high, 1.0) for one in influences)
    view.layout[f"xaxis{number}"] = axis(
        look,
        f"share of the uncertainty in {OF[ranking.of]} (%)",
        range=[0, 100 * max(1.12 * highest, 0.3)],
        anchor=f"y{number}",
    )
    view.layout[f"yaxis{number}"] = axis(
        look,
        "",
        domain=list(domain),
        anchor=f"x{number}",
        range=[len(influences) - 0.4, -0.6],
        tickvals=list(range(len(influences))),
        ticktext=[f"{place}. {LABELS[one.doubt]}" for place, one in enumerate(influences, 1)],
        showgrid=False,
    )
    axes = {"xaxis": f"x{number}", "yaxis": f"y{number}", "orientation": "h"}
    view.add_traces([_whole(influences, look, axes), _alone(influences, look, axes)])
    for row, one in enumerate(influences):
        view.add_annotation(
            label(
                look,
                f"{100 * one.total.likely:.0f} %" if one.seen else "too small to tell",
                x=100 * min(one.total.high, 1.0),
                y=row,
                xref=f"x{number}",
                yref=f"y{number}",
                xanchor="left",
                xshift=6,
                font={"size": SMALL, "color": look.ink if one.seen else look.faint},
            )
        )


def _whole(influences: tuple[Influence, ...], look: Theme, axes: dict[str, str]) -> go.Bar:
    values = [100 * max(one.total.likely, 0.0) for one in influences]
    return go.Bar(
        name="in all",
        x=values,
        y=list(range(len(influences))),
        marker={"color": tint(look.load, 0.55), "line": {"color": look.ink, "width": 0.5}},
        error_x=whiskers(
            look.ink,
            values,
            [100 * max(one.total.low, 0.0) for one in influences],
            [100 * min(one.total.high, 1.0) for one in influences],
        ),
        customdata=[RANGES[one.doubt] for one in influences],
        hovertemplate="%{x:.0f} % in all<br>%{customdata[0]}<br>source: %{customdata[1]}<extra></extra>",
        **axes,
    )


def _alone(influences: tuple[Influence, ...], look: Theme, axes: dict[str, str]) -> go.Bar:
    return go.Bar(
        name="on its own",
        x=[100 * max(one.first.likely, 0.0) for one in influences],
        y=list(range(len(influences))),
        marker={
            "color": look.load,
            "pattern": {"shape": "/", "solidity": 0.3, "fgcolor": look.paper},
            "line": {"color": look.ink, "width": 0.5},
        },
        hovertemplate="%{x:.0f} % on its own<extra></extra>",
        **axes,
    )
