"""The ground tackle as a line of parts, from anchor shank to bitter end, and what each is rated for new.

Loads are in N and come as low, likely and high, since some of the tables give a range.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

import numpy as np

from anchorsim.core.tables import Row, pick, table
from anchorsim.core.units import si
from anchorsim.mooring.rode import Rode, assemble
from anchorsim.numerics.interval import WHOLE, Interval
from anchorsim.scenario import tackle
from anchorsim.scenario.fittings import Shackle, StrongPoint
from anchorsim.scenario.scenario import Scenario
from anchorsim.strength import ropes_and_knots

Carries = Literal["anchor", "bow", "snubber", "behind the snubber", "if all runs out"]

_PROOF_TO_WORKING = 2.0  # 49 CFR 393.108, of chain (read in a reprint); taken over for anchors (judgement)
_PROOF_TO_BREAK = Interval(1.5, 2.0, 3.0)  # a shank bends for good beyond its proof load: judgement
_HIGH_HOLDING = 4 / 3  # mass that the proof load of a high-holding anchor is taken at, IACS (from memory)
_ORDINARY = ("fisherman",)
_SAFETY = 3.0  # working load of a strong point from its breaking load (UFC 4-159-03 Table 3-7's, judgement)
_SHEAR = 0.6  # shear strength of steel over its tensile strength: the usual figure (from memory)
_LASHING = Interval(0.3, 0.5, 0.6)  # share of its parts' strength that a lashing has (judgement)
_LASHING_BREAK = 204e6  # N/m² of diameter squared: three-strand nylon of 10 mm, 20.4 kN (rope table)


@dataclass(frozen=True)
class GearPart:
    """A part as it is when new.

    ``key`` is its name in ``data/parts.csv``; ``carries`` says which load it carries; ``most`` (N) is the
    most that a snubber and its like can carry before the chain inboard of it comes taut.  ``made_of`` names
    the rope that it is tied, spliced or bent of: what weakens that throughout weakens this.
    """

    key: str
    name: str
    wll: Interval
    mbl: Interval
    source: str
    kind: str
    carries: Carries
    most: float = math.inf
    made_of: str = ""

    def load(self, bow: float, anchor: float) -> float:
        """What it carries (N) of the pulls at the bow and at the anchor (N)."""
        if self.carries == "anchor":
            return anchor
        if self.carries == "behind the snubber":
            return max(bow - self.most, 0.0)
        return min(bow, self.most)


def gear(scenario: Scenario) -> tuple[GearPart, ...]:
    """The parts in line, from the anchor aft; the bitter end last: it carries load only at full run-out."""
    rode = assemble(scenario)
    found = [_anchor(scenario), *_joints(scenario), *_lengths(scenario), *_inboard(scenario, rode)]
    order = {str(row["part"]): place for place, row in enumerate(table("parts"))}
    return tuple(sorted(found, key=lambda part: order[part.key]))


def _anchor(scenario: Scenario) -> GearPart:
    anchor = scenario.tackle.anchor
    proof, row = anchor_proof(anchor.type, si(anchor.mass)), table("anchor_proof")[0]
    return GearPart(
        "anchor",
        f"Anchor, {anchor.type}",
        WHOLE * (proof / _PROOF_TO_WORKING),
        _PROOF_TO_BREAK * proof,
        f"{row.source}, extrapolated to its weight; WLL half of it, strength 1.5 to 3 times it (judgement)",
        "judgement",
        "anchor",
    )


def anchor_proof(anchor_type: str, mass: float) -> float:
    """Proof load (N) of an anchor of ``mass`` kg: IACS UR A1 (from memory).

    Between its rows the table is read on logarithmic paper; it begins at 50 kg, and beyond its ends the line
    through them is carried on (ours).  High-holding types are proved at 4/3 of their mass.
    """
    taken = math.log(mass * (1.0 if anchor_type in _ORDINARY else _HIGH_HOLDING))
    masses, proofs = ([math.log(row[name]) for row in table("anchor_proof")] for name in ("mass", "proof"))
    inside = min(max(taken, masses[0]), masses[-1])
    power = (proofs[-1] - proofs[0]) / (masses[-1] - masses[0])
    return float(math.exp(np.interp(inside, masses, proofs) + power * (taken - inside)))


def _joints(scenario: Scenario) -> Iterator[GearPart]:
    """What stands between anchor and chain, and between lengths of chain."""
    fittings, chain = scenario.tackle.fittings, scenario.tackle.chain.row()
    link = float(chain["diameter"])
    yield _shackle("anchor shackle", "Anchor shackle", fittings.anchor_shackle, link)
    if fittings.swivel.orientation != "none":
        use = pick("swivel_use", orientation=fittings.swivel.orientation)
        left = Interval(use["low"], use["likely"], use["high"])
        yield _by_size("swivel", "Swivel", fittings.swivel.row(link), left)
    joining, row = fittings.joining_link, fittings.joining_link.row(link)
    if joining.kind in ("quick link", "chain shackle"):
        yield _by_size("joining link", joining.kind.capitalize(), row)
    elif joining.kind != "none":
        left = Interval(row["low"], row["likely"], row["high"])
        yield _of_chain("joining link", f"Joining link, {joining.kind}", chain, left, row, "anchor")


def _shackle(key: str, name: str, shackle: Shackle, link: float) -> GearPart:
    return _by_size(key, name, shackle.row(link))


def _by_size(key: str, name: str, row: Row, left: Interval = WHOLE) -> GearPart:
    wll = float(row["working load"])
    mbl = wll * float(row["break factor"])
    size = f"{name} {row['size']}"
    return GearPart(key, size, left * wll, left * mbl, row.source, row.kind, "anchor")


def _of_chain(
    key: str, name: str, chain: Row, left: Interval, row: Row, carries: Carries, most: float = math.inf
) -> GearPart:
    wll, mbl = left * float(chain["working load"]), left * float(chain["break"])
    return GearPart(key, name, wll, mbl, f"{row.source}; {chain.source}", row.kind, carries, most)


def _lengths(scenario: Scenario) -> Iterator[GearPart]:
    """Chain, rope and snubber as ``ropes_and_knots`` has them, and how they are joined."""
    gear, link = scenario.tackle, float(scenario.tackle.chain.row()["diameter"])
    keys: dict[str, tuple[str, Carries]] = {
        "Chain": ("chain", "anchor"), "Rope": ("rope", "bow"),
        "Snubber": ("snubber", "snubber"), "Bridle": ("snubber", "snubber"),
    }  # fmt: skip
    for part in ropes_and_knots.parts(scenario):
        key, carries = keys[part.name.split()[0]]
        # chain that comes to the bow pulls as hard there as the boat does
        carries = "bow" if key == "chain" and assemble(scenario).rope == 0.0 else carries
        wll, mbl = WHOLE * part.wll, WHOLE * part.mbl
        yield GearPart(key, part.name, wll, mbl, part.source, part.kind, carries, part.most)
        if key == "rope" and assemble(scenario).chain > 0:
            yield _rope_join(gear, wll, mbl, link)
        if key == "snubber":
            yield _snubber_end(gear, wll, mbl, part.most)


def _rope_join(gear: tackle.Tackle, wll: Interval, mbl: Interval, link: float) -> GearPart:
    join, row = gear.fittings.rope_join, gear.fittings.rope_join.row()
    left = _spread(row)
    name = f"Rope-to-chain join, {join.knot if join.kind == 'knot' else join.kind}"
    most = Interval(math.inf, math.inf, math.inf)
    limit_working, limit_breaking, source = most, most, row.source
    if join.kind == "thimble and shackle":
        shackle = _shackle("rope join", "Shackle", join.shackle, link)
        limit_working, limit_breaking = shackle.wll, shackle.mbl
        source = f"{source}; {shackle.source}"
    wll, mbl = (wll * left).least(limit_working), (mbl * left).least(limit_breaking)
    return GearPart("rope join", name, wll, mbl, source, row.kind, "bow", made_of="rope")


def _snubber_end(gear: tackle.Tackle, wll: Interval, mbl: Interval, most: float) -> GearPart:
    end, row, chain = gear.fittings.snubber_end, gear.fittings.snubber_end.row(), gear.chain.row()
    name = f"Snubber attachment, {end.kind}"
    if row["of"] == "chain":
        return _of_chain("snubber end", name, chain, _spread(row), row, "snubber", most)
    if row["of"] == "shackle":
        found = end.shackle.row(float(chain["diameter"]))
        load = float(found["working load"])
        wll, mbl = WHOLE * load, WHOLE * (load * float(found["break factor"]))
        return GearPart("snubber end", name, wll, mbl, found.source, found.kind, "snubber", most)
    left = _spread(row)
    wll, mbl = wll * left, mbl * left
    source, kind = row.source, row.kind
    return GearPart("snubber end", name, wll, mbl, source, kind, "snubber", most, "snubber")


def _spread(row: Row) -> Interval:
    low, high = float(row["low"]), float(row["high"])
    return Interval(low, (low + high) / 2, high)


def _inboard(scenario: Scenario, rode: Rode) -> Iterator[GearPart]:
    """Where the rode comes aboard, what holds it there, and its end."""
    known = {part.name.split()[0]: part for part in ropes_and_knots.parts(scenario)}
    snubber = known.get("Snubber") or known.get("Bridle")
    rope = snubber or known.get("Rope")
    chain = scenario.tackle.chain.row()
    most = snubber.most if snubber else math.inf
    carries: Carries = "snubber" if snubber else "bow"
    lead = scenario.tackle.fittings.lead
    name, row = lead.kind.capitalize(), lead.row()
    if rope:
        thick = si(scenario.tackle.snubber.diameter if snubber else scenario.tackle.rope.diameter)
        left = _spread(row) * bend_share(2 * lead.bend_radius() / thick)
        source = f"{rope.source}; bend 1 - 0.5 / sqrt(D/d), from memory; {row.source}"
        what = f"{rope.name.split()[0]} at the {lead.kind}"
        loads = left * rope.wll, left * rope.mbl
        made_of = "snubber" if snubber else "rope"
        yield GearPart("lead", what, *loads, source, "judgement", carries, most, made_of)
        if rode.rope > 0.0 and scenario.tackle.fittings.windlass.rope_held_by == "windlass":
            yield _rope_on_the_windlass(rope)
        else:
            yield _strong_point(scenario, carries, most)
    else:
        yield _of_chain("lead", f"{name} under the chain", chain, _spread(row), row, "bow")
    if snubber or not rope:
        holder = scenario.tackle.fittings.windlass.holder()
        left = Interval(holder["low"], holder["likely"], holder["high"])
        behind: Carries = "behind the snubber" if snubber else "bow"
        broken = left * float(chain["break"])
        source = f"{holder.source}; {chain.source}"
        what = f"Chain held by {holder['holder']}"
        yield GearPart("windlass", what, broken * (1 / _SAFETY), broken, source, "judgement", behind, most)
    yield _bitter_end(scenario)


def _rope_on_the_windlass(rope: ropes_and_knots.Part) -> GearPart:
    """The windlass's share of what it holds, as of chain: of rope nobody has published one (judgement)."""
    holder = pick("chain_holders", holder="windlass")
    broken = Interval(holder["low"], holder["likely"], holder["high"]) * rope.mbl
    source = f"{holder.source}; taken over for rope: judgement; {rope.source}"
    return GearPart(
        "windlass", "Rope held by windlass", broken * (1 / _SAFETY), broken, source, "judgement", "bow"
    )


