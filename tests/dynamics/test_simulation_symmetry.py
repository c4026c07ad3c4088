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

from anchorsim import simulate
from anchorsim.dynamics import anchor_kernel, boat_motion, hull_loads, line_motion, motion_kernel, wave_kernel
from anchorsim.dynamics.hull_loads import water_load
from anchorsim.dynamics.line_motion import HELD_X, U, X, Y
from anchorsim.dynamics.motion_kernel import ABEAM, AHEAD, EAST, HEADING, TURN, State
from anchorsim.dynamics.run import Track
from anchorsim.dynamics.simulation import blow
from anchorsim.mooring.line_mesh import LENGTH
from anchorsim.scenario.scenario import Scenario

GALE = {"weather.mean_wind": "30 knot", "weather.gust": "42 knot", "weather.duration": "10 min"}
CASES = {
    "snubber": {},
    "bare chain": {"tackle.snubber.length": "0 m"},
    "bridle": {"boat.model": "catamaran-12", "tackle.snubber.legs": 2},
    "dragging": {},
}


def parts_of(case):
    parts = watch(CASES[case]).around(current_north=0.2, current_east=0.3)
    return parts.ground(holding=1500.0) if case == "dragging" else parts


def gusts(case):
    wind = blow(Scenario().vary({**CASES[case], **GALE}), 5)
    return np.column_stack([wind.north, wind.east])


# --- current ---


def carried_off(boat, step):
    """How far from the same the motion is in still water and, seen from it, in moving water, and the motion.

    The rode's foot is loose, and the anchor, which does not go with the water, so far off that its bearing
    stays the same.
    """
    north, east = 0.8, -1.1  # m/s
    still = watch({"boat.model": boat, "tackle.snubber.length": "0 m"}).around(friction=0.0, depth=1e5)
    a = watch({"boat.model": boat, "tackle.snubber.length": "0 m"}).at_rest(12.0)
    elements = still.mesh.elements.copy()
    elements[0, LENGTH] = 1e6  # its lowest, by which the anchor would hold
    a.nodes[0, X + 2] = -1e5
    still = still.put(mesh=still.mesh._replace(elements=elements))
    moving = still.around(current_north=north, current_east=east)
    a.boat[AHEAD : TURN + 1] = 0.5, -0.3, 0.1
    b = State(*(part.copy() for part in a))
    cosine, sine = math.cos(a.boat[HEADING]), math.sin(a.boat[HEADING])
    b.boat[AHEAD] += north * cosine + east * sine
    b.boat[ABEAM] += -north * sine + east * cosine
    b.nodes[1:, U] += north
    b.nodes[1:, U + 1] += east
    air = np.array([-8.0, 3.0])
    calm = still.sail(a, air, 30.0, dt=step, substeps=1)
    moved = moving.sail(b, air + np.array([north, east]), 30.0, dt=step, substeps=1)
    time = calm[:, ROW["time"]]
    off = np.column_stack([
        moved[:, ROW["x"]] - north * time - calm[:, ROW["x"]],
        moved[:, ROW["y"]] - east * time - calm[:, ROW["y"]],
        moved[:, ROW["heading"]] - calm[:, ROW["heading"]],
    ])  # fmt: skip
    rode = b.nodes[2:, X : X + 3] - a.nodes[2:, X : X + 3] - [north * time[-1], east * time[-1], 0.0]
    return np.array([*np.abs(off).max(axis=0), np.abs(rode).max()]), calm


@pytest.mark.parametrize("boat", ["sloop-12", "ketch-13", "catamaran-12"])
def test_boat_and_rode_move_alike_in_still_and_in_moving_water(boat):
    """Galilei: water, air, boat and rode carried along by one velocity; what is off shrinks with the step."""
    coarse, calm = carried_off(boat, 0.02)
    fine, _ = carried_off(boat, 0.005)
    assert np.ptp(calm[:, ROW["heading"]]) > 0.2, "she turns"
    assert np.ptp(calm[:, ROW["at_bow"]]) > 10.0, "the rode swings beneath her meanwhile"
    assert coarse.max() < 0.1
    assert (fine < 0.35 * coarse + 1e-4).all(), (fine, coarse)


@pytest.mark.parametrize("boat", ["sloop-12", "catamaran-12"])
def test_without_wind_she_lies_to_the_current(boat):
    """Head to it, held against what the water takes of her hull and of the rode, most of which lies along.

    The air at rest is taken away, whose push would come to a few newtons.
    """
    speed = 2.0 * KNOT
    told = {"spot.current": "2 knot", "spot.current_set": "90 degree", "boat.model": boat}
    parts = watch(told).around(air=0.0)
    state = parts.at_rest(0.0)
    state.boat[HEADING] = math.radians(-60.0)
    rows = parts.sail(state, [0.0, 0.0], 7200.0, stride=20)
    heading = np.degrees(rows[-1, ROW["heading"]])
    assert heading == pytest.approx(-90.0, abs=1.0)
    assert rows[-1, ROW["y"]] > 25.0
    hull = -water_load(parts.body, speed, 0.0, 0.0, parts.setting.water)[0]
    last = state.rows[-1]
    pull = last[line_motion.TENSION] * math.hypot(last[line_motion.EX], last[line_motion.EX + 1])
    assert pull == pytest.approx(hull, rel=0.02)


# --- symmetries of the whole spell ---


def mirrored(state: State, parts) -> State:
    """The same state seen in a mirror that lies north and south."""
    boat, nodes, rows = (part.copy() for part in state)
    boat[[EAST, HEADING, ABEAM, TURN]] *= -1.0
    nodes[:, [Y, U + 1, HELD_X + 1]] *= -1.0
    rows[:, line_motion.EX + 1] *= -1.0
    if parts.mesh.bridle:
        nodes[-2:], rows[-2:] = nodes[-2:][::-1].copy(), rows[-2:][::-1].copy()
    return State(boat, nodes, rows)


