"""How a figure comes about: its formula in words, the values that went in, and where they are from."""

from __future__ import annotations

from anchorsim.core.tables import pick
from anchorsim.core.units import System, si
from anchorsim.dynamics.anchor_travel import DRAGS_FROM
from anchorsim.mooring.rode import assemble
from anchorsim.risk.assessment import Assessment
from anchorsim.risk.outcome import LIMIT
from anchorsim.scenario.scenario import Scenario
from anchorsim.scenario.site import ground
from anchorsim.strength.capacity import PartState
from anchorsim.wording import amounts
from anchorsim.wording.assessment import fails, spell_of
from anchorsim.wording.terms import local

_OF_MASS = 20.0  # kg, of an anchor that holds as the table has it (``site.ground``)
_DRAWN = (
    "Each spell has its own gusts. Holding, windage and drag of the rode are drawn from their ranges "
    "(Halton sequence, 1960)."
)


def ranged(found: Assessment) -> str:
    """What the figure and its range are."""
    if found.peak_load.kind == "lowest and highest":
        return f"Median, lowest and highest of {len(found)} spells so far."
    return f"Median of {len(found)} spells; 1 spell in 20 is lower, 1 in 20 higher."


def of_load(found: Assessment, system: System) -> tuple[str, ...]:
    """Of the peak load at the bow."""
    return (
        f"Peak load at the bow in each spell. {ranged(found)}",
        f"{_blows(found.scenario, system)} {_rode(found.scenario, system)}",
        "Wind load: half the density of air, times wind speed squared, area and coefficient "
        "(hull and house: Blendermann 1994).",
        "The boat and her rode in the water are moved step by step through gusts of the IEC 61400-1 spectrum. "
        "Drag of chain: DNV-OS-E301.",
    )


def of_holding(found: Assessment, system: System) -> tuple[str, ...]:
    """Of the share of the anchor's holding."""
    anchor, bottom = found.scenario.tackle.anchor, found.scenario.spot.bottom
    holds = ground(anchor.type, si(anchor.mass), bottom).holding
    ratio, small = pick("anchors", type=anchor.type), amounts.mass(_OF_MASS, system)
    weighs = amounts.upper(amounts.with_article(amounts.mass(si(anchor.mass), system)))
    return (
        f"Load at the anchor over what it holds at that uplift. {ranged(found)}",
        f"{weighs} {anchor.type} in {bottom} holds about {amounts.force(holds, system)} without uplift. "
        f"Peak uplift {amounts.angle(found.uplift.likely)}: 5° takes a quarter (Danton).",
        f"Holding: {ratio['holding low']:g} to {ratio['holding high']:g} times the weight of one of {small} in firm sand "
        f"({ratio.kind}), then by size and bottom. It varies widely from one set to the next.",
        "An anchor that moves carries no more load, so the share ends at 100 %.",
    )


def of_radius(found: Assessment, system: System) -> tuple[str, ...]:
    """Of the swinging radius."""
    length = amounts.length(si(found.scenario.boat.length), system)
    return (
        f"From where the anchor was set to the boat's farthest end. {ranged(found)}",
        f"{_rode(found.scenario, system)} Boat {length}. A rode that lies in a curve reaches less far.",
        "It grows where the anchor moves. Add a margin for dragging and for your fix of the anchor.",
    )


def of_part(part: PartState, found: Assessment, system: System) -> tuple[str, ...]:
    """Of a part's load."""
    name, row = amounts.lower(part.name), part.as_new
    left, new = (amounts.force(load, system) for load in (part.wll.likely, row.wll.likely))
    return (
        f"Peak load on the part over its WLL. {ranged(found)}",
        f"The {name} carries {amounts.span(part.load, system)}. Its WLL is {left}{'' if left == new else f' as found, {new} new'}.",
        f"Source of the WLL: {row.source}.",
    )


def of_stretch(found: Assessment, stretch: str) -> tuple[str, ...]:
    """Of the chance over a stretch."""
    return (
        f"Failing: {fails(found)}. It dragged where the anchor moved {DRAGS_FROM:g} m or more.",
        f"Counted in {len(found)} simulated {spell_of(found)}s. {_DRAWN}",
        f"Over {amounts.lasting(stretch)} the holding, windage and drag stay, the gusts are new in each spell, and creep adds up.",
        "How near each spell came to failing says how much each decides. Checked against runs of six hours.",
    )


def of_winds(found: Assessment, spells: int, system: System) -> tuple[str, ...]:
    """Of the limits of wind."""
    return (
        f"The mean wind is raised and lowered, gusts in proportion, in the same {spells} spells.",
        f"Each spell fails from some wind on: {fails(found)}. {_blows(found.scenario, system)}",
        f"{_rode(found.scenario, system)} Per {spell_of(found)}, not per night. In brackets: 95 % confidence.",
        "A mark that few spells reach is extrapolated from the rest (smoothed after Buckley & James 1979).",
    )


def of_parts(found: Assessment) -> tuple[str, ...]:
    """Of the loads in a bad spell."""
    return (
        f"Peak load over WLL that 1 spell in 20 of {len(found)} exceeds. In brackets: 95 % confidence.",
        "Parts at the bow carry the load at the bow, those below it the load at the anchor.",
        "WLL and breaking loads: published tables, less what the survey found.",
    )


def of_clearances(found: Assessment) -> tuple[str, ...]:
    """Of how she clears what lies round her."""
    return (
        f"Least distance from any part of the boat in each of {len(found)} spells; 1 in 20 is nearer.",
        "Shoals are met at low water. A neighbour swings to her own rode in the same wind.",
        "Bearings and distances are from where the anchor was set. They are no better than chart and fix.",
    )


def of_change(count: int) -> tuple[str, ...]:
    """Of what a change does."""
    return (
        f"Each change is simulated in the same {count} spells: same gusts, same drawn holding and windage.",
        f"Left out: what takes her out of her room, or makes gear likelier to break beyond {100 * LIMIT:.0f} in 100.",
        f"Thin lines: 95 % confidence of {count} spells.",
    )


def of_matters(spells: int) -> tuple[str, ...]:
    """Of what matters most."""
    return (
        "Share of the scatter that would be left if all but this were known (total Sobol index). "
        "Thin lines: 95 % confidence.",
        f"From {spells} spells in which each is drawn from its range.",
    )


def _blows(scenario: Scenario, system: System) -> str:
    weather = scenario.weather
    if weather.record:
        return "Wind of the record."
    wind = amounts.speed(si(weather.mean_wind), system), amounts.speed(si(weather.effective_gust), system)
    return f"Mean wind {wind[0]}, gusts {wind[1]}."


def _rode(scenario: Scenario, system: System) -> str:
    rode = assemble(scenario)
    out, water = (amounts.length(metres, system) for metres in (scenario.paid_out, scenario.water_depth))
    snubber = (
        f"{local('snubber', system)} {amounts.length(rode.snubber, system)}" if rode.snubber else "no snubber"
    )
    return f"{out} of rode out in {water} of water, {snubber}."
