"""What a group of entries holds, in one short line, for where the entries themselves are folded away."""

from __future__ import annotations

from collections.abc import Callable

from anchorsim.core.units import System, si
from anchorsim.scenario.scenario import Scenario
from anchorsim.wording.amounts import angle, bearing, counted, length, mass, open_water, scope, speed


def wind(scenario: Scenario, system: System) -> str:
    """Where it blows from and how hard: ``225°, 20 kn, gusts 28 kn``."""
    weather = scenario.weather
    if weather.record is not None:
        return "from a record"
    mean, gust = (speed(si(each), system) for each in (weather.mean_wind, weather.effective_gust))
    return f"{bearing(si(weather.direction))}, {mean}, gusts {gust}"


def rode(scenario: Scenario, system: System) -> str:
    """How much is out: ``37 m out, 5:1``."""
    return f"{length(scenario.paid_out, system)} out, {scope(scenario.scope_achieved)}"


def anchor(scenario: Scenario, system: System) -> str:
    """Its weight and type: ``20 kg concave scoop``."""
    return f"{mass(si(scenario.tackle.anchor.mass), system)} {scenario.tackle.anchor.type}"


def spot(scenario: Scenario, system: System) -> str:
    """Water and bottom: ``6.0 m, firm sand``."""
    slope = si(scenario.spot.slope)
    shelving = f", sloping {angle(slope)}" if slope else ""
    return f"{length(scenario.water_depth, system)}, {scenario.spot.bottom}{shelving}"


def sea(scenario: Scenario, system: System) -> str:
    """Waves and stream: ``waves 0.6 m, stream 1 kn``."""
    height = scenario.weather.wave_height
    fetch = scenario.spot.fetch(si(scenario.weather.direction))
    waves = f"waves {length(si(height), system)}" if height is not None and si(height) else "no waves"
    if waves == "no waves" and fetch:
        waves = f"open water {open_water(fetch, system)}"
    current = si(scenario.spot.current)
    return f"{waves}, stream {speed(current, system)}" if current else waves


def boat(scenario: Scenario, system: System) -> str:
    """Her model and length: ``sloop-12, 12 m``."""
    return f"{scenario.boat.model}, {length(si(scenario.boat.length), system)}"


def around(scenario: Scenario, system: System) -> str:
    """What lies round her: ``1 danger, 2 neighbours``."""
    found = scenario.surroundings
    met = [
        counted(len(things), one, f"{one}s")
        for things, one in ((found.dangers, "danger"), (found.neighbours, "neighbour"))
        if things
    ]
    return ", ".join(met) or "nothing given"


HEADLINES: dict[str, Callable[[Scenario, System], str]] = {
    "Wind": wind,
    "Rode": rode,
    "Anchor": anchor,
    "Spot": spot,
    "Sea": sea,
    "Boat": boat,
    "Round her": around,
}
