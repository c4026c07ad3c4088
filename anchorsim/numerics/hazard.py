"""The chance that something happens over a stretch of many spells, told from single spells.

What is drawn once and stays (the scores) and what is new in every spell (the noise) both decide.  Were the
scores nothing, a chance p in one spell would be 1 − (1 − p)ᵏ in k; were they all, it would stay p.  How much
they are is told by the margins: log demand over capacity = a + b·scores + s·noise, the scores standard
normal, the noise by the law F.  With ρ = |b| / s and u standard normal, the chance of one spell is the mean
over u of 1 − F(level − ρ u), and that of k spells the mean of 1 − F(level − ρ u)ᵏ.

Where it happened in some spells and not in others, the level is such that one spell has the chance that was
counted, and only ρ is taken from the margins.  Where it never happened both are: there the margins tell more
than the count, even of one spell.

The noise is the greatest of three normal values.  The greatest of many would follow Gumbel's law, and one the
normal law.  The greatest loads of ten minutes and of six hours lie between (judgement, from the runs of
``validation.long_stretch``).

Plain floats; nothing here knows of boats.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import scipy  # whose parts are imported as they are needed: the statistics alone take a second
from numpy.typing import ArrayLike, NDArray
from scipy.optimize import elementwise

from anchorsim.core.arguments import refused
from anchorsim.numerics.estimates import WIDE
from anchorsim.numerics.interval import Interval

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

FARTHEST = 7.0  # of a margin's size: of one beyond, a thousandth or a thousandfold, only that is taken
# What is held of a fit before anything is seen, so that eight spells tell no more than they can (judgement).
SLOPE = 1.0  # standard deviation of each slope b / s about nought
LEVEL = 10.0  # the same of the level
SHARPNESS = (2.0, 0.1)  # shape and rate of the gamma law of 1 / s: a noise of some 3 to 50 %
BEYOND = 0.5  # rate of the exponential law of how far over nought the threshold lies, over s
_OF = 3.0  # the noise is the greatest of so many normal values: see the module
_NODES = np.linspace(-8.0, 8.0, 321)  # of the scores' sum u
_WEIGHTS = np.exp(-0.5 * _NODES**2) / np.exp(-0.5 * _NODES**2).sum()
_STEEPEST = 20.0  # of ρ: the nodes lie no closer
_DRAWS, _TAILS = 1000, 5.0  # of the fits that the margins leave likely, and degrees of freedom of their law
_STEP = 1e-4  # to differentiate by
_NEAR = 0.1  # standard deviations of the likeliest fit, which the draws about it make good (judgement)
_ANGLES = np.linspace(0.0, 0.5 * math.pi, 33)
_FAR = 200.0  # of levels: there it is certain, or never


def over_stretch(
    happened: ArrayLike, margin: ArrayLike, scores: ArrayLike, spells: float, *, capped: bool = True
) -> Interval:
    """The chance that it happens in one or more of ``spells`` spells through which the scores stay.

    ``happened``: (n,) booleans; ``margin``: (n,) logarithms of demand over capacity, −inf for no demand;
    ``scores``: (n, m) standard normal.  ``capped``: no demand is seen to pass its capacity, so that of a
    margin of 0 or more only that is known, and it may take more than that for it to happen.  Otherwise it
    happens where the margin is 0 or more.

    The chance is no less, at either end too, for more spells.  For one it is that counted with Wilson's band,
    or within that band where it never happened.  The ends are where the chance of one spell and ρ lie
    together as far off as 95 % confidence lets them, each as it moves the end outwards.

    Raises ValueError where there are no spells, arrays are of unlike length, a margin or score is NaN, or
    ``spells`` is less than 1, RuntimeError where no fit to the margins, or no level for a chance, is found.
    """
    sample = _sample(happened, margin, scores, spells, capped)
    fits = _fits(sample)
    slopes = np.minimum(np.linalg.norm(fits.slopes, axis=1), _STEEPEST)
    count, times = len(sample.happened), int(sample.happened.sum())

    def at(chance: Floats, slope: Floats) -> Floats:
        """Over the stretch, that many times WIDE off the likely chance of one spell and the likely ρ."""
        return compound(_wilson(times / count, count, chance), _quantile(slopes, fits.weight, slope), spells)

    across, along = np.cos(_ANGLES), np.sin(_ANGLES)
    least, most, middle = np.split(
        at(np.concatenate([-across, across, [0.0]]), np.concatenate([along, -along, [0.0]])),
        [len(_ANGLES), 2 * len(_ANGLES)],
    )
    low, likely, high = float(least.min()), float(middle[0]), float(most.max())
    if not times:
        each = _happens(fits.level, slopes, spells)
        ends = np.minimum(_quantile(each, fits.weight, np.array([-1.0, 0.0, 1.0])), high)
        low, likely, high = (float(end) for end in ends)
    return Interval(min(low, likely), likely, max(high, likely), kind="95 % confidence")


# --- a chance over many spells ---------------------------------------------------------------------------


def _happens(level: Floats, slope: Floats, spells: float) -> Floats:
    """Chance over ``spells`` spells by level and ρ, (m,) each: the mean over u."""
    log_under = _log_under(level[:, None] - slope[:, None] * _NODES)
    return np.asarray(np.minimum(-np.expm1(spells * log_under) @ _WEIGHTS, 1.0))


def compound(share: Floats, slope: Floats, spells: float) -> Floats:
    """Chance over ``spells`` spells by that of one and by ρ from 0 to 20, (m,) each.

    It lies between 1 − (1 − share)ᵏ for ρ = 0 and the share itself for a large ρ.
    """
    if spells == 1.0:
        return share
    # Were the noise one normal value, so would be the sum, of variance 1 + ρ².  Of the greatest of _OF values
    # the chance is no less, and no more than _OF times as much: between these two the level lies.
    wide, inside = np.hypot(1.0, slope), np.clip(share, 1e-300, 1.0 - 1e-15)
    low, high = (-wide * scipy.special.ndtri(inside / most) for most in (1.0, _OF))
    low = np.where(_happens(low, slope, 1.0) >= share, low, -_FAR)
    high = np.where(_happens(high, slope, 1.0) <= share, high, _FAR)
    root = elementwise.find_root(
        lambda level, share, slope: share - _happens(level, slope, 1.0),
        (low, high),
        args=(share, slope),
        tolerances={"xatol": 1e-12, "xrtol": 0.0},
    )
    if not (root.success | (share <= 0.0) | (share >= 1.0)).all():
        raise RuntimeError("no level was found for a chance: the search did not converge")
    found = _happens(root.x, slope, spells)
    return np.asarray(np.where(share <= 0.0, 0.0, np.where(share >= 1.0, 1.0, np.maximum(found, share))))


def _wilson(share: float, count: int, deviations: Floats) -> Floats:
    """Ends of Wilson's (1927) band for a share of ``count`` that lie ``deviations`` · WIDE off, (m,)."""
    z = WIDE * deviations
    half = np.sqrt(share * (1.0 - share) / count + (0.5 * z / count) ** 2)
    return np.asarray(np.clip((share + 0.5 * z**2 / count + z * half) / (1.0 + z**2 / count), 0.0, 1.0))


