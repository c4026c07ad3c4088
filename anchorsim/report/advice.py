"""Recommendations, fit and upkeep in the words of the report."""

from __future__ import annotations

import datetime
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from anchorsim.core.tables import Choice, table
from anchorsim.core.units import Measure, System, si
from anchorsim.report.parts import Sources, label, named
from anchorsim.scenario.scenario import Scenario, ScenarioError
from anchorsim.strength.compatibility import URGENCIES, Misfit, misfits
from anchorsim.strength.design_loads import sizing_row
from anchorsim.survey.maintenance import calendar
from anchorsim.survey.recommendations import Recommendation
from anchorsim.survey.suitability import Fit, fit
from anchorsim.wording import amounts

WHEN = {
    "before use": "Before use",
    "this season": "This season",
    "at leisure": "At leisure",
}
_NOTHING = "No figure of this computation changes: it is asked for by practice, not by the loads."
_NOT_COMPUTED = "Not computed: nobody can say in figures what it changes."


@dataclass(frozen=True)
class Advice:
    """A recommendation in words: what was found, what to do, what that buys."""

    number: int
    part: str
    remedy: str
    found: str
    named: str
    buys: tuple[str, ...]
    computed: str
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
    """How the tackle fits, in words: sentences, small tables, and what does not fit."""

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
    groups: dict[str, list[Advice]] = {WHEN[urgency]: [] for urgency in URGENCIES}
    for number, entry in enumerate(found, 1):
        part = label(entry.part)
        advice = Advice(
            number=number,
            part=part,
            remedy=entry.remedy,
            found=entry.sentence,
            named="; ".join(dict.fromkeys(named(effect.finding) for effect in entry.effects)),
            buys=tuple(buys(entry, system)),
            computed="; ".join(_computed(scenario, entry, system)),
            reference=sources.refer(entry.source, entry.kind, f"advice on the {amounts.lower(part)}"),
        )
        groups[WHEN[entry.urgency]].append(advice)
    return {when: entries for when, entries in groups.items() if entries}


def buys(entry: Recommendation, system: System) -> Iterator[str]:
    """What changes by a recommendation alone, each figure before and after it."""
    if not (entry.changes or entry.effects):
        yield _NOT_COMPUTED
        return
    changed = [*_changed(entry, system)]
    yield from changed or [_NOTHING]


def _changed(entry: Recommendation, system: System) -> Iterator[str]:
    first, then = entry.before, entry.after
    used = [amounts.percent(each) for each in (first.utilisation, then.utilisation) if not math.isnan(each)]
    if len(used) == 2 and used[0] != used[1]:
        yield f"load on this part: {used[0]} → {used[1]} of its working load"
    safety = [amounts.factor(each) for each in (first.safety, then.safety)]
    if safety[0] != safety[1] and not any(math.isnan(each) for each in (first.safety, then.safety)):
        yield f"this part breaks at: {safety[0]} → {safety[1]} times the load"
    weakest = [amounts.factor(each) for each in (first.weakest_safety, then.weakest_safety)]
    if (first.weakest, weakest[0]) != (then.weakest, weakest[1]):
        yield (
            f"weakest link: {amounts.lower(first.weakest)} at {weakest[0]} → "
            f"{amounts.lower(then.weakest)} at {weakest[1]} times the load"
        )
    pulls = [amounts.force(each, system) for each in (first.peak, then.peak)]
    if pulls[0] != pulls[1]:
        yield f"greatest pull at the bow: {pulls[0]} → {pulls[1]}"
    if first.drags != then.drags:
        yield (
            f"anchor moves: in {first.drags} → {then.drags} of "
            f"{amounts.counted(first.spells, 'watch', 'watches')}"
        )


def _computed(scenario: Scenario, entry: Recommendation, system: System) -> Iterator[str]:
    """What was changed in the scenario to compute it, in the words of the fields."""
    for path, value in entry.changes:
        try:
            declared = scenario.declaration(path)
        except ScenarioError:  # neither a quantity nor a name out of a table: said by the remedy
            continue
        yield f"{amounts.lower(declared.label)}: {_shown(declared, value, system)}"


def _shown(declared: Measure | Choice, value: object, system: System) -> str:
    """A value of the scenario as people read it; what 0 stands for is told in the field's own words."""
    if not isinstance(declared, Measure):
        return str(value)
    read = declared.read(value)
    nothing = read == 0 if isinstance(read, float) else si(read) == 0
    if nothing and declared.help.endswith(" at 0"):
        return declared.help.removesuffix(" at 0")
    return declared.show(read, system)


