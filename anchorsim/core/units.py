"""The one unit registry, and what is said once about each quantity that a person can set.

Models and results carry quantities; the kernels carry SI floats.  :func:`si` is the way in and
:func:`quantity` the way out.  Nothing else in the package imports pint.
"""

from __future__ import annotations

import functools
import json
import math
import re
from dataclasses import dataclass
from numbers import Real
from typing import TYPE_CHECKING, Annotated, Any, Literal

import pint
from pydantic_core import core_schema

from anchorsim.core.errors import AnchorsimError, sentence

if TYPE_CHECKING:
    registry: pint.UnitRegistry[Any]
    Quantity = pint.Quantity[Any]
else:
    try:
        registry = pint.UnitRegistry(cache_folder=":auto:")
    except Exception:  # reading a half-written cache may raise anything; without it the start is slower
        registry = pint.UnitRegistry()
    pint.set_application_registry(registry)
    Quantity = registry.Quantity

System = Literal["metric", "US"]
SYSTEMS: tuple[System, ...] = ("metric", "US")

GRAVITY = 9.80665  # m/s², standard gravity (CGPM 1901)
SEA_WATER = 1025.0  # kg/m³
AIR = 1.225  # kg/m³, ISO 2533 standard atmosphere at sea level

# What a unit is called in files and errors, where pint's own short name would mislead or is refused.
_NAMES = {
    "kn": "knot", "kt": "knot", "deg": "degree", "°": "degree", "t": "tonne", "ton": "short_ton",
    "%": "percent", "a": "year", "d": "day",
}  # fmt: skip
# What stands for a unit beside a number that people read; pint reads these too, but for "years".
_SIGNS = {"knot": "kn", "degree": "°", "percent": "%", "micrometer": "µm", "year": "years"}
_US_UNITS = {"m": "ft", "mm": "in", "kg": "lb", "kN": "lbf", "m²": "ft²", "tonne": "lb"}
_TONS = ("ton", "tons")  # of which there are three
_KINDS = {
    "m": "a length", "m²": "an area", "s": "a time", "m/s": "a speed", "degree": "an angle", "kg": "a mass",
    "kg/m": "a mass per length", "N": "a force", "N*m": "a moment", "Pa": "a pressure",
}  # fmt: skip

_NUMBER = r"(?P<number>[-+]?(?:\d+\.?\d*|\.\d+)(?:e[-+]?\d+)?)(?P<rest>[ -]\d+/\d+|/\d+)?"
_TEXT = re.compile(rf"\s*{_NUMBER}\s*(?P<unit>[^\d\s].*?)?\s*", re.ASCII | re.IGNORECASE)
_RAISED = "¹²³⁰⁴-⁹"  # letters to a regular expression, powers to pint, which reads ²² as 22
_ATOM = rf"(?:°|[^\W\d_{_RAISED}][^\W{_RAISED}]*)(?:(?:\^|\*\*)[1-4]|[¹²³⁴])?"
_UNIT = re.compile(rf"{_ATOM}(?:(?:\s*[*/]\s*|\s+){_ATOM})*")  # pint would work out m**9**9**9, for ever
_LONGEST = 60  # characters of what was given that an error repeats, and of a quantity's text


def quantity(value: Any, unit: str) -> Quantity:
    """A quantity in the one registry.  ``value`` is a float or an array, ``unit`` as pint spells it."""
    return Quantity(value, _unit(unit))


def si(value: Quantity) -> float:
    """The value in SI base units, angles in radians.

    Raises ValueError for a unit whose zero is not zero in SI, such as degrees Celsius.
    """
    return float(value.magnitude * _base(value._units)[0])


@functools.cache
def _unit(text: str) -> pint.Unit:
    return registry.Unit(text)


