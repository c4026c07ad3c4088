"""The parts in line under the loads of many spells."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from anchorsim.numerics.interval import Interval
from anchorsim.strength.capacity import PartState

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class PartLoad:
    """A part in line under the spells' loads.

    ``state`` as found, under the range of its load.  ``use``: load over WLL that one spell in twenty passes,
    with its 95 % band; ``overloaded`` the chance that it passes its WLL, ``may_break`` that it passes the
    least strength that it may have left, both per spell.
    """

    state: PartState
    use: Interval
    overloaded: Interval
    may_break: Interval

    @property
    def key(self) -> str:
        """Its name in ``data/parts.csv``."""
        return self.state.key

    @property
    def name(self) -> str:
        """What it is called."""
        return self.state.name


def over(loads: Floats, capacity: Floats) -> Floats:
    """Load over capacity; 0 where there is no load, infinite where nothing is left."""
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.where(loads > 0.0, loads / capacity, 0.0)
