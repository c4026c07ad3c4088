"""The sentences of the guided survey as HTML, with everything a person typed escaped."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from pathlib import Path
from typing import NamedTuple

from anchorsim.core.markup import macros
from anchorsim.core.tables import catalogue
from anchorsim.core.units import System
from anchorsim.explorer.survey.drafts import Draft
from anchorsim.explorer.survey.part_drawings import drawing, numbered, ornament
from anchorsim.numerics.interval import Interval
from anchorsim.scenario.findings import OTHER, measure_of, rows_of
from anchorsim.scenario.scenario import Scenario
from anchorsim.strength.capacity import PartState
from anchorsim.strength.compatibility import URGENCIES, Misfit
from anchorsim.strength.degradation import Effect
from anchorsim.survey.recommendations import Recommendation
from anchorsim.survey.weakest_link import Appraisal
from anchorsim.wording import amounts, compatibility, findings, recommendations, weakest_link
from anchorsim.wording.cautions import NOT_FIT, UNDER_LOAD, Caution, on_finding
from anchorsim.wording.findings import CLASSES, WHEN
from anchorsim.wording.glance import Figure, Glance, Tone
from anchorsim.wording.recommendations import Duty
from anchorsim.wording.terms import local
from anchorsim.wording.warnings import unfit

_WORDS = "explorer/survey/words.html"
_BAR, _LONGEST_BAR = 1.5, 10.0  # shares of the WLL at which a bar ends, as far as it must go
_FACTOR = "safety factor"
_PLAIN = {"about": "Survey", "boat": "Boat", "overview": "Overview"}
_SEEN, _UNSEEN = ("✓", "inspected, no finding", "ok"), ("–", "not recorded", "")


class _Job(NamedTuple):
    """A job and when it is due."""

    when: str
    text: str
    urgent: bool


class _Cell(NamedTuple):
    """A part under one of the two loads."""

    load: str
    bar: str
    factor: str


class _Row(NamedTuple):
    """A part in the table of the overview."""

    part: str
    jobs: str
    spare: bool
    cells: tuple[_Cell, ...]


def steps(
    order: Sequence[str], counts: Mapping[str, int], seen: Collection[str], system: System
) -> list[list[str]]:
    """The walk's buttons: key, label, mark, what the mark means, tone."""
    parts = [key for key in order if key not in _PLAIN]
    shown = []
    for key in order:
        if key in _PLAIN:
            shown.append([key, _PLAIN[key], "", "", ""])
            continue
        name, count = f"{parts.index(key) + 1} {findings.part(key, system)}", counts.get(key, 0)
        found = str(count), amounts.counted(count, "finding", "findings"), "warn"
        shown.append([key, name, *(found if count else _SEEN if key in seen else _UNSEEN)])
    return shown


def outcome(scenario: Scenario, found: Appraisal | None, system: System) -> Glance:
    """The weakest of what was recorded, or that nothing was recorded or is calculated yet."""
    if not scenario.survey.seen:
        return Glance("Nothing recorded", "No part was inspected yet.", "", "none")
    if found is None:
        return Glance("Calculating", "The loads on what was recorded.", "", "none")
    if found.unfit:
        names = amounts.listed([amounts.lower(findings.part(part.key, system)) for part in found.unfit])
        return Glance("Do not use", f"Not fit for use: {names}.", "", "bad")
    if found.nothing_in_line:
        return Glance("Weakest link unknown", weakest_link.NOTHING_IN_LINE, "", "none")
    weakest = found.weakest
    tone: Tone = "warn" if weakest.utilisation.likely > 1.0 else "none"
    return Glance(findings.part(weakest.key, system), "Weakest of what was recorded", "", tone)


