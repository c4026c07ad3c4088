"""Sheering about: what the linearised motion says against what she does, and that it comes of itself."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from watch_parts import HEAVY, ROW, watch

from anchorsim.core.tables import catalogue
from anchorsim.dynamics.motion_kernel import HEADING
from anchorsim.dynamics.sheering import straight_equilibrium
from anchorsim.scenario.scenario import Scenario


def nudged(changes, wind, seconds, by=1e-5):
    """Samples of a steady wind (m/s) from the north, begun a little (rad) off it, settled before."""
    parts = watch(changes)
    state = parts.at_rest(wind)
    parts.boat(yaw_inertia=1e30, added_sway_yaw=0.0).sail(state, [-wind, 0.0], 600.0, stride=100)
    state.boat[HEADING] += by
    return parts.sail(state, [-wind, 0.0], seconds)


@pytest.mark.parametrize("boat", catalogue())
def test_sheering_comes_of_itself_and_stays_within_bounds(boat):
    """A boat that does not lie straight by her linearised motion sheers about, and never falls off for good.

    That she lies to her anchor at all is the rode's doing at the bow.
    """
    stable = straight_equilibrium(Scenario().vary({**HEAVY, "boat.model": boat}), 10.0).stable
    rows = nudged({"boat.model": boat}, 10.0, 1500.0, by=1e-3)
    late = np.degrees(rows[9000:, ROW["heading"]])
    assert np.abs(late).max() < 90.0, "never broadside on"
    if stable:
        assert np.abs(late).max() < 1.0
    else:
        assert late.max() > 5.0
        assert late.min() < -5.0, "to either side"


@pytest.mark.parametrize("boat", ["sloop-8", "sloop-12", "motor-cruiser-11"])
def test_a_riding_sail_steadies_her(boat):
    """Common practice, no source: a small sail right aft holds her nearer to the wind."""
    swing = []
    for area in (0.0, 1.0, 2.0, 4.0):
        rows = nudged({"boat.model": boat, "boat.riding_sail": f"{area} m²"}, 10.0, 1500.0)
        swing.append(float(np.degrees(rows[9000:, ROW["heading"]]).std()))
    assert all(more < max(1.05 * less, 1e-3) for less, more in pairwise(swing)), swing
    assert swing[-1] < 0.6 * max(swing[0], 1e-2), swing
    assert math.isfinite(sum(swing))
