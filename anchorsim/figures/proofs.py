"""The computation beside what it must come to: rode at rest, spectra, sizing table, and the full line."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import plotly.graph_objects as go

from anchorsim.figures.panels import DASHES, MARKERS, colours, head, logarithmic, on, panels
from anchorsim.figures.style import METRIC, Theme, Units, axis, theme, tint, whiskers
from anchorsim.validation.catenary import AtRest
from anchorsim.validation.full_line_cases import SEAS, Compared
from anchorsim.validation.spectra import Spectrum
from anchorsim.validation.trials import MEASURED, MEASURED_SOFT, Sized

_NEAR, _WORST = 0.06, 0.15  # bands that the quick line was to keep to: nine cases in ten, and all
_DECADES = {
    "tickvals": [0.001, 0.01, 0.1, 1, 10, 100],
    "ticktext": ["0.001", "0.01", "0.1", "1", "10", "100"],
}
_SHOWN = 16  # points of a shape found a second way


def shapes_at_rest(found: Sequence[AtRest], *, units: Units = METRIC, look: Theme | None = None) -> go.Figure:
    """A panel for each rode: our shape as a line, that found a second way as rings."""
    look = look or theme()
    length = units.length
    rodes = list(dict.fromkeys(one.rode for one in found))
    loads = list(dict.fromkeys(one.load for one in found))
    view = panels(
        look,
        "Rode at rest",
        "line: ours; rings: a second way",
        [axis(look, f"distance from the anchor ({length.label})") for _ in rodes],
        [axis(look, f"height above the bottom ({length.label})") for _ in rodes],
    )
    for one in found:
        panel, place = rodes.index(one.rode), loads.index(one.load)
        colour, load = colours(look)[place], units.force.text(one.load)
        x, z = (length.factor * values for values in one.ours)
        view.add_scatter(
            x=x, y=z, mode="lines", name=f"{load} horizontal load", legendgroup=load,
            showlegend=not panel, line={"color": colour, "dash": DASHES[place], "width": 2}, **on(panel),
        )  # fmt: skip
        x, z = (length.factor * values for values in one.other)
        at = np.linspace(0.0, x[-1], _SHOWN)
        view.add_scatter(
            x=at, y=np.interp(at, x, z), mode="markers", legendgroup=load, showlegend=False,
            name=f"{load}, {one.method}", marker={"color": colour, "symbol": "circle-open", "size": 8},
            **on(panel),
        )  # fmt: skip
    for panel, rode in enumerate(rodes):
        method = next(one.method for one in found if one.rode == rode)
        view.add_annotation(head(look, f"{rode}; rings: {method}", panel))
    return view


def spectra_against_targets(
    wind: Sequence[Spectrum], waves: Spectrum, *, look: Theme | None = None
) -> go.Figure:
    """Wind on the left, waves on the right: simulated densities as markers on the lines of their targets."""
    look = look or theme()
    view = panels(
        look,
        "Spectra",
        "line: target; markers: simulated",
        [logarithmic(look, "frequency (Hz)", **_DECADES), axis(look, "frequency (Hz)")],
        [
            logarithmic(look, "density of the wind (m²/s² per Hz)", **_DECADES),
            axis(look, "density of the waves (m² per Hz)", rangemode="tozero"),
        ],
    )
    for place, one in enumerate([*wind, waves]):
        panel, colour = int(one is waves), colours(look)[place]
        view.add_scatter(
            x=one.frequency, y=one.target, mode="lines", name=f"{one.name}: {one.law} target",
            line={"color": colour, "dash": DASHES[place], "width": 2}, **on(panel),
        )  # fmt: skip
        view.add_scatter(
            x=one.frequency, y=one.ours, mode="markers", name=f"{one.name}: simulated",
            marker={"color": colour, "symbol": f"{MARKERS[place]}-open", "size": 8}, **on(panel),
        )  # fmt: skip
    view.add_annotation(head(look, "wind at 10 m", 0))
    view.add_annotation(head(look, "waves", 1))
    return view


def peaks_against_table(found: Sequence[Sized], *, look: Theme | None = None) -> go.Figure:
    """Peak loads as a share of the sizing table's storm load, boat by boat, over the bands of load cells."""
    look = look or theme()
    boats = list(dict.fromkeys(one.boat for one in found))
    rodes = list(dict.fromkeys(one.rode for one in found))
    across = axis(
        look,
        "boat",
        tickvals=list(range(len(boats))),
        ticktext=boats,
        range=[-0.5, len(boats) - 0.5],
        showgrid=False,
    )
    up = axis(look, "peak load (% of the design load)", rangemode="tozero")
    view = panels(
        look, "Peaks and the sizing table", "median of the spells; whiskers: lowest and highest",
        [across], [up], height=460,
    )  # fmt: skip
    ends = [-0.5, len(boats) - 0.5]
    for name, (low, high), colour, opacity in (
        ("load cells: a fifth to a third", MEASURED, look.before, 0.2),
        ("load cells, soft rode: 25 to 30 %", MEASURED_SOFT, look.before, 0.4),
    ):
        view.add_scatter(
            x=[*ends, *ends[::-1]], y=[100 * low] * 2 + [100 * high] * 2, fill="toself", mode="lines",
            name=name, fillcolor=tint(colour, opacity), line={"width": 0}, hoverinfo="skip",
        )  # fmt: skip
    for place, rode in enumerate(rodes):
        of_it, colour = [one for one in found if one.rode == rode], colours(look)[place]
        values = [100 * one.share for one in of_it]
        lows, highs = ([100 * float(end(one.shares)) for one in of_it] for end in (np.min, np.max))
        view.add_scatter(
            x=[boats.index(one.boat) + 0.16 * (place - 0.5 * (len(rodes) - 1)) for one in of_it],
            y=values, mode="markers", name=rode, error_y=whiskers(tint(colour, 0.6), values, lows, highs),
            marker={"color": colour, "symbol": MARKERS[place], "size": 10},
            customdata=[f"{one.peaks.median / 1000:.1f} kN of {one.table / 1000:.1f} kN" for one in of_it],
            hovertemplate=f"{rode}: %{{y:.0f}} %, %{{customdata}}<extra></extra>",
        )  # fmt: skip
    return view


