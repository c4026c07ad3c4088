"""Limits in words: a wind, a scope or a snubber, with its range."""

from __future__ import annotations

from typing import TYPE_CHECKING

from anchorsim.core.units import Measure, System, quantity, show
from anchorsim.scenario.scenario import Scenario
from anchorsim.wording.amounts import upwards

if TYPE_CHECKING:  # a first picture does not wait for the statistics
    from anchorsim.risk.limits import Limit, ScopeLimits


def value(found: Limit, system: System = "metric") -> str:
    """The value with its range, or that it lies outside what was simulated: ``31 kn (30 to 33)``."""
    if found.found is None:
        if found.beyond == "least":
            return f"below {_shown(found, found.si.tried[0], system)}, the lowest simulated"
        return f"above {_shown(found, found.si.tried[1], system)}, the highest simulated"
    low, high = max(found.found.low, found.si.tried[0]), min(found.found.high, found.si.tried[1])
    ends = [_shown(found, end, system).split()[0] for end in (low, high)]
    return f"{_shown(found, found.found.likely, system)} ({ends[0]} to {ends[1]})"


def scopes(found: ScopeLimits, system: System = "metric") -> str:
    """The least scope, the greatest that the room allows, and the swinging radius at the least."""
    drags = f"in {100 * found.least.chance:g} of 100 spells"
    said = [f"The anchor drags {drags} at a scope of {value(found.least, system)}."]
    if found.greatest is not None:
        fits = "" if found.fits else " No scope does both."
        said.append(f"The boat leaves the room {drags} at {value(found.greatest, system)}.{fits}")
    if found.room is not None:
        radius = upwards(found.room, system)
        said.append(f"Swinging radius with that scope: {radius}, more in 5 of 100 spells.")
    return " ".join(said)


def doubt(found: Limit) -> str:
    """That the smoothing did not settle, or that the value rests on it more than on spells; else empty."""
    if found.found is None:
        return ""
    if not found.converged:
        return "approximate: the fit to the spells did not converge"
    return "extrapolated" if found.extrapolated else ""


def _shown(found: Limit, at: float, system: System) -> str:
    measure = Scenario.declaration(found.path)
    if not isinstance(measure, Measure) or not measure.unit:
        return f"{at:.2g}"
    return show(quantity(at, found.si.unit), measure.unit, system, 2)
