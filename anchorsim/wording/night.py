"""A night at anchor in words: when it passes the limit and why, when she is aground, and hour by hour."""

from __future__ import annotations

import datetime
import math
from collections.abc import Iterator, Mapping

from anchorsim.core.clock import DAY, Clock
from anchorsim.core.units import System, si
from anchorsim.planning.hours import Grounding
from anchorsim.planning.night import Hour, Night, leave_before
from anchorsim.risk.assessment import Assessment
from anchorsim.risk.outcome import LIMIT, What
from anchorsim.risk.part_loads import PartLoad
from anchorsim.wording.amounts import (
    bearing,
    chance,
    day,
    hundredths,
    in_spells,
    length,
    listed,
    lower,
    percent,
    scope,
    speed,
    upper,
)
from anchorsim.wording.assessment import out_of_room, spell_of
from anchorsim.wording.cautions import DRAGGING, OVERBOARD, Caution, forecast_of, leaving, staying
from anchorsim.wording.terms import local

NOTE = (
    "A spell lasts as long as its hour, and has the same holding and windage in every hour. So the chance over the "
    "whole night is at least that of its worst hour."
)


def sentence(found: Night, system: System = "metric") -> str:
    """When the night passes the limit and why, whether she goes aground, and the chance over all of it."""
    said = [_aground(found, each, system) for each in found.groundings]
    if not found.complete:
        afloat = [hour for hour in found.hours if not hour.aground]
        done = sum(hour.assessment is not None and len(hour.assessment) == found.count for hour in afloat)
        said.append(f"Incomplete: {done} of {len(afloat)} hours calculated. Do not rely on this night yet.")
    said += _limit(found, system)
    if found.first_over_limit is not None and found.failing is not None:
        likely, ends = hundredths(found.failing)
        said.append(f"Over the whole night at least {likely} in 100 fail ({ends}).")
        said.append(f"Leave before {when(found, _leave(found, found.first_over_limit))}.")
    if any(hour.assessment is not None and hour.assessment.count("dragged") for hour in found.hours[:-1]):
        said.append(
            "Each hour starts with the anchor where it was set at dusk. A boat that has dragged earlier is worse "
            "off than is shown."
        )
    worst = found.worst
    if worst is not None and worst.assessment is not None and worst.assessment.unfit:
        names = listed([f"the {lower(part.name)}" for part in worst.assessment.unfit])
        said.append(f"Do not use {names}.")
    return " ".join(said)


def cautions(found: Night) -> tuple[Caution, ...]:
    """What to mind in a night: that the anchor drags, staying, leaving, going on deck, and the forecast's age."""
    first, said = found.first_over_limit, list[Caution]()
    if any(hour.assessment is not None and hour.assessment.count("dragged") for hour in found.hours):
        said.append(DRAGGING)
    if first is not None:
        said += [leaving(when(found, _leave(found, first))), staying(when(found, first.si.time))]
    clock, begins = found.forecast.clock, float(found.forecast.si.time[0])
    named = ", ".join(filter(None, (clock.text(begins), day(clock.day))))
    return (*said, OVERBOARD, forecast_of(named))


def when(found: Night, time: float) -> str:
    """The time of day of ``time`` (s on the forecast's clock); with the day where the forecast has several."""
    clock = found.forecast.clock
    if found.forecast.si.end - float(found.forecast.si.time[0]) <= DAY:
        return clock.text(time)
    days = math.floor(time / DAY)
    on = day(clock.day + datetime.timedelta(days)) if clock.day else f"day {days + 1}"
    return f"{clock.text(time)} on {on}"


def _leave(found: Night, first: Hour) -> float:
    """When to have left a night that has a ``first`` hour over the limit: no later than that."""
    leave = leave_before(found)
    return first.si.time if leave is None else leave


def _limit(found: Night, system: System) -> Iterator[str]:
    worst = found.worst
    if worst is None or worst.assessment is None:
        return
    limit = f"your limit ({100 * LIMIT:.0f} in 100 per {spell_of(worst.assessment)})"
    what = f"{outcome(worst.assessment)}. Cause: {cause(found, worst, system)}."
    at, first = when(found, worst.si.time), found.first_over_limit
    if first is None:
        afloat = "While afloat no hour" if found.groundings else "No hour"
        yield f"{afloat} exceeds {limit}. Highest risk at {at}: {what}"
    elif first is worst:
        yield f"Over {limit} from {at}: {what}"
    else:
        yield f"Over {limit} from {when(found, first.si.time)}, worst at {at}: {what}"