@functools.cache
def _base(units: Any) -> tuple[float, str]:
    """What one of a unit is in SI base units, and those units' name.

    Keyed by what pint keeps in ``_units``, since it takes longer to convert, or even to give ``units`` out.
    """
    one = Quantity(1.0, units)
    if Quantity(0.0, units).to_base_units().magnitude:
        raise AnchorsimError(
            sentence(f"{one.units} has a zero of its own", "a unit that SI is a multiple of")
        )
    return float(one.to_base_units().magnitude), str(one.to_base_units().units)


def _amount(value: Quantity, unit: str) -> float | None:
    """The value in a unit, None where it is of another kind; a share is no angle, unlike in pint."""
    if value._units == _unit(unit)._units:
        return float(value.magnitude)
    (factor, base), (target, wanted) = _base(value._units), _base(_unit(unit)._units)
    return float(value.magnitude * (factor / target)) if base == wanted else None


def parse(text: str) -> Quantity:
    """A number and its unit: ``"8 mm"``, ``"5/16 in"``, ``"30 knot"``.

    Raises AnchorsimError, with a clause for people and not yet a sentence, where the text is no such thing.

    >>> f"{parse('1 1/2 in').to('mm'):.1f~P}"
    '38.1 mm'
    """
    return Quantity(*_split(text))


@functools.lru_cache(maxsize=4096)
def _split(text: str) -> tuple[float, pint.Unit]:
    given = quoted(text)
    found = _TEXT.fullmatch(text.replace("−", "-")) if len(text) <= _LONGEST else None
    if re.search(r"\d,\d", text):
        raise AnchorsimError(f"{given} has a comma in its number in place of a point")
    if not found:
        raise AnchorsimError(f"{given} is not a number with a unit")
    unit = found["unit"]
    if unit is None:
        raise AnchorsimError(f"{given} has no unit")
    if unit in _TONS:
        raise AnchorsimError(f"{given} may be a tonne, a short_ton or a long_ton")
    unknown = AnchorsimError(f"{given} is not one number with a known unit")
    if not _UNIT.fullmatch(unit):
        raise unknown
    try:
        name = str(_unit(unit)._units)
        if "delta_" in name or name == "dimensionless":  # a temperature squared, or ft/ft: written, not read
            raise unknown
        _base(_unit(unit)._units)
        return _number(found["number"], found["rest"]), _unit(unit)
    except (pint.PintError, ValueError, ArithmeticError, AssertionError):  # the last for a letter like ¼
        raise unknown from None


def _number(number: str, rest: str | None) -> float:
    value = float(number)
    if rest is None:
        return value
    if rest[0] == "/":
        return value / float(rest[1:])
    above, below = rest[1:].split("/")
    return math.copysign(abs(value) + float(above) / float(below), value)


def _real(given: Any) -> float | None:
    if isinstance(given, bool) or not isinstance(given, Real):
        return None
    try:
        return float(given)
    except OverflowError:
        return math.inf


def quoted(given: Any, longest: int = _LONGEST) -> str:
    """What was given as a scenario file would have it, on one line and not too long, to repeat in an error.

    >>> quoted("8 mm"), quoted(True), quoted([1, 2])
    ('"8 mm"', 'true', 'a list')
    """
    if isinstance(given, str):
        plain = given[:longest].isprintable()
        shown = given if plain else json.dumps(given[:longest])[1:-1]
        short = shown if len(shown) <= longest else f"{shown[:longest]}…"
        return f"'{short}'" if plain and '"' in short else f'"{short}"'
    if isinstance(given, bool):
        return str(given).lower()
    if isinstance(given, pint.Quantity):
        return write(given) if _real(given.magnitude) is not None else "a quantity that is not one number"
    number = _real(given)
    if number is not None:
        return f"{given}" if abs(number) < 1e18 or isinstance(given, float) else "a number far too large"
    kinds = {dict: "a table of keys", list: "a list", tuple: "a list", type(None): "nothing"}
    return kinds.get(type(given), " ".join(str(given).split())[:_LONGEST])


def _kind(units: Any) -> str | None:
    """What a unit measures, in words, where that is said in ``_KINDS``."""
    return _kinds().get(_base(units)[1])


