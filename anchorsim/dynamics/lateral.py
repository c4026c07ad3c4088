"""Sway and yaw of a boat on a straight, taut, light line, linear about lying straight: a few derivatives.

Axes as in ``boat_motion``.  She lies with her bow into what pushes her and her line straight ahead.  Small
sway and yaw (y, ψ), with v = ẏ and r = ψ̇ over the ground, follow

    M (v̇, ṙ) = S (v, r) + s ψ − K_line (y, ψ)

S and s as in :class:`Derivatives`.  The line pulls with T from l ahead of the roller, which is x_p ahead of
amidships: K_line = [[T/l, T(1 + x_p/l)], [x_p T/l, x_p T(1 + x_p/l)]].  Taking s off its second column gives
the stiffness K, det K = (T/l)(x_p s_Y − s_N): she falls off to one side, whatever T and l are, unless the
roller is farther ahead than s_N/s_Y.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from anchorsim.dynamics.boat_motion import Setting, gather_way, hull_force
from anchorsim.scenario.vessel import Hull

Floats = NDArray[np.float64]

_SMALL = 1e-6  # m/s, rad/s and rad of the differences: what grows with the square of a speed is gone by then


@dataclass(frozen=True)
class Derivatives:
    """Of side force (N) and yawing moment (N m), first and second row, about lying straight.

    mass: (2, 2), M, by acceleration of sway (kg, kg m) and yaw (kg m, kg m²), with the added masses; speed:
    (2, 2), S, by sway and yaw speed over the ground (N s/m, N s; N s, N m s); heading: (2,), s, by heading
    (N, N m).
    """

    mass: Floats
    speed: Floats
    heading: Floats

    @property
    def centre(self) -> float:
        """How far ahead of amidships (m) the side force acts that a heading makes: N_ψ/Y_ψ.

        A roller that is not farther ahead lets her fall off to one side, whatever the load and the length.
        """
        return float(self.heading[1] / self.heading[0])


def derivatives(body: Hull, setting: Setting, wind_speed: float) -> Derivatives:
    """Those of a boat that lies heading north in wind from there (m/s) and what current ``setting`` has.

    The current too is to run from or to the north.
    """

    def force(heading: float, sway: float, yaw: float) -> Floats:
        load = hull_force(
            body, setting, np.cos(heading), np.sin(heading), 0.0, sway, yaw, -wind_speed, 0.0
        )  # fmt: skip
        return np.array(load[1:])

    columns = [(force(*row) - force(*-row)) / (2 * _SMALL) for row in _SMALL * np.eye(3)]
    gains = np.array([gather_way(body, 0.0, 1.0, 0.0)[1:], gather_way(body, 0.0, 0.0, 1.0)[1:]]).T
    return Derivatives(np.linalg.inv(gains), np.column_stack(columns[1:]), columns[0])


def stiffness(given: Derivatives, tension: float, length: float, roller: float) -> Floats:
    """K, (2, 2): what pushes back for each metre of sway and radian of heading (N/m, N; N, N m).

    ``tension`` (N) of the line, its ``length`` (m) from above, and how far the ``roller`` is ahead (m).
    """
    pull = tension * np.array([1.0 / length, 1.0 + roller / length])
    back: Floats = np.outer([1.0, roller], pull) - np.outer(given.heading, [0.0, 1.0])
    return back


def eigenvalues(given: Derivatives, tension: float, length: float, roller: float) -> NDArray[np.complex128]:
    """The four eigenvalues (1/s) of her sway and yaw, the fastest growing first; arguments as above."""
    back = stiffness(given, tension, length, roller)
    system = np.block(
        [
            [np.zeros((2, 2)), np.eye(2)],
            [np.linalg.solve(given.mass, -back), np.linalg.solve(given.mass, given.speed)],
        ]
    )
    found = np.linalg.eigvals(system).astype(np.complex128)
    return np.asarray(found[np.argsort(-found.real)], dtype=np.complex128)
