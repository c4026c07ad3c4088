"""What matches what: parts that do not go together, each with the change of the scenario that cures it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any, Literal

from anchorsim.core.tables import Row, table
from anchorsim.core.units import Quantity, quantity, si, write
from anchorsim.scenario.findings import Survey
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
_RENEWS = (  # rules whose remedy is another part in place of the old one
    "anchor too light", "poor on this bottom", "pin too thick", "shackle too thin", "swivel too small",
    "no swivel large enough", "quick link", "riveted", "chain shackle", "knot", "thimble too small",
    "thimble too large", "rope too thick for the link", "rope too thin for the link", "gypsy of another size",
    "gypsy of another pitch", "bend too tight", "strong point too weak",
)  # fmt: skip
_SNUBBER = 8.0  # m, the shortest that is advised (common practice, no source)


@dataclass(frozen=True)
class Misfit:
    """Something that does not fit, and the changes of the scenario (path, value) that make it fit.

    ``rule`` names what is broken, by its key in ``wording``; ``facts`` are the names, sizes as people write
    them, and amounts (SI floats) that are said with it.
    """

    part: str
    rule: str
    facts: tuple[tuple[str, Any], ...]
    urgency: Urgency
    changes: tuple[tuple[str, Any], ...]
    source: str
    kind: str

    @property
    def renews(self) -> bool:
        """Whether the part is replaced, and with it all that was found on the old one."""
        return self.rule in _RENEWS


def facts(**named: Any) -> tuple[tuple[str, Any], ...]:
    """What is said with a misfit, by name."""
    return tuple(named.items())


def recorded(scenario: Scenario, found: Iterable[Misfit]) -> tuple[Misfit, ...]:
    """Of some misfits those of parts that the survey recorded: what was assumed is no fact.

    All of them where there is no survey, for then the gear is as it is described.
    """
    survey = scenario.survey
    return tuple(entry for entry in found if survey == Survey() or entry.part in survey.seen)


def misfits(scenario: Scenario) -> tuple[Misfit, ...]:
    """What does not match in the gear, from the anchor aft."""
    checks = (
        _shackles,
        _swivel,
        _joining_link,
        _rope_join,
        _gypsy,
        _lead,
        _strong_point,
        _snubber,
        _rope_on_the_windlass,
        _bitter_end,
    )
    return tuple(found for check in checks for found in check(scenario))


def _link(scenario: Scenario) -> float:
    return float(scenario.tackle.chain.row()["diameter"])


def _shackles(scenario: Scenario) -> Iterator[Misfit]:
    fittings = scenario.tackle.fittings
    used = [("anchor shackle", "anchor_shackle", fittings.anchor_shackle)]
    if fittings.rope_join.kind == "thimble and shackle" and si(scenario.tackle.rope.length) > 0:
        used.append(("rope join", "rope_join.shackle", fittings.rope_join.shackle))
    if fittings.snubber_end.kind == "shackle through a link" and si(scenario.tackle.snubber.length) > 0:
        used.append(("snubber end", "snubber_end.shackle", fittings.snubber_end.shackle))
    for part, path, shackle in used:
        if si(shackle.size):
            yield from _shackle(_link(scenario), part, f"tackle.fittings.{path}.size", shackle)


def _shackle(link: float, part: str, path: str, shackle: Shackle) -> Iterator[Misfit]:
    row, suits = shackle.row(link), Shackle(grade=shackle.grade).row(link)
    change, size = ((path, suits["size"]),), write(shackle.size)
    if row["pin"] > link_width(link):
        yield Misfit(
            part, "pin too thick",
            facts(size=size, pin=row["pin"], width=link_width(link), suits=suits["size"]),
            "before use", change,
            "inside width of a short link 1.2 times its diameter, DIN 766", "from memory",
        )  # fmt: skip
    elif row["diameter"] < link * (1 - _SMALLER):
        yield Misfit(
            part, "shackle too thin", facts(size=size, link=link, suits=suits["size"]),
            "this season", change,
            "a shackle is no thinner than its chain", "common practice, no source",
        )  # fmt: skip


def _swivel(scenario: Scenario) -> Iterator[Misfit]:
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
            "swivel", "swivel too small" if suits else "no swivel large enough",
            facts(size=row["size"], link=link, suits=suits), "before use", (change,),
            "a swivel is no smaller than its chain", "common practice, no source",
        )  # fmt: skip
    if swivel.orientation == "jaw to the anchor":
        yield Misfit(
            "swivel", "swivel reversed", (), "before use",
            (("tackle.fittings.swivel.orientation", "eye to the anchor"),),
            "swivel jaw to the chain and eye to the anchor shackle", "common practice, no source",
        )  # fmt: skip


def _joining_link(scenario: Scenario) -> Iterator[Misfit]:
    kind = scenario.tackle.fittings.joining_link.kind
    link: dict[str, tuple[Urgency, str, str]] = {
        "quick link": ("before use", "quick link temporary only", "common practice, no source"),
        "riveted": ("this season", "strength of riveted links", "judgement"),
        "chain shackle": (
            "this season", "no shackle in a chain that runs over a gypsy", "common practice, no source",
        ),
    }  # fmt: skip
    if kind in link:
        urgency, source, of_kind = link[kind]
        change = ("tackle.fittings.joining_link.kind", "double-jaw")
        yield Misfit("joining link", kind, (), urgency, (change,), source, of_kind)


def _rope_join(scenario: Scenario) -> Iterator[Misfit]:
    gear, join = scenario.tackle, scenario.tackle.fittings.rope_join
    if si(gear.rope.length) == 0 or si(gear.chain.length) == 0:
        return
    rope, link = float(gear.rope.row()["diameter"]), _link(scenario)
    kind = "tackle.fittings.rope_join.kind"
    if join.kind == "knot":
        yield Misfit(
            "rope join", "knot", facts(knot=join.knot, low=join.row()["low"], high=join.row()["high"]),
            "this season", ((kind, "thimble and shackle"),),
            join.row().source, join.row().kind,
        )  # fmt: skip
    if join.kind == "thimble and shackle" and si(join.thimble):
        made_for = si(join.thimble)
        if abs(made_for - rope) > _THIMBLE * rope:
            yield Misfit(
                "rope join", "thimble too small" if made_for < rope else "thimble too large",
                facts(thimble=write(join.thimble), rope=rope), "this season",
                (("tackle.fittings.rope_join.thimble", write(gear.rope.diameter)),),
                "a thimble is made for the rope in it", "common practice, no source",
            )  # fmt: skip
    if join.kind == "chain splice" and not _SPLICE[0] <= rope / link <= _SPLICE[1]:
        thick = rope > _SPLICE[1] * link
        yield Misfit(
            "rope join", "rope too thick for the link" if thick else "rope too thin for the link",
            facts(rope=rope, link=link), "this season", ((kind, "thimble and shackle"),),
            "rope 1.25 to 2 times as thick as the chain; the UK small commercial vessel code pairs 1.5 to 2",
            "judgement",
        )  # fmt: skip


def _gypsy(scenario: Scenario) -> Iterator[Misfit]:
    windlass, chain = scenario.tackle.fittings.windlass, scenario.tackle.chain
    if windlass.kind == "none" or si(chain.length) == 0:
        return
    link, size = _link(scenario), windlass.gypsy_size
    if si(size) and abs(si(size) - link) > _SAME * link:
        yield Misfit(
            "gypsy", "gypsy of another size", facts(gypsy=write(size), link=link), "before use",
            (("tackle.fittings.windlass.gypsy_size", write(chain.size)),),
            "gypsy and chain are calibrated to each other", "common practice, no source",
        )  # fmt: skip
        return
    pitch, wanted = chain.row().get("pitch"), _pitch(windlass.gypsy_standard, chain.row()["size"])
    if pitch and wanted and abs(wanted["pitch"] - pitch) > 0.01 * pitch:
        fits = next(row["standard"] for row in table("gypsies") if abs(row["pitch"] - pitch) < 0.01 * pitch)
        yield Misfit(
            "gypsy", "gypsy of another pitch",
            facts(gypsy_pitch=wanted["pitch"], standard=windlass.gypsy_standard, pitch=pitch), "before use",
            (("tackle.fittings.windlass.gypsy_standard", fits),), wanted.source, wanted.kind,
        )  # fmt: skip


def _pitch(standard: str, size: str) -> Row | None:
    rows = (row for row in table("gypsies") if row["standard"] == standard and row["size"] == size)
    return next(rows, None)


def _lead(scenario: Scenario) -> Iterator[Misfit]:
    lead, rope = scenario.tackle.fittings.lead, _rope_at_the_lead(scenario)
    if rope is None or not si(lead.radius):
        return
    ratio = 2 * si(lead.radius) / si(rope)
    if ratio < _BEND:
        least = quantity(_BEND * float(rope.m_as("mm")) / 2, "mm")
        yield Misfit(
            "lead", "bend too tight",
            facts(rope=write(rope), lead=lead.kind, radius=write(lead.radius), least_radius=si(least)),
            "this season", (("tackle.fittings.lead.radius", write(least)),),
            "least bend of rope", "judgement",
        )  # fmt: skip


def _rope_at_the_lead(scenario: Scenario) -> Quantity | None:
    gear = scenario.tackle
    if si(gear.rope.length) > 0:
        return gear.rope.diameter
    return gear.snubber.diameter if si(gear.snubber.length) > 0 else None


def _strong_point(scenario: Scenario) -> Iterator[Misfit]:
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
    yield Misfit(
        "strong point", "strong point too weak",
        facts(fitting=point.kind, rated=found.mbl.likely, needed=needed), "before use", tuple(changes),
        "ISO 15084:2003, structure read in a reprint, digits from memory", "from memory",
    )  # fmt: skip


def _snubber(scenario: Scenario) -> Iterator[Misfit]:
    gear = scenario.tackle
    held = gear.fittings.windlass.chain_held_by
    if si(gear.rope.length) > 0 or si(gear.snubber.length) > 0:
        return
    rule = "windlass alone" if held == "windlass" else "no snubber"
    yield Misfit(
        "snubber", rule, facts(snubber=_SNUBBER), "before use",
        (("tackle.snubber.length", f"{_SNUBBER:g} m"),),
        "an all-chain rode has a snubber or bridle", "common practice, no source",
    )  # fmt: skip


def _rope_on_the_windlass(scenario: Scenario) -> Iterator[Misfit]:
    gear, path = scenario.tackle, "tackle.fittings.windlass.rope_held_by"
    if si(gear.rope.length) > 0 and scenario.get(path) == "windlass":
        yield Misfit(
            "windlass", "rope on the windlass", (), "before use", ((path, "strong point"),),
            "a windlass is no strong point", "common practice, no source",
        )  # fmt: skip


def _bitter_end(scenario: Scenario) -> Iterator[Misfit]:
    end = scenario.tackle.fittings.bitter_end
    if end.made_fast == "lashing" and end.reaches_deck:
        return
    loose = end.made_fast == "nothing"
    yield Misfit(
        "bitter end", "bitter end not secured" if loose else "bitter end cannot be slipped", (),
        "before use" if loose else "this season",
        (
            ("tackle.fittings.bitter_end.made_fast", "lashing"),
            ("tackle.fittings.bitter_end.reaches_deck", True),
        ),
        "bitter end secured by a lashing that can be cut on deck", "common practice, no source",
    )  # fmt: skip
