"""The parts table, what was found on each part, and where the figures come from."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from anchorsim.core.tables import KINDS, pick
from anchorsim.core.units import System
from anchorsim.numerics.interval import WHOLE, Interval
from anchorsim.report.photographs import Photograph, photograph
from anchorsim.scenario.findings import Finding
from anchorsim.scenario.scenario import Scenario
from anchorsim.strength.capacity import PartState
from anchorsim.strength.degradation import Effect, effect
from anchorsim.survey.weakest_link import Appraisal
from anchorsim.wording import amounts
from anchorsim.wording.amounts import Told


@dataclass(frozen=True)
class PartRow:
    """A line of the parts table, all in words; ``after`` is the utilisation once all is done."""

    name: str
    mark: str
    load: Told
    wll: Told
    strength_left: Told
    as_new: str
    used: Told
    safety: Told
    after: str
    found: tuple[str, ...]
    spare: bool
    reference: int


@dataclass(frozen=True)
class FindingEntry:
    """A finding with all that belongs to it."""

    part: str
    name: str
    what: str
    look: str
    measured: str
    means: str
    urgency: str
    behaviour: str
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
        return {kind: found for kind, found in by_kind.items() if found}


def label(key: str) -> str:
    """What a part is called, by its name in ``data/parts.csv``."""
    return str(pick("parts", part=key)["label"])


def part_rows(
    before: Appraisal, after: Appraisal | None, sources: Sources, system: System
) -> tuple[PartRow, ...]:
    """The parts in line from the anchor aft, the bitter end last."""
    later = {part.key: part for part in after.parts} if after else {}
    return tuple(_part_row(part, before, later.get(part.key), sources, system) for part in before.parts)


def _part_row(
    part: PartState, all_of_it: Appraisal, later: PartState | None, sources: Sources, system: System
) -> PartRow:
    sound = part.sound
    new = part.wll == sound.wll and part.strength_left == sound.mbl
    as_new = f"{amounts.span(sound.wll, system)}, breaks at {amounts.span(sound.mbl, system)}"
    return PartRow(
        name=part.name,
        mark=_mark(part, all_of_it),
        load=amounts.span(part.load, system),
        wll=amounts.span(part.wll, system),
        strength_left=amounts.span(part.strength_left, system),
        as_new="" if new else as_new,
        used=amounts.percents(part.utilisation),
        safety=amounts.factors(part.safety_factor),
        after=_after(part, later),
        found=tuple(dict.fromkeys(named(entry.finding) for entry in part.effects)),
        spare=part.spare,
        reference=sources.refer(sound.source, sound.kind, amounts.lower(label(part.key))),
    )


def _mark(part: PartState, all_of_it: Appraisal) -> str:
    """What must be seen at once of a part."""
    marks = []
    if part.condemned:
        marks.append("do not use")
    if part is all_of_it.weakest:
        marks.append("weakest link")
    elif part is all_of_it.next_weakest:
        marks.append("next weakest")
    return "; ".join(marks)


def _after(part: PartState, later: PartState | None) -> str:
    if later is None:
        return amounts.NONE
    renamed = f" ({later.name})" if later.name != part.name else ""
    return f"{amounts.percent(later.utilisation.likely)}{renamed}"


def named(finding: Finding) -> str:
    """A finding with its grade, as a heading."""
    return amounts.upper(f"{finding.kind}, {finding.grade}" if finding.grade else finding.kind)


def finding_entries(scenario: Scenario, sources: Sources, system: System) -> dict[str, list[FindingEntry]]:
    """What was found, by the part's label, in the order of the walk."""
    folder = scenario.folder or Path()
    entries: dict[str, list[FindingEntry]] = {}
    for finding in scenario.survey.findings:
        found = effect(scenario, finding, system)
        row = finding.row()
        sources.refer(row.source, row.kind, f"finding “{finding.kind}”")
        entry = FindingEntry(
            part=label(finding.part),
            name=named(finding),
            what=str(row["what"]),
            look=str(row["look"]),
            measured=found.measured,
            means=means(found),
            urgency=found.urgency,
            behaviour=str(row.get("behaviour", "")),
            note=finding.note,
            photographs=tuple(photograph(folder, name) for name in finding.photographs),
        )
        entries.setdefault(entry.part, []).append(entry)
    return entries


def means(found: Effect) -> str:
    """What a finding leaves of strength, holding and stretch, in words."""
    said = ["do not lie to it until it is put right"] if found.condemned else []
    said += _left(found.strength, "strength")
    said += _left(found.holding, "holding")
    if found.stretch < 1:
        said.append(f"about {amounts.percent(found.stretch)} of its stretch is left")
    return amounts.upper("; ".join(said)) or "Takes nothing from its strength that can be put into a figure"


def _left(share: Interval, of: str) -> Iterable[str]:
    if share == WHOLE:
        return ()
    likely, low, high = (amounts.percent(value) for value in (share.likely, share.low, share.high))
    return (f"about {likely} of its {of} is left ({low} to {high})",)