def _aground(found: Night, each: Grounding, system: System) -> str:
    draught = length(si(found.scenario.boat.draught), system)
    start, end, low = (when(found, time) for time in (each.si.start, each.si.end, each.si.low_water))
    water = length(each.si.least, system) if each.si.least > 0.0 else "no"
    of = "of water" if each.si.least > 0.0 else "water"
    return (
        f"WARNING Aground from {start} to {end}: {water} {of} at {low}, {local('draught', system)} {draught}. Anchor in deeper "
        "water."
    )


def hour(found: Hour, clock: Clock, system: System = "metric") -> str:
    """Where the boat is in an hour and what may happen."""
    water = length(found.si.depth, system)
    if found.aground:
        return f"At {clock.text(found.si.time)} aground in {water if found.si.depth > 0.0 else 'no'} water."
    said = f"At {clock.text(found.si.time)}: {water} of water, scope {scope(found.scope)}"
    if found.assessment is None:
        return f"{said}. Not calculated."
    if found.si.sea:
        said += f", waves of {length(found.si.sea, system)}"
    place = (
        f"The boat is {length(found.si.distance, system)} from the anchor, on a bearing of {bearing(found.si.bearing)} "
        "from it"
    )
    return f"{said}. {place}. {upper(outcome(found.assessment))}."


def together(nights: Mapping[str, Night], row: int, system: System = "metric") -> str:
    """An hour of one night for several set-ups, by letter: the wind, how often each fails, water and scope."""
    first = next(iter(nights.values()))
    then, clock = first.hours[row], first.forecast.clock
    wind = (
        f"{clock.text(then.si.time)}: wind {speed(then.si.mean_wind, system)}, gusts {speed(then.si.gust, system)}, "
        f"from {bearing(then.si.direction)}"
    )
    alone = len(nights) == 1
    each = {"" if alone else f"{letter} ": night.hours[row] for letter, night in nights.items()}
    fails = [f"{letter}{_fails(hour)}" for letter, hour in each.items()]
    water = [f"{letter}{length(hour.si.depth, system)}" for letter, hour in each.items()]
    out = [f"{letter}{scope(hour.scope)}" for letter, hour in each.items()]
    said = [wind, f"fails: {', '.join(fails)}"]
    said += [
        f"{what} {', '.join(dict.fromkeys(values))}" for what, values in (("water", water), ("scope", out))
    ]
    return ". ".join(map(upper, said)) + "."


def _fails(found: Hour) -> str:
    if found.aground:
        return "aground"
    return "not calculated" if found.assessment is None else chance(found.assessment.chance("failed"))


def open_water(name: str, towards: float) -> str:
    """The question how far the open water is to windward of a gale."""
    where = f" at {name}" if name else ""
    return f"Gale from {bearing(towards)}: how far is the open water that way{where}, in km? 0 = sheltered."


def outcome(found: Assessment) -> str:
    """What happens in an hour's spells."""
    count = len(found)
    happens: tuple[tuple[str, What], ...] = (
        ("the anchor drags", "dragged"),
        ("gear may break", "may have broken"),
        ("gear breaks", "broke"),
        (out_of_room(found), "out of room"),
    )
    said = [f"{what} {in_spells(found.count(word), count)}" for what, word in happens if found.count(word)]
    if not found.count("failed"):
        said.append(
            f"{_holds(found)} (up to {100 * found.chance('failed').high:.0f} in 100 could still fail)"
        )
    part = found.most_loaded
    if part.use.likely > 1.0 or not found.count("failed"):
        said.append(_carries(part))
    return listed(said)


def _holds(found: Assessment) -> str:
    crept, count = found.count("crept"), len(found)
    if crept:
        return f"the anchor creeps {in_spells(crept, count)} and drags in none"
    return f"the anchor holds {in_spells(count, count)}"


def _carries(part: PartLoad) -> str:
    name = lower(part.name)
    if math.isinf(part.use.likely):
        return f"nothing is left of the WLL of the {name}"
    return f"the {name} carries {percent(part.use.likely)} of its WLL in a bad spell"


def cause(found: Night, at: Hour, system: System = "metric") -> str:
    """What is at its worst of the night in an hour, or else its gusts and scope as they are."""
    sea = f"{length(at.si.sea, system)}, adding about {round(100 * at.si.sea_adds, -1):.0f} % to the load"
    said = {
        "strongest gusts": f"strongest gusts of the night ({speed(at.si.gust, system)})",
        "lowest scope": f"lowest scope of the night ({scope(at.scope)} in {length(at.si.depth, system)} of water)",
        "strongest current": f"strongest current of the night ({speed(at.si.current, system)})",
        "highest waves": f"highest waves of the night ({sea})",
        "waves": f"waves ({sea})",
    }
    named = [said[each] for each in found.causes(at)]
    return listed(named) or f"gusts of {speed(at.si.gust, system)} on a scope of {scope(at.scope)}"