def _quantile(values: Floats, weight: Floats, deviations: Floats) -> Floats:
    """Quantiles of weighted values, so many times WIDE standard deviations of a normal law off the middle."""
    order = np.argsort(values, kind="stable")
    part = np.cumsum(weight[order]) - 0.5 * weight[order]
    return np.asarray(np.interp(scipy.special.ndtr(WIDE * deviations), part, values[order]))


# --- what the margins tell -------------------------------------------------------------------------------


@dataclass(frozen=True, eq=False)
class _Sample:
    """Spells by what is known of their margins: all (``exact``), that they lie ``under`` −FARTHEST or
    ``over`` FARTHEST, between 0 and where it happens (``nearly``), or ``beyond`` that."""

    happened: Bools
    margin: Floats
    scores: Floats
    exact: Bools
    under: Bools
    over: Bools
    nearly: Bools
    beyond: Bools


@dataclass(frozen=True, eq=False)
class _Fits:
    """Fits that the margins leave likely, (m,) each with its ``weight``: level, (m, scores) slopes b / s."""

    level: Floats
    slopes: Floats
    weight: Floats


def _sample(
    happened: ArrayLike, margin: ArrayLike, scores: ArrayLike, spells: float, capped: bool
) -> _Sample:
    outcomes, margins = np.asarray(happened, dtype=bool), np.asarray(margin, dtype=np.float64)
    drawn = np.asarray(scores, dtype=np.float64)
    if not len(outcomes) or margins.shape != outcomes.shape or drawn.shape[:1] != outcomes.shape:
        wrong = f"{outcomes.shape} outcomes, {margins.shape} margins and {drawn.shape} scores do not match"
        fits = "shapes (n,), (n,) and (n, m), n from 1"
        raise refused("spells", wrong, fits, "give one of each for each spell")
    if np.isnan(margins).any() or not np.isfinite(drawn).all():
        raise refused("margin, scores", "some are not numbers", "numbers", "leave those spells out")
    if not spells >= 1.0:
        wrong = f"{spells!r} is out of range"
        raise refused("spells", wrong, "1 or more", "give how many the stretch is")
    none = np.zeros(len(outcomes), dtype=bool)
    nearly = margins >= 0.0 if capped else none
    beyond = outcomes if capped else none
    nearly = nearly & ~beyond
    rest = ~(nearly | beyond)
    under, over = rest & (margins <= -FARTHEST), rest & (margins >= FARTHEST)
    return _Sample(outcomes, margins, drawn, rest & ~under & ~over, under, over, nearly, beyond)


