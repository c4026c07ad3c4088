"""The rode's step once more, for all spells at a time, in NumPy; and its equations of motion, in JAX.

For comparison only: the anchor holds, no bridle, and the boat stays where she is while the waves of each
spell carry her bow, so that all there is to be done is the rode.  ``line_motion`` says what each line is.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from anchorsim.dynamics import line_motion as of
from anchorsim.dynamics.motion_kernel import HEADING
from anchorsim.dynamics.simulation import SAMPLE_STEP, Spell, State, equilibrium, laid_out, prepare
from anchorsim.dynamics.wave_kernel import ride
from anchorsim.mooring import line_mesh as mesh
from anchorsim.scenario.scenario import Scenario

from .line_ode import DAMPED, SLIP

HELD = 1e30  # kg and kg m²: of a boat that nothing moves
SUBSTEPS = 3  # of our own in SAMPLE_STEP
STEP = SAMPLE_STEP / SUBSTEPS
SEA = {"weather.wave_height": "0.5 m", "weather.wave_period": "3 s", "weather.duration": "60 s"}
BARE = {"tackle.snubber.length": "0 m"}


@dataclass(frozen=True)
class Problem:
    """A spell and its first state for each spell; where its bow is after each step, (steps, 3, spells)."""

    spells: tuple[Spell, ...]
    starts: tuple[State, ...]
    bow: np.ndarray


def problem(count: int, seconds: float, changed: dict[str, str]) -> Problem:
    scenario = Scenario().vary({**SEA, **changed})
    rode, curve = laid_out(scenario)
    runs = []
    for spell in range(count):
        watch = prepare(scenario, rode, seed=spell)
        body = watch.body._replace(mass=HELD, yaw_inertia=HELD)
        runs.append(replace(watch, body=body, ground=watch.ground._replace(holding=1e12)))
    start = equilibrium(
        runs[0], curve, rode
    )  # the same for all: in so heavy a boat the wind counts for nothing
    c, s = np.cos(start.boat[HEADING]), np.sin(start.boat[HEADING])
    still = start.nodes[-1, of.X : of.Z + 1].copy()
    still[2] = runs[0].setting.height
    times = STEP * np.arange(1, round(seconds / STEP) + 1)
    moved = [[ride(watch.sea, time, c, s)[:3] for watch in runs] for time in times]
    bow = np.array(moved).transpose(0, 2, 1) + still[:, None]
    return Problem(tuple(runs), tuple(start for _ in runs), bow)


def marched(p: Problem, which: slice) -> np.ndarray:
    """Peaks at the bow (N) by our own integration, one spell after the other."""
    samples = len(p.bow) // SUBSTEPS + 1
    found = []
    for watch, start in zip(p.spells[which], p.starts[which], strict=True):
        found.append(watch.run(State(*(part.copy() for part in start)), samples)[1][0])
    return np.array(found)


class Abreast:
    """All spells' rodes: nodes (nodes, 3, spells), what is of an element or a free node (…, spells)."""

    def __init__(self, p: Problem) -> None:
        self.setting, self.mesh = p.spells[0].setting, p.spells[0].mesh
        self.column = self.mesh.elements.T[:, :, None]
        nodes = np.stack([start.nodes for start in p.starts], axis=-1)
        rows = np.stack([start.rows for start in p.starts], axis=-1)
        self.q, self.v = nodes[:, of.X : of.Z + 1].copy(), nodes[:, of.U : of.W + 1].copy()
        self.borne, self.stop = nodes[1:-1, of.BORNE].copy(), nodes[1:-1, of.STOP].copy()
        self.held = nodes[1:-1, of.HELD_X : of.HELD_Y + 1].copy()
        self.tension, self.taut = rows[:, of.TENSION].copy(), rows[:, of.TAUT] > 0.0

    def stretched(self, far: np.ndarray, rate: np.ndarray, h: float) -> tuple[np.ndarray, np.ndarray]:
        """Compliance and right side of each element."""
        column, stretch = self.column, far - self.column[mesh.LENGTH]
        chain = column[mesh.LAW] < 0.0
        diagonal = 2.0 / 3.0 / np.where(chain, column[mesh.STIFFNESS], 1.0) + 0.0 * stretch
        right = 2.0 / 3.0 * stretch + h / 3.0 * rate
        for k in np.flatnonzero(~chain[:, 0]):
            one, loads = self.mesh.elements[k], self.mesh.laws[int(self.mesh.elements[k, mesh.LAW])]
            wide = one[mesh.LENGTH] * one[mesh.STRAIN]
            place = np.maximum(stretch[k], 0.0) / wide
            i = np.minimum(place.astype(int), len(loads) - 2)
            gain = loads[i + 1] - loads[i]
            stiffness = gain / wide
            load = np.where(stretch[k] > 0.0, loads[i] + (place - i) * gain, stretch[k] * stiffness)
            part = 1.0 / np.sqrt(rate[k] ** 2 + (mesh.LOSS_RATE * one[mesh.LENGTH]) ** 2)
            slope = np.maximum(load, 0.0) * one[mesh.LOSS] * part
            factor = 1.0 + one[mesh.LOSS] * rate[k] * part
            beyond = np.maximum(stretch[k] - one[mesh.SLACK], 0.0) * one[mesh.BACKUP]
            load, stiffness = load * factor + beyond, stiffness * factor + (beyond > 0.0) * one[mesh.BACKUP]
            diagonal[k] = 1.0 / (stiffness + slope / h)
            right[k] = diagonal[k] * load
        return diagonal, right

    def rubs(self, most: np.ndarray, firm: np.ndarray, deep: np.ndarray, h: float) -> tuple[Any, Any]:
        """The bottom's friction on those nodes that are deep, and how much less of it for each m/s."""
        off = self.q[1:-1, :2] - self.held
        far, fresh = firm * np.hypot(off[:, 0], off[:, 1]), self.stop == 0.0
        slides = deep & (fresh | (far > most))
        share = np.where(fresh, 0.0, most / np.maximum(far, 1e-300))
        off = np.where(slides[:, None], share[:, None] * off, off)
        self.held = np.where(slides[:, None], self.q[1:-1, :2] - off, self.held)
        off = off + h * self.v[1:-1, :2]
        far = np.hypot(off[:, 0], off[:, 1])
        firm = np.where(firm * far > most, most / np.maximum(far, 1e-300), firm)
        return -firm[:, None] * off, h * firm

    def pulled(self, diagonal: np.ndarray, before: np.ndarray, right: np.ndarray) -> np.ndarray:
        """Tensions of elements none of which pushes."""
        count = len(diagonal)
        for _ in range(of._ROUNDS):
            own = np.where(self.taut, diagonal, 1.0)
            joined = np.concatenate([np.zeros_like(own[:1]), self.taut[1:] & self.taut[:-1]]) * before
            left, tension = own.copy(), np.where(self.taut, right, 0.0)
            for k in range(1, count):
                part = joined[k] / left[k - 1]
                left[k] -= part * joined[k]
                tension[k] -= part * tension[k - 1]
            tension[-1] /= left[-1]
            for k in range(count - 2, -1, -1):
                tension[k] = (tension[k] - joined[k + 1] * tension[k + 1]) / left[k]
            miss = right.copy()
            miss[1:] -= before[1:] * tension[:-1]
            miss[:-1] -= before[1:] * tension[1:]
            taut = np.where(self.taut, tension >= 0.0, miss > 0.0)
            same, self.taut = bool((taut == self.taut).all()), taut
            if same:
                break
        return np.maximum(tension, 0.0)

    def step(self, bow: np.ndarray, h: float) -> np.ndarray:
        """Move all on by ``h`` s, the bows to where they are given: the loads at the bow (N)."""
        setting, column, q, v = self.setting, self.column, self.q, self.v
        speed = np.diff(v, axis=0)
        gap = np.diff(q, axis=0) + h * speed
        far = np.sqrt((gap**2).sum(axis=1)) + of._LEAST
        unit = gap / far[:, None]
        ahead = q[:, 2] + h * v[:, 2]
        top, foot = np.maximum(ahead[:-1], ahead[1:]), np.minimum(ahead[:-1], ahead[1:])
        wet = np.where(top <= 0.0, 1.0, np.clip(-foot / np.maximum(top - foot, 1e-300), 0.0, 1.0))
        diagonal, right = self.stretched(far, (speed * unit).sum(axis=1), h)

        def both(halves: np.ndarray) -> np.ndarray:
            return 0.5 * (halves[:-1] + halves[1:])

        heavy = column[mesh.IN_AIR] + wet * (column[mesh.WEIGHT] - column[mesh.IN_AIR])
        mass, stiff = both(column[mesh.MASS]), 2.0 * both(self.tension / far)
        way = unit[:-1] + unit[1:]
        square = 1.0 / ((way**2).sum(axis=1) + of._LEAST**2)
        past = v[1:-1] - np.array([setting.current_north, setting.current_east, 0.0])[:, None]
        run = ((past * way).sum(axis=1) * square)[:, None] * way
        side = past - run
        across = setting.drag * both(wet * column[mesh.ACROSS]) * np.sqrt((side**2).sum(axis=1))
        along = setting.drag * both(wet * column[mesh.ALONG]) * np.sqrt((run**2).sum(axis=1))
        push = -across[:, None] * side - along[:, None] * run
        push[:, 2] -= both(heavy)
        stay = np.maximum(mass + both(wet * column[mesh.ADDED]) + h * across, 2.0 * h * h * stiff)
        lifts = self.tension[1:] * unit[1:, 2] - self.tension[:-1] * unit[:-1, 2]
        deep = setting.rise_north * (q[1:-1, 0] + h * v[1:-1, 0])
        deep = deep + setting.rise_east * (q[1:-1, 1] + h * v[1:-1, 1]) - setting.depth - q[1:-1, 2]
        rises = v[1:-1, 2] + h * (push[:, 2] + lifts) / stay
        bears = (deep > h * rises) & (deep > (h + of._BOTTOM_DAMPING) * rises)
        firm = both(column[mesh.LENGTH]) * of._BOTTOM + 0.0 * deep
        rub, rubbed = self.rubs(setting.friction * self.borne, firm, bears, h)
        slope = np.array([setting.rise_north, setting.rise_east])[:, None]
        push[:, :2] += np.where(bears[:, None], rub - self.borne[:, None] * slope, 0.0)
        self.borne = np.where(bears, firm * (deep - (h + of._BOTTOM_DAMPING) * v[1:-1, 2]), 0.0)
        self.stop = np.where(bears, firm * (of._BOTTOM_DAMPING + h), 0.0)
        push[:, 2] += self.borne
        easy = np.stack([1.0 / (stay + bears * h * rubbed)] * 2 + [1.0 / (stay + h * self.stop)], axis=1)
        part = (mass + h * along - stay) * square
        leans = easy * way
        share = part / (1.0 + part * (leans * way).sum(axis=1))

        def yields(pushed: np.ndarray) -> np.ndarray:
            return easy * pushed - (share * (leans * pushed).sum(axis=1))[:, None] * leans

        first = yields(h * push)
        last = 0.5 * heavy[-1]
        return self._moved(bow, h, unit, diagonal, right, first, yields, last)

    def _moved(
        self, bow: np.ndarray, h: float, unit: np.ndarray, diagonal: np.ndarray, right: np.ndarray,
        first: np.ndarray, yields: Callable[[np.ndarray], np.ndarray], weight: np.ndarray,
    ) -> np.ndarray:  # fmt: skip
        """Solve for the tensions and move the nodes on, which gain ``first`` m/s without them."""
        gained = np.concatenate([-self.v[:1], first, ((bow - self.q[-1]) / h - self.v[-1])[None]])
        below, above = yields(unit[:-1]), yields(unit[1:])
        diagonal[:-1] += h * h * (below * unit[:-1]).sum(axis=1)
        diagonal[1:] += h * h * (above * unit[1:]).sum(axis=1)
        right += h * (np.diff(gained, axis=0) * unit).sum(axis=1)
        before = np.concatenate([np.zeros_like(right[:1]), -h * h * (below * unit[1:]).sum(axis=1)])
        self.tension = self.pulled(diagonal, before, right)
        pulls = h * self.tension[:, None] * unit
        gained[1:-1] += yields(pulls[1:] - pulls[:-1])
        self.borne = np.maximum(self.borne - self.stop * gained[1:-1, 2], 0.0)
        self.v = self.v + gained
        self.q = self.q + h * self.v
        last = self.tension[-1] * unit[-1]
        last[2] += weight
        return np.asarray(np.sqrt((last**2).sum(axis=0)))


