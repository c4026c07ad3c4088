"""From the scenario to the rode as it is laid out: how much of what, in segments from anchor to bow."""

from __future__ import annotations

import math
from dataclasses import dataclass

from anchorsim.core.tables import pick
from anchorsim.core.units import si
from anchorsim.mooring.statics import Line, LoadElongation, Segment
from anchorsim.scenario import tackle
from anchorsim.scenario.recorded_wind import record_of
from anchorsim.scenario.scenario import Scenario, ScenarioError
from anchorsim.scenario.site import friction

_LEAST_CHAIN = 0.5  # m of chain that stay between anchor and the snubber's hook
ANOTHER_SLOPE = math.radians(2.0)  # by which the slope along the pull must change to matter (judgement)
_LEAST_SNUBBER = 0.3  # m: less can hardly be made fast at both ends (judgement)


@dataclass(frozen=True, kw_only=True)
class Rode(Line):
    """The rode as laid out, plain SI floats: a line, and what it is of.

    ``slope`` is that towards her at its least in hard wind; ``rises`` is how much the bottom rises for each
    metre to the north and to the east.  ``chain``, ``rope`` and ``snubber`` are metres let out of each (the
    snubber takes the place of as much chain); ``spread`` is how far a bridle's strong points are apart, 0
    without one.
    """

    depth: float
    chain: float
    rope: float
    snubber: float
    spread: float
    rises: tuple[float, float] = (0.0, 0.0)

    def bed(self, distance: float) -> float:
        """Height (m) of the bottom above the water, so below 0, at a distance (m) from the anchor."""
        return distance * math.tan(self.slope) - self.depth


def assemble(scenario: Scenario) -> Rode:
    """The rode of a scenario: chain first, then rope; a snubber only where chain comes to the bow.

    The slack loop of chain behind a snubber is taken to be aboard besides what is let out.  Raises
    ScenarioError or WindRecordError where the bottom slopes and a recorded wind cannot be read, or brings the
    bottom up to the roller.
    """
    gear, paid_out = scenario.tackle, scenario.paid_out
    chain = min(si(gear.chain.length), paid_out)
    rope = paid_out - chain
    snubber = min(si(gear.snubber.length), chain - _LEAST_CHAIN) if rope < 1e-9 else 0.0
    snubber = snubber if snubber >= _LEAST_SNUBBER else 0.0
    segments = [_chain(gear.chain, chain - snubber)] if chain - snubber > 0 else []
    if rope >= 1e-9:
        segments.append(_rope(gear.rope, rope))
    if snubber > 0:
        segments.append(_snubber(gear, snubber))
    spread = si(scenario.boat.bridle_spread) if snubber > 0 and gear.snubber.legs == 2 else 0.0
    return Rode(
        segments=tuple(segments),
        rise=scenario.height,
        depth=scenario.water_depth,
        friction=friction(scenario.spot.bottom),
        chain=chain - snubber,
        rope=rope,
        snubber=snubber,
        spread=spread,
        slope=_slope(scenario),
        rises=scenario.spot.rises(),
    )


def slopes(scenario: Scenario) -> list[float]:
    """Slopes of the bottom (rad) from the anchor to where the boat may lie, a recorded wind's too."""
    return scenario.slopes(record_of(scenario) if si(scenario.spot.slope) else None)


def _slope(scenario: Scenario) -> float:
    """That at which the bottom falls most, or rises least: the pull lifts the anchor most there."""
    slope = min(slopes(scenario))
    if scenario.record_path is not None and (problems := scenario.shelving(slope)):
        raise ScenarioError(problems)
    return slope


def _drag(line: str, diameter: float) -> tuple[float, float]:
    """Drag coefficient times diameter, across and along (m)."""
    row = pick("line_drag", line=line)
    return float(row["across"]) * diameter, float(row["along"]) * diameter


def _chain(chain: tackle.Chain, length: float) -> Segment:
    across, along = _drag("chain", chain.row()["diameter"])
    return Segment(
        length=length,
        weight=chain.weight(),
        weight_in_air=chain.weight_in_air(),
        stiffness=chain.stiffness(),
        drag_across=across,
        drag_along=along,
    )


def _law(construction: str, mbl: float, left: float) -> LoadElongation:
    """How it stretches; ``left`` is the share of its stretch that age and damage have left it."""
    load, strain, loss = tackle.stretch(construction)
    loads = tuple(share * mbl for share in load)
    return LoadElongation(load=loads, strain=tuple(left * share for share in strain), loss=loss)


def _rope(rope: tackle.Rope, length: float) -> Segment:
    row = rope.row()
    weight, in_air = tackle.rope_weight(rope.construction, row)
    law = _law(rope.construction, tackle.wet_break(rope.construction, row), rope.stretch)
    across, along = _drag("rope", row["diameter"])
    return Segment(
        length=length, weight=weight, weight_in_air=in_air, law=law, drag_across=across, drag_along=along
    )


def _snubber(gear: tackle.Tackle, length: float) -> Segment:
    """The snubber's legs side by side, with weight and drag of the chain that hangs behind them in a loop."""
    snubber, row = gear.snubber, gear.snubber.row()
    loop = (length + si(snubber.slack)) / length
    weight, in_air = (snubber.legs * w for w in tackle.rope_weight(snubber.rope, row))
    drag = zip(_drag("rope", row["diameter"]), _drag("chain", gear.chain.row()["diameter"]), strict=True)
    across, along = (snubber.legs * rope + loop * chain for rope, chain in drag)
    return Segment(
        length=length,
        weight=weight + loop * gear.chain.weight(),
        weight_in_air=in_air + loop * gear.chain.weight_in_air(),
        law=_law(snubber.rope, snubber.legs * tackle.wet_break(snubber.rope, row), snubber.stretch),
        slack=si(snubber.slack),
        backup_stiffness=gear.chain.stiffness(),
        drag_across=across,
        drag_along=along,
    )