def quick_against_full(
    found: Sequence[Compared], *, units: Units = METRIC, look: Theme | None = None
) -> go.Figure:
    """Peak at the bow by both lines; and how far the quick one is off, by rode and, within each, by sea.

    Filled markers are the cases held out, open ones those by which the quick line was chosen.
    """
    look = look or theme()
    force = units.force
    rodes = sorted({one.case["rode"] for one in found})
    names = {"tickvals": list(range(len(rodes))), "ticktext": rodes, "tickangle": -40}
    view = panels(
        look,
        "Quick line and full line",
        "filled: held out; open: chosen by",
        [
            logarithmic(look, f"peak by the full line ({force.label})"),
            axis(look, "", range=[-0.5, len(rodes) - 0.5], showgrid=False, **names),
        ],
        [
            logarithmic(look, f"peak by the quick line ({force.label})"),
            axis(look, "quick less full (%)"),
        ],
        height=560,
        legend_at=-0.34,
    )
    loads = [force.factor * load for one in found for load in one.mean()]
    _shade(view, look, (0.9 * min(loads), 1.1 * max(loads)), len(rodes))
    for place, rode in enumerate(rodes):
        of_it = [one for one in found if one.case["rode"] == rode]
        marker = {
            "color": colours(look)[place],
            "symbol": [MARKERS[place] + ("" if one.held else "-open") for one in of_it],
            "size": 8,
        }
        full, quick = ([force.factor * one.mean()[k] for one in of_it] for k in (0, 1))
        strip = [place + 0.26 * (SEAS.index(one.case["sea"]) - 1) for one in of_it]
        off = [100 * one.off() for one in of_it]
        for panel, (x, y) in enumerate(((full, quick), (strip, off))):
            view.add_scatter(
                x=x, y=y, mode="markers", name=rode, legendgroup=rode, showlegend=not panel,
                marker=marker, **on(panel),
            )  # fmt: skip
    view.add_annotation(head(look, "peak at the bow", 0))
    view.add_annotation(head(look, "how far off; in each strip no, 0.5 m and 1 m sea", 1))
    return view


def _shade(view: go.Figure, look: Theme, ends: tuple[float, float], strips: int) -> None:
    """The bands that the quick line was to keep to, behind both panels."""
    for name, off, opacity in (("±15 %", _WORST, 0.14), ("±6 %", _NEAR, 0.28)):
        shade = {"fill": "toself", "mode": "lines", "fillcolor": tint(look.before, opacity),
                 "line": {"width": 0}, "hoverinfo": "skip", "name": name, "legendgroup": name}  # fmt: skip
        rising = [(1 - off) * end for end in ends] + [(1 + off) * end for end in ends[::-1]]
        view.add_scatter(x=[*ends, *ends[::-1]], y=rising, **shade, **on(0))
        sides = [-0.5, strips - 0.5]
        level = [-100 * off] * 2 + [100 * off] * 2
        view.add_scatter(x=[*sides, *sides[::-1]], y=level, showlegend=False, **shade, **on(1))
