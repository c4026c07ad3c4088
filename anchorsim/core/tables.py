"""Typed access to the folder ``data``: published tables, each row with its source and the kind of source.

A table is a CSV file whose column headings carry the unit in brackets, ``break [kN]``; numbers are handed
out in SI base units (angles in radians).  Every row ends with ``source`` and ``kind``: the kind is that of
the figures the row is there for, and the source says of any other figure in it where that comes from.
"""

from __future__ import annotations

import csv
import difflib
import functools
import math
import re
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any

from pydantic_core import core_schema

from anchorsim.core.errors import AnchorsimError, TableError, sentence
from anchorsim.core.resources import folder
from anchorsim.core.units import quantity, quoted, si

KINDS = ("published", "common practice, no source", "from memory", "judgement")
_LONGEST = 60  # characters of a given name that are compared with the known ones
_HEADING = re.compile(r"(?P<name>[^\[\]]+?)(?: \[(?P<unit>[^\]]+)\])?")


@dataclass(frozen=True)
class Row(Mapping[str, Any]):
    """One row: numbers in SI, texts as they stand, absent cells left out."""

    cells: Mapping[str, float | str]
    source: str
    kind: str

    def __getitem__(self, name: str) -> Any:
        return self.cells[name]

    def __iter__(self) -> Iterator[str]:
        return iter(self.cells)

    def __len__(self) -> int:
        return len(self.cells)


@functools.cache
def table(name: str) -> tuple[Row, ...]:
    """The rows of ``data/<name>.csv``.

    Raises AnchorsimError where a row has no source, an unknown kind, or a number that is none or not finite.
    """
    path = folder("data") / f"{name}.csv"
    with path.open(encoding="utf-8", newline="") as file:
        reader = csv.DictReader(file, strict=True)
        return tuple(_row(cells, f"{path.name} line {reader.line_num}") for cells in reader)


def _row(cells: dict[str, Any], where: str) -> Row:
    source, kind = cells.pop("source", None), cells.pop("kind", None)
    if None in cells or not source or kind not in KINDS:
        wrong, fits = "no source, or an unknown kind", f"a source and one of {', '.join(KINDS)}"
        raise AnchorsimError(f"data/{where}: {sentence(wrong, fits, got=f'{source!r} and {kind!r}')}")
    values: dict[str, float | str] = {}
    for heading, cell in cells.items():
        found = _HEADING.fullmatch(heading)
        if not found:
            wrong = f"the column heading {heading!r} does not fit"
            said = sentence(wrong, "'name' or 'name [unit]'")
            raise AnchorsimError(f"data/{where}: {said}")
        if cell:
            values[found["name"]] = _value(cell, found["unit"], f"data/{where}: {heading}")
    return Row(MappingProxyType(values), source, kind)


def _value(cell: str, unit: str | None, where: str) -> float | str:
    if unit is None:
        return cell
    try:
        number = float(cell)
    except ValueError:
        number = math.nan
    if not math.isfinite(number):
        raise AnchorsimError(f"{where}: {sentence('not a number', 'a finite number', got=repr(cell))}")
    return si(quantity(number, "" if unit == "1" else unit))


@functools.cache
def pick(name: str, **keys: str) -> Row:
    """The one row of a table whose text columns match.

    Raises TableError with the nearest known name where there is none.
    """
    rows = [row for row in table(name) if all(row.get(key) == value for key, value in keys.items())]
    if len(rows) == 1:
        return rows[0]
    key, value = next(iter(keys.items()))
    raise TableError(f"{key} in data/{name}.csv: {unknown(value, Choice('', name, key).options)}")


def unknown(given: Any, known: list[str]) -> str:
    """The sentence that refuses a name.

    >>> unknown("firm snad", ["firm sand", "soft mud"])
    '"firm snad" is not known. Expected one of firm sand, soft mud; did you mean firm sand?'
    """
    near = nearest(given, known) if isinstance(given, str) and given not in known else ""
    advice = "" if near else "choose one of them"
    if given in known:
        advice = f"write {given} without quotation marks"
    return sentence(f"{quoted(given)} is not known", f"one of {', '.join(known)}{near}", advice)


def nearest(given: str, known: list[str]) -> str:
    """A clause that offers the nearest known name, or nothing.

    >>> nearest("firm snad", ["firm sand", "soft mud"])
    '; did you mean firm sand?'
    """
    found = closest(given, known)
    return f"; did you mean {found}?" if found else ""


def closest(given: str, known: list[str]) -> str | None:
    """The known name that is most like a given one, None where none is."""
    match = difflib.get_close_matches(
        given[:_LONGEST].lower(), [name[:_LONGEST].lower() for name in known], n=1, cutoff=0.5
    )
    return next((name for name in known if [name[:_LONGEST].lower()] == match), None)


@dataclass(frozen=True)
class Choice:
    """What is said once about a field that takes a name out of a table: its label and where the names stand.

    Used as ``Annotated[str, Choice(...)]`` in a model.
    """

    label: str
    table: str
    column: str

    @property
    def options(self) -> list[str]:
        """The names in the order of the table."""
        return list(dict.fromkeys(str(row[self.column]) for row in table(self.table)))

    def read(self, given: Any) -> str:
        """The name, where the table knows it.  Raises AnchorsimError with a sentence for people."""
        if isinstance(given, str) and given in self.options:
            return given
        raise AnchorsimError(unknown(given, self.options))

    def __get_pydantic_core_schema__(self, source: Any, handler: Any) -> core_schema.CoreSchema:
        return core_schema.no_info_plain_validator_function(self.read)


@functools.cache
def catalogue() -> Mapping[str, Mapping[str, Any]]:
    """The invented boats of ``data/boats.toml``, by model name, as they would stand in a scenario file."""
    with (folder("data") / "boats.toml").open("rb") as file:
        return MappingProxyType({name: MappingProxyType(row) for name, row in tomllib.load(file).items()})
