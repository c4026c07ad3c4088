"""The public door: what a result shows of itself, and that what does not fit is refused in a sentence."""

from __future__ import annotations

import dataclasses
import datetime
import inspect
import pickle
import tempfile
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any

import numpy as np
import plotly.graph_objects as go
import pytest
from html_page import Page
from pydantic import BaseModel

import anchorsim as am
from anchorsim import line
from anchorsim.core.units import Quantity, quantity
from anchorsim.risk.limit_search import LimitSI

TITLE = "A <b>gale</b> & more, " + "at length " * 15
MINUTE = am.Scenario().vary({"weather.duration": "60 s", "title": TITLE})
CHAIN = line.Segment(length=40.0, weight=13.6, stiffness=5.5e6)
LAW = line.LoadElongation(load=(0.0, 8e3, 40e3), strain=(0.0, 0.21, 0.47))
EVENING = am.make_forecast(
    [{"time": f"{hour}:00", "mean_wind": "25 knot", "direction": "0 degree"} for hour in (18, 19)]
)
TODAY = datetime.date(2026, 11, 12)
DRAWN = {
    "Advice", "Appraisal", "Assessment", "Comparison", "Lesson", "Night", "Run", "Sensitivity",
    "SwingingRoom",
}  # fmt: skip


def made() -> Iterator[Any]:
    """One of each kind of public value, at its longest."""
    found, gale = am.assess(MINUTE, 2), MINUTE.vary({"weather.mean_wind": "50 knot"})
    yield from (
        MINUTE,
        am.waves(MINUTE),
        EVENING,
        am.tide_curve([("15:00", "4.2 m"), ("21:00", "1 m")]),
    )
    yield from (found, found.outcomes[0], found.run(), am.Interval(1.9e-7, 2.6e-7, 3.0e-7, unit="kg*m/s**2"))
    yield from (am.advise(gale, 2)[0], am.overnight(MINUTE, EVENING, count=1))
    rock = {"name": "rock", "at": [{"bearing": "45 degree", "distance": "90 m"}]}
    yield am.assess(MINUTE.vary({"surroundings.dangers": [rock]}), 1, clear_radius="80 m").clearances[0]
    ebb = am.tide_curve([("17:00", "1 m"), ("20:00", "-5 m")])
    yield am.overnight(MINUTE.vary({"spot.depth": "4 m"}), EVENING, ebb, count=1).groundings[0]
    yield from (am.appraise(MINUTE), am.recommendations(MINUTE)[0], am.calendar(MINUTE, TODAY)[0])
    yield from (am.compare({TITLE: MINUTE, "other": MINUTE}, 2), am.room_needed(MINUTE, 2))
    yield am.sensitivity(MINUTE, 16)
    yield am.lesson("scope", 2)
    tried, wind = LimitSI((3.0, 40.0), "m/s"), am.Interval(15, 16, 17, unit="m/s")
    at = am.Limit("weather.mean_wind", 0.05, wind, tried, "", 200)
    scope = am.Limit("tackle.scope", 0.05, None, LimitSI((1.2, 8.0)), "greatest", 200)
    yield from (at, am.ScopeLimits(scope, scope, None))
    yield from (CHAIN, LAW, one := line.Line((CHAIN,), 7.0), one.solve(1e3), one.curve(), one.shape(1e3))


@pytest.fixture(scope="module")
def values() -> dict[str, Any]:
    return {type(one).__name__: one for one in made()}


def names() -> dict[str, Any]:
    """Every public name, those of the line among them."""
    own = {name: getattr(am, name) for name in am.__all__ if name != "line"}
    return own | {name: getattr(line, name) for name in line.__all__}


def kinds() -> list[str]:
    return [
        name for name, each in names().items() if isinstance(each, type) and not issubclass(each, Exception)
    ]


