"""Amounts, ranges, chances, lists and counts as people read them: the one formatter of each."""

from __future__ import annotations

import datetime
import math
import re
from collections.abc import Sequence
from fractions import Fraction
from typing import NamedTuple

from anchorsim.core.units import System, quantity, show, unit_in, write_in
from anchorsim.numerics.interval import Interval
from anchorsim.risk.outcome import LIMIT

NONE = "–"
_HUNDRED_KNOTS = 51.4  # m/s
_EQUAL = 1e-9  # of a limit: as far as sums of floats are off
_TRADE = [  # inches, by which small rope, chain and shackles are sold (common practice, no source)
    *(Fraction(each, 32) for each in (4, 6, 8, 9, 10, 12, 14, 16, 18, 20, 24, 28, 32)),
    *(Fraction(each, 8) for each in range(9, 33)),
]
_POINTS = ["N", "NNE", "NE", "ENE", "E", "ESE", "SE", "SSE", "S", "SSW", "SW", "WSW", "W", "WNW", "NW", "NNW"]


def force(newtons: float, system: System) -> str:
    """A load in two figures: ``5.3 kN``, ``2.0 kN``, ``26 kN``."""
    if not math.isfinite(newtons):
        return NONE
    shown = show(quantity(newtons, "N"), "kN", system, 2)
    number, _, unit = shown.partition(" ")
    return f"{number}.0 {unit}" if unit == "kN" and len(number) == 1 and number != "0" else shown


class AmountText(NamedTuple):
    """A likely figure with its unit, and its range, which is empty where there is none."""

    likely: str
    range: str

    def __str__(self) -> str:
        return f"{self.likely} ({self.range})" if self.range else self.likely


def _text(likely: str, low: str, high: str) -> AmountText:
    return AmountText(likely, "" if low == high else f"{low} to {high}")


def span(loads: Interval, system: System) -> AmountText:
    """A load with its range: ``5.3 kN (4.1 to 6.2)``."""
    unit = unit_in("kN", system)
    likely, *ends = (force(load, system) for load in (loads.likely, loads.low, loads.high))
    low, high = (end.removesuffix(unit).strip() for end in ends)
    return _text(likely, low, high)


def percent(share: float) -> str:
    """A share in per cent, to two digits; up to 200 % to one per cent, and never rounded on to 100 %.

    >>> percent(0.043), percent(1.04), percent(1.004), percent(0.996), percent(2.31)
    ('4 %', '104 %', '101 %', '99 %', '230 %')
    """
    if math.isinf(share):
        return "nothing left"
    hundredths = round(100 * share) if share < 2.0 else float(f"{100 * share:.2g}")
    if hundredths == 100 and abs(share - 1.0) > _EQUAL:
        hundredths = 101 if share > 1.0 else 99
    return f"{hundredths:,.0f} %"


def percents(shares: Interval) -> AmountText:
    """A share with its range: ``120 % (98 to 150)``."""
    if math.isinf(shares.likely):
        return AmountText("nothing left", "")
    likely, low, high = (percent(share) for share in (shares.likely, shares.low, shares.high))
    top = "no limit" if math.isinf(shares.high) else high.removesuffix(" %")
    return _text(likely, low.removesuffix(" %"), top)


def factor(value: float) -> str:
    """A safety factor: ``3.4``; a dash where there is no load, and so no factor.  One below 1 stays below.

    >>> factor(3.42), factor(0.998), factor(1.0)
    ('3.4', '0.99', '1')
    """
    if not math.isfinite(value):
        return NONE
    shown = float(f"{value:.2g}")
    return f"{0.99 if shown == 1.0 and value < 1.0 - _EQUAL else shown:g}"


def factors(values: Interval) -> AmountText:
    """A safety factor with its range: ``3.4 (2.1 to 5)``."""
    return _text(*(factor(value) for value in (values.likely, values.low, values.high)))


def length(metres: float, system: System) -> str:
    """A length, to a tenth below ten and whole above: ``4.3 m``, ``26 m``, ``126 m``."""
    shown = show(quantity(metres, "m"), "m", system, _places(metres, "m", system))
    return f"under 0.1 {unit_in('m', system)}" if metres > 0.0 and shown.startswith("0 ") else shown


def open_water(metres: float, system: System) -> str:
    """How far open water reaches, in two figures: ``500 m``, ``1.3 km``, ``120 km``; in the US in nautical miles.

    >>> open_water(120_000.0, "metric"), open_water(500.0, "metric"), open_water(1283.0, "US")
    ('120 km', '500 m', '0.69 nautical miles')
    """
    if system == "US":
        return write_in(quantity(metres, "m"), "nautical_mile", 2).replace("nmi", "nautical miles")
    return write_in(quantity(metres, "m"), "km" if metres >= 1000.0 else "m", 2)


def _places(value: float, unit: str, system: System) -> int:
    """Significant digits that leave a tenth below ten of the unit shown, and whole numbers above."""
    shown = abs(float(quantity(value, unit).m_as(unit_in(unit, system))))
    if not (shown and math.isfinite(shown)):
        return 2
    leading = math.floor(math.log10(shown)) + 1
    return leading if round(shown, 1) >= 10.0 else leading + 1


def size(metres: float, system: System) -> str:
    """The size of a part: ``8 mm``, ``6.8 mm``."""
    return show(quantity(metres, "m"), "mm", system)


