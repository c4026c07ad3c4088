"""What air, water and waves do to a hull of round figures: each term by hand from its published form."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from plain_kernels import plainly

from anchorsim.dynamics import boat_motion, hull_loads
from anchorsim.dynamics.boat_motion import Setting
from anchorsim.scenario.vessel import Hull

AIR, WATER = 1.2, 1000.0
NOTHING = Hull(*[0.0] * 8, (), (), *[0.0] * 5, (0.0,) * 3, (0.0,) * 3, *[0.0] * 21)
MASSES = {"mass": 9000.0, "yaw_inertia": 80e3, "added_surge": 600.0, "added_sway": 7000.0,
          "added_sway_yaw": -3000.0, "added_yaw": 40e3}  # fmt: skip


@pytest.fixture(autouse=True)
def plain(monkeypatch: pytest.MonkeyPatch) -> None:
    plainly(monkeypatch, hull_loads, boat_motion)


def hull(**changes: Any) -> Hull:
    """Of no size but what is given; air on the hull needs an area to divide by."""
    return NOTHING._replace(**{"length": 12.0, "wind_transverse": 1.0, "lateral_area": 1e-9, **changes})


# --- A plate ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("degrees", [3.0, 20.0, 27.0, 35.0, 60.0, -30.0, 150.0, -170.0])
@pytest.mark.parametrize(("slope", "broadside"), [(2.1, 1.17), (4.0, 1.1)])
def test_a_plate_turns_from_lift_to_rayleighs_law(degrees: float, slope: float, broadside: float) -> None:
    """k cos α sin α + b sin² α attached; b (1 + π/4) sin α/(1 + π/4 sin α) stalled (Lamb, art. 77, from
    memory); each counts by the eighth power of what it is of the other's at α (ours)."""
    angle, speed = math.radians(degrees), 3.0
    c, s = abs(math.cos(angle)), abs(math.sin(angle))
    attached = slope * c * s + broadside * s * s
    apart = broadside * (1 + math.pi / 4) * s / (1 + math.pi / 4 * s)
    held, stalled = (broadside * c) ** 8, (slope * s) ** 8
    wanted = math.copysign((held * attached + stalled * apart) / (held + stalled), angle) * speed**2
    found = hull_loads.plate_force(speed * math.cos(angle), speed * math.sin(angle), slope, broadside)
    assert found == pytest.approx(wanted, rel=1e-9)


def test_a_plate_in_still_water_feels_nothing() -> None:
    assert hull_loads.plate_force(0.0, 0.0, 2.0, 1.2) == 0.0
    assert hull_loads.plate_force(0.0, 1e-10, 2.0, 1.2) == 0.0
    assert hull_loads.plate_force(1.0, 0.0, 0.0, 0.0) == 0.0


# --- Air ----------------------------------------------------------------------------------------------------

HOUSE = {"wind_transverse": 0.9, "wind_ahead": 0.5, "wind_astern": 0.6, "wind_cross": 0.55,
         "frontal_area": 8.0, "lateral_area": 20.0, "windage_centre": 0.7}  # fmt: skip


@pytest.mark.parametrize("degrees", [0.0, 15.0, 50.0, 90.0, 130.0, 180.0, -70.0])
def test_wind_on_hull_and_house_as_blendermann_has_it(degrees: float) -> None:
    """Blendermann (1994): CX = −C_l cos γ/D, CY = C_t sin γ/D, CN = (s_L/L − 0.18(γ − π/2)) CY with
    D = 1 − δ/2 (1 − C_l A_F/(C_t A_L)) sin² 2γ; γ from the bow, here with the air that comes from port."""
    angle, wind = math.radians(degrees), 10.0
    side, off = math.copysign(1.0, degrees), abs(angle)
    along = 0.5 if off < math.pi / 2 else 0.6
    d = 1 - 0.55 / 2 * (1 - along * 8.0 / (0.9 * 20.0)) * math.sin(2 * off) ** 2
    q = 0.5 * AIR * wind**2
    cx, cy = -along * math.cos(off) / d, 0.9 * math.sin(off) / d
    cn = (0.7 / 12.0 - 0.18 * (off - math.pi / 2)) * cy
    wanted = q * 8.0 * cx, side * q * 20.0 * cy, side * q * 20.0 * 12.0 * cn
    x, y, n = hull_loads.air_load(hull(**HOUSE), -wind * math.cos(angle), wind * math.sin(angle), AIR)
    assert (x, y, n) == pytest.approx(wanted, abs=1e-6)


