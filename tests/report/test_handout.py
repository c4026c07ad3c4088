"""A lesson's handout: one sheet in both systems with all that it must say, and its picture by itself."""

from __future__ import annotations

import io
from pathlib import Path
from xml.etree import ElementTree

import pypdfium2
import pytest
from PIL import Image

import anchorsim as am
from anchorsim.core.units import System
from anchorsim.lessons.lesson import run
from anchorsim.report.handout import handout, handout_html, write_handout
from anchorsim.wording import lessons


@pytest.mark.parametrize(("key", "system"), [("tide", "US"), ("weakest", "metric"), ("chance", "metric")])
def test_a_lesson_fits_on_one_sheet(key: str, system: System) -> None:
    """The longest of them, and the one whose boats share a row."""
    found = run(key)
    with pypdfium2.PdfDocument(io.BytesIO(handout(found, system))) as document:
        assert len(document) == 1
        text = " ".join(document[0].get_textpage().get_text_range().split())
    assert lessons.question(key, system) in text and lessons.outcome(found, None, system) in text
    for caution in lessons.cautions(key, system):
        assert caution.text in text
    for answer in lessons.answers(key, system):
        assert answer not in text, "those are the instructor's"


def test_it_asks_the_net_for_nothing() -> None:
    html = handout_html(run("scope"), "metric")
    assert "http" not in html.replace("http-equiv", "") and "<script" not in html


def test_the_picture_is_had_as_svg_and_as_png(tmp_path: Path) -> None:
    write_handout("scope", tmp_path / "scope.svg")
    assert ElementTree.parse(tmp_path / "scope.svg").getroot().tag.endswith("svg")
    write_handout("scope", tmp_path / "scope.png")
    with Image.open(tmp_path / "scope.png") as picture:
        assert picture.width > 1000
    with pytest.raises(am.ArgumentError, match=r"path: .*unknown kind of file"):
        write_handout("scope", tmp_path / "scope.docx")
