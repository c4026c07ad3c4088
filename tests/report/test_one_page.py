"""The screen on one sheet of paper: one page, all that the screen says, nothing asked of the net."""

from __future__ import annotations

import io
import re

import pypdfium2
import pytest

from anchorsim.core.units import System
from anchorsim.report.one_page import one_page, one_page_html
from anchorsim.risk.assessment import assess
from anchorsim.scenario.scenario import Scenario
from anchorsim.wording import glance

NAME = "A boat of a very long name, " * 4 + "<b>&"
HARD = {"weather.mean_wind": "45 knot", "tackle.scope": 3, "weather.duration": "2 min"}
LONG = Scenario().vary({"title": NAME, **HARD})


@pytest.mark.parametrize("system", ["metric", "US"])
def test_one_sheet_holds_all_that_the_screen_says(system: System) -> None:
    found = assess(LONG, 8)
    sheet = one_page(found, found.run(), "6 hour", system)
    with pypdfium2.PdfDocument(io.BytesIO(sheet)) as document:
        assert len(document) == 1
        width, height = document[0].get_size()
        assert width > height
        text = " ".join(document[0].get_textpage().get_text_range().split())
    said = glance.outcome(found, "6 hour", system)
    assert said.word in text and said.sentence[:40] in text
    for figure in glance.figures(found, system):
        assert figure.value in text


def test_the_sheet_asks_the_net_for_nothing_and_text_stays_text() -> None:
    found = assess(LONG, 8)
    html = one_page_html(found, found.run(), "6 hour", "metric")
    assert "<b>&" not in html and "&lt;b&gt;&amp;" in html
    assert set(re.findall(r'(?:src|href)="(\w+):', html)) == {"data"}
    assert "<script" not in html
