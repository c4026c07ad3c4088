"""What matters most: as the physics says where that is plain, and what each doubt does to a spell."""

from __future__ import annotations

import inspect
import math
import pickle
from concurrent.futures import CancelledError, Executor, Future, ThreadPoolExecutor
from typing import Any, get_args

import numpy as np
import pytest
from scipy.stats import norm

import anchorsim as am
from anchorsim.core.units import si
from anchorsim.mooring.rode import assemble
from anchorsim.numerics.interval import Interval
from anchorsim.risk.sensitivity import Influence, Key, Ranking, Sensitivity, doubts, sensitivity, watch

SHORT = am.Scenario().vary({"weather.duration": "1 min", "weather.mean_wind": "32 knot", "tackle.scope": 4})
STEADY = SHORT.vary({
    "weather.mean_wind": "30 knot",
    "weather.gust": "30 knot",
    "tackle.scope": 5,
    "tackle.anchor.mass": "200 kg",
})  # fmt: skip


class Elsewhere(Executor):
    """Sends work and its outcome through pickle, as another process or machine does."""

    def submit(self, function: Any, /, *arguments: Any, **more: Any) -> Future[Any]:
        task: Future[Any] = Future()
        function, arguments = pickle.loads(pickle.dumps((function, arguments)))
        task.set_result(pickle.loads(pickle.dumps(function(*arguments, **more))))
        return task


def by_key(ranking: Ranking) -> dict[str, Influence]:
    return {one.doubt: one for one in ranking.influences}


@pytest.fixture(scope="module")
def gale() -> Sensitivity:
    return sensitivity(SHORT, 32)


@pytest.fixture(scope="module")
def steady() -> Sensitivity:
    return sensitivity(STEADY, 64)


def test_what_cannot_matter_does_not(steady: Sensitivity) -> None:
    found = by_key(steady.peak)
    for key in ("gusts", "gustiness", "holding"):  # no gusts over the mean, and an anchor that never moves
        assert found[key].total.likely == found[key].total.high == 0.0
        assert not found[key].seen
    assert steady.dragging is None
    assert steady.dragged == 0.0
    assert steady.spells == 64 * 14 == 896


def test_in_a_steady_wind_the_load_goes_with_the_windage_and_the_square_of_the_wind(
    steady: Sensitivity,
) -> None:
    # Lognormal factors of spread 0.15 and 2 × 0.10: variances exp(s²) − 1 beside each other, closed form; the
    # mean wind stands at 32 levels, whose spread is a hundredth less.
    found = by_key(steady.peak)
    ratio = math.expm1(0.20**2) / math.expm1(0.15**2)
    assert found["wind"].total.likely / found["windage"].total.likely == pytest.approx(ratio, rel=0.2)
    assert found["wind"].total.likely + found["windage"].total.likely > 0.9
    assert [one.doubt for one in steady.peak.influences[:2]] == ["wind", "windage"]


def test_they_are_ranked_with_bands(gale: Sensitivity) -> None:
    assert gale.dragging is not None
    assert gale.spells == 32 * 14
    for ranking in (gale.peak, gale.dragging):
        totals = [one.total.likely for one in ranking.influences]
        assert totals == sorted(totals, reverse=True)
        assert len(totals) == 12
        for one in ranking.influences:
            assert one.total.low <= one.total.likely <= one.total.high
    assert gale.peak.si.mean > 0 and gale.peak.si.spread > 0
    assert 0 < gale.dragging.mean < 1


def test_any_executor_gives_the_same_bits(gale: Sensitivity) -> None:
    with ThreadPoolExecutor(1) as one:
        assert sensitivity(SHORT, 32, executor=one) == gale
    assert sensitivity(SHORT, 32, executor=Elsewhere()) == gale


def test_progress_and_cancel() -> None:
    told: list[tuple[int, int]] = []
    sensitivity(SHORT, 16, progress=lambda done, count: told.append((done, count)))
    assert told[-1] == (224, 224)
    assert [done for done, _ in told] == sorted(done for done, _ in told)
    with pytest.raises(CancelledError, match=r"^Stopped\. Start again to get a result\.$"):
        sensitivity(SHORT, 16, cancel=lambda: True)


def test_workers_that_die_are_told_of() -> None:
    gone = ThreadPoolExecutor(1)
    gone.shutdown()
    with pytest.raises(
        RuntimeError, match=r"^Stopped \(RuntimeError: .*\)\. Run again with a new executor\.$"
    ):
        sensitivity(SHORT, 16, executor=gone)


def test_a_doubt_at_its_middle_is_the_scenario_itself() -> None:
    among = tuple(doubt for doubt in doubts(SHORT) if doubt not in ("stretch", "loading", "wind"))
    varied, chance = watch(SHORT, among, np.full(len(among), 0.5))
    assert tuple(chance)[1:] == (0.5, 1.0, 1.0, 1.0, 1.0)
    assert varied.height == pytest.approx(SHORT.height)
    assert varied.paid_out == pytest.approx(SHORT.paid_out)
    assert si(varied.weather.mean_wind) == pytest.approx(si(SHORT.weather.mean_wind))
    assert si(varied.weather.effective_gust) == pytest.approx(si(SHORT.weather.effective_gust))


def test_deeper_water_leaves_the_rode_as_it_is() -> None:
    depth = [doubt for doubt in doubts(SHORT) if doubt == "depth"]
    ends = [watch(SHORT, depth, np.array([share]))[0] for share in (0.025, 0.975)]
    # At 95 %: √(0.5² + (0.013 × 6)²) m, IHO S-44 order 1 (from memory).
    reach = math.hypot(0.5, 0.013 * 6.0)
    assert [end.water_depth for end in ends] == pytest.approx([6.0 - reach, 6.0 + reach], abs=1e-3)
    assert [end.paid_out for end in ends] == pytest.approx([SHORT.paid_out] * 2)


