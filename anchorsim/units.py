"""The one unit registry, and what is said once about each quantity that a person can set.

Models and results carry quantities; the kernels carry SI floats.  :func:`si` is the way in and
:func:`quantity` the way out.  Nothing else in the package imports pint.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated, Any, Literal

import pint
from pydantic_core import core_schema

if TYPE_CHECKING:
    Quantity = pint.Quantity[Any]
else:
    _registry = pint.UnitRegistry(cache_folder=":auto:")
    pint.set_application_registry(_registry)
    Quantity = _registry.Quantity

registry = pint.get_application_registry()

System = Literal["metric", "US"]
SYSTEMS: tuple[System, ...] = ("metric", "US")

GRAVITY = 9.80665  # m/s², standard gravity (CGPM 1901)
SEA_WATER = 1025.0  # kg/m³
AIR = 1.225  # kg/m³, ISO 2533 standard atmosphere at sea level

# What a unit is called on screen and in files, where pint's own short name would mislead.
_NAMES = {"kn": "knot", "kt": "knot", "deg": "degree", "°": "degree", "t": "tonne"}
_US_UNITS = {"m": "ft", "mm": "in", "kg": "lb", "kN": "lbf", "m²": "ft²", "tonne": "lb"}
_AMBIGUOUS = {
    "ton": "there are three tons: write tonne, short_ton or long_ton",
    "tons": "there are three tons: write tonne, short_ton or long_ton",
    "lb/m": "write kg/m or lb/ft",
}
_KINDS = {
    "[length]": "a length",
    "[mass]": "a mass",
    "[length] / [time]": "a speed",
    "[time]": "a time",
    "[length] ** 2": "an area",
    "[length] * [mass] / [time] ** 2": "a force",
    "dimensionless": "an angle",
}
_TEXT = re.compile(
    r"\s*(?P<number>[-+]?[\d.]+(?:e[-+]?\d+)?)(?:(?P<rest>[ -]\d+/\d+|/\d+))?\s*(?P<unit>[^\d\s].*?)?\s*",
    re.I,
)


def quantity(value: Any, unit: str) -> Quantity:
    """A quantity in the one registry.  ``value`` is a float or an array, ``unit`` as pint spells it."""
    return Quantity(value, unit)


def si(value: Quantity) -> float:
    """The value in SI base units, angles in radians."""
    return float(value.to_base_units().magnitude)


def parse(text: str) -> Quantity:
    """A number and its unit: ``"8 mm"``, ``"5/16 in"``, ``"30 knot"``.

    Raises ValueError with a sentence where the text is no such thing.

    >>> f"{parse('1 1/2 in').to('mm'):.1f~P}"
    '38.1 mm'
    """
    found = _TEXT.fullmatch(text)
    if not found:
        raise ValueError(f'"{text}" is not a number with a unit')
    unit = found["unit"]
    if unit is None:
        raise ValueError(f'"{text}" has no unit')
    if unit in _AMBIGUOUS:
        raise ValueError(f'"{text}" is ambiguous ({_AMBIGUOUS[unit]})')
    try:
        return Quantity(_number(found["number"], found["rest"]), registry.Unit(unit))
    except (ValueError, ZeroDivisionError, pint.PintError, TypeError, AttributeError):
        raise ValueError(f'"{text}" is not a number with a unit that is known here') from None


def _number(number: str, rest: str | None) -> float:
    value = float(number)
    if rest is None:
        return value
    above, below = rest.lstrip(" -").split("/") if rest[0] != "/" else ("", rest[1:])
    return value + float(above) / float(below) if above else value / float(below)


def write(value: Quantity) -> str:
    """The text that :func:`parse` reads back, with a unit name nobody can mistake.

    >>> write(quantity(30.0, "knot")), write(quantity(8.0, "mm"))
    ('30 knot', '8 mm')
    """
    return f"{value.magnitude:.12g} {unit_name(value)}"


def unit_name(value: Quantity) -> str:
    """The unit's name on screen: ``knot`` rather than ``kn``, which sits too near ``kN``."""
    short = f"{value.units:~C}"
    return _NAMES.get(short, short.replace("**2", "²").replace("**3", "³"))


def us_unit(unit: str) -> str:
    """The US customary unit people use in place of a metric one; knots and seconds stay.

    >>> us_unit("kN"), us_unit("knot")
    ('lbf', 'knot')
    """
    return _US_UNITS.get(unit, unit)


def unit_in(unit: str, system: System) -> str:
    """The display unit for a metric display unit in a unit system."""
    return unit if system == "metric" else us_unit(unit)


