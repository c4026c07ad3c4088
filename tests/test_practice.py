"""Rules of practice come out of the motion, over eight storms and more, with nothing tuned towards them.

All lie to a 200 kg anchor in stiff clay, at the far end of the scatter of its holding, so that dragging does
not cap the load: what is asked for is the load that a tackle brings on itself.  Where a rule has no source
beside it, it is common practice, no source.  The boat is the twelve-metre sloop unless told otherwise, the
wind 30 knots with gusts of 42, the water six metres deep, the scope 5.
"""

from __future__ import annotations

from functools import cache
from itertools import pairwise

import numpy as np
import pytest
from watch_parts import HEAVY, SURE

from anchorsim import simulate
from anchorsim.scenario import Scenario
from anchorsim.tables import table

SEEDS, MANY = range(1, 9), range(1, 17)
GALE = {"weather.mean_wind": "30 knot", "weather.gust": "42 knot"}
BARE = {"tackle.snubber.length": "0 m"}
COMBINED = {"tackle.chain.length": "10 m", "tackle.rope.length": "100 m"}
ROPE = {"tackle.chain.length": "5 m", "tackle.rope.length": "80 m"}
SAIL = {"boat.riding_sail": "3 m²"}
DEEP_LOCKER = {"tackle.chain.length": "120 m"}  # so that scope is what was asked for


@cache
def _storms(changes, seeds):
    scenario = Scenario().vary({**HEAVY, **GALE, **dict(changes)})
    runs = [simulate(scenario, seed=seed, holding_quantile=SURE) for seed in seeds]
    assert not any(run.dragged for run in runs)
    heading = [np.unwrap(run.track.heading)[600:] for run in runs]  # from the second minute on
    from_ = np.radians(225.0)
    across = [(run.track.x * np.sin(from_) - run.track.y * np.cos(from_))[600:] for run in runs]
    return {
        "peak": np.array([run.greatest_bow_load for run in runs]),
        "mean": np.array([run.track.bow_load.mean() for run in runs]),
        "lift": np.degrees([run.greatest_lift for run in runs]),
        "yaw": np.degrees([np.std(values) for values in heading]),
        "across": np.array([np.std(values) for values in across]),
    }


def storms(*changes, seeds=SEEDS):
    """One figure a storm: peak and mean pull (N), greatest lift, yaw (°) and swing across the wind (m)."""
    merged = {path: value for change in changes for path, value in change.items()}
    return _storms(tuple(sorted(merged.items())), seeds)


def of(path, values, *changes, what="peak", seeds=SEEDS):
    """The median of one figure for each value of one path."""
    return [float(np.median(storms(*changes, {path: value}, seeds=seeds)[what])) for value in values]


# --- the snubber ---


def test_bare_chain_snatches_at_several_times_the_mean_pull():
    """ "Never lie to bare chain in a blow": it comes taut while she still has way on.

    Eight times and more.  In truth a chain's drag through the water, which is left out, would take some of
    that, and so would the bow's dipping: the figure tells that it snatches, not how hard to the last newton.
    """
    found = storms(BARE)
    ratio = found["peak"] / found["mean"]
    assert ratio.min() >= 4.0, ratio.round(1)
    softened = storms({"tackle.snubber.length": "8 m"})
    assert (softened["peak"] < 0.6 * found["peak"]).all(), (softened["peak"] / found["peak"]).round(2)
    assert softened["mean"] == pytest.approx(found["mean"], rel=0.05), "the mean pull is the wind's alone"


@pytest.mark.parametrize("length", ["6 m", "8 m"])
def test_with_a_snubber_the_peak_is_near_the_published_working_load(length):
    """ABYC H-40 Table 1, working anchor of a 40 ft boat: 1200 lbf (from memory, partly seen in reprints).

    The table is meant for 30 knots of wind, and says horizontal load.  Ours is the median peak of ten minutes
    of 30 knots gusting 42: 5 % less with six metres, 12 % less with eight.  They need not agree so well.
    The table goes by length alone and covers boats with more windage than this sloop, whom a steady 30 knots
    push with 1.1 kN; it allows for surge and sheer in a lump and says nothing of gusts or of the rode; and
    its column for storms of 42 knots has just twice the load.
    """
    row = next(row for row in table("sizing_loads") if row["length overall"] == pytest.approx(40 * 0.3048))
    published = row["working"]
    assert published == pytest.approx(1200 * 4.4482216, rel=1e-4)
    peak = float(np.median(storms({"tackle.snubber.length": length})["peak"]))
    assert 0.5 < peak / published < 2.0, f"{peak:.0f} N over {published:.0f} N: {peak / published:.2f}"


