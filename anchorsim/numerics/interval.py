"""A figure that is known only so well: its likely value, and how far it may lie off."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Literal

from anchorsim.core.arguments import refused
from anchorsim.core.display import Facts, Tabled
from anchorsim.core.units import Quantity, quantity, quoted

Kind = Literal["bounds", "95 % confidence", "lowest and highest", "1 in 20 beyond each end"]


@dataclass(frozen=True, slots=True, repr=False)
class Interval(Tabled):
    """A figure with its range.  As a sequence it is low, likely, high.

    Attributes
    ----------
    low, likely, high : float
        In ``unit``; an end of which nothing is known is infinite.
    unit : str
        SI, as pint spells it; empty for a pure number.
    kind : {"bounds", "95 % confidence", "lowest and highest", "1 in 20 beyond each end"}
        What the ends are: the least and the most that it can be, what a sample says of its likely value, the
        least and the greatest of some spells, or what one of twenty spells passes at each end.
    quantity : quantity
        The likely value with its unit.

    Raises
    ------
    ArgumentError
        Where the three are out of order.

    Examples
    --------
    >>> Interval(1900.0, 2600.0, 3000.0, unit="N").to("kN")
    <Interval: low 1.9 kN, likely 2.6 kN, high 3 kN, kind bounds>
    """

    low: float
    likely: float
    high: float
    unit: str = field(default="", kw_only=True)
    kind: Kind = field(default="bounds", kw_only=True)

    def __post_init__(self) -> None:
        if not self.low <= self.likely <= self.high:
            wrong = f"{self.low:g}, {self.likely:g}, {self.high:g} are out of order"
            raise refused("interval", wrong, "low, likely, high", "give them in that order")

    def __iter__(self) -> Iterator[float]:
        """Low, likely, high."""
        return iter((self.low, self.likely, self.high))

    def __mul__(self, other: Interval | float) -> Interval:
        """Term by term; what has no unit takes that of the other."""
        by = other if isinstance(other, Interval) else Interval(other, other, other)
        return Interval(
            self.low * by.low,
            self.likely * by.likely,
            self.high * by.high,
            unit=self.unit or by.unit,
            kind=self.kind,
        )

    def __truediv__(self, other: Interval) -> Interval:
        """The low over the other's high, the likely over its likely, the high over its low, without a unit.

        Over nothing it is infinite, and nothing over nothing is 0.
        """
        ends = ((self.low, other.high), (self.likely, other.likely), (self.high, other.low))
        return Interval(*(_ratio(*pair) for pair in ends), kind=self.kind)

    def least(self, other: Interval) -> Interval:
        """The smaller of this and the ``other``, end by end."""
        ends = (min(mine, theirs) for mine, theirs in zip(self, other, strict=True))
        return Interval(*ends, unit=self.unit or other.unit, kind=self.kind)

    def to(self, unit: str) -> Interval:
        """The same in another ``unit``.  Raises ArgumentError where that measures something else."""
        try:
            ends = [float(quantity(end, self.unit).m_as(unit)) for end in self]
        except (AttributeError, TypeError):  # an unknown unit, and one of another kind
            fits = f"one that {self.unit} goes into" if self.unit else "none, for it is a pure number"
            raise refused("unit", f"{quoted(unit)} does not fit", fits, "choose another") from None
        return Interval(*ends, unit=unit, kind=self.kind)

    @property
    def quantity(self) -> Quantity:
        """The likely value with its unit."""
        return quantity(self.likely, self.unit)

    def _facts(self) -> Facts:
        ends = ("low", "likely", "high")
        figures = [(name, f"{end:.3g} {self.unit}".rstrip()) for name, end in zip(ends, self, strict=True)]
        return [*figures, ("kind", self.kind)]


def exactly(value: float, unit: str = "") -> Interval:
    """A figure that is known."""
    return Interval(value, value, value, unit=unit)


WHOLE = exactly(1.0)


def _ratio(above: float, below: float) -> float:
    if below > 0:
        return above / below
    return float("inf") if above > 0 else 0.0