def test_a_current_pushes_as_much_harder_as_the_water_holds_her() -> None:
    """Still air and a steady stream: all that pulls is the water, so that the load goes with its hold."""
    stream = am.Scenario().vary(
        {"weather.mean_wind": "0 knot", "weather.duration": "8 min", "spot.current": "3 knot"}
    )
    loads = []
    for water in (1.0, 1.5):
        run = am.simulate(stream, water=water)
        settled = run.si.bow_load[-1200:].mean()
        loads.append(np.interp(settled, run.curve.si.load_at_bow, run.curve.si.horizontal_load))
    assert loads[1] / loads[0] == pytest.approx(1.5, rel=0.02)


def test_the_bottom_takes_as_much_off_the_pull_as_its_friction_says() -> None:
    """Closed form: of the horizontal load friction takes μ w for every metre that lies."""
    breeze = am.Scenario().vary(
        {"weather.mean_wind": "12 knot", "weather.gust": "12 knot", "weather.duration": "1 min"}
    )
    for friction in (0.5, 1.5):
        run = am.simulate(breeze, friction=friction)
        lying, pull = run.curve.si.length_on_bottom, run.curve.si.horizontal_load
        lies = lying > 0.0
        held = friction * assemble(breeze).friction * run.rode.segments[0].weight * lying
        assert lies.sum() > 10 and (held > 0.5 * pull)[lies].any()
        assert run.curve.si.load_at_anchor[lies] == pytest.approx(
            np.maximum(pull - held, 0.0)[lies], abs=0.01
        )


def test_length_let_out_ends_with_the_rode_aboard() -> None:
    among = [doubt for doubt in doubts(SHORT) if doubt == "length"]
    all_out = SHORT.vary({"tackle.scope": 30})
    assert watch(all_out, among, np.array([0.999]))[0].paid_out == pytest.approx(60.0)
    assert watch(all_out, among, np.array([0.001]))[0].paid_out < 55.0


def test_doubts_that_a_scenario_has_not_are_left_out() -> None:
    keys = {doubt for doubt in doubts(SHORT)}
    assert keys == set(get_args(Key)), "a chain, a snubber and wind: she has them all"
    bare = SHORT.vary({"tackle.snubber.length": "0 m"})
    assert keys - {doubt for doubt in doubts(bare)} == {"stretch"}
    assert assemble(bare).snubber == 0
    calm = SHORT.vary({"weather.mean_wind": "0 knot", "weather.gust": None})
    assert {"wind", "gustiness"}.isdisjoint(doubt for doubt in doubts(calm))


def test_every_doubt_can_go_to_its_ends() -> None:
    for path in ("shared/catamaran-bridle.toml", "shared/weekender-combination.toml"):
        scenario = am.Scenario.load(path)
        among = doubts(scenario)
        for share in (1e-6, 1 - 1e-6):
            watch(scenario, among, np.full(len(among), share))


def test_every_doubt_can_go_to_its_ends_over_a_bottom_that_hardly_stays_under_water() -> None:
    """37 m of rode at 9.3° come within a decimetre of the surface of 6 m of water."""
    shelving = SHORT.vary({"spot.slope": "9.3 degree", "spot.deepens_towards": "225 degree"})
    among = doubts(shelving)
    assert {"depth", "length"} <= {doubt for doubt in among}
    for shares in ([0.01] * len(among), [0.99] * len(among), [0.01, 0.99] * len(among)):
        found, _ = watch(shelving, among, np.array(shares[: len(among)]))
        assert found.paid_out * math.sin(math.radians(9.3)) < found.water_depth


def test_a_bad_count_is_refused() -> None:
    with pytest.raises(ValueError, match=r"^count: 100 is out of range\. Expected a power of two"):
        sensitivity(SHORT, 100)


def test_what_is_left_unsaid_of_a_sensitivity() -> None:
    """128 base samples with the first seed: fifteen seconds of two cores (judgement)."""
    left = {name: each.default for name, each in inspect.signature(sensitivity).parameters.items()}
    assert (left["count"], left["seed"]) == (128, 0)


@pytest.mark.parametrize(("low", "seen"), [(-0.01, False), (0.0, False), (0.01, True)])
def test_a_part_is_seen_where_its_band_does_not_reach_none(low: float, seen: bool) -> None:
    total = Interval(low, 0.5, 0.9)
    assert Influence("wind", total, total).seen == seen


@pytest.mark.parametrize(("share", "level"), [(0.0, 0.5), (0.49, 15.5), (0.5, 16.5), (0.999, 31.5)])
def test_doubts_that_are_not_named_are_at_their_middle(share: float, level: float) -> None:
    """Alone, the wind moves by its level of 32 and nothing else does: 0.10 the spread of its logarithm."""
    varied, chance = watch(SHORT, ("wind",), np.array([share]))
    assert tuple(chance) == (1, 0.5, 1.0, 1.0, 1.0, 1.0)
    factor = math.exp(0.10 * norm.ppf(level / 32))
    assert si(varied.weather.mean_wind) == pytest.approx(factor * si(SHORT.weather.mean_wind))
    assert varied.vary({"weather": SHORT.weather}) == SHORT
    depth, _ = watch(SHORT, ("length",), np.array([0.9]))
    assert si(depth.spot.depth) == pytest.approx(si(SHORT.spot.depth))
