"""One finding of every kind, part and grade, for tests of several modules."""

from __future__ import annotations

from anchorsim.core.tables import table
from anchorsim.scenario.findings import OTHER, measure_of


def an_instance(kind: str, part: str, grade: str) -> dict[str, object]:
    """A finding of a kind, measured in the middle of its range where it is measured."""
    found: dict[str, object] = {"kind": kind, "part": part, "grade": grade}
    measure = measure_of(kind)
    if measure is not None:
        middle = (measure.low + measure.high) / 2
        found["measured"] = f"{middle:g} {measure.unit}" if measure.unit else middle
    if kind == OTHER:
        found["words"] = "Something that the table does not know"
    return found


EVERY = [an_instance(row["finding"], part, row.get("grade", "")) for row in table("findings")
         for part in row["part"].split("; ")]  # fmt: skip
