"""CSV files whose columns are known by the words of their headings, with the unit in brackets or at the end.

``time``, ``mean wind [knot]``, ``gust_kn`` and ``wind_dir`` are such headings; what a table of some kind can
hold is told by its :class:`Role` s.  Columns that are none of these are left alone.
"""

from __future__ import annotations

import codecs
import csv
import itertools
import math
import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Literal, NamedTuple, TypeVar

from anchorsim.core.errors import AnchorsimError, sentence
from anchorsim.core.reading import COLUMNS, LINE, ROWS, TABLE, ReadError, brief_path, one_line_end, read_bytes
from anchorsim.core.tables import closest
from anchorsim.core.units import quoted

Taken = TypeVar("Taken")

TIMES = {"s": 1.0, "min": 60.0, "h": 3600.0}
SPEEDS = {"knot": 1852.0 / 3600.0, "m/s": 1.0, "mph": 1609.344 / 3600.0, "km/h": 1.0 / 3.6}
ANGLES = {"degree": math.pi / 180.0}
LENGTHS = {"m": 1.0, "ft": 0.3048}
_SPELLINGS = {
    "s": "s sec secs second seconds",
    "min": "min mins minute minutes",
    "h": "h hr hrs hour hours",
    "knot": "knot knots kn kt kts",
    "m/s": "m/s ms-1 m.s-1 mps",
    "mph": "mph mi/h",
    "km/h": "km/h kmh kph kmph",
    "degree": "degree degrees deg degs °",
    "m": "m metre metres meter meters",
    "ft": "ft foot feet",
}
_CANONICAL = {spelling: unit for unit, group in _SPELLINGS.items() for spelling in group.split()}
_BLANK = {"", "-", "--", "na", "n/a", "nan", "null", "none"}
# each can match in one way only, so that a long cell or heading takes no longer than it is
_NUMBER = re.compile(r"[-+]?(\d+(\.\d*)?|\.\d+)(e[-+]?\d+)?", re.I)
_CLOSING, _OPENING, _PART = re.compile(r"[\])]"), re.compile(r"[\[(]"), re.compile(r"[\s_]")


class ColumnError(AnchorsimError):
    """A CSV file that does not fit, with the line and the column."""


@dataclass(frozen=True)
class Role:
    """What a column can be: its heading has one of ``keys`` and nothing else beside but ``company``.

    ``bare``: whether a heading without a unit will do, always or where it has no brackets at all.
    """

    name: str
    keys: str
    company: str
    units: Mapping[str, float]
    example: str
    bare: Literal["never", "plain", "always"] = "never"

    def fits(self, words: set[str]) -> bool:
        keys = set(self.keys.split())
        return bool(words & keys) and words <= keys | set(self.company.split())

    @property
    def expected(self) -> str:
        *rest, last = self.units
        return f"{', '.join(rest)} or {last}" if rest else last


@dataclass(frozen=True)
class Column:
    index: int
    heading: str
    role: Role
    unit: str | None

    @property
    def factor(self) -> float:
        return self.role.units[self.unit] if self.unit else 1.0


class Cell(NamedTuple):
    """One cell: its text, with a decimal point and empty where it is blank, and where it stands."""

    text: str
    column: Column
    line: int

    @property
    def where(self) -> str:
        return f"line {self.line}, column {quoted(self.column.heading)}"

    def number(self, low: float, high: float, advice: str) -> float:
        """The number in SI units.  Raises ColumnError where it is not one from ``low`` to ``high``, in SI."""
        factor, number = self.column.factor, number_in(self.text)
        low, high = low / factor, high / factor
        if number is None or not low <= number <= high:
            wrong = f"{quoted(self.text)} is {'not a number' if number is None else 'out of range'}"
            raise fault(self.where, wrong, f"{low:.4g} to {high:.4g} {self.column.unit}", advice)
        return number * factor

    def bearing(self, what: str) -> float:
        """The direction in rad, NaN where it is blank.  Raises ColumnError where it is not a direction."""
        number = number_in(self.text)
        if not self.text:
            return math.nan
        if number is None or not 0.0 <= number <= 360.0:
            wrong = f"{quoted(self.text)} is {'not a number' if number is None else 'out of range'}"
            raise fault(self.where, wrong, f"{what}, 0 to 360", "correct it, or leave the cell blank")
        return math.radians(number)


