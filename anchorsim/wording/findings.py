"""What a finding is called, how to check it, what was measured and what it leaves of its part."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from anchorsim.core.tables import pick
from anchorsim.core.units import System, quantity, show, si
from anchorsim.numerics.interval import WHOLE, Interval
from anchorsim.scenario.findings import OTHER, Finding, rows_of
from anchorsim.strength.degradation import Effect, Measurement
from anchorsim.strength.wear import wear_grades
from anchorsim.wording import amounts, cautions
from anchorsim.wording.terms import local

WHEN = {"before use": "Before use", "this season": "This season", "at leisure": "When convenient"}
CLASSES = {  # the letter that a job carries on the screen and in the report
    urgency: f"{letter} {when}" for letter, (urgency, when) in zip("ABC", WHEN.items(), strict=True)
}
_COUNTED = {  # why a finding takes nothing further away
    "described": "Counted already in the part as described.",
    "measured": "The lower of this and the measured section counts, not both.",
    "words": "No figure: it holds in full until it gives way.",
}
NOT_QUANTIFIED = "Effect on strength not quantified. The job is needed all the same."


def part(key: str, system: System = "metric") -> str:
    """What a part is called, by its name in ``data/parts.csv``."""
    return local(str(pick("parts", part=key)["label"]), system)


def title(kind: str, system: System = "metric") -> str:
    """What a kind of finding is called, by its key in ``data/findings.csv``."""
    return local(str(rows_of(kind)[0]["title"]), system)


def named(finding: Finding, system: System = "metric") -> str:
    """A finding with its grade: ``Rusted chain, flaking``; of another defect the surveyor's own words."""
    if finding.kind == OTHER:
        return finding.words
    return ", ".join(filter(None, (title(finding.kind, system), finding.grade.replace(" degrees", "°"))))


def what(finding: Finding, system: System = "metric") -> str:
    """What was found, as a sentence: the surveyor's own where he wrote one."""
    return _ended(finding.words) or local(f"{finding.row()['what']}.", system)


def how_to_check(kind: str, system: System = "metric") -> str:
    """How a kind of finding is checked, in sentences."""
    return local(f"{rows_of(kind)[0]['check']}.", system)


def remedy(finding: Finding, system: System = "metric") -> str:
    """What to do about a finding, in sentences: the surveyor's own where he wrote them."""
    text = _ended(finding.action) or local(f"{finding.row()['remedy']}.", system)
    return f"{text} {cautions.ELECTRICIAN}" if finding.kind in cautions.WIRING else text


def _ended(text: str) -> str:
    """A person's words as a sentence; empty where there are none."""
    text = text.strip()
    return text if not text or text.endswith((".", "!", "?")) else f"{text}."


def job(effect: Effect, system: System = "metric") -> str:
    """What to do about a finding as measured: a part past its limit, or a condemned chain, is renewed now."""
    if effect.condemned or effect.worn_out:
        return renew_now("chain" if effect.condemned else effect.finding.part, system)
    return remedy(effect.finding, system)


def renew_now(part_key: str, system: System = "metric") -> str:
    """What to do with a part that is past its limit."""
    return f"Renew the {amounts.lower(part(part_key, system))} now."


def behaviour(finding: Finding, system: System = "metric") -> str:
    """How the part behaves, as a sentence; empty where nothing is known of it."""
    text = finding.row().get("behaviour", "")
    return local(f"{text}.", system) if text else ""


def measured(effect: Effect, system: System) -> str:
    """What was measured against its limit, in sentences; empty where nothing was measured."""
    if not effect.measured:
        return ""
    said = _LAWS[effect.measured.law](effect, effect.measured, system)
    count = len(effect.finding.readings)
    return local(f"{said} The worst of {count} places." if count > 1 else said, system)