def figures(
    scenario: Scenario, found: Appraisal | None, todo: Sequence[Duty], system: System
) -> list[Figure]:
    """What the strip counts: the safety factor under both loads, jobs before use, parts not inspected."""
    seen = scenario.survey.seen
    weakest = found.weakest if found and seen and not found.nothing_in_line else None
    urgent = [_named(duty, system) for duty in todo if duty.urgency == "before use"] if seen else []
    unseen = [amounts.lower(findings.part(part, system)) for part in scenario.survey.unseen]
    left = (f"Not inspected: {amounts.listed(unseen)}.",) if unseen else ()
    return [
        *(_factor(title, parts, found, weakest, system) for title, parts in _columns(found)),
        Figure("Before use", str(len(urgent)), "jobs", "bad" if urgent else "none", None, tuple(urgent)),
        Figure("Not recorded", str(len(unseen)), "parts", "none", None, left),
    ]


def _columns(found: Appraisal | None) -> tuple[tuple[str, tuple[PartState, ...]], ...]:
    """The two loads, each with the parts under it."""
    today, held = (found.today, found.parts) if found else ((), ())
    return (weakest_link.TODAY, today), (weakest_link.HELD, held)


def _factor(
    title: str, parts: Sequence[PartState], found: Appraisal | None, weakest: PartState | None, system: System
) -> Figure:
    """The safety factor of the weakest part under one of the loads; none while a part is not fit for use."""
    part = next((part for part in parts if weakest and part.key == weakest.key), None)
    if found is None or part is None:
        return Figure(title, amounts.NONE, _FACTOR, "none", None, ())
    why = weakest_link.carries(part.key, part, system), weakest_link.two_loads(found, system)
    value = amounts.NONE if found.unfit else amounts.factor(part.safety_factor.likely)
    tone: Tone = "bad" if found.unfit else "warn" if part.utilisation.likely > 1.0 else "none"
    return Figure(title, value, _FACTOR, tone, None, tuple(filter(None, why)))


def short(draft: Draft, system: System) -> str:
    """What was entered of a finding, beside its title: the words, the grade and what was measured."""
    found, measure = draft.finding, measure_of(draft.kind)
    if draft.kind == OTHER:
        return draft.words
    amount = measure.show(found.measured, system) if found and measure else ""
    return ", ".join(filter(None, (local(draft.grade, system), amount)))


def _named(duty: Duty, system: System) -> str:
    """A job with its part, unless its words say so."""
    name = findings.part(duty.part, system)
    alone = any(word in duty.what.lower() for word in (*duty.part.split(), *name.lower().split()))
    return amounts.upper(duty.what) if alone else f"{name}: {amounts.lower(duty.what)}"


def bar(share: Interval) -> str:
    """A part's load with its range: the WLL is where the line is."""
    end = min(max(_BAR, 1.05 * share.high), _LONGEST_BAR)
    low, likely, high = (200 * min(value, end) / end for value in share)
    return macros(_WORDS).bar(amounts.percents(share), low, likely, high, 200 / end)


def title(number: int, label: str) -> str:
    """Which of the parts it is."""
    return macros(_WORDS).title(number, label)


def details(shown: str, seen: bool) -> str:
    """A part's details in a line, which are assumed until it was inspected."""
    return shown if seen or not shown else f"assumed: {shown}"


def about_survey(scenario: Scenario) -> str:
    """How the survey goes, and what to mind."""
    return macros(_WORDS).about_survey(UNDER_LOAD)


def about_boat(scenario: Scenario) -> str:
    """What is asked of the boat, and whose figures stand in."""
    return macros(_WORDS).about_boat(amounts.lower(str(catalogue()[scenario.boat.model]["name"])))


def figure(part: str, found: Collection[int]) -> str:
    """A part's drawing over the names of the places to look at; ``found`` are those with a fault."""
    return macros(_WORDS).figure(drawing(part, found), numbered(part), found)


def plain_figure(name: str) -> str:
    """A drawing that has no places."""
    return macros(_WORDS).figure(ornament(name), [], [])


def cautions(found: Iterable[Caution]) -> str:
    """Safety sentences, a paragraph each: a triangle, the signal word, the sentence."""
    return macros(_WORDS).cautions(found)


def about_finding(kind: str, system: System = "metric") -> str:
    """What a kind of finding is, how to check it and what to mind meanwhile."""
    what, check = local(str(rows_of(kind)[0]["what"]), system), findings.how_to_check(kind, system)
    return macros(_WORDS).about_finding(what, check, on_finding(kind))


