"""What the report says: a scenario and its survey as words, tables and pictures, in the order of the page."""

from __future__ import annotations

import datetime
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from anchorsim.core.units import Quantity, System, show, si
from anchorsim.figures import units_of
from anchorsim.report.advice import WHEN, Advice, Fitting, Pair, Task, fitting, grouped, tasks
from anchorsim.report.bars import Bar, utilisation
from anchorsim.report.drawing import Picture
from anchorsim.report.parts import FindingEntry, PartRow, Source, Sources, finding_entries, label, part_rows
from anchorsim.report.views import Named, from_above, from_the_side
from anchorsim.scenario.findings import Survey
from anchorsim.scenario.scenario import Scenario
from anchorsim.scenario.weather import Weather
from anchorsim.strength.capacity import PartState
from anchorsim.survey.recommendations import Recommendation, all_done, recommendations
from anchorsim.survey.weakest_link import Appraisal, appraise
from anchorsim.wording import amounts
from anchorsim.wording import assessment as wording

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
    the numbers, parts and remedies due before use.  ``sound`` names the parts on which nothing was found when
    they were looked at, ``unseen`` those of which the survey says nothing.
    """

    title: str
    kind: str
    surveyed: bool
    surveyor: str
    facts: tuple[Pair, ...]
    notes: str
    verdict: str
    told: tuple[str, ...]
    states: tuple[str, ...]
    compared: tuple[Compared, ...]
    must: tuple[Advice, ...]
    pictures: tuple[Picture, ...]
    parts: tuple[PartRow, ...]
    findings: dict[str, list[FindingEntry]]
    sound: str
    unseen: str
    advice: dict[str, list[Advice]]
    fit: Fitting
    calendar: tuple[Task, ...]
    reckoned: str
    warnings: tuple[str, ...]
    cautions: tuple[str, ...]
    remarks: tuple[str, ...]
    spells: int
    sources: dict[str, list[Source]]


def content(scenario: Scenario, system: System) -> Content:
    """The whole report in words and pictures.

    A scenario without a survey is taken as described; dates are then reckoned from today, and otherwise from
    the day of the survey.
    """
    survey = scenario.survey
    surveyed = survey != Survey()
    found = recommendations(scenario, system)
    before = appraise(scenario)
    after = appraise(all_done(scenario, found)) if any(row.changes or row.effects for row in found) else None
    today, sources = survey.date or datetime.date.today(), Sources()
    parts = part_rows(before, after, sources, system)
    findings = finding_entries(scenario, sources, system)
    unseen = before.unseen if surveyed else ()
    sound = [part for part in before.parts if part not in unseen and not part.effects] if surveyed else []
    advice = grouped(scenario, found, sources, system)
    as_it_is = "As found" if surveyed else "As described"
    states = (as_it_is, "With all recommendations done") if after else (as_it_is,)
    suits = fitting(scenario, sources, system)
    calendar = tasks(scenario, today, sources) if surveyed else ()
    return Content(
        title=scenario.title,
        kind="Survey of ground tackle" if surveyed else "Ground tackle as described, computed",
        surveyed=surveyed,
        surveyor=survey.surveyor,
        facts=tuple(_facts(scenario, surveyed, system)),
        notes=survey.notes,
        verdict=_verdict(found, before, after, surveyed),
        told=(before.sentence(system), wording.sentence(before.assessment, system)),
        states=states,
        compared=tuple(_compared(before, after, system)),
        must=tuple(advice.get(WHEN["before use"], ())),
        pictures=_pictures(before, after, states, system),
        parts=parts,
        findings=findings,
        sound=_named(sound),
        unseen=_named(unseen),
        advice=advice,
        fit=suits,
        calendar=calendar,
        reckoned=amounts.day(today),
        warnings=wording.warnings(before.assessment),
        cautions=wording.STANDING,
        remarks=wording.notes(before.assessment, system),
        spells=len(before.assessment),
        sources=sources.listed(),
    )


def _named(parts: Sequence[PartState]) -> str:
    return amounts.upper(amounts.listed([amounts.lower(label(part.key)) for part in parts]))


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
        bottom = f"{bottom} that falls by {falls} towards {towards}"
    rode = f"{amounts.length(scenario.paid_out, system)} of rode out, scope {scenario.scope_achieved:.2g}:1"
    yield Pair(
        "Computed for",
        f"{_wind(scenario.weather)}; {depth} of water with the tide over {bottom}; {rode}",
    )


def _wind(weather: Weather) -> str:
    """The weather as a forecast tells it, in knots in either system."""
    if weather.record is not None:
        return f"the wind of the record {weather.record}"

    def said(value: Quantity) -> str:
        return show(value, "knot")

    text = f"{said(weather.mean_wind)} of wind, gusts {said(weather.effective_gust)}"
    if si(weather.squall_wind) > 0:
        text += f", and a squall of {said(weather.squall_wind)}"
    if si(weather.shift) != 0:
        text += f", shifting by {show(weather.shift, 'degree')}"
    return text


def _verdict(
    found: Sequence[Recommendation], before: Appraisal, after: Appraisal | None, surveyed: bool
) -> str:
    """The one sentence that a client reads first."""
    counts = {urgency: sum(entry.urgency == urgency for entry in found) for urgency in WHEN}
    barred = [amounts.lower(part.name) for part in before.condemned]
    if barred:
        first = f"Do not lie to this tackle: the {amounts.listed(barred)} must be put right first"
    elif counts["before use"]:
        things = amounts.counted(counts["before use"], "thing is", "things are")
        first = f"Do not rely on this tackle in the weather computed here until {things} done"
    elif counts["this season"]:
        things = amounts.counted(counts["this season"], "thing is", "things are")
        first = f"Nothing must be done before use, but {things} due this season"
    else:
        first = "Nothing must be done before use or this season"
    weakest = before.weakest
    text = (
        f"{first}; the weakest link is the {amounts.lower(weakest.name)}, which breaks at "
        f"{amounts.factor(weakest.safety_factor.likely)} times its greatest load"
    )
    if after:
        then = after.weakest
        same = "still " if then.key == weakest.key else ""
        text += (
            f", and with everything done it is {same}the {amounts.lower(then.name)}, at "
            f"{amounts.factor(then.safety_factor.likely)} times"
        )
    aside = "" if surveyed else " Nobody has surveyed this tackle: it is taken to be new and sound."
    return f"{text}.{aside}"


def _compared(before: Appraisal, after: Appraisal | None, system: System) -> Iterator[Compared]:
    found = [before, *([after] if after else [])]
    rows = {
        "Weakest link": [f"{each.weakest.name}: {_stands(each, 0, system)}" for each in found],
        "Next weakest": [f"{each.next_weakest.name}: {_stands(each, 1, system)}" for each in found],
        "When overloaded": [_overloaded(each, system) for each in found],
        "Outcome of the watches": [wording.gist(each.assessment) for each in found],
        "Greatest pull while the anchor holds": [str(amounts.span(each.peak, system)) for each in found],
        "Room she needs": [str(amounts.lengths(each.assessment.radius, system)) for each in found],
    }
    for name, texts in rows.items():
        yield Compared(name, texts[0], texts[1] if after else "")


def _stands(found: Appraisal, place: int, system: System) -> str:
    part = found.in_line[place]
    load, breaks = (amounts.force(each.likely, system) for each in (part.load, part.strength_left))
    times = amounts.factor(part.safety_factor.likely)
    return f"load {load}, breaks at {breaks}, {times} times the load"


def _overloaded(found: Appraisal, system: System) -> str:
    drags, pull = (
        amounts.force(found.holding.likely, system),
        amounts.force(found.bow_load_at_break.likely, system),
    )
    if found.anchor_drags_first:
        return f"The anchor drags at about {drags} before anything breaks, as it should"
    first = amounts.lower(found.breaks_first.name)
    return f"The {first} breaks at about {pull} before the anchor drags at {drags}: it should drag first"


def _pictures(
    before: Appraisal, after: Appraisal | None, states: Sequence[str], system: System
) -> tuple[Picture, ...]:
    found, length = [before, *([after] if after else [])], units_of(system).length
    runs = [Named(name, each.assessment.run()) for name, each in zip(states, found, strict=True)]
    bars = utilisation(_bars(before, after), (states[0], states[1]) if after else None)
    return (bars, from_above(runs, length), from_the_side(runs, length))


def _bars(before: Appraisal, after: Appraisal | None) -> list[Bar]:
    """A bar a part of either tackle, in the order of the walk."""
    earlier = {part.key: part for part in before.parts if not part.spare}
    later = {part.key: part for part in after.parts if not part.spare} if after else {}
    order = [part.key for part in before.parts if part.key in earlier]
    order += [key for key in later if key not in earlier]
    bars = []
    for key in order:
        first, then = earlier.get(key), later.get(key)
        names = {part.name for part in (first, then) if part}
        name = names.pop() if len(names) == 1 else label(key)
        bars.append(Bar(name, *(part.utilisation if part else None for part in (first, then))))
    return bars
