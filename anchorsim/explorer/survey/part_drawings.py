"""Drawings of the parts, each with numbered places where to look, and which findings are looked for where.

The drawings are the project's own, general ones; they take the colour of the text about them.
"""

from __future__ import annotations

import functools
from collections.abc import Collection
from dataclasses import dataclass
from pathlib import Path

from anchorsim.core.markup import macros, trusted

_DRAWN = "explorer/survey/part_drawings.html"
_FOLDER = Path(__file__).with_name("drawings")


@dataclass(frozen=True)
class Place:
    """Where to look on a part: its name, its point in the drawing (400 by 240), what is looked for there."""

    name: str
    x: int
    y: int
    kinds: tuple[str, ...]


PLACES: dict[str, tuple[Place, ...]] = {
    "anchor": (
        Place("Tip", 26, 180, ("anchor tip blunt", "anchor ballast lost")),
        Place(
            "Fluke", 116, 176, ("anchor fluke bent", "anchor zinc gone", "anchor hidden by coating")
        ),
        Place("Crown, welds and hinge", 186, 146, ("anchor weld cracked", "anchor pivot worn")),
        Place("Shank", 232, 72, ("anchor shank bent", "anchor mass unknown", "anchor chosen by lift")),
        Place("Shackle eye", 312, 136, ("anchor shackle hole worn",)),
        Place("Stock, where it has one", 182, 30, ("anchor stock missing",)),
        Place("In its roller", 374, 76, ("anchor jams in its roller",)),
    ),
    "second anchor": (
        Place("Pins, flukes and shackle", 130, 96, ("second anchor rusted",)),
        Place("Rode attached", 372, 54, ("second anchor without a rode", "second rode worn")),
        Place("Where it is stowed", 90, 214, ("second anchor not ready", "stern anchor not ready")),
    ),
    "anchor shackle": (
        Place("Pin's eye", 66, 214, ("shackle pin not moused",)),
        Place(
            "Pin and thread", 322, 206,
            ("shackle pin not home", "shackle pin bent", "shackle pin of another metal"),
        ),
        Place("Bow", 116, 74, ("shackle worn", "shackle rusted", "shackle unmarked", "shackle of D form")),
        Place("Direction of load", 240, 18, ("shackle pulled sideways",)),
    ),
    "swivel": (
        Place("End towards the anchor", 34, 74, ("swivel the wrong way round",)),
        Place("Turning joint", 219, 174, ("swivel seized", "swivel hidden rust", "swivel of two halves",
            "swivel not wanted")),
        Place("Pin or set screw", 98, 64, ("swivel pin loose",)),
        Place("Eye and jaw", 288, 164, ("swivel worn", "swivel unmarked")),
    ),
    "chain": (
        Place("Crowns, where links bear", 112, 52, ("chain link worn", "chain links stretched")),
        Place(
            "Welds and sides of links", 184, 62,
            ("chain link cracked", "chain link deformed", "chain of stainless steel stained"),
        ),
        Place(
            "Surface", 326, 76, ("chain rusted", "chain zinc thin", "chain regalvanised", "chain coated",
                "chain dragged over rock")
        ),
        Place("Marks", 60, 166, ("chain grade unknown", "chain not marked")),
        Place("The whole run, laid out", 370, 180, ("chain hockled", "bolt in the chain")),
    ),
    "joining link": (
        Place("Sleeve", 201, 58, ("joining link open",)),
        Place(
            "Halves and rivets", 166, 180, ("rivets of a joining link loose", "joining link rusted")
        ),
        Place("Mark of size or grade", 250, 180, ("joining link unmarked",)),
        Place("Beside its neighbours", 334, 76, ("temporary link left in",)),
    ),
    "rope join": (
        Place("Tucks and their ends", 118, 76, ("splice of few tucks", "splice not seized")),
        Place("Thimble", 222, 120, ("thimble of teardrop shape", "thimble loose")),
        Place("Rope against steel", 266, 182, ("splice chafed", "knot in place of a splice")),
        Place("Shackle pin", 344, 74, ("rope join shackle not moused",)),
    ),
    "rope": (
        Place("Surface", 258, 76, ("rope chafed", "rope cut", "rope glazed", "rope stained")),
        Place("Thickness", 60, 38, ("rope diameter lost",)),
        Place("Lay, length and ends", 150, 74, ("rope hockled", "rope hard spots", "rope stretched out",
            "rope bent to the anchor")),
        Place("Inside, and its age", 298, 206, ("rope old and in the sun", "rope stiff", "rope core hidden",
            "rope stowed in the sun")),
    ),
    "snubber end": (
        Place("Jaw", 318, 128, ("snubber hook opened",)),
        Place("Keeper", 216, 222, ("snubber hook without keeper",)),
        Place("Surface", 238, 90, ("snubber hook rusted",)),
        Place("Grip on the chain", 120, 138, ("snubber hitch slips",)),
    ),
    "snubber": (
        Place(
            "Where it bends over the bow", 206, 30, ("rope chafed", "rope cut", "rope glazed", "rope stained")
        ),
        Place("Thickness", 92, 112, ("rope diameter lost",)),
        Place(
            "Lay and length", 268, 32, ("rope hockled", "rope hard spots", "rope stretched out")
        ),
        Place("Inside, and its age", 306, 78, ("rope old and in the sun", "rope stiff", "rope core hidden")),
    ),
    "lead": (
        Place("Roller", 130, 176, ("roller seized", "roller burred")),
        Place("Cheeks and keeper", 176, 66, ("roller cheeks bent",)),
        Place("Edges", 76, 86, ("lead edge sharp",)),
        Place("Chafe gear", 288, 74, ("no chafe gear",)),
        Place("Fastenings", 326, 170, ("lead loose",)),
    ),
    "strong point": (
        Place("Cleat or post", 104, 54, ("cleat cracked", "cleat burred", "strong point loose")),
        Place("Deck round it", 330, 104, ("strong point leaks", "deck soft at the strong point")),
        Place(
            "Bolts and nuts", 200, 198, ("strong point bolts corroded", "strong point held by screws")
        ),
        Place("Backing, seen from below", 98, 178, (
            "strong point without backing", "strong point hidden beneath",
        )),
    ),
    "windlass": (
        Place("Clutch, brake and drum", 150, 110, ("windlass brake slips", "drum burred")),
        Place("Casing, base and seals", 112, 168, ("windlass loose", "windlass leaks oil",
            "windlass uncovered", "windlass bedding leaks", "windlass casing cracked",
            "windlass gearbox worn")),
        Place(
            "Motor, terminals, breaker", 384, 190, ("windlass terminals corroded",
                "windlass breaker missing", "windlass cables worn")
        ),
        Place("Foot switch", 344, 114, ("windlass switch cracked", "windlass switch cover perished")),
        Place("Manual drive", 296, 38, ("windlass without hand drive", "windlass handle missing")),
        Place("What takes the load", 60, 66, ("windlass used as strong point",)),
    ),
    "gypsy": (
        Place("Pockets", 164, 92, ("gypsy worn", "gypsy of another size")),
        Place("Stripper", 350, 176, ("stripper missing",)),
    ),
    "bitter end": (
        Place("Eye in the locker", 322, 100, ("bitter end eye corroded",)),
        Place(
            "Lashing", 282, 188, ("bitter end loose", "bitter end tied off", "bitter end lashing worn",
                "bitter end cannot be cut")
        ),
    ),
    "locker": (
        Place("Drain and bottom", 334, 182, ("locker drain blocked", "locker not washed")),
        Place("Pipe, and chain pile under it", 190, 102, ("locker too small", "hawse pipe edge sharp")),
        Place("What else is kept there", 306, 72, ("locker divided badly",)),
    ),
}  # fmt: skip


def numbered(part: str) -> list[tuple[int, Place]]:
    """The places of a part with their numbers in the drawing."""
    return list(enumerate(PLACES[part], 1))


def place_of(part: str, kind: str) -> int | None:
    """The number of the place at which a kind of finding is looked for, None where the drawing has none."""
    return next((number for number, place in numbered(part) if kind in place.kinds), None)


def drawing(part: str, found: Collection[int]) -> str:
    """The part as inline SVG, its places numbered; those in ``found`` are filled and say so in words."""
    return macros(_DRAWN).drawing(part, trusted(_art(part)), numbered(part), found)


def ornament(name: str) -> str:
    """A drawing without places."""
    return macros(_DRAWN).ornament(trusted(_art(name)))


@functools.cache
def _art(name: str) -> str:
    """What is within the outermost element of a drawing's file: the template has the element itself."""
    file = (_FOLDER / f"{name.replace(' ', '-')}.svg").read_text(encoding="utf-8")
    return file.partition(">")[2].rpartition("<")[0].strip()
