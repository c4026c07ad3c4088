"""The picture of each kind of result, found by its type."""

from __future__ import annotations

from dataclasses import replace
from functools import singledispatch
from typing import Any

from anchorsim.dynamics.run import Run
from anchorsim.dynamics.simulation import simulate
from anchorsim.figures.above import from_above
from anchorsim.figures.comparison import side_by_side
from anchorsim.figures.influence import what_matters
from anchorsim.figures.lesson import every_spell
from anchorsim.figures.load import load_against_time
from anchorsim.figures.night import through_the_night
from anchorsim.figures.parts import utilisation
from anchorsim.figures.scene import Area, Scene
from anchorsim.figures.scenes import scene_of
from anchorsim.lessons.lesson import Lesson
from anchorsim.planning.advice import Advice
from anchorsim.planning.night import Night
from anchorsim.risk.assessment import Assessment
from anchorsim.risk.comparison import Comparison
from anchorsim.risk.draws import draw
from anchorsim.risk.sensitivity import Sensitivity
from anchorsim.risk.swinging_room import SwingingRoom
from anchorsim.survey.weakest_link import Appraisal


@singledispatch
def figure(found: Any) -> Any:
    """A plotly figure.  Raises TypeError for what has none."""
    raise TypeError(f"{type(found).__name__} has no picture of its own.")


figure.register(Lesson)(every_spell)
figure.register(Night)(through_the_night)
figure.register(Comparison)(side_by_side)
figure.register(Sensitivity)(what_matters)


@figure.register
def _(found: Assessment) -> Any:
    """The load through the first of its spells, with the range of all peaks."""
    return load_against_time(_scene(found))


@figure.register
def _(found: Run) -> Any:
    """The load through it."""
    return load_against_time(scene_of(found, found.scenario, None))


@figure.register
def _(found: SwingingRoom) -> Any:
    """From above: the water swept in all of its spells, and the track of the first."""
    run = simulate(found.scenario, **draw(int(found.number[0]))._asdict())
    north, east = found.si.ring().T
    room = Area("swinging circle", north, east)
    return from_above(replace(scene_of(run, found.scenario, None), room=room))


@figure.register
def _(found: Appraisal) -> Any:
    """The load on each part of the gear as found."""
    return utilisation(_scene(found.assessment))


@figure.register
def _(found: Advice) -> Any:
    """The load on each part with the change, and as it is without."""
    if found.change is None and found.best is None:
        return utilisation(_scene(found.before))
    before, after = (
        replace(_scene(found.before), name="as it is"),
        replace(_scene(found.after), name="changed"),
    )
    return utilisation(replace(after, letter="B"), [replace(before, letter="A")])


def _scene(found: Assessment) -> Scene:
    return scene_of(found.run(), found.scenario, found)
