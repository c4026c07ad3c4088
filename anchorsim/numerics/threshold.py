"""Where the chance of something passes a level, from spells that are the same at every value tried.

For each spell the value at which it changes its mind is found by halving.  What else is known of the spell
explains part of how these values scatter; that part is taken with its known law, the rest as it was found.
Plain floats; nothing here knows of boats.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import elementwise
from scipy.special import log_ndtr, ndtr, ndtri

from anchorsim.core.arguments import refused
from anchorsim.core.errors import sentence
from anchorsim.numerics.estimates import CONFIDENCE, FEWEST
from anchorsim.numerics.interval import Interval

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]
Happens = Callable[[float, Ints], Bools]

_CELLS = 64  # of the span, alike in logarithm: the finest step
_RESAMPLES = 200
_WIDER = 1.2
_FARTHEST = 700.0  # of a logarithm: more than any span, and less than a float's own
_ROUNDS, _SETTLED = 100, 1e-3  # at the most, and how far the last one may move a place, in spreads
_NODES, _WEIGHTS = np.polynomial.hermite_e.hermegauss(9)


def change_overs(happens: Happens, numbers: Ints, low: float, high: float, *, rising: bool) -> Floats:
    """The value at which each spell changes over, (spells,), 0 or infinite where it does so outside the span.

    ``happens(value, numbers)`` tells of each of some spells whether it happens at a value; ``rising``: it
    happens at high values, else at low ones.  Good to one part in 64 of the span's logarithm.
    """
    grid = np.geomspace(low, high, _CELLS + 1)
    below, above = np.full(len(numbers), -1), np.full(len(numbers), _CELLS + 1)
    while (open_ := above - below > 1).any():
        middle = np.clip((below + above) // 2, 0, _CELLS)
        for cell in np.unique(middle[open_]):
            here = np.flatnonzero((middle == cell) & open_)
            over = happens(float(grid[cell]), numbers[here]) == rising
            above[here[over]], below[here[~over]] = cell, cell
    edges = np.concatenate([[0.0], np.sqrt(grid[1:] * grid[:-1]), [math.inf]])
    return np.asarray(edges[above], dtype=np.float64)


@dataclass(frozen=True)
class Smooth:
    """The chance against the value, smoothed: the distribution of the spells' change-overs.

    ln value = b₀ + b₁ s₁ + b₂ s₂ + b₃ s₂² + e, where s₁ and s₂ are standard normal scores of what else was
    drawn for the spell and e, of no stated law, is what the gusts make.  The scores of the spells at hand
    scatter by chance; those of all spells are normal, and so they are taken.
    """

    rising: bool
    laws: Floats  # (1 + resamples, 4): first that of the spells themselves
    rests: Floats  # (1 + resamples, spells)
    converged: bool  # whether those outside the span have come to where they are to be expected

    def chance(self, value: float) -> Interval:
        """The chance at a value, with its band."""
        under = _under(np.full(len(self.laws), math.log(value)), self.laws, self.rests)
        score = ndtri(under)
        low, high = ndtr(_band(score, np.sqrt(1.0 + 0.5 * score * score)))
        ends = (low, high) if self.rising else (1.0 - high, 1.0 - low)
        likely = float(under[0] if self.rising else 1.0 - under[0])
        return Interval(float(ends[0]), likely, float(ends[1]), kind="95 % confidence")

    def crossing(self, share: float, low: float, high: float) -> Interval | None:
        """The value from ``low`` to ``high`` at which the chance passes ``share``, or None where it does not.

        An end of the band that lies outside is 0 or infinite.
        """
        places = _reaches(share if self.rising else 1.0 - share, self.laws, self.rests)
        ends = _band(places, _spreads(self.laws, self.rests))
        value, least, most = (math.exp(min(place, _FARTHEST)) for place in (places[0], *ends))
        if not low <= value <= high:
            return None
        least, most = least if least >= low else 0.0, most if most <= high else math.inf
        return Interval(least, value, most, kind="95 % confidence")


def _band(found: Floats, errors: Floats) -> tuple[float, float]:
    """The band about the first of some values from the others, which are its resamples.

    ``errors``: what the standard error of each goes with.  Spells that happen to lie close together make the
    tail look too near and its error too small, both at once; in units of its own error a resample lies as far
    from the spells as the spells from all spells (the bootstrap-t of Efron & Tibshirani, An Introduction to
    the Bootstrap, 12.5).  So it is still a fifth too narrow, as spells of a known law show (tested).
    """
    least, most = np.quantile((found[1:] - found[0]) / errors[1:], _EDGES)
    low, high = found[0] - _WIDER * errors[0] * np.array([most, least])
    return float(low), float(high)


def _spreads(laws: Floats, rests: Floats) -> Floats:
    """Standard deviation of ln value by each law: the error of where a share change over goes with it."""
    square = laws[:, 1] ** 2 + laws[:, 2] ** 2 + 2.0 * laws[:, 3] ** 2 + rests.var(axis=1)
    return np.asarray(np.sqrt(square))


_EDGES = ((1.0 - CONFIDENCE) / 2.0, (1.0 + CONFIDENCE) / 2.0)


def smooth(changes: Floats, scores: Floats, low: float, high: float, *, rising: bool) -> Smooth:
    """Smooth the change-overs of spells, (spells,), that have some scores, (spells, 2), by least squares.

    A change-over outside the span from ``low`` to ``high`` counts as lying where it is to be expected there
    (Buckley & James 1979, with a normal rest).  The band is that of resampling spells.  Raises ArgumentError
    where fewer than 30 lie inside.
    """
    inside = (changes >= low) & (changes <= high)
    if inside.sum() < FEWEST:
        wrong, action = "too few change over inside the span", "run more spells or widen the span"
        raise refused("spells", wrong, f"{FEWEST} or more", action, str(inside.sum()))
    one, two = scores.T
    features = np.column_stack([np.ones(len(one)), one, two, two * two])
    side = np.where(inside, 0.0, np.where(changes > high, 1.0, -1.0))
    place, count = np.log(np.clip(changes, low, high)), len(changes)
    drawn = np.random.default_rng(0).integers(count, size=(_RESAMPLES, count))
    rows = np.vstack([np.arange(count), drawn])
    laws, rests, converged = _least_squares(features[rows], place[rows], side[rows])
    return Smooth(rising, laws, rests * math.sqrt(count / (count - features.shape[1])), converged)


def _least_squares(features: Floats, place: Floats, side: Floats) -> tuple[Floats, Floats, bool]:
    """Laws, what they leave, a sample a row, and whether they converged.

    ``side`` tells which places are only known to be over (1) or under (−1).
    """
    expected, out, converged = place, side != 0.0, False
    across = features.transpose(0, 2, 1)
    normal = np.asarray(np.linalg.inv(across @ features) @ across, dtype=np.float64)
    for _ in range(_ROUNDS):
        mean = _times(features, _times(normal, expected))
        spread = np.sqrt(np.where(out, 0.0, (place - mean) ** 2).sum(1) / (~out).sum(1))[:, None]
        far = side * (place - mean) / spread
        hazard = np.exp(-0.5 * far * far - log_ndtr(-far)) / math.sqrt(2.0 * math.pi)
        before, expected = expected, np.where(out, mean + side * spread * hazard, place)
        if converged := bool((np.abs(expected - before) <= _SETTLED * spread).all()):
            break
    laws = _times(normal, expected)
    return laws, expected - _times(features, laws), converged


def _times(matrices: Floats, vectors: Floats) -> Floats:
    return np.asarray((matrices @ vectors[:, :, None])[:, :, 0])


def _under(place: Floats, laws: Floats, rests: Floats) -> Floats:
    """The share of spells that change over under each of some logarithms, by the law of the same row."""
    second = laws[:, 2:3] * _NODES + laws[:, 3:4] * _NODES**2
    width = np.maximum(np.abs(laws[:, 1]), 1e-12)[:, None, None]
    short = (((place - laws[:, 0])[:, None] - rests)[:, :, None] - second[:, None, :]) / width
    share = (ndtr(short) @ _WEIGHTS).mean(axis=1) / _WEIGHTS.sum()
    return np.asarray(np.clip(share, 1e-12, 1.0 - 1e-12))


def _reaches(share: float, laws: Floats, rests: Floats) -> Floats:
    """The logarithm under which a share of spells change over, by each law."""
    spread = 6.0 * np.abs(laws[:, 1:]).sum(axis=1)
    bracket = laws[:, 0] - spread + rests.min(axis=1), laws[:, 0] + spread + rests.max(axis=1)
    found = elementwise.find_root(
        lambda place, row: ndtri(_under(place, laws[row], rests[row])) - ndtri(share),
        bracket,
        args=(np.arange(len(laws)),),
        tolerances={"xatol": 1e-9, "xrtol": 0.0},
    )
    if not found.success.all():
        wrong = f"where {share:g} of the spells change over was not found"
        raise RuntimeError(sentence(wrong, "a value within their span", "ask for a share nearer to one half"))
    return np.asarray(found.x)
