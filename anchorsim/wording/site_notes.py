"""Notes on a set-up: how the rode lies that the scope needs, and how far the holding can be trusted."""

from __future__ import annotations

import math

from anchorsim.core.units import System, quantity, show, si
from anchorsim.mooring.rode import ANOTHER_SLOPE, Rode, assemble, slopes
from anchorsim.scenario.scenario import Scenario
from anchorsim.scenario.site import HOLDING_MASSES, holding_range, navy_disagrees, relative_holding
from anchorsim.strength.assumed import assumed
from anchorsim.wording import amounts
from anchorsim.wording.terms import local


def short_of_rode(scenario: Scenario, system: System = "metric") -> str | None:
    """That less rode is aboard than the scope needs, or None."""
    scope, needed = scenario.tackle.scope, scenario.tackle.scope * scenario.height
    if needed <= scenario.rode_aboard * (1 + 1e-9):
        return None
    return (
        f"Scope {scope:.3g}:1 needs {_metres(needed, system)} of rode here; "
        f"{_metres(scenario.rode_aboard, system)} is aboard. "
        f"Calculated with all of it out, {scenario.scope_achieved:.2g}:1."
    )


def assumed_note(scenario: Scenario, system: System = "metric") -> str | None:
    """The sizes of fittings that nobody recorded, as they are assumed; None where all were.

    >>> assumed_note(Scenario())
    'Assumed, for no size was recorded: anchor shackle 8 mm, radius of the lead 40 mm, strong point 43 kN (MBL).'
    """
    sizes = [
        f"{part.fitting} {show(part.amount, 'mm', system, 2)}"
        if part.fitting != "strong point"
        else f"strong point {show(part.amount, 'kN', system, 2)} (MBL)"
        for part in assumed(scenario)
    ]
    return local(f"Assumed, for no size was recorded: {', '.join(sizes)}.", system) if sizes else None


def rode_notes(scenario: Scenario, system: System = "metric") -> list[str]:
    """What of the snubber is used, and whether the bottom under the rode changes as the boat swings."""
    rode = assemble(scenario)
    return _snubber_notes(scenario, rode, system) + _slope_notes(scenario, rode)


def _snubber_notes(scenario: Scenario, rode: Rode, system: System) -> list[str]:
    wanted = si(scenario.tackle.snubber.length)
    if wanted > 0 and rode.rope > 0:
        return ["The snubber is not used: the rode at the bow is rope."]
    if wanted > 0 and rode.snubber == 0:
        return ["The snubber is not used: it is too short to rig."]
    notes = []
    if wanted > rode.snubber + 1e-9:
        used = _metres(rode.snubber, system)
        notes.append(f"Only {used} of the snubber is used: there is too little chain outside the roller.")
    if rode.spread > 2 * rode.snubber:
        apart = _metres(rode.spread, system)
        notes.append(
            f"The bridle legs are too short to meet: the strong points are {apart} apart. Lengthen each leg."
        )
    return notes


def _slope_notes(scenario: Scenario, rode: Rode) -> list[str]:
    steepest = max(slopes(scenario))
    if steepest - rode.slope < ANOTHER_SLOPE:
        return []
    worst = _inclined(rode.slope)
    return [
        f"As the boat swings, the bottom under the rode changes from {worst} to {_inclined(steepest)}. "
        f"The worst case, {worst}, is shown."
    ]


def _inclined(slope: float) -> str:
    degrees = round(math.degrees(slope))
    return f"{'rising' if degrees > 0 else 'falling'} by {abs(degrees)}°" if degrees else "level"


def holding_notes(anchor_type: str, mass: float, bottom: str, system: System = "metric") -> list[str]:
    """How far the holding of an anchor of ``mass`` kg in a bottom can be trusted."""
    notes = []
    low, high = HOLDING_MASSES
    if not low <= mass <= high:
        ends = f"{_number(amounts.mass(low, system))} to {amounts.mass(high, system)}"
        notes.append(
            f"NOTICE Published small-craft holding covers anchors of {ends}. "
            f"For {amounts.mass(mass, system)} it is extrapolated: allow a wide margin."
        )
    relative, kind = relative_holding(anchor_type, bottom)
    if relative == 0:
        notes.append(
            "WARNING Do not count on holding over rock. The anchor holds only where it catches, and it can "
            "break out or jam as the boat swings."
        )
    elif kind == "judgement":
        notes.append(f"Holding in {bottom} is our estimate: no figure is published.")
    return notes + _navy_note(anchor_type, mass, bottom, system)


def _navy_note(anchor_type: str, mass: float, bottom: str, system: System) -> list[str]:
    other = navy_disagrees(anchor_type, mass, bottom)
    if other is None:
        return []
    low, high = (amounts.force(end, system) for end in holding_range(anchor_type, mass, bottom))
    return [
        f"Published holding for a {local(anchor_type, system)} in {bottom} differs: {_number(low)} to {high} from "
        f"small-craft figures (used here), {amounts.force(other, system)} from a naval rule for far heavier "
        "anchors."
    ]


def _number(amount: str) -> str:
    """Without its unit, which the other end of a range tells."""
    return amount.partition(" ")[0]


def _metres(length: float, system: System) -> str:
    """To three digits: less rode than that is told of."""
    return show(quantity(length, "m"), "m", system)
