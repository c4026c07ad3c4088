"""What the package makes of the cases whose answers are published, for ``published``.

One function for each family of checks in ``data/published_checks.csv``.  It takes the words that follow the
family's name in a check's id and gives our value as a plain float in the unit of the printed one.  To add a
check: a row in the table, and a function here if no family has it yet.

``CALCULATED`` are worked through by the package.  ``LOOKED_UP`` are read back from its tables, some through
what is calculated from them, which shows that they are typed, converted and taken as printed, and no more.
"""

from __future__ import annotations

import functools
import math
from collections.abc import Callable, Mapping
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from anchorsim.core.tables import pick
from anchorsim.core.units import GRAVITY, parse, quantity, si
from anchorsim.dynamics.hull_loads import air_load
from anchorsim.environment import sea_state, turbulence
from anchorsim.environment.tide import tide_curve
from anchorsim.mooring.statics import Line, LineState, Segment, solve
from anchorsim.numerics import sobol
from anchorsim.numerics.estimates import chance
from anchorsim.numerics.geodesy import to_local
from anchorsim.scenario import tackle
from anchorsim.scenario.fittings import StrongPoint
from anchorsim.scenario.site import ground, navy_holding, uplift_table
from anchorsim.scenario.tackle import Chain
from anchorsim.scenario.vessel import Boat, Hull, crossflow_coefficient, hull
from anchorsim.strength.components import bolts_break, iso_strong_point
from anchorsim.survey.suitability import code_anchor

Family = Callable[..., float]
Floats = NDArray[np.float64]

_RIGID = 1e15  # N: EA of a line that does not stretch
_WORKED_GRAVITY = 9.81  # m/s², as whoever worked the examples of waves had it
_WORKED_AIR = 1.224, 20.0  # kg/m³ and m/s of the worked wind forces


# --- The rode at rest ---------------------------------------------------------------------------------------


def _just_lifted(asked: str) -> float:
    weight, rise, pull = 828.0, 25.0, 1489.30e3
    if asked == "load at the bow":
        line = [Segment(length=300.93, weight=weight, stiffness=_RIGID)]
        return solve(segments=line, rise=rise, horizontal_load=pull).si.load_at_bow / 1000
    longer = [Segment(length=320.0, weight=weight, stiffness=_RIGID)]
    state = solve(segments=longer, rise=rise, horizontal_load=1510e3 - weight * rise).si
    off_bottom = {"length": 320.0 - state.length_on_bottom, "span": state.distance - state.length_on_bottom}
    return off_bottom[asked]


def _hywind(case: str, asked: str) -> float:
    length, weight, stiffness = 902.2, 698.094, 384.243e6
    line = (Segment(length=length, weight=weight, stiffness=stiffness),)
    if case == "at rest":
        return _of_state(Line(line, 250.0).solve_at_distance(848.67), asked, 1.0)
    rise, share, friction = {"suspended": (407.86864, 1.1, 0.0), "lying": (336.93205, 0.9, 0.1)}[case]
    pull = share * weight * length
    state = solve(segments=line, rise=rise, horizontal_load=pull, friction=friction)
    return _of_state(state, asked, weight * length)


def _of_state(state: LineState, asked: str, weight: float) -> float:
    found = {
        "distance": state.si.distance,
        "horizontal load": state.si.horizontal_load,
        "vertical load": state.si.vertical_load_at_bow / weight,
        "load at the bow": state.si.load_at_bow,
        "length lying": state.si.length_on_bottom,
    }
    return found[asked]


# --- Wind and water on the hull -----------------------------------------------------------------------------


def _worked_hull(vessel: str) -> Hull:
    """The boat of the worked wind forces: A_F 10, A_L 25 m², L 12 m, s_L 0, no rig."""
    worked = {"length": "12 m", "frontal_area": "10 m²", "lateral_area": "25 m²", "windage": vessel}
    made = hull(Boat.model_validate({"model": "motor-cruiser-11", **worked}))
    return made._replace(windage_centre=0.0, rig_frontal_area=0.0, rig_lateral_area=0.0, sail_area=0.0)


def _push(vessel: str, angle: float) -> tuple[float, float, float]:
    """Force ahead, to starboard and moment of wind from ``angle`` (rad) off the port bow."""
    density, speed = _WORKED_AIR
    along, across = -speed * math.cos(angle), speed * math.sin(angle)
    x, y, n = air_load(_worked_hull(vessel), along, across, density)
    return float(x), float(y), float(n)


def _wind_force(degrees: str, asked: str) -> float:
    return _push("speed boat", math.radians(float(degrees)))[("X", "Y", "N").index(asked)]


