"""The parts table, what was found on each part, and where the figures come from."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from anchorsim.core.tables import KINDS
from anchorsim.core.units import System
from anchorsim.report.photographs import Photograph, photograph
from anchorsim.scenario.scenario import Scenario
from anchorsim.strength.capacity import PartState
from anchorsim.strength.degradation import effect
from anchorsim.survey.weakest_link import Appraisal
from anchorsim.wording import amounts, findings
from anchorsim.wording.amounts import AmountText
from anchorsim.wording.cautions import NOT_FIT, Caution
from anchorsim.wording.sources import KINDS as KIND_NAMES
from anchorsim.wording.terms import local
from anchorsim.wording.weakest_link import ONLY_AT_RUN_OUT


@dataclass(frozen=True)
class PartRow:
    """A line of the parts table, all in words; ``after`` is the utilisation once all is done."""

    name: str
    mark: str
    load: AmountText
    wll: AmountText
    strength_left: AmountText
    as_new: str
    used: AmountText
    safety: AmountText
    after: str
    found: tuple[str, ...]
    spare: str
    reference: int


@dataclass(frozen=True)
class FindingEntry:
    """A finding with all that belongs to it."""

    part: str
    name: str
    what: str
    check: str
    warning: Caution | None
    measured: str
    leaves: str
    behaviour: str
    urgency: str
    note: str
    photographs: tuple[Photograph, ...]


@dataclass(frozen=True)
class Source:
    """A source as the list of them has it: its number, what it is for, and what it is worth."""

    number: int
    text: str
    kind: str
    serves: str


class Sources:
    """Sources as they come up, numbered in that order, each once."""

    def __init__(self) -> None:
        self._found: dict[tuple[str, str], list[str]] = {}

    def refer(self, text: str, kind: str, serves: str) -> int:
        """The number of a source, which is a new one where it has not come up yet."""
        what = self._found.setdefault((text, kind), [])
        if serves not in what:
            what.append(serves)
        return list(self._found).index((text, kind)) + 1

    def listed(self) -> dict[str, list[Source]]:
        """All of them by kind, the best founded kind first."""
        entries = [
            Source(number, text, kind, amounts.listed(serves))
            for number, ((text, kind), serves) in enumerate(self._found.items(), 1)
        ]
        by_kind = {kind: [entry for entry in entries if entry.kind == kind] for kind in KINDS}
        return {KIND_NAMES[kind]: found for kind, found in by_kind.items() if found}


def part_rows(
    before: Appraisal, after: Appraisal | None, sources: Sources, system: System
) -> tuple[PartRow, ...]:
    """The parts in line from the anchor aft, the bitter end last."""
    later = {part.key: part for part in after.parts} if after else {}
    return tuple(_part_row(part, before, later.get(part.key), sources, system) for part in before.parts)


def _part_row(
    part: PartState, all_of_it: Appraisal, later: PartState | None, sources: Sources, system: System
) -> PartRow:
    new = part.as_new
    unchanged = part.wll == new.wll and part.strength_left == new.mbl
    as_new = f"WLL {amounts.span(new.wll, system)}, MBL {amounts.span(new.mbl, system)}"
    return PartRow(
        name=local(part.name, system),
        mark=_mark(part, all_of_it),
        load=amounts.span(part.load, system),
        wll=amounts.span(part.wll, system),
        strength_left=amounts.span(part.strength_left, system),
        as_new="" if unchanged else as_new,
        used=amounts.percents(part.utilisation),
        safety=amounts.factors(part.safety_factor),
        after=_after(part, later, system),
        found=tuple(dict.fromkeys(findings.named(entry.finding, system) for entry in part.effects)),
        spare=f"{amounts.upper(ONLY_AT_RUN_OUT)}." if part.spare else "",
        reference=sources.refer(new.source, new.kind, amounts.lower(findings.part(part.key, system))),
    )


def _mark(part: PartState, all_of_it: Appraisal) -> str:
    """What must be seen at once of a part."""
    marks = []
    if part.unfit:
        marks.append("do not use")
    if part is all_of_it.weakest:
        marks.append("weakest link")
    elif part is all_of_it.next_weakest:
        marks.append("next weakest")
    return "; ".join(marks)


def _after(part: PartState, later: PartState | None, system: System) -> str:
    if later is None:
        return amounts.NONE
    renamed = f" ({local(later.name, system)})" if later.name != part.name else ""
    return f"{amounts.percent(later.utilisation.likely)}{renamed}"


def finding_entries(scenario: Scenario, sources: Sources, system: System) -> dict[str, list[FindingEntry]]:
    """What was found, by the part's label, in the order of the walk."""
    folder = scenario.folder or Path()
    entries: dict[str, list[FindingEntry]] = {}
    for finding in scenario.survey.findings:
        found, row = effect(scenario, finding), finding.row()
        sources.refer(
            row.source, row.kind, f"finding “{amounts.lower(findings.title(finding.kind, system))}”"
        )
        entry = FindingEntry(
            part=findings.part(finding.part, system),
            name=findings.named(finding, system),
            what=findings.what(finding, system),
            check=findings.how_to_check(finding.kind, system),
            warning=NOT_FIT if found.unfit else None,
            measured=findings.measured(found, system),
            leaves=findings.leaves(found),
            behaviour=findings.behaviour(finding, system),
            urgency=findings.WHEN[found.urgency].lower(),
            note=finding.note,
            photographs=tuple(photograph(folder, name) for name in finding.photographs),
        )
        entries.setdefault(entry.part, []).append(entry)
    return entries
