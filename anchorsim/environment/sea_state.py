"""Waves: how high wind raises them over a fetch and a depth, their spectrum, and how a hull follows them.

Plain SI floats and arrays throughout.  ``wave_motion`` puts these together for a boat at anchor.
"""

from __future__ import annotations

import functools
import itertools
import math
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from anchorsim.core.units import GRAVITY, SEA_WATER
from anchorsim.environment.turbulence import FADE, STEP, WINDOW

Floats = NDArray[np.float64]
Complex = NDArray[np.complex128]

PEAKEDNESS = 3.3  # γ of the mean JONSWAP spectrum (Hasselmann et al. 1973)
BREAKING = 0.6  # significant height over depth at the most: over a flat bottom waves break (judgement)
STEEPEST = 0.07  # significant height over length: half of Miche's 0.142 of a single wave (judgement)
_SAMPLES = round(WINDOW / STEP)
_STREAM = 0x77617665  # marks the streams of the waves among all that a seed feeds


def jonswap_growth(wind: float, fetch: float) -> tuple[float, float]:
    """Significant height (m) and peak period (s) in deep water: gHs/U² = 0.0016 √χ, gTp/U = 0.286 χ^⅓.

    ``wind`` is U at 10 m, m/s, ``fetch`` F in m, χ = gF/U² (Hasselmann et al. 1973, JONSWAP).  It knows no
    end of growth; it serves to compare with.
    """
    if wind <= 0.0 or fetch <= 0.0:
        return 0.0, 0.0
    chi = GRAVITY * fetch / wind**2
    return 0.0016 * math.sqrt(chi) * wind**2 / GRAVITY, 0.286 * chi ** (1 / 3) * wind / GRAVITY


def growth(wind: float, fetch: float, depth: float) -> tuple[float, float]:
    """Significant height (m) and peak period (s) that a steady wind raises over a fetch of one depth.

    Young & Verhagen (1996), Coastal Engineering 29, with δ = gD/U², χ = gF/U², ε = g²E/U⁴, ν = f_p U/g:
    ε = 3.64e-3 {tanh A₁ tanh[B₁/tanh A₁]}^1.74, A₁ = 0.493 δ^0.75, B₁ = 3.13e-3 χ^0.57;
    ν = 0.133 {tanh A₂ tanh[B₂/tanh A₂]}^−0.37, A₂ = 0.331 δ^1.01, B₂ = 5.215e-4 χ^0.73; Hs = 4 √E.

    ``wind`` is U at 10 m, m/s; ``fetch`` and ``depth`` in m.  No wind or no fetch: (0, 0).
    """
    if wind <= 0.0 or fetch <= 0.0 or depth <= 0.0:
        return 0.0, 0.0
    delta, chi = GRAVITY * depth / wind**2, GRAVITY * fetch / wind**2
    shallow, near = math.tanh(0.493 * delta**0.75), 3.13e-3 * chi**0.57
    energy: float = 3.64e-3 * (shallow * math.tanh(near / shallow)) ** 1.74
    shallow, near = math.tanh(0.331 * delta**1.01), 5.215e-4 * chi**0.73
    frequency: float = 0.133 * (shallow * math.tanh(near / shallow)) ** -0.37
    return 4.0 * math.sqrt(energy) * wind**2 / GRAVITY, wind / (GRAVITY * frequency)


def growth_time(height: float, wind: float) -> float:
    """Time (s) in which a wind (m/s) raises a sea of a height (m) out of a calm; infinite in no wind.

    t = 77.23 F^⅔/(U^⅓ g^⅓), how long waves take over a fetch F (Coastal Engineering Manual II-2-35, exponents
    as they stand there rounded to 0.67, 0.34 and 0.33), with the F that such a height stands for by JONSWAP.
    """
    if wind <= 0.0:
        return math.inf
    chi = (GRAVITY * height / (0.0016 * wind**2)) ** 2
    return float(77.23 * chi ** (2.0 / 3.0) * wind / GRAVITY)


def on_current(height: float, period: float, along: float) -> float:
    """Significant height (m) of waves that have run on to a current of ``along`` m/s their way, deep water.

    a/a₀ = c₀/√(c(c + 2U)), c = c₀(1 + √(1 + 4U/c₀))/2, c₀ = gT/2π (Longuet-Higgins & Stewart 1961, J. Fluid
    Mech. 10, 529-549, from memory): lower with it, steeper against it (``along`` < 0).  There they break, at
    a height of STEEPEST of their length (c + U)T, or what they had of it before where that is more; T is that
    of the peak.  A current of c₀/4 and more lets them on no farther than to where it stops them.
    """
    still = GRAVITY * period / (2.0 * math.pi)
    if height <= 0.0 or along == 0.0:
        return height
    along = max(along, -0.25 * still)
    speed = 0.5 * still * (1.0 + math.sqrt(1.0 + 4.0 * along / still))
    carried = speed * (speed + 2.0 * along)
    grown = height * still / math.sqrt(carried) if carried > 0.0 else math.inf
    return min(grown, max(STEEPEST, height / (still * period)) * (speed + along) * period)


