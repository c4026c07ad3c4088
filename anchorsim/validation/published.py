"""Every published check of the computation, in one place: the table ``data/published_checks.csv``.

The tests and the notebook ``how_we_know`` are both made from :func:`checks`.  What the package makes of each
case is in ``recomputed``; where a value is printed, how it was obtained and how near ours must come stands in
the table, one row a check.  Unless a row states a tolerance and its reason, it is half of the last digit that
is printed.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from types import MappingProxyType

from anchorsim.core.tables import Row, table, unknown
from anchorsim.validation.recomputed import CALCULATED, LOOKED_UP

OBTAINED = MappingProxyType({
    "read": "read in the source",
    "reprint": "read in a reprint",
    "worked": "calculated by hand from the source's formula",
    "from memory": "from memory, not checked against its source",
    "practice": "common practice, no source",
})  # fmt: skip

_TABLE = "published_checks"
_WORDS = " | "  # between the words of an id: "chain break | 8 mm | 40"
_ANGLE = re.compile(r"(\d+)° (\d+)′ (\d+(?:\.(\d+))?)″")
_FRACTION = re.compile(r"(\d+)/(\d+)")
_DECIMAL = re.compile(r"([-−]?\d*(?:(?<=\d)|\.(\d+)))(?:E([-+]\d+))?")
_ROUNDING = 1.0 + 1e-6  # floats of a printed decimal and of its half digit are off by a last bit


@dataclass(frozen=True)
class Check:
    """One published value beside ours.

    ``printed`` is the text as it is printed and ``value`` what it says; that, ``ours``, ``difference`` (ours
    less the printed one) and ``tolerance`` are in ``unit``.  ``reason`` says why the tolerance is not half of
    the last digit, and is blank where it is.  ``obtained`` is a key of ``OBTAINED``.  ``calculated`` tells
    what the package calculates from what it only reads back from its tables.
    """

    id: str
    subject: str
    what: str
    inputs: str
    source: str
    obtained: str
    printed: str
    value: float
    unit: str
    ours: float
    tolerance: float
    reason: str
    calculated: bool

    @property
    def difference(self) -> float:
        """Ours less the printed value."""
        return self.ours - self.value

    @property
    def within(self) -> bool:
        """Whether ours comes as near as it must."""
        return abs(self.difference) <= self.tolerance * _ROUNDING


def checks() -> tuple[Check, ...]:
    """All checks in the order of the table, calculated each time.

    Raises LookupError where a row has no function or a function no row, ValueError where a row is wrong.
    """
    rows = table(_TABLE)
    found = tuple(_check(row) for row in rows)
    names = [check.id for check in found]
    twice = {name for name in names if names.count(name) > 1}
    if twice:
        raise ValueError(f"data/{_TABLE}.csv: needed each id once, was given twice: {sorted(twice)}")
    idle = {*CALCULATED, *LOOKED_UP} - {_family(name) for name in names}
    if idle:
        raise LookupError(
            f"data/{_TABLE}.csv: needed a row for each family, was given none of {sorted(idle)}"
        )
    return found


def _family(name: str) -> str:
    return name.split(_WORDS, 1)[0]


def _check(row: Row) -> Check:
    name = str(row["id"])
    family, *words = name.split(_WORDS)
    known = {**CALCULATED, **LOOKED_UP}
    where = f"data/{_TABLE}.csv: {name}"
    if family not in known:
        raise LookupError(f"{where}: {unknown(family, sorted(known))}")
    if row["obtained"] not in OBTAINED:
        raise ValueError(f"{where}: {unknown(row['obtained'], list(OBTAINED))}")
    value, half = read_printed(row["printed"], where)
    tolerance, reason = row.get("tolerance"), row.get("reason", "")
    if bool(tolerance) != bool(reason) or not (tolerance or half):
        raise ValueError(f"{where}: needed a tolerance and its reason, or neither, was given {tolerance!r}")
    return Check(
        id=name,
        subject=row["subject"],
        what=row["what"],
        inputs=row.get("inputs", ""),
        source=row.source,
        obtained=row["obtained"],
        printed=row["printed"],
        value=value,
        unit=row.get("unit", ""),
        ours=float(known[family](*words)),
        tolerance=float(tolerance) if tolerance else half,
        reason=reason,
        calculated=family in CALCULATED,
    )


def read_printed(text: str, where: str = "printed") -> tuple[float, float]:
    """What a printed number says, and half of its last digit (0 for a fraction, which has none).

    Angles are in degrees.

    >>> read_printed("736 938"), read_printed("−0.50"), read_printed("9.071 847 E+02"), read_printed("3/64")
    ((736938.0, 0.5), (-0.5, 0.005), (907.1847, 5e-05), (0.046875, 0.0))
    """
    angle = _ANGLE.fullmatch(text)
    if angle:
        whole, minutes, seconds, decimals = angle.groups()
        value = int(whole) + int(minutes) / 60 + float(seconds) / 3600
        return value, 0.5 * 10.0 ** -len(decimals or "") / 3600
    fraction = _FRACTION.fullmatch(text)
    if fraction:
        return int(fraction[1]) / int(fraction[2]), 0.0
    decimal = _DECIMAL.fullmatch(text.replace(" ", ""))
    if not decimal:
        raise ValueError(f"{where}: needed a number as printed, was given {text!r}")
    number, decimals, power = decimal[1].replace("−", "-"), decimal[2] or "", int(decimal[3] or 0)
    return float(f"{number}e{power}"), float(f"5e{power - len(decimals) - 1}")
