"""Gusts as a random process: profile with height, spectrum, expected gust, and the drawn eddies.

Two publications share the work.  The *Frøya* law (NORSOK N-003, ISO 19901-1, DNV-RP-C205; measured over
the sea) says how mean and intensity change with height.  The *Kaimal* model of IEC 61400-1 ed. 3 says how
the variance is spread over frequency, because it gives the along- and the across-wind component from one
source and leaves the standard deviation free, which is then set by the gust a forecast states.  Frøya's own
spectrum covers only the along-wind component and holds an hour's slow variations, which a ten-minute mean
has already taken up.

The eddies keep the length they have at 10 m at every height, where IEC shortens them in proportion: those
that last for seconds are far longer than a boat is high, and only so does the gust keep to Frøya's law down
to the deck.

Plain SI floats and arrays throughout.
"""

from __future__ import annotations

import functools
import itertools

import numpy as np
from numpy.polynomial import Chebyshev
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]

REFERENCE_HEIGHT = 10.0  # m, the height of a forecast's wind
WINDOW = 600.0  # s, the ten minutes of which the mean and the gust are stated
GUST_TIME = 3.0  # s, the averaging time of a gust
STEP = 0.25  # s, fine enough for the 3-s gust; shorter eddies are smaller than a boat
FADE = 60.0  # s, over which one window's eddies hand over to the next
ACROSS = 0.8  # σ₂/σ₁, IEC 61400-1 ed. 3, Kaimal model
LENGTHS = (
    0.7 * 10.0 * 8.1,
    0.7 * 10.0 * 2.7,
)  # m, L₁ and L₂ at 10 m: Λ₁ = 0.7 z, 8.1 Λ₁ and 2.7 Λ₁, same source
_SAMPLES = round(WINDOW / STEP)
_SLOWEST = 3.0  # m/s; in less mean wind than this, eddies are taken to drift by at this speed
_STREAM = 0x77696E64  # marks the streams of the wind among all that a seed feeds


def hour_mean(ten_minute_mean: ArrayLike) -> Floats:
    """Frøya's one-hour mean at 10 m, m/s, that goes with a ten-minute mean at 10 m.

    The closed-form root of u(10, 600) = U₀[1 − 0.41·0.06(1 + 0.043 U₀) ln(600/3600)].
    """
    mean = np.asarray(ten_minute_mean, dtype=np.float64)
    k = 0.41 * 0.06 * np.log(6.0)
    linear, square = 1.0 + k, 0.043 * k
    return np.asarray(2.0 * mean / (linear + np.sqrt(linear**2 + 4.0 * square * mean)))


def froya_profile(hour: ArrayLike, height: float) -> Floats:
    """Frøya's one-hour mean at ``height`` over that at 10 m: 1 + C ln(z/10), C = 0.0573 √(1 + 0.15 U₀)."""
    return np.asarray(1.0 + 0.0573 * np.sqrt(1.0 + 0.15 * np.asarray(hour)) * np.log(height / 10.0))


def froya_intensity(hour: ArrayLike, height: float) -> Floats:
    """Frøya's turbulence intensity at ``height``: I(z) = 0.06 (1 + 0.043 U₀)(z/10)^−0.22."""
    return np.asarray(0.06 * (1.0 + 0.043 * np.asarray(hour)) * (height / 10.0) ** -0.22)


def froya_wind(hour: ArrayLike, height: float, averaging: float) -> Floats:
    """Frøya's greatest ``averaging``-second mean of an hour, U(z)[1 − 0.41 I(z) ln(T/3600)], m/s."""
    mean = np.asarray(hour) * froya_profile(hour, height)
    return np.asarray(mean * (1.0 - 0.41 * froya_intensity(hour, height) * np.log(averaging / 3600.0)))


