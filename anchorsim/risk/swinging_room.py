"""The water that any part of a boat sweeps about her anchor, by bearing."""

from __future__ import annotations

from collections.abc import Sequence
from concurrent.futures import Executor
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from anchorsim.core import arguments
from anchorsim.core.amount import Amount
from anchorsim.core.display import Drawn, Facts
from anchorsim.core.units import Quantity, quantity
from anchorsim.dynamics.run import Run, positions
from anchorsim.dynamics.simulation import simulate
from anchorsim.numerics.estimates import quantile
from anchorsim.numerics.interval import Interval
from anchorsim.risk.clearances import EVERY, outline
from anchorsim.risk.draws import Draw
from anchorsim.risk.monte_carlo import Cancel, Counted, Progress, fill, numbers_from, stopped
from anchorsim.risk.outcome import SELDOM
from anchorsim.scenario.scenario import Scenario

Floats = NDArray[np.float64]

SECTORS = 144
_PIECE = 0.4  # m of her outline between the points that are followed: no gaps from 10 m on


def envelope(run: Run) -> Floats:
    """The farthest that any part of her came, by bearing from where the anchor was set.

    (n, 2) metres north and east, closed.  Sectors that she never entered are drawn in to the anchor.
    """
    return _ring(_farthest(run))


def _farthest(run: Run) -> Floats:
    """By sector from south on clockwise, m; 0 where she never came."""
    north, east = positions(run.si, _followed(outline(run)), EVERY)
    sector = np.floor((np.arctan2(east, north) / (2 * np.pi) + 0.5) * SECTORS).astype(int) % SECTORS
    farthest = np.zeros(SECTORS)
    np.maximum.at(farthest, sector.ravel(), np.hypot(north, east).ravel())
    return farthest


def _ring(farthest: Floats) -> Floats:
    middle = ((np.arange(SECTORS) + 0.5) / SECTORS - 0.5) * 2 * np.pi
    ring = np.column_stack([farthest * np.cos(middle), farthest * np.sin(middle)])
    return np.vstack([ring, ring[:1]])


def _followed(corners: Floats) -> Floats:
    """Points round a polygon."""
    edges = np.roll(corners, -1, axis=0) - corners
    pieces = np.ceil(np.hypot(*edges.T) / _PIECE).astype(int)
    return np.concatenate(
        [
            start + edge * np.arange(n)[:, None] / n
            for start, edge, n in zip(corners, edges, pieces, strict=True)
        ]
    )


@dataclass(frozen=True, eq=False)
class SwingingRoomSI:
    """The water swept in SI floats: ``reach`` (m), (spells, sectors), see :class:`SwingingRoom`."""

    reach: Floats

    def ring(self, share: float = 1.0) -> Floats:
        """What she stays within in a ``share`` of spells: (sectors + 1, 2) m north and east, closed."""
        return _ring(np.quantile(self.reach, share, axis=0, method="inverted_cdf"))


@dataclass(frozen=True, eq=False, repr=False)
class SwingingRoom(Counted, Drawn):
    """The water that a scenario's boat sweeps in some spells.

    Attributes
    ----------
    scenario : Scenario
        What was simulated.
    asked : int
        How many spells were to be run; fewer were where it was cancelled.
    number : (spells,) int64 array
        Those that were run.
    reach : quantity
        Farthest that any part of her came from where the anchor was set, by sector from south clockwise: an
        array (spells, 144).
    complete : bool
        Whether all that were asked for were run.
    farthest : Interval
        What she stays within in 0.95 of spells, with its 95 % band.
    si : SwingingRoomSI
        The same as SI floats: m.

    Examples
    --------
    >>> room_needed(Scenario(), count=8)
    <SwingingRoom: farthest 49 m, run 8 of 8, scenario Unnamed scenario>
    """

    si: SwingingRoomSI

    reach = Amount("m")

    def _facts(self) -> Facts:
        farthest = f"{self.si.reach.max():.2g} m" if len(self) else "not known"
        return [("farthest", farthest), *super()._facts()]

    @property
    def farthest(self) -> Interval:
        """What she stays within in 0.95 of spells, from where the anchor was set, with its band."""
        return quantile(self.si.reach.max(axis=1), 1.0 - SELDOM, unit="m")

    def ring(self, share: float = 1.0) -> Quantity:
        """What she stays within in a ``share`` of spells, sector by sector; 1: all that was swept in any.

        An array (145, 2) north and east of where the anchor was set, closed.  Raises ArgumentError where the
        share is none.
        """
        arguments.within("share", share, "a share from 0 to 1", 0.0, 1.0)
        return quantity(self.si.ring(share), "m")


def room_needed(
    scenario: Scenario,
    count: int = 100,
    *,
    first: int = 0,
    executor: Executor | None = None,
    progress: Progress | None = None,
    cancel: Cancel | None = None,
) -> SwingingRoom:
    """Find the water that she sweeps; what lies in it is told by ``assess``.

    Parameters
    ----------
    scenario : Scenario
        Boat, gear, anchorage and weather, with its survey and surroundings.
    count : int
        How many spells.
    first : int
        Number of the first spell, 0 or more.  A spell has the same gusts, holding and windage wherever its
        number is run.
    executor : concurrent.futures.Executor, optional
        Any, in place of threads on this machine; the result is the same to the last bit.
    progress : callable, optional
        Called now and then with how many spells are done and how many there are.
    cancel : callable, optional
        Asked several times a second whether to stop.

    Returns
    -------
    SwingingRoom
        Of the spells that were run, which are fewer where it was cancelled.

    Raises
    ------
    ArgumentError
        Where an argument does not fit.
    WindRecordError
        Where the scenario's wind record does not fit.
    RuntimeError
        Where workers stop.

    Examples
    --------
    >>> room = room_needed(Scenario(), count=8)
    >>> room.ring().shape, f"{room.farthest.likely:.0f} m"
    ((145, 2), '49 m')
    """
    arguments.instance("scenario", scenario, Scenario, "load one with Scenario.load")
    numbers = numbers_from(first, count)
    table = np.full((1, count, SECTORS), np.nan)
    reason = fill(_reach, [scenario], numbers, table, executor=executor, progress=progress, cancel=cancel)
    done = ~np.isnan(table[0, :, 0])
    if reason is not None:
        raise RuntimeError(stopped(int(done.sum()), count, reason))
    reach = np.ascontiguousarray(table[0, done])
    reach.flags.writeable = False
    return SwingingRoom(scenario, count, numbers[done], SwingingRoomSI(reach))


def _reach(scenario: Scenario, chances: Sequence[Draw]) -> list[Floats]:
    return [_farthest(simulate(scenario, **chance._asdict())) for chance in chances]
