"""The page itself: one file that asks for nothing, with all runs packed in it.

A choice is packed as base64 of raw deflate of: uint32 bytes of the scene and of the run, little-endian, then
the scene as JSON, the run and the shapes of the rode (``player.quantised``).  What stays in the views is
drawn in the browser too (``plots.js``), for any three of the choices may be laid over each other; plotly's
script for that would be as large as the runs, and opening it takes a phone longer than the page may.
"""

from __future__ import annotations

import base64
import datetime
import importlib.metadata
import json
import struct
import zlib
from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import Executor
from dataclasses import asdict
from importlib.resources import files
from pathlib import Path
from typing import Any

from anchorsim.classroom.class_runs import Asked, Cell, ClassRuns, class_runs
from anchorsim.classroom.policy import policy
from anchorsim.classroom.serve import Handout
from anchorsim.core import arguments, markup
from anchorsim.core.toml_file import toml
from anchorsim.core.units import SYSTEMS, System
from anchorsim.dynamics.run import Run
from anchorsim.figures import Scene, theme, units_of
from anchorsim.figures.above import mean_direction
from anchorsim.figures.setups import setups
from anchorsim.player.packing import COLOURS, describe
from anchorsim.player.quantised import pack_run, pack_shapes
from anchorsim.player.script import FILES, joined
from anchorsim.scenario.scenario import Scenario
from anchorsim.wording import class_page as words
from anchorsim.wording.amounts import listed, lower
from anchorsim.wording.assessment import STANDING, rows
from anchorsim.wording.sources import LEGEND
from anchorsim.wording.warnings import warnings

_OWN = tuple(Path(__file__).with_name(f"{name}.js") for name in ("plots", "page"))


def class_page(
    scenario: Scenario,
    over: Mapping[str, Sequence[Any]],
    *,
    asked: Asked = "peak load at the bow",
    title: str = "",
    minutes: float = 5.0,
    seed: int = 1,
    spells: int = 16,
    system: System = "metric",
    executor: Executor | None = None,
    progress: Callable[[int, int], None] | None = None,
    cancel: Callable[[], bool] | None = None,
) -> str:
    """A page that plays a scenario's runs over a few values, on any phone and with no network.

    Parameters
    ----------
    scenario : Scenario
        Everything that is the same in all runs.
    over : mapping of str to sequence
        One to three paths, each with two to eight values as a scenario file or ``vary`` takes them; at most
        120 combinations.
    asked : {"peak load at the bow", "peak load at the anchor", "swinging radius"}
        What the class guesses: how many times as much with the first value of the first path as with its
        last, all else in its middle.
    title : str
        The page's heading; the scenario's title where none is given.
    minutes, seed : float, int
        Length (1 to 30) and gusts of the runs, as ``simulate`` takes them.
    spells : int
        How many other spells (2 to 200) give each choice its range.
    system : {"metric", "US"}
        Units that the page opens in; whoever reads it may change them.
    executor : concurrent.futures.Executor, optional
        Any, in place of threads on this machine.
    progress : callable, optional
        Called with how many runs and spells are done and how many there are.
    cancel : callable, optional
        Asked now and then whether to stop.

    Returns
    -------
    str
        HTML.

    Raises
    ------
    ArgumentError
        Where an argument does not fit, with the path of what is varied.
    ScenarioError, WindRecordError
        Where the scenario or its wind record does not fit.
    CancelledError, SpellsStoppedError
        Where it was stopped, and where workers stop.

    Examples
    --------
    >>> page = class_page(Scenario(), {"tackle.scope": [3, 7]}, minutes=1, spells=2)
    >>> page[:15], len(page) < 200_000
    ('<!doctype html>', True)
    """
    arguments.one_of("system", system, SYSTEMS)
    runs = class_runs(
        scenario, over, asked=asked, title=title, minutes=minutes, seed=seed, spells=spells,
        executor=executor, progress=progress, cancel=cancel,
    )  # fmt: skip
    return html(runs, system)


def html(runs: ClassRuns, system: System, served: bool = False) -> str:
    """The page of a class's runs; one that is ``served`` sends what is guessed to where it came from."""
    script = joined((*FILES, *_OWN))
    base, first = runs.scenario, runs.cells[0]
    asked = {each: _question(runs, each) for each in SYSTEMS}
    return markup.page(
        "classroom/page.html",
        title=runs.title,
        book=(book := _book(runs, system, served)),
        data=markup.trusted(json.dumps(book, separators=(",", ":")).replace("<", "\\u003c")),
        policy=policy(script, asks=served),
        script=markup.trusted(script),
        style=markup.trusted(files("anchorsim.classroom").joinpath("page.css").read_text(encoding="utf-8")),
        question=asked,
        told={each: _told(runs, each) for each in SYSTEMS},
        heads={each: _heads(runs, each) for each in SYSTEMS},
        tables={
            each: [
                [*_values(runs, cell, each), *shown[each]]
                for cell, shown in zip(runs.cells, book["cells"], strict=True)
            ]
            for each in SYSTEMS
        },
        scenario=toml(base.document()).decode(),
        record=words.RECORD if base.weather.record is not None else "",
        sources=words.sources(first.one, system),
        legend=LEGEND,
        one_spell=words.ONE_SPELL,
        cautions=STANDING,
        version=importlib.metadata.version("anchorsim"),
        made=f"{datetime.date.today():%Y-%m-%d}",
    )


