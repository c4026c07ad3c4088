"""The boat's motion under symmetries: current, mirror, compass, origin; and the same bit for bit."""

from __future__ import annotations

import hashlib
import math
import os
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor

import numpy as np
import pytest
from watch_parts import KNOT, ROW, watch

from anchorsim import curve_kernel, simulate, swing_kernel
from anchorsim.scenario import Scenario
from anchorsim.swing import blow

GALE = {"weather.mean_wind": "30 knot", "weather.gust": "42 knot", "weather.duration": "10 min"}
CASES = {
    "snubber": {},
    "bare chain": {"tackle.snubber.length": "0 m"},
    "bridle": {"boat.model": "catamaran-12", "tackle.snubber.legs": 2},
    "dragging": {"tackle.anchor.type": "plough", "tackle.anchor.mass": "15 kg", "spot.bottom": "soft mud"},
}


def gusts(changes):
    wind = blow(Scenario().vary({**changes, **GALE}), 5)
    return np.column_stack([wind.north, wind.east])


# --- current ---


@pytest.mark.parametrize("boat", ["sloop-12", "ketch-13", "catamaran-12"])
def test_a_free_boat_moves_alike_in_still_and_in_moving_water(boat):
    """Galilei: water, air and boat all carried along by one velocity; the slack rode does not pull."""
    north, east = 0.8, -1.1  # m/s
    still = watch(
        {"boat.model": boat, "tackle.scope": 30, "tackle.chain.length": "200 m", "spot.depth": "3 m"}
    )
    carried = still.around(current_north=north, current_east=east)
    seconds, air = 60.0, np.array([5.0, 7.0])
    a = still.put(-20.0, 30.0, 0.7, 1.0, -0.6, 0.4)
    b = a.copy()
    cosine, sine = math.cos(0.7), math.sin(0.7)
    b[3] += north * cosine + east * sine
    b[4] += -north * sine + east * cosine
    calm = still.sail(a, air, seconds, dt=0.02)
    moved = carried.sail(b, air + np.array([north, east]), seconds, dt=0.02)
    time = calm[:, ROW["time"]]
    assert np.ptp(calm[:, ROW["at_anchor"]]) == np.ptp(moved[:, ROW["at_anchor"]]) == 0.0, "slack"
    assert moved[:, ROW["x"]] == pytest.approx(calm[:, ROW["x"]] + north * time, abs=1e-7)
    assert moved[:, ROW["y"]] == pytest.approx(calm[:, ROW["y"]] + east * time, abs=1e-7)
    assert moved[:, ROW["heading"]] == pytest.approx(calm[:, ROW["heading"]], abs=1e-8)
    assert np.ptp(calm[:, ROW["heading"]]) > 0.3, "she turns meanwhile"


def test_adrift_without_wind_she_comes_to_the_waters_velocity():
    """Her way through the water dies as w/(1 + ½ρ S C_F w t/m), m with the added mass in surge."""
    north, east, way = 0.02, 0.03, 0.3
    parts = watch({"tackle.scope": 30, "tackle.chain.length": "200 m", "spot.depth": "3 m"})
    parts = parts.around(current_north=north, current_east=east, air=0.0).boat(wave_drag=0.0)
    rows = parts.sail(parts.put(-100.0, -10.0, 0.0, north + way, east, 0.0), [0.0, 0.0], 800.0)
    assert rows[:, ROW["at_anchor"]].max() == 0.0, "slack"
    rate = 0.5 * 1025.0 * parts.body.surge_drag * way / (parts.body.mass + parts.body.added_surge)
    time = rows[:, ROW["time"]]
    assert rows[:, ROW["x"]] == pytest.approx(
        -100.0 + north * time + way / rate * np.log1p(rate * time), abs=1e-6
    )
    assert rows[:, ROW["y"]] == pytest.approx(-10.0 + east * time, abs=1e-9)
    assert (rows[-1, ROW["x"]] - rows[-21, ROW["x"]]) < north + 0.5 * way, "half of it in 13 minutes"


@pytest.mark.parametrize("boat", ["sloop-12", "catamaran-12"])
def test_without_wind_she_lies_to_the_current(boat):
    """Head to it, held by what resistance she meets ahead.

    The air at rest is taken away, whose push would come to a few newtons.
    """
    speed = 2.0 * KNOT
    told = {"spot.current": "2 knot", "spot.current_set": "90 degree", "boat.model": boat}
    parts = watch(told).around(air=0.0)
    state = parts.put(10.0, 30.0, math.radians(-60.0))
    rows = parts.sail(state, [0.0, 0.0], 3600.0, stride=20)
    heading = np.degrees(rows[-1, ROW["heading"]])
    assert heading == pytest.approx(-90.0, abs=0.1)
    load = parts.curve.look_up(parts.distance(state))[0]
    assert load == pytest.approx(parts.drag(speed), rel=1e-3)


# --- symmetries of the whole watch ---


