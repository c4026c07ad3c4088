"""Many storms: a thousand of three hours, how time and memory grow, and the march beside other ways to it."""

from __future__ import annotations

import os
import time
import tracemalloc
from concurrent.futures import ThreadPoolExecutor
from functools import cache
from typing import Any

import numpy as np
import pytest

import anchorsim as am
from anchorsim import seabed
from anchorsim import swing_kernel as kernel
from anchorsim.swing import lie

from .vectorised import PACE, by_diffrax, by_numpy, problem

SOME, THOUSAND = 50, 1000
SIDE_BY_SIDE, MINUTE = 200, 60.0
TOLERANCE = 1e-5  # at which diffrax errs as much as we do, or more


@pytest.mark.benchmark(group="storms of three hours")
def test_a_thousand_storms_of_three_hours(benchmark: Any) -> None:
    """Some of them are run, on all cores, and the thousand is projected from those."""
    scenario = am.Scenario().vary({"weather.duration": "3 hour"})
    count = SOME if benchmark.enabled else 2
    am.storms(scenario, 1)
    found = benchmark.pedantic(am.storms, (scenario, count), rounds=1)
    assert found.complete
    if benchmark.enabled:
        seconds = THOUSAND / count * benchmark.stats.stats.min
        benchmark.extra_info["a thousand"] = f"{seconds:.0f} s on {os.cpu_count()} cores"


@pytest.mark.benchmark(group="growth with count and duration", timer=time.process_time)
@pytest.mark.parametrize(("count", "minutes"), [(10, 30), (20, 30), (40, 30), (10, 60), (10, 120)])
def test_growth(benchmark: Any, count: int, minutes: int) -> None:
    """Seconds of all cores, so that other work on the machine does not count."""
    scenario = am.Scenario().vary({"weather.duration": f"{minutes} min"})
    am.storms(scenario, 1)
    assert len(benchmark.pedantic(am.storms, (scenario, count), rounds=2)) == count
    if benchmark.enabled:
        hours = count * minutes / 60
        benchmark.extra_info["an hour of a storm"] = f"{1e3 * benchmark.stats.stats.min / hours:.1f} ms"


@pytest.mark.benchmark(group="memory")
def test_memory_does_not_grow_with_the_count(benchmark: Any) -> None:
    """Beside the figures that are kept of each storm, eight numbers, a run of many needs what a few need."""
    scenario = am.Scenario().vary({"weather.duration": "30 min"})
    most = {}
    for count in (10, 60):
        with ThreadPoolExecutor(1) as one:  # so that it does not depend on which of two come together
            am.storms(scenario, 3, executor=one)
            tracemalloc.start()
            am.storms(scenario, count, executor=one)
            most[count] = tracemalloc.get_traced_memory()[1]
            tracemalloc.stop()
    benchmark.extra_info["peak memory"] = "; ".join(
        f"{n} storms {size / 1e6:.2f} MB" for n, size in most.items()
    )
    assert most[60] < 1.02 * most[10] + 50 * 1000
    benchmark.pedantic(am.storms, (scenario, 10), rounds=1)


side_by_side = pytest.mark.benchmark(group="two hundred storms of a minute", timer=time.process_time)


@cache
def the_problem() -> Any:
    return problem(SIDE_BY_SIDE, MINUTE)


def marched(dt: float) -> np.ndarray:
    """Peaks at the bow (N) by our own march, one storm after the other."""
    p, found = the_problem(), []
    rows, work = np.empty((kernel.SAMPLED, round(MINUTE / dt) + 1)), np.empty((5, kernel.STATE))
    for air in p.air:
        start, peaks = lie(p.body, p.setting, p.curve, air[0]), np.zeros(3)
        kernel.march(
            p.body,
            p.setting,
            p.curve.packed,
            seabed.uplift_table(),
            air,
            PACE,
            start,
            dt,
            1,
            work,
            rows,
            peaks,
        )
        found.append(peaks[0])
    return np.array(found)


@cache
def reference() -> np.ndarray:
    """The same with a tenth of the step."""
    return marched(0.1 * the_problem().step)


def error(peaks: np.ndarray) -> float:
    return float(np.sqrt(np.mean((peaks / reference() - 1.0) ** 2)))


def compared(benchmark: Any, solve: Any) -> np.ndarray:
    peaks = benchmark.pedantic(solve, rounds=2, warmup_rounds=1)
    benchmark.extra_info["error in the peak"] = f"{error(peaks):.1e}"
    return np.asarray(peaks)


@side_by_side
def test_our_march(benchmark: Any) -> None:
    assert error(compared(benchmark, lambda: marched(the_problem().step))) < 1e-3


@side_by_side
def test_numpy_all_storms_at_a_time(benchmark: Any) -> None:
    """Step for step the same march, so that it is right if ours is, and ours if it is."""
    peaks = benchmark.pedantic(by_numpy, (the_problem(), MINUTE), rounds=1)
    benchmark.extra_info["error in the peak"] = f"{error(peaks):.1e}"
    np.testing.assert_allclose(peaks, marched(the_problem().step), rtol=1e-9)


@side_by_side
def test_diffrax_under_vmap(benchmark: Any) -> None:
    """Compiled beforehand, which takes it seconds."""
    pytest.importorskip("diffrax")
    peaks = compared(benchmark, by_diffrax(the_problem(), MINUTE, TOLERANCE))
    assert error(marched(the_problem().step)) < error(peaks) < 0.01