def places(finding: Finding, system: System = "metric") -> tuple[tuple[str, str], ...]:
    """Where it was measured and what, for a table: ``("at 5 m", "6.9 and 7.3 mm, mean 7.1 mm")``."""
    unit, told = rows_of(finding.kind)[0].get("unit", ""), []
    for number, reading in enumerate(finding.readings, 1):
        values = [show(each, unit, system) if unit else f"{each:g}" for each in reading.measured]
        mean: Any = sum(reading.measured[1:], reading.measured[0]) / len(values)
        text = amounts.listed(values)
        if len(values) > 1:
            text += f", mean {show(mean, unit, system) if unit else f'{mean:.3g}'}"
        told.append((reading.place or f"Place {number}", text))
    return tuple(told)


def grades(effect: Effect) -> str:
    """What the standards call a link worn so far: ``EN 818-6: withdraw. NAVFAC MO-124: fair.``; else empty."""
    found = effect.measured
    if found is None or found.law != "link wear":
        return ""
    given = wear_grades(found.value / _new(found))
    return " ".join(f"{standard}: {grade}." for standard, grade in given.items())


def _section(effect: Effect, found: Measurement, system: System) -> str:
    return _worn(found, (found.value / _new(found)) ** 2, "section", system)


def _rope_wear(effect: Effect, found: Measurement, system: System) -> str:
    return _worn(found, found.value / _new(found), "diameter", system)


def _worn(found: Measurement, share: float, of: str, system: System) -> str:
    left, new, limit = (amounts.size(each, system) for each in (found.value, _new(found), _limit(found)))
    rule = f" ({found.rule})" if found.rule else ""
    return f"{left} of {new} left, {100 * min(share, 1.0):.0f} % of the {of}. Wear limit {limit}{rule}."


def _elongation(effect: Effect, found: Measurement, system: System) -> str:
    return f"Stretched {100 * found.value:.3g} %; limit {100 * _limit(found):.0f} %."


def _regalvanised(effect: Effect, found: Measurement, system: System) -> str:
    return regalvanised(found.value, _limit(found))


def regalvanised(times: float, limit: float) -> str:
    """How often chain has been regalvanised, and how often it may be."""
    count = "once" if times == 1 else amounts.counted(times, "time", "times")
    return f"Regalvanised {count}; limit {limit:.0f}."


def _tucks(effect: Effect, found: Measurement, system: System) -> str:
    return f"{amounts.counted(found.value, 'full tuck', 'full tucks')}; {_limit(found):.0f} needed."


def _age(effect: Effect, found: Measurement, system: System) -> str:
    years = float(f"{found.value / _YEAR:.3g}")
    return f"{amounts.counted(years, 'year', 'years')} old."


def _zinc(effect: Effect, found: Measurement, system: System) -> str:
    short, long = (seconds / _YEAR for seconds in found.lasts or (0.0, 0.0))
    place = effect.finding.grade
    return f"Zinc left for about {short:.2g} to {long:.2g} years ({place}, ISO 14713)."


def _new(found: Measurement) -> float:
    return found.new if found.new is not None else found.value


def _limit(found: Measurement) -> float:
    return found.limit if found.limit is not None else found.value


_YEAR = si(quantity(1.0, "year"))
_LAWS: dict[str, Callable[[Effect, Measurement, System], str]] = {
    "section": _section,
    "link wear": _section,
    "rope wear": _rope_wear,
    "elongation": _elongation,
    "regalvanised": _regalvanised,
    "tucks": _tucks,
    "age": _age,
    "zinc": _zinc,
}


def leaves(effect: Effect) -> str:
    """What a finding leaves of strength, holding and stretch, in sentences."""
    said = [
        f"{name} left {_share(share)}."
        for name, share in (("Strength", effect.strength), ("Holding", effect.holding))
        if share != WHOLE
    ]
    if effect.counted:
        said.append(_COUNTED[effect.counted])
    if effect.stretch < 1.0:
        said.append(f"Stretch left about {amounts.percent(effect.stretch)} of new.")
    return " ".join(said) or ("" if effect.unfit else NOT_QUANTIFIED)


def _share(share: Interval) -> str:
    return f"about {amounts.percents(share)}"