def handout(runs: ClassRuns, system: System) -> Handout:
    """What is handed out in the room."""
    choices = tuple(choice for choice, _ in words.CHOICES)
    page = html(runs, system, served=True)
    return Handout(page, runs.title, _question(runs, system), choices, _told(runs, system))


def _book(runs: ClassRuns, system: System, served: bool) -> dict[str, Any]:
    """What the page's script reads; texts and plain numbers."""
    ratio, _ = runs.ratio()
    return {
        "system": system,
        "served": served,
        "seed": runs.seed,
        "duration": f"weather.duration={runs.scenario.document()['weather']['duration']}",
        "axes": [
            {
                "label": {each: words.label(axis.variable, each) for each in SYSTEMS},
                "values": [
                    {each: words.value(axis.variable, value, each) for each in SYSTEMS}
                    for value in axis.values
                ],
                "set": [axis.setting(place) for place in range(len(axis.values))],
            }
            for axis in runs.axes
        ],
        "compared": [cell.place for cell in runs.compared()],
        "choices": [choice for choice, _ in words.CHOICES],
        "nearest": words.nearest(ratio),
        "rows": _labels(runs),
        "caption": words.caption(runs.cells[0].one, runs.seed),
        "cells": [
            {
                "data": _packed(cell),
                **{each: _figures(cell, each) for each in SYSTEMS},
                "warnings": {each: [str(one) for one in warnings(cell.many, each)] for each in SYSTEMS},
            }
            for cell in runs.cells
        ],
        "units": {each: {**asdict(units_of(each)), "name": each} for each in SYSTEMS},
        "colours": COLOURS,
    }


def _labels(runs: ClassRuns) -> list[str]:
    cell = runs.cells[0]
    return [*(row[0] for row in rows(cell.one)), "Outcome", *words.spell_labels(cell.many)]


def _figures(cell: Cell, system: System) -> list[str]:
    """The figures of a choice, in the order of the labels: as ``anchorsim run`` prints them."""
    return [
        *(row[1] for row in rows(cell.one, system)),
        words.ended(cell.one),
        *words.spells(cell.many, system),
    ]


def _heads(runs: ClassRuns, system: System) -> list[str]:
    return [*(words.label(axis.variable, system) for axis in runs.axes), *_labels(runs)]


def _values(runs: ClassRuns, cell: Cell, system: System) -> list[str]:
    return [
        words.value(axis.variable, axis.values[at], system)
        for axis, at in zip(runs.axes, cell.place, strict=True)
    ]


def _named(runs: ClassRuns, cell: Cell, system: System) -> list[str]:
    """A choice in words, one for each axis: ``scope 3:1``."""
    values = _values(runs, cell, system)
    names = [lower(words.label(axis.variable, system)) for axis in runs.axes]
    return [f"{name} {value}" for name, value in zip(names, values, strict=True)]


def _question(runs: ClassRuns, system: System) -> str:
    first, second = (_named(runs, cell, system) for cell in runs.compared())
    return words.question(runs.asked, first[0], second[0], listed(first[1:]))


def _told(runs: ClassRuns, system: System) -> str:
    ratio, others = runs.ratio()
    drags = [
        (_named(runs, cell, system)[0], cell.run.si.drag_distance)
        for cell in runs.compared()
        if cell.run.dragged
    ]
    said = words.outcome(runs.asked, ratio, runs.amounts(), others, system)
    return " ".join(filter(None, [said, words.capped(drags, system)]))


def _packed(cell: Cell) -> str:
    scene = json.dumps(_scene(cell.scene, cell.run), separators=(",", ":")).encode()
    run, shapes = pack_run(cell.scene.track), pack_shapes(cell.scene.rode)
    packer = zlib.compressobj(9, zlib.DEFLATED, -zlib.MAX_WBITS)
    whole = struct.pack("<II", len(scene), len(run)) + scene + run + shapes
    return base64.b64encode(packer.compress(whole) + packer.flush()).decode()


def _scene(scene: Scene, run: Run) -> dict[str, Any]:
    """What the player reads of a scene, and what stays in its views."""
    (alone,) = setups(scene, (), theme())
    profile, room, weakest = scene.boat.profile.polygon[:, 0], scene.room, scene.weakest()
    return describe(alone) | {
        "room": []
        if room is None
        else [[round(x, 2), round(y, 2)] for x, y in zip(room.x, room.y, strict=True)],
        "far": float(scene.distance().max() + profile.max() - profile.min()),
        "slope": scene.slope,
        "mean_wind": mean_direction(scene),
        "peak_load": run.si.peak_load,
        "holding": list(scene.holding),
        "weakest": None if weakest is None else {"wll": weakest.wll},
        "said": {
            "holding": {each: words.holding(scene.holding, each) for each in SYSTEMS},
            "weakest": {}
            if weakest is None
            else {each: words.wll(weakest.name, weakest.wll, each) for each in SYSTEMS},
        },
    }
