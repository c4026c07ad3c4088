"""Checks of what is given to public functions, each with a sentence as good as those about files.

Every check takes the argument's name and what was given, and gives the value back, ready to be used; what
does not fit is refused with an :class:`ArgumentError` that begins with the name.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from numbers import Integral, Real
from typing import Any, TypeVar

from anchorsim.core.errors import AnchorsimError, ArgumentError, sentence
from anchorsim.core.tables import unknown
from anchorsim.core.units import Measure, Quantity, parse, quoted, si

Kind = TypeVar("Kind")
Name = TypeVar("Name", bound=str)


def refused(name: str, wrong: str, expected: str, action: str = "", got: str = "") -> ArgumentError:
    """The error that says what is wrong with an argument, to be raised by the caller."""
    return ArgumentError(f"{name}: {sentence(wrong, expected, action, got)}")


def share(name: str, given: Any) -> float:
    """A share or a chance: a number above 0 and below 1.

    >>> share("chance", 0.05)
    0.05
    """
    value = number(name, given, "a number above 0 and below 1")
    if not 0.0 < value < 1.0:
        wrong = f"{quoted(given)} is out of range"
        raise refused(name, wrong, "a number above 0 and below 1", "write 5 in 100 as 0.05")
    return value


def shares(name: str, given: Any) -> tuple[float, ...]:
    """Some shares or chances, at least one; a single number stands for a sequence of one.

    >>> shares("chances", 0.05), shares("chances", [0.05, 0.5])
    ((0.05,), (0.05, 0.5))
    """
    several = [given] if isinstance(given, Real) else sequence(name, given, "numbers above 0 and below 1")
    if not several:
        raise refused(name, "empty", "at least one number above 0 and below 1", f"give {name} a number")
    return tuple(share(name, one) for one in several)


def factor(name: str, given: Any) -> float:
    """How many times something is what it would be: a finite number above 0."""
    return positive(name, given, "a factor above 0, such as 1.0")


def positive(name: str, given: Any, fits: str, unit: str = "") -> float:
    """A finite number above 0; ``fits`` says of what and in which unit; ``unit`` as for :func:`number`."""
    return within(name, given, fits, low=math.ulp(0.0), unit=unit)


def room(name: str, given: Any) -> float | None:
    """A radius of free water, m: a number of metres or with its unit; None where none is given."""
    return None if given is None else positive(name, given, "a number of metres above 0", "m")


def within(
    name: str, given: Any, fits: str, low: float = -math.inf, high: float = math.inf, unit: str = ""
) -> float:
    """A finite number from ``low`` to ``high``; ``fits`` says which, of what and in which unit."""
    value = number(name, given, fits, unit)
    if not (low <= value <= high and math.isfinite(value)):
        raise refused(name, f"{quoted(given)} is out of range", fits, f"change {name}")
    return value


def count(name: str, given: Any, least: int = 1) -> int:
    """A whole number of at least ``least``: a count, or a seed with 0."""
    fits = f"a whole number, {least} or more"
    if isinstance(given, bool) or not isinstance(given, Integral):
        raise refused(name, f"{quoted(given)} is not a whole number", fits, f"change {name}")
    if given < least:
        raise refused(name, f"{quoted(given)} is out of range", fits, f"change {name}")
    return int(given)


def amount(name: str, given: Any, measure: Measure, least: float = -math.inf) -> float:
    """An amount in SI units: of a text with its unit, of a quantity, or a bare number in SI units.

    ``measure`` says the unit and the range; a bare number is only to be finite and ``least`` or more.

    >>> amount("wind", "36 km/h", Measure("Wind", "knot", 0, 80, 1))
    10.0
    """
    if isinstance(given, Real) and not isinstance(given, bool):
        bare = float(given)
        if math.isfinite(bare) and bare >= least:
            return bare
        example = f'write it with its unit, such as "{measure.high / 2:g} {measure.unit}"'
        raise refused(name, f"{quoted(given)} is out of range", measure.expected, example)
    try:
        value = measure.read(given)
    except AnchorsimError as error:
        raise ArgumentError(f"{name}: {error}") from None
    return value if isinstance(value, float) else si(value)


def one_of(name: str, given: Any, known: Sequence[Name]) -> Name:
    """One of some names."""
    found = [one for one in known if one == given]
    if not found:
        raise ArgumentError(f"{name}: {unknown(given, list(known))}")
    return found[0]


def instance(name: str, given: Any, kind: type[Kind], action: str) -> Kind:
    """A value of a class of ours; ``action`` says how to get one."""
    if not isinstance(given, kind):
        raise refused(name, f"{quoted(given)} is not a {kind.__name__}", f"a {kind.__name__}", action)
    return given


def mapping(name: str, given: Any, example: str) -> Mapping[Any, Any]:
    """A dict, or what is like one."""
    if not isinstance(given, Mapping):
        raise refused(name, f"{quoted(given)} is not a dict", "a dict", f"write {example}")
    return given


def sequence(name: str, given: Any, what: str) -> list[Any]:
    """Several of something, in order; a text is not taken for its letters."""
    if isinstance(given, str | bytes | dict) or not isinstance(given, Iterable):
        raise refused(name, f"{quoted(given)} is not a list", f"a list of {what}", "put it in brackets")
    return list(given)


def number(name: str, given: Any, fits: str, unit: str = "") -> float:
    """Any number; ``fits`` says which.  With an SI ``unit`` also a text or a quantity of that kind.

    >>> number("distance", "2 km", "a distance", "m"), number("distance", 2000, "a distance", "m")
    (2000.0, 2000.0)
    """
    if unit and isinstance(given, str | Quantity):
        example = f'write it like "2 {unit}"'
        try:
            return float((parse(given) if isinstance(given, str) else given).m_as(unit))
        except AnchorsimError as error:
            raise refused(name, str(error), fits, example) from None
        except TypeError:  # a unit of another kind, or several amounts
            raise refused(name, f"{quoted(given)} does not fit", fits, example) from None
    if isinstance(given, bool) or not isinstance(given, Real):
        raise refused(name, f"{quoted(given)} is not a number", fits, f"change {name}")
    return float(given)