def _fits(sample: _Sample) -> _Fits:
    """Draws from what is likely of the fits, by importance from a law of long tails about the likeliest.

    A fit is (level, slopes, log 1 / s, log τ): τ is how far over 0 the threshold lies, over s, left out where
    no spell lies between.  The level is that of v for the middle of the margins, which ties it less to s.
    """
    middle = float(np.median(sample.margin[sample.exact])) if sample.exact.any() else 0.0
    drawn = sample.scores.shape[1]

    def likely(fits: Floats) -> Floats:
        return _log_posterior(fits, sample, middle)

    start = np.zeros(2 + drawn + bool(sample.nearly.any()))
    start[1 + drawn] = math.log(5.0)
    best, root = _summit(likely, start)
    rng = np.random.default_rng(0)
    normal = rng.standard_normal((_DRAWS, len(start)))
    stretch = np.sqrt(rng.chisquare(_TAILS, _DRAWS) / _TAILS)
    off = normal / stretch[:, None]
    fits = best + off @ root.T
    proposed = -0.5 * (_TAILS + len(start)) * np.log1p((off**2).sum(axis=1) / _TAILS)
    weight = likely(fits) - proposed
    weight = np.exp(weight - weight.max())
    sharp, beyond = _apart(fits, drawn)
    return _Fits(fits[:, 0] + beyond - sharp * middle, fits[:, 1 : 1 + drawn], weight / weight.sum())


def _apart(fits: Floats, drawn: int) -> tuple[Floats, Floats]:
    """1 / s and τ of fits."""
    sharp = np.exp(np.clip(fits[:, 1 + drawn], -20.0, 20.0))
    beyond = np.exp(np.clip(fits[:, 2 + drawn], -20.0, 20.0)) if fits.shape[1] > 2 + drawn else 0.0 * sharp
    return sharp, beyond


def _log_posterior(fits: Floats, sample: _Sample, middle: float) -> Floats:
    """Logarithm of how likely fits are, (m,), but for a constant."""
    drawn = sample.scores.shape[1]
    sharp, beyond = _apart(fits, drawn)
    base = fits[:, :1] - fits[:, 1 : 1 + drawn] @ sample.scores.T

    def at(which: Bools, margin: Floats | float) -> Floats:
        return np.asarray(base[:, which] + sharp[:, None] * (margin - middle))

    total = _log_density(at(sample.exact, sample.margin[sample.exact])).sum(axis=1)
    total += int(sample.exact.sum()) * np.log(sharp)
    total += _log_under(at(sample.under, -FARTHEST)).sum(axis=1)
    total += _log_over(at(sample.over, FARTHEST)).sum(axis=1)
    total += _log_over(at(sample.beyond, 0.0) + beyond[:, None]).sum(axis=1)
    if sample.nearly.any():
        start = at(sample.nearly, 0.0)
        from_start, from_end = _log_over(start), _log_over(start + beyond[:, None])
        total += (from_start + np.log(-np.expm1(np.minimum(from_end - from_start, -1e-12)))).sum(axis=1)
        total += np.log(beyond) - BEYOND * beyond
    shape, rate = SHARPNESS
    total += shape * np.log(sharp) - rate * sharp - 0.5 * (fits[:, 0] / LEVEL) ** 2
    return np.asarray(total - 0.5 * ((fits[:, 1 : 1 + drawn] / SLOPE) ** 2).sum(axis=1))


def _summit(of: Callable[[Floats], Floats], start: Floats) -> tuple[Floats, Floats]:
    """Where a function of rows is greatest, and a root of the covariance that its curvature stands for.

    Raises RuntimeError where the search ends more than ``_NEAR`` of its standard deviations off.
    """
    steps = _STEP * np.eye(len(start))

    def gradient(at: Floats) -> Floats:
        return np.asarray((of(at + steps) - of(at - steps)) / (2.0 * _STEP))

    found = scipy.optimize.minimize(
        lambda at: -float(of(at[None])[0]), start, jac=lambda at: -gradient(at), method="BFGS"
    )
    best = np.asarray(found.x)
    curvature = np.array([(gradient(best - step) - gradient(best + step)) / (2.0 * _STEP) for step in steps])
    values, ways = np.linalg.eigh(0.5 * (curvature + curvature.T))
    root = ways / np.sqrt(np.maximum(values, 1e-2))
    off = float(np.abs(gradient(best) @ root).max())
    if not off <= _NEAR:
        raise RuntimeError(
            f"the fit to the spells' margins ended {off:.2g} of its spread off the likeliest; needed"
            f" {_NEAR:g} or less; run more spells"
        )
    return best, root


# --- the law of the noise --------------------------------------------------------------------------------


def _log_density(v: Floats) -> Floats:
    """But for a constant."""
    return np.asarray((_OF - 1.0) * scipy.special.log_ndtr(v) - 0.5 * v * v)


def _log_under(v: Floats) -> Floats:
    return np.asarray(_OF * scipy.special.log_ndtr(v))


def _log_over(v: Floats) -> Floats:
    with np.errstate(divide="ignore"):  # where there is nothing left of it in floats, and it is not taken
        near = np.log(-np.expm1(_log_under(v)))
    return np.asarray(np.where(v > 6.0, math.log(_OF) + scipy.special.log_ndtr(-v), near))