def test_a_boat_that_turns_meets_the_air_with_each_of_its_parts() -> None:
    """½ρV C_t A for each m/s abeam, at the hull's centre and by strips about it (L²/12)."""
    still, turns = (hull_loads.air_load(hull(**HOUSE), -8.0, 6.0, AIR, turn) for turn in (0.0, 0.1))
    each = 0.5 * AIR * 10.0 * 20.0 * 0.9
    assert turns[0] == still[0]
    assert still[1] - turns[1] == pytest.approx(each * 0.7 * 0.1)
    assert still[2] - turns[2] == pytest.approx(each * (0.7**2 + 12.0**2 / 12.0) * 0.1)


def test_mast_and_stays_are_cylinders() -> None:
    rig = hull(rig_drag=1.1, rig_frontal_area=3.0,
               rig_lateral_area=4.0, rig_centre=0.8)  # fmt: skip
    x, y, n = hull_loads.air_load(rig, -3.0, 4.0, AIR, 0.5)
    each = 0.5 * AIR * 5.0 * 1.1
    assert (x, y) == pytest.approx((-each * 3.0 * 3.0, each * 4.0 * (4.0 - 0.4)), abs=1e-6)
    assert n == pytest.approx(each * 4.0 * (4.0 - 0.4) * 0.8, abs=1e-6)


def test_a_riding_sail_is_a_plate_right_aft() -> None:
    sail = hull(sail_area=4.0, sail_centre=-5.0, plate_drag=1.17)
    _, y, n = hull_loads.air_load(sail, -10.0, 0.2, AIR)
    # Helmbold for an aspect ratio of 1.5 (judgement): 2π 1.5/(2 + √(1.5² + 4)) = 2.09 per radian
    assert 2 * math.pi * 1.5 / (2 + math.sqrt(1.5**2 + 4)) == pytest.approx(2.1, abs=0.01)
    lift = 2.1 * math.cos(0.02) * 0.02 + 1.17 * 0.02**2
    assert y == pytest.approx(0.5 * AIR * 4.0 * lift * 100.0, rel=1e-3)
    assert n == pytest.approx(-5.0 * y)
    _, turned, _ = hull_loads.air_load(sail, -10.0, 0.0, AIR, 0.04)  # 0.2 m/s to port at the sail
    assert turned == pytest.approx(y, rel=1e-3)


def test_no_air_no_load() -> None:
    assert hull_loads.air_load(hull(**HOUSE), 0.0, 0.0, AIR) == (0.0, 0.0, 0.0)


# --- Water --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("speed", "drag"), [(2.0, 0.6), (-2.0, 0.9)])
def test_friction_ahead_and_astern(speed: float, drag: float) -> None:
    x, y, n = hull_loads.water_load(hull(surge_drag=0.6, astern_drag=0.9), speed, 0.0, 0.0, WATER)
    assert x == pytest.approx(-0.5 * WATER * drag * speed * abs(speed))
    assert (y, n) == (0.0, 0.0)


@pytest.mark.parametrize("froude", [0.2, 0.32, 0.4, 0.47, 0.6])
def test_waves_rise_from_a_froude_number_of_a_third(froude: float) -> None:
    """s (p + q min(max(s − 0.33², 0), 0.47² − 0.33²)), s the square of the Froude number."""
    one = hull(wave_drag=0.5, hump_drag=30.0, froude=0.01)
    speed = froude / math.sqrt(0.01)
    s = froude**2
    area = s * (0.5 + 30.0 * min(max(s - 0.33**2, 0.0), 0.47**2 - 0.33**2))
    assert hull_loads.water_load(one, speed, 0.0, 0.0, WATER)[0] == pytest.approx(
        -0.5 * WATER * area * speed**2
    )


def test_cross_flow_by_strips_and_a_moment_about_amidships() -> None:
    strips = hull(strip_place=(-4.0, 3.0), strip_drag=(2.0, 1.5))
    _, y, n = hull_loads.water_load(strips, 0.0, 0.3, 0.2, WATER)
    aft, fore = 0.3 - 0.8, 0.3 + 0.6  # m/s across, at each
    pushes = [-0.5 * WATER * drag * abs(v) * v for drag, v in ((2.0, aft), (1.5, fore))]
    assert y == pytest.approx(sum(pushes))
    assert n == pytest.approx(-4.0 * pushes[0] + 3.0 * pushes[1])


