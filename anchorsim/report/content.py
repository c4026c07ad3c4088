"""What the report says: a scenario and its survey as words, tables and pictures, in the order of the page."""

from __future__ import annotations

import datetime
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from anchorsim.core.units import Quantity, System, si
from anchorsim.figures import units_of
from anchorsim.report.advice import Advice, Fitting, Pair, Task, fitting, grouped, tasks
from anchorsim.report.bars import Bar, utilisation
from anchorsim.report.drawing import Drawing
from anchorsim.report.parts import FindingEntry, PartRow, Source, Sources, finding_entries, part_rows
from anchorsim.report.views import Named, from_above, from_the_side
from anchorsim.scenario.findings import Survey
from anchorsim.scenario.scenario import Scenario
from anchorsim.scenario.weather import Weather
from anchorsim.strength.capacity import PartState
from anchorsim.survey.recommendations import Recommendation, all_done, recommendations
from anchorsim.survey.weakest_link import Appraisal, appraise
from anchorsim.wording import amounts, weakest_link
from anchorsim.wording import assessment as wording
from anchorsim.wording.cautions import CUTTING, FOR_COMPARING, UNDER_LOAD, Caution
from anchorsim.wording.findings import CLASSES
from anchorsim.wording.findings import part as label
from anchorsim.wording.sources import LEGEND
from anchorsim.wording.terms import local
from anchorsim.wording.warnings import unfit, warnings

_BARE = "not stated"


@dataclass(frozen=True)
class Compared:
    """A line of the summary's table: before, and after where there is one."""

    label: str
    before: str
    after: str


@dataclass(frozen=True)
class Content:
    """All that the page says, in words.

    ``states`` names the columns before and after, one name only where nothing is recommended; ``must`` are
    the numbers, parts and remedies due before use.  ``faultless`` names the parts that were inspected without
    a fault found, ``unseen`` those that were not inspected.  ``warning`` is the gravest thing to say, None
    where nothing is due before use; ``safety`` are the safety sentences of the survey.
    """

    title: str
    kind: str
    surveyed: bool
    surveyor: str
    facts: tuple[Pair, ...]
    notes: str
    warning: Caution | None
    verdict: str
    opening: tuple[str | Caution, ...]
    states: tuple[str, ...]
    compared: tuple[Compared, ...]
    must: tuple[Advice, ...]
    drawings: tuple[Drawing, ...]
    parts: tuple[PartRow, ...]
    findings: dict[str, list[FindingEntry]]
    faultless: str
    unseen: str
    advice: dict[str, list[Advice]]
    fit: Fitting
    calendar: tuple[Task, ...]
    reckoned: str
    warnings: tuple[Caution, ...]
    cautions: tuple[Caution, ...]
    safety: tuple[Caution, ...]
    purpose: Caution
    remarks: tuple[str, ...]
    spells: int
    span: str
    sources: dict[str, list[Source]]
    legend: str