def bend_share(ratio: float) -> float:
    """Share of its strength that rope keeps over a bend of ``ratio`` times its own diameter.

    1 − 0.5/√(D/d), the usual curve for wire rope slings, taken for fibre rope (from memory).
    """
    return max(1.0 - 0.5 / math.sqrt(ratio), 0.25)


def iso_strong_point(length: float, waterline: float, design: str = "A") -> float:
    """Load (N) that a forward strong point is to be rated for: P = X (4.3 Lc − 5.4) kN, ISO 15084:2003.

    Lc is the mean of length and waterline length in m; X is 1 for design categories A and B, 0.9 for C and
    0.75 for D (structure read in a reprint, digits from memory).
    """
    share = {"A": 1.0, "B": 1.0, "C": 0.9, "D": 0.75}[design]
    return share * (4.3 * (length + waterline) / 2 - 5.4) * 1000


def bolts_break(point: StrongPoint) -> float:
    """Shear strength (N) of a strong point's bolts: 0.6 times tensile strength times stress area, each."""
    row = point.bolt()
    return _SHEAR * float(row["tensile strength"]) * float(row["stress area"]) * point.bolts


def _strong_point(scenario: Scenario, carries: Carries, most: float) -> GearPart:
    boat, point = scenario.boat, scenario.tackle.fittings.strong_point
    base, source = si(point.breaking_load), "as stated for this fitting"
    if not base:
        base = iso_strong_point(si(boat.length), si(boat.waterline))
        source = "assumed to be built to ISO 15084:2003, digits from memory"
    if si(point.bolt_size) and point.fastening != "welded":
        base = min(base, bolts_break(point))
        source = f"{source}; bolts: ISO 898-1 and ISO 3506, read in reprints; in shear 0.6, from memory"
    left = WHOLE
    for name, column, value in (
        ("strong_points", "strong point", point.kind),
        ("fastenings", "fastening", point.fastening),
        ("backings", "backing", "plate" if point.fastening == "welded" else point.backing),
    ):
        row = pick(name, **{column: value})
        left = left * Interval(row["low"], row["likely"], row["high"])
    broken = left * base
    name = point.kind.capitalize()
    return GearPart(
        "strong point", name, broken * (1 / _SAFETY), broken, source, "from memory", carries, most
    )


def _bitter_end(scenario: Scenario) -> GearPart:
    end, chain = scenario.tackle.fittings.bitter_end, scenario.tackle.chain.row()
    name = {"nothing": "Bitter end, not secured"}.get(end.made_fast, f"Bitter end, {end.made_fast}")
    row = pick("bitter_ends", **{"made fast": end.made_fast})
    broken, source = WHOLE * 0.0, row.source
    if end.made_fast == "lashing":
        broken = _LASHING * (2 * end.turns * _LASHING_BREAK * si(end.diameter) ** 2)
        source = "two parts a turn of three-strand nylon; share left in a lashing is a judgement"
    elif end.made_fast == "shackle":
        shackle = Shackle().row(float(chain["diameter"]))
        broken, source = WHOLE * (shackle["working load"] * shackle["break factor"]), shackle.source
    return GearPart(
        "bitter end", name, broken * (1 / _SAFETY), broken, source, "judgement", "if all runs out"
    )
