"""What every described thing shares: a frozen, validated value whose fields are declared once."""

from __future__ import annotations

import functools
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any

from pydantic import BaseModel, ConfigDict
from pydantic_core import PydanticCustomError, core_schema

from anchorsim.core import arguments
from anchorsim.core.errors import AnchorsimError
from anchorsim.core.tables import Choice, unknown
from anchorsim.core.units import Measure, quoted

Problem = tuple[str, str]  # the path of a field and what is wrong with it, as a sentence


def complaint(path: str, sentence: str, *more: Problem) -> PydanticCustomError:
    """An error about a field, raised where a rule takes in several; ``path`` is relative to the thing.

    ``more`` are further problems, where a thing has several at once.
    """
    return PydanticCustomError("at", "{sentence}", {"path": path, "sentence": sentence, "more": more})


def refuse(problems: Sequence[Problem]) -> None:
    """Raise all problems there are in one :func:`complaint`, where there are any."""
    if problems:
        (path, sentence), *more = problems
        raise complaint(path, sentence, *more)


@dataclass(frozen=True)
class OneOf:
    """Takes one of a few values, and neither ``true`` for 1 nor ``"40"`` for 40.

    Used as ``Annotated[int, OneOf("Legs", (1, 2))]`` in a model; without a label nothing varies it.
    """

    label: str
    options: Sequence[Any]

    def read(self, given: Any) -> Any:
        """The value.  Raises AnchorsimError with a sentence for people."""
        found = [
            one for one in self.options if one == given and isinstance(one, bool) == isinstance(given, bool)
        ]
        if found:
            return found[0]
        raise AnchorsimError(
            unknown(given, [one if isinstance(one, str) else quoted(one) for one in self.options])
        )

    def __get_pydantic_core_schema__(self, source: Any, handler: Any) -> core_schema.CoreSchema:
        return core_schema.no_info_before_validator_function(self.read, handler(source))


class Thing(BaseModel):
    """A frozen value that refuses keys it does not know.

    Fields that people set are declared ``Annotated[Quantity, Measure(...)]`` or
    ``Annotated[str, Choice(...)]``; :meth:`declared` gives those declarations back.
    """

    model_config = ConfigDict(frozen=True, extra="forbid", arbitrary_types_allowed=True, allow_inf_nan=False)

    @classmethod
    @functools.cache
    def declared(cls) -> Mapping[str, Measure | Choice]:
        """What is declared of each field that people set, in order."""
        entries = {name: info.metadata for name, info in cls.model_fields.items()}
        return MappingProxyType(
            {
                name: entry
                for name, row in entries.items()
                for entry in row
                if isinstance(entry, Measure | Choice)
            }
        )

    @classmethod
    @functools.cache
    def varied(cls) -> Mapping[str, Measure | Choice | OneOf]:
        """Those, and the fields that take one of a few values, in the order of the fields."""
        few = {
            name: entry
            for name, info in cls.model_fields.items()
            for entry in info.metadata
            if isinstance(entry, OneOf) and entry.label
        }
        either = {**cls.declared(), **few}
        return MappingProxyType({name: either[name] for name in cls.model_fields if name in either})

    @classmethod
    def measure(cls, name: str) -> Measure:
        """Label, unit and range of the quantity in field ``name``.  Raises ArgumentError without one."""
        found = {each: entry for each, entry in cls.declared().items() if isinstance(entry, Measure)}
        return found[arguments.one_of("name", name, list(found))]

    @classmethod
    def quantities(cls) -> list[str]:
        """The names of the fields that hold a quantity with a unit."""
        return [name for name, entry in cls.declared().items() if isinstance(entry, Measure) and entry.unit]
