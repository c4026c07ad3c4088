"""Whether she lies straight or sheers about: her and her rode, linearised about lying head to the wind."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from anchorsim.bow_kernel import STILL
from anchorsim.line_motion import V, Y
from anchorsim.scenario import Scenario
from anchorsim.swing import SAMPLE_STEP, laid_out, lie, prepare
from anchorsim.swing_kernel import ABEAM, EAST, HEADING, TURN, State

_SETTLED, _AHEAD = 600.0, 1.0  # s that she is given to come to rest, and that a small sheer is followed
_SMALL = 1e-6  # m, rad, m/s and rad/s that it is
_GONE = 1e-6  # of a small sheer, left after that time: nothing


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

    She is let come to rest head to it; then what a small sheer of hers and of each part of the rode comes to
    in a second gives the eigenvalues.
    """
    rode, curve = laid_out(scenario)
    watch = prepare(scenario, rode)
    setting = watch.setting._replace(current_north=0.0, current_east=0.0)
    air = np.array([[-wind_speed, 0.0]] * 2)
    ground = watch.ground._replace(holding=math.inf)
    watch = replace(watch, setting=setting, wind=air, sea=STILL, ground=ground)
    rest = lie(watch, curve, rode)
    watch.run(rest, round(_SETTLED / SAMPLE_STEP) + 1)
    free = len(rest.nodes) - (2 if watch.mesh.bridle else 1)
    places = [(0, column) for column in (EAST, HEADING, ABEAM, TURN)]
    places += [(k, column) for k in range(1, free) for column in (Y, V)]
    rates = np.empty((len(places), len(places)))
    for column, (node, value) in enumerate(places):
        ends = []
        for sign in (1.0, -1.0):
            state = State(*(part.copy() for part in rest))
            (state.nodes[node] if node else state.boat)[value] += sign * _SMALL
            watch.run(state, round(_AHEAD / SAMPLE_STEP) + 1)
            ends.append([(state.nodes[k] if k else state.boat)[place] for k, place in places])
        rates[:, column] = (np.array(ends[0]) - np.array(ends[1])) / (2 * _SMALL)
    grown = np.linalg.eigvals(rates).astype(np.complex128)
    return Lie(np.asarray(np.log(grown[np.abs(grown) > _GONE]) / _AHEAD, dtype=np.complex128))
