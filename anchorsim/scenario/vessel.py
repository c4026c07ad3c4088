"""The boat: what a person describes of her, and the plain floats that her motion needs."""

from __future__ import annotations

import functools
import math
from collections.abc import Iterator, Sequence
from typing import Annotated, Any, NamedTuple

import numpy as np
from pydantic import Field, model_validator

from anchorsim.core.errors import sentence
from anchorsim.core.model import OneOf, Problem, Thing, refuse
from anchorsim.core.tables import Choice, catalogue, pick, table
from anchorsim.core.units import (
    GRAVITY,
    SEA_WATER,
    Measure,
    Quantity,
    quantity,
    si,
    unit_name,
    write,
    write_in,
)
from anchorsim.scenario.hull_form import resistance, wave_push
from anchorsim.scenario.text import Line

_STRIPS = 7  # along the waterline
_YAW_GYRADIUS = 0.25  # of the length overall: judgement, the usual figure for a yacht
_RIDING_SAIL_CENTRE = -0.42  # of the length overall, from amidships: set on the backstay (judgement)


# What figures of one boat must keep to: a field, and the share of others that it is at the most.  Waterline
# and hull go without saying; the rest is drawn wide enough for any yacht, to catch a slip or feet given for
# metres (judgement).  Places may lie outside the hull, as a bowsprit or a rudder on the transom does.
_AT_MOST: tuple[tuple[str, float, tuple[str, ...]], ...] = (
    ("waterline", 1.0, ("length",)), ("beam", 0.8, ("length",)), ("draught", 0.35, ("length",)),
    ("canoe_draught", 1.0, ("draught",)), ("bridle_spread", 1.0, ("beam",)), ("bow_height", 0.3, ("length",)),
    ("windage_height", 0.6, ("length",)),
    ("roller", 0.6, ("length",)), ("windage_centre", 0.6, ("length",)), ("rig_centre", 0.6, ("length",)),
    ("keel_centre", 0.6, ("length",)), ("rudder_centre", 0.6, ("length",)),
    ("frontal_area", 0.5, ("length", "beam")), ("lateral_area", 0.5, ("length", "length")),
    ("rig_frontal_area", 0.1, ("length", "length")), ("rig_lateral_area", 0.15, ("length", "length")),
    ("keel_area", 1.0, ("waterline", "draught")), ("rudder_area", 0.12, ("waterline", "draught")),
    ("riding_sail", 0.1, ("length", "length")),
)  # fmt: skip
_SHORTEST_WATERLINE = 0.5  # of the length overall (judgement)
_FINEST = 0.2  # of the box around a hull, that it displaces at the least (judgement)
_LIGHTEST = 1.5  # kg/m³, displacement over the length's cube: a racing yacht of the lightest (judgement)
_ROUNDING = 1.0005  # a limit as it is shown, to four digits, still counts