def test_a_longer_snubber_lowers_the_peak():
    lengths = ["0 m", "2 m", "4 m", "6 m", "8 m", "12 m"]
    peaks = of("tackle.snubber.length", lengths)
    assert all(b < a for a, b in pairwise(peaks)), np.round(peaks)
    assert peaks[0] - peaks[1] > 3 * (peaks[4] - peaks[5]), "the first two metres do most of it"
    each = np.array([storms({"tackle.snubber.length": length})["peak"] for length in ("2 m", "6 m", "12 m")])
    assert (np.diff(each, axis=0) < 0).all(), each.round()


def test_a_thinner_snubber_lowers_the_peak():
    """It stretches more: the rule is the thinnest that is strong enough."""
    peaks = of("tackle.snubber.diameter", ["10 mm", "12 mm", "14 mm", "18 mm"])
    assert all(a < b for a, b in pairwise(peaks)), np.round(peaks)


# --- scope ---


@pytest.mark.parametrize("rode", [BARE, {}, COMBINED], ids=["bare chain", "snubber", "combined"])
def test_more_scope_lowers_the_lift_at_the_anchor(rode):
    """For that scope is let out: a pull along the bottom.  In every storm, for every step."""
    aboard = {} if rode is COMBINED else DEEP_LOCKER
    lifts = np.array([storms(rode, aboard, {"tackle.scope": scope})["lift"] for scope in (3, 4, 5, 7, 9)])
    assert (np.diff(lifts, axis=0) <= 0).all(), lifts.round(1)
    middle = np.median(lifts, axis=1)
    assert middle[0] > 15.0, "more than 15° at 3:1, where half of the holding is gone (Danton, reprint)"
    assert middle[-1] < 6.0
    gains = -np.diff(middle)[[0, 3]] / [1.0, 2.0]
    assert gains[0] > 2 * gains[1], (
        f"a unit of scope takes {gains[0]:.1f}° at 3:1, {gains[1]:.1f}° from 7 to 9"
    )


FRESH = {"weather.mean_wind": "20 knot", "weather.gust": "28 knot"}


@pytest.mark.parametrize(
    ("rode", "wind"),
    [({**BARE, **DEEP_LOCKER}, FRESH), (COMBINED, GALE), (COMBINED, FRESH), (ROPE, GALE)],
    ids=["bare chain, fresh wind", "combined, gale", "combined, fresh wind", "rope, gale"],
)
def test_more_scope_lowers_the_peak_and_ever_less(rode, wind):
    """The curve that is taught: from 3 to 5 it gains a lot, from 5 to 7 something, and then little."""
    peaks = of("tackle.scope", (3, 5, 7, 9), rode, wind, seeds=MANY)
    assert all(a > b for a, b in pairwise(peaks)), np.round(peaks)
    first, last = peaks[0] - peaks[1], peaks[2] - peaks[3]
    assert first > 2 * last, f"3 to 5 gains {first:.0f} N, 7 to 9 {last:.0f} N"


def test_on_bare_chain_in_a_gale_more_scope_keeps_paying():
    """Where our motion disagrees with that curve: it does not flatten while gusts pull the chain straight.

    Up to 6 or so every gust lifts it all and she stops on the steel's own stretch; only beyond that some sag
    is left to take her way off, so that 7 to 9 gains no less than 3 to 5.  In the fresh wind above that point
    lies below 5.
    """
    peaks = of("tackle.scope", (3, 5, 7, 9), BARE, DEEP_LOCKER, seeds=MANY)
    assert all(a > b for a, b in pairwise(peaks)), np.round(peaks)
    assert peaks[2] - peaks[3] > 0.5 * (peaks[0] - peaks[1]), np.round(peaks)


def test_on_a_snubber_scope_hardly_matters_for_the_peak():
    """Where our motion disagrees with lore, which promises easier riding to more scope whatever the tackle.

    Eight metres of nylon give way by a metre and more in a gust, which is more than the sag that chain has
    left by then; so the peak is the snubber's doing, and scope's is the lift at the anchor.
    """
    peaks = of("tackle.scope", (3, 5, 7, 9), DEEP_LOCKER, seeds=MANY)
    assert max(peaks) < 1.2 * min(peaks), np.round(peaks)


