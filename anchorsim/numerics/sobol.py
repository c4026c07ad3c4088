"""Sobol's indices: how far each input of a function accounts for the scatter of what comes out.

Sobol (2001), Math. Comput. Simul. 55, 271-280, by the estimators of Saltelli et al. (2010), Comput. Phys.
Commun. 181, 259-270, as scipy.stats has them, on a scrambled Sobol sequence.  Plain floats; nothing here
knows of boats.
"""

from __future__ import annotations

import functools
from collections.abc import Callable

import numpy as np
import scipy  # whose parts are imported as they are needed: the statistics alone take a second
from numpy.typing import NDArray

from anchorsim.core.arguments import refused
from anchorsim.core.units import quoted
from anchorsim.numerics.estimates import CONFIDENCE
from anchorsim.numerics.interval import Interval

Floats = NDArray[np.float64]

EDGE = 1e-6  # points keep as far from 0 and 1, where quantiles are infinite
_FEWEST = 16
_RESAMPLES = 500


def indices(
    outcomes: Callable[[Floats], Floats], inputs: int, count: int, *, seed: int = 0
) -> tuple[Floats, list[tuple[list[Interval], list[Interval]]]]:
    """Sobol's first-order and total indices of a function of inputs uniform from 0 to 1.

    ``outcomes`` gives for points (m, inputs) some values (values, m).  Given back are the values at the first
    2 × ``count`` points, which are independent draws, and for each value the first-order and the total
    indices, none where it does not vary; their bands are of resampled base samples.  Raises ArgumentError
    where ``count`` is no power of two from 16.
    """
    if isinstance(count, bool) or not isinstance(count, int) or count < _FEWEST or count & (count - 1):
        wrong = f"{quoted(count)} is out of range"
        raise refused("count", wrong, f"a power of two, {_FEWEST} or more", "change it to 128")
    points = scipy.stats.qmc.Sobol(2 * inputs, rng=seed).random_base2(count.bit_length() - 1)
    points = np.clip(points, EDGE, 1.0 - EDGE)
    one, two = points[:, :inputs], points[:, inputs:]
    mixed = np.repeat(one[None], inputs, axis=0)
    for place in range(inputs):
        mixed[place, :, place] = two[:, place]
    found = np.asarray(outcomes(np.concatenate([one, two, mixed.reshape(-1, inputs)])), dtype=np.float64)
    base = found[:, : 2 * count]
    return base, [_of_value(each, inputs, count) for each in found]


def _of_value(found: Floats, inputs: int, count: int) -> tuple[list[Interval], list[Interval]]:
    if np.ptp(found[: 2 * count]) <= 1e-12 * np.abs(found).max():
        return [], []
    function = {
        "f_A": found[None, :count],
        "f_B": found[None, count : 2 * count],
        "f_AB": found[2 * count :].reshape(inputs, 1, count),
    }
    values = _both(function, np.arange(count))
    band = scipy.stats.bootstrap(
        [np.arange(count)],
        functools.partial(_both, function),
        n_resamples=_RESAMPLES,
        confidence_level=CONFIDENCE,
        method="percentile",
        vectorized=False,
        rng=0,
    ).confidence_interval
    first, total = (
        [Interval(*map(float, ends), kind="95 % confidence") for ends in zip(*kind, strict=True)]
        for kind in zip(band.low, values, band.high, strict=True)
    )
    return first, total


def _both(function: dict[str, Floats], rows: NDArray[np.intp]) -> Floats:
    """First-order and total indices, (2, inputs), of some base samples, which need not be different ones.

    (``SobolResult.bootstrap`` takes no seed, and has no band for an input that has no part at all.)
    """
    some = {name: np.ascontiguousarray(values[..., rows]) for name, values in function.items()}
    found = scipy.stats.sobol_indices(func=some, n=len(rows))
    return np.array([np.ravel(found.first_order), np.ravel(found.total_order)])
