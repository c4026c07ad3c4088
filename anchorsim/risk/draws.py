"""What chance gives a spell: the gusts, the anchor's holding, and factors on windage and the rode's drag.

All of it follows from the spell's number alone: spell 17 is spell 17 for whatever is varied.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtri

from anchorsim.risk import spreads

_HOLDING, _WINDAGE, _LINE_DRAG = 2, 3, 5  # bases of the Halton sequence
_NEIGHBOUR = 0x6E656172  # marks the random streams of neighbours; those of gusts are in turbulence


class Draw(NamedTuple):
    """What chance gives a spell; ``simulate(scenario, **draw(17)._asdict())`` runs spell 17 by itself.

    ``water`` and ``friction`` are not drawn: all spells have them as stated.
    """

    seed: int
    holding_quantile: float
    windage: float
    water: float = 1.0
    friction: float = 1.0
    line_drag: float = 1.0


def draw(number: int) -> Draw:
    """What chance gives spell ``number``, whatever the scenario.

    The gusts are those of the seed of the same number.  The quantile of the holding is uniform, the factors
    on windage and the rode's drag are lognormal about 1; the three are points of a Halton sequence (Halton
    1960, Numer. Math. 2, 84-90), so that the first eight spells are spread as evenly as the first thousand.
    """
    _, windage, line_drag = scores(number)
    return Draw(
        number,
        radical_inverse(number + 1, _HOLDING),
        windage=math.exp(spreads.WINDAGE * windage),
        line_drag=math.exp(spreads.LINE_DRAG * line_drag),
    )


def scores(number: int) -> tuple[float, float, float]:
    """Standard normal scores of a spell's holding, windage and rode drag."""
    holding, windage, line_drag = (
        float(ndtri(radical_inverse(number + 1, base))) for base in (_HOLDING, _WINDAGE, _LINE_DRAG)
    )
    return holding, windage, line_drag


def scores_of(numbers: NDArray[np.int64]) -> NDArray[np.float64]:
    """As :func:`scores`, of some spells: (n, 3)."""
    return np.array([scores(int(number)) for number in numbers]).reshape(-1, 3)


def neighbours_draw(number: int, place: int) -> Draw:
    """What chance gives the neighbour at a place of the list in a spell: the same gusts, all else her own."""
    stream = np.random.Generator(
        np.random.PCG64(np.random.SeedSequence(number, spawn_key=(_NEIGHBOUR, place)))
    )
    windage, line_drag = stream.standard_normal(2)
    return Draw(
        number,
        float(stream.uniform()),
        windage=math.exp(spreads.WINDAGE * windage),
        line_drag=math.exp(spreads.LINE_DRAG * line_drag),
    )


def radical_inverse(number: int, base: int) -> float:
    """The digits of ``number`` in a base, mirrored at the point.

    >>> [radical_inverse(number, 2) for number in (1, 2, 3, 4)]
    [0.5, 0.25, 0.75, 0.125]
    """
    value, place = 0.0, 1.0 / base
    while number:
        number, digit = divmod(number, base)
        value += digit * place
        place /= base
    return value
