"""What becomes of a boat at anchor, in words: the gist, the sentence, the chances and notes."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Iterator

import numpy as np

from anchorsim.core.units import System, quantity, show, si
from anchorsim.dynamics.wave_motion import snatches
from anchorsim.numerics.estimates import FEWEST, spells_needed
from anchorsim.risk.assessment import Assessment
from anchorsim.risk.clearances import Clearance
from anchorsim.risk.outcome import SELDOM, What
from anchorsim.scenario.site import ground, uplift_table
from anchorsim.strength.capacity import PartState
from anchorsim.strength.degradation import as_found
from anchorsim.wording.amounts import (
    angle,
    duration,
    force,
    hundredths,
    in_spells,
    length,
    lengths,
    listed,
    lower,
    of_spells,
    percent,
    span,
)
from anchorsim.wording.cautions import Caution
from anchorsim.wording.site_notes import assumed_note, holding_notes, rode_notes, short_of_rode
from anchorsim.wording.terms import local

STANDING = (
    Caution(
        "NOTICE",
        "These are estimates for comparing choices. They leave out snags, and waves unless given. Holding varies widely "
        "from anchor to anchor.",
    ),
    Caution(
        "NOTICE",
        "Makers' instructions, local rules, the surveyor and your own judgement come first. Set the anchor, take bearings, "
        "keep an anchor watch.",
    ),
)
_ALONG = math.radians(0.5)  # an uplift of less is none, as people read it
_ORDER: tuple[What, ...] = (
    "broke",
    "may have broken",
    "aground",
    "touched",
    "dragged",
    "crept",
)  # gravest first
_MOST = 2  # parts that are named in a list, before the rest is a count


def spell_of(found: Assessment) -> str:
    """What a spell is here: ``10-minute spell``."""
    return f"{duration(si(found.scenario.weather.duration))} spell"


def gist(found: Assessment) -> str:
    """The outcome in a few words: what happens in half of the spells or more, else what may happen."""
    word, mostly = _main(found)
    if word is None:
        held = found.count("held")
        return f"Anchor holds, {held} of {len(found)}"
    names = {
        "broke": ("Gear breaks", "Gear may break"),
        "may have broken": ("Gear may break", "Gear may break"),
        "aground": ("Goes aground", "May go aground"),
        "touched": (f"Hits {_hit(found)}", f"May hit {_hit(found)}"),
        "dragged": ("Anchor drags", "Anchor may drag"),
        "crept": ("Anchor creeps", "Anchor creeps"),
    }
    return names[word][0 if mostly else 1]


def _main(found: Assessment) -> tuple[What | None, bool]:
    """What to say first, and whether it happens in half of the spells or more."""
    counts = {what: found.count(what) for what in _ORDER}
    counts["may have broken"] += counts["broke"]
    for what in _ORDER:
        if 2 * counts[what] >= len(found):
            return what, True
    return next((what for what in _ORDER if counts[what]), None), False


def rows(found: Assessment, system: System = "metric") -> list[tuple[str, str, str, str]]:
    """The single figures in three digits: what each is, then likely, low and high."""
    figures = [
        ("Peak load at the bow", found.peak_load, "kN"),
        ("Peak load at the anchor", found.peak_anchor_load, "kN"),
        ("Peak uplift at the anchor", found.uplift, "degree"),
        ("Swinging radius", found.radius, "m"),
        ("Anchor moves", found.drag, "m"),
    ]
    shown = []
    for label, found_in, unit in figures:
        low, likely, high = (show(quantity(end, found_in.unit), unit, system) for end in found_in)
        shown.append((label, likely, low, high))
    return shown


def sentence(found: Assessment, system: System = "metric") -> str:
    """What happens and why, then peak load and swinging radius with their ranges."""
    said = [*_happens(found, system), _numbers(found, system)]
    return " ".join(said)


def _happens(found: Assessment, system: System) -> Iterator[str]:
    word, _ = _main(found)
    if word is None:
        how_often = (
            f"all {len(found)} simulated {spell_of(found)}s"
            if len(found) > 1
            else f"the one simulated {spell_of(found)}"
        )
        still = 100 * found.chance("failed").high
        yield f"The anchor holds in {how_often}. Up to {still:.0f} in 100 could still fail."
        if found.uplift.likely >= _ALONG:
            yield f"Uplift at the anchor reaches {angle(found.uplift.likely)}."
        else:
            yield "There is no uplift at the anchor."
        return
    sentences = {
        "broke": _breaks,
        "may have broken": _breaks,
        "aground": _aground,
        "touched": _hits,
        "dragged": _moves,
        "crept": _moves,
    }
    first = sentences[word]
    others = dict.fromkeys(say for say in sentences.values() if say is not first)
    for say in (first, *others):
        yield from say(found, system)


def _breaks(found: Assessment, system: System) -> Iterator[str]:
    broke, may = found.count("broke"), found.count("may have broken")
    if not broke + may:
        return
    weakest = min(found.states, key=lambda part: part.strength_left.low / max(part.load.high, 1e-9))
    if broke:
        also = f", and may break {in_spells(may, len(found))}" if may else ""
        yield f"Gear breaks {in_spells(broke, len(found))}{also}."
    else:
        yield f"Gear may break {in_spells(may, len(found))}."
    left = force(weakest.strength_left.likely if broke else weakest.strength_left.low, system)
    least = "its strength left is only" if broke else "its strength left may be only"
    yield f"The {local(lower(weakest.name), system)} carries up to {force(weakest.load.high, system)}; {least} {left}."


def _aground(found: Assessment, system: System) -> Iterator[str]:
    if found.count("aground"):
        draught = length(si(found.scenario.boat.draught), system)
        on = names(outcome.grounded_on for outcome in found.outcomes)
        yield f"The boat goes aground {in_spells(found.count('aground'), len(found))}, on {on}."
        yield f"Inside the swinging circle the water is shallower than the {local('draught', system)}, {draught}, at low water."


def _hits(found: Assessment, system: System) -> Iterator[str]:
    for name, often in Counter(name for outcome in found.outcomes for name in outcome.hit).most_common():
        yield f"The boat hits {name} {in_spells(often, len(found))}. It is inside the swinging circle."


def _moves(found: Assessment, system: System) -> Iterator[str]:
    dragged, crept = found.count("dragged"), found.count("crept")
    if not dragged + crept:
        return
    farthest = length(max(outcome.si.drag for outcome in found.outcomes), system)
    creeps = f"creeps {in_spells(crept, len(found))}" if crept else ""
    if dragged:
        also = f", and {creeps}" if creeps else ""
        yield f"The anchor drags {in_spells(dragged, len(found))}, up to {farthest}{also}."
    else:
        yield f"The anchor {creeps}, up to {farthest}."
    yield _holding(found, system)


def _holding(found: Assessment, system: System) -> str:
    anchor, bottom = as_found(found.scenario).tackle.anchor, found.scenario.spot.bottom
    holding = ground(anchor.type, si(anchor.mass), bottom).holding
    if holding == 0:
        return f"Do not count on any holding on {bottom}."
    if found.uplift.likely < _ALONG:
        return f"Its holding in {bottom} is only about {force(holding, system)}."
    left = percent(float(np.interp(found.uplift.likely, *uplift_table().T)))
    return f"An uplift of {angle(found.uplift.likely)} leaves {left} of its holding of about {force(holding, system)}."


def _numbers(found: Assessment, system: System) -> str:
    said = f"Peak load at the bow {span(found.peak_load, system)}."
    if found.overloaded:
        said += f" Overloaded: {_parts(found.overloaded, system)}."
    return f"{said} Swinging radius {lengths(found.radius, system)}, anchor to farthest end."


def range_of(found: Assessment) -> str:
    """What the brackets on a page are."""
    if found.peak_load.kind == "lowest and highest":
        return f"In brackets: lowest and highest of {len(found)} spells."
    return f"In brackets: 1 spell in 20 is lower, 1 in 20 higher, of {len(found)}."


def odds(found: Assessment) -> str:
    """The chance of failing per spell."""
    likely, ends = hundredths(found.chance("failed"))
    return f"In {likely} of 100 {spell_of(found)}s of this weather ({ends}) {fails(found)}."


def fails(found: Assessment) -> str:
    """What failing is: with an end to the water she has, that she leaves it too."""
    if found.bounded:
        return f"the anchor drags, gear may break or {out_of_room(found)}"
    return "the anchor drags or gear may break"


def fails_in_brief(found: Assessment) -> str:
    """The same in as few words as the strip has room for."""
    if not found.bounded:
        return "drags or may break gear"
    out = "or swings too far" if found.clear_radius is not None else "hits or goes aground"
    return f"drags, may break gear{' ' if out.startswith('or') else ', '}{out}"


def bad_spell(found: Assessment, system: System = "metric") -> str:
    """What one spell in twenty is worse than."""
    return (
        f"One spell in 20 is worse than this: load at the bow {_at_least(force(found.bad_peak_load.likely, system), found.bad_peak_load.high)}, "
        f"swinging radius {_at_least(length(found.bad_radius.likely, system), found.bad_radius.high)} from where the anchor was set."
    )


def _at_least(shown: str, high: float) -> str:
    return shown if math.isfinite(high) else f"at least {shown}"


def too_few(found: Assessment) -> str:
    """That there are too few spells to bound what one in twenty is worse than; empty where there are enough."""
    needed = max(FEWEST, spells_needed(1.0 - SELDOM))
    if len(found) >= needed:
        return ""
    return (
        f"{len(found)} spells are too few for a 1-in-20 figure: run {needed}. Until then expect more than is "
        "shown."
    )


def clearance(found: Clearance, system: System = "metric") -> str:
    """How near she comes to one thing, and in how many spells she touches it."""
    does = "goes aground on" if found.thing.kind == "shoal" else "hits"
    said = f"The boat {does} {found.thing.name} in {of_spells(found.touched)}."
    if found.near.likely < 0.05:
        return said
    return f"{said} In 95 of 100 spells she clears it by {length(found.near.likely, system)} or more."


def out_of_room(found: Assessment) -> str:
    """What being out of room means here, as a clause."""
    if found.clear_radius is None:
        return "the boat hits something or goes aground"
    return "the boat swings outside the clear radius"


def notes(found: Assessment, system: System = "metric") -> tuple[str, ...]:
    """What to know of how this was calculated from what was given."""
    scenario, anchor = found.scenario, found.scenario.tackle.anchor
    said = [short_of_rode(scenario, system), *rode_notes(scenario, system)]
    said.append(assumed_note(scenario, system))
    said += holding_notes(anchor.type, si(anchor.mass), scenario.spot.bottom, system)
    if 2 * found.count("dragged") >= len(found):
        said.append(
            "NOTICE A dragging anchor carries no more load, so the peak load is capped. An anchor that holds loads "
            "the gear more."
        )
    if snatches(scenario):
        said.append(
            "Bare chain snatches in this sea. The peak load of one spell says little: go by the range."
        )
    return tuple(note for note in said if note)


def _hit(found: Assessment) -> str:
    names = Counter(name for outcome in found.outcomes for name in outcome.hit)
    return names.most_common(1)[0][0] if names else "something"


def names(by_spell: Iterable[tuple[str, ...]]) -> str:
    """Names by how often they come, the likeliest first."""
    return listed([name for name, _ in Counter(name for names in by_spell for name in names).most_common()])


def _parts(parts: tuple[PartState, ...], system: System) -> str:
    names = [local(lower(part.name), system) for part in parts[:_MOST]]
    more = len(parts) - _MOST
    if more > 0:
        names.append(f"{more} more part{'s' if more > 1 else ''}")
    return listed(names)
