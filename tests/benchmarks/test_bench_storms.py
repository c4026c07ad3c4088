"""Many spells: a thousand of three hours, how time and memory grow, and the rode beside other ways to it.

Side by side it is the rode alone, on bare chain, its bow carried by another sea in each spell: what there is
beside that in a spell is small.
"""

from __future__ import annotations

import gc
import os
import time
import tracemalloc
from concurrent.futures import ThreadPoolExecutor
from functools import cache
from typing import Any

import numpy as np
import pytest

import anchorsim as am
from anchorsim.risk.monte_carlo import spells

from .vectorised import BARE, by_diffrax, by_numpy, marched, problem

SOME, THOUSAND = 20, 1000
FEW, MANY = 100, 1000
SIDE_BY_SIDE, SECONDS = 100, 12.0
TOLERANCE, TIGHT = 1e-3, 1e-6


@pytest.mark.benchmark(group="storms of three hours")
def test_a_thousand_storms_of_three_hours(benchmark: Any) -> None:
    """Some of them are run, on all cores, and the thousand is projected from those."""
    scenario = am.Scenario().vary({"weather.duration": "3 hour"})
    count = SOME if benchmark.enabled else 2
    spells(scenario, 1)
    found = benchmark.pedantic(spells, (scenario, count), rounds=1)
    assert found.complete
    if benchmark.enabled:
        seconds = THOUSAND / count * benchmark.stats.stats.min
        benchmark.extra_info["a thousand"] = f"{seconds:.0f} s on {os.cpu_count()} cores"


@pytest.mark.benchmark(group="growth with count and duration", timer=time.process_time)
@pytest.mark.parametrize(("count", "minutes"), [(10, 15), (20, 15), (40, 15), (10, 30), (10, 60)])
def test_growth(benchmark: Any, count: int, minutes: int) -> None:
    """Seconds of all cores, so that other work on the machine does not count."""
    scenario = am.Scenario().vary({"weather.duration": f"{minutes} min"})
    spells(scenario, 1)
    assert len(benchmark.pedantic(spells, (scenario, count), rounds=2)) == count
    if benchmark.enabled:
        hours = count * minutes / 60
        benchmark.extra_info["an hour of a storm"] = f"{1e3 * benchmark.stats.stats.min / hours:.1f} ms"


@pytest.mark.benchmark(group="memory")
def test_memory_does_not_grow_with_the_count(benchmark: Any) -> None:
    """Beside the figures that are kept of each spell, eight numbers, a run of many needs what a few need.

    Those are there as Python's floats while their task runs, and in three tables at the end.  Python lets
    some of what is done with lie till it next tidies up; here that is after each task.
    """
    scenario = am.Scenario().vary({"weather.duration": "2 min"})
    most = {}

    def tidied(count: int) -> None:
        with ThreadPoolExecutor(1) as one:  # so that it does not depend on which of two come together
            spells(scenario, count, executor=one, progress=lambda done, all_of_them: gc.collect())

    tidied(FEW)
    for count in (FEW, MANY):
        tracemalloc.start()
        tidied(count)
        most[count] = tracemalloc.get_traced_memory()[1]
        tracemalloc.stop()
    benchmark.extra_info["peak memory"] = "; ".join(
        f"{n} storms {size / 1e6:.2f} MB" for n, size in most.items()
    )
    assert most[MANY] < 1.02 * most[FEW] + 400 * (MANY - FEW)
    benchmark.pedantic(spells, (scenario, 10), rounds=1)


side_by_side = pytest.mark.benchmark(
    group="a hundred rodes in twelve seconds of sea", timer=time.process_time
)


@cache
def the_problem() -> Any:
    return problem(SIDE_BY_SIDE, SECONDS, BARE)


@cache
def reference() -> np.ndarray:
    """Peaks at the bow (N) by the equations, to a tight tolerance."""
    return np.asarray(by_diffrax(the_problem(), TIGHT)())


def compared(benchmark: Any, solve: Any) -> np.ndarray:
    """Seconds of all cores, so that other work on the machine does not count."""
    peaks = np.asarray(benchmark.pedantic(solve, rounds=2, warmup_rounds=1))
    if benchmark.enabled:
        off = peaks / reference() - 1.0
        benchmark.extra_info["error in the peak, median"] = f"{np.median(np.abs(off)):.1e}"
        benchmark.extra_info["greatest"] = f"{np.abs(off).max():.1e}"
    return peaks


@side_by_side
def test_our_march_in_threads(benchmark: Any) -> None:
    """As ``spells`` has them."""
    p, half = the_problem(), SIDE_BY_SIDE // 2

    def threads() -> np.ndarray:
        with ThreadPoolExecutor(2) as two:
            return np.concatenate(list(two.map(marched, (p, p), (slice(half), slice(half, SIDE_BY_SIDE)))))

    assert (compared(benchmark, threads) > 0.0).all()


@side_by_side
def test_numpy_all_storms_at_a_time(benchmark: Any) -> None:
    """Step for step the same integration, so that it is right if ours is, and ours if it is."""
    peaks = compared(benchmark, lambda: by_numpy(the_problem()))
    np.testing.assert_allclose(peaks, marched(the_problem(), slice(None)), rtol=1e-9)


@side_by_side
def test_diffrax_under_vmap(benchmark: Any) -> None:
    """Compiled beforehand, which takes it seconds."""
    if not benchmark.enabled:
        pytest.skip("a minute of compiling, for its time alone")
    peaks = compared(benchmark, by_diffrax(the_problem(), TOLERANCE))
    assert np.median(np.abs(peaks / reference() - 1.0)) < 0.05
