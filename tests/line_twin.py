"""A plain, slow twin of the line in motion: the same physics written anew in numpy, summed up by scipy.

Nothing is shared with the compiled line but what describes the rode (``line_mesh``).  The line has one top
end, which a given function moves; the bottom is level and bears without friction.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray
from scipy.integrate import solve_ivp

from anchorsim.mooring import line_mesh as of

Floats = NDArray[np.float64]
Path = Callable[[float], tuple[Floats, Floats]]  # of the top end: place (m) and speed (m/s) at a time (s)


class Twin:
    """A line from an anchor that holds, of one mesh, in still water so deep."""

    def __init__(self, mesh: of.Mesh, depth: float, top: Path, bed: float) -> None:
        self.table, self.laws, self.depth, self.top = mesh.elements, mesh.laws, depth, top
        column = self.table.T
        self.rope = column[of.LAW] >= 0.0
        self.mass = 0.5 * (column[of.MASS][:-1] + column[of.MASS][1:])
        self.bed = bed * 0.5 * (column[of.LENGTH][:-1] + column[of.LENGTH][1:])

    def ends(self, time: float, y: Floats) -> tuple[Floats, Floats]:
        """Places and speeds of all nodes, (nodes, 3)."""
        inner = y.reshape(2, -1, 3)
        place, speed = self.top(time)
        anchor = np.array([[0.0, 0.0, -self.depth]])
        return np.vstack([anchor, inner[0], place]), np.vstack([np.zeros((1, 3)), inner[1], speed])

    def tensions(self, q: Floats, v: Floats) -> tuple[Floats, Floats]:
        """Tensions (elements,) and unit vectors (elements, 3)."""
        column = self.table.T
        gap = np.diff(q, axis=0)
        length = np.linalg.norm(gap, axis=1)
        unit = gap / length[:, None]
        longer, rate = length - column[of.LENGTH], np.einsum("kc,kc->k", np.diff(v, axis=0), unit)
        chain = column[of.STIFFNESS] * longer
        chain = np.maximum(chain + 0.2 * np.sqrt(column[of.STIFFNESS] * column[of.MASS]) * rate, 0.0)
        load = chain * (longer > 0.0)
        for k in np.flatnonzero(self.rope):
            row, law = self.table[k], self.laws[int(self.table[k, of.LAW])]
            strains = row[of.STRAIN] * np.arange(len(law))
            strain, fast = longer[k] / row[of.LENGTH], rate[k] / row[of.LENGTH]
            beyond = max(strain - strains[-1], 0.0) * (law[-1] - law[-2]) / row[of.STRAIN]
            own = np.interp(strain, strains, law) + beyond if strain > 0.0 else 0.0
            behind = row[of.BACKUP] * (longer[k] - row[of.SLACK]) if longer[k] > row[of.SLACK] else 0.0
            load[k] = own * (1.0 + row[of.LOSS] * fast / np.hypot(fast, of.LOSS_RATE)) + behind
        return load, unit

    def rates(self, time: float, y: Floats) -> Floats:
        """Speeds and accelerations of the inner nodes."""
        q, v = self.ends(time, y)
        column = self.table.T
        load, unit = self.tensions(q, v)
        force = np.diff(load[:, None] * unit, axis=0)
        way = unit[1:] + unit[:-1]
        way /= np.linalg.norm(way, axis=1)[:, None]
        middle = 0.5 * (q[:-1, 2] + q[1:, 2])
        halves = []  # what is wet of the half above a node and of the one below it
        for inner in (middle[1:], middle[:-1]):
            high, low = np.maximum(q[1:-1, 2], inner), np.minimum(q[1:-1, 2], inner)
            halves.append(0.5 * np.clip(-low / np.maximum(high - low, 1e-12), 0.0, 1.0))

        def wet(of_element: Floats) -> Floats:
            return halves[0] * of_element[1:] + halves[1] * of_element[:-1]

        weight, in_air = column[of.WEIGHT], column[of.IN_AIR]
        force[:, 2] -= 0.5 * (in_air[1:] + in_air[:-1]) - wet(in_air - weight)
        moving = v[1:-1]
        along = np.einsum("nc,nc->n", moving, way)
        across = moving - along[:, None] * way
        force -= (wet(column[of.ACROSS]) * np.linalg.norm(across, axis=1))[:, None] * across
        force -= (wet(column[of.ALONG]) * np.abs(along) * along)[:, None] * way
        deep = -self.depth - q[1:-1, 2]
        damped = 2.0 * 0.5 * np.sqrt(self.bed * self.mass)
        force[:, 2] += np.where(deep > 0.0, np.maximum(self.bed * deep - damped * moving[:, 2], 0.0), 0.0)
        heavy = self.mass[:, None, None] * np.eye(3)
        heavy = heavy + wet(column[of.ADDED])[:, None, None] * (np.eye(3) - way[:, :, None] * way[:, None, :])
        return np.concatenate([moving.ravel(), np.linalg.solve(heavy, force[:, :, None]).ravel()])

    def run(self, start: Floats, times: Floats) -> Floats:
        """Tensions at each time (times, elements) from places at rest (nodes, 3)."""
        inner = start[1:-1].ravel()
        begin = np.concatenate([inner, np.zeros_like(inner)])
        found = solve_ivp(self.rates, (times[0], times[-1]), begin, "LSODA", times, rtol=1e-6, atol=1e-7)
        assert found.success, found.message
        return np.array([self.tensions(*self.ends(t, y))[0] for t, y in zip(times, found.y.T, strict=True)])
