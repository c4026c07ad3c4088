"""Advice in words: what to do, where, what it changes, why, and what to know before it is done."""

from __future__ import annotations

import numpy as np

from anchorsim.core.units import System
from anchorsim.numerics.estimates import certain, change, counted_chance
from anchorsim.numerics.interval import Interval
from anchorsim.planning.advice import Advice
from anchorsim.risk.assessment import Assessment
from anchorsim.risk.outcome import LIMIT, What
from anchorsim.wording import limits, measures
from anchorsim.wording.amounts import angle, chance, force, hundredths, listed, lower, of_spells, speed, upper
from anchorsim.wording.assessment import fails, odds, out_of_room, spell_of
from anchorsim.wording.cautions import LEAVING, Caution


def sentence(found: Advice, system: System = "metric") -> str:
    """What to do, where, what it changes and why."""
    if found.change is None:
        return _leave(found, system)
    said = [f"{measures.action(found.change, system)}.", f"{measures.where(found.change)}."]
    said += [f"{claim}." for claim in claims(found)]
    said += [f"{reason}." for reason in reasons(found, system)]
    return " ".join([*said, *doubts(found), *map(str, cautions(found))])


def action(found: Advice, system: System = "metric") -> str:
    """What to do."""
    return measures.action(found.change, system) if found.change else _leave_by(found, system)


def cautions(found: Advice) -> tuple[Caution, ...]:
    """What to mind when it is done."""
    return measures.cautions(found.change) if found.change else (LEAVING,)


def _leave_by(found: Advice, system: System) -> str:
    """At what wind to leave, or what tells it."""
    wind = found.wind
    if found.before.unfit:
        return "Leave now"
    if wind is None or wind.beyond == "greatest":
        return "Leave. Run the night to see by what hour, or odds and limits to see at what wind"
    spells, what = f"in more than {100 * wind.chance:.0f} of 100 spells", fails(found.before)
    if wind.found is None:
        least = speed(wind.si.tried[0], system)
        return f"Leave now. Even in {least} of mean wind, the least simulated, {what} {spells}"
    return f"Leave before the mean wind reaches {limits.value(wind, system)}. From there on {what} {spells}"


def claims(found: Advice) -> tuple[str, ...]:
    """What it changes, each chance per spell with its 95 % band."""
    was, then = found.before, found.after
    spells = f"{spell_of(then)}s"
    said = [
        _claim("Drags", *_chances(found, "dragged"), spells),
        _claim("A part is overloaded", *_chances(found, "overloaded")),
    ]
    breaks = [each.happened("may have broken") | each.happened("broke") for each in (was, then)]
    if any(each.any() for each in breaks):
        was_then = counted_chance(breaks[0]), counted_chance(breaks[1])
        said.append(_claim("Gear may break", *was_then, change(*breaks)))
    if then.bounded:
        said.append(_claim(upper(out_of_room(then)), *_chances(found, "out of room")))
    return tuple(said)


def _chances(found: Advice, what: What) -> tuple[Interval, Interval, Interval]:
    return found.before.chance(what), found.after.chance(what), found.change_in(what)


def reasons(found: Advice, system: System = "metric") -> tuple[str, ...]:
    """Why it helps, from the median spell of each; empty where that cannot be told."""
    before, after = found.before, found.after
    said = []
    was, then = (float(np.median(each.spells.holding)) for each in (before, after))
    if then > 1.02 * was > 0:
        said.append(f"Holding is {then / was:.1f} times as high")
    was, then = before.uplift.likely, after.uplift.likely
    if round(np.degrees(then)) < round(np.degrees(was)):
        said.append(f"Uplift falls from {angle(was)} to {angle(then)}")
    was, then = before.peak_load.likely, after.peak_load.likely
    if then < 0.97 * was:
        said.append(f"Median peak load at the bow falls from {force(was, system)} to {force(then, system)}")
    was, then = before.most_loaded.state.wll.likely, after.most_loaded.state.wll.likely
    if then > 1.02 * was:
        name = lower(after.most_loaded.name)
        said.append(
            f"The most loaded part is now the {name}, WLL {force(then, system)} (was {force(was, system)})"
        )
    return tuple(said)


def doubts(found: Advice) -> tuple[str, ...]:
    """What to know before it is done: that the gain may be chance, and what is not fit for use even so."""
    said = []
    if not found.clear:
        said.append(f"The gain may be chance ({len(found.after)} spells). Run more before you rely on it.")
    if found.after.unfit:
        said.append(f"Even with this change, do not use {_unfit(found.after)}.")
    return tuple(said)


def nothing(found: Assessment) -> str:
    """For a set-up within the limit that no change makes clearly better."""
    likely, ends = hundredths(found.chance("failed"))
    return (
        f"Within {_limit(found)}: fails in {likely} ({ends}). No change makes a clear difference. Keep an anchor "
        "watch."
    )


def _leave(found: Advice, system: System) -> str:
    said = [f"{_leave_by(found, system)}.", odds(found.before)]
    if found.before.unfit:
        said.append(f"Do not use {_unfit(found.before)}.")
    enough = found.best is not None and found.after.within_limit
    said.append(
        f"{'Nothing aboard' if enough else 'No change'} brings the risk within {_limit(found.before)}."
    )
    if found.best is not None:
        best, fails = lower(measures.steps(found.best, system)), of_spells(found.after.chance("failed"))
        does = "This from ashore does, and fails in" if enough else "The best of them still fails in"
        said.append(f"{does} {fails}: {best}.")
        said += [doubt for doubt in doubts(found) if found.after.unfit and doubt.startswith("Even")]
    return " ".join([*said, *map(str, cautions(found))])


def _limit(found: Assessment) -> str:
    return f"your limit of {100 * LIMIT:.0f} in 100 per {spell_of(found)}"


def _unfit(found: Assessment) -> str:
    return listed([f"the {lower(part.name)}" for part in found.unfit])


def _claim(what: str, before: Interval, after: Interval, difference: Interval, spells: str = "spells") -> str:
    """One chance before and after, and whether so many spells can tell them apart."""
    if difference.likely == 0.0:
        return f"{what}: unchanged at {chance(after)}"
    likely, ends = hundredths(before)
    doubt = "" if certain(difference) else " (may be chance)"
    return f"{what} in {of_spells(after, spells)}, was {likely} ({ends}){doubt}"
