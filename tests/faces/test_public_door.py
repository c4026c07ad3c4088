"""The public door: what a result shows of itself, and that what does not fit is refused in a sentence."""

from __future__ import annotations

import dataclasses
import datetime
import inspect
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import plotly.graph_objects as go
import pytest
from html_page import Page
from pydantic import BaseModel

import anchorsim as am
from anchorsim import line

TITLE = "A <b>gale</b> & more, " + "at length " * 15
MINUTE = am.Scenario().vary({"weather.duration": "60 s", "title": TITLE})
CHAIN = line.Segment(length=40.0, weight=13.6, stiffness=5.5e6)
LAW = line.LoadElongation(load=(0.0, 8e3, 40e3), strain=(0.0, 0.21, 0.47))
EVENING = am.make_forecast(
    [{"time": f"{hour}:00", "mean_wind": "25 knot", "direction": "0 degree"} for hour in (18, 19)]
)
TODAY = datetime.date(2026, 11, 12)
DRAWN = {"Advice", "Appraisal", "Assessment", "Comparison", "Night", "Run", "Sensitivity", "SwingingRoom"}


def made() -> Iterator[Any]:
    """One of each kind of public value, at its longest."""
    found, gale = am.assess(MINUTE, 2), MINUTE.vary({"weather.mean_wind": "50 knot"})
    yield from (
        MINUTE,
        am.Waves(0.5, 3.0, 0.0),
        EVENING,
        am.tide_curve([("15:00", "4.2 m"), ("21:00", "1 m")]),
    )
    yield from (found, found.outcomes[0], found.run(), am.Interval(1.9e-7, 2.6e-7, 3.0e-7, unit="kg*m/s**2"))
    yield from (am.advise(gale, 2)[0], am.overnight(MINUTE, EVENING, count=1))
    yield from (am.appraise(MINUTE), am.recommendations(MINUTE)[0], am.calendar(MINUTE, TODAY)[0])
    yield from (am.compare({TITLE: MINUTE, "other": MINUTE}, 2), am.room_needed(MINUTE, 2))
    yield am.sensitivity(MINUTE, 16)
    at = am.Limit("weather.mean_wind", 0.05, am.Interval(15, 16, 17, unit="m/s"), (3.0, 40.0), "", 200)
    scope = am.Limit("tackle.scope", 0.05, None, (1.2, 8.0), "greatest", 200)
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


def _fields(kind: type) -> list[str]:
    if issubclass(kind, BaseModel):
        return list(kind.model_fields)
    if dataclasses.is_dataclass(kind):
        return [field.name for field in dataclasses.fields(kind)]
    return list(kind._fields)  # type: ignore[attr-defined]


GOOD = {
    "scenario": MINUTE, "variants": {"one": MINUTE}, "over": {"tackle.scope": [4]}, "forecast": EVENING,
    "today": TODAY, "segments": (CHAIN,), "rise": 7.0, "horizontal_load": 1e3, "path": "never.html",
    "results": None,
}  # fmt: skip
WRONG = {
    "of": "sinking",
    "scenario": "night.toml", "count": 0, "first": -1, "seed": -1, "chance": 5, "chances": [0.05, 2],
    "known": "before", "clear_radius": -5.0, "room": -1.0, "share": 2.0, "today": "tomorrow",
    "forecast": "fine", "tide": "high", "system": "imperial", "variants": {}, "over": {}, "wind": -1.0,
    "direction": "east", "rows": "calm", "source": 3, "text": 3, "waters": 3, "line": "fine",
    "holding_quantile": 1.5, "windage": -1.0, "water": 0.0, "friction": -1.0, "line_drag": float("nan"),
    "segments": (), "rise": -1.0, "horizontal_load": -1.0, "depth": -1.0, "slope": 9.0, "results": "many",
}  # fmt: skip
UNCHECKED = {"executor", "progress", "cancel", "path", "file", "folder"}  # by Python and the system


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
