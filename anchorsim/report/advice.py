"""The recommendations in full: what was found, what to do, what it gains, each to be read by itself."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from anchorsim.core.tables import Choice
from anchorsim.core.units import Measure, System, si
from anchorsim.report.blocks import Block, Heading, Section, Text
from anchorsim.report.numbering import Numbering, numbers
from anchorsim.scenario.scenario import Scenario, ScenarioError
from anchorsim.survey.recommendations import Recommendation
from anchorsim.wording import amounts, findings
from anchorsim.wording import recommendations as wording
from anchorsim.wording import report as words
from anchorsim.wording.findings import CLASSES
from anchorsim.wording.terms import local


def section(
    scenario: Scenario, found: Sequence[Recommendation], numbering: Numbering, system: System
) -> Section:
    """All recommendations, by when they are due."""
    blocks: list[Block] = [Text(words.HOW_RECOMMENDED, style="lead")]
    before = ""
    for number, entry in zip(numbering.jobs, found, strict=True):
        if entry.urgency != before:
            blocks.append(Heading(CLASSES[entry.urgency]))
        before = entry.urgency
        blocks += _one(scenario, entry, number, numbering, system)
    return Section(words.RECOMMENDED, tuple(blocks))


def _one(
    scenario: Scenario, entry: Recommendation, number: str, numbering: Numbering, system: System
) -> Iterator[Block]:
    part, told = findings.part(entry.part, system), wording.advice(entry, scenario.survey, system)
    yield Heading(f"{part}: {told.action}", 4, number)
    about = f" ({numbers(told.numbers)})" if told.numbers else ""
    reference = numbering.sources.refer(entry.source, entry.kind, f"advice on the {amounts.lower(part)}")
    yield Text(told.deficiency, label=f"Deficiency{about}:", reference=reference)
    said = {
        "Risk": told.risk,
        "Judged by": told.standard,
        "Assumed in the calculation": amounts.upper("; ".join(_assumed(scenario, entry, system))),
        "Benefit": wording.in_a_line(told.benefit),
        "Time": told.time,
        "Cost": told.cost,
    }
    for label, text in said.items():
        if text:
            yield Text(text, label=f"{label}:")


def _assumed(scenario: Scenario, entry: Recommendation, system: System) -> Iterator[str]:
    """What was changed in the scenario to calculate it, in the words of the fields."""
    for path, value in entry.changes:
        try:
            declared = scenario.declaration(path)
        except ScenarioError:  # neither a quantity nor a name out of a table: said by the remedy
            continue
        yield local(f"{amounts.lower(declared.label)}: {_shown(declared, value, system)}", system)


def _shown(declared: Measure | Choice, value: object, system: System) -> str:
    """A value of the scenario as people read it; what 0 stands for is told in the field's own words."""
    if not isinstance(declared, Measure):
        return local(str(value), system)
    read = declared.read(value)
    nothing = read == 0 if isinstance(read, float) else si(read) == 0
    _, stands, meaning = declared.help.partition("0 = ")
    if nothing and stands:
        return meaning
    shown = declared.show(read, system)
    tens = system == "US" and abs(float(shown.rstrip("°").split()[0])) < 100  # 53 lb, as people say it
    return declared.show(read, system, 2) if tens else shown
