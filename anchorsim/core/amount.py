"""What a result carries: amounts with their units for who reads it, SI floats for the inside.

A result holds its amounts once, as floats, in the frozen value ``si``.  Each attribute that has a unit is an
:class:`Amount`: the float, or the array, of the same name there, as a quantity.
"""

from __future__ import annotations

from typing import Any, Protocol, overload

from anchorsim.core.units import Quantity, quantity


class Result(Protocol):
    """What has its amounts in SI at ``si``."""

    @property
    def si(self) -> Any:
        """A frozen value of SI floats and arrays of them."""


class Amount:
    """An attribute with a unit: that of the same name in the result's ``si``, as a quantity.

    ``unit`` is what ``si`` has it in, as pint spells it.

    >>> from types import SimpleNamespace
    >>> class Gust:
    ...     speed = Amount("m/s")
    ...     si = SimpleNamespace(speed=10.0)
    >>> f"{Gust().speed.to('km/h'):.0f~P}"
    '36 km/h'
    """

    def __init__(self, unit: str) -> None:
        self.unit = unit
        self.name = ""

    def __set_name__(self, owner: type, name: str) -> None:
        self.name = name

    @overload
    def __get__(self, result: None, owner: type) -> Amount: ...

    @overload
    def __get__(self, result: Result, owner: type | None = None) -> Quantity: ...

    def __get__(self, result: Result | None, owner: type | None = None) -> Amount | Quantity:
        return self if result is None else quantity(getattr(result.si, self.name), self.unit)
