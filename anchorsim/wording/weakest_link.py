"""The weakest link in sentences, and how much each part carries."""

from __future__ import annotations

from collections.abc import Sequence

from anchorsim.core.units import System, si
from anchorsim.strength.capacity import PartState
from anchorsim.survey.weakest_link import Appraisal
from anchorsim.wording import amounts, cautions
from anchorsim.wording.cautions import Caution
from anchorsim.wording.findings import behaviour, title
from anchorsim.wording.findings import part as label
from anchorsim.wording.site_notes import assumed_note
from anchorsim.wording.terms import local
from anchorsim.wording.warnings import unfit

NOT_IN_RODE = "Not part of this rode. It carries no load."
NOT_CALCULATED = "Its load is not calculated."
_NEVER_IN_LINE = ("second anchor", "gypsy", "locker")  # parts that a survey inspects beside the rode
EMPTY = "Nothing was recorded. This survey says nothing about the gear."
NOTHING_IN_LINE = "No part that carries load was recorded."
TODAY, HELD = "As she lies today", "With an anchor that holds"  # the two loads, as columns are headed
ONLY_AT_RUN_OUT = "carries load only at full run-out, and then all of it"


def sentence(found: Appraisal, system: System = "metric") -> str:
    """Parts not fit for use, the weakest link, and what fails first if the load rises."""
    if found.empty:
        return EMPTY
    said = unfit(found.unfit, system), link(found, system), first_to_fail(found, system)
    return " ".join(str(one) for one in said if one)


def link(found: Appraisal, system: System) -> str:
    """The weakest link and the next, with their safety factors; where none was recorded, what is assumed."""
    if found.nothing_in_line:
        names = labels([part for part in found.parts if not part.spare])
        return local(f"{NOTHING_IN_LINE} Assumed as described and as new: {names}.", system)
    weakest, other = found.weakest, found.next_weakest
    load, left = amounts.force(weakest.load.likely, system), amounts.span(weakest.strength_left, system)
    heading = "Weakest link of what was recorded" if found.partial else "Weakest link"
    said = (
        f"{heading}: {amounts.lower(weakest.name)}, safety factor {factor(weakest)}. "
        f"Median peak load {load} with the anchor holding, strength left about {left}."
    )
    if weakest.cracked:
        said = f"{heading}: {amounts.lower(weakest.name)}. It is cracked and has no safety factor."
    if other is not None:
        said += f" Next: {amounts.lower(other.name)}, safety factor {factor(other)}."
    return local(said, system)


def first_to_fail(found: Appraisal, system: System) -> str | Caution:
    """Whether the anchor drags before gear breaks, as it should, or a part breaks first.

    Empty where no part that carries load was recorded.
    """
    if found.nothing_in_line:
        return ""
    first = local(amounts.lower(found.breaks_first.name), system)
    drags = amounts.force(found.holding.likely, system)
    if found.weakest.cracked:
        name = local(amounts.lower(found.weakest.name), system)
        return cautions.CRACKED._replace(text=f"The {name} is cracked: {cautions.CRACKED.text}")
    if found.anchor_drags_first:
        surely = "" if found.surely_drags_first else f" A well-set anchor may hold until the {first} breaks."
        return f"If the load rises the anchor drags first, at about {drags}.{surely}{_assumed_anchor(found)}"
    breaks = amounts.force(found.bow_load_at_break.likely, system)
    return Caution(
        "WARNING",
        f"If the load rises the {first} breaks first, at about {breaks}. The anchor would drag only at "
        f"{drags}. The boat would be adrift. Strengthen the {first}.{_assumed_anchor(found)}",
    )


def _assumed_anchor(found: Appraisal) -> str:
    unseen = any(part.key == "anchor" for part in found.unseen)
    return " The anchor was not recorded: its holding is assumed." if found.surveyed and unseen else ""


def two_loads(found: Appraisal, system: System = "metric") -> str:
    """The weakest link under both loads, and why they differ; empty where they do not."""
    part = found.weakest
    today = next(entry for entry in found.today if entry.key == part.key)
    name, held, now = (
        amounts.lower(part.name),
        amounts.percent(part.utilisation.likely),
        amounts.percent(today.utilisation.likely),
    )
    if not found.drags or found.nothing_in_line or held == now:
        return ""
    drags = amounts.force(found.today_peak.likely, system)
    said = (
        f"As she lies today her anchor drags and takes load off the rest: the peak load at the bow is {drags} "
        f"and the {name} carries {now} of its WLL. With an anchor that holds, as it must, the same part carries "
        f"{held}."
    )
    if part.utilisation.likely > 1.0 and part.key != "anchor":
        said += f" Renew the {name} before the anchor."
    return local(said, system)


def doubts(part: PartState, system: System = "metric") -> str:
    """What the strength of a part hangs on, where words tell it better than a share; empty for none."""
    return " ".join(
        f"{title(effect.finding.kind, system)}: its strength counts in full. {behaviour(effect.finding, system)}"
        for effect in part.doubts
    )


def strength(part: PartState, system: System) -> str:
    """A part's safety factor and what it is made of: ``Safety factor 3.2 (strength left about 11 kN)``."""
    left = amounts.force(part.strength_left.likely, system)
    if part.cracked:
        return "Cracked: no safety factor"
    return f"Safety factor {factor(part)} (strength left about {left})"


def carries(key: str, part: PartState | None, system: System) -> str:
    """What the part of a name carries and its strength left; ``part`` is None where it is not in the rode."""
    if part is None:
        return NOT_CALCULATED if key in _NEVER_IN_LINE else NOT_IN_RODE
    if part.spare:
        return f"{part.name}: {ONLY_AT_RUN_OUT}."
    load = amounts.force(part.load.likely, system)
    return f"{local(part.name, system)}: peak load {load}, {of_wll(part)}. {strength_left(part, system)}"


def strength_left(part: PartState, system: System) -> str:
    """What is left of a part's strength, as a sentence."""
    return f"Strength left about {amounts.force(part.strength_left.likely, system)}."


def of_wll(part: PartState) -> str:
    """A part's load as a share of its WLL, with its range: ``120 % of WLL (98 to 150)``."""
    used = amounts.percents(part.utilisation)
    return f"{used.likely} of WLL" + (f" ({used.range})" if used.range else "")


def figures(found: Appraisal, system: System = "metric") -> str:
    """How many spells the figures are of, how long each is, what the brackets are, and what was assumed."""
    count, span = len(found.assessment), amounts.duration(si(found.scenario.weather.duration))
    said = (
        f"Loads are the median peaks of {count} simulated {span} spells, with the anchor holding. In "
        "brackets: lowest and highest of the spells, with the doubt in the findings."
    )
    return " ".join(filter(None, (said, assumed_note(found.scenario, system))))


def not_inspected(found: Appraisal) -> str:
    """The parts that were not inspected, as a sentence; empty where all were."""
    if not found.not_recorded:
        return ""
    names = amounts.listed([amounts.lower(label(key)) for key in found.not_recorded])
    return f"Not recorded, and not counted: {names}."


def inspected(found: Appraisal) -> str:
    """How many of all parts were inspected."""
    survey = found.scenario.survey
    return f"{len(survey.seen)} of {len(survey.seen) + len(survey.unseen)} parts inspected"


def labels(parts: Sequence[PartState]) -> str:
    """The names of parts, listed within a sentence."""
    return amounts.listed([amounts.lower(label(part.key)) for part in parts])


def factor(part: PartState) -> str:
    """A part's safety factor; a dash where it is cracked and has none."""
    return amounts.NONE if part.cracked else amounts.factor(part.safety_factor.likely)
