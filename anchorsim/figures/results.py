"""The picture of each kind of result, found by its type."""

from __future__ import annotations

from functools import singledispatch
from typing import Any

from anchorsim.figures.comparison import side_by_side
from anchorsim.figures.influence import what_matters
from anchorsim.figures.load import load_against_time
from anchorsim.figures.night import through_the_night
from anchorsim.figures.scenes import scene_of
from anchorsim.planning.night import Night
from anchorsim.risk.assessment import Assessment
from anchorsim.risk.comparison import Comparison
from anchorsim.risk.sensitivity import Sensitivity


@singledispatch
def figure(found: Any) -> Any:
    """A plotly figure.  Raises TypeError for what has none."""
    raise TypeError(f"{type(found).__name__} has no picture of its own.")


figure.register(Night)(through_the_night)
figure.register(Comparison)(side_by_side)
figure.register(Sensitivity)(what_matters)


@figure.register
def _(found: Assessment) -> Any:
    """The load through the first of its spells, with the range of all peaks."""
    return load_against_time(scene_of(found.run(), found.scenario, found))