def by_numpy(p: Problem) -> np.ndarray:
    """Peaks at the bow (N) of all spells, side by side, with our own step."""
    rodes, peak = Abreast(p), np.zeros(len(p.spells))
    for bow in p.bow:
        peak = np.maximum(peak, rodes.step(bow, STEP))
    return peak


def by_diffrax(p: Problem, tolerance: float) -> Callable[[], np.ndarray]:
    """The rode as the equations of ``line_ode`` under vmap, compiled: a call gives the peaks at the bow (N).

    By Tsit5, which is explicit: with so many small systems its short steps cost less than the linear algebra
    of a stiff solver's long ones.  The bow goes by cubics through its places.  Bare chain only.
    """
    import diffrax  # noqa: PLC0415 - seconds that other tests need not wait
    import jax  # noqa: PLC0415

    jax.config.update("jax_enable_x64", True)
    xp = jax.numpy
    rates, at_bow = _equations(xp, p)
    first = np.repeat(p.starts[0].nodes[-1:, : of.Z + 1, None], p.bow.shape[2], axis=2)
    places = np.concatenate([first, p.bow])
    bows = xp.asarray(np.stack([places, np.gradient(places, STEP, axis=0)]).transpose(3, 0, 1, 2))
    start = xp.asarray(p.starts[0].nodes[1:-1, : of.W + 1].reshape(-1, 2, 3).transpose(1, 0, 2))
    end = STEP * len(p.bow)
    times = xp.linspace(0.0, end, len(p.bow) + 1)

    def peak(bow: Any) -> Any:
        done = diffrax.diffeqsolve(
            diffrax.ODETerm(rates), diffrax.Tsit5(), 0.0, end, 1e-3, start, bow, max_steps=1_000_000,
            saveat=diffrax.SaveAt(ts=times, fn=at_bow),
            stepsize_controller=diffrax.PIDController(rtol=tolerance, atol=0.01 * tolerance),
        )  # fmt: skip
        return done.ys.max()

    every = jax.jit(jax.vmap(peak))
    return lambda: np.asarray(every(bows))