@functools.cache
def _kinds() -> dict[str, str]:
    return {_base(_unit(unit)._units)[1]: kind for unit, kind in _KINDS.items()}


def write(value: Quantity) -> str:
    """The text that :func:`parse` reads back, with a unit name nobody can mistake.

    >>> write(quantity(30.0, "knot")), write(quantity(8.0, "mm"))
    ('30 knot', '8 mm')
    """
    return f"{value.magnitude:.12g} {unit_name(value)}".rstrip()


def unit_name(value: Quantity) -> str:
    """The unit's name in files and errors: ``knot`` rather than ``kn``, which sits too near ``kN``."""
    return _name(value._units)


@functools.cache
def _name(units: Any) -> str:
    unit, power = registry.Unit(units), re.compile(r"\*\*([23])(?!\d)")
    short, long = (power.sub(lambda one: "²³"[int(one[1]) - 2], form) for form in (f"{unit:~C}", f"{unit:C}"))
    name = _NAMES.get(short, short)
    try:
        same = _unit(name)._units == units  # pint gives the gigabarn as Gb, which it reads as the gilbert
    except (pint.PintError, ValueError):
        return long
    return name if same else long


def us_unit(unit: str) -> str:
    """The US customary unit people use in place of a metric one; knots and seconds stay.

    >>> us_unit("kN"), us_unit("knot")
    ('lbf', 'knot')
    """
    return _US_UNITS.get(unit, unit)


def unit_in(unit: str, system: System) -> str:
    """The display unit for a metric display unit in a unit system."""
    return unit if system == "metric" else us_unit(unit)


def sign(unit: str) -> str:
    """What stands for a display unit beside a number on screen and paper.

    >>> sign("knot"), sign("degree"), sign("kN")
    ('kn', '°', 'kN')
    """
    return _SIGNS.get(unit, unit)


def show(value: Quantity, unit: str, system: System = "metric", digits: int = 3) -> str:
    """A quantity as people read it: rounded to ``digits`` significant digits, in the system's unit.

    >>> show(quantity(5338.0, "N"), "kN"), show(quantity(5338.0, "N"), "kN", "US")
    ('5.34 kN', '1200 lbf')
    """
    target = unit_in(unit, system)
    number, shown = _rounded(value, target, digits), sign(target)
    return f"{number:.10g}{shown}" if shown == "°" else f"{number:.10g} {shown}"


def write_in(value: Quantity, unit: str, digits: int = 3) -> str:
    """A quantity in a given unit, to ``digits`` significant digits, as a file and an error have it.

    >>> write_in(quantity(0.14, "radian"), "degree"), write_in(quantity(6.0, "m"), "foot")
    ('8.02 degree', '19.7 ft')
    """
    return write(quantity(_rounded(value, unit, digits), unit))


def _rounded(value: Quantity, unit: str, digits: int) -> float:
    number = _amount(value, unit)
    if number is None:
        raise AnchorsimError(sentence(f"{write(value)} has no amount in {unit}"))
    if number and math.isfinite(number):
        number = round(number, digits - 1 - math.floor(math.log10(abs(number))))
    return number


