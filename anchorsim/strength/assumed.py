"""Sizes of fittings that nobody recorded, and what they are taken to be where the rode makes use of them."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal, NamedTuple

from anchorsim.core.tables import Row
from anchorsim.core.units import Quantity, parse, quantity, si
from anchorsim.mooring.rode import assemble
from anchorsim.scenario.scenario import Scenario
from anchorsim.strength.components import iso_strong_point

Fitting = Literal[
    "anchor shackle", "swivel", "joining link", "shackle of the rope join", "snubber shackle",
    "radius of the lead", "strong point",
]  # fmt: skip


class Assumed(NamedTuple):
    """A fitting whose size was assumed, and that size: a diameter, a radius, or a breaking load."""

    fitting: Fitting
    amount: Quantity


def assumed(scenario: Scenario) -> tuple[Assumed, ...]:
    """What is assumed of the parts that count in a scenario, from the anchor aft."""
    return tuple(_assumed(scenario))


def _assumed(scenario: Scenario) -> Iterator[Assumed]:
    gear, boat, rode = scenario.tackle, scenario.boat, assemble(scenario)
    fittings, link = gear.fittings, float(gear.chain.row()["diameter"])
    if not si(fittings.anchor_shackle.size):
        yield Assumed("anchor shackle", _size(fittings.anchor_shackle.row(link)))
    if fittings.swivel.orientation != "none" and not si(fittings.swivel.size):
        yield Assumed("swivel", _size(fittings.swivel.row(link)))
    joining = fittings.joining_link
    if joining.kind in ("quick link", "chain shackle") and not si(joining.size):
        yield Assumed("joining link", _size(joining.row(link)))
    join, end = fittings.rope_join, fittings.snubber_end
    joined = rode.rope > 0.0 and rode.chain > 0.0 and join.kind == "thimble and shackle"
    if joined and not si(join.shackle.size):
        yield Assumed("shackle of the rope join", _size(join.shackle.row(link)))
    if rode.snubber > 0.0 and end.row()["of"] == "shackle" and not si(end.shackle.size):
        yield Assumed("snubber shackle", _size(end.shackle.row(link)))
    if rode.snubber > 0.0 or rode.rope > 0.0:
        if not si(fittings.lead.radius):
            yield Assumed("radius of the lead", quantity(1000.0 * fittings.lead.bend_radius(), "mm"))
        by_windlass = rode.rope > 0.0 and fittings.windlass.rope_held_by == "windlass"
        if not si(fittings.strong_point.breaking_load) and not by_windlass:
            breaks = iso_strong_point(si(boat.length), si(boat.waterline))
            yield Assumed("strong point", quantity(breaks / 1000.0, "kN"))


def _size(row: Row) -> Quantity:
    return parse(str(row["size"]))
