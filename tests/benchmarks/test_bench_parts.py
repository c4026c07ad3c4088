"""What a spell is made of, part by part beside the whole, and the memory that it takes."""

from __future__ import annotations

import itertools
import time
import tracemalloc

import numpy as np
import pytest

from anchorsim import line, simulate
from anchorsim.dynamics.simulation import SAMPLE_STEP, State, blow, equilibrium, laid_out, prepare
from anchorsim.mooring.statics import LoadElongation, Segment
from anchorsim.scenario.scenario import Scenario
from anchorsim.scenario.weather import realise

pytestmark = pytest.mark.benchmark(group="parts of a watch", timer=time.process_time)

STEEL = 5.46e6  # N, the stiffness EA of 8 mm chain
NYLON = LoadElongation(
    load=(0.0, 4e3, 8e3, 12e3, 20e3, 40e3), strain=(0.0, 0.14, 0.21, 0.26, 0.33, 0.47), loss=0.3
)
FOUR = (
    Segment(length=2.0, weight=90.0, stiffness=STEEL),
    Segment(length=30.0, weight=12.0, weight_in_air=13.7, stiffness=STEEL),
    Segment(length=25.0, weight=0.12, weight_in_air=1.2, law=NYLON),
    Segment(length=8.0, weight=0.12, weight_in_air=1.2, law=NYLON),
)


def test_a_watch(benchmark):
    scenario = Scenario()
    simulate(scenario)
    assert benchmark(lambda: simulate(scenario, seed=1)).si.peak_load > 0.0


COSTS = {
    "standard": {},
    "bare chain": {"tackle.snubber.length": "0 m"},
    "bare chain in a sea": {
        "tackle.snubber.length": "0 m", "weather.wave_height": "0.5 m", "weather.wave_period": "3 s"
    },
}  # fmt: skip
STEPS = 30  # of the line in a second


@pytest.mark.parametrize("name", COSTS)
def test_its_march(benchmark, name):
    """Ten minutes from a laid state on: what a second of it costs, and a step of an element."""
    scenario = Scenario().vary({**COSTS[name], "weather.duration": "600 s"})
    rode, curve = laid_out(scenario)
    watch = prepare(scenario, rode, seed=1)
    start, samples = equilibrium(watch, curve, rode), round(600.0 / SAMPLE_STEP) + 1

    def integrate():
        return watch.run(State(*(part.copy() for part in start)), samples)[1][0]

    integrate()
    assert benchmark(integrate) > 0.0
    if benchmark.enabled:
        second = benchmark.stats.stats.min / 600.0
        elements = len(watch.mesh.elements)
        benchmark.extra_info["a second of it"] = f"{1e6 * second:.1f} µs"
        benchmark.extra_info["a step of each element"] = f"{1e9 * second / STEPS / elements:.0f} ns"


def test_its_wind(benchmark):
    weather = Scenario().weather
    seeds = itertools.count()  # another each time, for nothing drawn is kept
    assert len(benchmark(lambda: realise(weather, seed=next(seeds), height=4.0)).north) == 2401


def test_its_curve_of_a_chain_and_a_snubber(benchmark):
    run = simulate(Scenario().vary({"weather.duration": "1 min"}))
    assert benchmark(run.rode.curve).si.horizontal_load[-1] > 200e3


@pytest.mark.parametrize("slope", [-0.1, 0.0, 0.05])
def test_a_curve_of_four_segments(benchmark, slope):
    table = benchmark(lambda: line.curve(segments=FOUR, rise=8.0, friction=0.7, depth=6.5, slope=slope).si)
    assert np.isfinite(table.packed).all()


def test_another_scenario(benchmark):
    scenario, scopes = Scenario(), itertools.cycle((4.0, 5.0, 6.0))
    assert benchmark(lambda: scenario.vary({"tackle.scope": next(scopes)})).boat == scenario.boat


@pytest.mark.parametrize("minutes", [10, 360])
def test_memory(benchmark, minutes):
    """The most that a spell asks for, beside the size of its track: eleven figures ten times a second."""
    scenario = Scenario().vary({"weather.duration": f"{minutes} min"})
    blow(scenario, 1)
    simulate(scenario)
    tracemalloc.start()
    run = simulate(scenario, seed=2)
    _, most = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    size = 11 * 8 * len(run.si.time)
    benchmark.extra_info["peak memory"] = f"{most / 1e6:.1f} MB for a track of {size / 1e6:.1f} MB"
    assert most < 5 * size + 2e6
    benchmark.pedantic(simulate, (scenario,), rounds=3)
