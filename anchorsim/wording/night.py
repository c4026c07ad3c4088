"""A night at anchor in words: when it passes the limit and why, when she is aground, and hour by hour."""

from __future__ import annotations

from collections.abc import Iterator

from anchorsim.core.clock import Clock
from anchorsim.core.units import System, si
from anchorsim.planning.hours import Grounding
from anchorsim.planning.night import Hour, Night
from anchorsim.risk.assessment import Assessment
from anchorsim.risk.outcome import What
from anchorsim.wording.amounts import bearing, in_spells, length, listed, lower, percent, scope, speed
from anchorsim.wording.assessment import out_of_room

NOTE = (
    "Each hour starts with the anchor where it was set at dusk, also after one in which it drags. A spell has "
    "the same holding and windage in every hour, so the chance over the whole night is at least that of its "
    "worst hour."
)


def sentence(found: Night, system: System = "metric") -> str:
    """When the night passes the limit and why, whether she goes aground, and the chance over all of it."""
    told = [_aground(found, each, system) for each in found.groundings]
    if not found.complete:
        afloat = [hour for hour in found.hours if not hour.aground]
        done = sum(hour.assessment is not None and len(hour.assessment) == found.count for hour in afloat)
        told.append(f"Incomplete: {done} of {len(afloat)} hours calculated. Do not rely on this night yet.")
    told += _limit(found, system)
    if found.first_over_limit is not None and found.failing is not None:
        low, likely, high = (f"{100 * end:.0f}" for end in found.failing)
        told.append(f"Over the whole night at least {likely} in 100 fail ({low} to {high}).")
    if any(hour.assessment is not None and hour.assessment.count("dragged") for hour in found.hours[:-1]):
        told.append(
            "Each hour starts with the anchor where it was set at dusk. A boat that has dragged earlier is worse "
            "off than is shown."
        )
    worst = found.worst
    if worst is not None and worst.assessment is not None and worst.assessment.not_fit:
        names = listed([f"the {lower(part.name)}" for part in worst.assessment.not_fit])
        told.append(f"Do not use {names}.")
    return " ".join(told)


def _limit(found: Night, system: System) -> Iterator[str]:
    worst, clock = found.worst, found.forecast.clock
    if worst is None or worst.assessment is None:
        return
    what = f"{outcome(worst.assessment)}. Cause: {cause(found, worst, system)}."
    at, first = clock.text(worst.time), found.first_over_limit
    if first is None:
        afloat = "While afloat no hour" if found.groundings else "No hour"
        yield f"{afloat} exceeds your limit. Highest risk at {at}: {what}"
    elif first is worst:
        yield f"Over your limit from {at}: {what}"
    else:
        yield f"Over your limit from {clock.text(first.time)}, worst at {at}: {what}"


def _aground(found: Night, each: Grounding, system: System) -> str:
    clock, draught = found.forecast.clock, length(si(found.scenario.boat.draught), system)
    start, end, low = (clock.text(when) for when in (each.start, each.end, each.low_water))
    water = length(each.least, system) if each.least > 0.0 else "no"
    of = "of water" if each.least > 0.0 else "water"
    return (
        f"WARNING Aground from {start} to {end}: {water} {of} at {low}, draught {draught}. Anchor in deeper "
        "water."
    )


def hour(found: Hour, clock: Clock, system: System = "metric") -> str:
    """Where the boat is in an hour and what may happen."""
    water = length(found.depth, system)
    if found.aground:
        return f"At {clock.text(found.time)} aground in {water if found.depth > 0.0 else 'no'} water."
    told = f"At {clock.text(found.time)}: {water} of water, scope {scope(found.scope)}"
    if found.assessment is None:
        return f"{told}. Not calculated."
    if found.sea:
        told += f", waves of {length(found.sea, system)}"
    place = (
        f"The boat is {length(found.distance, system)} from the anchor, on a bearing of {bearing(found.bearing)} "
        "from it"
    )
    return f"{told}. {place}. {outcome(found.assessment)}."


def outcome(found: Assessment) -> str:
    """What happens in an hour's spells."""
    count = len(found)
    happens: tuple[tuple[str, What], ...] = (
        ("the anchor drags", "dragged"),
        ("gear may break", "may have broken"),
        ("gear breaks", "broke"),
        (out_of_room(found), "out of room"),
    )
    told = [f"{what} {in_spells(found.count(word), count)}" for what, word in happens if found.count(word)]
    if not found.count("failed"):
        still = 100 * found.chance("failed").high
        told.append(f"no failure {in_spells(count, count)} (up to {still:.0f} in 100 could still fail)")
    part = found.most_loaded
    if part.use.likely > 1.0 or not found.count("failed"):
        told.append(f"the {lower(part.name)} carries {percent(part.use.likely)} of its WLL in a bad spell")
    return listed(told)


def cause(found: Night, at: Hour, system: System = "metric") -> str:
    """What is at its worst of the night in an hour, or else its gusts and scope as they are."""
    told = {
        "strongest gusts": f"strongest gusts of the night, {speed(at.gust, system)}",
        "lowest scope": f"lowest scope of the night, {scope(at.scope)} in {length(at.depth, system)} of water",
        "strongest current": f"strongest current of the night, {speed(at.current, system)}",
    }
    adds = f"{length(at.sea, system)}, add about {round(100 * at.sea_adds, -1):.0f} % to the load"
    told["highest waves"] = f"highest waves of the night, {adds}"
    told["waves"] = f"waves, {adds}"
    named = [told[each] for each in found.causes(at)]
    return listed(named) or f"gusts of {speed(at.gust, system)} on a scope of {scope(at.scope)}"
