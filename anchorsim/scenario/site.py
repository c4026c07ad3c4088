"""The spot she lies in, and what an anchor holds in its bottom."""

from __future__ import annotations

import math
from collections.abc import Sequence
from statistics import NormalDist
from typing import Annotated, NamedTuple

import numpy as np
from numpy.typing import NDArray
from pydantic import Field, model_validator

from anchorsim.core.errors import sentence
from anchorsim.core.model import Thing, complaint
from anchorsim.core.tables import Choice, pick, table
from anchorsim.core.units import GRAVITY, Measure, Quantity, quantity, si, write
from anchorsim.environment.sea_state import fetch_at

_REFERENCE_MASS = 20.0  # kg, a middling anchor of those that the holding ratios speak of (judgement)
_NAVY_MASS = 4536.0  # kg, of the anchors that the US Navy's law refers to: 10 000 lb
_NAVY_BOTTOMS = {"firm sand": "sand", "soft mud": "mud"}  # ours, and what that law calls them (judgement)
HOLDING_MASSES = (5.0, 50.0)  # kg: small craft; beyond it the power law is stretched
_MOST_FETCHES = 72  # one for every five degrees
CARRIES = (
    0.2  # current over wind from which she may lie to the current: their pushes are then alike (judgement)
)
_DUG_IN = ((1.134, 2.13), (20.41, 10.67))  # kg and m: 2.5 lb and 7 ft, 45 lb and 35 ft (see dig_in)
_RANGE_QUANTILE = 0.9  # the published low and high are read as the 10 % and 90 % of anchors (judgement)


class Fetch(Thing):
    """How far open water reaches in one direction."""

    bearing: Annotated[Quantity, Measure("Bearing of the open water", "degree", 0, 360, 1, "true")]
    distance: Annotated[Quantity, Measure("Fetch", "m", 0, 500_000, 100)]


class Spot(Thing):
    """The anchorage: water, bottom and current where she lies.

    The bottom is a plane that falls by ``slope`` towards a bearing; ``depth`` is that at the anchor.

    ``fetches`` say how far open water reaches by bearing, in straight lines between those given; a single
    one counts all round, and without any there is no sea of the wind's making.  In a file they are tables
    ``[[spot.fetches]]`` with ``bearing`` and ``distance``.
    """

    depth: Annotated[Quantity, Measure("Charted depth", "m", 0.5, 60, 0.5)] = quantity(6.0, "m")
    tide: Annotated[Quantity, Measure("Height of tide", "m", 0, 15, 0.1)] = quantity(0.0, "m")
    bottom: Annotated[str, Choice("Bottom", "bottoms", "bottom")] = "firm sand"
    slope: Annotated[
        Quantity,
        Measure(
            "Bottom slope", "degree", 0, 20, 0.5, "depth given is at the anchor; the boat may be in less"
        ),
    ] = quantity(0.0, "degree")
    deepens_towards: Annotated[
        Quantity, Measure("Deepens towards", "degree", 0, 360, 5, "true; needs a slope")
    ] = quantity(0.0, "degree")
    current: Annotated[Quantity, Measure("Tidal stream or current", "knot", 0, 8, 0.1)] = quantity(
        0.0, "knot"
    )
    current_set: Annotated[
        Quantity, Measure("Set of stream or current", "degree", 0, 360, 5, "direction it flows to, true")
    ] = quantity(0.0, "degree")
    fetches: Annotated[tuple[Fetch, ...], Field(max_length=_MOST_FETCHES)] = ()

    @model_validator(mode="after")
    def _one_for_each_bearing(self) -> Spot:
        bearings: set[float] = set()
        for place, fetch in enumerate(self.fetches):
            bearing = round(math.degrees(si(fetch.bearing)), 6) % 360.0
            if bearing in bearings:
                said = sentence(f"{write(fetch.bearing)} appears twice", "one fetch a bearing", "delete one")
                raise complaint(f"fetches.{place}.bearing", said)
            bearings.add(bearing)
        return self

    def rises(self) -> tuple[float, float]:
        """How much the bottom rises for each metre to the north and for each to the east, m."""
        steep, towards = math.tan(si(self.slope)), si(self.deepens_towards)
        return -steep * math.cos(towards), -steep * math.sin(towards)

    def slope_towards(self, bearing: float) -> float:
        """Angle (rad) at which the bottom rises from the anchor towards a bearing (rad), below 0: falls."""
        return self._slopes([bearing])[0]

    def _slopes(self, bearings: Sequence[float]) -> list[float]:
        steep, deepens = math.tan(si(self.slope)), si(self.deepens_towards)
        return [math.atan(-steep * math.cos(bearing - deepens)) for bearing in bearings]

    def slopes_towards(
        self, wind: float, directions: Sequence[float], current: float, current_set: float
    ) -> list[float]:
        """The same towards where she may lie: to leeward, and down a current that is strong beside the wind.

        ``wind`` and ``current`` in m/s; ``directions`` that the wind blows from, ``current_set``, rad.
        """
        bearings = [float(way) + math.pi for way in directions]
        if current > 0.0 and current >= CARRIES * wind:
            bearings.append(current_set)
        return self._slopes(bearings)

    def fetch(self, bearing: float) -> float:
        """Fetch (m) towards a bearing (rad); 0 where none is given."""
        if not self.fetches:
            return 0.0
        bearings = [si(fetch.bearing) for fetch in self.fetches]
        return fetch_at(bearings, [si(fetch.distance) for fetch in self.fetches], bearing)


