"""What joins the tackle together and to the boat: shackles, swivel, splices, leads, strong point, windlass.

All of it stands at ``tackle.fittings`` and has a default, as new, so that a scenario need not speak of it.  A
size of 0 means that nobody recorded one and the part is taken to be of the size that suits its neighbour.
"""

from __future__ import annotations

from typing import Annotated

from pydantic import model_validator

from anchorsim.core.errors import sentence
from anchorsim.core.model import OneOf, Thing, complaint
from anchorsim.core.tables import Choice, Row, table
from anchorsim.core.units import Measure, Quantity, parse, quantity, si, write

_SIZE_MATCH = 0.02  # how far a size may lie from a table's and still be meant by it
_TRADE_MATCH = 0.065  # how far a trade size in mm may lie from the inch size that it stands for: 6 mm, 1/4 in
_LINK_WIDTH = 1.2  # inside width of a short link over its diameter, at the least (DIN 766, from memory)

_NONE = quantity(0.0, "mm")
_NO_LENGTH = quantity(0.0, "m")
_UNRATED = quantity(0.0, "kN")
_SUITS = "0 = assumed to match the chain"


class Shackle(Thing):
    """A bow shackle, its size that of the bow's stock."""

    size: Annotated[Quantity, Measure("Shackle size", "mm", 0, 20, 1, _SUITS)] = _NONE
    grade: Annotated[str, Choice("Shackle grade", "shackles", "grade")] = "carbon screw pin"

    @model_validator(mode="after")
    def _in_the_table(self) -> Shackle:
        if si(self.size):
            _nearest(self._rows, self.size, f"{self.grade} shackle", "shackle")
        return self

    @property
    def _rows(self) -> list[Row]:
        return [row for row in table("shackles") if row["grade"] == self.grade]

    def row(self, link: float) -> Row:
        """This shackle in the table; without a size the largest whose pin passes a ``link`` (m) of chain."""
        if si(self.size):
            return _nearest(self._rows, self.size, "shackle", "shackle")
        passing = [row for row in self._rows if row["pin"] <= link_width(link)]
        return passing[-1] if passing else self._rows[0]


class Swivel(Thing):
    """A swivel between anchor and chain, and which way round it is; none by default."""

    orientation: Annotated[str, Choice("Swivel", "swivel_use", "orientation")] = "none"
    size: Annotated[Quantity, Measure("Swivel size", "mm", 0, 20, 1, _SUITS)] = _NONE
    construction: Annotated[
        str, OneOf("Swivel construction", ("not known", "forged", "two halves screwed together"))
    ] = "not known"

    @model_validator(mode="after")
    def _in_the_table(self) -> Swivel:
        if si(self.size):
            _nearest(list(table("swivels")), self.size, "swivel", "swivel")
        return self

    def row(self, link: float) -> Row:
        """This swivel in the table; without a size the smallest that is no smaller than the chain (m)."""
        return _sized(list(table("swivels")), self.size, link, "swivel")


class JoiningLink(Thing):
    """What joins two lengths of chain; none by default."""

    kind: Annotated[str, Choice("Joining link", "joining_links", "link")] = "none"
    size: Annotated[Quantity, Measure("Joining link size", "mm", 0, 20, 1, _SUITS)] = _NONE
    count: Annotated[int, OneOf("Joining links", (1, 2, 3, 4))] = 1

    @model_validator(mode="after")
    def _in_the_table(self) -> JoiningLink:
        if si(self.size) and self.kind in ("quick link", "chain shackle"):
            _nearest(self._rows, self.size, self.kind, self.kind)
        return self

    @property
    def _rows(self) -> list[Row]:
        if self.kind == "quick link":
            return list(table("quick_links"))
        return [row for row in table("shackles") if row["grade"] == "carbon screw pin"]

    def row(self, link: float) -> Row:
        """The row that strength comes from: by size for quick link or shackle, else the chain's share."""
        if self.kind in ("quick link", "chain shackle"):
            return _sized(self._rows, self.size, link, self.kind)
        return next(row for row in table("joining_links") if row["link"] == self.kind)


