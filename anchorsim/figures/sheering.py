"""Where she lies straight and where she sheers: a map over two figures of the boat or her gear."""

from __future__ import annotations

from typing import TYPE_CHECKING

import plotly.graph_objects as go

from anchorsim.figures.style import METRIC, SMALL, Theme, Units, axis, figure, theme, tint

if TYPE_CHECKING:  # a first picture does not wait for the motion
    from anchorsim.dynamics.sheering import SheerMap, Side

_KINDS = ("stable", "slow", "strong")
_WORDS = ("dies away", "grows slowly", "grows fast")


def where_she_sheers(found: SheerMap, *, units: Units = METRIC, look: Theme | None = None) -> go.Figure:
    """A heat map in three colours: a small sheer dies away, grows slowly, grows fast.

    The number in a cell is the time (s) in which a sheer grows e-fold, so that colour is not all there is to
    go by; an arrow with it says that she falls off to one side instead of swinging.  A question mark says
    that she did not come to rest, so that the figure is approximate.
    """
    look = look or theme()
    view = figure(
        look,
        f"Sheering in {units.speed.text(found.wind_speed)} of wind",
        "number: seconds in which a sheer grows 2.7 times; ▸ falls off to one side",
        height=440,
        xaxis=_axis(look, found.across, units),
        yaxis=_axis(look, found.up, units),
    )
    rows, columns = (range(size) for size in found.growth_rate.shape)
    view.add_trace(
        go.Heatmap(
            x=_shown(found.across, units),
            y=_shown(found.up, units),
            z=[[_KINDS.index(found.sheering[i, j]) for j in columns] for i in rows],
            zmin=-0.5,
            zmax=2.5,
            xgap=1,
            ygap=1,
            colorscale=_steps(look),
            colorbar={
                "tickvals": [0, 1, 2],
                "ticktext": list(_WORDS),
                "tickfont": {"size": SMALL},
                "outlinecolor": look.faint,
                "thickness": 14,
            },
            text=[[_number(found, i, j) for j in columns] for i in rows],
            texttemplate="%{text}",
            textfont={"size": SMALL, "color": look.ink},
            customdata=[[_hover(found, i, j) for j in columns] for i in rows],
            hovertemplate=(
                f"{found.across.label}: %{{x:.3g}}<br>{found.up.label}: %{{y:.3g}}<br>"
                "%{customdata}<extra></extra>"
            ),
        )
    )
    return view


def _shown(side: Side, units: Units) -> list[float]:
    factor = units.length.factor if side.unit == "m" else 1.0
    return [float(value) * factor for value in side.values]


def _axis(look: Theme, side: Side, units: Units) -> dict[str, object]:
    unit = units.length.label if side.unit == "m" else side.unit
    return axis(look, f"{side.label} ({unit})" if unit else side.label, showgrid=False)


def _steps(look: Theme) -> list[list[object]]:
    colours = [tint(colour, 0.55) for colour in (look.holding, look.room, look.limit)]
    return [[(k + end) / 3, colour] for k, colour in enumerate(colours) for end in (0, 1)]


def _number(found: SheerMap, i: int, j: int) -> str:
    if found.sheering[i, j] == "stable":
        return "" if found.converged[i, j] else "?"
    approximate = "" if found.converged[i, j] else "?"
    return f"{1 / found.growth_rate[i, j]:.0f}{approximate}" + ("" if found.swings[i, j] else " ▸")


def _hover(found: SheerMap, i: int, j: int) -> str:
    rate, period = found.growth_rate[i, j], found.period[i, j]
    how = f"swings every {period:.0f} s" if found.swings[i, j] else "falls off to one side"
    rest = "" if found.converged[i, j] else "; approximate: she did not come to rest"
    if found.sheering[i, j] == "stable":
        how = how if found.swings[i, j] else "does not swing"
        return f"a sheer dies away, by 2.7 times in {-1 / rate:.0f} s; {how}{rest}"
    return f"a sheer grows 2.7 times in {1 / rate:.0f} s; {how}{rest}"
