"""What is given to public functions is checked, and refused in a sentence that begins with its name."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

import anchorsim as am
from anchorsim.core import arguments
from anchorsim.core.errors import AnchorsimError, ArgumentError
from anchorsim.core.units import Measure, quantity

FORM = re.compile(r"(\w+|\w+\.\d+(\.\w+)?): .+\. Expected .+[.?]( [A-Z].+\.)?")
WIND = Measure("Mean wind", "knot", 0, 80, 1)
STOCK = am.Scenario()


@pytest.mark.parametrize("given", [0.0, 1.0, 1.5, -0.1, math.nan, math.inf, True, None, "0.5", [0.5]])
def test_a_share_lies_between_nothing_and_all(given: Any) -> None:
    with pytest.raises(ArgumentError) as caught:
        arguments.share("chance", given)
    assert FORM.fullmatch(str(caught.value)), caught.value


def test_one_chance_stands_for_a_sequence_of_one() -> None:
    assert arguments.shares("chances", 0.05) == (0.05,)
    assert arguments.shares("chances", np.array([0.05, 0.5])) == (0.05, 0.5)
    for wrong in ([], "0.05", {0.05: 1}, [0.05, 2.0], None, True):
        with pytest.raises(ArgumentError, match=r"^chances: .*\. Expected "):
            arguments.shares("chances", wrong)


def test_a_count_is_a_whole_number() -> None:
    assert arguments.count("count", np.int64(30)) == 30
    assert arguments.count("seed", 0, least=0) == 0
    for wrong in (0, -3, 30.0, "30", True, None, math.nan):
        with pytest.raises(ArgumentError, match=r"^count: .*Expected a whole number, 1 or more\."):
            arguments.count("count", wrong)


def test_an_amount_has_its_unit_or_is_in_si() -> None:
    # 1 knot is 1852 m an hour, by definition
    assert arguments.amount("wind", "30 knot", WIND) == pytest.approx(30 * 1852 / 3600, rel=1e-12)
    assert arguments.amount("wind", quantity(10.0, "m/s"), WIND) == 10.0
    assert arguments.amount("wind", 10, WIND) == 10.0
    for wrong in ("30", "30 kN", "90 knot", -1.0, math.nan, math.inf, True, None, [30]):
        with pytest.raises(ArgumentError, match=r"^wind: .*\. Expected .*0 to 80 knot\."):
            arguments.amount("wind", wrong, WIND, least=0.0)


CALLS: list[tuple[Callable[[], Any], str]] = [
    (lambda: am.simulate(STOCK, holding_quantile=1.5), "holding_quantile: 1.5 is out of range."),
    (lambda: am.simulate(STOCK, holding_quantile=0), "holding_quantile: 0 is out of range."),
    (lambda: am.simulate(STOCK, windage=-1), "windage: -1 is out of range."),
    (lambda: am.simulate(STOCK, water=0.0), "water: 0.0 is out of range."),
    (lambda: am.simulate(STOCK, friction=math.inf), "friction: inf is out of range."),
    (lambda: am.simulate(STOCK, line_drag="1"), 'line_drag: "1" is not a number.'),
    (lambda: am.simulate(STOCK, seed=1.5), "seed: 1.5 is not a whole number."),
    (lambda: am.simulate(STOCK, seed=-1), "seed: -1 is out of range."),
    (lambda: am.simulate(STOCK, line="fine"), 'line: "fine" is not known. Expected one of coarse, full'),
    (lambda: am.simulate("night.toml"), 'scenario: "night.toml" is not a Scenario.'),
    (lambda: am.waves(STOCK, wind="30"), 'wind: "30" has no unit. Expected 0 to 80 knot.'),
    (lambda: am.waves(STOCK, wind=-3.0), "wind: -3.0 is out of range."),
    (lambda: am.waves(STOCK, direction="SW"), 'direction: "SW" is not a number with a unit.'),
    (lambda: am.waves(None), "scenario: nothing is not a Scenario."),
    (lambda: am.tide_curve("15:00 4.2 m"), 'waters: "15:00 4.2 m" is not a list.'),
    (lambda: am.tide_curve([("15:00", "4.2 m"), "21:00"]), 'tide.1: "21:00" is not a time and a height.'),
    (lambda: am.read_tide(None), "text: nothing is not text."),
    (lambda: am.read_forecast(None), "source: nothing is not a list."),
    (lambda: am.make_forecast({"time": "21:00"}), "rows: a table of keys is not a list."),
    (lambda: am.make_forecast(["21:00 20 knot"]), 'forecast.0: "21:00 20 knot" is not a row.'),
]  # type: ignore[arg-type]


@pytest.mark.parametrize(("call", "told"), CALLS, ids=[told for _, told in CALLS])
def test_a_wrong_argument_is_refused_in_a_sentence(call: Callable[[], Any], told: str) -> None:
    with pytest.raises(AnchorsimError) as caught:
        call()
    assert str(caught.value).startswith(told)
    assert FORM.fullmatch(str(caught.value)), caught.value


def test_a_wind_may_be_given_with_its_unit() -> None:
    open_water = STOCK.vary({"spot.fetches": [{"bearing": "0 degree", "distance": "5 km"}]})
    told = am.waves(open_water, wind="30 knot", direction="90 degree")
    assert told == am.waves(open_water, wind=quantity(30.0, "knot"), direction=math.pi / 2)
    assert told.height > am.waves(open_water, wind="15 knot").height > 0.0
