"""Any scenario that the declared ranges allow can be sailed through: no number in the result is not one."""

from __future__ import annotations

import math
import os
from collections.abc import Sequence
from typing import Any

import numpy as np
import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from anchorsim.core.model import Thing
from anchorsim.core.tables import Choice, catalogue, table
from anchorsim.core.units import SEA_WATER, Measure, quantity
from anchorsim.dynamics.run import Run, Track
from anchorsim.dynamics.simulation import simulate
from anchorsim.risk.assessment import Assessment
from anchorsim.risk.draws import draw
from anchorsim.risk.monte_carlo import of_runs
from anchorsim.scenario.scenario import Scenario, ScenarioError
from anchorsim.scenario.vessel import _AT_MOST, hull
from anchorsim.strength.capacity import loaded
from anchorsim.wording import assessment as wording

EXAMPLES = int(os.environ.get("RANDOM_SCENARIOS", "400"))  # sailed through; five times as many are built
STOCK = Scenario()
FIXED = {"weather.duration": "1 min"}  # the shortest spell: many scenarios rather than long ones
SIZED = ("tackle.chain.size", "tackle.rope.diameter", "tackle.snubber.diameter")  # in steps, by the tables


def declarations(thing: Thing, prefix: str) -> dict[str, Measure | Choice]:
    found = {f"{prefix}{name}": declared for name, declared in type(thing).declared().items()}
    for name in type(thing).model_fields:
        value = getattr(thing, name)
        if isinstance(value, Thing) and name not in ("fittings", "survey"):
            found |= declarations(value, f"{prefix}{name}.")
    return found


DECLARED = {
    path: declared
    for path, declared in declarations(STOCK, "").items()
    if path not in (*FIXED, *SIZED, "tackle.rope.construction", "tackle.snubber.rope")
}
MEASURES = {path: declared for path, declared in DECLARED.items() if isinstance(declared, Measure)}
CHOICES = {path: declared for path, declared in DECLARED.items() if isinstance(declared, Choice)}
CHAINS = [(row["size"], int(row["grade"])) for row in table("chain")]
ROPES = [(row["construction"], row["size"]) for row in table("rope")]
# A byte for each thing to set, 0 and 255 being the ends of its range: sixty draws would take too long.
BYTES = st.binary(min_size=len(MEASURES) + len(CHOICES) + 6, max_size=len(MEASURES) + len(CHOICES) + 6)
RANGES = [(measure.low, measure.high - measure.low) for measure in MEASURES.values()]


def _repaired(value: dict[str, float], hulls: int) -> dict[str, float]:
    """The values drawn, with those that a rule across fields forbids brought within it."""

    def cap(path: str, most: float, least: float | None = None) -> None:
        value[path] = min(max(value[path], MEASURES[path].low if least is None else least), most)

    cap("boat.waterline", value["boat.length"], 0.5 * value["boat.length"])
    value["boat.beam"] = max(value["boat.beam"], hulls * MEASURES["boat.waterline_beam"].low)
    for name, share, others in _AT_MOST:
        most = share * math.prod(value[f"boat.{other}"] for other in others)
        cap(f"boat.{name}", most, max(-most, MEASURES[f"boat.{name}"].low))
    cap("boat.waterline_beam", value["boat.beam"] / hulls)
    lightest, heaviest = max(300.0, 1.5 * value["boat.length"] ** 3), 80_000.0
    box = hulls * value["boat.waterline"] * value["boat.waterline_beam"] * SEA_WATER
    fit = min(max(value["boat.canoe_draught"], lightest / box), heaviest / (0.2 * box))
    assume(fit <= min(value["boat.draught"], MEASURES["boat.canoe_draught"].high))
    value["boat.canoe_draught"] = fit
    cap("boat.displacement", min(box * fit, heaviest), max(0.2 * box * fit, lightest))
    value["spot.depth"] = max(value["spot.depth"], value["boat.draught"] - value["spot.tide"])
    height = value["spot.depth"] + value["spot.tide"] + value["boat.bow_height"]
    short = 1.2 * height - value["tackle.chain.length"] - value["tackle.rope.length"]
    value["tackle.chain.length"] += max(short, 0.0)
    value["weather.gust"] = max(value["weather.gust"], value["weather.mean_wind"])
    if value["weather.squall_wind"] < value["weather.mean_wind"]:
        value["weather.squall_wind"] = 0.0
    for happening in ("shift", "squall"):
        value[f"weather.{happening}_start"] *= 0.99 / MEASURES[f"weather.{happening}_start"].high
    return value