def profile(mean: ArrayLike, height: float) -> tuple[Floats, Floats]:
    """What ``height`` m makes of a ten-minute ``mean`` (m/s at 10 m): ratios of mean and of deviation.

    The mean goes by Frøya's ten-minute wind u(z, 600).  The deviation goes by its I(z) U(z), which grows a
    little towards the water: gusts keep their strength where the mean has lost some.
    Frøya was measured at 10 m and more (from memory): below that the law is extended.
    """
    hour = hour_mean(mean)
    ten_minutes = 1.0 + 0.41 * np.log(6.0) * froya_intensity(hour, height)
    at_reference = 1.0 + 0.41 * np.log(6.0) * froya_intensity(hour, REFERENCE_HEIGHT)
    sheared = froya_profile(hour, height)
    return sheared * ten_minutes / at_reference, sheared * (height / REFERENCE_HEIGHT) ** -0.22


def kaimal(frequency: ArrayLike, speed: float, deviation: float, length: float) -> Floats:
    """One-sided Kaimal density in (m/s)²/Hz, whose integral over frequency is ``deviation`` squared.

    S = σ² (4L/V) / (1 + 6 f L/V)^(5/3), IEC 61400-1 ed. 3, annex B.
    """
    time = length / speed
    return np.asarray(deviation**2 * 4.0 * time / (1.0 + 6.0 * np.asarray(frequency) * time) ** (5.0 / 3.0))