class Boat(Thing):
    """A boat: a model of the catalogue, any figure of which may be overridden.

    Positions lie on the centreline, measured from amidships, ahead positive.  ``type``, ``builder``, ``year``
    and ``hull_number`` are as they were typed.  ``rig``, ``cover`` and ``dinghy`` are what was answered of
    what she carries, empty where nobody said; ``own_boat`` makes windage of them, and the areas here count.
    """

    model: Annotated[str, OneOf("Model", tuple(catalogue()))] = "sloop-12"
    name: Annotated[str, Field(max_length=200)] = "Boat"
    kind: Annotated[str, OneOf("Kind of boat", ("sailing yacht", "ketch", "motor cruiser", "catamaran"))]
    hulls: Annotated[int, OneOf("Hulls", (1, 2))] = 1
    length: Annotated[Quantity, Measure("Length overall", "m", 4, 30, 0.1)]
    waterline: Annotated[Quantity, Measure("Waterline length", "m", 3, 28, 0.1)]
    beam: Annotated[Quantity, Measure("Beam overall", "m", 1, 15, 0.1)]
    waterline_beam: Annotated[Quantity, Measure("Waterline beam of a hull", "m", 0.4, 8, 0.05)]
    displacement: Annotated[Quantity, Measure("Displacement", "kg", 300, 80000, 100)]
    draught: Annotated[Quantity, Measure("Draught", "m", 0.3, 4, 0.05)]
    canoe_draught: Annotated[Quantity, Measure("Draught of the hull without keel", "m", 0.15, 3, 0.05)]
    bow_height: Annotated[Quantity, Measure("Bow roller above the water", "m", 0.3, 4, 0.05)]
    roller: Annotated[Quantity, Measure("Bow roller ahead of amidships", "m", 1, 17, 0.05)]
    bridle_spread: Annotated[
        Quantity, Measure("Distance between the bridle's strong points", "m", 0, 12, 0.1)
    ]
    windage: Annotated[str, Choice("Hull type for windage", "windage", "vessel")]
    frontal_area: Annotated[
        Quantity, Measure("Hull windage from ahead", "m²", 0.5, 80, 0.5, "hull and house")
    ]
    lateral_area: Annotated[Quantity, Measure("Hull windage from abeam", "m²", 1, 200, 0.5, "hull and house")]
    windage_centre: Annotated[Quantity, Measure("Centre of the hull's windage", "m", -8, 8, 0.1)]
    windage_height: Annotated[Quantity, Measure("Height of the centre of windage", "m", 0.5, 15, 0.1)]
    rig_frontal_area: Annotated[
        Quantity, Measure("Rig windage from ahead", "m²", 0, 40, 0.1, "mast, stays and furled sails")
    ]
    rig_lateral_area: Annotated[
        Quantity, Measure("Rig windage from abeam", "m²", 0, 60, 0.1, "mast, stays and furled sails")
    ]
    rig_centre: Annotated[Quantity, Measure("Centre of the rig's windage", "m", -8, 10, 0.1)]
    keel_area: Annotated[Quantity, Measure("Area of the keel", "m²", 0, 30, 0.1)]
    keel_centre: Annotated[Quantity, Measure("Centre of the keel", "m", -8, 8, 0.1)]
    rudder_area: Annotated[Quantity, Measure("Area of the rudder", "m²", 0, 8, 0.05)]
    rudder_centre: Annotated[Quantity, Measure("Centre of the rudder", "m", -14, 0, 0.1)]
    riding_sail: Annotated[Quantity, Measure("Riding sail", "m²", 0, 20, 0.5, "0 = none")] = quantity(
        0.0, "m²"
    )
    type: Line = ""
    builder: Line = ""
    year: Line = ""
    hull_number: Line = ""
    rig: Annotated[str, OneOf("", ("", "none", "one mast", "two masts"))] = ""
    cover: Annotated[str, OneOf("", ("", "none", "sprayhood", "sprayhood and bimini"))] = ""
    dinghy: Annotated[str, OneOf("", ("", "none", "on the foredeck", "on davits"))] = ""

    @model_validator(mode="before")
    @classmethod
    def _from_the_catalogue(cls, given: Any) -> Any:
        if not isinstance(given, dict):
            return given
        default = cls.model_fields["model"].default
        model = given.get("model", default)
        stock = catalogue()[model if model in list(catalogue()) else default]
        return {**stock, **given, "model": model}

    @model_validator(mode="after")
    def _proportions(self) -> Boat:
        refuse(list(_misfits(self)))
        return self


def _misfits(boat: Boat) -> Iterator[Problem]:
    value = {name: si(getattr(boat, name)) for name in Boat.quantities()}
    box = ("waterline", "waterline_beam", "canoe_draught")
    floats = SEA_WATER * boat.hulls * math.prod(value[name] for name in box)
    at_most = [
        (name, share * math.prod(value[other] for other in others), others)
        for name, share, others in _AT_MOST
    ]
    at_most += [("waterline_beam", value["beam"] / boat.hulls, ("beam",)), ("displacement", floats, box)]
    for name, most, others in at_most:
        if abs(value[name]) > most * _ROUNDING:
            yield _misfit(boat, name, others, most, "at most")
    at_least = [
        ("waterline", _SHORTEST_WATERLINE * value["length"], ("length",)),
        ("displacement", _FINEST * floats, box),
        ("displacement", _LIGHTEST * value["length"] ** 3, ("length",)),
    ]
    for name, least, others in at_least:
        if value[name] * _ROUNDING < least:
            yield _misfit(boat, name, others, least, "at least")


