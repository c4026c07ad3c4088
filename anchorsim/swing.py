"""The boat in gusts: one watch at anchor, from a scenario to a run."""

from __future__ import annotations

import functools
import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from anchorsim import line, seabed
from anchorsim.boat import Hull, corners, hull
from anchorsim.bow import DECIMALS, at_sea
from anchorsim.hull_loads import air_load
from anchorsim.rode import Rode, lay_out
from anchorsim.scenario import Scenario
from anchorsim.swing_kernel import (
    ABEAM,
    EAST,
    HEADING,
    SAMPLED,
    STATE,
    TURN,
    Setting,
    march,
    slope,
)
from anchorsim.units import AIR, GRAVITY, SEA_WATER, Quantity, quantity, si
from anchorsim.weather import Wind, realise
from anchorsim.wind_record import read_record

Floats = NDArray[np.float64]

SAMPLE_STEP = 0.1  # s between samples of a run
_LONGEST_STEP = 0.1  # s
_HIGHEST_LOAD = 0.25  # of her weight
# Of the stiffest natural frequency: halving the step then moves the peak by less than 1 %.
_STEPS_PER_RADIAN = 6.5
_DAMPED = 2.0  # step over damping time at the most: the Runge-Kutta step is stable up to 2.78
_SMALL = 1e-7  # m, rad, m/s and rad/s by which a state is shifted to see how it moves on


@dataclass(frozen=True)
class Track:
    """A watch in SI floats, arrays of one length, every 0.1 s.

    time (s); x, y (m north and east of where the anchor was let go); heading (rad); bow_load, anchor_load
    (N); angle_at_anchor (rad above the bottom); wind_north, wind_east (the air's velocity, m/s) at the height
    of her windage; anchor_x, anchor_y (m).  In a sea the waves carry her about that place and heading, and
    the loads are those of her bow as it then moves.
    """

    time: Floats
    x: Floats
    y: Floats
    heading: Floats
    bow_load: Floats
    anchor_load: Floats
    angle_at_anchor: Floats
    wind_north: Floats
    wind_east: Floats
    anchor_x: Floats
    anchor_y: Floats

    @functools.cached_property
    def wind_speed(self) -> Floats:
        """m/s."""
        return np.hypot(self.wind_north, self.wind_east)

    @functools.cached_property
    def wind_direction(self) -> Floats:
        """Where it blows from, rad."""
        return np.mod(np.arctan2(-self.wind_east, -self.wind_north), 2 * math.pi)


_UNITS = {
    "time": "s",
    "x": "m",
    "y": "m",
    "heading": "radian",
    "bow_load": "N",
    "anchor_load": "N",
    "angle_at_anchor": "radian",
    "wind_north": "m/s",
    "wind_east": "m/s",
    "wind_speed": "m/s",
    "wind_direction": "radian",
    "anchor_x": "m",
    "anchor_y": "m",
}


@dataclass(frozen=True)
class Run:
    """One watch at anchor.

    ``track`` holds the arrays as SI floats; the attributes of the same names (``run.bow_load`` …) give them
    as quantities.  ``greatest_bow_load``, ``greatest_anchor_load`` (N) and ``greatest_lift`` (rad) are those
    of all steps, which may lie closer than the samples.
    """

    scenario: Scenario
    seed: int
    track: Track
    rode: Rode
    curve: line.Curve
    holding: float
    greatest_bow_load: float
    greatest_anchor_load: float
    greatest_lift: float

    def __getattr__(self, name: str) -> Quantity:
        if name in _UNITS:
            return quantity(getattr(self.track, name), _UNITS[name])
        raise AttributeError(f"a Run has no {name!r}")

    @property
    def peak_load(self) -> Quantity:
        """The greatest load at the bow."""
        return quantity(self.greatest_bow_load, "N")

    @property
    def drag_distance(self) -> Quantity:
        """How far the anchor ended from where it was let go."""
        return quantity(math.hypot(self.track.anchor_x[-1], self.track.anchor_y[-1]), "m")

    @property
    def dragged(self) -> bool:
        """Whether the anchor moved at all."""
        return bool(self.track.anchor_x[-1] or self.track.anchor_y[-1])

    @property
    def swing_radius(self) -> Quantity:
        """The farthest that any part of the boat came from where the anchor was let go."""
        north, east = sweep(self, corners(self.scenario.boat))
        return quantity(float(np.hypot(north, east).max()), "m")


def sweep(run: Run, points: Floats, every: int = 1) -> tuple[Floats, Floats]:
    """North and east (m) of points of the boat at one sample in ``every``, (samples, points).

    ``points``: (n, 2) metres ahead of amidships and to starboard.
    """
    x, y, heading = (column[::every, None] for column in (run.track.x, run.track.y, run.track.heading))
    cosine, sine = np.cos(heading), np.sin(heading)
    north = x + cosine * points[:, 0] - sine * points[:, 1]
    east = y + sine * points[:, 0] + cosine * points[:, 1]
    return north, east