@pytest.mark.parametrize("case", CASES)
def test_the_mirror_image_of_a_watch_is_a_watch(case):
    """Bit by bit, but for a bridle, whose legs are solved for one after the other."""
    parts, air = parts_of(case), gusts(case)
    other = parts.around(current_east=-0.3)
    state = parts.at_rest(15.0)
    state.boat[TURN] = 0.02
    image = mirrored(state, parts)
    seconds = 60.0 if case == "bridle" else 300.0
    rows, again = parts.sail(state, air, seconds), other.sail(image, air * [1.0, -1.0], seconds)
    for name in ("x", "y", "heading", "at_bow", "at_anchor", "anchor_y"):
        sign = -1.0 if name in ("y", "heading", "anchor_y") else 1.0
        if case == "bridle":
            assert again[:, ROW[name]] == pytest.approx(sign * rows[:, ROW[name]], rel=1e-4, abs=1e-3), name
        else:
            assert np.array_equal(again[:, ROW[name]], sign * rows[:, ROW[name]]), name
    assert np.ptp(rows[:, ROW["heading"]]) > 0.2
    assert (rows[-1, ROW["anchor_x"]] != 0.0) == (case == "dragging")


@pytest.mark.parametrize("degrees", [77.0, 180.0, 311.0])
@pytest.mark.parametrize("case", CASES)
def test_turning_the_compass_changes_nothing(case, degrees):
    """Wind, current, slope, boat and rode all turned, and the anchor let go elsewhere on the plane."""
    turn, place = math.radians(degrees), np.array([310.0, -120.0])
    matrix = np.array([[math.cos(turn), -math.sin(turn)], [math.sin(turn), math.cos(turn)]])
    parts, air = parts_of(case).around(rise_north=0.03, rise_east=-0.02), gusts(case)
    set_, slope = matrix @ [0.2, 0.3], matrix @ [0.03, -0.02]
    other = parts.around(
        current_north=float(set_[0]), current_east=float(set_[1]), rise_north=float(slope[0]),
        rise_east=float(slope[1]), depth=parts.setting.depth + float(slope @ place),
    )  # fmt: skip
    state = parts.at_rest(15.0)
    boat, nodes, rows = (part.copy() for part in state)
    boat[:2] = place + matrix @ boat[:2]
    boat[HEADING] += turn
    for column, shift in ((X, place), (U, 0.0), (HELD_X, place)):
        nodes[:, column : column + 2] = shift + nodes[:, column : column + 2] @ matrix.T
    rows[:, :2] = rows[:, :2] @ matrix.T
    first = parts.sail(state, air, 60.0)
    again = other.sail(State(boat, nodes, rows), air @ matrix.T, 60.0)
    there = place + first[:, [ROW["x"], ROW["y"]]] @ matrix.T
    assert again[:, [ROW["x"], ROW["y"]]] == pytest.approx(there, abs=1e-4)
    assert again[:, ROW["heading"]] == pytest.approx(first[:, ROW["heading"]] + turn, abs=1e-4)
    for name in ("at_bow", "at_anchor"):
        assert again[:, ROW[name]] == pytest.approx(first[:, ROW[name]], rel=1e-3, abs=0.5), name


# --- the same spell again ---

POOR = {"tackle.anchor.type": "plough", "tackle.anchor.mass": "15 kg", "spot.bottom": "soft mud"}


def digest(changes):
    run = simulate(Scenario().vary({**changes, **GALE, "weather.duration": "4 min"}), seed=11)
    columns = [getattr(run.si, name) for name in Track.__dataclass_fields__]
    return hashlib.sha256(np.array(columns).tobytes()).hexdigest()


WATCHES = [
    CASES["snubber"], CASES["bare chain"], CASES["bridle"], POOR,
    {"weather.wave_height": "0.6 m", "weather.wave_period": "3 s"},
]  # fmt: skip
ANOTHER = "import test_simulation_symmetry as t; print(*[t.digest(case) for case in t.WATCHES])"


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
            env=os.environ | {"PYTHONPATH": os.pathsep.join(sys.path)} | lacking,
            capture_output=True,
            text=True,
            check=True,
        )
        assert done.stdout.split() == first, lacking


@pytest.mark.parametrize("case", CASES)
def test_compiled_and_plain_are_the_same(case, monkeypatch):
    """Every kernel's plain function instead of the machine code made of it."""
    parts, air = parts_of(case), gusts(case)[600:]
    state = parts.at_rest(15.0)
    state.boat[AHEAD] = -0.5
    plain_state = State(*(part.copy() for part in state))
    rows = parts.sail(state, air, 5.0)
    for module in (motion_kernel, line_motion, boat_motion, hull_loads, wave_kernel, anchor_kernel):
        for name, function in vars(module).copy().items():
            if hasattr(function, "py_func"):
                monkeypatch.setattr(module, name, function.py_func)
    monkeypatch.setattr("watch_parts.integrate", motion_kernel.integrate)
    plain = parts.sail(plain_state, air, 5.0)
    assert not hasattr(motion_kernel.line_step, "py_func")
    assert plain == pytest.approx(rows, rel=1e-9, abs=1e-9)
    for name in ("boat", "nodes", "rows"):
        assert getattr(plain_state, name) == pytest.approx(getattr(state, name), rel=1e-7, abs=1e-7), name
    assert (rows[-1, ROW["anchor_x"]] != 0.0) == (case == "dragging")
