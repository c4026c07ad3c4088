"""The client's two pages: outcome, what the work gains, what to do, limits of the survey, signatures."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path

from anchorsim.core.units import System
from anchorsim.report.bars import Bar, few
from anchorsim.report.blocks import (
    Block,
    Cell,
    Facts,
    Picture,
    Row,
    Section,
    Signatures,
    Table,
    Text,
    Verdict,
    Warned,
)
from anchorsim.report.numbering import Numbering, numbers
from anchorsim.report.photographs import Photograph, photograph
from anchorsim.report.results import Results
from anchorsim.scenario.scenario import Scenario
from anchorsim.strength.compatibility import URGENCIES
from anchorsim.survey.recommendations import Recommendation
from anchorsim.survey.since_last import SinceLast
from anchorsim.survey.weakest_link import Appraisal
from anchorsim.wording import amounts, findings, since_last
from anchorsim.wording import recommendations as wording
from anchorsim.wording import report as words
from anchorsim.wording.cautions import FOR_COMPARING, UNDER_LOAD
from anchorsim.wording.findings import CLASSES

_WEAKEST = 3  # parts whose loads are drawn for the client
_PHOTOGRAPHS = 2  # of a job, in the list; all of them stand with the finding


def sections(
    scenario: Scenario,
    made: Results,
    bars: Sequence[Bar],
    numbering: Numbering,
    states: Sequence[str],
    system: System,
) -> Iterator[Section]:
    """What the client reads, on two pages where the jobs are few."""
    yield Section("", tuple(_outcome(scenario, made, system)))
    yield _gain(made, bars, states, system)
    yield Section(words.TO_DO, tuple(_jobs(scenario, made.found, numbering, system)))
    yield Section(words.LIMITS, tuple(_limits(scenario, system)))
    if made.since is not None:
        yield Section(words.SINCE, tuple(_since(made.since, system)), apart=True)


def _outcome(scenario: Scenario, made: Results, system: System) -> Iterator[Block]:
    yield Facts(tuple(words.facts(scenario, system)))
    yield Verdict(*words.outcome(made.found, made.before, made.after, system))
    if made.since is not None:
        yield Text(since_last.sentence(made.since))


def _gain(made: Results, bars: Sequence[Bar], states: Sequence[str], system: System) -> Section:
    """The weakest link before and after, and the weakest parts as bars; one column where nothing changes."""
    entries = list(words.compared(made.before, made.after, system))
    gains = any(len(set(entry[1:])) > 1 for entry in entries)
    columns = len(states) if gains else 1
    rows = tuple(Row(tuple(Cell(text) for text in entry[: columns + 1])) for entry in entries)
    shares = (0.22, *[0.78 / columns] * columns)
    weakest = _weakest(made.before)
    drawn = [few(some, states)] if (some := [bar for bar in bars if bar.key in weakest]) else []
    heading = words.GAIN if gains else words.WEAKEST
    return Section(heading, (Table(rows, shares, ("", *states[:columns])), *map(Picture, drawn)))


def _weakest(before: Appraisal) -> list[str]:
    """The parts that a client must hear of: those not fit for use, and then the weakest."""
    found = [part.key for part in before.unfit if not part.spare]
    weakest = () if before.nothing_in_line else before.counted
    return list(dict.fromkeys([*found, *(part.key for part in weakest)]))[:_WEAKEST]


def _jobs(
    scenario: Scenario, found: Sequence[Recommendation], numbering: Numbering, system: System
) -> Iterator[Block]:
    """The list of jobs by class, each with its number, the finding's and its photographs."""
    if not found:
        yield Text(words.NONE_NAMED if scenario.survey.empty else words.NO_JOB)
    folder = scenario.folder or Path()
    pictured = {finding for finding in scenario.survey.findings if finding.photographs}
    shares = (0.07, 0.1, 0.68, 0.15) if pictured else (0.07, 0.1, 0.83)
    columns = words.JOB_COLUMNS[: len(shares)]
    for urgency in URGENCIES:
        rows = []
        for number, entry in zip(numbering.jobs, found, strict=True):
            if entry.urgency != urgency:
                continue
            told = wording.advice(entry, scenario.survey, system)
            part = findings.part(entry.part, system)
            gain = f"Benefit: {amounts.lower(wording.in_a_line(told.benefit))}" if entry.helps else ""
            why = " ".join(filter(None, (told.deficiency, told.risk, gain)))
            cells = [
                Cell(number),
                Cell(numbers(told.numbers)),
                Cell(why, label=f"{part}: {told.action}"),
            ]
            if pictured:
                names = [name for effect in entry.effects for name in effect.finding.photographs]
                cells.append(Cell("", photographs=_shown(folder, names)))
            rows.append(Row(tuple(cells)))
        if rows:
            yield Table(tuple(rows), shares, columns, CLASSES[urgency])
            columns = ()  # said once


def _shown(folder: Path, names: Sequence[str]) -> tuple[Photograph, ...]:
    """The first photographs that can be shown."""
    found = (photograph(folder, name) for name in names)
    return tuple(one for one in found if one.address)[:_PHOTOGRAPHS]


def _since(found: SinceLast, system: System) -> Iterator[Block]:
    rows = tuple(Row(tuple(Cell(text) for text in entry)) for entry in since_last.rows(found, system))
    if rows:
        yield Table(rows, (0.16, 0.33, 0.33, 0.18), since_last.COLUMNS)
    for sentence in since_last.done(found, system):
        yield Text(sentence)


def _limits(scenario: Scenario, system: System) -> Iterator[Block]:
    if scenario.survey.notes.strip():
        yield Text(scenario.survey.notes, style="note")
    for paragraph in words.limits(scenario, system):
        yield Text(paragraph, style="small")
    yield Warned(FOR_COMPARING)
    yield Warned(UNDER_LOAD)
    if lines := words.signatures(scenario):
        yield Signatures(lines)
