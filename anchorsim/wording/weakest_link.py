"""The weakest link in sentences, and how much each part carries."""

from __future__ import annotations

from collections.abc import Sequence

from anchorsim.core.units import System, si
from anchorsim.strength.capacity import PartState
from anchorsim.survey.weakest_link import Appraisal
from anchorsim.wording import amounts
from anchorsim.wording.cautions import Caution
from anchorsim.wording.findings import part as label
from anchorsim.wording.terms import local
from anchorsim.wording.warnings import unfit

NOT_IN_RODE = "Not part of this rode. It carries no load."
NOT_CALCULATED = "Its load is not calculated."
_NEVER_IN_LINE = ("second anchor", "gypsy", "locker")  # parts that a survey inspects beside the rode
ONLY_AT_RUN_OUT = "carries load only at full run-out, and then all of it"


def sentence(found: Appraisal, system: System = "metric") -> str:
    """Parts not fit for use, the weakest link, and what fails first if the load rises."""
    barred = unfit(found.unfit)
    return " ".join(
        [*([str(barred)] if barred else []), link(found, system), str(first_to_fail(found, system))]
    )


def link(found: Appraisal, system: System) -> str:
    """The weakest link and the next, with their safety factors."""
    weakest, other = found.weakest, found.next_weakest
    load, left = amounts.force(weakest.load.likely, system), amounts.span(weakest.strength_left, system)
    said = (
        f"Weakest link: {amounts.lower(weakest.name)}, safety factor {_factor(weakest)}. "
        f"Median peak load {load} with the anchor holding, strength left about {left}. "
        f"Next: {amounts.lower(other.name)}, safety factor {_factor(other)}."
    )
    return local(said, system)


def first_to_fail(found: Appraisal, system: System) -> str | Caution:
    """Whether the anchor drags before gear breaks, as it should, or a part breaks first."""
    first = local(amounts.lower(found.breaks_first.name), system)
    drags = amounts.force(found.holding.likely, system)
    if found.anchor_drags_first:
        surely = "" if found.surely_drags_first else f" A well-set anchor may hold until the {first} breaks."
        return f"If the load rises the anchor drags first, at about {drags}.{surely}"
    breaks = amounts.force(found.bow_load_at_break.likely, system)
    return Caution(
        "WARNING",
        f"If the load rises the {first} breaks first, at about {breaks}. The anchor would drag only at "
        f"{drags}. The boat would be adrift. Strengthen the {first}.",
    )


def drags_or_breaks(found: Appraisal, system: System) -> str:
    """The same for a cell of a table."""
    drags, breaks = (amounts.force(load.likely, system) for load in (found.holding, found.bow_load_at_break))
    if found.anchor_drags_first:
        return (
            f"The anchor drags at about {drags}, before gear breaks. Better than breaking, but the boat can "
            "still go ashore."
        )
    first = local(amounts.lower(found.breaks_first.name), system)
    return f"The {first} breaks at about {breaks}. The anchor would drag only at {drags}."


def strength(part: PartState, system: System) -> str:
    """A part's safety factor and what it is made of: ``Safety factor 3.2 (strength left about 11 kN)``."""
    left = amounts.force(part.strength_left.likely, system)
    return f"Safety factor {_factor(part)} (strength left about {left})"


def carries(key: str, part: PartState | None, system: System) -> str:
    """What the part of a name carries and its strength left; ``part`` is None where it is not in the rode."""
    if part is None:
        return NOT_CALCULATED if key in _NEVER_IN_LINE else NOT_IN_RODE
    if part.spare:
        return f"{part.name}: {ONLY_AT_RUN_OUT}."
    load, left = (amounts.force(each.likely, system) for each in (part.load, part.strength_left))
    name = local(part.name, system)
    return f"{name}: peak load {load}, {of_wll(part)}. Strength left about {left}."


def of_wll(part: PartState) -> str:
    """A part's load as a share of its WLL, with its range: ``120 % of WLL (98 to 150)``."""
    used = amounts.percents(part.utilisation)
    return f"{used.likely} of WLL" + (f" ({used.range})" if used.range else "")


def figures(found: Appraisal) -> str:
    """How many spells the figures are of, how long each is, and what the brackets are."""
    count, span = len(found.assessment), amounts.duration(si(found.scenario.weather.duration))
    return (
        f"Loads are the median peaks of {count} simulated {span} spells, with the anchor holding. In "
        "brackets: lowest and highest of the spells, with the doubt in the findings."
    )


def not_inspected(found: Appraisal) -> str:
    """The parts that were not inspected, as a sentence; empty where all were."""
    if not found.unseen:
        return ""
    return f"Not inspected; the figures assume them as new: {labels(found.unseen)}."


def inspected(found: Appraisal) -> str:
    """How many of the parts were inspected."""
    return f"{len(found.parts) - len(found.unseen)} of {len(found.parts)} parts inspected"


def labels(parts: Sequence[PartState]) -> str:
    """The names of parts, listed within a sentence."""
    return amounts.listed([amounts.lower(label(part.key)) for part in parts])


def _factor(part: PartState) -> str:
    return amounts.factor(part.safety_factor.likely)