CsvRow = Mapping[str, Cell]
"""The cells of a line by the names of their roles; of a column that is not there it holds none."""


def fault(where: str, wrong: str, expected: str, advice: str, got: str = "") -> ColumnError:
    return ColumnError(f"{where}: {sentence(wrong, expected, advice, got)}")


def number_in(cell: str) -> float | None:
    """The number that a text is, None where it is none."""
    value = float(cell) if _NUMBER.fullmatch(cell) else math.inf
    return value if abs(value) < 1e15 else None


def read_table(
    source: Path | str | Iterable[str],
    roles: Sequence[Role],
    needed: Sequence[Role],
    take: Callable[[Iterator[CsvRow]], Taken],
    most: int = ROWS,
) -> Taken:
    """What ``take`` makes of the rows of a CSV file (its path) or of lines of text, ``most`` of them.

    Cells are separated by commas, semicolons or tabs; with the latter two a decimal comma is understood.  A
    cell that is empty, ``NA``, ``NaN``, ``null`` or ``-`` is blank.  Raises ColumnError, with the file's name
    before all that ``take`` complains of.
    """
    if not isinstance(source, Path | str):
        return take(_rows(list(itertools.islice(source, most + 2)), roles, needed, most))
    path = Path(source)
    try:
        content = read_bytes(path, TABLE)
    except ReadError as error:
        raise ColumnError(str(error)) from None
    try:
        return take(_rows(_lines(content, most), roles, needed, most))
    except ColumnError as error:
        raise ColumnError(f"{brief_path(path.name)}, {error}") from None


def _lines(content: bytes, most: int) -> list[str]:
    """The lines of a file, one more than may be where there are that many."""
    text = one_line_end(_decode(content))
    return text.split("\n", most + 1)[: most + 2]


def _decode(raw: bytes) -> str:
    if raw.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        return raw.decode("utf-16", errors="replace")
    if b"\0" in raw or raw.startswith(b"PK"):
        raise fault("whole file", "this is not text", "CSV", "save it as CSV from the program that made it")
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError:
        return raw.decode("cp1252", errors="replace")  # what spreadsheet programs on Windows write


def _rows(lines: Sequence[str], roles: Sequence[Role], needed: Sequence[Role], most: int) -> Iterator[CsvRow]:
    _check_size(lines, most)
    heading = next((line for line in lines if line.strip()), None)
    if heading is None:
        raise fault(
            "whole file", "it is empty", "a heading line and at least two rows", "choose another file"
        )
    delimiter = max(",;\t", key=heading.count)
    rows = _parted(lines, delimiter)
    line, headings = next(rows, (0, [""]))
    if not line:
        raise fault(
            "whole file", "it holds no text", "a heading line and at least two rows", "choose another file"
        )
    where = f"line {line}"
    if len(headings) == 1:
        wrong, parted = (
            f"{quoted(heading.strip())} is a single column",
            "columns separated by commas, semicolons or tabs",
        )
        raise fault(where, wrong, parted, "save the file as CSV")
    if len(headings) > COLUMNS:
        got = str(len(headings))
        raise fault(where, "too many columns", f"at most {COLUMNS}", "delete those that are not needed", got)
    columns = _columns([cell.strip().removeprefix("\ufeff") for cell in headings], where, roles, needed)
    decimal = "." if delimiter == "," else ","
    for line, row in rows:
        yield _row(row, len(headings), columns, decimal, line)


