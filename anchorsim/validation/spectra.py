"""Simulated wind and waves as spectra, beside those that they are drawn from."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.signal import periodogram

from anchorsim.core.units import quantity, si
from anchorsim.environment import sea_state, turbulence
from anchorsim.environment.turbulence import ACROSS, LENGTHS, REFERENCE_HEIGHT, STEP, WINDOW
from anchorsim.scenario.weather import Weather, realise

Floats = NDArray[np.float64]

SPELLS = range(1, 101)
_GUST_SAMPLES = round(turbulence.GUST_TIME / STEP)
_BANDS_A_DECADE = 10  # of wind
_BAND = 0.02  # Hz, of waves: ten frequencies of a window and more


@dataclass(frozen=True)
class Spectrum:
    """Densities by frequency (Hz), each the mean over a band of many spells: ``ours`` and ``target``.

    ``deviation``: standard deviation of all that was simulated and of the target within the same
    frequencies; ``unit`` is that of the deviation.
    """

    name: str
    unit: str
    law: str
    frequency: Floats
    ours: Floats
    target: Floats
    deviation: tuple[float, float]

    @property
    def off(self) -> float:
        """How far a band is from its target, as a share of it: half of the bands are nearer."""
        return float(np.median(np.abs(self.ours / self.target - 1.0)))


def wind_spectra(weather: Weather, seeds: Sequence[int] = SPELLS) -> tuple[list[Spectrum], float]:
    """Along and across a steady mean wind at 10 m, and the mean of the spells' greatest 3-s gusts (m/s).

    Targets: the Kaimal densities of IEC 61400-1 ed. 3 with the deviation that the stated gust asks for.
    """
    steady = weather.model_copy(
        update={"duration": quantity(WINDOW, "s"), "direction": quantity(0.0, "degree")}
    )
    winds = [realise(steady, seed=seed, height=REFERENCE_HEIGHT) for seed in seeds]
    mean = si(steady.mean_wind)
    deviation = float(turbulence.deviation_for(mean, si(steady.effective_gust), mean))
    found = []
    for name, blown, share, length in (
        ("Wind, along", [-wind.north for wind in winds], 1.0, LENGTHS[0]),
        ("Wind, across", [wind.east for wind in winds], ACROSS, LENGTHS[1]),
    ):
        frequency, ours = _periodogram(blown)
        target = turbulence.kaimal(frequency, mean, share * deviation, length)
        edges = np.geomspace(frequency[0], frequency[-1], _BANDS_A_DECADE * 3 + 1)
        found.append(_banded(name, "m/s", "Kaimal", frequency, ours, target, edges))
    window = np.full(_GUST_SAMPLES, 1.0 / _GUST_SAMPLES)
    gusts = [float(np.convolve(wind.speed, window, "valid").max()) for wind in winds]
    return found, float(np.mean(gusts))


def wave_spectrum(height: float, period: float, seeds: Sequence[int] = SPELLS) -> Spectrum:
    """The surface of a sea of a significant height (m) and peak period (s), beside JONSWAP's."""
    root = np.sqrt(sea_state.spectrum(sea_state.FREQUENCY, height, period)).astype(np.complex128)
    count = round(WINDOW / STEP)
    surface = [sea_state.realise(seed, [(root,)], [0.0], count)[:, 0] for seed in seeds]
    frequency, ours = _periodogram(surface)
    target = sea_state.spectrum(frequency, height, period)
    edges = np.arange(0.5 / period, 4.0 / period, _BAND)
    return _banded("Waves", "m", "JONSWAP", frequency, ours, target, edges)


def _periodogram(series: Sequence[Floats]) -> tuple[Floats, Floats]:
    """Mean one-sided density of windows of ten minutes, by SciPy, without the mean and the last frequency."""
    count = round(WINDOW / STEP)
    found = [periodogram(one[:count], fs=1.0 / STEP, detrend="constant") for one in series]
    return found[0][0][1:-1], np.mean([density for _, density in found], axis=0)[1:-1]


def _banded(
    name: str, unit: str, law: str, frequency: Floats, ours: Floats, target: Floats, edges: Floats
) -> Spectrum:
    width = 1.0 / WINDOW
    deviation = (float(np.sqrt(ours.sum() * width)), float(np.sqrt(target.sum() * width)))
    place = np.digitize(frequency, edges)
    bands = [place == k for k in range(1, len(edges)) if np.any(place == k)]
    at, found, aimed = (
        np.array([values[band].mean() for band in bands]) for values in (frequency, ours, target)
    )
    return Spectrum(name, unit, law, at, found, aimed, deviation)