def scenario_of(drawn: bytes) -> Scenario:
    """The scenario that some bytes stand for."""
    left = iter(drawn)

    def pick(options: Sequence[Any]) -> Any:
        return options[next(left) % len(options)]

    hulls = pick([1, 2])
    shares = {path: next(left) / 255 for path in MEASURES}
    drawn_values = {
        path: low + shares[path] * span for path, (low, span) in zip(MEASURES, RANGES, strict=True)
    }
    changes: dict[str, Any] = {**FIXED, "boat.hulls": hulls, "tackle.snubber.legs": pick([1, 2])}
    for path, amount in _repaired(drawn_values, hulls).items():
        unit = MEASURES[path].unit
        changes[path] = quantity(amount, unit) if unit else amount
    changes |= {path: pick(declared.options) for path, declared in CHOICES.items()}
    changes["tackle.chain.size"], changes["tackle.chain.grade"] = pick(CHAINS)
    for rope, construction in (("rope", "construction"), ("snubber", "rope")):
        name, size = pick(ROPES)
        changes |= {f"tackle.{rope}.{construction}": name, f"tackle.{rope}.diameter": size}
    if pick([True, False]):
        changes["weather.gust"] = None
    try:
        return STOCK.vary(changes)
    except ScenarioError as error:
        if error.path != "spot.slope":
            raise
        towards = changes["spot.deepens_towards"].m_as("degree")
        return STOCK.vary({**changes, "spot.deepens_towards": quantity((towards + 180) % 360, "degree")})


def check(run: Run) -> None:
    for name in Track.__dataclass_fields__:
        assert np.all(np.isfinite(getattr(run.si, name))), name
    assert run.si.bow_load.min() >= 0
    assert run.si.anchor_load.min() >= 0
    assert run.si.peak_load >= run.si.bow_load[1:].max() * (1 - 1e-9)
    assert np.isfinite([run.si.peak_load, run.si.peak_anchor_load, run.si.peak_uplift, run.si.holding]).all()
    assert 0 <= run.si.peak_uplift <= np.pi / 2
    assert np.isfinite(run.swing_radius.m_as("m"))


def settings_of(examples: int) -> settings:
    checks = [HealthCheck.filter_too_much, HealthCheck.too_slow]
    return settings(
        max_examples=examples, derandomize=True, deadline=None, database=None, suppress_health_check=checks
    )


@settings_of(5 * EXAMPLES)
@given(BYTES)
def test_any_scenario_can_be_kept_and_computed_with(drawn: bytes) -> None:
    scenario = scenario_of(drawn)
    assert Scenario.model_validate(scenario.document()) == scenario
    for value in hull(scenario.boat):
        assert np.all(np.isfinite(value))
    for part in loaded(scenario):
        assert 0 <= part.wll.low <= part.wll.high < np.inf
        assert part.wll.likely < part.strength_left.likely or part.key == "bitter end"


@settings_of(EXAMPLES)
@given(BYTES, st.integers(0, 2**32 - 1), st.floats(0.01, 0.99))
def test_any_scenario_can_be_sailed_through_and_told_of(drawn: bytes, seed: int, quantile: float) -> None:
    scenario = scenario_of(drawn)
    chance = draw(seed)._replace(holding_quantile=quantile)
    run = simulate(scenario, **chance._asdict())
    check(run)
    found = Assessment(scenario, of_runs(scenario, [(chance, run)]))
    for system in ("metric", "US"):
        for text in (wording.sentence(found, system), *wording.notes(found, system)):  # type: ignore[arg-type]
            assert "nan" not in text and "inf" not in text.split()


def test_the_whole_of_every_range_is_drawn_from() -> None:
    """Nothing that a person can set is left out, but what other tables fix."""
    assert len(MEASURES) > 40
    groups = {path.split(".")[0] for path in DECLARED}
    assert groups == {"boat", "tackle", "spot", "weather", "surroundings"}


@pytest.mark.parametrize("model", catalogue())
@pytest.mark.parametrize("end", ["low", "high"])
def test_the_ends_of_every_range(model: str, end: str) -> None:
    """One quantity at a time at the end of its range, for every boat, where the rules allow it."""
    early = {"weather.shift_start": "0.2 min", "weather.squall_start": "0.2 min"}
    base = STOCK.vary({**FIXED, **early, "boat.model": model, "weather.mean_wind": "25 knot"})
    for path, measure in MEASURES.items():
        amount = measure.low if end == "low" else measure.high
        try:
            scenario = base.vary({path: quantity(amount, measure.unit) if measure.unit else amount})
        except ScenarioError:
            assert path.startswith("boat.") or path in ("spot.depth", "tackle.chain.length", "weather.gust")
            continue
        check(simulate(scenario))