# --- wind ---


def test_harder_gusts_raise_the_peak():
    """With the mean at 30 knots.  Steady wind, without any gusts, brings the mean pull and no more."""
    for rode in (BARE, {}, COMBINED):
        peaks = of("weather.gust", ["32 knot", "36 knot", "42 knot", "48 knot"], rode)
        assert all(a < b for a, b in pairwise(peaks)), np.round(peaks)
        rise = peaks[-1] / peaks[0]
        assert rise > (48 / 32) ** 2, f"{rise:.1f}: more than the wind squared, for gusts set her going"


def test_more_wind_raises_the_peak():
    winds = [15, 20, 25, 30, 35, 40]
    for rode in (BARE, {}, COMBINED):
        steps = [
            {"weather.mean_wind": f"{wind} knot", "weather.gust": f"{1.4 * wind} knot"} for wind in winds
        ]
        peaks = [float(np.median(storms(rode, step)["peak"])) for step in steps]
        assert all(a < b for a, b in pairwise(peaks)), np.round(peaks)


def test_on_bare_chain_gusts_matter_more_than_the_mean():
    """ "It is the gusts that break gear": with gusts of 42 knots a *lower* mean brings the higher peak.

    In the lulls the chain sinks and she drifts up to her anchor; the gust then finds her with room to run.
    """
    peaks = of("weather.mean_wind", ["25 knot", "30 knot", "35 knot", "40 knot"], BARE)
    assert all(a > b for a, b in pairwise(peaks)), np.round(peaks)
    harder = of("weather.gust", ["36 knot", "42 knot"], BARE)
    assert harder[1] > 1.3 * harder[0], np.round(harder)


# --- sheering ---


@pytest.mark.parametrize("wind", ["10 knot", "15 knot"])
def test_she_sheers_more_on_rope_than_on_chain(wind):
    """In moderate wind, when chain still lies: its friction on the bottom holds her swing short."""
    calm = {"weather.mean_wind": wind, "weather.gust": None, "weather.duration": "20 min"}
    for what in ("yaw", "across"):
        rope, chain = storms(ROPE, calm)[what], storms(BARE, calm)[what]
        assert np.median(rope) > 1.15 * np.median(chain), (what, np.median(rope), np.median(chain))
        assert (rope > chain).sum() >= 7, (what, rope.round(1), chain.round(1))


def test_once_the_chain_is_up_she_sheers_on_it_as_on_rope():
    """So the rule above is one of moderate wind."""
    fresh = {"weather.mean_wind": "25 knot", "weather.gust": None, "weather.duration": "20 min"}
    rope, chain = (float(np.median(storms(rode, fresh)["yaw"])) for rode in (ROPE, BARE))
    assert rope == pytest.approx(chain, rel=0.15)


@pytest.mark.parametrize("rode", [BARE, ROPE], ids=["chain", "rope"])
@pytest.mark.parametrize("wind", ["15 knot", "25 knot"])
def test_a_riding_sail_lessens_the_sheer(rode, wind):
    calm = {"weather.mean_wind": wind, "weather.gust": None, "weather.duration": "20 min"}
    plain, steadied = storms(rode, calm), storms(rode, calm, SAIL)
    for what in ("yaw", "across"):
        assert (steadied[what] < 0.75 * plain[what]).all(), (what, (steadied[what] / plain[what]).round(2))


def test_a_bridle_lessens_a_catamarans_yaw():
    """To half of what it is on a snubber from the middle, and with it the pull."""
    cat = {"boat.model": "catamaran-12", "weather.duration": "20 min"}
    for wind in ("12 knot", "20 knot", "30 knot"):
        calm = {"weather.mean_wind": wind, "weather.gust": None}
        single, bridle = storms(cat, calm), storms(cat, calm, {"tackle.snubber.legs": 2})
        assert (bridle["yaw"] < 0.6 * single["yaw"]).all(), (wind, (bridle["yaw"] / single["yaw"]).round(2))
        assert np.median(bridle["mean"]) < np.median(single["mean"])


def test_a_sheering_boat_pulls_harder_than_one_that_lies_still():
    """The wind takes her on the side: a riding sail lowers every mean pull, and the median peak."""
    plain, steadied = storms(ROPE), storms(ROPE, SAIL)
    assert (steadied["mean"] < plain["mean"]).all()
    assert np.median(steadied["peak"]) < np.median(plain["peak"]), (steadied["peak"] / plain["peak"]).round(2)
