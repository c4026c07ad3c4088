"""Sheering about: what the linearised motion says against what she does, and that it comes of itself."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from watch_parts import HEAVY, ROW, watch

from anchorsim import swing_kernel
from anchorsim.scenario import Scenario
from anchorsim.swing import straight_lie
from anchorsim.tables import catalogue

SAIL = {"boat.riding_sail": "4 m²"}
BARE = {"tackle.snubber.length": "0 m"}
ROPE = {"tackle.chain.length": "10 m", "tackle.rope.length": "60 m"}


def nudged(changes, wind, seconds, by=1e-9):
    """Samples of a steady wind (m/s) from the north, begun a little (rad) off it."""
    parts = watch(changes)
    state = parts.at_rest(wind)
    state[swing_kernel.HEADING] = by
    return parts.sail(state, [-wind, 0.0], seconds, dt=0.02, stride=5)


def modes(rows, lag):
    """Exponents (1/s) of the four motions that samples 0.1 s apart are the sum of, found from a lag τ (s).

    Any sum of four such motions satisfies h(t + 4τ) = Σ cⱼ h(t + jτ), and the exponents are the logarithms of
    the roots of z⁴ − Σ cⱼ zʲ over τ (Prony's method).
    """
    steps, known, next_ = round(lag / 0.1), [], []
    for name in ("heading", "y"):
        series = rows[:, ROW[name]]
        small = np.argmax(np.abs(series) > 1e-4) or len(series)
        start = np.arange(0, small - 4 * steps, 5)
        table = np.column_stack([series[start + j * steps] for j in range(5)])
        table /= np.abs(table).max(axis=1, keepdims=True)
        known.append(table[:, :4])
        next_.append(table[:, 4])
    repeats = np.linalg.lstsq(np.vstack(known), np.concatenate(next_), rcond=None)[0]
    return np.log(np.roots([1.0, *-repeats[::-1]]).astype(complex)) / lag


@pytest.mark.parametrize(
    ("changes", "wind", "stable"),
    [
        ({}, 10.0, False),
        ({**SAIL, **ROPE}, 10.0, False),
        ({"boat.model": "sloop-10", **SAIL}, 10.0, True),
        ({"boat.model": "sloop-8", **SAIL, **BARE}, 15.0, True),
        ({"boat.model": "ketch-13", **SAIL}, 8.0, True),
        ({"boat.model": "catamaran-12", **SAIL}, 10.0, False),
        ({"boat.model": "catamaran-12", **SAIL, "tackle.snubber.legs": 2}, 10.0, True),
    ],
)
def test_a_small_sheer_moves_as_linearised(changes, wind, stable):
    """Growth and period of all four motions of sway and yaw, and the period of the one that lasts."""
    lie = straight_lie(Scenario().vary({**HEAVY, **changes}), wind)
    assert lie.stable == stable
    found = modes(nudged(changes, wind, 150.0), 3.0)
    for value in lie.eigenvalues:
        assert np.abs(found - value).min() < 2e-3 * abs(value), (value, found)
    lead = found[np.argmax(found.real)]
    assert lie.sheer_period == pytest.approx(2 * math.pi / abs(lead.imag), rel=2e-3)


def test_a_sheer_that_does_not_swing_grows_as_linearised():
    changes = {"boat.model": "motor-cruiser-11"}
    lie = straight_lie(Scenario().vary({**HEAVY, **changes}), 10.0)
    lead = lie.eigenvalues[np.argmax(lie.eigenvalues.real)]
    assert np.all(lie.eigenvalues.imag == 0.0)
    assert lie.sheer_period == math.inf
    rows = nudged(changes, 10.0, 100.0)
    time, heading = rows[:, ROW["time"]], np.abs(rows[:, ROW["heading"]])
    inside = (time > 60.0) & (heading < 1e-3)
    growth = np.polyfit(time[inside], np.log(heading[inside]), 1)[0]
    assert growth == pytest.approx(lead.real, rel=0.01)


@pytest.mark.parametrize("boat", catalogue())
def test_sheering_comes_of_itself(boat):
    """Without a riding sail none of these boats lies straight in a steady wind, and all stay within bounds.

    That a boat lies to her anchor at all, and does not fall off for good, is the rode's doing at the bow.
    """
    rows = nudged({"boat.model": boat}, 10.0, 1500.0)
    late = np.degrees(rows[9000:, ROW["heading"]])
    assert late.max() > 15.0
    assert late.min() < -15.0, "to either side"
    assert np.abs(late).max() < 90.0, "never broadside on"
    assert not straight_lie(Scenario().vary({"boat.model": boat}), 10.0).stable


@pytest.mark.parametrize("boat", ["sloop-8", "sloop-12", "motor-cruiser-11"])
def test_a_riding_sail_steadies_her(boat):
    """Common practice, no source: a small sail right aft holds her nearer to the wind."""
    swing = []
    for area in (0.0, 1.0, 2.0, 4.0):
        rows = nudged({"boat.model": boat, "boat.riding_sail": f"{area} m²"}, 10.0, 1500.0)
        swing.append(float(np.degrees(rows[9000:, ROW["heading"]]).std()))
    assert all(more < max(less, 1e-6) for less, more in pairwise(swing)), swing
    assert swing[-1] < 0.6 * swing[0], swing
