"""Many spells: each the same whatever is varied, however many, wherever and in whatever order they are run.

What can be known without the program: a spell by itself is one spell; a stopped run goes on where it was.
"""

from __future__ import annotations

import os
import signal
import threading
from concurrent.futures import Executor, Future, ProcessPoolExecutor, ThreadPoolExecutor
from dataclasses import replace
from multiprocessing import get_context
from typing import Any

import numpy as np
import pytest

import anchorsim as am
from anchorsim.core.units import si
from anchorsim.dynamics.anchor_travel import DRAGS_FROM
from anchorsim.dynamics.run import Track, positions
from anchorsim.risk import monte_carlo, spell_figures, workers
from anchorsim.risk.draws import draw
from anchorsim.risk.monte_carlo import (
    FIGURES,
    Spells,
    SpellsStoppedError,
    of_runs,
    spells,
    spells_each,
    spells_numbered,
)
from anchorsim.scenario.site import ground
from anchorsim.scenario.vessel import corners

SHORT = am.Scenario().vary({"weather.duration": "1 min", "weather.mean_wind": "35 knot"})
ROUND = SHORT.vary(
    {"surroundings.dangers": [{"name": "rock", "at": [{"bearing": "45 degree", "distance": "60 m"}]}]}
)


@pytest.fixture(scope="module")
def forty() -> Spells:
    return spells(SHORT, 40)


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


def dragged(found: Spells) -> np.ndarray:
    return found.drag >= DRAGS_FROM


def test_a_spell_is_one_run(forty: Spells) -> None:
    run = am.simulate(SHORT, **draw(17)._asdict())
    assert forty.number[17] == 17
    assert forty.peak_load[17] == run.si.peak_load
    assert forty.peak_anchor_load[17] == run.si.peak_anchor_load
    assert forty.uplift[17] == run.si.peak_uplift
    assert forty.radius[17] == run.si.swing_radius
    assert forty.drag[17] == run.si.drag_distance
    assert forty.water[17] == SHORT.water_depth == si(SHORT.spot.depth), "a flat bottom, no tide"
    chance = draw(17)
    assert forty.windage[17] == chance.windage
    anchor = SHORT.tackle.anchor
    holding = ground(anchor.type, si(anchor.mass), SHORT.spot.bottom, chance.holding_quantile).holding
    assert forty.holding[17] == holding


@pytest.mark.parametrize("kind", ["one thread", "three threads", "backwards", "two processes"])
def test_the_same_to_the_last_bit_wherever_it_runs(kind: str, forty: Spells) -> None:
    kinds = {
        "one thread": lambda: ThreadPoolExecutor(1),
        "three threads": lambda: ThreadPoolExecutor(3),
        "backwards": Backwards,
        "two processes": lambda: ProcessPoolExecutor(2, mp_context=get_context("spawn")),
    }
    with kinds[kind]() as executor:
        assert spells(SHORT, 40, executor=executor).same_as(forty)


def test_the_same_whatever_the_count_and_the_order(forty: Spells) -> None:
    some = spells(SHORT, 5, first=30)
    for name in FIGURES:
        np.testing.assert_array_equal(getattr(some, name), getattr(forty, name)[30:35])
    few = spells_numbered(SHORT, np.array([3, 11, 39]))
    np.testing.assert_array_equal(few.peak_load, forty.peak_load[[3, 11, 39]])


def test_the_same_spells_for_every_variant(forty: Spells) -> None:
    heavier = spells(SHORT.vary({"tackle.anchor.mass": "40 kg"}), 40)
    np.testing.assert_array_equal(heavier.windage, forty.windage)
    # The holding of a mass goes by a power law, so its scatter is the same share of it for either anchor.
    np.testing.assert_allclose(heavier.holding / forty.holding, 2**0.8, rtol=1e-12)
    calm = (forty.drag == 0) & (heavier.drag == 0)
    assert calm.sum() > 5
    np.testing.assert_array_equal(heavier.peak_load[calm], forty.peak_load[calm])


def test_a_heavier_anchor_never_drags_where_the_lighter_one_holds(forty: Spells) -> None:
    heavier = spells(SHORT.vary({"tackle.anchor.mass": "25 kg"}), 40)
    assert 0 < dragged(heavier).sum() < dragged(forty).sum()
    assert not (dragged(heavier) & (forty.drag == 0)).any()


