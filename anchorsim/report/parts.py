"""The parts one by one: what each carries and what is left of it, and what was found on it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path

from anchorsim.core.tables import table
from anchorsim.core.units import System
from anchorsim.report.blocks import Block, Cell, Gallery, Heading, Row, Section, Table, Text, Warned
from anchorsim.report.numbering import Numbering, Sources
from anchorsim.report.photographs import photograph
from anchorsim.report.results import Results
from anchorsim.scenario.findings import Finding
from anchorsim.scenario.scenario import Scenario
from anchorsim.strength.capacity import PartState
from anchorsim.strength.degradation import effect
from anchorsim.survey.recommendations import Recommendation
from anchorsim.survey.weakest_link import Appraisal
from anchorsim.wording import amounts, assessment, findings, weakest_link
from anchorsim.wording import report as words
from anchorsim.wording.amounts import AmountText
from anchorsim.wording.cautions import NOT_FIT, Caution, on_finding, on_part
from anchorsim.wording.terms import local
from anchorsim.wording.weakest_link import ONLY_AT_RUN_OUT


def sections(scenario: Scenario, made: Results, numbering: Numbering, system: System) -> Iterator[Section]:
    """The table of all parts in line, and what was found, part by part."""
    rows = tuple(_rows(made.before, made.after, numbering.sources, system))
    shares = (0.22, 0.15, 0.17, 0.12, 0.12, 0.11, 0.11)
    lead = Text(words.HOW_PARTS, style="lead")
    conclusions = (
        *([Text(loads)] if (loads := weakest_link.two_loads(made.before, system)) else []),
        Text(weakest_link.link(made.before, system)),
        *([_said(first)] if (first := weakest_link.first_to_fail(made.before, system)) else []),
        Text(assessment.sentence(made.before.assessment, system)),
    )
    in_line = Table(rows, shares, words.PART_COLUMNS, dense=True)
    yield Section(words.PARTS, (*conclusions, lead, in_line), apart=True)
    if not scenario.survey.empty:
        yield Section(words.FINDINGS, tuple(_findings(scenario, made.found, numbering, system)))


def _said(text: str | Caution) -> Text | Warned:
    return Warned(text) if isinstance(text, Caution) else Text(text)


def _rows(before: Appraisal, after: Appraisal | None, sources: Sources, system: System) -> Iterator[Row]:
    """The parts in line from the anchor aft, the bitter end last."""
    later = {part.key: part for part in after.parts} if after else {}
    today = {part.key: part for part in before.today}
    for part in before.parts:
        reference = sources.refer(
            part.as_new.source, part.as_new.kind, amounts.lower(findings.part(part.key, system))
        )
        cells = (
            Cell(local(part.name, system), mark=_mark(part, before), reference=reference),
            _used(today.get(part.key), system),
            _used(part, system),
            _ranged(amounts.span(part.wll, system)),
            _ranged(amounts.span(part.strength_left, system)),
            Cell(amounts.NONE) if part.cracked else _ranged(amounts.factors(part.safety_factor)),
            Cell(_after(part, later.get(part.key), system)),
        )
        yield Row(cells, tuple(_beneath(part, system)))


def _ranged(figure: AmountText) -> Cell:
    return Cell(figure.likely, range=figure.range)


def _used(part: PartState | None, system: System) -> Cell:
    """A load and its share of the WLL."""
    if part is None or part.spare:
        return Cell(amounts.NONE)
    used = amounts.percents(part.utilisation)
    ranged = f"{used.range} %" if used.range else ""
    return Cell(f"{amounts.force(part.load.likely, system)}, {used.likely}", range=ranged)


def _mark(part: PartState, all_of_it: Appraisal) -> str:
    """What must be seen at once of a part."""
    marks = []
    if part.unfit:
        marks.append("do not use")
    if all_of_it.surveyed and part in all_of_it.unseen:
        marks.append("not inspected")
    elif part is all_of_it.weakest:
        marks.append("weakest link")
    elif part is all_of_it.next_weakest:
        marks.append("next weakest")
    return "; ".join(marks)


def _after(part: PartState, later: PartState | None, system: System) -> str:
    if later is None:
        return amounts.NONE
    renamed = f" ({local(later.name, system)})" if later.name != part.name else ""
    return f"{weakest_link.factor(later)}{renamed}"


def _beneath(part: PartState, system: System) -> Iterator[Text]:
    found = tuple(dict.fromkeys(findings.named(entry.finding, system) for entry in part.effects))
    if found:
        yield Text(f"{'; '.join(found)}.", label="Found:")
    if part.spare:
        yield Text(f"{amounts.upper(ONLY_AT_RUN_OUT)}.")
    new = part.as_new
    if part.wll != new.wll or part.strength_left != new.mbl:
        yield Text(
            f"WLL {amounts.span(new.wll, system)}, MBL {amounts.span(new.mbl, system)}.", label="As new:"
        )


def _findings(
    scenario: Scenario, jobs: Sequence[Recommendation], numbering: Numbering, system: System
) -> Iterator[Block]:
    """What was found, part by part in the order of the walk, under its numbers."""
    survey = scenario.survey
    named = {key: amounts.lower(findings.part(key, system)) for key in (*survey.seen, *survey.unseen)}
    faultless = [key for key in survey.seen if key not in {finding.part for finding in survey.findings}]
    due = {
        key: [number for number, job in zip(numbering.jobs, jobs, strict=True) if job.part == key]
        for key in faultless
    }
    for label, parts in (
        ("Inspected, no fault found:", [named[key] for key in faultless if not due[key]]),
        (
            "Inspected, a job named:",
            [f"{named[key]} ({', '.join(due[key])})" for key in faultless if due[key]],
        ),
        ("Not inspected, assumed as new:", [named[key] for key in survey.unseen]),
    ):
        if parts:
            yield Text(f"{amounts.upper(amounts.listed(parts))}.", label=label)
    if not survey.findings:
        yield Text("No fault recorded.")
    before = ""
    order = [str(row["part"]) for row in table("parts")]
    for finding, number in sorted(numbering.findings.items(), key=lambda pair: order.index(pair[0].part)):
        if finding.part != before:
            yield Heading(findings.part(finding.part, system))
            yield from (Warned(caution) for caution in on_part(finding.part, system))
        before = finding.part
        yield from _finding(scenario, finding, number, numbering.sources, system)


def _finding(
    scenario: Scenario, finding: Finding, number: int, sources: Sources, system: System
) -> Iterator[Block]:
    found, row = effect(scenario, finding), finding.row()
    title = findings.named(finding, system)
    serves = f"finding “{amounts.lower(findings.title(finding.kind, system))}”"
    yield Heading(title, 4, f"No. {number}")
    if found.unfit:
        yield Warned(NOT_FIT)
    said = (findings.what(finding, system), findings.measured(found, system), findings.leaves(found),
            findings.behaviour(finding, system), f"Due {findings.WHEN[found.urgency].lower()}.")  # fmt: skip
    yield Text(" ".join(filter(None, said)), reference=sources.refer(row.source, row.kind, serves))
    if grades := findings.grades(found):
        yield Text(grades)
    if len(finding.readings) > 1:
        where = tuple(Row((Cell(place), Cell(told))) for place, told in findings.places(finding, system))
        yield Table(where, (0.4, 0.6), words.PLACE_COLUMNS)
    heed = " ".join(str(caution) for caution in on_finding(finding.kind))
    check = f"How to check: {findings.how_to_check(finding.kind, system)} {heed}"
    yield Text(check.rstrip(), style="lead")
    if finding.note.strip():
        yield Text(finding.note, style="note")
    if finding.photographs:
        folder = scenario.folder or Path()
        yield Gallery(tuple(photograph(folder, name) for name in finding.photographs), title)
