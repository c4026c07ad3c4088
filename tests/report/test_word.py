"""The report as a document: opened again by the library, it holds the words of the page, on its paper."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Iterator

import docx
import pytest
from docx.document import Document
from report_page import HTML, NASTY, hostile, parsed

from anchorsim.core.resources import folder
from anchorsim.core.units import System
from anchorsim.report.blocks import Gallery, Picture, Report
from anchorsim.report.content import content
from anchorsim.report.page import page
from anchorsim.report.word import document
from anchorsim.scenario.scenario import Scenario

PAPER = {"metric": (210.0, 297.0), "US": (215.9, 279.4)}  # mm: A4, ISO 216; Letter, ANSI/ASME Y14.1 size A
SLOOP = Scenario.load(folder("shared") / "survey-neglected-sloop.toml")


@pytest.fixture(scope="module", params=["metric", "US"])
def made(request: pytest.FixtureRequest) -> tuple[Report, Document, System]:
    report = content(SLOOP, request.param)
    return report, docx.Document(io.BytesIO(document(report, request.param))), request.param


def pieces(opened: Document) -> Iterator[str]:
    """The text of all paragraphs, those in tables too."""
    for block in opened.iter_inner_content():
        if hasattr(block, "rows"):
            for row in block.rows:
                yield from dict.fromkeys(cell.text for cell in row.cells)
        else:
            yield block.text


def plain(text: str) -> str:
    return "".join(text.split())


def test_it_says_all_that_the_page_says(made: tuple[Report, Document, System]) -> None:
    """Every piece of the page's text, whatever lies between the pieces."""
    report, opened, _ = made
    said = plain(" ".join(pieces(opened)))
    for section in report.sections:
        assert plain(section.heading) in said
    shown = [piece for piece in parsed(page(report)).find(f"{HTML}body").itertext() if piece.strip()]
    missing = {piece.strip() for piece in shown if plain(piece) not in said}
    assert missing <= {report.running, "⚠\N{VARIATION SELECTOR-15}"}  # the head of each sheet, and a sign


def test_it_is_on_the_paper_of_the_units_and_names_its_author(made: tuple[Report, Document, System]) -> None:
    report, opened, system = made
    sheet = opened.sections[0]
    assert (sheet.page_width.mm, sheet.page_height.mm) == pytest.approx(PAPER[system], abs=0.1)
    assert opened.core_properties.author == report.surveyor
    assert report.running in sheet.header.paragraphs[0].text


def test_headings_are_headings_and_tables_say_theirs_again(made: tuple[Report, Document, System]) -> None:
    report, opened, _ = made
    heads = [each.text for each in opened.paragraphs if each.style.name == "Heading 1"]
    assert heads == [section.heading for section in report.sections if section.heading]
    repeated = [table for table in opened.tables if table._tbl.xpath("./w:tr/w:trPr/w:tblHeader")]
    assert len(repeated) >= 3


def test_pictures_are_in_it_with_words_for_who_cannot_see_them(made: tuple[Report, Document, System]) -> None:
    report, opened, _ = made
    drawn = [block for section in report.sections for block in section.blocks if isinstance(block, Picture)]
    told = [shape._inline.docPr.get("descr") for shape in opened.inline_shapes]
    assert told == [block.drawing.words for block in drawn]


def test_a_hostile_survey_is_text_in_it_and_nothing_more(tmp_path_factory: pytest.TempPathFactory) -> None:
    report = content(hostile(tmp_path_factory.mktemp("evil") / "own"), "metric")
    file = document(report, "metric")
    said = " ".join(pieces(docx.Document(io.BytesIO(file))))
    assert NASTY in said and "{{ 7*7 }}" in said
    with zipfile.ZipFile(io.BytesIO(file)) as opened:
        names = opened.namelist()
        links = [opened.read(name).decode() for name in names if name.endswith(".rels")]
    assert not any("External" in link for link in links)
    assert not any("vba" in name or "embeddings" in name for name in names)
    shown = [block for section in report.sections for block in section.blocks if isinstance(block, Gallery)]
    assert all(each.wrong in said for block in shown for each in block.photographs)
