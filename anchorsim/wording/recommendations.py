"""Jobs in sentences: what is wrong, what to do, and the benefit."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from anchorsim.core.units import System, si
from anchorsim.scenario.findings import OTHER, Survey
from anchorsim.strength.compatibility import URGENCIES, Misfit, Urgency
from anchorsim.strength.degradation import Effect
from anchorsim.survey.recommendations import Recommendation
from anchorsim.survey.remedies import Remedy
from anchorsim.wording import amounts, compatibility, findings, sources
from anchorsim.wording.terms import local

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
    """All jobs, the most urgent first; of two that are the same the more urgent."""
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
    found.sort(key=lambda duty: URGENCIES.index(duty.urgency))
    once = {(duty.part, duty.remedy): duty for duty in reversed(found)}
    return [duty for duty in found if once[duty.part, duty.remedy] is duty]


def sentence(entry: Recommendation, system: System = "metric") -> str:
    """What to do, why, and what changes by it."""
    return f"{remedy(entry, system)} {wrong(entry, system)} {in_a_line(benefit(entry, system))}"


@dataclass(frozen=True)
class Advice:
    """A recommendation that stands alone, in sentences.

    What is deficient and with which findings, by their numbers; what can happen; what to do; by which
    standard; each figure before and after; and the time and cost that the surveyor gave, empty where none.
    """

    numbers: tuple[int, ...]
    deficiency: str
    risk: str
    action: str
    standard: str
    benefit: tuple[str, ...]
    time: str
    cost: str


def advice(entry: Recommendation, survey: Survey, system: System = "metric") -> Advice:
    """A recommendation with all that is said of it."""
    work = survey.work(entry.key)
    return Advice(
        numbers=entry.numbers(survey),
        deficiency=wrong(entry, system),
        risk=risk(entry, system),
        action=remedy(entry, system),
        standard=standard(entry),
        benefit=benefit(entry, system),
        time=work.time,
        cost=work.cost,
    )


def wrong(entry: Remedy, system: System) -> str:
    """What was found or does not fit, in sentences."""
    said = [_found(effect, system) for effect in entry.effects]
    if entry.misfit is not None:
        said.append(compatibility.sentence(entry.misfit, system))
    return " ".join(dict.fromkeys(said))


def _found(effect: Effect, system: System) -> str:
    title, what = f"{findings.named(effect.finding, system)}.", findings.what(effect.finding, system)
    return " ".join(dict.fromkeys(filter(None, (title, what, findings.measured(effect, system)))))


def risk(entry: Remedy, system: System) -> str:
    """What can happen if nothing is done, in sentences."""
    said = [findings.behaviour(effect.finding, system) for effect in entry.effects]
    if entry.misfit is not None:
        said.append(compatibility.risk(entry.misfit, system))
    return " ".join(dict.fromkeys(filter(None, said)))


def standard(entry: Remedy) -> str:
    """By what it is judged: a standard's name, a source that was read, or that there is none."""
    rules = [effect.measured.rule for effect in entry.effects if effect.measured and effect.measured.rule]
    if rules:
        return f"{amounts.listed(list(dict.fromkeys(rules)))}."
    if entry.kind in ("published", "from memory"):
        doubt = "" if entry.kind == "published" else " (not checked)"
        return f"{amounts.upper(entry.source)}{doubt}."
    if entry.effects and all(effect.finding.kind == OTHER for effect in entry.effects):
        return "The surveyor, on board."
    return f"{sources.KINDS[entry.kind]}."


def remedy(entry: Remedy, system: System) -> str:
    """What to do, in sentences."""
    if entry.chain is not None:
        size, grade, length = entry.chain
        said = f"{amounts.size(si(size), system)}, grade {grade}, {amounts.length(length, system)}"
        return local(f"Renew the chain: {said}.", system)
    if entry.misfit is not None:
        return compatibility.remedy(entry.misfit, system)
    if entry.worn_out:
        return findings.renew_now(entry.part, system)
    return " ".join(dict.fromkeys(findings.remedy(finding, system) for finding in entry.jobs))


def benefit(entry: Recommendation, system: System) -> tuple[str, ...]:
    """What changes by a recommendation alone, each figure before and after it."""
    if not (entry.changes or entry.effects):
        return (NOT_CALCULATED,)
    return tuple(local(one, system) for one in _changed(entry, system)) or (GOOD_PRACTICE,)


def in_a_line(changes: Iterable[str]) -> str:
    """What changes by a recommendation, as one sentence."""
    return f"{amounts.upper('; '.join(changes)).rstrip('.')}."


def _changed(entry: Recommendation, system: System) -> Iterator[str]:
    first, then = entry.before, entry.after
    used = [amounts.percent(each) for each in (first.utilisation, then.utilisation) if not math.isnan(each)]
    if len(used) == 2 and used[0] != used[1]:
        yield f"load {used[0]} → {used[1]} of WLL"
    safety = [amounts.factor(each) for each in (first.safety, then.safety)]
    if safety[0] != safety[1] and not any(math.isnan(each) for each in (first.safety, then.safety)):
        yield f"safety factor {safety[0]} → {safety[1]}"
    if math.isnan(first.safety) and not math.isnan(then.safety):
        yield f"no safety factor while cracked → {safety[1]}"
    if entry.harms:
        yield _harm(entry, system)
    weakest = [amounts.factor(each) for each in (first.weakest_safety, then.weakest_safety)]
    nothing_new = first.weakest == then.weakest and (weakest == safety or weakest[0] == weakest[1])
    if first.weakest and then.weakest and not nothing_new:
        yield (
            f"weakest link: {amounts.lower(first.weakest)}, safety factor {weakest[0]} → "
            f"{amounts.lower(then.weakest)}, {weakest[1]}"
        )
    peaks = [amounts.force(each, system) for each in (first.si.peak, then.si.peak)]
    if peaks[0] != peaks[1]:
        yield f"median peak load at the bow {peaks[0]} → {peaks[1]}"
    if first.drags != then.drags:
        spells = amounts.counted(first.spells, "spell", "spells")
        yield f"anchor moves in {first.drags} → {then.drags} of {spells}"


def _harm(entry: Recommendation, system: System) -> str:
    """Why the part's own safety factor falls."""
    first, then = entry.before.si, entry.after.si
    if then.strength < first.strength * (1 - 1e-9):
        was, now = (amounts.force(each, system) for each in (first.strength, then.strength))
        return f"its safety factor falls because the new part is rated lower ({was} → {now})"
    was, now = (amounts.force(each, system) for each in (first.load, then.load))
    return f"its safety factor falls because it now carries more ({was} → {now})"
