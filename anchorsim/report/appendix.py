"""The appendix: match and size, the maintenance calendar, how it was calculated, and the sources."""

from __future__ import annotations

from collections.abc import Iterator

from anchorsim.core.tables import table
from anchorsim.core.units import System
from anchorsim.report.blocks import Block, Bullets, Cell, Heading, Row, Section, Table, Text, rows
from anchorsim.report.numbering import Sources
from anchorsim.scenario.scenario import Scenario
from anchorsim.strength.design_loads import sizing_row
from anchorsim.survey.maintenance import calendar, reckoned_from
from anchorsim.survey.suitability import Suitability, suitability_of
from anchorsim.survey.weakest_link import Appraisal
from anchorsim.wording import amounts, maintenance, suitability
from anchorsim.wording import assessment as wording
from anchorsim.wording import report as words
from anchorsim.wording.sources import LEGEND

_PAIR = (0.55, 0.45)


def sections(scenario: Scenario, before: Appraisal, sources: Sources, system: System) -> Iterator[Section]:
    """All of it, the sources last."""
    yield Section(words.MATCH, tuple(_match(scenario, sources, system)), apart=True)
    if not scenario.survey.empty:
        yield Section(words.CALENDAR, tuple(_calendar(scenario, sources, system)))
    told = (words.how(before), *words.METHODS, *wording.notes(before.assessment, system))
    yield Section(words.METHOD, tuple(Text(paragraph) for paragraph in told))
    yield Section(words.CALCULATION, (Bullets((*wording.STANDING, *words.LEFT_OUT)),))
    yield Section(words.SOURCES, tuple(_sources(sources)))


def _match(scenario: Scenario, sources: Sources, system: System) -> Iterator[Block]:
    """How the gear fits the boat, the bottom and the depths that the boat visits."""
    found = suitability_of(scenario)
    yield Text(suitability.anchor(found.anchor, system), style="lead")
    anchor, rode = tuple(_anchor(scenario, found, sources, system)), tuple(_rode(found, sources, system))
    yield Table(rows(anchor), _PAIR, caption="Anchor: published and calculated figures")
    yield Table(rows(rode), _PAIR, caption="Length of rode")


def _anchor(
    scenario: Scenario, found: Suitability, sources: Sources, system: System
) -> Iterator[tuple[str, str]]:
    anchor, bottom = found.anchor, scenario.spot.bottom
    code, sizing = table("code_anchors")[0], sizing_row(scenario.boat) or table("sizing_loads")[-1]
    for row in (code, sizing):
        sources.refer(row.source, row.kind, "size of the anchor")
    yield "Anchor aboard", amounts.mass(anchor.mass, system)
    yield "Weight in the code for small commercial vessels", amounts.mass(anchor.code_mass, system)
    needed = amounts.mass(anchor.needed_mass, system)
    yield "Weight at which nine in ten of this type hold the peak load", needed
    if anchor.crew_lift > 0:
        yield "Heaviest lift by the crew", amounts.mass(anchor.crew_lift, system)
    yield "Peak load on an anchor that does not drag", str(amounts.span(anchor.pull, system))
    low, high = (amounts.force(load, system) for load in anchor.holding)
    holding = f"nine in ten hold more than {low}; one in ten holds more than {high}"
    yield f"Calculated holding in {bottom}", holding
    for use, wind in (("storm", 42), ("working", 30), ("lunch hook", 15)):
        beyond = "not in the table: the boat is too long or too wide for its last row"
        load = amounts.force(anchor.published[use], system) if use in anchor.published else beyond
        yield f"Published design load, {use} ({wind} kn)", load
    yield f"This type in {bottom}", found.suits
    if found.second_suits:
        yield f"Second anchor in {bottom}", found.second_suits


def _rode(found: Suitability, sources: Sources, system: System) -> Iterator[tuple[str, str]]:
    rode = found.rode
    for row in table("scopes"):
        if row["rode"] == rode.kind:
            sources.refer(row.source, row.kind, "length of rode")
    yield "Deepest water anchored in, with the tide", amounts.length(rode.deepest, system)
    yield "Rode aboard", f"{amounts.length(rode.aboard, system)}, {rode.reached:.2g}:1 there"
    for name, value in (("least", rode.least), ("usual", rode.usual), ("heavy weather", rode.heavy)):
        yield f"Rode by common practice there, {name}", amounts.length(value, system)
    yield "Old naval rule for ships' cable, for comparison", amounts.length(rode.admiralty, system)
    if rode.lead_wanted:
        lead, wanted = (amounts.length(metres, system) for metres in (rode.lead, rode.lead_wanted))
        yield "Chain lead before the rope", f"{lead} (usual: a boat's length, {wanted})"


def _calendar(scenario: Scenario, sources: Sources, system: System) -> Iterator[Block]:
    """What is due when, the soonest first."""
    found, today = [], reckoned_from(scenario)
    for due in calendar(scenario, today):
        sources.refer(due.source, due.kind, "upkeep")
        said = (maintenance.task(due, system), maintenance.why(due, system), maintenance.every(due.every))
        found.append(Row(tuple(Cell(text) for text in (amounts.day(due.date), *said))))
    run_from = f"Dates run from {amounts.day(today)}. Overdue and unrecorded jobs are due on that date."
    yield Text(run_from, style="lead")
    yield Table(tuple(dict.fromkeys(found)), (0.17, 0.35, 0.34, 0.14), words.CALENDAR_COLUMNS)


def _sources(sources: Sources) -> Iterator[Block]:
    yield Text(LEGEND)
    for kind, entries in sources.listed().items():
        yield Heading(kind)
        yield from entries
