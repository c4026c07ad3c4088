"""The boat's motion once more, for all storms at a time, in the array functions of NumPy or of JAX.

For comparison only, and for the problem that ``test_bench_storm`` sets: the anchor holds, the rode's foot is
the anchor, no bridle.  ``swing_kernel`` says what each line is; a test beside the benchmarks holds the two
together.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np

from anchorsim import curve_kernel, hull_loads, line
from anchorsim import swing_kernel as kernel
from anchorsim.boat import hull
from anchorsim.rode import lay_out
from anchorsim.scenario import Scenario
from anchorsim.swing import blow, lie, longest_step, setting_of

PACE = 0.25  # s between rows of wind
_TOP = curve_kernel.NODES - 1


@dataclass(frozen=True)
class Problem:
    """Boat, surroundings and rode; the wind (storms, rows, 2) and the first state (6, storms) of each."""

    body: kernel.Hull
    setting: kernel.Setting
    curve: line.Curve
    air: np.ndarray
    starts: np.ndarray
    step: float


def problem(storms: int, seconds: float) -> Problem:
    scenario = Scenario()
    rode = lay_out(scenario)
    curve = line.curve(segments=rode.segments, rise=rode.rise, friction=rode.friction, depth=rode.depth)
    body = hull(scenario.boat)
    setting = setting_of(scenario, rode)._replace(holding=1e12, lying_friction=0.0)
    winds = [blow(scenario, storm) for storm in range(storms)]
    assert winds[0].step == PACE
    rows = round(seconds / PACE) + 2
    air = np.stack([np.column_stack([wind.north, wind.east])[:rows] for wind in winds])
    starts = np.stack([lie(body, setting, curve, row[0])[: kernel.MOVING] for row in air], axis=1)
    return Problem(body, setting, curve, air, starts, 0.1 / np.ceil(0.1 / longest_step(body, setting, curve)))


def rode_load(xp: Any, p: Problem, state: Any, cosine: Any, sine: Any) -> tuple[Any, Any, Any, Any]:
    """Pull of the rode ahead and abeam, its arm, and the load at the bow, N."""
    x, y, _, u, v, r = state
    ahead = -x * cosine - y * sine - p.body.roller
    abeam = x * sine - y * cosine
    distance = xp.sqrt(ahead * ahead + abeam * abeam)
    ahead, abeam = ahead / distance, abeam / distance
    packed = xp.asarray(p.curve.packed)
    places = packed[curve_kernel.DISTANCE, : _TOP + 1]
    i = xp.clip(xp.searchsorted(places, distance, side="right") - 1, 0, _TOP - 1)
    lower, upper = packed[:, i], packed[:, i + 1]
    wide = upper[curve_kernel.DISTANCE] - lower[curve_kernel.DISTANCE]
    gain = upper[curve_kernel.LOAD] - lower[curve_kernel.LOAD]
    off = distance - lower[curve_kernel.DISTANCE]
    ends = (lower[curve_kernel.STIFFNESS] * wide, upper[curve_kernel.STIFFNESS] * wide)
    inside = curve_kernel.cubic.py_func(off / wide, gain, *ends)[0]
    beyond = gain + (distance - places[-1]) * packed[curve_kernel.STIFFNESS, _TOP]
    gained = xp.where(distance >= places[-1], beyond, xp.where(off > 0.0, inside, 0.0))
    t = gained / gain
    load = lower[curve_kernel.LOAD] + gained
    at_bow = lower[curve_kernel.AT_BOW] + t * (upper[curve_kernel.AT_BOW] - lower[curve_kernel.AT_BOW])
    share = lower[curve_kernel.SHARE] + xp.minimum(t, 1.0) * (
        upper[curve_kernel.SHARE] - lower[curve_kernel.SHARE]
    )
    rate = -(u * ahead + (v + p.body.roller * r) * abeam) / kernel._DAMPING_SPEED
    factor = 1.0 + share / (2.0 - share) * rate / xp.sqrt(1.0 + rate * rate)
    return load * factor * ahead, load * factor * abeam, p.body.roller, at_bow + load * (factor - 1.0)


def air_load(xp: Any, body: kernel.Hull, ahead: Any, abeam: Any, density: float, turn: Any) -> Any:
    """Force ahead, to starboard (N), yawing moment (N m)."""
    speed = xp.sqrt(ahead * ahead + abeam * abeam)
    pressure = 0.5 * density * speed
    cosine, sine = -ahead / speed, abeam / speed
    along = xp.where(cosine > 0.0, body.wind_ahead, body.wind_astern)
    ratio = along * body.frontal_area / (body.lateral_area * body.wind_transverse)
    divisor = 1.0 - 2.0 * body.wind_cross * (1.0 - ratio) * sine * sine * cosine * cosine
    side = pressure * body.lateral_area * body.wind_transverse
    x = pressure * body.frontal_area * along * ahead / divisor
    y = side * abeam / divisor
    n = (body.windage_centre - 0.18 * body.length * (xp.arccos(xp.clip(cosine, -1, 1)) - 0.5 * np.pi)) * y
    y = y - side * body.windage_centre * turn
    n = n - side * (body.windage_centre**2 + body.length**2 / 12.0) * turn
    rig = pressure * body.rig_drag
    rig_y = rig * body.rig_lateral_area * (abeam - body.rig_centre * turn)
    aside = abeam - body.sail_centre * turn
    plate = plate_force(xp, ahead, aside, hull_loads._SAIL_SLOPE, body.plate_drag)
    sail_y = 0.5 * density * body.sail_area * plate
    return (
        x + rig * body.rig_frontal_area * ahead,
        y + rig_y + sail_y,
        n + rig_y * body.rig_centre + sail_y * body.sail_centre,
    )


def water_load(xp: Any, body: kernel.Hull, u: Any, v: Any, r: Any, density: float) -> Any:
    """Force ahead, to starboard (N), yawing moment (N m)."""
    y, n = 0.0, 0.0
    for place, drag in zip(body.strip_place, body.strip_drag, strict=True):
        across = v + place * r
        push = drag * xp.abs(across) * across
        y, n = y + push, n + push * place
    for area, lift, place in (
        (body.keel_area, body.keel_slope, body.keel_centre),
        (body.rudder_area, body.rudder_slope, body.rudder_centre),
    ):
        across = v + place * r
        push = area * plate_force(xp, u, across, lift, body.plate_drag)
        y, n = y + push, n + push * place
    half, froude = -0.5 * density, body.froude * u * u
    hump = body.hump_drag * xp.clip(froude - hull_loads._LOWEST, 0.0, hull_loads._HIGHEST)
    drag = xp.where(u > 0.0, body.surge_drag, body.astern_drag) + froude * (body.wave_drag + hump)
    return half * drag * xp.abs(u) * u, half * y, half * n


def plate_force(xp: Any, along: Any, across: Any, slope: float, broadside: float) -> Any:
    """Normal force on half the density times the area."""
    square = along * along + across * across + 1e-18
    held, stalled = (broadside * along) ** 8, (slope * across) ** 8 + 1e-150
    apart = 1.0 + hull_loads._WAKE * xp.abs(across) / xp.sqrt(square)
    attached = (slope * xp.abs(along) + broadside * xp.abs(across)) * across
    blunt = broadside * (1.0 + hull_loads._WAKE) * xp.sqrt(square) * across / apart
    return (held * attached + stalled * blunt) / (held + stalled)


def rates(xp: Any, p: Problem, state: Any, north: Any, east: Any) -> tuple[Any, ...]:
    """Rates of the six, in still water, in air that moves (north, east)."""
    b = p.body
    _, _, heading, u, v, r = state
    cosine, sine = xp.cos(heading), xp.sin(heading)
    air = air_load(
        xp, b, north * cosine + east * sine - u, -north * sine + east * cosine - v, p.setting.air, r
    )
    water = water_load(xp, b, u, v, r, p.setting.water)
    pull_ahead, pull_abeam, arm, _ = rode_load(xp, p, state, cosine, sine)
    swept = b.added_sway * v + b.added_sway_yaw * r
    x = air[0] + water[0] + pull_ahead + (b.mass * v + swept) * r
    y = air[1] + water[1] + pull_abeam - (b.mass * u + b.added_surge * u) * r
    n = air[2] + water[2] + arm * pull_abeam - (swept - b.added_surge * v) * u
    sway, yaw, cross = b.mass + b.added_sway, b.yaw_inertia + b.added_yaw, b.added_sway_yaw
    determinant = sway * yaw - cross * cross
    return (
        u * cosine - v * sine,
        u * sine + v * cosine,
        r,
        x / (b.mass + b.added_surge),
        (yaw * y - cross * n) / determinant,
        (sway * n - cross * y) / determinant,
    )


def bow_load(xp: Any, p: Problem, state: Any) -> Any:
    return rode_load(xp, p, state, xp.cos(state[2]), xp.sin(state[2]))[3]


def by_numpy(p: Problem, seconds: float) -> np.ndarray:
    """Peaks at the bow (N) of all storms, marched side by side with our own step."""
    state, peak = p.starts.copy(), bow_load(np, p, p.starts)

    def slope(at: float, moved: np.ndarray) -> np.ndarray:
        i = int(at / PACE)
        part = at / PACE - i
        north, east = ((1.0 - part) * p.air[:, i] + part * p.air[:, i + 1]).T
        return np.array(rates(np, p, moved, north, east))

    for k in range(round(seconds / p.step)):
        time, half = k * p.step, 0.5 * p.step
        one = slope(time, state)
        two = slope(time + half, state + half * one)
        three = slope(time + half, state + half * two)
        four = slope(time + p.step, state + p.step * three)
        state = state + p.step / 6.0 * (one + 2.0 * two + 2.0 * three + four)
        peak = np.maximum(peak, bow_load(np, p, state))
    return peak


def by_diffrax(p: Problem, seconds: float, tolerance: float) -> Callable[[], np.ndarray]:
    """The same by diffrax's Tsit5 under vmap, compiled: a call gives the peaks at the bow (N)."""
    import diffrax  # noqa: PLC0415 - seconds that other tests need not wait
    import jax  # noqa: PLC0415

    jax.config.update("jax_enable_x64", True)
    xp = jax.numpy
    saved = xp.linspace(0.0, seconds, round(10 * seconds) + 1)

    def slope(time: Any, state: Any, air: Any) -> Any:
        i = xp.minimum((time / PACE).astype(int), air.shape[0] - 2)
        part = time / PACE - i
        north, east = (1.0 - part) * air[i] + part * air[i + 1]
        return xp.stack(rates(xp, p, state, north, east))

    def peak(start: Any, air: Any) -> Any:
        done = diffrax.diffeqsolve(
            diffrax.ODETerm(slope), diffrax.Tsit5(), 0.0, seconds, p.step, start, air,
            saveat=diffrax.SaveAt(ts=saved), max_steps=100_000,
            stepsize_controller=diffrax.PIDController(rtol=tolerance, atol=0.1 * tolerance),
        )  # fmt: skip
        return bow_load(xp, p, done.ys.T).max()

    every = jax.jit(jax.vmap(peak))
    starts, air = xp.asarray(p.starts.T), xp.asarray(p.air)
    return lambda: np.asarray(every(starts, air))
