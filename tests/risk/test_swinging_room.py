"""The room she needs: her whole outline, over the whole spell."""

from __future__ import annotations

import math
import threading
from concurrent.futures import Executor, Future, ThreadPoolExecutor
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from anchorsim import simulate
from anchorsim.dynamics.run import Track, positions
from anchorsim.numerics.estimates import quantile
from anchorsim.risk.draws import draw
from anchorsim.risk.monte_carlo import spells
from anchorsim.risk.swinging_room import SwingingRoom, envelope, room_needed
from anchorsim.scenario.scenario import Scenario
from anchorsim.scenario.vessel import corners

GALE = Scenario().vary({"weather.duration": "1 min", "weather.mean_wind": "28 knot"})


@pytest.fixture(scope="module")
def thirty() -> SwingingRoom:
    return room_needed(GALE, 30)


def lying(x, y, heading, model="sloop-12"):
    """A run in which she lies a second in each of the given places."""
    run = simulate(Scenario().vary({"boat.model": model, "weather.duration": "1 min"}))
    columns = {name: np.zeros(10 * len(x)) for name in Track.__dataclass_fields__}
    columns |= {"x": np.repeat(x, 10), "y": np.repeat(y, 10), "heading": np.repeat(heading, 10)}
    return replace(run, si=replace(run.si, **columns))


def test_a_boat_that_lies_still_has_the_room_of_her_outline():
    """Broadside on at 40 m: stem and stern bound the bearings, her far side the distance; no gaps."""
    run = lying([40.0], [0.0], [math.pi / 2])
    ring = envelope(run)
    assert np.array_equal(ring[0], ring[-1])
    far = np.hypot(*ring[:-1].T)
    bearing = (np.arange(len(far)) + 0.5) * 360.0 / len(far) - 180.0
    entered = np.abs(bearing) < math.degrees(math.atan2(6.0, 40.0)) - 2.5
    assert (far[entered] > 40.0).all(), "not a gap between stem and stern"
    # half of her beam of 3.9 m beyond, and farther by what a sector of 2.5° widens
    nearest, farthest = 40.0 + 1.95, (40.0 + 1.95) / math.cos(math.radians(2.5))
    assert ((nearest - 1e-9 <= far) & (far <= farthest))[np.abs(bearing) < 1.3].all()
    beyond = np.abs(bearing) > math.degrees(math.atan2(6.0, 38.0)) + 2.5
    assert (far[beyond] == 0.0).all()


def test_her_farthest_corner_is_the_swing_radius():
    """Head to wind a quarter is farthest: half her length beyond amidships, and aside."""
    run = lying([-40.0], [0.0], [0.0])
    closed = math.hypot(40.0 + 6.0, 0.75 * 1.95)
    assert run.swing_radius.m_as("m") == pytest.approx(closed, rel=1e-12)
    assert np.hypot(*envelope(run).T).max() == pytest.approx(closed, rel=1e-12)


def test_places_taken_one_after_the_other_add_up():
    first, second = ([-30.0], [10.0], [0.1]), ([20.0], [25.0], [2.0])
    both = [a + b for a, b in zip(first, second, strict=True)]
    apart = np.maximum(np.hypot(*envelope(lying(*first)).T), np.hypot(*envelope(lying(*second)).T))
    assert np.hypot(*envelope(lying(*both)).T) == pytest.approx(apart)


def test_turned_by_whole_sectors_the_room_turns_with_her():
    turn = math.radians(17 * 2.5)
    x, y = np.array([-35.0, -20.0]), np.array([3.0, 25.0])
    plain = envelope(lying(x, y, [0.2, 1.0]))[:-1]
    cosine, sine = math.cos(turn), math.sin(turn)
    turned = envelope(lying(x * cosine - y * sine, x * sine + y * cosine, [0.2 + turn, 1.0 + turn]))[:-1]
    assert np.hypot(*turned.T) == pytest.approx(np.roll(np.hypot(*plain.T), 17), abs=1e-9)


