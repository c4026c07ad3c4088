"""Figures as the report's reader reads them: rounded, with their range and unit."""

from __future__ import annotations

import datetime
import math
from typing import NamedTuple

from anchorsim.core.units import System, quantity, show, unit_in
from anchorsim.strength.degradation import Share

NONE = "–"


def force(newtons: float, system: System) -> str:
    """A load: ``5.3 kN``."""
    return show(quantity(newtons, "N"), "kN", system, 2) if math.isfinite(newtons) else NONE


class Told(NamedTuple):
    """A likely figure with its unit, and its range, which is empty where there is none."""

    likely: str
    range: str

    def __str__(self) -> str:
        return f"{self.likely} ({self.range})" if self.range else self.likely


def _told(likely: str, low: str, high: str) -> Told:
    return Told(likely, "" if low == high else f"{low} to {high}")


def span(loads: Share, system: System) -> Told:
    """A load with its range: ``5.3 kN (4.1 to 6.2)``."""
    unit = unit_in("kN", system)
    likely, *ends = (force(load, system) for load in (loads.likely, loads.low, loads.high))
    low, high = (end.removesuffix(unit).strip() for end in ends)
    return _told(likely, low, high)


def percent(share: float) -> str:
    """A share in per cent, to two digits."""
    if math.isinf(share):
        return "nothing left"
    return f"{float(f'{100 * share:.2g}'):,.0f} %"


def percents(shares: Share) -> Told:
    """A share with its range: ``120 % (98 to 150)``."""
    if math.isinf(shares.likely):
        return Told("nothing left", "")
    likely, low, high = (percent(share) for share in (shares.likely, shares.low, shares.high))
    top = "no limit" if math.isinf(shares.high) else high.removesuffix(" %")
    return _told(likely, low.removesuffix(" %"), top)


def factor(value: float) -> str:
    """A safety factor: ``3.4``; a dash where there is no load, and so no factor."""
    if not math.isfinite(value):
        return NONE
    return f"{float(f'{value:.2g}'):g}"


def factors(values: Share) -> Told:
    """A safety factor with its range: ``3.4 (2.1 to 5)``."""
    return _told(*(factor(value) for value in (values.likely, values.low, values.high)))


def length(metres: float, system: System) -> str:
    """A length: ``26 m``."""
    return show(quantity(metres, "m"), "m", system, 2)


def mass(kilograms: float, system: System) -> str:
    """A mass: ``16 kg``; a dash where none will do."""
    return show(quantity(kilograms, "kg"), "kg", system, 2) if math.isfinite(kilograms) else NONE


def day(date: datetime.date | None) -> str:
    """A date that nobody reads the wrong way round: ``31 May 2024``."""
    return f"{date.day} {date:%B} {date.year}" if date else ""


def lower(text: str) -> str:
    """With a small first letter, to stand within a sentence."""
    return f"{text[:1].lower()}{text[1:]}"


def upper(text: str) -> str:
    """With a capital, to begin a line."""
    return f"{text[:1].upper()}{text[1:]}"


def listed(texts: list[str]) -> str:
    """Joined as in a sentence: ``a, b and c``."""
    return " and ".join(filter(None, [", ".join(texts[:-1]), *texts[-1:]]))


def counted(number: int, one: str, many: str) -> str:
    """A number with its noun: ``1 thing``, ``4 things``."""
    return f"{number} {one if number == 1 else many}"
