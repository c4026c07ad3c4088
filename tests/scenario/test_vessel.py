"""The boat: published coefficients, closed forms of hull and windage, and a catalogue that could float."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.integrate import quad

from anchorsim.core.tables import catalogue, pick, table
from anchorsim.core.units import SEA_WATER, si
from anchorsim.dynamics.hull_loads import air_load
from anchorsim.scenario.vessel import (
    Boat,
    Hull,
    crossflow_coefficient,
    hull,
    lateral_strips,
    plate_lift_slope,
)

MODELS = list(catalogue())
POUND_FORCE, FOOT, KNOT = 0.45359237 * 9.80665, 0.3048, 1852 / 3600


def boat(**stated: object) -> Boat:
    return Boat.model_validate(stated)


# --- Windage ------------------------------------------------------------------------------------------------


def air_load_of(body: Hull, speed: float, angle: float, density: float) -> tuple[float, float, float]:
    """Force ahead and to starboard, and moment, of wind from ``angle`` off the port bow."""
    found: tuple[float, float, float] = air_load(
        body, -speed * math.cos(angle), speed * math.sin(angle), density
    )
    return found


@pytest.mark.parametrize("model", MODELS)
def test_wind_from_either_side_pushes_alike(model: str) -> None:
    body = hull(boat(model=model, riding_sail="4 m²"))
    for angle in np.radians([0, 10, 45, 90, 120, 170, 180]):
        port = air_load_of(body, 15.0, angle, 1.225)
        starboard = air_load_of(body, 15.0, -angle, 1.225)
        assert starboard == pytest.approx((port[0], -port[1], -port[2]), abs=1e-9)


@pytest.mark.parametrize("model", MODELS)
def test_wind_force_goes_by_the_square_of_its_speed(model: str) -> None:
    body = hull(boat(model=model, riding_sail="4 m²"))
    slow, fast = (np.array(air_load_of(body, speed, 0.7, 1.225)) for speed in (10.0, 20.0))
    assert fast == pytest.approx(4 * slow, rel=1e-12)


@pytest.mark.parametrize("model", MODELS)
def test_wind_from_ahead_is_hull_and_rig_alone(model: str) -> None:
    made = boat(model=model)
    body, pressure = hull(made), 0.5 * 1.225 * 12.0**2
    rig = 1.1 * si(made.rig_frontal_area)  # a cylinder: 0.98 at 40 diameters, 1.20 endless
    expected = pressure * (
        pick("windage", vessel=made.windage)["longitudinal ahead"] * si(made.frontal_area) + rig
    )
    assert air_load_of(body, 12.0, 0.0, 1.225) == pytest.approx((-expected, 0.0, 0.0), rel=1e-12, abs=1e-9)


def test_a_riding_sail_turns_her_head_to_wind() -> None:
    """Set right aft it pushes the stern away, and only across the wind."""
    bare, with_sail = (hull(boat(riding_sail=area)) for area in ("0 m²", "4 m²"))
    angle = math.radians(20)
    (x0, y0, n0), (x1, y1, n1) = (air_load_of(body, 15.0, angle, 1.225) for body in (bare, with_sail))
    assert x1 == pytest.approx(x0, rel=1e-12)
    assert y1 > y0
    assert (n1 - n0) / (y1 - y0) == pytest.approx(-0.42 * 12.0, rel=1e-9)  # on the backstay: judgement


# --- Hull in the water --------------------------------------------------------------------------------------


def test_crossflow_drag_is_flat_beyond_the_curves_ends() -> None:
    assert crossflow_coefficient(0.1) == crossflow_coefficient(0.45)
    assert crossflow_coefficient(9.0) == crossflow_coefficient(4.0)


def test_crossflow_drag_falls_as_the_hull_grows_flatter() -> None:
    values = [crossflow_coefficient(ratio) for ratio in np.linspace(0.2, 5.0, 200)]
    assert np.all(np.diff(values) <= 0)


def test_strips_make_up_the_half_ellipse() -> None:
    """Area and moments of the lateral plan T√(1 − ξ²), and the drag of turning on the spot."""
    length, draught = 10.6, 0.58
    place, area = (np.array(column) for column in lateral_strips(length, draught))
    half = length / 2
    assert area.sum() == pytest.approx(math.pi / 4 * length * draught, rel=1e-12)
    assert (area * place).sum() == pytest.approx(0.0, abs=1e-12)
    assert (area * place**2).sum() == pytest.approx(math.pi / 8 * draught * half**3, rel=1e-12)
    assert (area * place**4).sum() == pytest.approx(math.pi / 16 * draught * half**5, rel=1e-12)
    plan = lambda x: draught * math.sqrt(1 - (x / half) ** 2)  # noqa: E731
    turning, _ = quad(lambda x: plan(x) * abs(x) ** 3, -half, half, points=[0])
    assert turning == pytest.approx(4 / 15 * draught * half**4, rel=1e-6)
    assert (area * abs(place) ** 3).sum() == pytest.approx(turning, rel=0.01)


def test_added_mass_of_a_slender_hull_is_that_of_a_spheroid() -> None:
    """Half a prolate spheroid under water: what strips leave out, flow around the ends, is little."""
    thick, long = 1.0, 9.97
    bare = {"keel_area": "0 m²", "rudder_area": "0 m²", "displacement": "4000 kg", "draught": "0.5 m"}
    body = hull(boat(waterline=f"{long} m", canoe_draught=f"{thick / 2} m", **bare))
    spheroid = SEA_WATER * math.pi / 6 * thick**2 * long / 2
    inertia = spheroid / 5 * ((thick / 2) ** 2 + (long / 2) ** 2)
    assert body.added_sway == pytest.approx(spheroid, rel=1e-12)  # the limit of a needle: all it displaces
    assert body.added_yaw == pytest.approx(inertia, rel=0.011)
    lamb_sway, lamb_yaw = 0.960, 0.883  # Lamb, Hydrodynamics, art. 115: k₂ and k′ at 9.97 to 1, from memory
    assert 1.0 <= body.added_sway / (lamb_sway * spheroid) < 1.05
    assert 1.0 <= body.added_yaw / (lamb_yaw * inertia) < 1.14
    assert body.added_sway_yaw == 0.0


def test_keel_as_a_plate_between_its_limits() -> None:
    """Mirrored in the hull: ρπc²s/4 where long and narrow (c ≪ s), ½ρπcs² where low and long (c ≫ s)."""

    def added(chord: float, span: float) -> float:
        base = {"waterline": "28 m", "length": "28 m", "waterline_beam": "4 m", "canoe_draught": "0.3 m"}
        shape = {"draught": f"{0.3 + span} m", "rudder_area": "0 m²", "displacement": "34 tonne"}
        whole, none = (
            hull(boat(**base, **shape, beam="5 m", keel_area=f"{area} m²")).added_sway
            for area in (chord * span, 0)
        )
        return whole - none

    narrow, low = added(0.1, 3.0), added(20.0, 0.2)
    assert narrow == pytest.approx(SEA_WATER * math.pi / 4 * 0.1**2 * 3.0, rel=1e-3)
    assert low == pytest.approx(SEA_WATER * math.pi / 2 * 20.0 * 0.2**2, rel=1e-3)
    for chord in (0.3, 1.0, 3.0):
        assert added(chord, 1.0) < min(SEA_WATER * math.pi / 4 * chord**2, SEA_WATER * math.pi / 2 * chord)


def test_lift_slope_of_a_plate_between_its_limits() -> None:
    """Helmbold: πA/2 for a slender wing (Jones), 2π for a long one; A = 2 span²/area, mirrored."""
    assert plate_lift_slope(area=200.0, span=0.1) == pytest.approx(math.pi / 2 * 2 * 0.1**2 / 200.0, rel=1e-4)
    assert plate_lift_slope(area=1e-4, span=1.0) == pytest.approx(2 * math.pi, rel=1e-3)
    assert plate_lift_slope(area=2.0, span=1.0) == pytest.approx(
        2 * math.pi / (2 + math.sqrt(5)), rel=1e-12
    )  # A = 1
    for nothing in (0.0, 5e-324, 1e-300):
        assert plate_lift_slope(area=nothing, span=1.0) == 2 * math.pi


@pytest.mark.parametrize("model", MODELS)
def test_added_mass_in_surge(model: str) -> None:
    """Söding (1982): m/(π√(L³/∇) − 14), kept within 0.02 to 0.15 of the mass."""
    made = boat(model=model)
    body = hull(made)
    volume = si(made.displacement) / SEA_WATER / made.hulls
    share = 1 / (math.pi * math.sqrt(si(made.waterline) ** 3 / volume) - 14)
    assert 0.02 < share < 0.15
    assert body.added_surge / body.mass == pytest.approx(share, rel=1e-12)


@pytest.mark.parametrize("model", MODELS)
def test_the_boat_has_inertia_in_every_direction(model: str) -> None:
    body = hull(boat(model=model))
    sway, yaw = body.mass + body.added_sway, body.yaw_inertia + body.added_yaw
    assert sway * yaw > body.added_sway_yaw**2
    assert body.added_sway * body.added_yaw > body.added_sway_yaw**2
    assert body.yaw_inertia == pytest.approx(body.mass * (0.25 * body.length) ** 2)  # gyradius: judgement


def test_two_hulls_are_twice_one() -> None:
    """Every force of the water is twice that on a boat of one hull with half of everything.

    Only waves from abeam push one of them, the other being in its lee.
    """
    halves = {"displacement": "4300 kg", "keel_area": "1.3 m²", "rudder_area": "0.5 m²"}
    two, one = hull(boat(model="catamaran-12")), hull(boat(model="catamaran-12", hulls=1, **halves))
    assert np.array(two.strip_drag) == pytest.approx(2 * np.array(one.strip_drag), rel=1e-12)
    for name in (
        "surge_drag",
        "astern_drag",
        "wave_drag",
        "hump_drag",
        "added_sway",
        "added_yaw",
        "added_sway_yaw",
        "added_surge",
    ):
        assert getattr(two, name) == pytest.approx(2 * getattr(one, name), rel=1e-12), name
    assert np.array(two.drift_ahead) == pytest.approx(2 * np.array(one.drift_ahead), rel=1e-12)
    for name in (
        "keel_lift_slope",
        "rudder_lift_slope",
        "strip_place",
        "froude",
        "drift_abeam",
        "drift_turn",
    ):
        assert getattr(two, name) == pytest.approx(getattr(one, name), rel=1e-12), name


@pytest.mark.parametrize("model", MODELS)
def test_all_floats_are_finite(model: str) -> None:
    for value in hull(boat(model=model)):
        assert np.all(np.isfinite(value))


# --- Loads for sizing ---------------------------------------------------------------------------------------

H40 = {  # ft: beam of sail and power boats in ft, spell, working, lunch hook in lbf
    10: (4, 5, 320, 160, 40),  # ABYC H-40 Table 1, from memory
    15: (5, 6, 500, 250, 60),  # ABYC H-40 Table 1, from memory
    20: (7, 8, 720, 360, 90),  # ABYC H-40 Table 1, from memory
    25: (8, 9, 980, 490, 125),  # ABYC H-40 Table 1, from memory
    30: (9, 11, 1400, 700, 175),  # ABYC H-40 Table 1, from memory
    35: (10, 13, 1800, 900, 225),  # ABYC H-40 Table 1, from memory
    40: (11, 14, 2400, 1200, 300),  # ABYC H-40 Table 1, from memory
    50: (13, 16, 3200, 1600, 400),  # ABYC H-40 Table 1, from memory
    60: (15, 18, 4000, 2000, 500),  # ABYC H-40 Table 1, from memory
}


def test_sizing_loads_as_printed() -> None:
    rows = table("sizing_loads")
    assert [round(row["length overall"] / FOOT, 9) for row in rows] == list(H40)
    for row, printed in zip(rows, H40.values(), strict=True):
        beams = [row["beam sail"] / FOOT, row["beam power"] / FOOT]
        loads = [row[hook] / POUND_FORCE for hook in ("storm", "working", "lunch hook")]
        assert [*beams, *loads] == pytest.approx(printed, abs=0.5)


def test_sizing_loads_go_by_the_square_of_the_wind() -> None:
    """Winds of 42, 30 and 15 knots: (42/30)² ≈ 2 and (30/15)² = 4."""
    for row in table("sizing_loads"):
        assert row["storm"] / row["working"] == pytest.approx((42 / 30) ** 2, rel=0.03)
        assert row["working"] / row["lunch hook"] == pytest.approx((30 / 15) ** 2, rel=0.05)


@pytest.mark.parametrize("model", MODELS)
def test_sizing_loads_lie_above_the_wind_on_her_lying_still(model: str) -> None:
    """ABYC H-40 allows for sheering and surging: over twice the wind from ahead, under thrice that abeam."""
    made = boat(model=model)
    rows = table("sizing_loads")
    lengths, spells = ([row[name] for row in rows] for name in ("length overall", "storm"))
    load = float(np.interp(si(made.length), lengths, spells))
    body = hull(made)
    ahead, _, _ = air_load_of(body, 42 * KNOT, 0.0, 1.225)
    _, abeam, _ = air_load_of(body, 42 * KNOT, math.pi / 2, 1.225)
    assert -2 * ahead < load < 3 * abeam