def test_windage_is_the_push_of_the_wind() -> None:
    # In a steady wind she lies still and the load at the bow is the push, which the factor multiplies.
    steady = am.Scenario().vary(
        {"weather.gust": "30 knot", "weather.mean_wind": "30 knot", "weather.duration": "3 min"}
    )
    loads = [am.simulate(steady, windage=factor).si.bow_load[0] for factor in (1.0, 1.3)]
    # Horizontal; at the bow the weight of the hanging chain comes on top, so a little less than 1.3.
    assert 1.2 < loads[1] / loads[0] <= 1.3


def test_arrays_are_of_one_length_and_frozen(forty: Spells) -> None:
    for name in ("number", *FIGURES):
        array = getattr(forty, name)
        assert array.shape == (40,)
        with pytest.raises(ValueError, match="read-only"):
            array[0] = 0
    assert forty.complete
    assert len(forty) == 40
    assert forty.closest.shape == (40, 0), "nothing is round her"
    with pytest.raises(ValueError, match="read-only"):
        spells(ROUND, 2).closest[0] = 0.0


def test_progress_rises_to_the_whole() -> None:
    seen: list[tuple[int, int]] = []
    spells(SHORT, 20, progress=lambda done, of: seen.append((done, of)))
    assert seen[-1] == (20, 20)
    assert [done for done, _ in seen] == sorted({done for done, _ in seen})


def test_cancelling_keeps_what_is_done_and_going_on_gives_the_whole(forty: Spells) -> None:
    stop = threading.Event()
    part = spells(
        SHORT, 40, executor=ThreadPoolExecutor(1), progress=lambda done, _: stop.set(), cancel=stop.is_set
    )
    assert 0 < len(part) < 40
    assert not part.complete
    np.testing.assert_array_equal(part.peak_load, forty.peak_load[part.number])
    left: list[int] = []
    whole = spells(SHORT, 40, known=part, progress=lambda done, _: left.append(done))
    assert whole.same_as(forty)
    assert left[0] > len(part)  # what was known was not run again


def test_nothing_is_run_where_all_is_known(forty: Spells, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(monte_carlo, "simulate", None)
    assert spells(SHORT, 30, known=forty).same_as(spells(SHORT, 30, known=forty))
    np.testing.assert_array_equal(spells(SHORT, 30, known=forty).radius, forty.radius[:30])


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


def test_a_killed_process_loses_nothing_that_was_done(forty: Spells) -> None:
    with pytest.raises(
        SpellsStoppedError,
        match=r"^Stopped after 15 of 40 spells \(BrokenProcessPool: .*\)\. Run again with a new executor\.$",
    ) as told:
        spells(SHORT, 40, executor=Dying())
    np.testing.assert_array_equal(told.value.spells.drag, forty.drag[:15])
    assert spells(SHORT, 40, known=told.value.spells).same_as(forty)


@pytest.mark.parametrize("count", [0, -1, 2.5, True])
def test_a_count_that_cannot_be_is_refused(count: Any) -> None:
    with pytest.raises(ValueError, match=r"^count: .*\. Expected a whole number, 1 or more"):
        spells(SHORT, count)


def test_other_scenarios_spells_are_refused(forty: Spells) -> None:
    with pytest.raises(ValueError, match=r"^known: from another scenario\. Expected this scenario's"):
        spells(am.Scenario(), 40, known=forty)


def test_an_error_in_a_spell_comes_through() -> None:
    with pytest.raises(ValueError, match=r"gone\.csv"):
        spells(SHORT.vary({"weather.record": "gone.csv"}), 3)


def test_peaks_over_a_longer_watch_are_never_less() -> None:
    # A longer spell begins with the shorter one, so each spell's greatest load can only grow with it.
    held = SHORT.vary({"tackle.anchor.mass": "100 kg"})
    short, longer = (spells(held.vary({"weather.duration": f"{n} min"}), 12) for n in (1, 2))
    assert not dragged(longer).any()
    assert (longer.peak_load >= short.peak_load).all()
    assert (longer.peak_load > short.peak_load).any()


def test_things_round_her_are_met_however_the_spells_are_come_by() -> None:
    """By one, many, known or from runs that there are; with and without them her other figures are alike."""
    whole, bare = spells(ROUND, 6), spells(SHORT, 6)
    assert [thing.name for thing in whole.things] == ["rock"] and whole.closest.shape == (6, 1)
    for name in FIGURES:
        np.testing.assert_array_equal(getattr(whole, name), getattr(bare, name))
    assert spells(ROUND, 6, known=spells(ROUND, 3)).same_as(whole)
    both = spells_each([SHORT, ROUND], np.arange(6), known=[None, None])
    assert both[0].same_as(bare) and both[1].same_as(whole), "tables of other widths, side by side"
    runs = [(draw(number), am.simulate(ROUND, **draw(number)._asdict())) for number in range(6)]
    assert of_runs(ROUND, runs).same_as(whole)


def test_the_farthest_corner_and_the_least_water_are_of_all_samples() -> None:
    """The farthest is looked for in a few samples first; here in every one, over a plane that rises by 2°."""
    shore = SHORT.vary(
        {"spot.slope": "2 degree", "spot.deepens_towards": "225 degree", "weather.duration": "3 min"}
    )
    found = spells(shore, 3)
    for number in range(3):
        run = am.simulate(shore, **draw(number)._asdict())
        north, east = positions(run.si, corners(shore.boat))
        assert found.radius[number] == np.hypot(north, east).max()
        water = 6.0 - np.tan(np.radians(2.0)) * (north + east) * np.sqrt(0.5)
        assert found.water[number] == pytest.approx(water.min(), rel=1e-12)


# --- By hand ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("missing", "minutes", "sizes"),
    [
        ([16], 10, [1] * 16),
        ([17], 10, [2] * 8 + [1]),
        ([33], 10, [3] * 11),
        ([1], 10, [1]),
        ([], 10, []),
        ([10, 0, 40], 10, [4, 4, 2] + [4] * 10),  # fifty in sixteen tasks at the least
        ([4000], 10, [60] * 66 + [40]),  # ten hours of spells at the most
        ([4000], 360, [1] * 4000),
    ],
)
def test_tasks_are_short_and_sixteen_at_the_least(missing: list[int], minutes: int, sizes: list[int]) -> None:
    """So that all cores are busy to the end and a cancel is soon heard (judgement)."""
    scenario = SHORT.vary({"weather.duration": f"{minutes} min"})
    places = [np.arange(count) + 100 for count in missing]
    tasks = list(monte_carlo._tasks([scenario] * len(places), np.arange(5000), places))
    assert [len(task[1]) for task in tasks] == sizes
    for which, wanted in enumerate(places):
        found = [task[1] for task in tasks if task[0] == which]
        assert np.concatenate([*found, []]).tolist() == wanted.tolist()


