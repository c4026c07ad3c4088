"""Limits in words: with their range, outside what was simulated, and where they are extrapolated."""

from __future__ import annotations

import math
from typing import Any

import pytest

from anchorsim.core.units import System
from anchorsim.numerics.interval import Interval
from anchorsim.risk.limit_search import Limit, LimitSI
from anchorsim.wording import limits

KNOT = 1852 / 3600  # m/s, the international nautical mile
WIND = (5 * KNOT, 0.999 * 80 * KNOT)


def limit(
    *ends: float, path: str = "weather.mean_wind", tried: tuple[float, float] = WIND, **more: Any
) -> Limit:
    told = {"chance": 0.05, "beyond": "", "spells": 200, **more}
    return Limit(
        path,
        found=Interval(*ends) if ends else None,
        si=LimitSI(tried, "" if path == "tackle.scope" else "m" if "length" in path else "m/s"),
        **told,
    )


@pytest.mark.parametrize(
    ("found", "system", "told"),
    [
        (limit(30 * KNOT, 31 * KNOT, 33 * KNOT), "metric", "31 kn (30 to 33)"),
        (limit(30 * KNOT, 31 * KNOT, 33 * KNOT), "US", "31 kn (30 to 33)"),
        (limit(4.1, 5.3, 6.2, path="tackle.scope", tried=(1.2, 9.0)), "metric", "5.3 (4.1 to 6.2)"),
        (limit(4.0, 6.0, 9.0, path="tackle.snubber.length", tried=(1.0, 30.0)), "metric", "6 m (4 to 9)"),
        # 1 ft is 0.3048 m: 13.1, 19.7 and 29.5 ft, to two digits
        (limit(4.0, 6.0, 9.0, path="tackle.snubber.length", tried=(1.0, 30.0)), "US", "20 ft (13 to 30)"),
        # ends that nothing is known of are those of what was simulated
        (limit(0.0, 12 * KNOT, math.inf), "metric", "12 kn (5 to 80)"),
        (limit(beyond="least"), "metric", "below 5 kn, the lowest simulated"),
        (limit(beyond="greatest"), "metric", "above 80 kn, the highest simulated"),
        (
            limit(beyond="greatest", path="tackle.scope", tried=(1.2, 9.0)),
            "metric",
            "above 9, the highest simulated",
        ),
    ],
)
def test_a_limit_with_its_range_or_that_it_is_outside(found: Limit, system: System, told: str) -> None:
    assert limits.value(found, system) == told


def test_what_rests_on_the_smoothing_is_told() -> None:
    """Fewer than three spells on the rarer side: 2 of 200 at 1 in 100, 3 of 300."""
    ends = (30 * KNOT, 31 * KNOT, 33 * KNOT)
    assert limits.doubt(limit(*ends, chance=0.01, spells=200)) == "extrapolated"
    assert limits.doubt(limit(*ends, chance=0.01, spells=300)) == ""
    assert limits.doubt(limit(*ends, chance=0.99, spells=200)) == "extrapolated"
    assert limits.doubt(limit(*ends, chance=0.05)) == ""
    assert limits.doubt(limit(chance=0.01, beyond="greatest")) == "", "where there is no figure to doubt"
    assert "did not converge" in limits.doubt(limit(*ends, chance=0.05, converged=False))
    assert limits.doubt(limit(beyond="greatest", converged=False)) == ""