class Ground(NamedTuple):
    """An anchor in a bottom as plain SI floats, for the kernel (``anchor_kernel`` has the law).

    holding: N along the bottom, well set, before uplift; broken_share: share of it that it carries while it
    skips along broken out; set_share: share that it comes back to when it digs in again by itself; dig_in: m
    that it is dragged from lying on the bottom to its full holding.
    """

    holding: float
    broken_share: float
    set_share: float
    dig_in: float


def ground(anchor_type: str, mass: float, bottom: str, quantile: float = 0.5) -> Ground:
    """An anchor of ``mass`` kg in a bottom, at a quantile of its scatter (0.5: as likely more as less).

    Holding = ratio · weight of a 20 kg anchor · (mass / 20 kg)^b · bottom relative to firm sand.  The ratio's
    low and high are the small-craft figures of ``anchors.csv``; b and the bottom's factor stand in
    ``bottoms.csv``, and where a type is known to differ there its own factor does in ``anchor_bottoms.csv``.
    The scatter is lognormal: that of the type, and where pulls were repeated that of one run to the next.
    """
    low, high = _ratios(anchor_type)
    row, anchor = pick("bottoms", bottom=bottom), pick("anchors", type=anchor_type)
    tail = NormalDist().inv_cdf(_RANGE_QUANTILE)
    spread = math.hypot(0.5 * math.log(high / low), math.log(row["run scatter"])) / tail
    ratio = math.sqrt(low * high) * math.exp(spread * NormalDist().inv_cdf(quantile))
    size = (mass / _REFERENCE_MASS) ** float(row["mass exponent"])
    holding = ratio * _REFERENCE_MASS * GRAVITY * size * relative_holding(anchor_type, bottom)[0]
    travel = dig_in(mass) * float(row["dig in"])
    return Ground(holding, float(anchor["broken share"]), float(anchor["set share"]), travel)


def dig_in(mass: float) -> float:
    """Drag (m) after which an anchor of ``mass`` kg holds all it can, in soft mud.

    4 to 10 ft for small anchors and 30 to 40 ft for large ones (magazine test of anchors of 2 and 2.5 lb
    beside those of 35 to 46 lb, read): a power of the mass through the middles, at 2.5 lb and at 45 lb.
    """
    (small, short), (large, long) = _DUG_IN
    return float(short * (mass / small) ** (math.log(long / short) / math.log(large / small)))


def relative_holding(anchor_type: str, bottom: str) -> tuple[float, str]:
    """Holding relative to that in firm sand, and the kind of that figure."""
    own, general = pick("anchor_bottoms", type=anchor_type, bottom=bottom), pick("bottoms", bottom=bottom)
    row = own if "relative holding" in own else general
    return float(row["relative holding"]), row.kind


def _ratios(anchor_type: str) -> tuple[float, float]:
    row = pick("anchors", type=anchor_type)
    return float(row["holding low"]), float(row["holding high"])


def holding_range(anchor_type: str, mass: float, bottom: str) -> tuple[float, float]:
    """Holding (N) that nine anchors of ten have, and that one of ten has."""
    low, high = 1 - _RANGE_QUANTILE, _RANGE_QUANTILE
    return ground(anchor_type, mass, bottom, low).holding, ground(anchor_type, mass, bottom, high).holding


def friction(bottom: str) -> float:
    """Sliding friction of chain on the bottom, as a share of its weight in water."""
    return float(pick("bottoms", bottom=bottom)["friction"])


def uplift_table() -> NDArray[np.float64]:
    """Share of the holding left by angle of pull: rows (angle in radians, share), angle rising."""
    return np.array([[row["angle"], row["holding left"]] for row in table("uplift")])


def navy_holding(anchor_class: str, bottom: str, mass: float) -> float:
    """Holding (N) by the US Navy's law H = HR (W / WR)^b (UFC 4-159-03 eq. 26), ``mass`` in kg.

    The law was fitted to anchors of tonnes; at small-craft masses it is an extrapolation and serves to
    compare with.  Raises TableError where the table has no such class or bottom.
    """
    row = pick("holding_law", **{"class": anchor_class, "bottom": bottom})
    return float(row["holding of 4536 kg"] * (mass / _NAVY_MASS) ** row["exponent"])


def navy_disagrees(anchor_type: str, mass: float, bottom: str) -> float | None:
    """Holding (N) by the US Navy's law where it lies outside :func:`holding_range`, else None.

    None too where that law does not know the anchor or the bottom.
    """
    classes = {str(row["class"]) for row in table("holding_law")}
    if anchor_type not in classes or bottom not in _NAVY_BOTTOMS:
        return None
    low, high = holding_range(anchor_type, mass, bottom)
    other = navy_holding(anchor_type, _NAVY_BOTTOMS[bottom], mass)
    return None if low <= other <= high else other


def spot_floats(spot: Spot) -> tuple[float, float, float]:
    """Depth of water now (m) and the current's velocity to the north and east (m/s)."""
    speed, towards = si(spot.current), si(spot.current_set)
    return si(spot.depth) + si(spot.tide), speed * math.cos(towards), speed * math.sin(towards)
