"""Jobs in sentences: what is wrong, what to do, and the benefit."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from anchorsim.core.units import System
from anchorsim.strength.compatibility import URGENCIES, Misfit, Urgency
from anchorsim.strength.degradation import Effect
from anchorsim.survey.recommendations import Recommendation, Remedy
from anchorsim.wording import amounts, compatibility, findings

GOOD_PRACTICE = "Good practice; the calculated loads do not show its benefit."
NOT_CALCULATED = "Benefit not calculated."


@dataclass(frozen=True)
class Duty:
    """A job on a part, in words: what is wrong and what to do."""

    part: str
    what: str
    remedy: str
    urgency: Urgency


def duties(effects: Iterable[Effect], misfits: Iterable[Misfit], system: System) -> list[Duty]:
    """All jobs, the most urgent first."""
    found = [
        Duty(entry.finding.part, findings.named(entry.finding, system), findings.job(entry, system), urgency)
        for entry in effects
        for urgency in URGENCIES
        if urgency == entry.urgency
    ]
    found += [
        Duty(
            entry.part,
            compatibility.sentence(entry, system).rstrip("."),
            compatibility.remedy(entry, system),
            entry.urgency,
        )
        for entry in misfits
    ]
    return sorted(found, key=lambda duty: URGENCIES.index(duty.urgency))


def sentence(entry: Recommendation, system: System = "metric") -> str:
    """What to do, why, and what changes by it."""
    changes = "; ".join(benefit(entry, system))
    return f"{remedy(entry, system)} {wrong(entry, system)} {amounts.upper(changes).rstrip('.')}."


def wrong(entry: Remedy, system: System) -> str:
    """What was found or does not fit, in sentences."""
    if entry.misfit is not None:
        return compatibility.sentence(entry.misfit, system)
    said = [_found(effect, system) for effect in entry.effects]
    return " ".join(dict.fromkeys(said))


def _found(effect: Effect, system: System) -> str:
    title, what = f"{findings.named(effect.finding, system)}.", findings.what(effect.finding, system)
    return " ".join(filter(None, (title, what, findings.measured(effect, system))))


def remedy(entry: Remedy, system: System) -> str:
    """What to do, in sentences."""
    if entry.misfit is not None:
        return compatibility.remedy(entry.misfit, system)
    if entry.worn_out:
        return findings.renew_now(entry.part, system)
    return " ".join(dict.fromkeys(findings.remedy(finding, system) for finding in entry.jobs))


def benefit(entry: Recommendation, system: System) -> tuple[str, ...]:
    """What changes by a recommendation alone, each figure before and after it."""
    if not (entry.changes or entry.effects):
        return (NOT_CALCULATED,)
    return tuple(_changed(entry, system)) or (GOOD_PRACTICE,)


def _changed(entry: Recommendation, system: System) -> Iterator[str]:
    first, then = entry.before, entry.after
    used = [amounts.percent(each) for each in (first.utilisation, then.utilisation) if not math.isnan(each)]
    if len(used) == 2 and used[0] != used[1]:
        yield f"load {used[0]} → {used[1]} of WLL"
    safety = [amounts.factor(each) for each in (first.safety, then.safety)]
    if safety[0] != safety[1] and not any(math.isnan(each) for each in (first.safety, then.safety)):
        yield f"safety factor {safety[0]} → {safety[1]}"
    weakest = [amounts.factor(each) for each in (first.weakest_safety, then.weakest_safety)]
    if (first.weakest, weakest[0]) != (then.weakest, weakest[1]):
        yield (
            f"weakest link: {amounts.lower(first.weakest)}, safety factor {weakest[0]} → "
            f"{amounts.lower(then.weakest)}, {weakest[1]}"
        )
    peaks = [amounts.force(each, system) for each in (first.peak, then.peak)]
    if peaks[0] != peaks[1]:
        yield f"median peak load at the bow {peaks[0]} → {peaks[1]}"
    if first.drags != then.drags:
        spells = amounts.counted(first.spells, "spell", "spells")
        yield f"anchor moves in {first.drags} → {then.drags} of {spells}"