def _check_size(lines: Sequence[str], most: int) -> None:
    if len(lines) > most + 1:
        raise fault("whole file", "too many rows", f"at most {most}", "use a part of it")
    for number, line in enumerate(lines, 1):
        if len(line) > LINE:
            fits = f"at most {LINE} characters"
            raise fault(f"line {number}", "the line is too long", fits, "shorten it", str(len(line)))


def _parted(lines: Sequence[str], delimiter: str) -> Iterator[tuple[int, list[str]]]:
    """The number of each line that holds something, and its cells."""
    reader = csv.reader(lines, delimiter=delimiter, skipinitialspace=True, strict=True)
    try:
        for row in reader:
            if any(map(str.strip, row)):
                yield reader.line_num, row
    except csv.Error as error:
        where = f"line {reader.line_num}"
        raise fault(
            where, f"this is not CSV ({error})", "quotation marks in pairs", "correct the line"
        ) from None


def _columns(
    headings: list[str], where: str, roles: Sequence[Role], needed: Sequence[Role]
) -> dict[str, Column]:
    found: dict[str, Column] = {}
    for index, heading in enumerate(headings):
        column = _column(index, heading, where, roles)
        if column and column.role.name in found:
            rival, name = found[column.role.name].heading, column.role.name
            wrong = f"{quoted(rival)} and {quoted(heading)} could both be the {name}"
            raise fault(where, wrong, "one such column", "rename or delete one, or join them")
        if column:
            found[column.role.name] = column
    for role in needed:
        if role.name not in found:
            near = closest(role.name, headings)
            advice = f"rename {quoted(near)}" if near else "rename a column"
            fits, got = f'a heading like "{role.example}"', quoted(", ".join(headings), 200)[1:-1]
            raise fault(where, f"no column is the {role.name}", fits, advice, got)
    return found


def _column(index: int, heading: str, where: str, roles: Sequence[Role]) -> Column | None:
    bracketed = _in_brackets(heading)
    last = _PART.split(heading)[-1]
    for words, written in filter(None, (bracketed, (heading.removesuffix(last), last))):
        role, unit = _role(words, roles), _CANONICAL.get(written.strip().lower())
        if role and unit in role.units:
            return Column(index, heading, role, unit)
    role = _role(heading, roles) or (_role(bracketed[0], roles) if bracketed else None)
    if role is None:
        return None
    plain = _role(heading, roles) is not None
    if role.bare == "always" or (role.bare == "plain" and plain):
        return Column(index, heading, role, None)
    wrong = "there is no unit" if plain or not bracketed else f"{quoted(bracketed[1])} is not a known unit"
    advice = f'write the heading like "{role.example}"'
    raise fault(f"{where}, column {quoted(heading)}", wrong, role.expected, advice)


def _in_brackets(heading: str) -> tuple[str, str] | None:
    """The words of a heading and the unit in the brackets that it ends with; None where it has none."""
    if not heading.endswith(("]", ")")):
        return None
    _, *unit = _OPENING.split(_CLOSING.split(heading)[-2], maxsplit=1)
    return (heading[: len(heading) - len(unit[0]) - 2], unit[0]) if unit else None


def _role(heading: str, roles: Sequence[Role]) -> Role | None:
    parted = re.sub(r"(?<=[a-z])(?=[A-Z])", " ", heading).lower()
    words = set(re.findall(r"[^\W\d_]+|\d+|[^\w\s()\[\]-]", parted))
    return next((role for role in roles if role.fits(words)), None)


def _row(row: list[str], width: int, columns: Mapping[str, Column], decimal: str, line: int) -> CsvRow:
    if len(row) != width:
        advice = "look for a missing or stray separator, or a decimal comma"
        raise fault(f"line {line}", f"there are {len(row)} cells", f"{width} as in the heading line", advice)
    cells = {}
    for name, column in columns.items():
        text = row[column.index].strip()
        text = "" if text.lower() in _BLANK else text.replace(decimal, ".")
        cells[name] = Cell(text, column, line)
    return cells
