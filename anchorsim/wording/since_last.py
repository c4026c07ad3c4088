"""What has changed since the last survey of the boat, in words."""

from __future__ import annotations

from collections.abc import Iterator

from anchorsim.core.units import System
from anchorsim.strength.compatibility import Misfit
from anchorsim.strength.degradation import Effect
from anchorsim.survey.since_last import ORDER, Became, SinceLast
from anchorsim.wording import amounts, compatibility, findings
from anchorsim.wording.terms import local

COLUMNS = ("Part", "Then", "Now", "Since then")
BECAME: dict[Became, str] = {
    "worse": "Worse",
    "new": "New",
    "not inspected then": "Not inspected then",
    "unchanged": "Unchanged",
    "measured less": "Measured as less. Measure it again",
    "not found again": "Not found again",
    "not inspected": "Not inspected this time",
}
_DONE = {  # fields of the log
    "laid_out": "rode laid out and inspected",
    "turned_end_for_end": "chain turned end for end",
    "regalvanised": "chain regalvanised",
    "chain_new": "chain renewed",
    "rope_new": "rope renewed",
    "snubber_new": "snubber renewed",
    "windlass_run": "windlass run",
    "windlass_serviced": "windlass serviced",
    "electrics_checked": "windlass wiring checked",
    "drains_cleared": "locker drain cleared",
    "moused": "mousings checked",
}


def sentence(found: SinceLast) -> str:
    """How many faults became what: ``Since the survey of 12 April 2024: 2 worse, 1 new.``"""
    said = [
        f"{found.count(became)} {BECAME[became].split('.')[0].lower()}"
        for became in ORDER
        if found.count(became)
    ]
    when = f"of {amounts.day(found.then)}" if found.then else "before this one"
    return f"Since the survey {when}: {amounts.listed(said) or 'no fault then or now'}."


def rows(found: SinceLast, system: System) -> Iterator[tuple[str, str, str, str]]:
    """Of each fault: the part, what was said of it then, what now, and what became of it."""
    for change in found.changes:
        then, now = (_fault(each, system) for each in (change.then, change.now))
        yield findings.part(change.part, system), then, now, BECAME[change.became]


def _fault(found: Effect | Misfit | None, system: System) -> str:
    if found is None:
        return amounts.NONE
    if isinstance(found, Misfit):
        return compatibility.sentence(found, system)
    return f"{findings.named(found.finding, system)}. {findings.measured(found, system)}".strip()


def done(found: SinceLast, system: System) -> Iterator[str]:
    """What the log says was done, and which parts are described otherwise, in sentences."""
    dated = [f"{_DONE[name]} ({amounts.day(date)})" for name, date in found.done if name in _DONE]
    if dated:
        yield local(f"Recorded as done: {amounts.listed(dated)}.", system)
    for part in found.renewed:
        yield local(
            f"{findings.part(part.part)}: then {amounts.lower(part.then)}, now {amounts.lower(part.now)}.",
            system,
        )
