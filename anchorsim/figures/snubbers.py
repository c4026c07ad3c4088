"""What a snubber brings by its length, the depth and the sea."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import plotly.graph_objects as go

from anchorsim.figures.panels import DASHES, MARKERS, colours, head, on, panels
from anchorsim.figures.style import METRIC, Theme, Units, axis, theme, tint, whiskers
from anchorsim.validation.trials import Peaks


def by_snubber_length(
    lengths: Sequence[float],
    found: Mapping[tuple[int, str], Sequence[Peaks]],
    *,
    units: Units = METRIC,
    look: Theme | None = None,
) -> go.Figure:
    """A panel for each depth, one scale of load: median peak against the snubber's length, sea by sea.

    ``found`` maps a depth (m) and a sea to the peaks for each of ``lengths`` (m).
    """
    look = look or theme()
    force, length = units.force, units.length
    depths = list(dict.fromkeys(depth for depth, _ in found))
    seas = list(dict.fromkeys(sea for _, sea in found))
    most = 1.05 * force.factor * max(peak.load.max() for row in found.values() for peak in row)
    view = panels(
        look,
        "Peak load by snubber, depth and sea",
        "median of 8 spells; whiskers: lowest and highest",
        [axis(look, f"snubber ({length.label})") for _ in depths],
        [
            axis(look, "" if k else f"peak load at the bow ({force.label})", range=[0, most])
            for k in range(len(depths))
        ],
        height=440,
    )
    for (depth, sea), row in found.items():
        panel, place = depths.index(depth), seas.index(sea)
        colour = colours(look)[place]
        values = [force.factor * peak.median for peak in row]
        lows, highs = ([force.factor * float(end) for end in ends] for ends in (
            [peak.load.min() for peak in row], [peak.load.max() for peak in row],
        ))  # fmt: skip
        view.add_scatter(
            x=[length.factor * each + 0.12 * length.factor * (place - 1) for each in lengths],
            y=values, name=sea, legendgroup=sea, showlegend=not panel,
            error_y=whiskers(tint(colour, 0.5), values, lows, highs, width=4),
            line={"color": colour, "dash": DASHES[place], "width": 2},
            marker={"symbol": MARKERS[place], "size": 8}, **on(panel),
        )  # fmt: skip
    for panel, depth in enumerate(depths):
        view.add_annotation(head(look, f"{length.text(depth)} deep", panel))
    return view