def fitting(scenario: Scenario, sources: Sources, system: System) -> Fitting:
    """How the tackle fits the boat, the bottom and the depths that she visits."""
    found = fit(scenario, system)
    rows = [*misfits(scenario, system), *found.misfits]
    return Fitting(
        sentence=found.anchor.sentence(system),
        anchor=tuple(_anchor(scenario, found, sources, system)),
        rode=tuple(_rode(found, sources, system)),
        misfits=tuple(_misfit(row, sources) for row in rows),
    )


def _misfit(row: Misfit, sources: Sources) -> MisfitRow:
    part = label(row.part)
    reference = sources.refer(row.source, row.kind, f"fit of the {amounts.lower(part)}")
    return MisfitRow(part, row.sentence, row.remedy, WHEN[row.urgency], reference)


def _anchor(scenario: Scenario, found: Fit, sources: Sources, system: System) -> Iterator[Pair]:
    anchor, bottom = found.anchor, scenario.spot.bottom
    code, sizing = table("code_anchors")[0], sizing_row(scenario.boat) or table("sizing_loads")[-1]
    for row in (code, sizing):
        sources.refer(row.source, row.kind, "size of the anchor")
    yield Pair("Anchor carried", amounts.mass(anchor.mass, system))
    yield Pair("Code for small commercial vessels asks for", amounts.mass(anchor.code_mass, system))
    needed = amounts.mass(anchor.needed_mass, system)
    yield Pair("Computed: nine of ten of this type hold the hardest watch from", needed)
    if anchor.crew_lift > 0:
        yield Pair("Her crew can lift", amounts.mass(anchor.crew_lift, system))
    yield Pair("Computed pull on an anchor that does not drag", str(amounts.span(anchor.pull, system)))
    low, high = (amounts.force(load, system) for load in anchor.holding)
    yield Pair(f"Computed holding in {bottom}: nine of ten pass, one of ten passes", f"{low}, {high}")
    for use, wind in (("storm", 42), ("working", 30), ("lunch hook", 15)):
        beyond = "not in the table: she is too long or too wide for its last row"
        load = amounts.force(anchor.published[use], system) if use in anchor.published else beyond
        yield Pair(f"Published load to size tackle by, {use} ({wind} knots)", load)
    yield Pair(f"This type in {bottom}", found.suits)
    if found.second_suits:
        yield Pair(f"Second anchor in {bottom}", found.second_suits)


def _rode(found: Fit, sources: Sources, system: System) -> Iterator[Pair]:
    rode = found.rode
    for row in table("scopes"):
        if row["rode"] == rode.kind:
            sources.refer(row.source, row.kind, "length of rode")
    yield Pair("Deepest water she anchors in, with the tide", amounts.length(rode.deepest, system))
    yield Pair("Rode aboard", f"{amounts.length(rode.aboard, system)}, a scope of {rode.reached:.2g} there")
    for name, value in (("least", rode.least), ("usual", rode.usual), ("heavy weather", rode.heavy)):
        yield Pair(f"Rode that practice asks for there, {name}", amounts.length(value, system))
    yield Pair("Old naval rule for ships' cable, for comparison", amounts.length(rode.admiralty, system))
    if rode.lead_wanted:
        lead, wanted = (amounts.length(metres, system) for metres in (rode.lead, rode.lead_wanted))
        yield Pair("Chain lead before the rope", f"{lead}; a boat's length, {wanted}, is usual")


def tasks(scenario: Scenario, today: datetime.date, sources: Sources) -> tuple[Task, ...]:
    """The maintenance calendar, the soonest first."""
    found = []
    for due in calendar(scenario, today):
        sources.refer(due.source, due.kind, "upkeep")
        found.append(
            Task(
                date=amounts.day(due.date),
                task=amounts.upper(due.task),
                part=label(due.part),
                why=amounts.upper(due.why),
                every=_every(due.every),
            )
        )
    return tuple(dict.fromkeys(found))


def _every(days: int) -> str:
    """How often, in the largest unit that comes out even enough to be said."""
    if days <= 0:
        return "once"
    for unit, length in (("year", 365.25), ("month", 30.4), ("week", 7.0)):
        number = round(days / length)
        if number and abs(number * length - days) <= 0.03 * days:
            return f"every {unit}" if number == 1 else f"every {number} {unit}s"
    return f"every {days} days"