@pytest.mark.parametrize("model", ["sloop-12", "catamaran-12"])
def test_a_watch_stays_within_its_room(model):
    run = simulate(Scenario().vary({"boat.model": model}))
    far = np.hypot(*envelope(run).T)
    for points in (corners(run.scenario.boat), corners(run.scenario.boat) / 2):
        north, east = positions(run.si, points)
        sector = np.floor((np.arctan2(east, north) / (2 * np.pi) + 0.5) * 144).astype(int) % 144
        beyond = np.hypot(north, east) - far[sector]
        assert beyond.max() < 0.5, "what she moves in half a second, or across a sector"
        assert np.quantile(beyond, 0.999) < 0.1
    assert far.max() == pytest.approx(run.swing_radius.m_as("m"), abs=0.1)


def test_a_taut_rode_gives_the_geometric_radius():
    """√(rode² − (depth + bow)²) and the boat after it: all that a rode can give, and a little stretch."""
    told = {"tackle.snubber.length": "0 m", "weather.mean_wind": "60 knot", "weather.gust": "60 knot"}
    run = simulate(Scenario().vary({**told, "tackle.anchor.mass": "200 kg", "spot.bottom": "stiff clay"}))
    rode, rise = run.scenario.paid_out, run.scenario.height
    taut = math.sqrt(rode**2 - rise**2) + run.scenario.boat.roller.m_as("m") + 6.0
    assert run.drag_distance.m == 0.0
    assert run.swing_radius.m_as("m") == pytest.approx(taut, rel=0.01)
    assert run.swing_radius.m_as("m") < math.hypot(taut, 1.5) + 0.1


def test_its_spells_are_those_of_everything_else(thirty: SwingingRoom) -> None:
    found = spells(GALE, 30)
    # The outline is followed every half second, and the swing radius every tenth.
    np.testing.assert_allclose(thirty.si.reach.max(axis=1), found.radius, atol=0.2)
    run = simulate(GALE, **draw(11)._asdict())
    np.testing.assert_allclose(thirty.si.reach[11], np.hypot(*envelope(run)[:-1].T), rtol=1e-12)
    np.testing.assert_allclose(thirty.si.ring(1.0)[:-1], ring_of(thirty.si.reach.max(axis=0)), rtol=1e-12)
    assert (np.hypot(*thirty.si.ring(0.5).T) <= np.hypot(*thirty.si.ring(1.0).T) + 1e-9).all()
    assert thirty.farthest == quantile(thirty.si.reach.max(axis=1), 0.95, unit="m")
    assert thirty.complete and len(thirty) == 30
    np.testing.assert_array_equal(room_needed(GALE, 2, first=11).si.reach, thirty.si.reach[11:13])
    with pytest.raises(ValueError, match="read-only"):
        thirty.si.reach[0, 0] = 1.0


def ring_of(farthest: np.ndarray) -> np.ndarray:
    middle = np.radians((np.arange(144) + 0.5) * 2.5 - 180.0)
    return np.column_stack([farthest * np.cos(middle), farthest * np.sin(middle)])


class Failing(Executor):
    def submit(self, function: Any, /, *args: Any, **kwargs: Any) -> Future[Any]:
        failed: Future[Any] = Future()
        failed.set_exception(EOFError("the other end hung up"))
        return failed


def test_stopped_and_failed(thirty: SwingingRoom) -> None:
    stop = threading.Event()
    part = room_needed(
        GALE, 30, executor=ThreadPoolExecutor(1), progress=lambda *_: stop.set(), cancel=stop.is_set
    )
    assert 0 < len(part) < 30 and not part.complete
    np.testing.assert_array_equal(part.si.reach, thirty.si.reach[part.number])
    with pytest.raises(
        RuntimeError, match=r"^Stopped after 0 of 3 spells \(EOFError: the other end hung up\)\. Run again"
    ):
        room_needed(GALE, 3, executor=Failing())
    with pytest.raises(ValueError, match=r"count: 0 is out of range\. Expected a whole number, 1 or more"):
        room_needed(GALE, 0)
