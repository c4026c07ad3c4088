"""Warnings of an assessment: hazard, consequence, what to do, under one signal word each."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from anchorsim.core.units import System
from anchorsim.mooring.rode import assemble
from anchorsim.risk.assessment import Assessment
from anchorsim.risk.outcome import What
from anchorsim.strength.capacity import PartState
from anchorsim.wording.amounts import in_spells, listed, lower, percent, upper
from anchorsim.wording.assessment import names
from anchorsim.wording.cautions import DRAGGING, Caution, Signal
from anchorsim.wording.terms import local

_ELSEWHERE = re.compile(r" Odds and limits give [^.]*\.|: the night gives the hour(?=\.)")
_FARTHER = "Anchor farther off. Do not shorten scope to gain room: the anchor would hold less."


def warnings(found: Assessment, system: System = "metric", printed: bool = False) -> tuple[Caution, ...]:
    """What can hurt someone here, the gravest first; on paper without what points to another screen."""
    said = [
        *_unfit(found, system),
        *_breaking(found),
        *_grounding(found),
        *_hitting(found),
        *_dragging(found),
    ]
    said += [*_overloaded(found, system), *_bare(found)]
    if printed:
        said = [one._replace(text=_ELSEWHERE.sub("", one.text)) for one in said]
    return tuple(sorted(said, key=lambda one: one.signal != "DANGER"))


def unfit(parts: Sequence[PartState], system: System = "metric") -> Caution | None:
    """The warning of parts that are not fit for use; None where there are none."""
    if not parts:
        return None
    the, one = [f"the {local(lower(part.name), system)}" for part in parts], len(parts) == 1
    return Caution(
        "WARNING",
        f"{upper(listed(the))} {'is' if one else 'are'} not fit for use. {'It' if one else 'They'} can fail under load and "
        f"leave the boat adrift. Do not anchor on {'it until it is' if one else 'them until they are'} replaced or repaired.",
    )


def _unfit(found: Assessment, system: System) -> Iterator[Caution]:
    if (said := unfit(found.unfit, system)) is not None:
        yield said


def _signal(found: Assessment, *whats: What) -> Signal:
    """DANGER where it happens in half of the spells or more."""
    return "DANGER" if 2 * sum(found.count(what) for what in whats) >= len(found) else "WARNING"


def _breaking(found: Assessment) -> Iterator[Caution]:
    broke, either = found.count("broke"), found.count("broke") + found.count("may have broken")
    if either:
        yield Caution(
            _signal(found, "broke", "may have broken"),
            f"Gear {'breaks' if broke else 'may break'} {in_spells(either, len(found))}. The boat would be adrift. Do not "
            "anchor on this gear in this weather. Leave before it arrives: the night gives the hour.",
        )


def _grounding(found: Assessment) -> Iterator[Caution]:
    if found.count("aground"):
        yield Caution(
            _signal(found, "aground"),
            f"The boat goes aground {in_spells(found.count('aground'), len(found))}. {_FARTHER}",
        )


def _hitting(found: Assessment) -> Iterator[Caution]:
    if found.count("touched"):
        what = names(outcome.hit for outcome in found.outcomes)
        yield Caution(
            _signal(found, "touched"),
            f"The boat hits {what} {in_spells(found.count('touched'), len(found))}. {_FARTHER}",
        )


def _dragging(found: Assessment) -> Iterator[Caution]:
    dragged, crept = found.count("dragged"), found.count("crept")
    if dragged:
        yield Caution(
            "WARNING",
            f"The anchor drags {in_spells(dragged, len(found))}. The boat can go ashore or hit others. Add scope, change "
            "anchor or anchorage, or leave. Odds and limits give the wind to leave by, the night the hour.",
        )
        yield DRAGGING
    elif crept:
        room = "" if found.count("out of room") else "Let out rode if there is room. "
        yield Caution(
            "WARNING",
            f"The anchor creeps {in_spells(crept, len(found))}. It is at its limit and can start to drag. {room}Have the "
            "engine running and check bearings.",
        )


def _overloaded(found: Assessment, system: System) -> Iterator[Caution]:
    if found.overloaded and not found.count("broke"):
        part = found.overloaded[0]
        yield Caution(
            "WARNING",
            f"The {local(lower(part.name), system)} carries {percent(part.utilisation.likely)} of its WLL in half of the spells. It can "
            "break without warning and the rode can whip back. Keep everyone out of line with the rode.",
        )


def _bare(found: Assessment) -> Iterator[Caution]:
    rode = assemble(found.scenario)
    if rode.rope == rode.snubber == 0:
        yield Caution(
            "WARNING",
            "No snubber. Snatch loads reach the windlass and the anchor. Rig a snubber to a strong point and take the load "
            "off the windlass.",
        )
