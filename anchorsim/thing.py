"""What every described thing shares: a frozen, validated value whose quantities are declared once."""

from __future__ import annotations

from typing import Any

from pydantic import BaseModel, ConfigDict

from anchorsim.units import Measure


class Thing(BaseModel):
    """A frozen value that refuses keys it does not know.

    Fields that people set are declared ``Annotated[Quantity, Measure(...)]``; :meth:`measure` gives that
    declaration back by name.
    """

    model_config = ConfigDict(frozen=True, extra="forbid", arbitrary_types_allowed=True, allow_inf_nan=False)

    @classmethod
    def measure(cls, name: str) -> Measure:
        """The label, unit and range of a field.  Raises KeyError where it is no measured quantity."""
        return cls.measures()[name]

    @classmethod
    def measures(cls) -> dict[str, Measure]:
        """All measured fields in the order they are declared."""
        return {name: found for name, info in cls.model_fields.items() if (found := _declared(info.metadata))}


def _declared(metadata: list[Any]) -> Measure | None:
    return next((entry for entry in metadata if isinstance(entry, Measure)), None)
