"""Recommendations, fit and upkeep, arranged for the report."""

from __future__ import annotations

import datetime
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from anchorsim.core.tables import Choice, table
from anchorsim.core.units import Measure, System, si
from anchorsim.report.parts import Sources
from anchorsim.scenario.scenario import Scenario, ScenarioError
from anchorsim.strength.compatibility import URGENCIES, Misfit, misfits
from anchorsim.strength.design_loads import sizing_row
from anchorsim.survey.maintenance import calendar
from anchorsim.survey.recommendations import Recommendation
from anchorsim.survey.suitability import Suitability, suitability_of
from anchorsim.wording import amounts, compatibility, findings, maintenance, suitability
from anchorsim.wording import recommendations as wording
from anchorsim.wording.findings import CLASSES
from anchorsim.wording.terms import local


@dataclass(frozen=True)
class Advice:
    """A recommendation in words: what was found, what to do, its benefit."""

    number: int
    part: str
    remedy: str
    found: str
    benefit: tuple[str, ...]
    assumed: str
    reference: int


@dataclass(frozen=True)
class Pair:
    """A line of a small table."""

    label: str
    value: str


@dataclass(frozen=True)
class MisfitRow:
    """Something that does not fit, in words."""

    part: str
    sentence: str
    remedy: str
    urgency: str
    reference: int


@dataclass(frozen=True)
class Fitting:
    """How the gear fits, in words: sentences, small tables, and what does not fit."""

    sentence: str
    anchor: tuple[Pair, ...]
    rode: tuple[Pair, ...]
    misfits: tuple[MisfitRow, ...]


@dataclass(frozen=True)
class Task:
    """A line of the calendar."""

    date: str
    task: str
    part: str
    why: str
    every: str


def grouped(
    scenario: Scenario, found: Sequence[Recommendation], sources: Sources, system: System
) -> dict[str, list[Advice]]:
    """The recommendations by when they are due, numbered throughout."""
    groups: dict[str, list[Advice]] = {CLASSES[urgency]: [] for urgency in URGENCIES}
    for number, entry in enumerate(found, 1):
        part = findings.part(entry.part, system)
        advice = Advice(
            number=number,
            part=part,
            remedy=wording.remedy(entry, system),
            found=wording.wrong(entry, system),
            benefit=wording.benefit(entry, system),
            assumed="; ".join(_assumed(scenario, entry, system)),
            reference=sources.refer(entry.source, entry.kind, f"advice on the {amounts.lower(part)}"),
        )
        groups[CLASSES[entry.urgency]].append(advice)
    return {when: entries for when, entries in groups.items() if entries}


def _assumed(scenario: Scenario, entry: Recommendation, system: System) -> Iterator[str]:
    """What was changed in the scenario to calculate it, in the words of the fields."""
    for path, value in entry.changes:
        try:
            declared = scenario.declaration(path)
        except ScenarioError:  # neither a quantity nor a name out of a table: said by the remedy
            continue
        yield f"{amounts.lower(declared.label)}: {_shown(declared, value, system)}"


def _shown(declared: Measure | Choice, value: object, system: System) -> str:
    """A value of the scenario as people read it; what 0 stands for is told in the field's own words."""
    if not isinstance(declared, Measure):
        return local(str(value), system)
    read = declared.read(value)
    nothing = read == 0 if isinstance(read, float) else si(read) == 0
    _, stands, meaning = declared.help.partition("0 = ")
    if nothing and stands:
        return meaning
    return declared.show(read, system)


def fitting(scenario: Scenario, sources: Sources, system: System) -> Fitting:
    """How the gear fits the boat, the bottom and the depths that the boat visits."""
    found = suitability_of(scenario)
    rows = [*misfits(scenario), *found.misfits]
    return Fitting(
        sentence=suitability.anchor(found.anchor, system),
        anchor=tuple(_anchor(scenario, found, sources, system)),
        rode=tuple(_rode(found, sources, system)),
        misfits=tuple(_misfit(row, sources, system) for row in rows),
    )


def _misfit(row: Misfit, sources: Sources, system: System) -> MisfitRow:
    part = findings.part(row.part, system)
    reference = sources.refer(row.source, row.kind, f"fit of the {amounts.lower(part)}")
    sentence, remedy = compatibility.sentence(row, system), compatibility.remedy(row, system)
    return MisfitRow(part, sentence, remedy, CLASSES[row.urgency], reference)


def _anchor(scenario: Scenario, found: Suitability, sources: Sources, system: System) -> Iterator[Pair]:
    anchor, bottom = found.anchor, scenario.spot.bottom
    code, sizing = table("code_anchors")[0], sizing_row(scenario.boat) or table("sizing_loads")[-1]
    for row in (code, sizing):
        sources.refer(row.source, row.kind, "size of the anchor")
    yield Pair("Anchor aboard", amounts.mass(anchor.mass, system))
    yield Pair("Weight in the code for small commercial vessels", amounts.mass(anchor.code_mass, system))
    needed = amounts.mass(anchor.needed_mass, system)
    yield Pair("Weight at which nine in ten of this type hold the peak load", needed)
    if anchor.crew_lift > 0:
        yield Pair("Heaviest lift by the crew", amounts.mass(anchor.crew_lift, system))
    yield Pair("Peak load on an anchor that does not drag", str(amounts.span(anchor.pull, system)))
    low, high = (amounts.force(load, system) for load in anchor.holding)
    holding = f"nine in ten hold more than {low}; one in ten holds more than {high}"
    yield Pair(f"Calculated holding in {bottom}", holding)
    for use, wind in (("storm", 42), ("working", 30), ("lunch hook", 15)):
        beyond = "not in the table: the boat is too long or too wide for its last row"
        load = amounts.force(anchor.published[use], system) if use in anchor.published else beyond
        yield Pair(f"Published design load, {use} ({wind} kn)", load)
    yield Pair(f"This type in {bottom}", found.suits)
    if found.second_suits:
        yield Pair(f"Second anchor in {bottom}", found.second_suits)


def _rode(found: Suitability, sources: Sources, system: System) -> Iterator[Pair]:
    rode = found.rode
    for row in table("scopes"):
        if row["rode"] == rode.kind:
            sources.refer(row.source, row.kind, "length of rode")
    yield Pair("Deepest water anchored in, with the tide", amounts.length(rode.deepest, system))
    yield Pair("Rode aboard", f"{amounts.length(rode.aboard, system)}, {rode.reached:.2g}:1 there")
    for name, value in (("least", rode.least), ("usual", rode.usual), ("heavy weather", rode.heavy)):
        yield Pair(f"Rode by common practice there, {name}", amounts.length(value, system))
    yield Pair("Old naval rule for ships' cable, for comparison", amounts.length(rode.admiralty, system))
    if rode.lead_wanted:
        lead, wanted = (amounts.length(metres, system) for metres in (rode.lead, rode.lead_wanted))
        yield Pair("Chain lead before the rope", f"{lead} (usual: a boat's length, {wanted})")


def tasks(scenario: Scenario, today: datetime.date, sources: Sources, system: System) -> tuple[Task, ...]:
    """The maintenance calendar, the soonest first."""
    found = []
    for due in calendar(scenario, today):
        sources.refer(due.source, due.kind, "upkeep")
        found.append(
            Task(
                date=amounts.day(due.date),
                task=maintenance.task(due, system),
                part=findings.part(due.part, system),
                why=maintenance.why(due, system),
                every=maintenance.every(due.every),
            )
        )
    return tuple(dict.fromkeys(found))