def _windage(vessel: str, coefficient: str) -> float:
    """A coefficient of Blendermann's out of the forces themselves."""
    pressure = 0.5 * _WORKED_AIR[0] * _WORKED_AIR[1] ** 2
    ahead = -_push(vessel, 0.0)[0] / (pressure * 10.0)
    transverse = _push(vessel, 0.5 * math.pi)[1] / (pressure * 25.0)
    if coefficient == "cross-force":
        divisor = ahead * math.cos(math.pi / 4) * pressure * 10.0 / -_push(vessel, math.pi / 4)[0]
        return 2.0 * (1.0 - divisor) / (1.0 - ahead * 10.0 / (transverse * 25.0))
    astern = _push(vessel, math.pi)[0] / (pressure * 10.0)
    return {"ahead": ahead, "astern": astern, "transverse": transverse}[coefficient]


def _wind_centre() -> float:
    _, side, moment = _push("speed boat", 1e-6)
    return moment / side / 12.0


def _surge(waterline: str, canoe_draught: str, displacement: str) -> float:
    box = {"waterline_beam": "4 m", "beam": "5 m", "draught": "2 m", "canoe_draught": canoe_draught}
    body = hull(Boat.model_validate({**box, "waterline": waterline, "displacement": displacement}))
    return body.added_surge / body.mass


# --- Wind and waves -----------------------------------------------------------------------------------------


def _froya(hour: str, height: str, averaging: str) -> float:
    return float(turbulence.froya_wind(float(hour), float(height), float(averaging)))


def _growth(law: str, wind: str, fetch: str, depth: str, asked: str) -> float:
    """Growth with the gravity of the worked example: both laws know g only in gF/U², gD/U² and gH/U²."""
    scale = _WORKED_GRAVITY / GRAVITY
    if law == "JONSWAP":
        height, period = sea_state.jonswap_growth(float(wind), float(fetch) * scale)
    else:
        height, period = sea_state.growth(float(wind), float(fetch) * scale, float(depth) * scale)
    return (height if asked == "height" else period) / scale


# --- Holding ------------------------------------------------------------------------------------------------


def _uplift(degrees: str) -> float:
    angles, shares = uplift_table().T
    return float(np.interp(math.radians(float(degrees)), angles, shares))


def _bottom(name: str) -> float:
    return ground("plough", 20.0, name).holding / ground("plough", 20.0, "firm sand").holding


# --- Chain, rope and fittings -------------------------------------------------------------------------------


def _pounds(newtons: float) -> float:
    return newtons / si(parse("1 lbf"))


def _chain(size: str, grade: str) -> Chain:
    return Chain.model_validate({"size": size, "grade": int(grade)})


def _lightest_grade(size: str) -> Chain:
    return _chain(size, "30")


def _in_water(size: str) -> float:
    chain = _lightest_grade(size)
    return chain.weight() / chain.weight_in_air()


def _rope_mass(size: str) -> float:
    """Mass of three-strand nylon in lb for 100 ft, from its weight in air."""
    row = tackle.rope_row("three-strand nylon", parse(size))
    mass = tackle.rope_weight("three-strand nylon", row)[1] / GRAVITY
    return mass * 100 * si(parse("1 ft")) / si(parse("1 lb"))


def _rope_break(construction: str, size: str) -> float:
    return float(tackle.rope_row(construction, parse(size))["break"])


def _wet_loss(construction: str) -> float:
    row = tackle.rope_row(construction, parse("14 mm"))
    return 100 * (1 - tackle.wet_break(construction, row) / float(row["break"]))


def _secant(construction: str) -> float:
    """Load over strain at break, in breaking loads."""
    load, strain, _ = tackle.stretch(construction)
    return load[-1] / strain[-1]


def _strong_point(length: str, waterline: str, design: str) -> float:
    return iso_strong_point(float(length), float(waterline), design) / 1000


def _bolts(size: str, count: str) -> float:
    point = StrongPoint(bolts=int(count), bolt_size=parse(size))
    return bolts_break(point) / 1000


def _swivel(size: str, asked: str) -> float:
    row = pick("swivels", size=size)
    return _pounds(row["working load"] * (row["break factor"] if asked == "break" else 1.0))


def _shackle(grade: str, size: str, asked: str) -> float:
    row = pick("shackles", grade=grade, size=size)
    inches, tons = row["pin"] / si(parse("1 in")), _pounds(row["working load"]) / 2000
    return float(inches) if asked == "pin" else float(tons)


def _knot(knot: str, end: str) -> float:
    if knot == "eye splice":
        return float(pick("rope_joins", join="thimble and shackle")[end])
    return float(pick("knots", knot=knot)[end])


def _wear(standard: str, size: str) -> float:
    row = pick("chain_wear", standard=standard, size=size)
    return float(row.get("least diameter", row.get("greatest wear"))) / si(parse("1 in"))


def _zinc_loss(place: str, end: str) -> float:
    return float(pick("zinc_loss", place=place)[f"loss {end}"]) * si(quantity(1.0, "year")) * 1e6


def _code(length: str, asked: str) -> float:
    anchor, chain, rope = code_anchor(float(length))
    return {"anchor": anchor, "chain": chain * 1000, "rope": rope * 1000}[asked]