class RopeJoin(Thing):
    """How rope is joined to chain."""

    kind: Annotated[str, Choice("Rope-to-chain join", "rope_joins", "join")] = "chain splice"
    knot: Annotated[str, Choice("Knot", "knots", "knot")] = "anchor bend"
    shackle: Shackle = Shackle()
    thimble: Annotated[
        Quantity, Measure("Thimble for rope of", "mm", 0, 32, 2, "0 = assumed to match the rope")
    ] = _NONE

    def row(self) -> Row:
        """The share of the rope's strength that this join leaves."""
        name, column, wanted = (
            ("knots", "knot", self.knot) if self.kind == "knot" else ("rope_joins", "join", self.kind)
        )
        return next(row for row in table(name) if row[column] == wanted)


class Lead(Thing):
    """Where the rode or snubber bends over the boat's edge: the point that chafes."""

    kind: Annotated[str, Choice("Lead", "leads", "lead")] = "bow roller"
    radius: Annotated[
        Quantity, Measure("Bend radius of the lead", "mm", 0, 200, 5, "0 = assumed typical")
    ] = _NONE

    def row(self) -> Row:
        """This kind in the table."""
        return next(row for row in table("leads") if row["lead"] == self.kind)

    def bend_radius(self) -> float:
        """Radius of the lip or wheel, m."""
        return si(self.radius) or float(self.row()["radius"])


class SnubberEnd(Thing):
    """How the snubber takes hold of the chain."""

    kind: Annotated[str, Choice("Snubber attachment", "snubber_ends", "end")] = "chain hook"
    shackle: Shackle = Shackle()

    def row(self) -> Row:
        """This kind in the table."""
        return next(row for row in table("snubber_ends") if row["end"] == self.kind)


class StrongPoint(Thing):
    """What the rode or snubber is made fast to.

    Without a ``breaking_load`` it is taken to be built to ISO 15084 for the boat's length.
    """

    kind: Annotated[str, Choice("Strong point", "strong_points", "strong point")] = "cleat"
    breaking_load: Annotated[
        Quantity, Measure("Strong point MBL", "kN", 0, 500, 5, "0 = assumed to meet ISO 15084")
    ] = _UNRATED
    fastening: Annotated[str, Choice("Fastening", "fastenings", "fastening")] = "through bolts"
    bolts: Annotated[int, OneOf("Bolts", (1, 2, 3, 4, 5, 6, 8))] = 4
    bolt_size: Annotated[
        Quantity, Measure("Bolt size", "mm", 0, 16, 2, "0 = assumed to match the strong point")
    ] = _NONE
    backing: Annotated[str, Choice("Backing", "backings", "backing")] = "plate"

    @model_validator(mode="after")
    def _in_the_table(self) -> StrongPoint:
        if si(self.bolt_size):
            self.bolt()
        return self

    def bolt(self) -> Row:
        """Its bolts in the table.  Raises an error at ``bolt_size`` where it has none."""
        return _nearest(list(table("bolts")), self.bolt_size, "bolt", "bolt", "bolt_size")


class Windlass(Thing):
    """The windlass with its gypsy, what holds the chain where no snubber does, and what a rode of rope."""

    kind: Annotated[str, Choice("Windlass", "windlasses", "windlass")] = "electric"
    gypsy_size: Annotated[Quantity, Measure("Gypsy for chain of", "mm", 0, 20, 1, _SUITS)] = _NONE
    gypsy_standard: Annotated[str, Choice("Chain standard of gypsy", "gypsies", "standard")] = "ISO 4565"
    chain_held_by: Annotated[str, Choice("Chain load taken by", "chain_holders", "holder")] = "windlass"
    rope_held_by: Annotated[str, OneOf("Rope load taken by", ("strong point", "windlass"))] = "strong point"

    def holder(self) -> Row:
        """What holds the chain, in the table."""
        return next(row for row in table("chain_holders") if row["holder"] == self.chain_held_by)


