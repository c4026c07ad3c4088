"""What the survey report says in its own words: headings, the outcome, limits, method, signatures."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from anchorsim.core.units import Quantity, System, si
from anchorsim.scenario.scenario import Scenario
from anchorsim.scenario.weather import Weather
from anchorsim.survey.recommendations import Recommendation
from anchorsim.survey.weakest_link import Appraisal
from anchorsim.wording import amounts, weakest_link
from anchorsim.wording import assessment as wording
from anchorsim.wording.findings import WHEN
from anchorsim.wording.findings import part as label
from anchorsim.wording.glance import Tone
from anchorsim.wording.terms import local

TITLE, DESCRIBED = "Ground tackle survey", "Ground tackle as described"
AS_FOUND, AS_DESCRIBED, ALL_DONE = "As found", "As described", "When all work is done"
NOT_STATED = "not stated"
TO_DO, GAIN, WEAKEST, LIMITS = "What to do", "What the work gains", "Weakest parts", "Limits of this survey"
SINCE, PARTS, FINDINGS = "Since the last survey", "Parts one by one", "Findings"
RECOMMENDED, PICTURES = "Recommendations", "Boat and rode at peak load"
MATCH, CALENDAR, METHOD, CALCULATION, SOURCES = (
    f"Appendix {letter}: {name}"
    for letter, name in zip(
        "ABCDE", ("match and size", "maintenance calendar", "method", "limits of the calculation", "sources"),
        strict=True,
    )
)  # fmt: skip
PART_COLUMNS = (
    "Part",
    f"{weakest_link.TODAY}: load, % of WLL",
    f"{weakest_link.HELD}: load, % of WLL",
    "WLL",
    "Strength left",
    "Safety factor, anchor holding",
    "Safety factor after all work",
)
CALENDAR_COLUMNS = ("By", "Job", "Why", "How often")
JOB_COLUMNS = ("Job", "Finding", "What to do, and why", "Photographs")
PLACE_COLUMNS = ("Where measured", "Measured")
NO_JOB, NONE_NAMED = "No job recorded.", "No part was inspected, so no job is named."

HOW_PARTS = (
    "Each figure is the likely one. Beneath it is its range, over the spells and of the findings. An anchor that "
    "drags takes load off the rest, so both loads are given. The anchor must hold: judge the gear by the second. "
    "Above 100 % of WLL a part is overloaded. With a safety factor below 1 it breaks."
)
HOW_RECOMMENDED = "The benefit is calculated for each job alone, in the same spells before and after it."
METHODS = (
    "What each part is rated for when new comes from published tables, or is marked where it does not. Each "
    "finding takes a share of that away. The shares come from tables too, with a wide range where nothing can be "
    "inspected or measured. Findings of different kinds on one part multiply. Of several of one kind the worst "
    "counts.",
    "The WLL (working load limit) is the most that a part in good order may carry in use. The safety factor is "
    "strength left ÷ peak load. The weakest link is the part with the smallest safety factor. An anchor should "
    "drag before anything breaks, for it can be set again.",
    "Each recommendation is a change of the same model, run through the same spells. The difference between "
    "before and after is due to that change alone.",
)
LEFT_OUT = (
    "The rode moves through the water in a few elements. Against a calculation with many, the median peak load of "
    "nine set-ups in ten is within 6 %.",
    "One anchor is down. A second one, a tandem or a stern line is left out.",
    "Parts not inspected, or hidden, are assumed as new. Their true state is unknown.",
    "A finding’s share of strength is an estimate, not a test. Only a proof load shows the strength left.",
)


def how(found: Appraisal) -> str:
    """What was run, in sentences."""
    count, span = len(found.assessment), amounts.duration(si(found.scenario.weather.duration))
    return (
        f"A computer model anchors the boat in {count} simulated {span} spells of this weather, with well-set and "
        "poorly set anchors. It follows how the boat swings, the load on the rode, and whether the anchor holds. "
        "Figures are the median peak. Ranges are the lowest and highest of the spells."
    )


# --- Whose boat, where and what for -------------------------------------------------------------------------


def subject(scenario: Scenario) -> str:
    """Which boat, lying where: ``Eleven-metre ketch “Plover”, afloat at Dunnock Pool``."""
    boat, survey = scenario.boat, scenario.survey
    name = f"{boat.type} “{boat.name}”" if boat.type else boat.name
    place = f"at {survey.place}" if survey.place else ""
    where = " ".join(filter(None, (survey.lying, place)))
    return f"{name}, {where}" if where else name


def facts(scenario: Scenario, system: System) -> Iterator[tuple[str, str]]:
    """Who, when, what was asked, the boat, and what the figures are calculated for."""
    survey = scenario.survey
    if not survey.empty:
        yield "For", survey.client or NOT_STATED
        when = (amounts.day(survey.date) or "date not stated", survey.lying)
        yield "Surveyed", ", ".join(filter(None, when))
        yield "By", survey.surveyor or NOT_STATED
        if survey.asked.strip():
            yield "Asked", survey.asked
    yield "Boat", _boat(scenario, system)
    yield "Conditions", _conditions(scenario, system)


def _boat(scenario: Scenario, system: System) -> str:
    boat = scenario.boat
    length, beam, mass = (
        boat.measure(name).show(getattr(boat, name), system, 2 if system == "US" else 3)
        for name in ("length", "beam", "displacement")
    )
    built = " ".join(filter(None, ("built", boat.year, f"by {boat.builder}" if boat.builder else "")))
    hull = f"hull number {boat.hull_number}" if boat.hull_number else ""
    said = (f"{length} overall", f"{beam} beam", mass, built if built != "built" else "", hull)
    return ", ".join(filter(None, said))


def _conditions(scenario: Scenario, system: System) -> str:
    spot = scenario.spot
    depth, bottom = amounts.length(scenario.water_depth, system), spot.bottom
    if si(spot.slope) > 0:
        falls, towards = spot.measure("slope").show(spot.slope), amounts.bearing(si(spot.deepens_towards))
        bottom = f"{bottom}, sloping {falls}, deepens towards {towards}"
    rode = (
        f"{amounts.length(scenario.paid_out, system)} of rode out, {amounts.scope(scenario.scope_achieved)}"
    )
    return f"{amounts.upper(wind(scenario.weather))}. {depth} of water with the tide, {bottom}. {rode}."


def wind(weather: Weather) -> str:
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


# --- The outcome --------------------------------------------------------------------------------------------


def outcome(
    found: Sequence[Recommendation], before: Appraisal, after: Appraisal | None, system: System
) -> tuple[str, str, Tone]:
    """The outcome in a few words, the sentences that say why, and how grave it is."""
    if before.scenario.survey.empty:
        return "No part inspected", _empty(), "warn"
    said = [*_why(found, before, system), *_gain(before, after, system), *_unseen(before)]
    urgent = sum(entry.urgency == "before use" for entry in found)
    if before.unfit:
        return "Do not anchor on this gear yet", " ".join(said), "bad"
    if urgent:
        return f"{amounts.counted(urgent, 'job', 'jobs')} before this gear is used", " ".join(said), "bad"
    if before.scenario.survey.unseen:
        return "No job before use on the parts inspected", " ".join(said), "none"
    return "No job before use", " ".join(said), "none"


def _empty() -> str:
    return (
        "This survey is empty and certifies nothing. Nobody inspected this gear. Every figure assumes it as "
        "described, and as new."
    )


def _why(found: Sequence[Recommendation], before: Appraisal, system: System) -> Iterator[str]:
    if before.unfit:
        parts = amounts.listed([local(amounts.lower(part.name), system) for part in before.unfit])
        yield f"WARNING It can fail under load and leave the boat adrift. First replace or repair: {parts}."
    elif any(entry.urgency == "before use" for entry in found):
        weather = wind(before.scenario.weather)
        yield f"WARNING Do not rely on this gear in this weather ({weather}) until they are done."
    if jobs := [f"{count} {when}" for when, count in _due(found)]:
        yield f"Jobs: {amounts.listed(jobs)}."


def _due(found: Sequence[Recommendation]) -> Iterator[tuple[str, int]]:
    for urgency, when in WHEN.items():
        if count := sum(entry.urgency == urgency for entry in found):
            yield amounts.lower(when), count


def _gain(before: Appraisal, after: Appraisal | None, system: System) -> Iterator[str]:
    if before.nothing_in_line:
        yield weakest_link.link(before, system)
        return
    now, then = (_weakest(each, system) if each else "" for each in (before, after))
    yield f"Weakest link{' of what was recorded' if before.partial else ''}: {now}."
    if then and then != now:
        yield f"With all work done: {then}."


def _weakest(found: Appraisal, system: System) -> str:
    name = local(amounts.lower(found.weakest.name), system)
    return f"{name}, safety factor {weakest_link.factor(found.weakest)}"


def _unseen(before: Appraisal) -> Iterator[str]:
    if unseen := len(before.scenario.survey.unseen):
        yield f"{unseen} of {unseen + len(before.scenario.survey.seen)} parts were not inspected."


def compared(before: Appraisal, after: Appraisal | None, system: System) -> Iterator[tuple[str, ...]]:
    """Rows of a small table: what it is, as found, and when all work is done."""
    found = [before, *([after] if after else [])]
    yield "Weakest link", *(_strength(each, system) for each in found)
    count, span = len(before.assessment), amounts.duration(si(before.scenario.weather.duration))
    yield f"In {count} simulated {span} spells", *(_becomes(each) for each in found)


def _becomes(found: Appraisal) -> str:
    spells = found.assessment
    moved = f" (moves {amounts.in_spells(found.drags, len(spells))})" if found.drags else ""
    return f"{wording.gist(spells)}{moved}"


def _strength(found: Appraisal, system: System) -> str:
    if found.nothing_in_line:
        return f"Unknown. {weakest_link.NOTHING_IN_LINE}"
    part = found.weakest
    load, left = (amounts.force(each.likely, system) for each in (part.load, part.strength_left))
    return f"{local(part.name, system)}: safety factor {weakest_link.factor(part)} (peak load {load}, strength left {left})"


# --- What it covers, and who signs --------------------------------------------------------------------------


def limits(scenario: Scenario, system: System) -> Iterator[str]:
    """What the survey covers and what it does not, in paragraphs."""
    survey = scenario.survey
    if survey.empty:
        yield _empty()
    else:
        seen = amounts.listed([amounts.lower(label(key, system)) for key in survey.seen])
        how_seen = {"afloat": " with the boat afloat", "ashore": " with the boat ashore"}.get(
            survey.lying, ""
        )
        on = f" on {amounts.day(survey.date)}" if survey.date else ""
        yield f"Inspected{on}{how_seen}: {seen}."
    if survey.unseen:
        unseen = amounts.listed([amounts.lower(label(key, system)) for key in survey.unseen])
        yield f"Not inspected, where fitted, and assumed as new: {unseen}."
    yield (
        "This report covers the ground tackle only, as it could be inspected on that day. Hidden faults may "
        "remain. Loads are calculated for the weather named above. They compare choices and promise nothing. "
        "Makers’ instructions, class and local rules come first."
    )


def signatures(scenario: Scenario) -> tuple[str, ...]:
    """Who signs, and what for; nobody signs a survey that is empty."""
    if scenario.survey.empty:
        return ()
    surveyor = scenario.survey.surveyor or "name"
    client = scenario.survey.client or "name"
    return f"Surveyor ({surveyor}), date", f"Received and understood: owner or client ({client}), date"


def running(scenario: Scenario) -> str:
    """What heads each sheet."""
    number = f"Survey {scenario.survey.number}" if scenario.survey.number else TITLE
    return f"{DESCRIBED if scenario.survey.empty else number} · {subject(scenario)}"
