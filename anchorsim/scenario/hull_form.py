"""What a hull's form makes of water that flows past her: resistance ahead and astern, and the waves' push.

Plain SI floats.  ``vessel`` hands the results to the kernel of her motion as a few coefficients.
"""

from __future__ import annotations

import functools
import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from anchorsim.core.tables import table

HUMP = 0.33  # Froude number from which wave resistance rises out of its fourth power (Delft's table shows it)
FASTEST = 0.47  # Froude number where that rise ends, near that of the hull that nothing at anchor passes
_VISCOSITY = 1.19e-6  # m²/s, sea water at 15 °C (ITTC 7.5-02-01-03)
_SPEED = 1.0  # m/s at which friction is taken: the coefficient is 10 % more at half of that, 10 % less at 2
_RUN = 0.7  # of the waterline, the mean length of flow along a yacht's hull: the Delft series' own
_THICKNESS = 0.12  # of the chord of keel and rudder (judgement)
_STERN = 0.1  # longitudinal form drag of a moored ship on breadth × draught, UFC 4-159-03 (2005) eq. 16
_BLADES = 1.0  # drag coefficient of a stopped propeller on its expanded blade area, the same, eq. 21
_PROPELLER = 0.04  # its diameter over the waterline (judgement: 0.42 m for 10.6 m)
_BLADE_SHARE = 0.45  # of its disc that expanded blades cover (judgement: 0.3 for two of them, 0.5 for three)
_BUOYANCY, _FLOTATION = 0.535, 0.555  # their centres' places, of the waterline: amid the series (judgement)
_PRISMATIC, WATERPLANE = 0.56, 0.68  # coefficients: amid the series (judgement)
_FITTED = 0.45  # up to which Froude number the two coefficients of a hull are fitted


class Resistance(NamedTuple):
    """Areas (m²) that half the density times the speed squared is to be multiplied by.

    ahead, astern: of friction, form and propeller.  With s the Froude number squared, waves add
    s (wave + hump · min(max(s − HUMP², 0), FASTEST² − HUMP²)).
    """

    ahead: float
    astern: float
    wave: float
    hump: float


@functools.lru_cache(maxsize=128)
def resistance(
    waterline: float, breadth: float, draught: float, volume: float, hulls: int, plates: float
) -> Resistance:
    """Resistance of a boat at rest in a stream or adrift, propeller stopped.

    Of one hull: length and breadth of the waterline, draught without keel (m), volume (m³); ``plates``: area
    of keels and rudders, m².  Friction after ITTC 1957 on the wetted surface of Denny & Mumford, that of the
    plates times Hoerner's 1 + 2 t/c + 60 (t/c)⁴, from memory; the form of the hull is in the residuary part,
    waves in the main, of the Delft series (Keuning & Katgert 2008).  Stern first, the bluff end leads: then
    the form drag that is published for moored ships comes on top, and waves are those ahead (judgement).
    """
    friction = 0.075 / (math.log10(_SPEED * _RUN * waterline / _VISCOSITY) - 2) ** 2
    wetted = hulls * (1.7 * waterline * draught + volume / draught)
    thick = 1 + 2 * _THICKNESS + 60 * _THICKNESS**4
    propeller = hulls * _BLADES * _BLADE_SHARE * math.pi / 4 * (_PROPELLER * waterline) ** 2
    ahead = friction * (wetted + 2 * thick * plates) + propeller
    slow, fast = _wave_law(waterline, breadth, draught, volume)
    per_area = 2 * hulls * volume / waterline
    return Resistance(ahead, ahead + hulls * _STERN * breadth * draught, per_area * slow, per_area * fast)


