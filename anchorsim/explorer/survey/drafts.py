"""Findings as they are entered: each is recorded once all that its kind asks for is there.

Nobody's measurement is made up, and one that does not fit a worn part is asked about.  What was entered
stays, recorded or not, until the person deletes it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any

from pydantic import ValidationError

from anchorsim.core.units import Quantity, quantity, si
from anchorsim.scenario.findings import OTHER, Finding, grades_of, measure_of, rows_of
from anchorsim.scenario.scenario import Scenario

_HELD = ("grade", "words", "action", "note", "photographs")
_ACROSS = ("section", "link wear", "rope wear")  # a worn bar is measured twice, at right angles


@dataclass(frozen=True)
class Row:
    """What was measured at one place: a figure, and a second one across it where the kind takes two."""

    place: str = ""
    values: tuple[Any, ...] = (None, None)

    @property
    def given(self) -> tuple[Any, ...]:
        """The figures that were entered."""
        return tuple(value for value in self.values if value is not None)


@dataclass(frozen=True)
class Draft:
    """A finding as far as it was entered.

    ``key`` tells it from the others of a screen; ``finding`` is what was valid last, None where nothing is
    recorded; ``doubted`` is a figure (row, column, value) that waits to be confirmed; ``wrong`` says what
    does not fit.
    """

    key: int
    part: str
    kind: str
    grade: str = ""
    rows: tuple[Row, ...] = (Row(),)
    words: str = ""
    action: str = ""
    note: str = ""
    photographs: tuple[str, ...] = ()
    finding: Finding | None = None
    doubted: tuple[int, int, Any] | None = None
    wrong: str = ""

    @property
    def missing(self) -> tuple[str, ...]:
        """What is still asked for: words, grade, measured."""
        wanted = {
            "words": self.kind == OTHER and not self.words.strip(),
            "grade": not self.grade and "" not in grades_of(self.kind),
            "measured": measure_of(self.kind) is not None and not any(row.given for row in self.rows),
        }
        return tuple(name for name, is_wanted in wanted.items() if is_wanted)

    def entering(self, **entered: Any) -> Draft:
        """The draft with more entered; recorded where it is whole and valid."""
        draft = replace(self, **{"doubted": None, "wrong": "", **entered})
        if draft.missing:
            return draft
        held = {name: getattr(draft, name) for name in _HELD}
        try:
            found = Finding.model_validate(
                {"kind": draft.kind, "part": draft.part, **held, **_measured(draft.rows)}
            )
        except ValidationError as error:
            return replace(draft, wrong=first_problem(error)[1])
        return replace(draft, finding=found)

    def measuring(self, at: tuple[int, int], value: Any, scenario: Scenario, *, sure: bool = False) -> Draft:
        """The draft with a figure (row, column), which waits where a worn part cannot have it.

        ``value`` is None to take one back; ``sure`` that it was confirmed.
        """
        new = as_new(scenario, self.part, self.kind)
        if not sure and value is not None and new is not None and si(value) > si(new) * (1 + 1e-9):
            return replace(self, doubted=(*at, value))
        row, column = at
        values = tuple(value if i == column else held for i, held in enumerate(self.rows[row].values))
        return self.entering(rows=_with(self.rows, row, replace(self.rows[row], values=values)))

    def placing(self, row: int, place: str) -> Draft:
        """The draft with a row's place named."""
        return self.entering(rows=_with(self.rows, row, replace(self.rows[row], place=place)))

    def without(self, row: int) -> Draft:
        """The draft without a row."""
        return self.entering(rows=(*self.rows[:row], *self.rows[row + 1 :]) or (Row(),))

    @property
    def counts(self) -> int | None:
        """Which of several rows counts: the worst, by its mean; None where there is but one figure."""
        held = self.finding.readings if self.finding else ()
        filled = [i for i, row in enumerate(self.rows) if row.given]
        if self.finding is None or len(held) != len(filled) or len(held) < 2:
            return None
        worst = _plain(self.finding.measured)
        off = [abs(sum(map(_plain, one.measured)) / len(one.measured) - worst) for one in held]
        return filled[off.index(min(off))]


def _plain(value: Any) -> float:
    return float(value) if isinstance(value, int | float) else si(value)


def _with(rows: tuple[Row, ...], at: int, row: Row) -> tuple[Row, ...]:
    return (*rows[:at], row, *rows[at + 1 :])


def _measured(rows: tuple[Row, ...]) -> dict[str, Any]:
    """As a file has it: one figure by itself, or the readings of several places."""
    filled = [row for row in rows if row.given]
    if not filled:
        return {}
    if len(filled) == 1 and len(filled[0].given) == 1 and not filled[0].place:
        return {"measured": filled[0].given[0]}
    return {"readings": tuple({"place": row.place, "measured": row.given} for row in filled)}


def _rows(finding: Finding) -> tuple[Row, ...]:
    if finding.readings:
        return tuple(
            Row(one.place, (*one.measured, None)[: max(2, len(one.measured))]) for one in finding.readings
        )
    return (Row("", (finding.measured, None)),)


def across(kind: str) -> bool:
    """Whether a second figure is taken across the first."""
    return rows_of(kind)[0].get("law", "") in _ACROSS


def drafted(findings: Iterable[Finding], first: int = 0) -> tuple[Draft, ...]:
    """Drafts of what is recorded, with keys from ``first`` on."""
    return tuple(
        Draft(
            first + i,
            one.part,
            one.kind,
            rows=_rows(one),
            finding=one,
            **{name: getattr(one, name) for name in _HELD},
        )
        for i, one in enumerate(findings)
    )


def recorded(drafts: Iterable[Draft]) -> tuple[Finding, ...]:
    """The findings that are whole, in the order in which they were begun."""
    return tuple(draft.finding for draft in drafts if draft.finding is not None)


def as_new(scenario: Scenario, part: str, kind: str) -> Quantity | None:
    """What a part measures as new, where its own size says so and wear is measured from it."""
    find = _SOUND.get(str(rows_of(kind)[0].get("law", "")))
    return find(scenario, part) if find else None


def _chain(scenario: Scenario, part: str) -> Quantity:
    return quantity(float(scenario.tackle.chain.row()["diameter"]), "m")


def _fitting(scenario: Scenario, part: str) -> Quantity:
    fittings = scenario.tackle.fittings
    found: Any = fittings.swivel if part == "swivel" else fittings.anchor_shackle
    return quantity(float(found.row(si(_chain(scenario, part)))["diameter"]), "m")


def _rope(scenario: Scenario, part: str) -> Quantity:
    return scenario.tackle.rope.diameter if part == "rope" else scenario.tackle.snubber.diameter


_SOUND: Mapping[str, Callable[[Scenario, str], Quantity]] = {
    "section": _fitting, "link wear": _chain, "rope wear": _rope,
}  # fmt: skip


def first_problem(error: ValidationError) -> tuple[str, str]:
    """Where the first of what is wrong stands, and the sentence about it."""
    first = error.errors()[0]
    context = first.get("ctx", {})
    path = ".".join(filter(None, [*map(str, first["loc"]), str(context.get("path", ""))]))
    return path, str(context.get("sentence") or context.get("error") or first["msg"])
