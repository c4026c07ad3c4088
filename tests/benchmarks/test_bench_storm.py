"""Ten minutes of gusts beside general solvers that are given the very same compiled right-hand side.

So that all solve one problem, the anchor holds and the rode's foot is the anchor: nothing changes from step
to step.  The general solvers call the right-hand side through Python, about a microsecond each time; their
tolerances are such that the error in the peak is ours or larger.
"""

from __future__ import annotations

import math
import time
from dataclasses import dataclass
from functools import cache

import numba
import numpy as np
import pytest
from scipy.integrate import solve_ivp
from sksundae.cvode import CVODE

from anchorsim import line, seabed
from anchorsim import swing_kernel as kernel
from anchorsim.boat import hull
from anchorsim.rode import lay_out
from anchorsim.scenario import Scenario
from anchorsim.swing import blow, lie, longest_step, setting_of

pytestmark = pytest.mark.benchmark(group="ten minutes of gusts, standard scenario", timer=time.process_time)

SECONDS, STORMS = 600.0, (1, 2, 3)
_GAP = 700.0  # s from the start of one storm to that of the next, in one row of air
# method, relative tolerance; the absolute one is a tenth of it
SCIPY = [("RK45", 1e-5), ("DOP853", 1e-4), ("LSODA", 1e-4), ("Radau", 1e-3)]
SUNDIALS = [("Adams", 1e-4), ("BDF", 1e-4)]


@dataclass(frozen=True)
class Problem:
    body: kernel.Hull
    setting: kernel.Setting
    curve: line.Curve
    pace: float
    air: np.ndarray
    starts: tuple[np.ndarray, ...]
    longest: float


@cache
def problem():
    scenario = Scenario()
    rode = lay_out(scenario)
    curve = line.curve(segments=rode.segments, rise=rode.rise, friction=rode.friction, depth=rode.depth)
    body = hull(scenario.boat)
    setting = setting_of(scenario, rode)._replace(holding=1e12, lying_friction=0.0)
    winds = [blow(scenario, storm) for storm in STORMS]
    rows = [np.column_stack([wind.north, wind.east]) for wind in winds]
    pad = round(_GAP / winds[0].step) - len(rows[0])
    air = np.vstack([np.vstack([row, np.repeat(row[-1:], pad, axis=0)]) for row in rows])
    starts = tuple(lie(body, setting, curve, row[0]) for row in rows)
    return Problem(body, setting, curve, winds[0].step, air, starts, longest_step(body, setting, curve))


def marched(storm, dt):
    """The peak at the bow (N) by our own march."""
    p = problem()
    first = round(storm * _GAP / p.pace)
    rows, peaks = np.empty((kernel.SAMPLED, round(SECONDS / dt) + 1)), np.zeros(3)
    kernel.march(
        p.body, p.setting, p.curve.packed, seabed.uplift_table(), p.air[first:], p.pace,
        p.starts[storm].copy(), dt, 1, np.empty((5, kernel.STATE)), rows, peaks,
    )  # fmt: skip
    return float(peaks[0])


@cache
def reference(storm):
    """The same with a twentieth of the step."""
    return marched(storm, 0.05 * problem().longest)


@cache
def compiled_slope():
    """The right-hand side f(t, y, out), all else frozen in so that a call costs as little as it can."""
    p = problem()
    body, setting, pace, slope, wind_at = p.body, p.setting, p.pace, kernel.slope, kernel.wind_at
    curve, air, rest = p.curve.packed.copy(), p.air.copy(), p.starts[0].copy()

    @numba.njit(error_model="numpy", _nrt=False)  # as our own are
    def rates(t, y, state, out):
        for i in range(kernel.MOVING):
            state[i] = y[i]
        north, east = wind_at(air, pace, t)
        slope(body, setting, curve, state, math.cos(y[2]), math.sin(y[2]), north, east, out)

    @numba.njit(error_model="numpy")
    def right_hand_side(t, y, out):
        rates(t, y, rest.copy(), out)

    right_hand_side(0.0, rest[: kernel.MOVING].copy(), np.empty(kernel.MOVING))
    return right_hand_side


def by_scipy(storm, method, tolerance):
    slope = compiled_slope()

    def fresh(t, y):
        out = np.empty(kernel.MOVING)
        slope(t, y, out)
        return out

    times = storm * _GAP + np.linspace(0.0, SECONDS, 6001)
    start = problem().starts[storm][: kernel.MOVING]
    done = solve_ivp(
        fresh, times[[0, -1]], start, method=method, rtol=tolerance, atol=0.1 * tolerance, t_eval=times
    )
    assert done.success, done.message
    return done.y.T


def by_sundials(storm, method, tolerance):
    times = storm * _GAP + np.linspace(0.0, SECONDS, 6001)
    solver = CVODE(
        compiled_slope(), method=method, rtol=tolerance, atol=0.1 * tolerance, max_num_steps=100_000
    )
    return solver.solve(times, problem().starts[storm][: kernel.MOVING]).y


def peak(storm, states):
    """The peak at the bow (N) of states every tenth of a second."""
    p, state = problem(), problem().starts[storm].copy()
    found = 0.0
    for row in states:
        state[: kernel.MOVING] = row
        cosine, sine = math.cos(row[2]), math.sin(row[2])
        found = max(found, kernel.rode_pull(p.body, p.setting, p.curve.packed, state, cosine, sine).at_bow)
    return found


def error(peaks):
    """Root of the mean square of the errors in the peaks of all storms."""
    return float(np.sqrt(np.mean([(found / reference(storm) - 1) ** 2 for storm, found in enumerate(peaks)])))


@cache
def our_error():
    return error([marched(storm, problem().longest) for storm in range(len(STORMS))])


def test_our_march(benchmark):
    marched(0, problem().longest)
    benchmark(marched, 0, problem().longest)
    benchmark.extra_info["error in the peak"] = f"{our_error():.1e}"
    assert our_error() < 2e-3


@pytest.mark.parametrize(("method", "tolerance"), SCIPY)
def test_solve_ivp(benchmark, method, tolerance):
    compared(benchmark, by_scipy, method, tolerance)


@pytest.mark.parametrize(("method", "tolerance"), SUNDIALS)
def test_cvode(benchmark, method, tolerance):
    compared(benchmark, by_sundials, method, tolerance)


def compared(benchmark, solve, method, tolerance):
    """Time one storm; where times are taken, over all storms their error is no smaller than ours."""
    compiled_slope()
    states = benchmark.pedantic(solve, (0, method, tolerance), rounds=3)
    assert peak(0, states) == pytest.approx(reference(0), rel=0.02), "the same problem"
    if benchmark.enabled:
        found = error([peak(storm, solve(storm, method, tolerance)) for storm in range(len(STORMS))])
        benchmark.extra_info["error in the peak"] = f"{found:.1e}"
        assert found > our_error()