def test_an_executor_s_words_are_cut_to_one_short_line() -> None:
    assert workers._in_words(OSError("")) == "OSError"
    assert workers._in_words(OSError("gone.  Do\nthis.")) == "OSError: gone"
    assert workers._in_words(OSError("gone\n  for \t good.")) == "OSError: gone for good"
    assert workers._in_words(OSError("x" * 200)) == f"OSError: {'x' * 120}"


def test_the_farthest_of_a_boat_over_her_anchor_is_her_farthest_corner() -> None:
    """Half a metre off it to the north, head east: her corners turned and moved, by NumPy."""
    run = am.simulate(SHORT)
    columns = {name: np.zeros(200) for name in Track.__dataclass_fields__}
    columns |= {"x": np.full(200, 0.5), "heading": np.full(200, np.pi / 2)}
    still = replace(run, si=replace(run.si, **columns))
    points = corners(SHORT.boat) @ [[0.0, 1.0], [-1.0, 0.0]] + (0.5, 0.0)
    assert spell_figures._farthest(still) == pytest.approx(np.hypot(*points.T).max(), rel=1e-12)


def test_what_is_left_unsaid_is_two_hundred_spells_from_the_first_on(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(monte_carlo, "spells_numbered", lambda scenario, numbers, **_: numbers)
    assert list(spells(SHORT)) == list(range(200))  # type: ignore[call-overload]
    assert list(spells(SHORT, 3, first=5)) == [5, 6, 7]  # type: ignore[call-overload]


def test_cores_are_as_many_as_there_are_spells_at_the_most(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(os, "cpu_count", lambda: 6)
    for count, threads in ((0, 1), (1, 1), (4, 4), (6, 6), (50, 6)):
        with workers.workers_of(None, count) as own:
            assert own._max_workers == threads  # type: ignore[attr-defined]
    monkeypatch.setattr(os, "cpu_count", lambda: None)
    with workers.workers_of(None, 9) as own:
        assert own._max_workers == 1  # type: ignore[attr-defined]


def test_figures_are_kept_in_the_order_of_their_names() -> None:
    assert FIGURES == (
        "peak_load", "peak_anchor_load", "uplift", "radius", "drag", "water", "holding", "windage",
        "holding_used",
    )  # fmt: skip
