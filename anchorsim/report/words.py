"""Figures as the report's reader reads them: rounded, with their range and unit."""

from __future__ import annotations

import datetime
import math

from anchorsim.condition import Share
from anchorsim.units import System, quantity, show, unit_in
from anchorsim.verdict import Range

NONE = "–"


def force(newtons: float, system: System) -> str:
    """A load: ``5.3 kN``."""
    return show(quantity(newtons, "N"), "kN", system, 2) if math.isfinite(newtons) else NONE


def span(loads: Share, system: System) -> str:
    """A load with its range: ``5.3 (4.1 to 6.2) kN``."""
    likely, low, high = (force(load, system) for load in (loads.likely, loads.low, loads.high))
    if low == high:
        return likely
    unit = unit_in("kN", system)
    return f"{likely.removesuffix(unit).strip()} ({low.removesuffix(unit).strip()} to {high})"


def percent(share: float) -> str:
    """A share in per cent, to two digits where it is small."""
    if math.isinf(share):
        return "nothing left"
    return f"{float(f'{100 * share:.2g}'):,.0f} %"


def percents(shares: Share) -> str:
    """A share with its range: ``120 (98 to 150) %``."""
    if math.isinf(shares.likely):
        return "nothing left"
    likely, low, high = (percent(share) for share in (shares.likely, shares.low, shares.high))
    if low == high:
        return likely
    top = "no limit" if math.isinf(shares.high) else high
    return f"{likely.removesuffix(' %')} ({low.removesuffix(' %')} to {top})"


def factor(value: float) -> str:
    """A safety factor: ``3.4``; a dash where there is no load, and so no factor."""
    if not math.isfinite(value):
        return NONE
    return f"{float(f'{value:.2g}'):g}"


def factors(values: Share) -> str:
    """A safety factor with its range: ``3.4 (2.1 to 5.0)``."""
    likely, low, high = (factor(value) for value in (values.likely, values.low, values.high))
    return likely if low == high else f"{likely} ({low} to {high})"


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


def span_of(span_: Range, system: System) -> str:
    """A load as the watches give it, with its range."""
    return span(Share(span_.low, span_.middle, span_.high), system)
