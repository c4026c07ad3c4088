"""Whether she lies straight or sheers about: her and her rode, linearised about lying head to the wind."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from anchorsim.core.arguments import refused
from anchorsim.core.tables import Choice
from anchorsim.core.units import quantity
from anchorsim.dynamics.lateral import derivatives
from anchorsim.dynamics.line_motion import EX, TENSION, V, Y
from anchorsim.dynamics.motion_kernel import ABEAM, AHEAD, EAST, HEADING, SAMPLE_STEP, TURN, State
from anchorsim.dynamics.simulation import Spell, equilibrium, laid_out, prepare
from anchorsim.dynamics.wave_kernel import STILL
from anchorsim.scenario.scenario import Scenario
from anchorsim.scenario.weather import Weather

Floats = NDArray[np.float64]
Sheering = Literal["stable", "slow", "strong"]

# Times √(m·length/load) in which a sheer grows e-fold: in fewer it is strong.  All forces grow with the
# square of the wind, so that on a taut rode she does the same in any, only faster; with as many as this her
# heading ended up sheering by 3° to 4° (root mean square) in runs of five boats, in fewer by more.
# Judgement.
STRONG = 4.0

_AHEAD = 1.0  # s over which a small sheer is followed
_SMALL = 1e-6  # m, rad, m/s and rad/s that it is
_GONE = 1e-8  # of a small sheer, left after that time: what rounding leaves beside it (judgement)
_SWINGS = 1e-3  # of an eigenvalue, its imaginary part beside the real one: below it, rounding (judgement)
_LEAST = 1.0  # N: what a rode that hangs slack pulls with at the least (judgement)
_HERS = 0.1  # of how far the rode goes aside, that she does where the motion is hers (judgement)
_CHUNK, _CHUNKS = 1.0, 600  # s after which her speed is looked at, and how often at the most
_STILL, _QUIET = 1e-4, 5  # m/s that is rest, and how often in a row (judgement)


@dataclass(frozen=True)
class Equilibrium:
    """How she lies head to a steady wind, linearised: small sheers of hers and what the rode does with them.

    eigenvalues: (n,) in 1/s, the fastest growing first; hers: (n,), whether it is a motion of the boat, or
    one of the rode alone, such as a string's; side_centre: how far ahead of amidships (m) the side force acts
    that wind and current make as her head falls off: with a roller that is not farther ahead, and no bridle,
    she falls off to one side; load: the horizontal one (N); time_scale: √(m·length/load) in s, in which the
    load would carry her through half her length; converged: whether she came to rest before that, within ten
    minutes.  Surge goes by itself and is always damped.
    """

    eigenvalues: NDArray[np.complex128]
    hers: NDArray[np.bool_]
    side_centre: float
    load: float
    time_scale: float
    converged: bool

    @property
    def lead(self) -> complex:
        """The eigenvalue (1/s) of the motion of hers that grows fastest, or dies away slowest."""
        return complex(self.eigenvalues[self.hers][0])

    @property
    def stable(self) -> bool:
        """Whether a small sheer dies away; else she sheers about by herself."""
        return bool(self.eigenvalues[0].real < 0)

    @property
    def growth_rate(self) -> float:
        """1/s; below 0 where the sheer dies away."""
        return self.lead.real

    @property
    def growth_time(self) -> float:
        """Time (s) in which a small sheer grows e-fold; infinite where it dies away."""
        return 1 / self.growth_rate if self.growth_rate > 0 else math.inf

    @property
    def swings(self) -> bool:
        """Whether the leading sheer swings to and fro; else it is a falling off to one side."""
        return abs(self.lead.imag) > _SWINGS * abs(self.lead)

    @property
    def sheer_period(self) -> float:
        """Period (s) of the least damped sheer of hers that swings; infinite where none does."""
        own = self.eigenvalues[self.hers]
        swinging = own[np.abs(own.imag) > _SWINGS * np.abs(own)]
        return float(2 * math.pi / abs(swinging[0].imag)) if len(swinging) else math.inf

    @property
    def sheering(self) -> Sheering:
        """Stable; slow, where a sheer takes more than ``STRONG`` time scales to grow e-fold; else strong."""
        if self.stable:
            return "stable"
        return "slow" if self.growth_time > STRONG * self.time_scale else "strong"


@dataclass(frozen=True)
class Side:
    """A side of a map: the field at ``path``, its label and unit, and its values in that unit, (n,)."""

    path: str
    label: str
    unit: str
    values: Floats


@dataclass(frozen=True)
class SheerMap:
    """How she lies in one wind (m/s) by two fields; arrays are (up, across), rows and columns.

    growth_rate: 1/s; period: s of the sheer that swings, infinite without; swings: whether the leading one
    does; sheering: "stable", "slow" or "strong", and converged, as :class:`Equilibrium` has them.
    """

    wind_speed: float
    across: Side
    up: Side
    growth_rate: Floats
    period: Floats
    swings: NDArray[np.bool_]
    sheering: NDArray[np.str_]
    converged: NDArray[np.bool_]


def sheer_map(
    scenario: Scenario,
    wind_speed: float,
    *,
    across: tuple[str, Sequence[float]],
    up: tuple[str, Sequence[float]],
) -> SheerMap:
    """How she lies in a wind of ``wind_speed`` (m/s at her windage) with two fields varied.

    Each is a path and its values in the unit it is declared in, ``("boat.rig_centre", (0, 0.5, 1))``.  Raises
    ScenarioError where there is no such path or a value does not go with the rest, ValueError where the
    field is none of numbers.
    """
    columns, rows = _side(*across), _side(*up)
    lies = [
        [
            straight_equilibrium(scenario.vary(_set(columns, column) | _set(rows, row)), wind_speed)
            for column in columns.values
        ]
        for row in rows.values
    ]
    return SheerMap(
        wind_speed,
        columns,
        rows,
        np.array([[one.growth_rate for one in row] for row in lies]),
        np.array([[one.sheer_period for one in row] for row in lies]),
        np.array([[one.swings for one in row] for row in lies]),
        np.array([[one.sheering for one in row] for row in lies]),
        np.array([[one.converged for one in row] for row in lies]),
    )


def _side(path: str, values: Sequence[float]) -> Side:
    field = Scenario.declaration(path)
    if isinstance(field, Choice):
        raise refused(path, "a choice out of a table", "a field of numbers", "name another path")
    return Side(path, field.label, field.unit, np.array(values, dtype=np.float64))


def _set(side: Side, value: float) -> dict[str, object]:
    return {side.path: quantity(float(value), side.unit) if side.unit else float(value)}


def straight_equilibrium(scenario: Scenario, wind_speed: float, current: float = 0.0) -> Equilibrium:
    """How she lies head to a steady wind (m/s at her windage) and a current (m/s) from the same side.

    In no sea, on a bottom that slopes as it does along the rode, and to an anchor that holds.  She is let
    come to rest; then what a small sheer of hers and of each part of the rode comes to in a second gives the
    eigenvalues.  Chain that lies is held by friction as the steps of the motion have it, which under some
    centimetres a second grows with the speed: in a small sheer it creeps.  Raises ValueError where neither
    wind nor current comes from ahead.
    """
    if wind_speed < 0 or current < 0 or wind_speed + current == 0:
        wrong = f"{wind_speed:g} and {current:g} m/s leave nothing to lie to"
        raise refused("wind_speed, current", wrong, "one above 0 and none below", "give a wind")
    watch, rest, converged = at_rest(scenario, wind_speed, current)
    values, hers = modes(watch, rest)
    centre = derivatives(watch.body, watch.setting, wind_speed).centre
    load = max(float(-rest.rows[-1, TENSION] * rest.rows[-1, EX]), _LEAST)
    if watch.mesh.bridle:
        load *= 2
    scale = math.sqrt(watch.body.mass * watch.body.length / load)
    return Equilibrium(values, hers, centre, load, scale, converged)


def at_rest(scenario: Scenario, wind_speed: float, current: float = 0.0) -> tuple[Spell, State, bool]:
    """She at rest head to a wind from the north and a current that runs from there, and whether she came to
    rest; else as above."""
    rode, curve = laid_out(scenario)
    watch = prepare(scenario.vary({"weather": Weather(duration=quantity(60.0, "s"))}), rode)
    setting = watch.setting._replace(
        current_north=-current, current_east=0.0, rise_north=-math.tan(rode.slope), rise_east=0.0
    )
    air = np.array([[-wind_speed, 0.0]] * 2)
    ground = watch.ground._replace(holding=math.inf)
    watch = replace(watch, setting=setting, wind=air, sea=STILL, ground=ground)
    state = equilibrium(watch, curve, rode)
    return watch, state, settle(watch, state)


def settle(watch: Spell, state: State) -> bool:
    """Let come to rest lying straight, and tell whether it did; the rode is left as the steps leave it.

    Whenever she slows down she is stopped, since she is then past her place of rest (kinetic damping); that
    the rounding of one side does not grow to a sheer meanwhile, all that is aside is put back.
    """
    before, quiet = 0.0, 0
    for _ in range(_CHUNKS):
        watch.run(state, round(_CHUNK / SAMPLE_STEP) + 1)
        _straighten(watch, state)
        speed = abs(state.boat[AHEAD])
        quiet = quiet + 1 if speed < _STILL else 0
        if quiet == _QUIET:
            return True
        if speed < before:
            state.boat[AHEAD] = speed = 0.0
        before = speed
    return False


def _straighten(watch: Spell, state: State) -> None:
    state.boat[[EAST, HEADING, ABEAM, TURN]] = 0.0
    free = _free(watch, state)
    state.nodes[1:free, Y] = state.nodes[1:free, V] = 0.0
    if watch.mesh.bridle:
        state.rows[-2:, TENSION] = state.rows[-2:, TENSION].mean()


def _free(watch: Spell, state: State) -> int:
    """Number of the first node that the boat carries."""
    return len(state.nodes) - (2 if watch.mesh.bridle else 1)


def modes(watch: Spell, rest: State) -> tuple[NDArray[np.complex128], NDArray[np.bool_]]:
    """Eigenvalues (1/s), the fastest growing first, and which are the boat's, about a rest that is straight.

    Of the map from where all is after one second to where it is after two: what a run does otherwise in its
    first steps, which the state does not tell, is over by then.  What swings faster than half a turn in a
    second is told by a lower frequency, and grows or dies as it is told.
    """
    places = [(0, column) for column in (EAST, HEADING, ABEAM, TURN)]
    places += [(k, column) for k in range(1, _free(watch, rest)) for column in (Y, V)]
    once, twice = (_followed(watch, rest, places, seconds) for seconds in (_AHEAD, 2 * _AHEAD))
    left, size, right = np.linalg.svd(once)
    kept = size > _GONE * size[0]
    left, right = left[:, kept], right[kept].T / size[kept]
    grown, shapes = np.linalg.eig(left.T @ twice @ right)
    values = np.asarray(np.log(grown.astype(np.complex128)) / _AHEAD, dtype=np.complex128)
    shapes = np.abs(left @ shapes)
    boat = np.maximum(shapes[0], 0.5 * watch.body.length * shapes[1])
    hers = boat > _HERS * shapes[4::2].max(axis=0, initial=0.0)
    order = np.argsort(-values.real, kind="stable")
    return values[order], hers[order]


def _followed(watch: Spell, rest: State, places: list[tuple[int, int]], seconds: float) -> Floats:
    """What a small change at each place (column) comes to at each (row) after a time, (places, places)."""
    rates = np.empty((len(places), len(places)))
    for column, (node, value) in enumerate(places):
        ends = []
        for sign in (1.0, -1.0):
            state = State(*(part.copy() for part in rest))
            (state.nodes[node] if node else state.boat)[value] += sign * _SMALL
            watch.run(state, round(seconds / SAMPLE_STEP) + 1)
            ends.append([(state.nodes[k] if k else state.boat)[place] for k, place in places])
        rates[:, column] = (np.array(ends[0]) - np.array(ends[1])) / (2 * _SMALL)
    return rates