def _misfit(boat: Boat, name: str, others: Sequence[str], limit: float, side: str) -> Problem:
    value: Quantity = getattr(boat, name)
    *first, last = (f"boat.{other}" for other in dict.fromkeys(others))
    names = f"{', '.join(first)} and {last}" if first else last
    base = f"{value.to_base_units().units}"
    limit_shown = write_in(quantity(limit, base), unit_name(value), 4)
    place = " from amidships" if name == "roller" or name.endswith("_centre") else ""
    wrong = f"{write(value)} does not fit {names}"
    return name, sentence(wrong, f"{side} {limit_shown}{place}", "correct one of them")


def corners(boat: Boat) -> np.ndarray[tuple[int, int], np.dtype[np.float64]]:
    """Points that bound her from above, (n, 2) metres ahead of amidships and to starboard.

    Stem, sides and quarters; with two hulls two stems.
    """
    half, beam = si(boat.length) / 2, si(boat.beam) / 2
    stem = beam - si(boat.waterline_beam) / 2 if boat.hulls == 2 else 0.0
    starboard = [(half, stem), (0.4 * half, beam), (-0.4 * half, beam), (-half, 0.75 * beam)]
    return np.array([*starboard, *((ahead, -abeam) for ahead, abeam in starboard)])


class Hull(NamedTuple):
    """The boat as plain SI floats (m, kg, m², rad): all that the kernel of her motion reads.

    Added masses are those of slender-body strips with keel and rudder as plates; the published merchant-ship
    regressions go negative for the forms of yachts.  The added mass in surge is Söding's (1982).  Drags are
    areas, m², as ``hull_form`` has them; froude: of the Froude number squared, by the speed
    squared.
    """

    mass: float
    yaw_inertia: float
    added_surge: float
    added_sway: float
    added_sway_yaw: float
    added_yaw: float
    length: float
    roller: float
    strip_place: tuple[float, ...]
    strip_drag: tuple[float, ...]
    surge_drag: float
    astern_drag: float
    wave_drag: float
    hump_drag: float
    froude: float
    drift_ahead: tuple[float, float, float]
    drift_abeam: tuple[float, float, float]
    drift_turn: float
    keel_area: float
    keel_centre: float
    keel_lift_slope: float
    rudder_area: float
    rudder_centre: float
    rudder_lift_slope: float
    plate_drag: float
    wind_transverse: float
    wind_ahead: float
    wind_astern: float
    wind_cross: float
    frontal_area: float
    lateral_area: float
    windage_centre: float
    rig_drag: float
    rig_frontal_area: float
    rig_lateral_area: float
    rig_centre: float
    sail_area: float
    sail_centre: float


def hull(boat: Boat) -> Hull:
    """The boat's own place where quantities become floats."""
    value = {name: si(getattr(boat, name)) for name in Boat.quantities()}
    waterline, canoe = value["waterline"], value["canoe_draught"]
    mass, hulls = value["displacement"], boat.hulls
    volume = mass / SEA_WATER
    span = max(value["draught"] - canoe, 0.05)
    keel, rudder = value["keel_area"], value["rudder_area"]
    sway, yaw = _strip_added_mass(waterline, canoe, hulls)
    keel_mass = hulls * _plate_added_mass(keel / hulls, span)
    rudder_mass = hulls * _plate_added_mass(rudder / hulls, span)
    coefficients = pick("windage", vessel=boat.windage)
    breadth = value["waterline_beam"]
    drag = resistance(waterline, breadth, canoe, volume / hulls, hulls, keel + rudder)
    push = wave_push(waterline, breadth, hulls)
    place, areas = lateral_strips(waterline, canoe)
    crossflow = hulls * crossflow_coefficient(breadth / (2 * canoe))
    return Hull(
        mass=mass,
        yaw_inertia=mass * (_YAW_GYRADIUS * value["length"]) ** 2,
        added_surge=mass * _surge_share(waterline, volume / hulls),
        added_sway=sway + keel_mass + rudder_mass,
        added_sway_yaw=keel_mass * value["keel_centre"] + rudder_mass * value["rudder_centre"],
        added_yaw=yaw + keel_mass * value["keel_centre"] ** 2 + rudder_mass * value["rudder_centre"] ** 2,
        length=value["length"],
        roller=value["roller"],
        strip_place=place,
        strip_drag=tuple(crossflow * area for area in areas),
        surge_drag=drag.ahead,
        astern_drag=drag.astern,
        wave_drag=drag.wave,
        hump_drag=drag.hump,
        froude=1 / (GRAVITY * waterline),
        drift_ahead=push.ahead,
        drift_abeam=push.abeam,
        drift_turn=push.turn,
        keel_area=keel,
        keel_centre=value["keel_centre"],
        keel_lift_slope=plate_lift_slope(keel / hulls, span),
        rudder_area=rudder,
        rudder_centre=value["rudder_centre"],
        rudder_lift_slope=plate_lift_slope(rudder / hulls, span),
        plate_drag=pick("drag", body="flat plate")["coefficient"],
        wind_transverse=coefficients["transverse"],
        wind_ahead=coefficients["longitudinal ahead"],
        wind_astern=coefficients["longitudinal astern"],
        wind_cross=coefficients["cross-force"],
        frontal_area=value["frontal_area"],
        lateral_area=value["lateral_area"],
        windage_centre=value["windage_centre"],
        rig_drag=pick("drag", body="mast and stays")["coefficient"],
        rig_frontal_area=value["rig_frontal_area"],
        rig_lateral_area=value["rig_lateral_area"],
        rig_centre=value["rig_centre"],
        sail_area=value["riding_sail"],
        sail_centre=_RIDING_SAIL_CENTRE * value["length"],
    )