@pytest.mark.parametrize("kind", kinds())
def test_a_value_is_frozen_and_shows_itself_in_a_line_and_a_page(kind: str, values: dict[str, Any]) -> None:
    value = values[kind]
    field = next(iter(_fields(type(value))))
    with pytest.raises((AttributeError, ValueError)):
        setattr(value, field, getattr(value, field))
    shown = repr(value)
    assert shown.startswith(f"<{kind}") and shown.endswith(">"), shown
    assert "\n" not in shown and len(shown) <= 120, shown
    page = Page(value._repr_html_())
    assert not page.open
    assert kind == "Assessment" or "b" not in page.seen, "a title is text"
    assert page.text.strip()


@pytest.mark.parametrize("kind", kinds())
def test_what_has_a_picture_draws_it_and_what_has_a_sentence_says_it(
    kind: str, values: dict[str, Any]
) -> None:
    value = values[kind]
    assert hasattr(value, "figure") == (kind in DRAWN)
    if kind in DRAWN:
        picture = value.figure()
        assert isinstance(picture, go.Figure)
        assert any(len(trace.x) for trace in picture.data if trace.x is not None)
    if hasattr(value, "sentence"):
        assert value.sentence() and value.sentence("US")


# What each amount is called, by the unit of SI that it is kept in.
CALLED = {
    "m": "anchor_x anchor_y clear_radius closest depth distance drag drag_distance height least "
    "length_on_bottom paid_out radius reach sea swing_radius tide water x y z",
    "s": "end lasts low_water period start time",
    "m/s": "current gust mean_wind wind_east wind_north wind_speed",
    "radian": "angle_at_anchor bearing current_set direction heading peak_uplift uplift wind_direction",
    "N": "anchor_load bow_load holding horizontal_load load load_at_anchor load_at_bow loads mean peak "
    "peak_anchor_load peak_load spread strength vertical_load_at_bow",
    "N/m": "stiffness",
}
UNIT = {name: unit for unit, names in CALLED.items() for name in names.split()} | {"Tide.height": "m"}
# Floats without a unit: shares, chances, factors, scopes; and an interval's ends, which are in its own unit.
NUMBERS = {
    "Assessment.use", "Comparison.chance", "Curve.rope_share", "Due.times", "Figures.safety",
    "Figures.today",
    "Figures.utilisation", "Figures.weakest_safety", "Hour.scope", "Hour.sea_adds", "Interval.high",
    "Interval.likely", "Interval.low", "Limit.chance", "Limit.tried", "Ranking.mean", "Ranking.spread",
    "Run.holding_used", "Sensitivity.dragged",
}  # fmt: skip
GIVEN = {"Line", "LoadElongation", "Rode", "Segment"}  # what people give as numbers in SI
INSIDE = {
    "Candidate",
    "GearPart",
    "Misfit",
    "Plan",
    "Scenario",
}  # of these only what is written in a file carries units


def results(values: Iterable[Any]) -> Iterator[Any]:
    """One of each kind of value that is public, or within one that is, but for what is given or inside."""
    seen, left = set[str](), list(values)
    while left:
        value = left.pop()
        kind = type(value).__name__
        if kind in seen or kind in GIVEN | INSIDE:
            continue
        seen.add(kind)
        yield value
        for _, held in carried(value):
            left += [each for each in (held if isinstance(held, tuple) else (held,)) if _ours(each)]


def carried(value: Any) -> Iterator[tuple[str, Any]]:
    """The public attributes of a result with their values, but for its inside."""
    for name in dir(value):
        if not name.startswith("_") and name not in ("si", "spells", "quantity"):
            held = getattr(value, name)
            if not callable(held):
                yield name, held


def _ours(held: Any) -> bool:
    return type(held).__module__.startswith("anchorsim.") and not isinstance(held, BaseModel)


def _bare(held: Any) -> bool:
    """Whether it is a float or an array of them, or a tuple that holds one."""
    if isinstance(held, tuple):
        return any(map(_bare, held))
    return isinstance(held, float) or (isinstance(held, np.ndarray) and held.dtype.kind == "f")


