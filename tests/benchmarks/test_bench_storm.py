"""One spell beside general solvers that are given the same boat and the same rode as one compiled system.

Twenty seconds on bare chain in a sea, with its snatches: short enough that two right answers do not part.
``line_ode`` says in what little its equations differ from ours, which with steps ever smaller leaves 0.7 % of
our error.  The errors, ours too, are those beside the system solved to a tight tolerance: times are to be
compared where a solver errs as much as we do or more.  The general solvers call the right-hand side through
Python, about a microsecond each time.
"""

from __future__ import annotations

import time
from functools import cache
from typing import Any

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from sksundae.cvode import CVODE

from anchorsim.dynamics.motion_kernel import SAMPLED, integrate
from anchorsim.dynamics.simulation import SAMPLE_STEP, Spell, State, equilibrium, laid_out, prepare
from anchorsim.scenario import site
from anchorsim.scenario.scenario import Scenario

from .line_ode import compiled_system, packed

pytestmark = pytest.mark.benchmark(group="twenty seconds of snatches on bare chain", timer=time.process_time)

SECONDS = 20.0
SEA = {"tackle.snubber.length": "0 m", "weather.wave_height": "0.5 m", "weather.wave_period": "3 s"}
TIGHT = 1e-8
TIMES = np.linspace(0.0, SECONDS, round(SECONDS / SAMPLE_STEP) + 1)
SCIPY = [("Radau", 1e-2), ("BDF", 1e-2), ("LSODA", 1e-3)]
SUNDIALS = [2e-2, 1e-2, 1e-3, 1e-4]


@cache
def problem() -> tuple[Spell, State]:
    scenario = Scenario().vary(SEA)
    rode, curve = laid_out(scenario)
    watch = prepare(scenario, rode, seed=1)
    watch = Spell(**{**vars(watch), "ground": watch.ground._replace(holding=1e12)})
    return watch, equilibrium(watch, curve, rode)


def marched(substeps: int) -> np.ndarray:
    """The load at the bow (N) every tenth of a second, integrated with so many steps of the line."""
    watch, start = problem()
    rows, state = np.empty((SAMPLED, len(TIMES))), State(*(part.copy() for part in start))
    integrate(
        watch.body, watch.setting, watch.mesh, watch.ground, site.uplift_table(), watch.sea, watch.wind,
        watch.pace, state, SAMPLE_STEP, 1, substeps, rows, np.zeros(3),
    )  # fmt: skip
    return rows[4]


@cache
def system() -> Any:
    return compiled_system(problem()[0])


def loads(states: np.ndarray) -> np.ndarray:
    return np.array([system()[1](at, row) for at, row in zip(TIMES, states, strict=True)])


def by_scipy(method: str, tolerance: float) -> np.ndarray:
    rates = system()[0]

    def fresh(t: float, y: np.ndarray) -> np.ndarray:
        out = np.empty_like(y)
        rates(t, y, out)
        return out

    begin = packed(problem()[1])
    done = solve_ivp(
        fresh, TIMES[[0, -1]], begin, method=method, rtol=tolerance, atol=0.01 * tolerance, t_eval=TIMES
    )
    assert done.success, done.message
    return np.asarray(done.y.T)


def by_sundials(tolerance: float) -> np.ndarray:
    solver = CVODE(system()[0], method="BDF", rtol=tolerance, atol=0.01 * tolerance, max_num_steps=1_000_000)
    return np.asarray(solver.solve(TIMES, packed(problem()[1])).y)


@cache
def reference() -> np.ndarray:
    return loads(by_sundials(TIGHT))


def error(found: np.ndarray) -> str:
    """Root of the mean square of a load's error, beside the greatest load; and the error of the greatest."""
    most = reference().max()
    whole = np.sqrt(np.mean((found - reference()) ** 2)) / most
    return f"{whole:.1e}, in the peak {found.max() / most - 1:+.1e}"


@pytest.mark.parametrize("substeps", [3, 12])
def test_our_march(benchmark: Any, substeps: int) -> None:
    """With the steps that a spell has, and with four times as many."""
    marched(substeps)
    found = benchmark(marched, substeps)
    benchmark.extra_info["error in the load"] = error(found)
    assert found.max() == pytest.approx(reference().max(), rel=0.05), "the same problem"


@pytest.mark.parametrize(("method", "tolerance"), SCIPY)
def test_solve_ivp(benchmark: Any, method: str, tolerance: float) -> None:
    compared(benchmark, by_scipy, method, tolerance)


@pytest.mark.parametrize("tolerance", SUNDIALS)
def test_cvode(benchmark: Any, tolerance: float) -> None:
    compared(benchmark, by_sundials, tolerance)


def compared(benchmark: Any, solve: Any, *given: Any) -> None:
    reference()
    found = loads(benchmark.pedantic(solve, given, rounds=1))
    benchmark.extra_info["error in the load"] = error(found)
    assert found.max() == pytest.approx(reference().max(), rel=0.2), "the same problem"