def _whole(number: float | None) -> float | None:
    """A pure number for a file: 5 rather than 5.0."""
    return int(number) if number is not None and number.is_integer() else number


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
    def expected(self) -> str:
        """The range of a valid value, for error sentences."""
        return f"{self.low:g} to {self.high:g} {self.unit}".rstrip()

    @property
    def kind(self) -> str:
        """What it measures, in words: a length, a speed."""
        return _kind(_unit(self.unit)._units) or "a quantity"

    def read(self, given: Any) -> Quantity | float:
        """The value as the model holds it.  Raises AnchorsimError with a sentence for people.

        A quantity is held to the 12 digits that its file gives it, in the unit it came in.
        """
        return self._quantity(given) if self.unit else self._number(given)

    def _number(self, given: Any) -> float:
        number = _real(given)
        if number is None:
            text = given.strip() if isinstance(given, str) else ""
            bare = re.fullmatch(_NUMBER, text, re.ASCII)
            plain = bare and len(text) <= _LONGEST
            advice = f"write {text} without quotation marks" if plain else f"write for example {self._some}"
            raise self._refusal(f"{quoted(given)} is not a number", advice)
        if not self.low <= number <= self.high:
            raise self._refusal(f"{quoted(given)} is out of range")
        return number

    def _quantity(self, given: Any) -> Quantity:
        example = f'write for example "{self._some} {self.unit}"'
        if isinstance(given, str):
            try:
                value = parse(given)
            except ValueError as error:
                raise self._refusal(str(error), example) from None
        elif isinstance(given, pint.Quantity) and _real(given.magnitude) is not None:
            value = given
        else:
            number = _real(given)
            if number is not None and self.low <= number <= self.high:
                example = f'write for example "{number:g} {self.unit}"'
            wrong = "is not a quantity" if number is None else "has no unit"
            raise self._refusal(f"{quoted(given)} {wrong}", example)
        return self._within(value, given, example)

    def _within(self, value: Quantity, given: Any, example: str) -> Quantity:
        amount = _amount(value, self.unit)
        if amount is None:
            kind = _kind(value._units)
            hint = ": kN is the kilonewton, the knot is written knot" if "kN" in quoted(given) else ""
            wrong = f"{quoted(given)} is {kind}" if kind else f"{quoted(given)} has the wrong unit"
            raise AnchorsimError(sentence(wrong, f"{self.kind}, {self.expected}", f"{example}{hint}"))
        slack = 1e-9 * max(abs(self.low), abs(self.high))  # a limit converted to feet and back still counts
        if not (math.isfinite(amount) and self.low - slack <= amount <= self.high + slack):
            also = "" if value._units == _unit(self.unit)._units else f" ({self._range_in(value)})"
            raise self._refusal(f"{quoted(given)} is out of range", also=also)
        return Quantity(float(f"{value.magnitude:.12g}") + 0.0, value._units)  # and no -0

    def _range_in(self, value: Quantity) -> str:
        """The range in the unit of a value, rounded inwards."""
        ends = []
        for end, inwards in ((self.low, math.ceil), (self.high, math.floor)):
            number = float(quantity(end, self.unit).m_as(value.units))
            place = 10.0 ** (3 - math.floor(math.log10(abs(number)))) if number else 1.0
            ends.append(f"{inwards(number * place) / place:g}")
        return f"{ends[0]} to {ends[1]} {unit_name(value)}"

    @property
    def _some(self) -> str:
        """A value in range, for examples."""
        least = max(self.low, 0.0) if self.high > 0.0 else self.low
        steps = max(round((self.high - least) / 5 / self.step), 1)
        return f"{least + steps * self.step:g}"

    def _refusal(self, wrong: str, advice: str = "", also: str = "") -> AnchorsimError:
        return AnchorsimError(sentence(wrong, f"{self.expected}{also}", advice))

    def show(self, value: Quantity | float, system: System = "metric", digits: int = 3) -> str:
        """The value as people read it."""
        return show(value, self.unit, system, digits) if isinstance(value, pint.Quantity) else f"{value:.3g}"

    def __get_pydantic_core_schema__(self, source: Any, handler: Any) -> core_schema.CoreSchema:
        return core_schema.no_info_plain_validator_function(
            self.read,
            serialization=core_schema.plain_serializer_function_ser_schema(
                lambda value: write(value) if isinstance(value, pint.Quantity) else _whole(value)
            ),
        )


__all__ = [
    "AIR", "GRAVITY", "SEA_WATER", "SYSTEMS", "Annotated", "Measure", "Quantity", "System", "parse",
    "quantity", "quoted", "show", "si", "sign", "unit_in", "unit_name", "us_unit", "write", "write_in",
]  # fmt: skip
