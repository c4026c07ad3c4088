"""What matches what: parts that do not go together, each with the change of the scenario that mends it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, Literal

from anchorsim.core.tables import Row, table
from anchorsim.core.units import Quantity, System, quantity, show, si, write
from anchorsim.scenario.fittings import Shackle, link_width
from anchorsim.scenario.scenario import Scenario
from anchorsim.strength.components import gear, iso_strong_point

Urgency = Literal["before use", "this season", "at leisure"]
URGENCIES: tuple[Urgency, ...] = ("before use", "this season", "at leisure")

_SMALLER = 0.065  # a trade size in mm may lie so far under the inch size that it stands for
_SAME = 0.02  # how far two sizes may differ and still be one
_THIMBLE = 0.1  # how far the rope that a thimble is made for may differ from the rope in it (judgement)
_SPLICE = (
    1.25,
    2.0,
)  # rope over chain diameter that a chain splice suits; the small vessel code has 1.5 to 2
_BEND = 2.0  # least diameter of a lead over the rope's (judgement)
_SNUBBER = "8 m"


@dataclass(frozen=True)
class Misfit:
    """Something that does not fit, and the changes of the scenario (path, value) that make it fit."""

    part: str
    sentence: str
    remedy: str
    urgency: Urgency
    changes: tuple[tuple[str, Any], ...]
    source: str
    kind: str


def misfits(scenario: Scenario, system: System = "metric") -> tuple[Misfit, ...]:
    """What does not match in the tackle, from the anchor aft."""
    checks = (
        _shackles,
        _swivel,
        _joining_link,
        _rope_join,
        _gypsy,
        _lead,
        _strong_point,
        _snubber,
        _bitter_end,
    )
    return tuple(found for check in checks for found in check(scenario, system))


def _link(scenario: Scenario) -> float:
    return float(scenario.tackle.chain.row()["diameter"])


def _mm(length: float, system: System) -> str:
    return show(quantity(length, "m"), "mm", system)


def _shackles(scenario: Scenario, system: System) -> Iterator[Misfit]:
    fittings = scenario.tackle.fittings
    used = [("anchor shackle", "anchor_shackle", fittings.anchor_shackle)]
    if fittings.rope_join.kind == "thimble and shackle" and si(scenario.tackle.rope.length) > 0:
        used.append(("rope join", "rope_join.shackle", fittings.rope_join.shackle))
    if fittings.snubber_end.kind == "shackle through a link" and si(scenario.tackle.snubber.length) > 0:
        used.append(("snubber end", "snubber_end.shackle", fittings.snubber_end.shackle))
    for part, path, shackle in used:
        if si(shackle.size):
            yield from _shackle(_link(scenario), part, f"tackle.fittings.{path}.size", shackle, system)


def _shackle(link: float, part: str, path: str, shackle: Shackle, system: System) -> Iterator[Misfit]:
    row, suits = shackle.row(link), Shackle(grade=shackle.grade).row(link)
    change = ((path, suits["size"]),)
    size, width = write(shackle.size), link_width(link)
    if row["pin"] > width:
        pins = _mm(row["pin"], system), _mm(width, system)
        yield Misfit(
            part,
            f"The pin of the {size} shackle is {pins[0]} thick and does not pass the chain's link, which is "
            f"{pins[1]} wide inside.",
            f"Use a shackle of {suits['size']}.", "before use", change,
            "inside width of a short link 1.2 times its diameter, DIN 766", "from memory",
        )  # fmt: skip
    elif row["diameter"] < link * (1 - _SMALLER):
        yield Misfit(
            part,
            f"The {size} shackle is thinner than the chain of {_mm(link, system)}.",
            f"Use a shackle of {suits['size']}.", "this season", change,
            "a shackle is no thinner than its chain", "common practice, no source",
        )  # fmt: skip


def _swivel(scenario: Scenario, system: System) -> Iterator[Misfit]:
    swivel, link = scenario.tackle.fittings.swivel, _link(scenario)
    if swivel.orientation == "none":
        return
    row = swivel.row(link)
    if row["diameter"] < link * (1 - _SMALLER):
        suits = next(
            (row["size"] for row in table("swivels") if row["diameter"] >= link * (1 - _SMALLER)), None
        )
        change = (
            ("tackle.fittings.swivel.size", suits)
            if suits
            else ("tackle.fittings.swivel.orientation", "none")
        )
        yield Misfit(
            "swivel",
            f"The swivel of {row['size']} is smaller than the chain of {_mm(link, system)}.",
            f"Use one of {suits}." if suits else "Take it out: a rode needs none.", "before use", (change,),
            "a swivel is no smaller than its chain", "common practice, no source",
        )  # fmt: skip
    if swivel.orientation == "jaw to the anchor":
        yield Misfit(
            "swivel",
            "The swivel's jaw is on the anchor, where a sideways pull levers it open.",
            "Turn it: jaw to the chain, eye to the anchor's shackle.", "before use",
            (("tackle.fittings.swivel.orientation", "eye to the anchor"),),
            "swivel jaw to the chain and eye to the anchor's shackle", "common practice, no source",
        )  # fmt: skip


def _joining_link(scenario: Scenario, system: System) -> Iterator[Misfit]:
    joining = scenario.tackle.fittings.joining_link
    mend = (("tackle.fittings.joining_link.kind", "double-jaw"),)
    remedy = "Use a double-jaw link made for the chain's size and grade."
    if joining.kind == "quick link":
        yield Misfit(
            "joining link",
            "A quick link is temporary only, and about 60 % bulkier than the link that it is sized for.",
            remedy, "before use", mend, "quick link temporary only", "common practice, no source",
        )  # fmt: skip
    if joining.kind == "riveted":
        yield Misfit(
            "joining link",
            "A riveted link is as strong as its riveting, which nobody can see.",
            remedy, "this season", mend, "strength of riveted links", "judgement",
        )  # fmt: skip
    if joining.kind == "chain shackle":
        yield Misfit(
            "joining link",
            "A shackle between two lengths of chain does not run through the gypsy as a link does.",
            remedy, "this season", mend,
            "no shackle in a chain that runs over a gypsy", "common practice, no source",
        )  # fmt: skip


def _rope_join(scenario: Scenario, system: System) -> Iterator[Misfit]:
    gear, join = scenario.tackle, scenario.tackle.fittings.rope_join
    if si(gear.rope.length) == 0 or si(gear.chain.length) == 0:
        return
    rope, link = float(gear.rope.row()["diameter"]), _link(scenario)
    kind = "tackle.fittings.rope_join.kind"
    if join.kind == "knot":
        yield Misfit(
            "rope join",
            f"The rope is knotted to the chain: the {join.knot} leaves {100 * join.row()['low']:.0f} to "
            f"{100 * join.row()['high']:.0f} % of its strength.",
            "Splice an eye on a thimble and shackle it.", "this season", ((kind, "thimble and shackle"),),
            join.row().source, join.row().kind,
        )  # fmt: skip
    if join.kind == "thimble and shackle" and si(join.thimble):
        made_for = si(join.thimble)
        if abs(made_for - rope) > _THIMBLE * rope:
            what = (
                "too small: it pinches the rope"
                if made_for < rope
                else "too large: it works loose in the eye"
            )
            yield Misfit(
                "rope join",
                f"The thimble is made for rope of {write(join.thimble)}, and in rope of {_mm(rope, system)} "
                f"{what}.",
                "Splice the eye afresh on a thimble made for the rope.", "this season",
                (("tackle.fittings.rope_join.thimble", write(gear.rope.diameter)),),
                "a thimble is made for the rope in it", "common practice, no source",
            )  # fmt: skip
    if join.kind == "chain splice" and not _SPLICE[0] <= rope / link <= _SPLICE[1]:
        thick = "too thick to be spliced through" if rope > link else "too thin to be spliced to"
        yield Misfit(
            "rope join",
            f"Rope of {_mm(rope, system)} is {thick} a link of {_mm(link, system)}.",
            "Splice an eye on a thimble and shackle it.", "this season", ((kind, "thimble and shackle"),),
            "rope 1.25 to 2 times as thick as the chain; the UK small commercial vessel code pairs 1.5 to 2",
            "judgement",
        )  # fmt: skip


def _gypsy(scenario: Scenario, system: System) -> Iterator[Misfit]:
    windlass, chain = scenario.tackle.fittings.windlass, scenario.tackle.chain
    if windlass.kind == "none" or si(chain.length) == 0:
        return
    link, size = _link(scenario), windlass.gypsy_size
    if si(size) and abs(si(size) - link) > _SAME * link:
        yield Misfit(
            "gypsy",
            f"The gypsy is made for chain of {write(size)} and the chain is of {_mm(link, system)}: "
            "it jumps.",
            "Fit the gypsy that is made for the chain.", "before use",
            (("tackle.fittings.windlass.gypsy_size", write(chain.size)),),
            "gypsy and chain are calibrated to each other", "common practice, no source",
        )  # fmt: skip
        return
    pitch, wanted = chain.row().get("pitch"), _pitch(windlass.gypsy_standard, chain.row()["size"])
    if pitch and wanted and abs(wanted["pitch"] - pitch) > 0.01 * pitch:
        fits = next(row["standard"] for row in table("gypsies") if abs(row["pitch"] - pitch) < 0.01 * pitch)
        yield Misfit(
            "gypsy",
            f"The gypsy is cut for links of {_mm(wanted['pitch'], system)} ({windlass.gypsy_standard}) and "
            f"the chain has links of {_mm(pitch, system)}: it jumps.",
            "Fit the gypsy that is made for the chain.", "before use",
            (("tackle.fittings.windlass.gypsy_standard", fits),), wanted.source, wanted.kind,
        )  # fmt: skip


def _pitch(standard: str, size: str) -> Row | None:
    rows = (row for row in table("gypsies") if row["standard"] == standard and row["size"] == size)
    return next(rows, None)


def _lead(scenario: Scenario, system: System) -> Iterator[Misfit]:
    lead, rope = scenario.tackle.fittings.lead, _rope_at_the_lead(scenario)
    if rope is None or not si(lead.radius):
        return
    ratio = 2 * si(lead.radius) / si(rope)
    if ratio < _BEND:
        least = quantity(_BEND * float(rope.m_as("mm")) / 2, "mm")
        yield Misfit(
            "lead",
            f"Rope of {write(rope)} bends over the {lead.kind} on a radius of {write(lead.radius)}.",
            f"Give it a radius of {show(least, 'mm', system)} or more.", "this season",
            (("tackle.fittings.lead.radius", write(least)),), "least bend of rope", "judgement",
        )  # fmt: skip


def _rope_at_the_lead(scenario: Scenario) -> Quantity | None:
    gear = scenario.tackle
    if si(gear.rope.length) > 0:
        return gear.rope.diameter
    return gear.snubber.diameter if si(gear.snubber.length) > 0 else None


def _strong_point(scenario: Scenario, system: System) -> Iterator[Misfit]:
    point, boat = scenario.tackle.fittings.strong_point, scenario.boat
    found = next((part for part in gear(scenario) if part.key == "strong point"), None)
    needed = iso_strong_point(si(boat.length), si(boat.waterline))
    if found is None or found.mbl.likely >= needed * (1 - 1e-9):
        return
    changes: list[tuple[str, Any]] = []
    if si(point.breaking_load):
        changes.append(("tackle.fittings.strong_point.breaking_load", "0 kN"))
    if si(point.bolt_size):
        changes.append(("tackle.fittings.strong_point.bolt_size", "0 mm"))
    changes.append(("tackle.fittings.strong_point.fastening", "through bolts"))
    changes.append(("tackle.fittings.strong_point.backing", "plate"))
    loads = [show(quantity(load, "N"), "kN", system, 2) for load in (found.mbl.likely, needed)]
    yield Misfit(
        "strong point",
        f"The {point.kind} stands about {loads[0]}, where ISO 15084 asks for {loads[1]} on a boat of her "
        "length.",
        "Fit one that stands it, on through bolts with a backing plate.", "before use", tuple(changes),
        "ISO 15084:2003, structure read in a reprint, digits from memory", "from memory",
    )  # fmt: skip


def _snubber(scenario: Scenario, system: System) -> Iterator[Misfit]:
    gear = scenario.tackle
    held = gear.fittings.windlass.chain_held_by
    if si(gear.rope.length) > 0 or si(gear.snubber.length) > 0:
        return
    stops = "the windlass alone holds her" if held == "windlass" else "nothing takes the shocks up"
    yield Misfit(
        "snubber",
        f"Chain comes bare to the bow and {stops}.",
        f"Lie to a snubber of {_SNUBBER} or more, on a strong point.", "before use",
        (("tackle.snubber.length", _SNUBBER),),
        "an all-chain rode lies to a snubber or bridle", "common practice, no source",
    )  # fmt: skip


def _bitter_end(scenario: Scenario, system: System) -> Iterator[Misfit]:
    end = scenario.tackle.fittings.bitter_end
    if end.made_fast == "lashing" and end.reaches_deck:
        return
    loose = end.made_fast == "nothing"
    wrong = "is made fast to nothing: all of the rode can run out" if loose else "cannot be cut on deck"
    yield Misfit(
        "bitter end",
        f"The bitter end {wrong}.",
        "Make it fast with a lashing that reaches the deck and can be cut there.",
        "before use" if loose else "this season",
        (
            ("tackle.fittings.bitter_end.made_fast", "lashing"),
            ("tackle.fittings.bitter_end.reaches_deck", True),
        ),
        "bitter end made fast by a lashing that can be cut on deck", "common practice, no source",
    )  # fmt: skip
