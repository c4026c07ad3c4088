"""Many spells: each the same whatever is varied, however many, wherever and in whatever order they are run.

What can be known without the program: a spell by itself is one spell; draws follow their stated laws (checked
with scipy.stats); a stopped run goes on where it was.
"""

from __future__ import annotations

import os
import signal
import threading
from concurrent.futures import Executor, Future, ProcessPoolExecutor, ThreadPoolExecutor
from multiprocessing import get_context
from typing import Any

import numpy as np
import pytest
import scipy.stats

import anchorsim as am
from anchorsim.core.units import si
from anchorsim.risk import monte_carlo
from anchorsim.risk.monte_carlo import FIGURES, WINDAGE_SPREAD, SpellsStoppedError, draw, spells_numbered
from anchorsim.scenario.site import ground

SHORT = am.Scenario().vary({"weather.duration": "1 min", "weather.mean_wind": "35 knot"})


@pytest.fixture(scope="module")
def forty() -> am.Spells:
    return am.spells(SHORT, 40)


class Backwards(Executor):
    """Runs nothing till all is handed in, and then the last first."""

    def __init__(self) -> None:
        self.waiting: list[tuple[Future[Any], Any]] = []

    def submit(self, function: Any, /, *args: Any, **kwargs: Any) -> Future[Any]:
        future: Future[Any] = Future()
        self.waiting.append((future, lambda: function(*args, **kwargs)))
        threading.Timer(0.3, self.run).start()
        return future

    def run(self) -> None:
        while self.waiting:
            future, call = self.waiting.pop()
            if future.set_running_or_notify_cancel():
                future.set_result(call())


def test_a_storm_is_one_watch(forty: am.Spells) -> None:
    run = am.simulate(SHORT, **draw(17)._asdict())
    assert forty.number[17] == 17
    assert forty.peak_load[17] == run.peak_bow_load
    assert forty.peak_anchor_load[17] == run.peak_anchor_load
    assert forty.uplift[17] == run.peak_uplift
    assert forty.room[17] == si(run.swing_radius)
    assert forty.drag[17] == si(run.drag_distance)
    chance = draw(17)
    assert forty.windage[17] == chance.windage
    anchor = SHORT.tackle.anchor
    holding = ground(anchor.type, si(anchor.mass), SHORT.spot.bottom, chance.holding_quantile).holding
    assert forty.holding[17] == holding


@pytest.mark.parametrize("kind", ["one thread", "three threads", "backwards", "two processes"])
def test_the_same_to_the_last_bit_wherever_it_runs(kind: str, forty: am.Spells) -> None:
    kinds = {
        "one thread": lambda: ThreadPoolExecutor(1),
        "three threads": lambda: ThreadPoolExecutor(3),
        "backwards": Backwards,
        "two processes": lambda: ProcessPoolExecutor(2, mp_context=get_context("forkserver")),
    }
    with kinds[kind]() as executor:
        assert am.spells(SHORT, 40, executor=executor).same_as(forty)


def test_the_same_whatever_the_count_and_the_order(forty: am.Spells) -> None:
    some = am.spells(SHORT, 5, first=30)
    for name in FIGURES:
        np.testing.assert_array_equal(getattr(some, name), getattr(forty, name)[30:35])
    few = spells_numbered(SHORT, np.array([3, 11, 39]))
    np.testing.assert_array_equal(few.peak_load, forty.peak_load[[3, 11, 39]])


def test_the_same_storms_for_every_variant(forty: am.Spells) -> None:
    heavier = am.spells(SHORT.vary({"tackle.anchor.mass": "40 kg"}), 40)
    np.testing.assert_array_equal(heavier.windage, forty.windage)
    # The holding of a mass goes by a power law, so its scatter is the same share of it for either anchor.
    np.testing.assert_allclose(heavier.holding / forty.holding, 2**0.8, rtol=1e-12)
    calm = (forty.drag == 0) & (heavier.drag == 0)
    assert calm.sum() > 5
    np.testing.assert_array_equal(heavier.peak_load[calm], forty.peak_load[calm])


def test_a_heavier_anchor_never_drags_where_the_lighter_one_holds(forty: am.Spells) -> None:
    heavier = am.spells(SHORT.vary({"tackle.anchor.mass": "25 kg"}), 40)
    assert 0 < heavier.dragged.sum() < forty.dragged.sum()
    assert not (heavier.dragged & (forty.drag == 0)).any()


def test_draws_follow_their_laws() -> None:
    draws = [draw(number) for number in range(2000)]
    quantiles = [chance.holding_quantile for chance in draws]
    factors = np.log([chance.windage for chance in draws])
    # Kolmogorov and Smirnov's test, scipy.stats; one in a thousand such sets of draws would fail.
    assert scipy.stats.kstest(quantiles, "uniform").pvalue > 1e-3
    assert scipy.stats.kstest(factors / WINDAGE_SPREAD, "norm").pvalue > 1e-3
    assert abs(scipy.stats.spearmanr(quantiles, factors).statistic) < 0.08  # 3.5 of its 1/√1999
    assert len({chance.seed for chance in draws}) == 2000