def test_keel_and_rudder_are_plates_where_they_stand() -> None:
    fins = {"plate_drag": 1.17, "keel_area": 2.0, "keel_centre": 0.4, "keel_lift_slope": 3.0,
            "rudder_area": 0.5, "rudder_centre": -5.0, "rudder_lift_slope": 2.5}  # fmt: skip
    _, y, n = hull_loads.water_load(hull(**fins), 2.0, 0.1, 0.05, WATER)
    keel = -0.5 * WATER * 2.0 * hull_loads.plate_force(2.0, 0.1 + 0.02, 3.0, 1.17)
    rudder = -0.5 * WATER * 0.5 * hull_loads.plate_force(2.0, 0.1 - 0.25, 2.5, 1.17)
    assert y == pytest.approx(keel + rudder)
    assert n == pytest.approx(0.4 * keel - 5.0 * rudder)


def test_the_push_of_waves_by_its_terms() -> None:
    """c (a₀ + a₁ s² + a₂ s⁴), s (b₀ + b₁ c² + b₂ c⁴) and n c s, with the waves 30° off the stern."""
    one = hull(drift_ahead=(1.0, 2.0, 3.0), drift_abeam=(4.0, 5.0, 6.0), drift_turn=7.0)
    c, s, push = math.cos(math.radians(30)), math.sin(math.radians(30)), 50.0
    wanted = (
        push * c * (1 + 2 * s**2 + 3 * s**4), push * s * (4 + 5 * c**2 + 6 * c**4), push * 7 * c * s
    )  # fmt: skip
    assert hull_loads.wave_drift(one, push * c, push * s) == pytest.approx(wanted)
    assert hull_loads.wave_drift(one, 1e-7, 0.0) == (0.0, 0.0, 0.0)


# --- The body -----------------------------------------------------------------------------------------------

STILL = Setting(AIR, WATER, *[0.0] * 10)


def test_she_gathers_way_by_the_whole_matrix_of_her_masses() -> None:
    """M ν̇ = τ, solved by NumPy (Fossen 2011, ch. 6: sway and yaw are coupled by the water's inertia)."""
    matrix = np.array([[9600.0, 0.0, 0.0], [0.0, 16000.0, -3000.0], [0.0, -3000.0, 120e3]])
    found = boat_motion.gather_way(hull(**MASSES), 500.0, -800.0, 3000.0)
    assert found == pytest.approx(np.linalg.solve(matrix, [500.0, -800.0, 3000.0]))


@pytest.mark.parametrize("heading", [0.3, 2.0])
def test_the_water_s_inertia_in_a_current(heading: float) -> None:
    """Fossen (2011), ch. 6 and 8: τ = −C_RB ν − C_A ν_r + M_A ν̇_c, with a current that stands still over the
    ground and so turns about her as she turns: ν̇_c = r (v_c, −u_c, 0)."""
    u, v, r, north, east = 1.2, -0.4, 0.15, 0.6, -0.8
    c, s = math.cos(heading), math.sin(heading)
    uc, vc = north * c + east * s, -north * s + east * c
    ur, vr = u - uc, v - vc
    rigid = 9000.0 * np.array([-v * r, u * r, 0.0])
    sway = 7000.0 * vr - 3000.0 * r
    added = np.array([-sway * r, 600.0 * ur * r, sway * ur - 600.0 * ur * vr])
    masses = np.array([[600.0, 0.0, 0.0], [0.0, 7000.0, -3000.0], [0.0, -3000.0, 40e3]])
    wanted = -rigid - added + masses @ np.array([r * vc, -r * uc, 0.0])
    setting = STILL._replace(current_north=north, current_east=east)
    found = boat_motion.hull_force(hull(**MASSES), setting, c, s, u, v, r, u * c - v * s, u * s + v * c)
    assert found == pytest.approx(tuple(wanted))


def test_air_and_water_are_what_moves_past_her() -> None:
    one = hull(**HOUSE, surge_drag=0.6, strip_place=(1.0,), strip_drag=(2.0,))
    setting = STILL._replace(current_north=0.5)
    c, s = math.cos(0.4), math.sin(0.4)
    u, v = 0.9, 0.2
    north, east = -7.0, 3.0
    air = hull_loads.air_load(one, north * c + east * s - u, -north * s + east * c - v, AIR, 0.0)
    water = hull_loads.water_load(one, u - 0.5 * c, v + 0.5 * s, 0.0, WATER)
    found = boat_motion.hull_force(one, setting, c, s, u, v, 0.0, north, east)
    assert found == pytest.approx(tuple(a + w for a, w in zip(air, water, strict=True)))