def effect_text(effect: Effect, system: System) -> str:
    """What a finding means: what was measured, what is left, what to do and when."""
    said = (
        findings.measured(effect, system),
        findings.leaves(effect),
        findings.behaviour(effect.finding, system),
    )
    job = _Job(WHEN[effect.urgency], findings.job(effect, system), effect.urgency == "before use")
    return macros(_WORDS).effect([NOT_FIT] if effect.unfit else [], " ".join(filter(None, said)), job)


def in_line(key: str, found: Appraisal, system: System) -> str:
    """What the part of a name carries under both loads, and its strength left."""
    columns = [
        (title, next((one for one in parts if one.key == key), None)) for title, parts in _columns(found)
    ]
    part = columns[-1][1]
    if part is None or part.spare:
        return macros(_WORDS).said(weakest_link.carries(key, part, system))
    cells = [(title, _cell(one)) for title, one in columns if one is not None]
    said = weakest_link.strength_left(part, system), weakest_link.doubts(part, system)
    return macros(_WORDS).in_line(cells, " ".join(filter(None, said)))


def _cell(part: PartState) -> _Cell:
    factor = amounts.NONE if part.unfit else amounts.factor(part.safety_factor.likely)
    return _Cell(str(amounts.percents(part.utilisation)), bar(part.utilisation), factor)


def mismatches(found: Sequence[Misfit], system: System) -> str:
    """What about a part does not match its neighbours, the boat or the place."""
    jobs = [
        _Job(
            WHEN[entry.urgency],
            f"{compatibility.sentence(entry, system)} {compatibility.remedy(entry, system)}",
            entry.urgency == "before use",
        )
        for entry in found
    ]
    return macros(_WORDS).dues(jobs)


def saved(target: Path) -> str:
    """Where an output was saved."""
    return macros(_WORDS).saved(target.name, target.parent)


def job(entry: Recommendation, system: System) -> str:
    """A job, with its part and when it is due."""
    return macros(_WORDS).job(
        CLASSES[entry.urgency], findings.part(entry.part, system), recommendations.remedy(entry, system)
    )


def empty() -> str:
    """The overview of a survey in which nothing was inspected."""
    return macros(_WORDS).empty(weakest_link.EMPTY)


def overview(found: Appraisal, todo: Sequence[Duty], system: System) -> str:
    """All of it on one page: the conclusions, each part, and what is to be done by when."""
    seen, first = found.scenario.survey.seen, weakest_link.first_to_fail(found, system)
    warned = [unfit(found.unfit, system), first if isinstance(first, Caution) else None]
    said = [weakest_link.link(found, system), *([] if isinstance(first, Caution) else [first])]
    today = {part.key: part for part in found.today}
    return macros(_WORDS).overview(
        cautioned=list(filter(None, warned)),
        said=" ".join(filter(None, said)),
        two_loads=weakest_link.two_loads(found, system),
        unseen=weakest_link.not_inspected(found),
        columns=(weakest_link.TODAY, weakest_link.HELD),
        rows=[_row(part, today.get(part.key, part), todo) for part in found.parts if part.key in seen],
        figures=weakest_link.figures(found, system),
        classes=[(CLASSES[when], _due(todo, when, system)) for when in URGENCIES],
        inspected=weakest_link.inspected(found),
    )


def _due(todo: Sequence[Duty], when: str, system: System) -> list[tuple[str, Duty]]:
    """The jobs of an urgency, each with the name of its part."""
    return [(findings.part(duty.part, system), duty) for duty in todo if duty.urgency == when]


def _row(part: PartState, today: PartState, todo: Sequence[Duty]) -> _Row:
    mine = [duty.urgency for duty in todo if duty.part == part.key]
    counts = [f"{mine.count(when)} {CLASSES[when][0]}" for when in URGENCIES if when in mine]
    cells = () if part.spare else (_cell(today), _cell(part))
    return _Row(part.name, ", ".join(counts) or amounts.NONE, part.spare, cells)
