"""Names that people write are text wherever they are shown: in every figure, table and screen."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import ipywidgets as widgets
import plotly
import plotly.graph_objects as go
import pytest
from html_page import Page
from playwright.sync_api import Browser

import anchorsim as am
from anchorsim.explorer import Explorer
from anchorsim.figures import VIEWS, Step, against_scope, side_by_side, through_the_night
from anchorsim.figures.scenes import scene_of
from anchorsim.figures.style import plain
from anchorsim.numerics.interval import Interval
from anchorsim.risk.comparison import Comparison, Variant
from anchorsim.scenario.scenario import Scenario

NASTY = """<b>x</b><br>&amp;&lt;i&gt; $\\frac{1}{2}$ %{x} <a href="javascript:alert(1)">y</a> "q" 's'"""
IN_TABLES = {"table", "caption", "thead", "tbody", "tr", "th", "td", "p", "b", "ul", "li", "i", "br"}
ALLOWED = IN_TABLES | {
    "button",
    "h2",
    "h3",
    "h4",
    "section",
    "small",
    "details",
    "summary",
    "div",
    "span",
    "a",
    "ol",
}


@pytest.fixture(scope="module")
def nasty() -> Scenario:
    near = {"bearing": "45 degree", "distance": "30 m"}
    return Scenario().vary(
        {
            "title": NASTY,
            "boat.name": NASTY,
            "weather.duration": "1 min",
            "surroundings.dangers": [{"name": NASTY, "at": [near]}],
            "surroundings.neighbours": [{"name": NASTY, "at": {**near, "distance": "60 m"}}],
            "survey.surveyor": NASTY,
            "survey.findings": [
                {
                    "kind": "shackle pin not moused",
                    "part": "anchor shackle",
                    "note": NASTY,
                    "photographs": [NASTY],
                }
            ],
        }
    )


@pytest.fixture(scope="module")
def told(nasty: Scenario) -> dict[str, Any]:
    """A result of each kind, in few and short spells."""
    forecast = am.make_forecast(
        [{"time": f"{hour}:00", "mean_wind": "9 knot", "direction": "0 degree"} for hour in (20, 21)]
    )
    tide = am.tide_curve([("19:00", "1 m"), ("23:30", "0.4 m")])
    assessment = am.assess(nasty, 2)
    variants = tuple(Variant(name, assessment, None) for name in (NASTY, f"2 {NASTY}"))
    return {
        "scenario": nasty,
        "run": assessment.run(),
        "assessment": assessment,
        "comparison": Comparison(variants, 2, 0.05),
        "night": am.overnight(nasty, forecast, tide, count=1),
        "forecast": forecast,
        "tide": tide,
    }


@pytest.fixture(scope="module")
def figures(told: dict[str, Any], nasty: Scenario) -> dict[str, go.Figure]:
    """Every figure that shows what a person named; the others have words of ours alone."""
    scene = scene_of(told["run"], nasty, told["assessment"])
    step = Step(5.0, Interval(1.0, 2.0, 3.0), Interval(0.0, 1.0, 2.0))
    drawn = {name: view(scene, [scene], still=5.0) for name, view in VIEWS.items()}
    return {
        **drawn,
        "comparison": side_by_side(told["comparison"]),
        "night": through_the_night(told["night"]),
        "scope": against_scope(NASTY, {NASTY: [step, step]}),
    }


def texts(value: Any) -> Iterator[str]:
    if isinstance(value, dict):
        for each in value.values():
            yield from texts(each)
    elif isinstance(value, list | tuple):
        for each in value:
            yield from texts(each)
    elif isinstance(value, str):
        yield value


def test_no_figure_takes_a_name_for_markup(figures: dict[str, go.Figure]) -> None:
    shown = set()
    for name, figure in figures.items():
        for text in texts(json.loads(figure.to_json())):
            assert not re.search(r"<b>x|<a |<i>|frac\{1\}\{2\}\$|\$\\frac", text), f"{name}: {text}"
            assert "%{x} <a" not in text and "&amp;&lt;" not in text, f"{name}: {text}"
            if "href" in text:
                shown.add(name)
    # where a name stands it is whole: in the others there is none
    assert shown == {"anchorsim-view-above", "comparison", "scope"}


def test_no_table_in_a_notebook_takes_a_name_for_markup(told: dict[str, Any]) -> None:
    named = set()
    for name, result in told.items():
        found = Page(result._repr_html_())
        assert found.seen <= IN_TABLES, f"{name}: {found.seen}"
        if NASTY in found.text:
            named.add(name)
    assert named >= {"scenario", "comparison"}


def htmls(widget: Any) -> Iterator[str]:
    if isinstance(widget, widgets.HTML) and not widget.value.startswith("<style"):
        yield widget.value
    for child in getattr(widget, "children", ()):
        yield from htmls(child)


def test_no_screen_takes_a_name_for_markup(nasty: Scenario, tmp_path: Path, monkeypatch: Any) -> None:
    """The explorer with all that it says; the survey's screens and the report have tests of their own."""
    monkeypatch.chdir(tmp_path)
    nasty.save(tmp_path / "nasty.toml")
    screen = Explorer(nasty)
    screen.files.scenarios.options = [("nasty", tmp_path / "nasty.toml")]
    screen.files.scenarios.value = tmp_path / "nasty.toml"
    screen.vary({"weather.record": NASTY})
    screen.keep()
    screen.rename("A", NASTY)
    said = list(htmls(screen))
    assert len(said) > 2 and any("javascript" in html for html in said)
    for html in said:
        assert Page(html).seen <= ALLOWED, html


@pytest.mark.browser
def test_plotly_shows_what_was_written(figures: dict[str, go.Figure], browser: Browser) -> None:
    """By plotly's own code: titles, notes, names of ticks and lines, and what appears under the pointer."""
    text = plain(NASTY)
    marked = go.Figure(go.Scatter(x=[1, 2], y=[1, 2], name=text, customdata=[text, text], showlegend=True))
    marked.data[0].hovertemplate = "%{customdata}<extra></extra>"
    marked.update_layout(title=text, annotations=[{"text": text, "x": 1, "y": 1}])
    marked.update_yaxes(tickvals=[1], ticktext=[text])
    code = Path(plotly.__file__).with_name("package_data") / "plotly.min.js"
    context = browser.new_context(offline=True)
    view = context.new_page()
    view.set_content('<div id="a" style="width:1200px;height:700px"></div>')
    view.add_script_tag(path=str(code))

    def shown(figure: go.Figure, place: str) -> list[str]:
        drawn = json.loads(figure.to_json())
        view.evaluate("figure => Plotly.react('a', figure.data, figure.layout)", drawn)
        if place == ".hovertext text":
            view.evaluate("Plotly.Fx.hover('a', [{curveNumber: 0, pointNumber: 1}])")
            view.wait_for_selector(place)
        assert view.locator("#a svg a").count() == 0
        return view.locator(place).all_text_contents()

    for place in (".gtitle", ".annotation-text", ".ytick text", ".legendtext", ".hovertext text"):
        assert NASTY in shown(marked, place), place
    assert NASTY in shown(figures["anchorsim-view-above"], ".annotation-text")
    assert shown(figures["scope"], ".gtitle")[0].startswith(NASTY)
    assert NASTY in shown(figures["scope"], ".legendtext")
    ticks = "".join(shown(figures["comparison"], ".ytick text"))
    assert re.sub(r"\s", "", NASTY) in re.sub(r"\s", "", ticks)  # it is cut into lines
    context.close()