@functools.lru_cache(maxsize=256)
def _shares(speed: float, component: int) -> Floats:
    """Share of the variance in the bin round each k/600 Hz, k = 1 … 1199.

    By the integral of the Kaimal density, 1 − (1 + 6fL/V)^(−2/3).  Left out is what is slower than
    1/1200 Hz, for it would move the ten-minute mean that was stated, and what is faster than 2 Hz.
    """
    edges = (np.arange(_SAMPLES // 2) + 0.5) / WINDOW
    time = LENGTHS[component] / max(speed, _SLOWEST)
    return -np.diff((1.0 + 6.0 * edges * time) ** (-2.0 / 3.0))


@functools.lru_cache(maxsize=256)
def _filtered(speed: float, component: int) -> tuple[float, float, float]:
    """Of a component of unit variance at 10 m: deviation of its 3-s average, deviation of that average's
    rate of change (1/s), and the variance that the averaging takes away."""
    frequency = np.arange(1, _SAMPLES // 2) / WINDOW
    count = round(GUST_TIME / STEP)
    average = np.sin(np.pi * frequency * GUST_TIME) / (count * np.sin(np.pi * frequency * STEP))
    rate = 2.0 * np.sin(np.pi * frequency * STEP) / STEP
    share = _shares(speed, component) * (1.0 if component == 0 else ACROSS**2)
    kept = share * average**2
    return float(np.sqrt(kept.sum())), float(np.sqrt((kept * rate**2).sum())), float((share - kept).sum())


def expected_gust(mean: float, deviation: float, speed: float) -> float:
    """The expected greatest 3-s average of the wind's speed in ten minutes at 10 m, m/s.

    The averaged wind is a Gaussian vector round the mean.  Its speed passes r upwards where the vector
    leaves the circle of radius r; Rice's formula gives the mean rate ν(r) of that (for a vector: Belyaev
    1968, from memory), and with independent passages P(gust < r) = exp(−600 ν(r)), as Davenport (1964)
    takes it for one component.  The average of the speed exceeds the speed of the average by the crosswise
    variance inside three seconds over 2r.

    ``speed`` (m/s) sets the eddies' time scale, ``deviation`` is σ₁ of the Kaimal density.
    """
    if deviation <= 0.0:
        return mean
    (along, along_rate, _), (across, across_rate, lost) = _filtered(speed, 0), _filtered(speed, 1)
    radius = np.linspace(mean, mean + 8.0 * along * deviation, 161)[:, np.newaxis]
    widest = min(np.pi, 8.0 * across * deviation / mean) if mean else np.pi
    angle = np.linspace(-widest, widest, 97)
    cos, sin = np.cos(angle), np.sin(angle)
    exponent = ((radius * cos - mean) / (along * deviation)) ** 2 + (radius * sin / (across * deviation)) ** 2
    outward = np.hypot(along_rate * cos, across_rate * sin)
    density = np.trapezoid(np.exp(-0.5 * exponent) * outward, angle, axis=1)
    rate = radius[:, 0] * density / ((2.0 * np.pi) ** 1.5 * along * across * deviation)
    # Inside the circle that is passed most often it is passed for sure.
    falling = np.maximum.accumulate(rate[::-1])[::-1]
    greatest = mean + float(np.trapezoid(1.0 - np.exp(-WINDOW * falling), radius[:, 0]))
    return greatest + lost * deviation**2 / (2.0 * greatest)


@functools.lru_cache(maxsize=64)
def _gust_table(speed: float) -> tuple[Floats, Floats, Floats]:
    """mean/gust, and against it mean/(mean + σ₁) and gust/(mean + σ₁), fine enough for straight lines."""
    gust = Chebyshev.interpolate(  # degree 16: good to a millionth
        lambda shares: np.array([expected_gust(share, 1.0 - share, speed) for share in shares]),
        16,
        [0.0, 1.0],
    )
    fine = np.linspace(0.0, 1.0, 2001)
    strength = np.asarray(gust(fine))
    strength[-1] = 1.0  # no turbulence: the gust is the mean, to the last bit
    return fine / strength, fine, strength


def deviation_for(mean: ArrayLike, gust: ArrayLike, speed: float) -> Floats:
    """σ₁ at 10 m, m/s, with which the expected 3-s gust in ten minutes is ``gust`` (both m/s, gust ≥ mean).

    ``speed`` (m/s) sets the eddies' time scale.  Nothing but gusts (no mean) is allowed.
    """
    mean, gust = np.asarray(mean, dtype=np.float64), np.asarray(gust, dtype=np.float64)
    ratio, share, strength = _gust_table(speed)
    here = np.divide(mean, gust, out=np.ones_like(gust), where=gust > 0.0)
    return np.asarray((1.0 - np.interp(here, ratio, share)) * gust / np.interp(here, ratio, strength))


def eddies(seed: int, count: int, speed: float) -> tuple[Floats, Floats]:
    """Along- and across-wind turbulence for σ₁ = 1 on ``count`` samples ``STEP`` apart.

    Gaussian Fourier coefficients at k/600 Hz (random phase *and* size: with fixed sizes every ten minutes
    would hold the same variance; Tucker, Challenor & Carter 1984, from memory), so each ten minutes is a
    periodic window of exactly no mean.  Longer spells string windows together, each drawn from streams of
    its own and handed over within a minute at constant variance.  Hence a longer spell starts with the very
    samples of the shorter one.

    ``speed``, the mean at 10 m in m/s, shapes the spectrum and leaves the draws alone.
    """
    windows = max(1, -(-(count - 1) // _SAMPLES))
    along, across = (
        _strung([_window(seed, component, index, speed) for index in range(windows)], count)
        for component in (0, 1)
    )
    return along, across


def _window(seed: int, component: int, index: int, speed: float) -> Floats:
    stream = np.random.SeedSequence(seed, spawn_key=(_STREAM, component, index))
    drawn = np.random.Generator(np.random.PCG64(stream)).standard_normal(_SAMPLES - 2)
    amplitude = np.sqrt(_shares(speed, component)) * (1.0 if component == 0 else ACROSS)
    coefficients = np.zeros(_SAMPLES // 2 + 1, dtype=np.complex128)
    coefficients[1:-1] = (0.5 * _SAMPLES) * amplitude * drawn.view(np.complex128)
    return np.fft.irfft(coefficients, _SAMPLES)


def _strung(windows: list[Floats], count: int) -> Floats:
    series = np.resize(np.concatenate(windows), max(count, len(windows) * _SAMPLES + 1))
    length = round(FADE / STEP)
    turn = 0.5 * np.pi * np.arange(length) / length
    for index, (before, after) in enumerate(itertools.pairwise(windows), start=1):
        start = index * _SAMPLES
        series[start : start + length] = np.cos(turn) * before[:length] + np.sin(turn) * after[:length]
    series[-1] = windows[-1][0]
    return series[:count]