class BitterEnd(Thing):
    """How the inboard end of the rode is made fast."""

    made_fast: Annotated[str, Choice("Bitter end", "bitter_ends", "made fast")] = "lashing"
    turns: Annotated[int, OneOf("Turns of the lashing", (1, 2, 3, 4, 5, 6, 8))] = 4
    diameter: Annotated[Quantity, Measure("Lashing diameter", "mm", 2, 14, 1)] = quantity(6.0, "mm")
    reaches_deck: Annotated[bool, OneOf("Lashing reaches the deck", (True, False))] = True


class SecondAnchor(Thing):
    """The anchor carried besides the one that is down, with a rode of its own; none at mass 0."""

    type: Annotated[str, Choice("Second anchor type", "anchors", "type")] = "fluke"
    mass: Annotated[Quantity, Measure("Second anchor weight", "kg", 0, 200, 1, "0 = none")] = quantity(
        0.0, "kg"
    )
    chain: Annotated[Quantity, Measure("Second rode, chain", "m", 0, 200, 5, "0 = none")] = _NO_LENGTH
    rope: Annotated[Quantity, Measure("Second rode, rope", "m", 0, 200, 5, "0 = none")] = _NO_LENGTH


class SternAnchor(Thing):
    """A small anchor let go over the stern, with a rode of its own; none at mass 0."""

    type: Annotated[str, Choice("Stern anchor type", "anchors", "type")] = "fluke"
    mass: Annotated[Quantity, Measure("Stern anchor weight", "kg", 0, 200, 1, "0 = none")] = quantity(
        0.0, "kg"
    )
    chain: Annotated[Quantity, Measure("Stern rode, chain", "m", 0, 200, 5, "0 = none")] = _NO_LENGTH
    rope: Annotated[Quantity, Measure("Stern rode, rope", "m", 0, 200, 5, "0 = none")] = _NO_LENGTH


class Fittings(Thing):
    """All parts beside anchor, chain, rope and snubber, from the anchor to the bitter end."""

    second_anchor: SecondAnchor = SecondAnchor()
    stern_anchor: SternAnchor = SternAnchor()
    anchor_shackle: Shackle = Shackle()
    swivel: Swivel = Swivel()
    joining_link: JoiningLink = JoiningLink()
    rope_join: RopeJoin = RopeJoin()
    lead: Lead = Lead()
    snubber_end: SnubberEnd = SnubberEnd()
    strong_point: StrongPoint = StrongPoint()
    windlass: Windlass = Windlass()
    bitter_end: BitterEnd = BitterEnd()


def link_width(diameter: float) -> float:
    """Inside width (m) of a chain's link at the least: 1.2 times its diameter, DIN 766 (from memory)."""
    return _LINK_WIDTH * diameter


def _sized(rows: list[Row], size: Quantity, link: float, what: str) -> Row:
    if si(size):
        return _nearest(rows, size, what, what)
    return next((row for row in rows if row["diameter"] >= link * (1 - _TRADE_MATCH)), rows[-1])


def _nearest(rows: list[Row], size: Quantity, what: str, table_name: str, field: str = "size") -> Row:
    """The row whose diameter or name is that of a size.  Raises an error at ``field`` where there is none."""
    wanted = si(size)
    for row in rows:
        names = (row["diameter"], _named(row["size"]))
        if any(abs(name - wanted) <= _SIZE_MATCH * wanted for name in names):
            return row
    known = ", ".join(row["size"] for row in rows)
    wrong = f"{write(size)} {what} is not in the {table_name} table"
    raise complaint(field, sentence(wrong, f"one of {known}", "choose one of them"))


def _named(size: str) -> float:
    """What a row's size says, m: "8 mm", and "M8" of bolts."""
    return si(parse(f"{size[1:]} mm" if size.startswith("M") else size))
