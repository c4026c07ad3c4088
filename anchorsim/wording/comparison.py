"""A comparison of set-ups in words: a table, and which of two fails less often."""

from __future__ import annotations

import math

from anchorsim.core.units import System
from anchorsim.numerics.estimates import certain
from anchorsim.numerics.interval import Interval
from anchorsim.risk.comparison import Comparison, Variant
from anchorsim.risk.limits import FEWEST_SPELLS
from anchorsim.wording import limits
from anchorsim.wording.amounts import chance, of_spells, percent, upwards
from anchorsim.wording.assessment import out_of_room


def columns(found: Comparison) -> tuple[str, ...]:
    """The headings of :func:`cells`."""
    return (
        "Set-up",
        "Drags",
        "Fails",
        "Overloaded",
        f"Mean wind at which it drags in {100 * found.chance:g} of 100",
        "Swinging radius",
        "Peak load at the bow",
        "Most loaded part",
    )


def table(found: Comparison, system: System = "metric") -> list[dict[str, str]]:
    """A row for each set-up: what :func:`columns` names, in words."""
    heads = columns(found)
    return [dict(zip(heads, cells(variant, system), strict=True)) for variant in found.variants]


def cells(variant: Variant, system: System = "metric") -> tuple[str, ...]:
    """The row of a set-up, each figure with its 95 % band."""
    found = variant.assessment
    fails = chance(found.chance("failed"))
    if found.count("out of room"):
        fails += f": {out_of_room(found)} in {of_spells(found.chance('out of room'))}"
    part = found.most_loaded
    said = f"{part.name}: {_use(part.use)} of WLL"
    if found.unfit:
        said += f". Do not use: {', '.join(state.name for state in found.unfit)}"
    return (
        variant.name,
        chance(found.chance("dragged")),
        fails,
        chance(found.chance("overloaded")),
        limits.value(variant.limit, system) if variant.limit else no_limit(variant),
        str(upwards(found.bad_radius, system)),
        str(upwards(found.bad_peak_load, system)),
        said,
    )


def no_limit(variant: Variant) -> str:
    """Why there is no wind at which a set-up drags."""
    if variant.scenario.weather.record is not None:
        return "a recorded wind is not raised"
    if variant.scenario.weather.mean_wind.magnitude == 0:
        return "no wind to raise"
    if len(variant.assessment) < FEWEST_SPELLS:
        return f"too few spells: run {FEWEST_SPELLS}"
    return "no limit sought"


def sentence(found: Comparison, first: str, second: str) -> str:
    """Which of two set-ups fails less often, or that so many spells cannot tell."""
    difference = found.difference(first, second)
    better, worse = (first, second) if difference.likely >= 0 else (second, first)
    fails = {name: of_spells(found[name].assessment.chance("failed")) for name in (better, worse)}
    if not certain(difference):
        return (
            f"Too close to call after {found.count} spells: {better} fails in {fails[better]}, {worse} in "
            f"{fails[worse]}."
        )
    return f"{better} fails in {fails[better]}, {worse} in {fails[worse]}: a clear difference."


def _use(found: Interval) -> str:
    low, high = (percent(end).removesuffix(" %") for end in (found.low, found.high))
    return f"{percent(found.likely)} ({low} {f'to {high}' if math.isfinite(found.high) else 'or more'})"
