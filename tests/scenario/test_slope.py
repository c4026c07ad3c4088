"""A bottom that slopes: along which pull it rises or falls, and what that does to a spell."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest

from anchorsim import simulate
from anchorsim.core.units import quantity
from anchorsim.environment.wind_record import WindRecordError
from anchorsim.mooring.rode import assemble
from anchorsim.scenario.scenario import Scenario, ScenarioError
from anchorsim.scenario.site import Spot
from anchorsim.wording.site_notes import rode_notes

STOCK = Scenario()
BLOW = {"weather.mean_wind": "30 knot", "weather.gust": "38 knot", "weather.duration": "3 min"}


def sloping(degrees: float, towards: float, **more: object) -> Scenario:
    changes = {"spot.slope": f"{degrees} degree", "spot.deepens_towards": f"{towards} degree"}
    return STOCK.vary({**BLOW, **changes, **{path.replace("__", "."): one for path, one in more.items()}})


def wind(direction: float) -> dict[str, object]:
    return {"weather__direction": f"{direction} degree"}


@pytest.mark.parametrize(
    ("bearing", "rises"),
    # along the fall, across it and up it; between, a plane's gradient times the cosine
    [
        (90, -5.0),
        (0, 0.0),
        (180, 0.0),
        (270, 5.0),
        (150, -math.degrees(math.atan(math.tan(math.radians(5)) / 2))),
    ],
)
def test_a_plane_rises_by_the_cosine_of_the_bearing(bearing: float, rises: float) -> None:
    spot = Spot(slope=quantity(5.0, "degree"), deepens_towards=quantity(90.0, "degree"))
    assert math.degrees(spot.slope_towards(math.radians(bearing))) == pytest.approx(rises, abs=1e-9)
    north, east = spot.rises()
    along = north * math.cos(math.radians(bearing)) + east * math.sin(math.radians(bearing))
    assert along == pytest.approx(math.tan(math.radians(rises)), abs=1e-12)


def test_she_lies_to_leeward_of_her_anchor() -> None:
    """A wind off the shore that the bottom falls from brings her over deeper water, and one on shallower."""
    off, on = (sloping(3.0, 90.0, **wind(way)) for way in (270.0, 90.0))
    assert math.degrees(assemble(off).slope) == pytest.approx(-3.0)
    assert math.degrees(assemble(on).slope) == pytest.approx(3.0)
    for scenario, deeper in ((off, True), (on, False)):
        east = float(np.mean(simulate(scenario).si.y))
        assert (east > 0) == deeper


def test_the_slope_that_counts_is_the_least_of_where_she_may_lie() -> None:
    """Where the anchor holds least: a shift, a squall and a strong current all bring her there."""
    on_shore = wind(90.0)  # she lies west of her anchor, where the bottom rises by 4°
    steady = sloping(4.0, 90.0, **on_shore)
    assert math.degrees(assemble(steady).slope) == pytest.approx(4.0)
    round_about = {"weather__shift": "180 degree", "weather__shift_start": "1 min"}
    squall = {
        "weather__squall_wind": "45 knot",
        "weather__squall_shift": "180 degree",
        "weather__squall_start": "0.5 min",
        "weather__squall_duration": "2 min",
    }
    light = {"weather__mean_wind": "5 knot", "weather__gust": None}
    stream = {**light, "spot__current": "4 knot", "spot__current_set": "90 degree"}
    for change in (round_about, squall, stream):
        scenario = sloping(4.0, 90.0, **on_shore, **change)
        assert math.degrees(assemble(scenario).slope) == pytest.approx(-4.0, abs=0.05), change
    weak = sloping(4.0, 90.0, **on_shore, spot__current="1 knot", spot__current_set="90 degree")
    assert assemble(weak).slope == assemble(steady).slope, "she lies to the wind"


def test_the_slope_of_a_record(tmp_path: Path) -> None:
    rows = "\n".join(f"{minute},15,{350 if minute < 5 else 30}" for minute in range(11))
    (tmp_path / "wind.csv").write_text(f"time [min],mean wind [knot],wind direction [degree]\n{rows}\n")
    record = {"weather__record": str(tmp_path / "wind.csv"), "weather__duration": "10 min"}
    scenario = sloping(8.0, 10.0, tackle__scope=5, **record)
    aside = math.degrees(math.atan(math.tan(math.radians(8.0)) * math.cos(math.radians(20.0))))
    assert math.degrees(assemble(scenario).slope) == pytest.approx(aside, abs=0.01)
    assert rode_notes(scenario) == []  # 20° to either side hardly turn a plane
    steep = scenario.vary({"tackle.scope": 9})
    with pytest.raises(
        ScenarioError, match=r"^spot\.slope .*: the bottom rises out of the water.*; got 7\.52 degree\."
    ):
        simulate(steep)
    with pytest.raises(WindRecordError, match=r"weather\.record: .*wind\.csv was not read"):
        scenario.slopes()


@pytest.mark.parametrize("slope", [0.0, 4.0])
def test_turning_the_compass_changes_nothing(slope: float) -> None:
    """Wind and bottom turned alike."""
    one, other = (sloping(slope, 60.0 + turn, **wind(200.0 + turn)) for turn in (0.0, 77.0))
    first, turned = simulate(one, seed=3), simulate(other, seed=3)
    assert turned.rode.slope == pytest.approx(first.rode.slope, abs=1e-12)
    assert turned.si.peak_load == pytest.approx(first.si.peak_load, rel=1e-3)
    assert turned.si.peak_uplift == pytest.approx(first.si.peak_uplift, rel=1e-3, abs=1e-6)


def test_a_flat_bottom_has_no_bearing() -> None:
    one, other = (simulate(sloping(0.0, towards), seed=2) for towards in (0.0, 135.0))
    for name in ("x", "y", "bow_load", "angle_at_anchor"):
        assert np.array_equal(getattr(one.si, name), getattr(other.si, name))


def test_off_a_shelving_shore_the_anchor_holds_less() -> None:
    """The same length out, the bottom falling towards her or rising.  Common practice, no source."""
    lifts, drags = {}, {}
    for name, towards in (("off", 0.0), ("flat", None), ("on", 180.0)):
        scenario = sloping(0.0 if towards is None else 4.0, towards or 0.0, **wind(180.0), tackle__scope=4)
        runs = [simulate(scenario, seed=seed) for seed in range(1, 7)]
        lifts[name] = float(np.median([run.si.peak_uplift for run in runs]))
        drags[name] = sum(run.si.drag_distance for run in runs)
    assert lifts["off"] > lifts["flat"] > lifts["on"]
    assert drags["off"] > drags["flat"] > drags["on"]


def test_a_shift_that_changes_the_slope_is_told_of() -> None:
    shift = {"weather__shift": "120 degree", "weather__shift_start": "1.5 min"}
    told = rode_notes(sloping(4.0, 0.0, **wind(0.0), **shift, weather__shift_duration="0 min"))
    assert told == [
        "As the boat swings, the bottom under the rode changes from falling by 2° to rising by 4°. "
        "The worst case, falling by 2°, is shown."
    ]
    assert rode_notes(sloping(4.0, 90.0, **wind(0.0))) == []
