"""A set-up among others: what becomes of it in a word, and its four figures with their ranges.

Those of a night are of the hour in which each is highest.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from itertools import compress

from anchorsim.core.units import System, si
from anchorsim.mooring.rode import assemble
from anchorsim.numerics.interval import Interval
from anchorsim.planning.choice import Option
from anchorsim.planning.night import Night, leave_before
from anchorsim.risk.assessment import Assessment
from anchorsim.risk.outcome import LIMIT
from anchorsim.scenario.scenario import Scenario
from anchorsim.strength.capacity import PartState
from anchorsim.wording import amounts, glance
from anchorsim.wording.glance import Tone
from anchorsim.wording.night import when
from anchorsim.wording.terms import local

TITLES = ("Fails, in 100", "Peak load", "Swinging radius", "Part, of its WLL")
FAILING = (
    "Failing: the anchor drags, gear may break, or the boat hits something, goes aground or swings too far."
)
CAPPED = "capped: anchor drags"


@dataclass(frozen=True)
class Bar:
    """A figure as it is read and as it is drawn: ``shown`` is its range, in SI, and ``note`` what is said of it."""

    value: str
    note: str
    shown: Interval
    tone: Tone = "none"


def bars(option: Option, found: Assessment, system: System) -> tuple[Bar, ...]:
    """The four figures (:data:`TITLES`) of a set-up in some spells."""
    return (_fails(option), _load(found, system), _room(found, system), _part(found))


def night_bars(option: Option, found: Night, system: System) -> tuple[Bar, ...]:
    """The four figures of a set-up through a night."""
    looked = [(hour.si.time, hour.assessment) for hour in found.hours if hour.assessment is not None]
    if not looked:
        return (_fails(option),)
    figures: tuple[tuple[Callable[[Assessment], Bar], Callable[[Assessment], float]], ...] = (
        (lambda each: _load(each, system), lambda each: each.peak_load.likely),
        (lambda each: _room(each, system), lambda each: each.radius.likely),
        (_part, lambda each: _heaviest(each).utilisation.likely),
    )
    shown = []
    for bar, height in figures:
        time, highest = max(looked, key=lambda pair: height(pair[1]))
        made = bar(highest)
        shown.append(replace(made, note=f"{found.forecast.clock.text(time)}: {made.note}"))
    return (_fails(option), *shown)


def _fails(option: Option) -> Bar:
    likely, ends = amounts.hundredths(option.fails)
    over = option.fails.likely > LIMIT
    tone: Tone = "bad" if option.fails.likely >= 0.5 else "warn" if over else "none"
    return Bar(likely, ends, option.fails, tone)


def _load(found: Assessment, system: System) -> Bar:
    shown = amounts.span(found.peak_load, system)
    return Bar(shown.likely, _capped(found, shown.range), found.peak_load)


def _room(found: Assessment, system: System) -> Bar:
    shown = amounts.lengths(found.radius, system)
    drags = 2 * found.count("dragged") >= len(found)
    note = f"{shown.range}, still dragging" if drags else shown.range
    over = found.clear_radius is not None and found.radius.likely > si(found.clear_radius)
    return Bar(shown.likely, note, found.radius, "warn" if over else "none")


def _part(found: Assessment) -> Bar:
    part = _heaviest(found)
    use = part.utilisation
    tone: Tone = "bad" if part.unfit or use.likely > 1.0 else "warn" if use.high > 1.0 else "none"
    return Bar(amounts.percent(use.likely), _capped(found, amounts.lower(part.name)), use, tone)


def _heaviest(found: Assessment) -> PartState:
    return max(found.states, key=lambda each: each.utilisation.likely)


def _capped(found: Assessment, note: str) -> str:
    """A dragging anchor carries no more load, so that a load beside it says little."""
    return f"{note}, {CAPPED}" if 2 * found.count("dragged") >= len(found) else note


def night_word(option: Option, found: Night) -> tuple[str, Tone]:
    """What becomes of a set-up in a night, in a word."""
    if option.unfit:
        return "Not fit for use", "bad"
    if found.groundings:
        return "Goes aground", "bad"
    worst = found.worst
    if worst is None or worst.assessment is None:
        return "", "none"
    if not option.holds:
        mostly = option.fails.likely >= 0.5
        return glance.way_of_failing(worst.assessment, mostly), "bad" if mostly else "warn"
    creeps = any(
        hour.assessment.count("crept") > LIMIT * found.count for hour in found.hours if hour.assessment
    )
    return ("Creeps", "warn") if creeps else ("Holds", "ok")


def gists(scenarios: Sequence[Scenario], system: System) -> list[tuple[str, str]]:
    """What each of some set-ups is: in what it differs from the others, and what it has in common with them."""
    facts = [_facts(each, system) for each in scenarios]
    differs = [len(set(values)) > 1 for values in zip(*facts, strict=True)]
    alike = [not each for each in differs]
    return [(_joined(each, differs), _joined(each, alike)) for each in facts]


def _joined(facts: Sequence[str], wanted: Sequence[bool]) -> str:
    return ", ".join(filter(None, compress(facts, wanted)))


def _facts(scenario: Scenario, system: System) -> tuple[str, ...]:
    spot, tackle, rode = scenario.spot, scenario.tackle, assemble(scenario)
    fetch = max((si(each.distance) for each in spot.fetches), default=0.0)
    snubber, aboard = local("snubber", system), si(tackle.chain.length)
    return (
        amounts.scope(tackle.scope),
        f"{snubber} {amounts.length(rode.snubber, system)}" if rode.snubber else f"no {snubber}",
        f"{amounts.length(si(spot.depth), system)} deep",
        spot.bottom,
        f"{amounts.mass(si(tackle.anchor.mass), system)} {local(tackle.anchor.type, system)}",
        f"{amounts.length(aboard, system)} of chain" if aboard else "no chain",
        f"open water {amounts.open_water(fetch, system)}" if fetch else "",
        f"current {amounts.speed(si(spot.current), system)}" if si(spot.current) else "",
        f"boat {amounts.length(si(scenario.boat.length), system)}",
    )


def deadline(found: Night) -> str:
    """By when to have left a set-up; empty where she may stay."""
    leave = leave_before(found)
    return "" if leave is None else f"Leave before {when(found, leave)}"