def test_windage_is_the_push_of_the_wind() -> None:
    # In a steady wind she lies still and the load at the bow is the push, which the factor multiplies.
    steady = am.Scenario().vary(
        {"weather.gust": "30 knot", "weather.mean_wind": "30 knot", "weather.duration": "3 min"}
    )
    loads = [am.simulate(steady, windage=factor).track.bow_load[0] for factor in (1.0, 1.3)]
    # Horizontal; at the bow the weight of the hanging chain comes on top, so a little less than 1.3.
    assert 1.2 < loads[1] / loads[0] <= 1.3


def test_arrays_are_of_one_length_and_frozen(forty: am.Spells) -> None:
    for name in ("number", *FIGURES):
        array = getattr(forty, name)
        assert array.shape == (40,)
        with pytest.raises(ValueError, match="read-only"):
            array[0] = 0
    assert forty.complete
    assert len(forty) == 40
    np.testing.assert_array_equal(forty.dragged, forty.drag >= 1.0)


def test_progress_rises_to_the_whole() -> None:
    seen: list[tuple[int, int]] = []
    am.spells(SHORT, 20, progress=lambda done, of: seen.append((done, of)))
    assert seen[-1] == (20, 20)
    assert [done for done, _ in seen] == sorted({done for done, _ in seen})


def test_cancelling_keeps_what_is_done_and_going_on_gives_the_whole(forty: am.Spells) -> None:
    stop = threading.Event()
    part = am.spells(
        SHORT, 40, executor=ThreadPoolExecutor(1), progress=lambda done, _: stop.set(), cancel=stop.is_set
    )
    assert 0 < len(part) < 40
    assert not part.complete
    np.testing.assert_array_equal(part.peak_load, forty.peak_load[part.number])
    left: list[int] = []
    whole = am.spells(SHORT, 40, known=part, progress=lambda done, _: left.append(done))
    assert whole.same_as(forty)
    assert left[0] > len(part)  # what was known was not run again


def test_nothing_is_run_where_all_is_known(forty: am.Spells, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(monte_carlo, "simulate", None)
    assert am.spells(SHORT, 30, known=forty).same_as(am.spells(SHORT, 30, known=forty))
    np.testing.assert_array_equal(am.spells(SHORT, 30, known=forty).room, forty.room[:30])


def _killed(*_: object) -> None:
    os.kill(os.getpid(), signal.SIGKILL)


class Dying(Executor):
    """Two processes, one of which is killed when five tasks are finished."""

    def __init__(self) -> None:
        self.pool = ProcessPoolExecutor(2, mp_context=get_context("forkserver"))
        self.left = 5

    def submit(self, function: Any, /, *args: Any, **kwargs: Any) -> Future[Any]:
        self.left -= 1
        if self.left < 0:
            return self.pool.submit(_killed)
        future = self.pool.submit(function, *args, **kwargs)
        future.result()
        return future


def test_a_killed_process_loses_nothing_that_was_done(forty: am.Spells) -> None:
    with pytest.raises(
        SpellsStoppedError,
        match=r"stopped after 15 of 40 storms \(BrokenProcessPool: .*\); needed workers that live",
    ) as told:
        am.spells(SHORT, 40, executor=Dying())
    np.testing.assert_array_equal(told.value.spells.drag, forty.drag[:15])
    assert am.spells(SHORT, 40, known=told.value.spells).same_as(forty)


@pytest.mark.parametrize("count", [0, -1, 2.5, True])
def test_a_count_that_cannot_be_is_refused(count: Any) -> None:
    with pytest.raises(ValueError, match=r"^count: .* storms cannot be; needed a whole number from 1"):
        am.spells(SHORT, count)


def test_other_scenarios_storms_are_refused(forty: am.Spells) -> None:
    with pytest.raises(ValueError, match="storms of another scenario; needed some of this one"):
        am.spells(am.Scenario(), 40, known=forty)


def test_an_error_in_a_storm_comes_through() -> None:
    with pytest.raises(ValueError, match=r"gone\.csv"):
        am.spells(SHORT.vary({"weather.record": "gone.csv"}), 3)


def test_peaks_over_a_longer_watch_are_never_less() -> None:
    # A longer spell begins with the shorter one, so each spell's greatest load can only grow with it.
    held = SHORT.vary({"tackle.anchor.mass": "100 kg"})
    short, longer = (am.spells(held.vary({"weather.duration": f"{n} min"}), 12) for n in (1, 2))
    assert not longer.dragged.any()
    assert (longer.peak_load >= short.peak_load).all()
    assert (longer.peak_load > short.peak_load).any()