def _equations(xp: Any, p: Problem) -> tuple[Callable[..., Any], Callable[..., Any]]:
    """Rates of one rode's free nodes (2, nodes, 3), places and speeds, and the load at its bow."""
    setting, column = p.spells[0].setting, p.spells[0].mesh.elements.T
    anchor = p.starts[0].nodes[:1, : of.Z + 1]

    def lies(time: Any, y: Any, bow: Any) -> tuple[Any, ...]:
        i = xp.clip((time / STEP).astype(int), 0, bow.shape[1] - 2)
        t, before, after = time / STEP - i, bow[:, i], bow[:, i + 1]
        gain, a, b = after[0] - before[0], STEP * before[1], STEP * after[1]
        square, cube = 3.0 * gain - 2.0 * a - b, a + b - 2.0 * gain
        top = before[0] + t * (a + t * (square + t * cube))
        top_speed = (a + t * (2.0 * square + 3.0 * t * cube)) / STEP
        q = xp.concatenate([anchor, y[0], top[None]])
        v = xp.concatenate([xp.zeros((1, 3)), y[1], top_speed[None]])
        gap = q[1:] - q[:-1]
        far = xp.sqrt((gap**2).sum(axis=1))
        unit, stretch = gap / far[:, None], far - column[mesh.LENGTH]
        rate = ((v[1:] - v[:-1]) * unit).sum(axis=1)
        load = column[mesh.STIFFNESS] * (stretch + DAMPED * rate)
        high, low = xp.maximum(q[:-1, 2], q[1:, 2]), xp.minimum(q[:-1, 2], q[1:, 2])
        wet = xp.where(high <= 0.0, 1.0, xp.clip(-low / xp.maximum(high - low, 1e-300), 0.0, 1.0))
        return unit, xp.where(stretch > 0.0, xp.maximum(load, 0.0), 0.0), wet

    def both(halves: Any) -> Any:
        return 0.5 * (halves[:-1] + halves[1:])

    def rates(time: Any, y: Any, bow: Any) -> Any:
        (unit, load, wet), (q, v) = lies(time, y, bow), y
        heavy = column[mesh.IN_AIR] + wet * (column[mesh.WEIGHT] - column[mesh.IN_AIR])
        way = unit[:-1] + unit[1:]
        way = way / xp.sqrt((way**2).sum(axis=1))[:, None]
        past = v - xp.asarray([setting.current_north, setting.current_east, 0.0])
        run = (past * way).sum(axis=1)
        side = past - run[:, None] * way
        across = setting.drag * both(wet * column[mesh.ACROSS]) * xp.sqrt((side**2).sum(axis=1) + 1e-18)
        along = setting.drag * both(wet * column[mesh.ALONG]) * xp.abs(run) * run
        pulls = load[:, None] * unit
        force = pulls[1:] - pulls[:-1] - across[:, None] * side - along[:, None] * way
        deep = setting.rise_north * q[:, 0] + setting.rise_east * q[:, 1] - setting.depth - q[:, 2]
        borne = both(column[mesh.LENGTH]) * of._BOTTOM * (deep - of._BOTTOM_DAMPING * v[:, 2])
        borne = xp.where(deep > 0.0, xp.maximum(borne, 0.0), 0.0)
        rub = setting.friction * borne / xp.sqrt(v[:, 0] ** 2 + v[:, 1] ** 2 + SLIP**2)
        north, east = rub * v[:, 0] + borne * setting.rise_north, rub * v[:, 1] + borne * setting.rise_east
        force = force + xp.stack([-north, -east, borne - both(heavy)], axis=1)
        on = (force * way).sum(axis=1)[:, None] * way
        mass, added = both(column[mesh.MASS]), both(wet * column[mesh.ADDED])
        return xp.stack([v, (force - on) / (mass + added)[:, None] + on / mass[:, None]])

    def at_bow(time: Any, y: Any, bow: Any) -> Any:
        unit, load, wet = (part[-1] for part in lies(time, y, bow))
        heavy = column[mesh.IN_AIR, -1] + wet * (column[mesh.WEIGHT, -1] - column[mesh.IN_AIR, -1])
        up = load * unit[2] + 0.5 * heavy
        return xp.sqrt(load**2 * (unit[0] ** 2 + unit[1] ** 2) + up**2)

    return rates, at_bow