def nominal(metres: float, system: System) -> str:
    """The size that a part is sold by: ``8 mm``; in the US the trade size, with a metric part's own behind it.

    A metric part is not the inch part that it comes near to, so both are said.

    >>> nominal(0.008, "US"), nominal(0.0079375, "US"), nominal(0.012, "US"), nominal(0.02, "US")
    ('5/16 in (8 mm)', '5/16 in', '1/2 in (12 mm)', '3/4 in (20 mm)')
    """
    if system == "metric":
        return size(metres, system)
    inches = metres / 0.0254  # NIST SP 811
    trade = min(_TRADE, key=lambda each: abs(each - inches))
    whole, part = divmod(trade, 1)
    said = f"{' '.join(str(each) for each in (whole, part) if each)} in"
    return said if abs(inches - trade) < 0.002 else f"{said} ({size(metres, 'metric')})"


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


def listed(texts: Sequence[str]) -> str:
    """Joined as in a sentence: ``a, b and c``."""
    return " and ".join(filter(None, [", ".join(texts[:-1]), *texts[-1:]]))


def with_article(amount: str) -> str:
    """A number behind the article that it is spoken with.

    >>> with_article("16 mm"), with_article("8 m"), with_article("18 m"), with_article("180 m")
    ('a 16 mm', 'an 8 m', 'an 18 m', 'a 180 m')
    """
    whole = re.split(r"[ ./]", amount, maxsplit=1)[0]
    return f"{'an' if whole.startswith('8') or whole in ('11', '18') else 'a'} {amount}"


def scope(ratio: float) -> str:
    """A scope: ``5:1``."""
    return f"{ratio:.2g}:1"


def counted(number: float, one: str, many: str) -> str:
    """A number with its noun: ``1 thing``, ``4 things``."""
    return f"{number:g} {one if number == 1 else many}"


def speed(metres_per_second: float, system: System) -> str:
    """A wind or a current: ``0.8 kn``, ``31 kn``, ``104 kn``."""
    return show(
        quantity(metres_per_second, "m/s"), "knot", system, 3 if metres_per_second >= _HUNDRED_KNOTS else 2
    )


def angle(radians: float) -> str:
    """An angle to the degree: ``7°``."""
    return f"{math.degrees(radians):.0f}°"


def bearing(radians: float) -> str:
    """A true bearing in three digits, with the point of the compass: ``225° (SW)``."""
    degrees = math.degrees(radians)
    return f"{round(degrees) % 360:03d}° ({_POINTS[round(degrees / 22.5) % 16]})"


def lengths(metres: Interval, system: System) -> AmountText:
    """A length with its range: ``26 m (22 to 31)``."""
    unit = unit_in("m", system)
    low, likely, high = (length(end, system) for end in metres)
    return _text(likely, low.removesuffix(unit).strip(), high.removesuffix(unit).strip())


def upwards(found: Interval, system: System) -> AmountText:
    """A load or a length with its range, ``at least 26 m`` where so many spells tell no upper end."""
    shown = force if found.unit == "N" else length
    likely, low = shown(found.likely, system), shown(found.low, system).split()[0]
    if not math.isfinite(found.high):
        return AmountText(f"at least {likely}", "")
    return AmountText(likely, f"{low} to {shown(found.high, system).split()[0]}")


def chance(found: Interval) -> str:
    """A chance with its range, in whole numbers: ``2 in 100 (0 to 5)``."""
    likely, ends = hundredths(found)
    return f"{likely} in 100 ({ends})"


def of_spells(found: Interval, spells: str = "spells") -> str:
    """A chance to stand after a verb: ``2 of 100 spells (0 to 5)``."""
    likely, ends = hundredths(found)
    return f"{likely} of 100 {spells} ({ends})"


def hundredths(found: Interval) -> tuple[str, str]:
    """A chance in hundredths, and its range: ``2``, ``0 to 5``; one over the limit is not rounded on to it."""
    low, likely, high = (round(100 * end) for end in found)
    if likely == round(100 * LIMIT) and found.likely > LIMIT + _EQUAL:
        likely += 1
    some, not_all = found.likely > _EQUAL, found.likely < 1.0 - _EQUAL
    shown = "under 1" if likely == 0 and some else "over 99" if likely == 100 and not_all else f"{likely}"
    return shown, f"{low} to {high}"


def in_spells(happened: int, count: int) -> str:
    """In how many of some spells: ``in 3 of 8 spells``, ``in all 8 spells``, ``in none of 8 spells``."""
    if count == 1:
        return "in the one spell" if happened else "in none of 1 spell"
    if happened == count:
        return f"in all {count} spells"
    return f"in {happened or 'none'} of {count} spells"


def duration(seconds: float) -> str:
    """A span of time: ``10-minute``, ``6-hour``, to stand before a noun.

    >>> duration(600.0), duration(21600.0), duration(5400.0)
    ('10-minute', '6-hour', '90-minute')
    """
    hours = seconds / 3600.0
    return f"{hours:g}-hour" if hours >= 1 and hours.is_integer() else f"{seconds / 60.0:g}-minute"


def lasting(stretch: str) -> str:
    """A stretch of time in words: ``6 hours``, ``1 hour``."""
    number, unit = stretch.split()
    return stretch if number == "1" else f"{number} {unit}s"