def simulate(
    scenario: Scenario,
    *,
    seed: int = 1,
    holding_quantile: float = 0.5,
    windage: float = 1.0,
    water: float = 1.0,
    friction: float = 1.0,
) -> Run:
    """One watch: the boat lies to her anchor in the weather of the scenario, from rest in its first wind.

    ``seed`` picks the gusts, the same whatever else changes, and on every processor; ``holding_quantile`` is
    where in its scatter the anchor's holding lies (0.5: as likely more as less); ``windage`` is how many
    times the push of the wind is what her areas and their coefficients make of it, ``water`` the same of the
    water's hold on her hull, and ``friction`` of the bottom's on rode that lies.  Raises ScenarioError or
    WindRecordError where the scenario's wind record cannot be read.
    """
    rode, curve = _rode_and_curve(scenario, friction)
    body, setting = hull(scenario.boat), setting_of(scenario, rode, holding_quantile)
    record = None if scenario.record_path is None else read_record(scenario.record_path)
    waves = at_sea(scenario, rode, curve, seed, record)
    setting = setting._replace(air=windage * setting.air, water=water * setting.water, sea=waves)
    wind = realise(scenario.weather, seed=seed, height=si(scenario.boat.windage_height), record=record)
    air = np.column_stack([wind.north, wind.east]).round(DECIMALS)
    start = lie(body, setting, curve, air[0])
    stride = math.ceil(
        SAMPLE_STEP / min(longest_step(body, setting, curve), _damped_step(body, setting, air))
    )
    samples = math.floor(si(scenario.weather.duration) / SAMPLE_STEP + 1e-9) + 1
    uplift = seabed.uplift_table()
    work, rows, peaks = np.empty((5, STATE)), np.empty((SAMPLED, samples)), np.zeros(3)
    step = SAMPLE_STEP / stride
    march(body, setting, curve.packed, uplift, air, wind.step, start, step, stride, work, rows, peaks)
    return Run(scenario, seed, Track(*rows), rode, curve, setting.holding, *(float(peak) for peak in peaks))


def blow(scenario: Scenario, seed: int) -> Wind:
    """The wind of a watch at the height of the boat's windage."""
    record = None if scenario.record_path is None else read_record(scenario.record_path)
    return realise(scenario.weather, seed=seed, height=si(scenario.boat.windage_height), record=record)


def _rode_and_curve(scenario: Scenario, friction: float = 1.0) -> tuple[Rode, line.Curve]:
    rode = lay_out(scenario)
    rode = replace(rode, friction=friction * rode.friction)
    return rode, _curve(rode)


@functools.lru_cache(maxsize=64)
def _curve(rode: Rode) -> line.Curve:
    return line.curve(
        segments=rode.segments, rise=rode.rise, friction=rode.friction, depth=rode.depth, slope=rode.slope
    )


def setting_of(scenario: Scenario, rode: Rode, holding_quantile: float = 0.5) -> Setting:
    """What surrounds the boat, as the floats of the kernel."""
    anchor = scenario.tackle.anchor
    ground = seabed.ground(anchor.type, si(anchor.mass), scenario.spot.bottom, holding_quantile)
    _, north, east = seabed.spot_floats(scenario.spot)
    return Setting(
        air=AIR,
        water=SEA_WATER,
        current_north=north,
        current_east=east,
        out=rode.chain + rode.rope + rode.snubber,
        apex=rode.apex,
        spread=rode.spread,
        lying_friction=rode.friction * rode.segments[0].weight,
        lying_length=rode.segments[0].length,
        holding=ground.holding,
        drag_share=0.5 * (1.0 + ground.broken_share),  # the march knows one load of all that drags
        reset_share=ground.set_share,
    )


def longest_step(body: Hull, setting: Setting, curve: line.Curve) -> float:
    """Step (s) fine enough for the stiffest natural frequency, of two.

    One is that of the boat surging on the rode at its stiffest, pulled at a bridle's strong point; the other
    that of her bow, or a bridle's hook, swinging under the rode.  Loads over a quarter of her weight, which
    boats at anchor hardly come to, do not count.
    """
    within = curve.horizontal_load <= _HIGHEST_LOAD * GRAVITY * body.mass
    yaw = body.yaw_inertia + body.added_yaw
    surging = 1 / (body.mass + body.added_surge) + (setting.spread / 2) ** 2 / yaw
    swaying = 1 / (body.mass + body.added_sway) + (body.roller + setting.apex) ** 2 / yaw
    across = curve.horizontal_load[within] / np.maximum(curve.distance[within] - setting.apex, 1.0)
    square = max(float(np.max(curve.stiffness[within])) * surging, float(np.max(across)) * swaying)
    longest = _LONGEST_STEP / 2 if setting.spread else _LONGEST_STEP  # a leg that goes slack makes a kink
    return min(longest, 1 / math.sqrt(square) / _STEPS_PER_RADIAN)


