"""From a control's move to the new picture: kernel time, beside the simulation that it contains."""

from __future__ import annotations

from itertools import cycle

import pytest

from anchorsim.dynamics.simulation import simulate
from anchorsim.explorer import Explorer
from anchorsim.scenario.scenario import Scenario

pytestmark = pytest.mark.benchmark(group="control to picture")


@pytest.fixture(scope="module")
def screen() -> Explorer:
    return Explorer(Scenario())


def test_control_to_picture(benchmark, screen: Explorer) -> None:
    """Everything between a move and the four new views; the ranges follow after the first yield."""
    scopes = cycle((5.0, 5.5, 6.0, 6.5))

    def move() -> None:
        screen._pending = {"tackle.scope": next(scopes)}
        next(screen._work())

    benchmark(move)
    assert screen.run.scenario.tackle.scope in (5.0, 5.5, 6.0, 6.5)


def test_the_simulation_within_it(benchmark) -> None:
    scenario = Scenario()
    benchmark(lambda: simulate(scenario, seed=1))