def fetch_at(bearings: Sequence[float], fetches: Sequence[float], bearing: float) -> float:
    """Fetch (m) at a bearing (rad), by straight lines between those given, right round the compass."""
    turn = 2.0 * math.pi
    return float(np.interp(bearing % turn, np.mod(bearings, turn), fetches, period=turn))


def spectrum(frequency: ArrayLike, height: float, period: float) -> Floats:
    """JONSWAP spectrum (m² s) of the surface by frequency (Hz), with its mean peakedness.

    ∝ f⁻⁵ exp[−5/4 (f/f_p)⁻⁴] γ^exp[−(f/f_p − 1)²/2σ²], σ 0.07 below the peak and 0.09 above (Hasselmann et
    al. 1973), scaled so that its integral is Hs²/16.  ``period`` is that of the peak.
    """
    ratio = np.maximum(np.asarray(frequency, dtype=np.float64) * period, 1e-3)
    return np.asarray(height**2 / 16.0 * period * _shape(ratio) / _AREA)


def _shape(ratio: Floats) -> Floats:
    wide = np.where(ratio <= 1.0, 0.07, 0.09)
    peak = np.exp(-0.5 * ((ratio - 1.0) / wide) ** 2)
    return np.asarray(ratio**-5.0 * np.exp(-1.25 * ratio**-4.0) * PEAKEDNESS**peak)


def _area() -> float:
    """Integral of the shape over all frequencies, the tail beyond 20 peak frequencies in closed form."""
    ratio = np.linspace(0.2, 20.0, 40001)
    return float(np.trapezoid(_shape(ratio), ratio) + 0.25 * 20.0**-4.0)


_AREA = _area()


_STEPS = 8  # of Newton's: three do


def wavenumber(frequency: ArrayLike, depth: float) -> Floats:
    """k (rad/m) of waves of a frequency (Hz, over 0) in a depth (m): ω² = g k tanh kD, by Newton's steps.

    Raises RuntimeError where they do not converge.
    """
    omega = 2.0 * math.pi * np.asarray(frequency, dtype=np.float64)
    deep = omega**2 * depth / GRAVITY
    kd = deep / np.sqrt(np.tanh(np.maximum(deep, 1e-12)))  # Eckart (1952), a first guess within 5 %
    for _ in range(_STEPS):
        tanh = np.tanh(kd)
        derivative = tanh + kd * (1.0 - tanh**2)
        kd = kd - (kd * tanh - deep) / np.maximum(derivative, 1e-300)
    if not (np.abs(kd * np.tanh(kd) - deep) <= 1e-9 * deep).all():
        wrong = f"wavenumbers of waves in {depth:g} m were not found in {_STEPS} steps"
        raise RuntimeError(f"{wrong}; needed frequencies above 0 Hz and a depth above 0 m; give such")
    return np.asarray(kd / depth)


class Box(NamedTuple):
    """A hull as waves move it: a box of its length, mean breadth of its waterplane, and draught, m.

    apart: between the middles of two hulls, m (0 for one).
    """

    length: float
    breadth: float
    draught: float
    apart: float = 0.0


def response(frequency: ArrayLike, depth: float, box: Box, cosine: float) -> tuple[Floats, Floats, Floats]:
    """Heave (m), slope (rad) and way along the waves (m) of a hull at rest, for a metre of amplitude.

    ``cosine`` is that of the angle between her head and where the waves come from; her pitch is the slope
    times it, also in the limit of waves from abeam.  Jensen, Mansour & Olsen (2004), Ocean Engineering 31,
    61-85, at no speed, read in reprints, with x = ½ k |cos β| L, κ = e^(−kT), A = 2 sin(½kB) e^(−kT),
    f² = (1 − kT)² + (A²/kB)² and 1/η² = (1 − 2kT)² + (A²/kB)²: heave η κ f sin x/x, pitch
    η κ f k cos β · 3 (sin x − x cos x)/x³.  They have no mean over the breadth: waves from aside are averaged
    over it, and over two hulls, as over the length (judgement).  She goes along with the water's orbits at
    the surface, coth kD, so averaged, without inertia of her own.

    The surface amidships being cos ωt, heave goes with it, pitch and way a quarter of a period off: the
    phases of long waves, which the formulas do not give.
    """
    k = wavenumber(frequency, depth)
    sine = math.sqrt(max(1.0 - cosine * cosine, 0.0))
    x = np.maximum(0.5 * k * abs(cosine) * box.length, 1e-3)
    across = np.sinc(0.5 / math.pi * k * sine * box.breadth) * np.cos(0.5 * k * sine * box.apart)
    tilt = 3.0 * (np.sin(x) - x * np.cos(x)) / x**3
    deep = k * box.draught
    made = (2.0 * np.sin(0.5 * k * box.breadth) * np.exp(-deep)) ** 2 / (k * box.breadth)
    driven = np.exp(-deep) * np.hypot(1.0 - deep, made) / np.hypot(1.0 - 2.0 * deep, made)
    level = np.sin(x) / x * across
    return driven * level, driven * k * tilt * across, level / np.tanh(np.maximum(k * depth, 1e-9))