def _damped_step(body: Hull, setting: Setting, air: Floats) -> float:
    """Step (s) short enough for how the water damps her sway and yaw, driven as fast as the wind can.

    Only a light boat that drags through a hurricane needs it: else the stiffness asks for a shorter one.
    """
    gust = math.sqrt(float((air[:, 0] ** 2 + air[:, 1] ** 2).max()))
    push = -air_load(body, -gust, 0.0, setting.air)[0]
    speed = min(math.sqrt(push / (0.5 * setting.water * body.surge_drag)), gust)
    speed += math.hypot(setting.current_north, setting.current_east)
    plates = ((body.keel_area, body.keel_slope, body.keel_centre),
              (body.rudder_area, body.rudder_slope, body.rudder_centre))  # fmt: skip
    across = sum(area * (slope + 2 * body.plate_drag) for area, slope, _ in plates) + 2 * sum(body.strip_drag)
    turning = sum(area * (slope + 2 * body.plate_drag) * place**2 for area, slope, place in plates)
    rate = across / (body.mass + body.added_sway) + turning / (body.yaw_inertia + body.added_yaw)
    return _DAMPED / max(0.5 * setting.water * speed * rate, 1e-9)


def lie(body: Hull, setting: Setting, curve: line.Curve, air: Floats) -> Floats:
    """State of the kernel at rest, head to wind, where the rode takes the wind's push.

    ``air``: the air's velocity to the north and east, m/s.  Exact in still water; a current then moves her.
    """
    speed = float(np.hypot(air[0], air[1]))
    heading = math.atan2(-air[1], -air[0]) if speed else 0.0
    push = -air_load(body, -speed, 0.0, setting.air)[0]
    distance = float(np.interp(push, curve.horizontal_load, curve.distance))
    for _ in range(40):
        load, *_, stiffness = curve.look_up(distance)
        if stiffness <= 0 or abs(push - load) <= 1e-12 * push:
            break
        distance += (push - load) / stiffness
    lying = float(np.interp(push, curve.horizontal_load, curve.length_on_bottom))
    lies = lying if setting.lying_friction > 0.0 else 0.0
    straight, hook = distance, 0.0
    for _ in range(100 if setting.spread else 0):
        hook = setting.apex * min((straight - lies) / (setting.out - lies), 1.0)
        straight = distance + hook - math.hypot(hook, 0.5 * setting.spread)
    north, east = -math.cos(heading), -math.sin(heading)
    state = np.zeros(STATE)
    state[:3] = (straight + body.roller) * north, (straight + body.roller) * east, heading
    state[6:13] = 0.0, 0.0, math.inf, lies * north, lies * east, lies, hook
    return state


@dataclass(frozen=True)
class Lie:
    """How she lies head to a steady wind: eigenvalues (1/s) of her sway and yaw, linearised about that.

    Surge goes by itself and is always damped.
    """

    eigenvalues: NDArray[np.complex128]

    @property
    def stable(self) -> bool:
        """Whether a small sheer dies away; else she sheers about by herself."""
        return bool(np.max(self.eigenvalues.real) < 0)

    @property
    def sheer_period(self) -> float:
        """Period (s) of the least damped sheer that swings; infinite where none does."""
        swinging = self.eigenvalues[np.abs(self.eigenvalues.imag) > 1e-6]
        if not len(swinging):
            return math.inf
        return float(2 * math.pi / abs(swinging[np.argmax(swinging.real)].imag))


def straight_lie(scenario: Scenario, wind_speed: float) -> Lie:
    """How she lies head to a steady wind of ``wind_speed`` (m/s at her windage), in still water.

    What lies on the bottom stays where it is in a small sheer, for friction holds it.
    """
    rode, curve = _rode_and_curve(scenario)
    body, setting = hull(scenario.boat), setting_of(scenario, rode)
    setting = setting._replace(current_north=0.0, current_east=0.0)
    rest = lie(body, setting, curve, np.array([-wind_speed, 0.0]))
    sheer = [EAST, HEADING, ABEAM, TURN]
    rates = np.empty((4, 4))
    for column, place in enumerate(sheer):
        ends = []
        for sign in (1.0, -1.0):
            state, out = rest.copy(), np.empty(STATE)
            state[place] += sign * _SMALL
            cosine, sine = math.cos(state[HEADING]), math.sin(state[HEADING])
            slope(body, setting, curve.packed, state, cosine, sine, -wind_speed, 0.0, out)
            ends.append(out[sheer])
        rates[:, column] = (ends[0] - ends[1]) / (2 * _SMALL)
    return Lie(np.linalg.eigvals(rates).astype(np.complex128))


def warm() -> None:
    """Compile the kernels, or load them from the cache, by running the default scenario for a minute."""
    simulate(Scenario().vary({"weather.duration": "60 s"}))


__all__ = ["Lie", "Run", "Track", "blow", "lie", "longest_step", "simulate", "straight_lie", "warm"]
