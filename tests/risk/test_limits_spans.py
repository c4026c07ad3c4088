"""Between what ends limits are sought, and how one is told: by hand."""

from __future__ import annotations

import inspect
import math

import numpy as np
import pytest

import anchorsim as am
from anchorsim.core.units import si
from anchorsim.numerics.interval import Interval
from anchorsim.risk import limit_search, limits
from anchorsim.risk.limit_search import LimitSI
from anchorsim.risk.limits import Limit, ScopeLimits, least_snubber, limit_wind, scope_limits

SHORT = am.Scenario().vary({"weather.duration": "1 min", "weather.mean_wind": "20 knot"})
KNOT = 1852 / 3600  # m/s, the international nautical mile


def test_a_snubber_leaves_half_a_metre_of_chain() -> None:
    scenario = SHORT.vary({"tackle.scope": 2.0})
    assert 1.0 < scenario.paid_out < 20.0
    tried = least_snubber(scenario, count=50).si.tried
    assert tried == pytest.approx((1.0, scenario.paid_out - 0.5))  # for the hook (judgement)


def test_with_rope_at_the_bow_no_snubber_is_sought() -> None:
    combined = {"tackle.rope.length": "60 m", "tackle.scope": 5}
    with pytest.raises(ValueError, match="snubber"):
        least_snubber(SHORT.vary({**combined, "tackle.chain.length": "20 m"}), count=50)
    out = SHORT.vary(combined).paid_out
    exact = SHORT.vary({**combined, "tackle.chain.length": f"{out + 1e-6} m"})
    assert least_snubber(exact, count=50).si.tried[1] == pytest.approx(min(30.0, out - 0.5), abs=1e-5)


@pytest.mark.parametrize(("gust", "squall", "top"), [(None, 0, 80), (40, 0, 70), (None, 60, 100 / 3)])
def test_winds_are_sought_up_to_what_a_scenario_takes(gust: int | None, squall: int, top: float) -> None:
    """From 5 knots to a thousandth less than 80, or until gusts come to 140 and a squall to 100."""
    weather = {} if gust is None else {"weather.gust": f"{gust} knot"}
    weather |= {"weather.squall_start": "0 min", "weather.squall_wind": f"{squall} knot"} if squall else {}
    [found] = limit_wind(SHORT.vary(weather), (0.5,), 50)
    assert found.si.tried == pytest.approx((5.0 * KNOT, 0.999 * top * KNOT))
    assert found.spells == 50 and found.path == "weather.mean_wind" and found.chance == 0.5


def test_scopes_are_sought_as_far_as_the_rode_goes() -> None:
    bounds = am.Scenario.declaration("tackle.scope")
    long = SHORT.vary({"tackle.chain.length": "40 m"})
    found = scope_limits(long, count=50)
    assert found.least.si.tried == pytest.approx((bounds.low, 40.0 / long.height))  # type: ignore[union-attr]
    assert found.greatest is None, "without a room there is none"


def test_what_rests_on_fewer_than_three_spells_is_extrapolated() -> None:
    def limit(chance: float, spells: int) -> Limit:
        return Limit("tackle.scope", chance, None, LimitSI((1.0, 2.0)), "least", spells)

    # three spells on the rarer side (judgement)
    assert limit(0.05, 59).extrapolated and not limit(0.05, 60).extrapolated
    assert limit(0.95, 59).extrapolated and not limit(0.95, 61).extrapolated


def scope(found: float | None, beyond: str = "", ends: tuple[float, float] = (1.2, 9.0)) -> Limit:
    band = None if found is None else Interval(0.9 * found, found, 1.1 * found)
    return Limit("tackle.scope", 0.05, band, LimitSI(ends), beyond, 100)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("least", "greatest", "fits"),
    [
        (scope(4.0), None, True),
        (scope(4.0), scope(5.0), True),
        (scope(4.0), scope(4.0), True),
        (scope(4.0), scope(3.9), False),
        (scope(None, "greatest"), None, False),
        (scope(None, "greatest"), scope(None, "greatest"), False),
        (scope(None, "least"), scope(1.3), True),
        (scope(None, "least"), scope(1.1), False),
        (scope(4.0), scope(None, "least"), False),
        (scope(4.0), scope(None, "greatest"), True),
    ],
)
def test_a_scope_fits_where_the_least_is_no_more_than_the_greatest(
    least: Limit, greatest: Limit | None, fits: bool
) -> None:
    assert ScopeLimits(least, greatest, None).fits is fits


