"""What is kept of a spell: its single figures."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from anchorsim.dynamics.run import Run, positions
from anchorsim.risk.draws import Draw

_EVERY = 64  # samples, among which the farthest is first looked for
_ROUNDING = 1.0 - 1e-9  # what lies at a limit to the last digits still counts


def single_figures(run: Run, chance: Draw) -> tuple[float, ...]:
    """Those of ``monte_carlo.Spells``, in order, but for how near she came to what lies round her."""
    return (
        run.si.peak_load,
        run.si.peak_anchor_load,
        run.si.peak_uplift,
        _farthest(run),
        run.si.drag_distance,
        _least_water(run),
        run.si.holding,
        chance.windage,
        run.holding_used,
    )


def _farthest(run: Run) -> float:
    """The swing radius of a run, m, from those few samples in which she can be at it."""
    points = run.si.corners
    north, east = positions(run.si, points, _EVERY)
    least = max(np.hypot(north, east).max() - np.hypot(*points.T).max(), 0.0) * _ROUNDING
    near = run.si.x**2 + run.si.y**2 >= least**2
    places = {name: getattr(run.si, name)[near] for name in ("x", "y", "heading")}
    north, east = positions(replace(run.si, **places), points)
    return float(np.hypot(north, east).max())


def _least_water(run: Run) -> float:
    """The least depth (m) that there was under any corner of her, on a bottom that may slope."""
    scenario, rises = run.scenario, run.scenario.spot.rises()
    if not any(rises):
        return scenario.water_depth
    north, east = positions(run.si, run.si.corners)
    return float((scenario.water_depth - rises[0] * north - rises[1] * east).min())