# --- Places, chances, tides ---------------------------------------------------------------------------------

_LINES = {
    "Flinders Peak to Buninyong": (
        (-37 - 57 / 60 - 3.72030 / 3600, 144 + 25 / 60 + 29.52440 / 3600),
        (-37 - 39 / 60 - 10.15610 / 3600, 143 + 55 / 60 + 35.38390 / 3600),
    ),
    "New York to London": ((40.6, -73.8), (51.6, -0.5)),
    "minute at the equator": ((0.0, 0.0), (1 / 60, 0.0)),
    "minute at the pole": ((90 - 1 / 60, 0.0), (90.0, 0.0)),
}


def _geodesic(name: str, asked: str) -> float:
    origin, place = _LINES[name]
    north, east = to_local(place, origin)
    return math.hypot(north, east) if asked == "length" else math.degrees(math.atan2(east, north)) % 360


def _wilson(happened: str, of: str, end: str) -> float:
    band = chance([True] * int(happened) + [False] * (int(of) - int(happened)))
    return band.low if end == "low" else band.high


@functools.cache
def _ishigami_indices() -> tuple[tuple[float, ...], tuple[float, ...]]:
    """First-order and total indices of Ishigami & Homma's function, a 7 and b 0.1, from 16 384 samples."""

    def function(shares: Floats) -> Floats:
        one, two, three = np.pi * (2.0 * shares.T - 1.0)
        return np.asarray((np.sin(one) + 7.0 * np.sin(two) ** 2 + 0.1 * three**4 * np.sin(one))[None])

    _, [(first, total)] = sobol.indices(function, 3, 16384)
    return tuple(entry.likely for entry in first), tuple(entry.likely for entry in total)


def _ishigami(index: str, variable: str) -> float:
    first, total = _ishigami_indices()
    return (first if index == "first" else total)[int(variable) - 1]


def _twelfths(hours: str) -> float:
    """Twelfths risen after some of six hours; the range is 12 m, so that a twelfth is a metre."""
    curve = tide_curve([("06:00", "0.0 m"), ("12:00", "12.0 m")])
    return float(curve.si.at(3600.0 * (6 + int(hours))))


# --- All of them --------------------------------------------------------------------------------------------

CALCULATED: Mapping[str, Family] = MappingProxyType({
    "just lifted": _just_lifted,
    "OC3-Hywind line": _hywind,
    "wind force": _wind_force,
    "wind centre": _wind_centre,
    "added mass in surge": _surge,
    "Frøya intensity": lambda hour, height: float(turbulence.froya_intensity(float(hour), float(height))),
    "Frøya wind": _froya,
    "Kaimal density": lambda *case: float(turbulence.kaimal(*map(float, case))),
    "wave growth": _growth,
    "Navy holding": lambda kind, bottom, mass: navy_holding(kind, bottom, float(mass)) / 1000,
    "chain stiffness": lambda size: _lightest_grade(size).stiffness() / 1e6,
    "chain in water": _in_water,
    "secant stiffness": _secant,
    "strong point": _strong_point,
    "bolts in shear": _bolts,
    "geodesic": _geodesic,
    "Wilson band": _wilson,
    "Ishigami index": _ishigami,
    "twelfths": _twelfths,
})  # fmt: skip

LOOKED_UP: Mapping[str, Family] = MappingProxyType({
    "windage": _windage,
    "cross-flow drag": lambda ratio: crossflow_coefficient(float(ratio)),
    "turbulence length": lambda component: turbulence.LENGTHS[("along", "across").index(component)],
    "turbulence ratio": lambda: turbulence.ACROSS,
    "holding left": _uplift,
    "holding in": _bottom,
    "chain mass": lambda size: _lightest_grade(size).weight_in_air() / GRAVITY,
    "chain break": lambda size, grade: _chain(size, grade).row()["break"] / 1000,
    "chain working load": lambda size, grade: _pounds(_chain(size, grade).row()["working load"]),
    "rope mass": _rope_mass,
    "rope break, lbf": lambda construction, size: _pounds(_rope_break(construction, size)),
    "rope break, kN": lambda construction, size: _rope_break(construction, size) / 1000,
    "rope break, kip": lambda construction, size: _pounds(_rope_break(construction, size)) / 1000,
    "rope wet": _wet_loss,
    "shackle": _shackle,
    "swivel": _swivel,
    "knot": _knot,
    "bolt area": lambda size: pick("bolts", size=size)["stress area"] * 1e6,
    "bolt steel": lambda size: pick("bolts", size=size)["tensile strength"] / 1e6,
    "wear": _wear,
    "new zinc": lambda steel: pick("zinc_new", steel=steel)["coating"] * 1e6,
    "zinc lost": _zinc_loss,
    "small vessel code": _code,
    "unit": lambda text: si(parse(text)),
})  # fmt: skip