def residuary(waterline: float, breadth: float, draught: float, volume: float) -> list[tuple[float, float]]:
    """Froude numbers, and the residuary resistance over the weight of the Delft series at each.

    R/W = a₀ + [a₁ LCB/L + a₂ C_P + a₃ ∇^⅔/A_w + a₄ B/L + a₅ LCB/LCF + a₆ B/T + a₇ C_M] ∇^⅓/L (Keuning &
    Katgert 2008).  Proportions beyond those of the series count as its limit.
    """
    slim = min(max(waterline / volume ** (1 / 3), 4.34), 8.5)
    broad = min(max(breadth / waterline, 1 / 5.88), 1 / 2.73)
    flat = min(max(breadth / draught, 2.46), 19.38)
    midship = volume / (waterline * breadth * draught) / _PRISMATIC
    form = (_BUOYANCY, _PRISMATIC, 1 / (slim**2 * WATERPLANE * broad), broad,
            _BUOYANCY / _FLOTATION, flat, min(max(midship, 0.65), 0.79))  # fmt: skip
    found = []
    for row in table("residuary"):
        froude, constant, *factors = row.values()
        found.append((froude, constant + sum(a * part for a, part in zip(factors, form, strict=True)) / slim))
    return found


def _wave_law(waterline: float, breadth: float, draught: float, volume: float) -> tuple[float, float]:
    """Coefficients p, q of R/W = s²[p + q max(s − HUMP², 0)] through the Delft series by least squares."""
    near = [(froude**2, share) for froude, share in residuary(waterline, breadth, draught, volume)
            if froude <= _FITTED]  # fmt: skip
    squares, shares = np.array(near).T
    columns = np.column_stack([np.ones_like(squares), np.maximum(squares - HUMP**2, 0.0)])
    slow, fast = np.linalg.lstsq(columns, shares / squares**2, rcond=None)[0]
    return max(float(slow), 0.0), max(float(fast), 0.0)


class Push(NamedTuple):
    """The push of short waves on a waterline for each newton that a metre of wall would feel.

    With c and s the cosine and sine, off the bow to starboard, of where the waves go to: ahead c(a₀ + a₁s² +
    a₂s⁴), to starboard s(b₀ + b₁c² + b₂c⁴) metres, moment n c s square metres.
    """

    ahead: tuple[float, float, float]
    abeam: tuple[float, float, float]
    turn: float


def wave_push(waterline: float, breadth: float, hulls: int) -> Push:
    """Faltinsen's (1990) ∫ sin² θ n dl, from memory, over the side of a waterline that the waves come upon.

    Breadth falls off as 1 − ξ² towards pointed ends (judgement), which an ellipse, blunt, would not have; a
    hull in the lee of another feels nothing from abeam.  Three coefficients are within 1 % of the push abeam.
    """
    ahead, abeam, turn = _unit_push(breadth / waterline)
    half = 0.5 * waterline
    return Push(
        (hulls * half * ahead[0], hulls * half * ahead[1], hulls * half * ahead[2]),
        (half * abeam[0], half * abeam[1], half * abeam[2]),
        half**2 * turn,
    )


@functools.cache
def _nodes() -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Places and weights to integrate by from −1 to 1, which take longer to find than all that follows."""
    return np.polynomial.legendre.leggauss(200)


@functools.lru_cache(maxsize=128)
def _unit_push(slender: float) -> Push:
    """Of a half-length of 1 and so many times that half-breadth."""
    angles = np.radians(np.arange(1.5, 90.0, 3.0))
    cosine, sine = np.cos(angles)[:, None], np.sin(angles)[:, None]
    place, weight = _nodes()
    steep = 2.0 * slender * place  # outward normal × dl: (steep, ±1) dξ
    force = np.zeros((3, len(angles)))
    for side in (1.0, -1.0):
        meets = np.minimum(steep * cosine + side * sine, 0.0) ** 2 / (1.0 + steep**2) * weight
        lever = slender * (1.0 - place**2)
        force -= [
            (meets * steep).sum(1),
            (meets * side).sum(1),
            (meets * side * (place - lever * steep)).sum(1),
        ]
    c, s = cosine[:, 0], sine[:, 0]
    ahead = np.linalg.lstsq(np.column_stack([c, c * s**2, c * s**4]), force[0], rcond=None)[0]
    abeam = np.linalg.lstsq(np.column_stack([s, s * c**2, s * c**4]), force[1], rcond=None)[0]
    turn = float(force[2] @ (c * s) / ((c * s) @ (c * s)))
    a, b = (tuple(float(one) for one in found) for found in (ahead, abeam))
    return Push((a[0], a[1], a[2]), (b[0], b[1], b[2]), turn)