def content(scenario: Scenario, system: System) -> Content:
    """The whole report in words and pictures.

    A scenario without a survey is taken as described; dates are then reckoned from today, and otherwise from
    the day of the survey.
    """
    survey = scenario.survey
    surveyed = survey != Survey()
    found = recommendations(scenario)
    before = appraise(scenario)
    after = appraise(all_done(scenario, found)) if any(row.changes or row.effects for row in found) else None
    today, sources = survey.date or datetime.date.today(), Sources()
    parts = part_rows(before, after, sources, system)
    findings = finding_entries(scenario, sources, system)
    unseen = before.unseen if surveyed else ()
    faultless = [part for part in before.parts if part not in unseen and not part.effects] if surveyed else []
    advice = grouped(scenario, found, sources, system)
    as_it_is = "As found" if surveyed else "As described"
    states = (as_it_is, "When all work is done") if after else (as_it_is,)
    suits = fitting(scenario, sources, system)
    calendar = tasks(scenario, today, sources, system) if surveyed else ()
    return Content(
        title=scenario.title,
        kind="Survey of ground tackle" if surveyed else "Ground tackle as described",
        surveyed=surveyed,
        surveyor=survey.surveyor,
        facts=tuple(_facts(scenario, surveyed, system)),
        notes=survey.notes,
        warning=_warning(found, before),
        verdict=_verdict(found, before, after, surveyed),
        opening=_opening(before, system),
        states=states,
        compared=tuple(_compared(before, after, system)),
        must=tuple(advice.get(CLASSES["before use"], ())),
        drawings=_drawings(before, after, states, system),
        parts=parts,
        findings=findings,
        faultless=amounts.upper(weakest_link.labels(faultless)),
        unseen=amounts.upper(weakest_link.labels(unseen)),
        advice=advice,
        fit=suits,
        calendar=calendar,
        reckoned=amounts.day(today),
        warnings=warnings(before.assessment, system),
        cautions=wording.STANDING,
        safety=(UNDER_LOAD, CUTTING),
        purpose=FOR_COMPARING,
        remarks=wording.notes(before.assessment, system),
        spells=len(before.assessment),
        span=amounts.duration(si(scenario.weather.duration)),
        sources=sources.listed(),
        legend=LEGEND,
    )


def _opening(found: Appraisal, system: System) -> tuple[str | Caution, ...]:
    """The conclusions, a paragraph each."""
    barred = unfit(found.unfit)
    return (
        *([barred] if barred else []),
        weakest_link.link(found, system),
        weakest_link.first_to_fail(found, system),
        wording.sentence(found.assessment, system),
    )


def _facts(scenario: Scenario, surveyed: bool, system: System) -> Iterator[Pair]:
    boat, spot, survey = scenario.boat, scenario.spot, scenario.survey
    measured = ("length", "beam", "displacement")
    length, beam, mass = (boat.measure(name).show(getattr(boat, name), system) for name in measured)
    yield Pair("Boat", f"{boat.name}: {length} overall, {beam} beam, {mass}")
    if surveyed:
        yield Pair("Client", survey.client or _BARE)
        yield Pair("Surveyor", survey.surveyor or _BARE)
        yield Pair("Date", amounts.day(survey.date) or _BARE)
        yield Pair("Place", survey.place or _BARE)
    depth = amounts.length(scenario.water_depth, system)
    bottom = spot.bottom
    if si(spot.slope) > 0:
        falls, towards = (
            spot.measure("slope").show(spot.slope),
            f"{spot.deepens_towards.m_as('degree'):03.0f}°",
        )
        bottom = f"{bottom}, sloping {falls}, deepens towards {towards}"
    rode = f"{amounts.length(scenario.paid_out, system)} of rode out, {scenario.scope_achieved:.2g}:1"
    wind = amounts.upper(_wind(scenario.weather))
    yield Pair("Calculated for", f"{wind}. {depth} of water with the tide. Bottom: {bottom}. {rode}.")


def _wind(weather: Weather) -> str:
    """The weather as a forecast has it, in knots in either system."""
    if weather.record is not None:
        return f"wind of the record {weather.record}"

    def said(value: Quantity) -> str:
        return amounts.speed(si(value), "metric")

    text = f"mean wind {said(weather.mean_wind)}, gusts {said(weather.effective_gust)}"
    if si(weather.squall_wind) > 0:
        text += f", squall {said(weather.squall_wind)}"
    if (shift := si(weather.shift)) != 0:
        text += f", {'veers' if shift > 0 else 'backs'} {amounts.angle(abs(shift))}"
    return text


def _due(found: Sequence[Recommendation], urgency: str) -> int:
    return sum(entry.urgency == urgency for entry in found)