@functools.lru_cache(maxsize=256)
def reflected(height: float, period: float, depth: float, draught: float) -> float:
    """Push of a sea straight on a metre of her side, N: ρgHs²/16 times what of it a hull turns back.

    Short waves are turned back whole (Faltinsen 1990, from memory).  Of long ones it is the share of their
    energy that runs between the surface and her draught, 1 − e^(−2kT), over the spectrum: judgement, from the
    energy of deep water; swell runs beneath her and lifts her, and does not push.
    """
    held = spectrum(FREQUENCY, height, period)
    share = -np.expm1(-2.0 * draught * wavenumber(FREQUENCY, depth))
    return float(SEA_WATER * GRAVITY * np.sum(held * share) * (FREQUENCY[1] - FREQUENCY[0]))


FREQUENCY = np.arange(1, _SAMPLES // 2, dtype=np.float64) / WINDOW
"""Hz, of the waves that a window of ten minutes is made of: up to 2 Hz, far beyond what a boat feels."""


def realise(
    seed: int, amplitudes: Sequence[tuple[Complex, ...]], knots: Sequence[float], count: int
) -> Floats:
    """Time series every ``STEP`` s, (count, series), of one sea out of all that there can be.

    ``amplitudes`` holds for each knot of time (s) a complex transfer for each series, (len(FREQUENCY),),
    times the root of the spectrum (m²/Hz); between two knots one sea turns into the next, wave by wave.
    Gaussian Fourier coefficients in windows of ten minutes, as gusts are drawn; those of a seed are the same
    for any sea, boat or spot, and independent of the gusts.
    """
    windows = max(1, -(-(count - 1) // _SAMPLES))
    drawn = [_draws(seed, index) for index in range(windows)]
    time = STEP * np.arange(count)
    out = np.zeros((count, len(amplitudes[0])))
    for place, series in enumerate(amplitudes):
        weight = np.interp(time, knots, [float(place == other) for other in range(len(knots))])
        within = np.flatnonzero(weight)
        if not len(within):
            continue
        first, last = int(within[0]), int(within[-1]) + 1
        for column, amplitude in enumerate(series):
            out[first:last, column] += weight[first:last] * _strung(drawn, amplitude, first, last)
    return out


def _draws(seed: int, index: int) -> Complex:
    """Coefficients of unit variance for each frequency of a window."""
    stream = np.random.SeedSequence(seed, spawn_key=(_STREAM, index))
    drawn = np.random.Generator(np.random.PCG64(stream)).standard_normal(2 * len(FREQUENCY))
    return np.asarray(drawn.view(np.complex128))


def _strung(drawn: Sequence[Complex], amplitude: Complex, first: int, last: int) -> Floats:
    """Samples ``first`` to ``last`` of a series: windows on end, each handed over to the next in a minute."""
    fade = round(FADE / STEP)
    final = len(drawn) - 1
    windows = range(max(min(first // _SAMPLES, final) - 1, 0), min((last - 1) // _SAMPLES, final) + 1)
    values = {index: _window(drawn[index], amplitude) for index in windows}
    out = np.empty(last - first)
    for index in windows:
        start = index * _SAMPLES
        stop = last if index == final else start + _SAMPLES
        low, high = max(start, first), min(stop, last)
        if low < high:
            out[low - first : high - first] = values[index][(np.arange(low, high) - start) % _SAMPLES]
    for before, after in itertools.pairwise(windows):
        start = after * _SAMPLES
        places = np.arange(max(start, first), min(start + fade, last))
        turn = 0.5 * np.pi * (places - start) / fade
        handed = np.cos(turn) * values[before][places - start] + np.sin(turn) * values[after][places - start]
        out[places - first] = handed
    return out


def _window(drawn: Complex, amplitude: Complex) -> Floats:
    coefficients = np.zeros(_SAMPLES // 2 + 1, dtype=np.complex128)
    coefficients[1:-1] = (0.5 * _SAMPLES / math.sqrt(WINDOW)) * amplitude * drawn
    return np.asarray(np.fft.irfft(coefficients, _SAMPLES))
