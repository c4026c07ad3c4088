"""Assessments of invented spells: figures typed in, for tests of what is counted and of what is said."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from anchorsim.core.units import quantity, si
from anchorsim.risk.assessment import Assessment
from anchorsim.risk.monte_carlo import Spells
from anchorsim.scenario.scenario import Scenario
from anchorsim.strength.degradation import as_found

STOCK = Scenario()


def invented(
    *,
    peak: Sequence[float] = (2600.0,),
    anchor: Sequence[float] = (0.0,),
    drag: Sequence[float] = (0.0,),
    degrees: float = 0.0,
    radius: Sequence[float] = (49.0,),
    water: float | None = None,
    closest: Sequence[Sequence[float]] | None = None,
    clear_radius: float | None = None,
    count: int = 8,
    used: float | np.ndarray = 0.3,
    scenario: Scenario = STOCK,
    **changes: Any,
) -> Assessment:
    """``count`` spells; what is shorter than that is carried on with its last value."""
    scenario = scenario.vary({path.replace("__", "."): value for path, value in changes.items()})
    behaves = as_found(scenario)

    def column(values: Sequence[float]) -> np.ndarray:
        return np.array([*values, *[values[-1]] * count][:count], dtype=float)

    found = Spells(
        scenario=behaves,
        asked=count,
        number=np.arange(count),
        peak_load=column(peak),
        peak_anchor_load=column(anchor),
        uplift=np.full(count, np.radians(degrees)),
        radius=column(radius),
        drag=column(drag),
        water=np.full(count, si(scenario.spot.depth) if water is None else water),
        holding=np.full(count, 5000.0),
        windage=np.ones(count),
        holding_used=np.where(column(drag) > 0.0, 1.0, used),
        closest=np.empty((count, 0)) if closest is None else np.array(closest, dtype=float),
    )
    return Assessment(scenario, found, None if clear_radius is None else quantity(clear_radius, "m"))