@pytest.mark.parametrize("case", CASES)
def test_the_mirror_image_of_a_watch_is_a_watch(case):
    parts, air = watch(CASES[case]), gusts(CASES[case])
    parts = parts.around(current_north=0.2, current_east=0.3)
    other = parts.around(current_east=-0.3)
    state = parts.at_rest(15.0)
    state[swing_kernel.TURN] = 0.02
    image = state.copy()
    image[swing_kernel.TURN] = -0.02
    rows, mirrored = parts.sail(state, air, 300.0), other.sail(image, air * [1.0, -1.0], 300.0)
    for name, sign in (
        ("x", 1),
        ("y", -1),
        ("heading", -1),
        ("at_bow", 1),
        ("at_anchor", 1),
        ("anchor_y", -1),
    ):
        assert np.array_equal(mirrored[:, ROW[name]], sign * rows[:, ROW[name]]), name
    assert np.ptp(rows[:, ROW["heading"]]) > 0.3
    assert (rows[-1, ROW["anchor_x"]] != 0.0) == (case == "dragging")


@pytest.mark.parametrize("case", CASES)
def test_turning_the_compass_changes_nothing(case):
    """Wind, current, boat and all turned by 77°, and the anchor let go elsewhere."""
    turn, place = math.radians(77.0), np.array([310.0, -120.0])
    matrix = np.array([[math.cos(turn), -math.sin(turn)], [math.sin(turn), math.cos(turn)]])
    parts, air = watch(CASES[case]).around(current_north=0.2, current_east=0.3), gusts(CASES[case])
    set_ = matrix @ [0.2, 0.3]
    other = parts.around(current_north=float(set_[0]), current_east=float(set_[1]))
    state = parts.at_rest(15.0)
    turned = state.copy()
    turned[0:2] = place + matrix @ state[0:2]
    turned[2] += turn
    turned[6:8] = place
    turned[9:11] = matrix @ state[9:11]
    rows, again = parts.sail(state, air, 300.0), other.sail(turned, air @ matrix.T, 300.0)
    there = place + rows[:, [ROW["x"], ROW["y"]]] @ matrix.T
    near = 1e-4 if case == "dragging" else 1e-7  # m; breaking out and digging in again spread rounding
    assert again[:, [ROW["x"], ROW["y"]]] == pytest.approx(there, abs=near)
    assert again[:, ROW["heading"]] == pytest.approx(rows[:, ROW["heading"]] + turn, abs=near)
    held = 200 if case == "dragging" else len(rows)
    assert again[:held, ROW["at_bow"]] == pytest.approx(rows[:held, ROW["at_bow"]], rel=1e-7, abs=1e-3)


# --- the same watch again ---


def digest(changes):
    run = simulate(Scenario().vary({**changes, **GALE, "weather.duration": "4 min"}), seed=11)
    columns = [getattr(run.track, name) for name in run.track.__dataclass_fields__]
    return hashlib.sha256(np.array(columns).tobytes()).hexdigest()


WATCHES = [*CASES.values(), {"weather.wave_height": "0.6 m", "weather.wave_period": "3 s"}]
ANOTHER = "import test_swing_symmetry as t; print(*[t.digest(case) for case in t.WATCHES])"


def test_the_same_seed_gives_the_same_bits_in_any_thread_process_and_processor():
    """NumPy takes other ways to a sine, and other last bits, where a processor lacks its wide registers."""
    first = [digest(case) for case in WATCHES]
    with ThreadPoolExecutor(2) as pool:
        assert list(pool.map(digest, WATCHES)) == first
    assert len(set(first)) == len(first)
    wide = ",".join(np.show_config(mode="dicts")["SIMD Extensions"]["found"])
    for lacking in ({}, {"NPY_DISABLE_CPU_FEATURES": wide}):
        done = subprocess.run(
            [sys.executable, "-c", ANOTHER],
            cwd=__file__.rpartition("/")[0],
            env=os.environ | lacking,
            capture_output=True,
            text=True,
            check=True,
        )
        assert done.stdout.split() == first, lacking


@pytest.mark.parametrize("case", CASES)
def test_compiled_and_plain_are_the_same(case, monkeypatch):
    """Every kernel's plain function instead of the machine code made of it."""
    parts, air = watch(CASES[case]), gusts(CASES[case])[600:]
    start = parts.at_rest(15.0)
    start[swing_kernel.AHEAD] = -0.5
    state, plain_state = start.copy(), start.copy()
    rows = parts.sail(state, air, 25.0, dt=0.1)
    for module in (swing_kernel, curve_kernel):
        for name, function in vars(module).copy().items():
            if hasattr(function, "py_func"):
                monkeypatch.setattr(module, name, function.py_func)
    plain = parts.sail(plain_state, air, 25.0, dt=0.1)
    assert not hasattr(swing_kernel.look_up, "py_func")
    assert plain == pytest.approx(rows, rel=1e-12, abs=1e-12)
    assert plain_state == pytest.approx(state, rel=1e-12, abs=1e-12)
    assert (rows[-1, ROW["anchor_x"]] != 0.0) == (case == "dragging")