def _warning(found: Sequence[Recommendation], before: Appraisal) -> Caution | None:
    """What a client must read first; None where no job is due before use."""
    if before.unfit:
        parts = amounts.listed([amounts.lower(part.name) for part in before.unfit])
        return Caution(
            "WARNING",
            "Do not anchor on this gear: it can fail under load and leave the boat adrift. First replace or "
            f"repair: {parts}.",
        )
    if jobs := _due(found, "before use"):
        until = amounts.counted(jobs, "job is", "jobs are")
        weather = _wind(before.scenario.weather)
        return Caution("WARNING", f"Do not rely on this gear in this weather ({weather}) until {until} done.")
    return None


def _verdict(
    found: Sequence[Recommendation], before: Appraisal, after: Appraisal | None, surveyed: bool
) -> str:
    """What is due and the weakest link, before and after all work."""
    said = []
    if not surveyed:
        said.append("Not surveyed: every part is assumed new.")
    elif _warning(found, before) is None:
        inspected = len(before.parts) - len(before.unseen)
        later = f"; {due} due this season" if (due := _due(found, "this season")) else ""
        parts = amounts.counted(inspected, "part", "parts")
        said.append(f"No job before use on the {parts} inspected{later}.")
    if surveyed and before.unseen:
        said.append(f"{amounts.counted(len(before.unseen), 'part was', 'parts were')} not inspected.")
    weakest = f"Weakest link: {_with_factor(before)}"
    said.append(f"{weakest}; {_with_factor(after)} when all work is done." if after else f"{weakest}.")
    return " ".join(said)


def _with_factor(found: Appraisal) -> str:
    factor = amounts.factor(found.weakest.safety_factor.likely)
    return f"{amounts.lower(found.weakest.name)}, safety factor {factor}"


def _compared(before: Appraisal, after: Appraisal | None, system: System) -> Iterator[Compared]:
    found = [before, *([after] if after else [])]
    spells = amounts.counted(len(before.assessment), "spell", "spells")
    rows = {
        "Weakest link": [_strength(each.weakest, system) for each in found],
        "Next weakest": [_strength(each.next_weakest, system) for each in found],
        "First to fail": [weakest_link.drags_or_breaks(each, system) for each in found],
        f"Outcome of {spells}": [wording.gist(each.assessment) for each in found],
        "Peak load, anchor holding": [str(amounts.span(each.peak, system)) for each in found],
        "Swinging radius": [str(amounts.lengths(each.assessment.radius, system)) for each in found],
    }
    for name, texts in rows.items():
        yield Compared(name, texts[0], texts[1] if after else "")


def _strength(part: PartState, system: System) -> str:
    load, left = (amounts.force(each.likely, system) for each in (part.load, part.strength_left))
    factor = amounts.factor(part.safety_factor.likely)
    return f"{local(part.name, system)}: peak load {load}, strength left {left}, safety factor {factor}"


def _drawings(
    before: Appraisal, after: Appraisal | None, states: Sequence[str], system: System
) -> tuple[Drawing, ...]:
    found, length = [before, *([after] if after else [])], units_of(system).length
    runs = [Named(name, each.assessment.run()) for name, each in zip(states, found, strict=True)]
    bars = utilisation(_bars(before, after, system), (states[0], states[1]) if after else None)
    return (bars, from_above(runs, length), from_the_side(runs, length))


def _bars(before: Appraisal, after: Appraisal | None, system: System) -> list[Bar]:
    """A bar a part of either set of gear, from the anchor aft."""
    earlier = {part.key: part for part in before.parts if not part.spare}
    later = {part.key: part for part in after.parts if not part.spare} if after else {}
    order = [part.key for part in before.parts if part.key in earlier]
    order += [key for key in later if key not in earlier]
    bars = []
    for key in order:
        first, then = earlier.get(key), later.get(key)
        names = {part.name for part in (first, then) if part}
        name = names.pop() if len(names) == 1 else label(key)
        bars.append(Bar(local(name, system), *(part.utilisation if part else None for part in (first, then))))
    return bars
