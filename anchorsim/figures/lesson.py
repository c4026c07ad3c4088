"""A lesson's boats as scenes on one clock, and every spell of theirs as a dot."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import numpy as np
import plotly.graph_objects as go
from numpy.typing import NDArray

from anchorsim.core.units import System
from anchorsim.figures.scene import Scene
from anchorsim.figures.scenes import scene_of
from anchorsim.figures.setups import drawn_as
from anchorsim.figures.style import LETTERS, SMALL, Theme, axis, figure, label, plain, theme, units_of
from anchorsim.lessons.lesson import Lesson
from anchorsim.lessons.plan import Measured
from anchorsim.wording import lessons
from anchorsim.wording.lesson_texts import amount

Floats = NDArray[np.float64]

LEAST = 0.01  # m of drag: what moves less is drawn there, on an axis of powers of ten
_ROW, _AROUND = 40, 56  # px: a boat's row, and what is between two panels
_HEAD, _FOOT = 34, 44  # px above and beneath all panels
_NAME, _DOTS, _SPREAD = (
    -0.3,
    0.12,
    0.16,
)  # of a row: where the name is, and the dots, and how far these spread


def scenes(found: Lesson, system: System = "metric") -> tuple[Scene, ...]:
    """The boats as their pictures play them, lettered, each about where its anchor was set."""
    names = lessons.boats(found.plan, system)
    return tuple(
        _moved(replace(scene_of(run, run.scenario, None), name=name, letter=letter), boat.at)
        for run, name, letter, boat in zip(found.runs, names, LETTERS, found.plan.boats, strict=False)
    )


def _moved(scene: Scene, at: tuple[float, float]) -> Scene:
    north, east = at
    if at == (0.0, 0.0):
        return scene
    run: Any = scene.track
    moved = {"x": north, "y": east, "anchor_x": north, "anchor_y": east}
    track = replace(run, **{name: getattr(run, name) + by for name, by in moved.items()})
    room = scene.room and replace(scene.room, x=scene.room.x + north, y=scene.room.y + east)
    return replace(scene, track=track, room=room)


def every_spell(found: Lesson, *, system: System = "metric", look: Theme | None = None) -> go.Figure:
    """A panel for each thing that is measured, a row a boat, a dot a spell; a bar at the median.

    The spell that a boat's picture plays is ringed.  Names have a line of their own above the dots, and
    medians the margin, so that no word covers a dot.
    """
    look = look or theme()
    measured, rows = found.plan.measured, bands(found, system)
    row, around, head, foot = (px * look.scale for px in (_ROW, _AROUND, _HEAD, _FOOT))
    boats, between = len(rows), around * (len(found.plan.measured) - 1)
    tall = row * boats * len(measured) + between  # px
    part, gap = row * boats / tall, around / tall
    letters = [f"<b>{LETTERS[places[0]]}</b>" if len(places) == 1 else "" for _, places in rows]
    view = figure(
        look,
        "Every spell",
        "○ the one played; bar and figure: median",
        height=tall + head + foot,
        margin={"l": 30 * look.scale, "r": 92 * look.scale, "t": head, "b": foot},
    )
    for place, one in enumerate(measured):
        number = "" if place == 0 else str(place + 1)
        top = 1.0 - place * (part + gap)
        view.layout[f"xaxis{number}"] = _across(found, one, system, look) | {"anchor": f"y{number}"}
        view.layout[f"yaxis{number}"] = axis(
            look, "", domain=[max(top - part, 0.0), top], range=[boats - 0.5, -0.5], showgrid=False,
            tickvals=list(range(boats)), ticktext=letters,
            anchor=f"x{number}",
        )  # fmt: skip
        _rows(view, found, one, number, system, look)
    return view


def bands(found: Lesson, system: System) -> list[tuple[str, tuple[int, ...]]]:
    """The rows: the name of each, and the places of its boats.  One boat in several spells has one row."""
    first = found.assessments[0]
    if all(other is first for other in found.assessments):
        return [(lessons.ONE_BOAT, tuple(range(len(found.assessments))))]
    return [(name, (place,)) for place, name in enumerate(lessons.boats(found.plan, system))]


def _across(found: Lesson, measured: Measured, system: System, look: Theme) -> dict[str, Any]:
    unit = lessons.unit_of(measured, system)
    title = f"{lessons.MEASURED[measured]} ({unit})" if unit else lessons.MEASURED[measured]
    if measured != "drag":
        return axis(look, title, rangemode="tozero")
    factor = units_of(system).length.factor
    most, least = max(float(found.si["drag"].max()), 10.0) * factor, LEAST * factor
    steps = [step for step in (0.1, 1.0, 10.0, 100.0, 1000.0) if step <= most]
    ends = [math.log10(least) - 0.1, math.log10(most) + 0.15]
    ticks = {"tickvals": [least, *steps], "ticktext": ["holds", *(f"{step:g}" for step in steps)]}
    return axis(look, title, type="log", range=ends, **ticks)


def shown(measured: Measured, values: Floats, system: System) -> Floats:
    """Figures of what is measured, from SI to the unit of its axis."""
    units = units_of(system)
    if measured in ("uplift", "sheer"):
        return np.degrees(values)
    if measured == "load":
        return values * units.force.factor
    if measured == "drag":
        return np.maximum(values, LEAST) * units.length.factor
    return values * units.length.factor if measured == "gap" else values


def rise(values: Floats) -> Floats:
    """How far each dot of a row is put aside, from -1 to 1, so that those alike can be told apart."""
    aside = np.empty(len(values))
    aside[np.argsort(values, kind="stable")] = (np.arange(len(values)) * 3 % 7) / 3.0 - 1.0
    return aside


def _rows(
    view: go.Figure, found: Lesson, measured: Measured, number: str, system: System, look: Theme
) -> None:
    on: dict[str, Any] = {"xaxis": f"x{number}", "yaxis": f"y{number}", "cliponaxis": False}
    at = {"xref": f"x{number} domain", "yref": f"y{number}", "bgcolor": "rgba(0,0,0,0)"}
    for row, (name, places) in enumerate(bands(found, system)):
        view.add_annotation(label(look, plain(name), x=0.0, xanchor="left", y=row + _NAME, **at))
        values = found.si[measured][places[0]]
        if not np.isfinite(values).all():
            continue
        x, y = shown(measured, values, system), row + _DOTS + _SPREAD * rise(values)
        alone, median = len(places) == 1, float(np.median(values))
        colour = drawn_as(LETTERS[places[0]], look)[0] if alone else look.faint
        view.add_scatter(
            x=x, y=y, mode="markers", name=plain(name), hovertemplate="%{x:.3g}<extra></extra>",
            marker={"color": colour, "size": 7 * look.scale, "opacity": 0.75}, **on,
        )  # fmt: skip
        for place in places:
            view.add_scatter(**_played(place, alone, x, y, found, look), **on)
        middle = float(shown(measured, np.array([median]), system)[0])
        view.add_scatter(
            x=[middle, middle], y=[row - 0.12, row + 0.36], mode="lines", hoverinfo="skip",
            line={"color": look.ink, "width": look.stroke(2)}, **on,
        )  # fmt: skip
        text, ink = amount(measured, median, system), {"size": look.text(SMALL), "color": look.ink}
        beside = {"x": 1.0, "xanchor": "left", "xshift": 6, "y": row + _DOTS, "font": ink}
        view.add_annotation(label(look, f"<b>{text}</b>", **(at | beside)))


def _played(place: int, alone: bool, x: Floats, y: Floats, found: Lesson, look: Theme) -> dict[str, Any]:
    """The ring round the spell that a boat's picture plays; where boats share a row, with its letter."""
    spell, colour = found.spell(place), look.ink if alone else drawn_as(LETTERS[place], look)[0]
    at = {"x": [x[spell]], "y": [y[spell]], "hoverinfo": "skip"}
    line, size = {"width": look.stroke(2)}, (13 if alone else 18) * look.scale
    if alone:
        ring = {"symbol": "circle-open", "color": colour, "size": size, "line": line}
        return {**at, "mode": "markers", "marker": ring}
    disc = {"symbol": "circle", "color": look.paper, "size": size, "line": line | {"color": colour}}
    letter = {"text": [f"<b>{LETTERS[place]}</b>"], "textfont": {"color": look.ink, "size": look.text(SMALL)}}
    return {**at, "mode": "markers+text", "marker": disc, **letter}