def test_what_has_a_unit_is_a_quantity_and_stands_as_a_float_in_si(values: dict[str, Any]) -> None:
    found = list(results(values.values()))
    assert {"Clearance", "Figures", "Grounding", "Hour", "Ranking"} <= {
        type(value).__name__ for value in found
    }
    for value in found:
        kind = type(value).__name__
        for name, held in carried(value):
            where = f"{kind}.{name}"
            assert not _bare(held) or where in NUMBERS, f"{where} is a bare float"
            if isinstance(held, Quantity):
                assert held.units == quantity(1.0, UNIT[name]).units, where
                inside = getattr(getattr(value, "si", None), name, held.m)
                np.testing.assert_array_equal(inside, held.m, err_msg=where)


def test_results_with_amounts_go_to_other_processes_and_back(values: dict[str, Any]) -> None:
    for kind in ("Run", "Outcome", "Waves", "Tide", "Forecast", "SwingingRoom", "Curve", "Limit"):
        sent = pickle.loads(pickle.dumps(values[kind]))
        assert repr(sent) == repr(values[kind])


def _fields(kind: type) -> list[str]:
    if issubclass(kind, BaseModel):
        return list(kind.model_fields)
    if dataclasses.is_dataclass(kind):
        return [field.name for field in dataclasses.fields(kind)]
    return list(kind._fields)  # type: ignore[attr-defined]


GOOD = {
    "scenario": MINUTE, "variants": {"one": MINUTE}, "over": {"tackle.scope": [4, 5]}, "forecast": EVENING,
    "today": TODAY, "segments": (CHAIN,), "rise": 7.0, "horizontal_load": 1e3, "path": "never.html",
    "results": None, "name": "scope",
}  # fmt: skip
WRONG = {
    "of": "sinking",
    "scenario": "night.toml", "count": 0, "first": -1, "seed": -1, "chance": 5, "chances": [0.05, 2],
    "known": "before", "clear_radius": -5.0, "room": -1.0, "share": 2.0, "today": "tomorrow",
    "forecast": "fine", "tide": "high", "system": "imperial", "variants": {}, "over": {}, "wind": -1.0,
    "direction": "east", "rows": "calm", "source": 3, "text": 3, "waters": 3, "line": "fine",
    "asked": "beauty", "title": 3, "minutes": 0.5, "spells": 1,
    "holding_quantile": 1.5, "windage": -1.0, "water": 0.0, "friction": -1.0, "line_drag": float("nan"),
    "segments": (), "rise": -1.0, "horizontal_load": -1.0, "depth": -1.0, "slope": 9.0, "results": "many",
    "name": "sinking", "last": "last-year.toml",
}  # fmt: skip
UNCHECKED = {"executor", "progress", "cancel", "path", "file", "folder", "letterhead_file"}  # by the system


def functions() -> dict[str, Any]:
    return {
        name: each
        for name, each in names().items()
        if callable(each) and not isinstance(each, type) and name != "look_up"  # the kernels' own
    }


def refusals() -> list[tuple[str, str]]:
    return [
        (name, parameter)
        for name, function in functions().items()
        for parameter in inspect.signature(function).parameters
        if parameter not in UNCHECKED
    ]


@pytest.mark.parametrize(("name", "parameter"), refusals())
def test_an_argument_that_does_not_fit_is_refused_by_its_name(name: str, parameter: str) -> None:
    function = functions()[name]
    given = {each: GOOD[each] for each in inspect.signature(function).parameters if each in GOOD}
    wrong = WRONG[parameter]
    if name == "compare" and parameter == "clear_radius":
        wrong = {"one": -5.0}
    if name == "write_geojson":
        given["scenario"] = MINUTE.vary(
            {"surroundings.anchor": {"latitude": "50 degree", "longitude": "-4 degree"}}
        )
        given["room"] = am.room_needed(MINUTE, 1)
        given["path"] = f"{tempfile.gettempdir()}/never.geojson"
    with pytest.raises(am.ArgumentError, match=rf"^{parameter}\b.*: .+\. Expected .+[.?]$"):
        function(**{**given, parameter: wrong})
    assert not Path(str(given.get("path", "never"))).exists()