def _surge_share(waterline: float, volume: float) -> float:
    """Added mass in surge as a share of a hull's mass: Söding (1982), kept within 0.02 to 0.15."""
    share = math.pi * math.sqrt(waterline**3 / volume) - 14
    return min(max(1 / share, 0.02), 0.15) if share > 0 else 0.15


def _strip_added_mass(waterline: float, draught: float, hulls: int) -> tuple[float, float]:
    """Sway (kg) and yaw (kg m²) added mass of strips with sections that are half ellipses, ½πρT² each.

    The draught falls from amidships to the ends as √(1 − ξ²), ξ from −1 to 1 along the waterline.
    """
    section = hulls * 0.5 * math.pi * SEA_WATER * draught**2
    half = waterline / 2
    return section * half * 4 / 3, section * half**3 * 4 / 15


def lateral_strips(waterline: float, draught: float) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Places (m from amidships) and lateral areas (m²) of strips along the waterline.

    The draught falls from amidships to the ends as √(1 − ξ²), ξ from −1 to 1.  The strips are
    the nodes of the Gauss-Chebyshev rule of the second kind, whose weight is that very draught.
    """
    angles = [math.pi * k / (_STRIPS + 1) for k in range(1, _STRIPS + 1)]
    share = math.pi / (_STRIPS + 1) * draught * waterline / 2
    return tuple(waterline / 2 * math.cos(a) for a in angles), tuple(share * math.sin(a) ** 2 for a in angles)


def _plate_added_mass(area: float, span: float) -> float:
    """Added mass (kg) of a plate under the hull, mirrored in it: ρ(π/4)c²s/√(1 + (c/2s)²), c the chord.

    The form runs from the two-dimensional plate, c ≪ s, to the slender one, c ≫ s.
    """
    chord = area / span
    return SEA_WATER * math.pi / 4 * chord**2 * span / math.sqrt(1 + (chord / (2 * span)) ** 2)


def plate_lift_slope(area: float, span: float) -> float:
    """Slope of the normal force of a plate under the hull, per radian: Helmbold's wing, mirrored in the hull.

    2πA/(2 + √(A² + 4)), A = 2 span²/area: from πA/2 of the slender wing to 2π of the long one, which is also
    taken where there is no area.
    """
    slenderness = area / (2 * span**2)  # 1/A
    return 2 * math.pi / (2 * slenderness + math.hypot(1, 2 * slenderness))


def crossflow_coefficient(ratio: float) -> float:
    """Cross-flow drag of a section by its beam over twice its draught: Hoerner's curve, flat beyond it."""
    return float(np.interp(ratio, *_crossflow()))


@functools.cache
def _crossflow() -> tuple[list[float], list[float]]:
    rows = table("crossflow")
    return [row["beam over twice draught"] for row in rows], [row["coefficient"] for row in rows]