def show(value: Quantity, unit: str, system: System = "metric", digits: int = 3) -> str:
    """A quantity as people read it: rounded to ``digits`` significant digits, in the system's unit.

    >>> show(quantity(5338.0, "N"), "kN"), show(quantity(5338.0, "N"), "kN", "US")
    ('5.34 kN', '1200 lbf')
    """
    target = unit_in(unit, system)
    number = float(value.m_as(target))
    if number and math.isfinite(number):
        number = round(number, digits - 1 - math.floor(math.log10(abs(number))))
    sign = "°" if target == "degree" else f" {target}"
    return f"{number:.10g}{sign}"


@dataclass(frozen=True)
class Measure:
    """All that is said once about a quantity people set: its label, unit, sensible range and step.

    Used as ``Annotated[Quantity, Measure(...)]`` in a model: the control, the axis title, the file, the
    command line and the report read it from there.  ``unit`` is the metric display unit and the unit of
    ``low``, ``high`` and ``step``; an empty unit stands for a pure number, which is held as a float.
    """

    label: str
    unit: str
    low: float
    high: float
    step: float
    help: str = ""

    @property
    def needed(self) -> str:
        """What a valid value looks like, for error sentences."""
        if not self.unit:
            return f"a number from {self.low:g} to {self.high:g}"
        kind = _KINDS.get(str(registry.Unit(self.unit).dimensionality), "a quantity")
        return f"{kind} from {self.low:g} to {self.high:g} {self.unit}"

    def read(self, given: Any) -> Quantity | float:
        """The value as the model holds it.  Raises ValueError with a sentence for people."""
        return self._number(given) if not self.unit else self._quantity(given)

    def _number(self, given: Any) -> float:
        if isinstance(given, bool) or not isinstance(given, int | float):
            raise ValueError(self._complaint(f"{given!r} is not a number", f"{self.low:g}"))
        if not self.low <= given <= self.high:
            raise ValueError(self._complaint(f"{given:g} is out of range", None))
        return float(given)

    def _quantity(self, given: Any) -> Quantity:
        example = f'"{self.low + self.step:g} {self.unit}"'
        if isinstance(given, pint.Quantity):
            value: Quantity = given
        elif isinstance(given, str):
            try:
                value = parse(given)
            except ValueError as error:
                raise ValueError(self._complaint(str(error), example)) from None
        elif isinstance(given, int | float) and not isinstance(given, bool):
            raise ValueError(self._complaint(f"{given!r} is a bare number", f'"{given!r} {self.unit}"'))
        else:
            raise ValueError(self._complaint(f"{given!r} is not a quantity", example))
        return self._within(value, given, example)

    def _within(self, value: Quantity, given: Any, example: str) -> Quantity:
        text = f'"{given}"' if isinstance(given, str) else write(value)
        unitless = value.dimensionless and str(value.units) == "dimensionless"
        if not value.check(registry.Unit(self.unit).dimensionality) or unitless:
            hint = "; kN is kilonewton, the knot is written knot" if "kN" in text else ""
            raise ValueError(self._complaint(f"{text} has the wrong unit{hint}", example))
        amount = value.m_as(self.unit)
        slack = 1e-9 * max(abs(self.low), abs(self.high))  # a limit converted to feet and back still counts
        if not (math.isfinite(amount) and self.low - slack <= amount <= self.high + slack):
            raise ValueError(self._complaint(f"{text} is out of range", None))
        return value

    def _complaint(self, wrong: str, example: str | None) -> str:
        advice = f"; write for example {example}" if example else ""
        return f"{wrong}; needed {self.needed}{advice}"

    def show(self, value: Quantity | float, system: System = "metric", digits: int = 3) -> str:
        """The value as people read it."""
        return show(value, self.unit, system, digits) if self.unit else f"{value:.3g}"

    def __get_pydantic_core_schema__(self, source: Any, handler: Any) -> core_schema.CoreSchema:
        return core_schema.no_info_plain_validator_function(
            self.read,
            serialization=core_schema.plain_serializer_function_ser_schema(
                lambda value: write(value) if isinstance(value, pint.Quantity) else value
            ),
        )


__all__ = [
    "AIR",
    "GRAVITY",
    "SEA_WATER",
    "SYSTEMS",
    "Annotated",
    "Measure",
    "Quantity",
    "System",
    "parse",
    "quantity",
    "show",
    "si",
    "unit_in",
    "unit_name",
    "us_unit",
    "write",
]
