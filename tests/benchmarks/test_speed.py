"""How long the work behind the screen takes: ``pytest tests/benchmarks --benchmark-enable --benchmark-only``.

In an ordinary run each is done once, untimed, so that it is known to work.
"""

from __future__ import annotations

from typing import Any

from anchorsim import Scenario, assess, simulate

SCENARIO = Scenario()


def test_one_watch(benchmark: Any) -> None:
    run = benchmark(simulate, SCENARIO, seed=1)
    assert len(run.time) > 1


def test_an_assessment_of_eight_spells(benchmark: Any) -> None:
    found = benchmark(lambda: assess(SCENARIO, 8))
    assert len(found.outcomes) == 8


def test_one_change_of_a_scenario(benchmark: Any) -> None:
    changed = benchmark(SCENARIO.vary, {"tackle.scope": 7})
    assert changed.tackle.scope == 7