def test_counting_where_too_few_change_over_inside() -> None:
    """Of 100 changes at 1 to 100 the 50th is the middle; its band is that of the order statistics."""
    changes = np.arange(1.0, 101.0)
    found = limit_search._counted(changes, 0.5, (10.0, 90.0))
    assert found is not None
    assert found.likely == pytest.approx(50.5, abs=1.0)
    # binomial: the 40th to the 61st of 100 hold the middle in 95 of 100
    assert found.low == pytest.approx(40.0, abs=1.5) and found.high == pytest.approx(61.0, abs=1.5)
    assert limit_search._counted(changes, 0.5, (60.0, 90.0)) is None
    assert limit_search._counted(changes, 0.5, (10.0, 45.0)) is None
    open_below, open_above = (
        limit_search._counted(changes, 0.5, span) for span in ((45.0, 90.0), (10.0, 55.0))
    )
    assert open_below is not None and open_below.low == 0.0 and open_below.high < math.inf
    assert open_above is not None and open_above.high == math.inf and open_above.low > 0.0


def test_too_few_spells_are_refused() -> None:
    with pytest.raises(ValueError, match="49"):
        limit_wind(SHORT, (0.5,), 49)
    assert si(SHORT.weather.mean_wind) == pytest.approx(20 * KNOT)


# --- The search, with made-up change-overs ------------------------------------------------------------------


def searched(
    changes: np.ndarray,
    chances: tuple[float, ...],
    rising: bool = True,
    told: list[tuple[int, int]] | None = None,
) -> list[Limit]:
    """Limits between 4 and 25 of an event that happens in spell n from (or up to) ``changes[n]`` on."""

    class Search(limit_search.Search):
        def run(self, scenario: am.Scenario, numbers: np.ndarray) -> np.ndarray:  # type: ignore[override]
            return numbers

    values: list[float] = []

    def vary(value: float) -> am.Scenario:
        values.append(value)
        return SHORT

    def event(_: am.Scenario, numbers: np.ndarray) -> np.ndarray:
        return values[-1] > changes[numbers] if rising else values[-1] <= changes[numbers]

    progress = None if told is None else lambda done, of: told.append((done, of))
    search = Search(SHORT, np.arange(len(changes)), None, progress, None)
    return search.limits("a.path", vary, event, (4.0, 25.0), chances, rising=rising)  # type: ignore[arg-type]


@pytest.mark.parametrize("rising", [True, False])
def test_limits_beyond_either_end_and_between(rising: bool) -> None:
    """Of 100 spells 30 change over under 4 and 30 over 25: the middle of the span is 10, √(4 · 25)."""
    none = np.array([1.0] * 30 + [99.0] * 70)
    early, late = searched(none, (0.2, 0.5), rising=rising)
    assert (early.found, late.found) == (None, None)
    first, second = ("least", "greatest") if rising else ("greatest", "greatest")
    assert (early.beyond, late.beyond) == (first, second)
    assert (early.si.tried, early.path, early.chance, early.spells) == ((4.0, 25.0), "a.path", 0.2, 100)
    few = np.array([1.0] * 47 + [9.5, 10.0, 10.5] + [99.0] * 50)  # too few inside to smooth over
    (middle,) = searched(few, (0.48,) if rising else (0.52,), rising=rising)
    assert middle.found is not None and middle.beyond == "" and 9.0 < middle.found.likely < 11.0


def test_progress_is_told_as_spells_are_done() -> None:
    told: list[tuple[int, int]] = []
    searched(np.geomspace(2.0, 50.0, 60), (0.5,), told=told)
    assert told[0] == (60, 300), "five runs of each spell are looked for"
    assert [done for done, _ in told] == sorted({done for done, _ in told})
    assert all(of == max(done, 300) for done, of in told)


@pytest.mark.parametrize(
    ("search", "chance"), [(limit_wind, (0.01, 0.05, 0.5)), (scope_limits, 0.05), (least_snubber, 0.05)]
)
def test_what_is_left_unsaid_of_a_limit(search: object, chance: object) -> None:
    """One in twenty of 200 spells from the first on; the wind also for one in a hundred and for half."""
    left = {name: each.default for name, each in inspect.signature(search).parameters.items()}  # type: ignore[arg-type]
    assert (left.get("chance", left.get("chances")), left["count"], left["first"]) == (chance, 200, 0)


def test_fifty_spells_are_enough() -> None:
    """To smooth over (judgement)."""
    assert limits._numbers(50, 3).tolist() == list(range(3, 53))
    with pytest.raises(ValueError, match="50 or more"):
        limits._numbers(49, 0)


@pytest.mark.parametrize(("chain", "refused"), [(1.4, True), (1.5, True), (1.7, False)])
def test_a_snubber_needs_a_metre_of_chain_besides_the_hook(
    chain: float, refused: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(
        limit_search.Search, "limits", lambda self, path, vary, event, span, chances, **_: [span]
    )
    monkeypatch.setattr(am.Scenario, "paid_out", property(lambda self: chain))
    if refused:
        with pytest.raises(ValueError, match="snubber"):
            least_snubber(SHORT)
    else:
        assert least_snubber(SHORT) == pytest.approx((1.0, chain - 0.5))
