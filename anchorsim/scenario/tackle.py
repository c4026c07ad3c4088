"""The ground tackle: anchor, rode and snubber as a person describes them, with their rows of the tables."""

from __future__ import annotations

import math
from typing import Annotated

from pydantic import Field, model_validator

from anchorsim.core.errors import sentence
from anchorsim.core.model import OneOf, Thing, complaint
from anchorsim.core.tables import Choice, Row, pick, table
from anchorsim.core.units import GRAVITY, SEA_WATER, Measure, Quantity, quantity, si, write
from anchorsim.scenario.fittings import Fittings

_STEEL = 7850.0  # kg/m³
_SIZE_MATCH = 0.02  # how far a size may lie from a table's and still be meant by it


def _sound(share: float) -> bool:
    return share == 1.0  # files speak of it only where it is not


class Anchor(Thing):
    """The anchor that is down, by type and mass."""

    type: Annotated[str, Choice("Anchor type", "anchors", "type")] = "concave scoop"
    mass: Annotated[Quantity, Measure("Anchor weight", "kg", 2, 200, 1)] = quantity(20.0, "kg")


class Chain(Thing):
    """The chain aboard; none at length 0."""

    size: Annotated[Quantity, Measure("Chain size", "mm", 5, 17, 1)] = quantity(8.0, "mm")
    grade: Annotated[int, OneOf("Chain grade", (30, 40, 43, 70))] = 40
    length: Annotated[Quantity, Measure("Chain aboard", "m", 0, 200, 5, "0 = none")] = quantity(60.0, "m")
    material: Annotated[str, OneOf("Chain material", ("galvanised", "stainless"))] = Field(
        default="galvanised", exclude_if=lambda material: material == "galvanised"
    )

    @model_validator(mode="after")
    def _in_the_table(self) -> Chain:
        self.row()
        return self

    def row(self) -> Row:
        """This size and grade in the chain table."""
        rows = [row for row in table("chain") if row["grade"] == str(self.grade)]
        advice = "choose one of them or another grade"
        return _nearest_size(rows, self.size, f"grade {self.grade} chain", "chain", "size", advice)

    def weight(self) -> float:
        """Weight in sea water, N/m."""
        return self.weight_in_air() * (1 - SEA_WATER / _STEEL)

    def weight_in_air(self) -> float:
        """Weight in air, N/m."""
        return float(self.row()["mass"]) * GRAVITY

    def stiffness(self) -> float:
        """EA of open-link chain, N: (5.45 − 0.0025 d/mm)·10¹⁰ N/m² on πd²/2, DNV-OS-E301 (from memory)."""
        diameter: float = self.row()["diameter"]
        return (5.45 - 0.0025 * diameter * 1000) * 1e10 * math.pi * diameter**2 / 2


class Rope(Thing):
    """The rope between chain and bow; none at length 0."""

    construction: Annotated[str, Choice("Rope", "rope_use", "construction")] = "three-strand nylon"
    diameter: Annotated[Quantity, Measure("Rope diameter", "mm", 9, 29, 2)] = quantity(14.0, "mm")
    length: Annotated[Quantity, Measure("Rope aboard", "m", 0, 200, 5, "0 = none")] = quantity(0.0, "m")
    stretch: Annotated[float, Measure("Stretch left in the rope", "", 0.2, 1, 0.05, "1 = as new")] = Field(
        default=1.0, exclude_if=_sound
    )

    @model_validator(mode="after")
    def _in_the_table(self) -> Rope:
        self.row()
        return self

    def row(self) -> Row:
        """This construction and diameter in the rope table."""
        return rope_row(self.construction, self.diameter)


class Snubber(Thing):
    """Nylon that takes the pull in place of the chain between hook and bow; none at length 0.

    With two legs it is a bridle, made fast to strong points on either bow.
    """

    rope: Annotated[str, Choice("Snubber rope", "rope_use", "construction")] = "three-strand nylon"
    diameter: Annotated[Quantity, Measure("Snubber diameter", "mm", 9, 29, 2)] = quantity(14.0, "mm")
    length: Annotated[Quantity, Measure("Snubber length", "m", 0, 30, 1, "0 = none")] = quantity(0.0, "m")
    legs: Annotated[int, OneOf("Legs of the snubber", (1, 2))] = 1
    slack: Annotated[Quantity, Measure("Slack chain inboard of the snubber", "m", 0, 15, 0.5)] = quantity(
        3.0, "m"
    )
    stretch: Annotated[float, Measure("Stretch left in the snubber", "", 0.2, 1, 0.05, "1 = as new")] = Field(
        default=1.0, exclude_if=_sound
    )

    @model_validator(mode="after")
    def _in_the_table(self) -> Snubber:
        self.row()
        return self

    def row(self) -> Row:
        """One leg in the rope table."""
        return rope_row(self.rope, self.diameter)


class Tackle(Thing):
    """What lies between the seabed and the boat, and how much of it is let out.

    ``scope`` is the length from roller to anchor over the height of the roller above the bottom.
    """

    scope: Annotated[float, Measure("Scope", "", 1.2, 30, 0.5)] = 5.0
    anchor: Anchor = Field(default_factory=Anchor)
    chain: Chain = Field(default_factory=Chain)
    rope: Rope = Field(default_factory=Rope)
    snubber: Snubber = Field(default_factory=Snubber)
    fittings: Fittings = Fittings()

    @model_validator(mode="after")
    def _some_rode(self) -> Tackle:
        if si(self.chain.length) + si(self.rope.length) <= 0:
            wrong = "no rode: 0 m of chain and 0 m of rope"
            raise complaint("chain.length", sentence(wrong, "more than 0 m of one", "add chain or rope"))
        return self


def rope_row(construction: str, diameter: Quantity) -> Row:
    """A construction and diameter in the rope table.  Raises an error at ``diameter`` where it has none."""
    rows = [row for row in table("rope") if row["construction"] == construction]
    return _nearest_size(rows, diameter, construction, "rope", "diameter", "choose one of them")


def _nearest_size(rows: list[Row], size: Quantity, what: str, name: str, field: str, advice: str) -> Row:
    wanted = si(size)
    best = min(rows, key=lambda row: abs(row["diameter"] - wanted))
    if abs(best["diameter"] - wanted) > _SIZE_MATCH * wanted:
        known = ", ".join(row["size"] for row in rows)
        wrong = f"{write(size)} {what} is not in the {name} table"
        raise complaint(field, sentence(wrong, f"one of {known}", advice))
    return best


def rope_weight(construction: str, row: Row) -> tuple[float, float]:
    """Weight of rope in sea water and in air, N/m."""
    in_air = float(row["mass"]) * GRAVITY
    return in_air * (1 - SEA_WATER / pick("rope_use", construction=construction)["density"]), in_air


def wet_break(construction: str, row: Row) -> float:
    """Breaking load of the wet rope, N."""
    return float(row["break"]) * float(pick("rope_use", construction=construction)["wet strength"])


def stretch(construction: str) -> tuple[tuple[float, ...], tuple[float, ...], float]:
    """Load as a share of the breaking load, strain of the worked-in rope, and its hysteresis loss."""
    use = pick("rope_use", construction=construction)
    rows = [row for row in table("rope_stretch") if row["construction"] == construction]
    strain = tuple(float(row["extension"]) * float(use["worked-in stretch"]) for row in rows)
    return tuple(float(row["load"]) for row in rows), strain, float(use["hysteresis loss"])
