"""Boat and rode as a system of ordinary differential equations, for general solvers; compiled once.

The physics of ``boat_motion`` and ``line_motion`` with nothing of their step: the anchor holds, there is no
bridle and no rope.  What the step has of its own is replaced by what an equation needs: chain is damped by
DAMPED s of its stiffness in place of half a step, and the bottom's friction comes to its full share over SLIP
m/s in place of Coulomb's law.  Both make the problem stiff, but well posed.

y: the boat's place and heading, her speeds ahead, abeam and of turning; then of each free node its place and
speed.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import numba
import numpy as np

from anchorsim.dynamics import line_motion as of
from anchorsim.dynamics.boat_motion import gather_way, hull_force
from anchorsim.dynamics.hull_loads import wave_drift
from anchorsim.dynamics.motion_kernel import State, wind_at
from anchorsim.dynamics.simulation import Spell
from anchorsim.dynamics.wave_kernel import ride
from anchorsim.mooring.line_mesh import ACROSS, ADDED, ALONG, IN_AIR, LENGTH, MASS, STIFFNESS, WEIGHT

DAMPED = 0.005  # s, damping over stiffness of chain
SLIP = 0.02  # m/s
BOAT, FREE_NODE = 6, 6
_BOTTOM, _BOTTOM_DAMPING = of._BOTTOM, of._BOTTOM_DAMPING
njit = numba.njit(error_model="numpy")


def packed(state: State) -> np.ndarray:
    """A state of ours as one of the system."""
    return np.concatenate([state.boat[:BOAT], state.nodes[1:-1, : of.W + 1].ravel()])


def compiled_system(  # noqa: PLR0915 - what is frozen into them is frozen by being around them
    watch: Spell,
) -> tuple[Callable[..., None], Callable[..., float]]:
    """``rates(t, y, out)``, and ``at_bow(t, y)``, the load at the bow (N), of one spell."""
    hull, setting, sea, pace = watch.body, watch.setting, watch.sea, watch.pace
    elements, wind = watch.mesh.elements.copy(), watch.wind.copy()
    count = len(elements)

    @njit
    def place_nodes(t: float, y: Any, nodes: Any) -> tuple[float, float, float, float]:
        c, s = math.cos(y[2]), math.sin(y[2])
        north, east, up, to_north, to_east, upwards, press_ahead, press_abeam = ride(sea, t, c, s)
        u, v = y[3], y[4] + hull.roller * y[5]
        nodes[0] = 0.0
        nodes[0, 2] = -setting.depth
        for k in range(1, count):
            nodes[k] = y[BOAT + FREE_NODE * (k - 1) : BOAT + FREE_NODE * k]
        nodes[count, 0], nodes[count, 1] = y[0] + hull.roller * c + north, y[1] + hull.roller * s + east
        nodes[count, 2], nodes[count, 5] = setting.height + up, upwards
        nodes[count, 3], nodes[count, 4] = u * c - v * s + to_north, u * s + v * c + to_east
        return c, s, press_ahead, press_abeam

    @njit
    def pull(nodes: Any, units: Any, k: int) -> float:
        """Tension of an element, whose unit vector and wetness go into ``units``."""
        d, w = nodes[k + 1, :3] - nodes[k, :3], nodes[k + 1, 3:] - nodes[k, 3:]
        far = math.sqrt(d[0] * d[0] + d[1] * d[1] + d[2] * d[2])
        units[k, :3] = d / far
        rate = (d[0] * w[0] + d[1] * w[1] + d[2] * w[2]) / far
        top, foot = max(nodes[k, 2], nodes[k + 1, 2]), min(nodes[k, 2], nodes[k + 1, 2])
        units[k, 3] = 1.0 if top <= 0.0 else (0.0 if foot >= 0.0 else -foot / (top - foot))
        stretch = far - elements[k, LENGTH]
        return max(elements[k, STIFFNESS] * (stretch + DAMPED * rate), 0.0) if stretch > 0.0 else 0.0

    @njit
    def free(nodes: Any, units: Any, k: int, below: float, above: float, out: Any) -> None:
        """Acceleration of a node between two tensions."""
        mass, added, across, along, weight, length = 0.0, 0.0, 0.0, 0.0, 0.0, 0.0
        for i in (k - 1, k):
            wet, one = 0.5 * units[i, 3], elements[i]
            mass, added, length = mass + 0.5 * one[MASS], added + wet * one[ADDED], length + 0.5 * one[LENGTH]
            across, along = across + wet * one[ACROSS], along + wet * one[ALONG]
            weight += 0.5 * one[IN_AIR] + wet * (one[WEIGHT] - one[IN_AIR])
        t, v = units[k - 1, :3] + units[k, :3], nodes[k, 3:]
        t /= math.sqrt(t[0] * t[0] + t[1] * t[1] + t[2] * t[2])
        past = v - np.array((setting.current_north, setting.current_east, 0.0))
        run = past[0] * t[0] + past[1] * t[1] + past[2] * t[2]
        side = past - run * t
        force = above * units[k, :3] - below * units[k - 1, :3] - setting.drag * along * abs(run) * run * t
        force -= setting.drag * across * math.sqrt(side[0] ** 2 + side[1] ** 2 + side[2] ** 2) * side
        force[2] -= weight
        deep = setting.rise_north * nodes[k, 0] + setting.rise_east * nodes[k, 1]
        deep -= setting.depth + nodes[k, 2]
        if deep > 0.0:
            borne = max(_BOTTOM * length * (deep - _BOTTOM_DAMPING * v[2]), 0.0)
            rub = setting.friction * borne / math.sqrt(v[0] * v[0] + v[1] * v[1] + SLIP * SLIP)
            force[0] -= rub * v[0] + borne * setting.rise_north
            force[1] -= rub * v[1] + borne * setting.rise_east
            force[2] += borne
        on = force[0] * t[0] + force[1] * t[1] + force[2] * t[2]
        out[:3], out[3:] = v, (force - on * t) / (mass + added) + on / mass * t

    @njit
    def rates(t: float, y: Any, out: Any) -> None:
        nodes, units = np.zeros((count + 1, 6)), np.empty((count, 4))
        c, s, press_ahead, press_abeam = place_nodes(t, y, nodes)
        below = pull(nodes, units, 0)
        for k in range(1, count):
            above = pull(nodes, units, k)
            free(nodes, units, k, below, above, out[BOAT + FREE_NODE * (k - 1) : BOAT + FREE_NODE * k])
            below = above
        north, east = wind_at(wind, pace, t)
        x, y_, n = hull_force(hull, setting, c, s, y[3], y[4], y[5], north, east)
        drift = wave_drift(hull, press_ahead, press_abeam)
        along, beside = -below * units[count - 1, 0], -below * units[count - 1, 1]
        ahead, abeam = along * c + beside * s, beside * c - along * s
        du, dv, dr = gather_way(
            hull, x + ahead + drift[0], y_ + abeam + drift[1], n + hull.roller * abeam + drift[2]
        )
        out[0], out[1], out[2] = y[3] * c - y[4] * s, y[3] * s + y[4] * c, y[5]
        out[3], out[4], out[5] = du, dv, dr

    @njit
    def at_bow(t: float, y: Any) -> float:
        nodes, units, last = np.zeros((count + 1, 6)), np.empty((count, 4)), count - 1
        place_nodes(t, y, nodes)
        load, one = pull(nodes, units, last), elements[last]
        up = load * units[last, 2] + 0.5 * (one[IN_AIR] + (one[WEIGHT] - one[IN_AIR]) * units[last, 3])
        return math.sqrt(load * load * (1.0 - units[last, 2] ** 2) + up * up)

    return rates, at_bow
