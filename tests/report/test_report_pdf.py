"""The report on paper: A4 and Letter, nothing beyond the margins, nothing cut off, nothing that leaves it."""

from __future__ import annotations

import ctypes
import sys
from collections.abc import Iterator
from pathlib import Path

import pypdfium2
import pytest
from pypdfium2 import raw
from report_page import hostile

from anchorsim import Scenario, appraise, recommendations, write_report
from anchorsim.core.resources import folder
from anchorsim.report.blocks import Heading
from anchorsim.report.content import content
from anchorsim.report.page import NoPaper, page, sheets
from anchorsim.survey.recommendations import all_done
from anchorsim.wording.amounts import factor
from anchorsim.wording.cautions import FOR_COMPARING
from anchorsim.wording.recommendations import remedy
from anchorsim.wording.report import outcome

POINT = 72 / 25.4  # points in a millimetre
PAPER = {
    "metric": (210 * POINT, 297 * POINT),  # A4, ISO 216
    "US": (8.5 * 72, 11 * 72),  # Letter, ANSI/ASME Y14.1 size A
}
MARGIN = 15.5 * POINT  # the page leaves 16 mm at either side
SLOOP = folder("shared") / "survey-neglected-sloop.toml"
KETCH = folder("shared") / "survey-sound-ketch.toml"

Printed = tuple[pypdfium2.PdfDocument, Scenario, str]


@pytest.fixture(scope="module", params=[(SLOOP, "metric"), (KETCH, "US")], ids=["A4", "Letter"])
def printed(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Printed]:
    """A survey's PDF, the scenario and the unit system."""
    path, system = request.param
    out = tmp_path_factory.mktemp("paper") / "report.pdf"
    scenario = Scenario.load(path)
    write_report(scenario, out, system)
    with pypdfium2.PdfDocument(out) as document:
        yield document, scenario, system


def texts_of(document: pypdfium2.PdfDocument) -> list[str]:
    return [sheet.get_textpage().get_text_range() for sheet in document]


def beyond_the_margins(document: pypdfium2.PdfDocument) -> list[str]:
    """Pieces of text that do not lie within the margins of their sheet."""
    found = []
    for sheet in document:
        (width, height), text = sheet.get_size(), sheet.get_textpage()
        for place in range(text.count_rects()):
            left, bottom, right, top = text.get_rect(place)
            if left < MARGIN or right > width - MARGIN or bottom < 0 or top > height:
                found.append(text.get_text_bounded(left, bottom, right, top))
    return found


def addresses_in(document: pypdfium2.PdfDocument) -> list[str]:
    """Where links lead out of the document."""
    found = []
    for sheet in document:
        place, link = ctypes.c_int(0), raw.FPDF_LINK()
        while raw.FPDFLink_Enumerate(sheet.raw, ctypes.byref(place), ctypes.byref(link)):
            action = raw.FPDFLink_GetAction(link)
            size = raw.FPDFAction_GetURIPath(document.raw, action, None, 0)
            if size:
                buffer = ctypes.create_string_buffer(size)
                raw.FPDFAction_GetURIPath(document.raw, action, buffer, size)
                found.append(buffer.value.decode())
    return found


def test_the_paper_is_that_of_the_unit_system(printed: Printed) -> None:
    document, _, system = printed
    for sheet in document:
        assert sheet.get_size() == pytest.approx(PAPER[system], abs=0.5)


def test_nothing_runs_into_the_margins(printed: Printed) -> None:
    assert beyond_the_margins(printed[0]) == []


def test_each_sheet_says_which_it_is_and_whose(printed: Printed) -> None:
    document, scenario, _ = printed
    texts = texts_of(document)
    for number, text in enumerate(texts, 1):
        assert f"page {number} of {len(texts)}" in text
        assert scenario.boat.name in " ".join(text.split())


def test_no_heading_is_left_alone_at_the_foot_of_a_sheet(printed: Printed) -> None:
    document, scenario, system = printed
    said = content(scenario, system)
    headings = {section.heading for section in said.sections}
    headings |= {
        f"{block.number} {block.text}".strip()
        for section in said.sections
        for block in section.blocks
        if isinstance(block, Heading)
    }
    for text in texts_of(document):
        lines = [line.strip() for line in text.splitlines() if line.strip()]
        ends = (str(FOR_COMPARING)[:30], "page ", said.running[:20])
        body = [line for line in lines if not line.startswith(ends)]
        assert body[-1] not in headings


def test_the_first_sheet_tells_a_client_all_in_two_minutes(printed: Printed) -> None:
    """Who and where, the outcome, what the work gains, and the first three jobs, if there are so many."""
    document, scenario, system = printed
    first = " ".join(document[0].get_textpage().get_text_range().split())
    found, before = recommendations(scenario), appraise(scenario)
    after = appraise(all_done(scenario, found))
    word, sentences, _ = outcome(found, before, after, system)
    gained = [f"safety factor {factor(each.weakest.safety_factor.likely)}" for each in (before, after)]
    for told in (scenario.survey.client, scenario.survey.place, word, sentences, *gained):
        assert told in first
    for entry in found[:3]:
        assert remedy(entry, system) in first


def test_what_the_client_signs_is_on_the_second_sheet_or_before(printed: Printed) -> None:
    document, scenario, _ = printed
    texts = [" ".join(text.split()) for text in texts_of(document)]
    [place] = [number for number, text in enumerate(texts) if "Received and understood" in text]
    assert place <= 1
    assert f"({scenario.survey.client})" in texts[place]
    assert "Limits of this survey" in " ".join(texts[: place + 1])


def test_a_table_says_its_headings_again_on_each_sheet_that_it_takes() -> None:
    html = page(content(Scenario.load(SLOOP), "metric"))
    row = '<tr><th scope="row">1 May</th><td>again and again</td><td>why</td><td>once</td></tr>'
    start = html.index("<tbody>", html.index("How often"))
    many = "".join(f"<tbody>{row}</tbody>" for _ in range(150))
    with pypdfium2.PdfDocument(sheets(f"{html[:start]}{many}{html[start:]}", "metric")) as document:
        texts = [text for text in texts_of(document) if "again and again" in text]
    assert len(texts) > 2
    assert all("How often" in text for text in texts)


def test_a_hostile_survey_is_whole_and_harmless_on_paper(tmp_path: Path) -> None:
    scenario = hostile(tmp_path / "own")
    with pypdfium2.PdfDocument(sheets(page(content(scenario, "metric")), "metric")) as document:
        assert beyond_the_margins(document) == []
        text = "".join(texts_of(document))
        assert text.count("W") >= 10_000
        assert text.count("7*7") >= 2 * scenario.survey.notes.count("7*7")
        assert addresses_in(document) == []
        assert raw.FPDFDoc_GetJavaScriptActionCount(document.raw) == 0
        assert document.count_attachments() == 0


def test_addresses_that_are_looked_for_would_be_found() -> None:
    html = '<!DOCTYPE html><html lang="en"><title>t</title><body><a href="https://example.org/">a</a>'
    with pypdfium2.PdfDocument(sheets(html, "metric")) as document:
        assert addresses_in(document) == ["https://example.org/"]


def test_only_data_addresses_are_opened(tmp_path: Path) -> None:
    """A page that somehow names a file gets no picture from it: the words in its place are set."""
    shown = tmp_path / "secret.svg"
    shown.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="9" height="9"><rect width="9" height="9"/></svg>'
    )
    html = f'<!DOCTYPE html><html lang="en"><title>t</title><body><img src="{shown.as_uri()}" alt="kept out">'
    with pypdfium2.PdfDocument(sheets(html, "metric")) as document:
        assert "kept out" in texts_of(document)[0]


def test_where_weasyprint_is_missing_one_is_told_what_to_do(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "weasyprint", None)  # Python's way to have an import fail
    with pytest.raises(NoPaper) as told:
        sheets("<p>", "metric")
    assert str(told.value) == (
        "PDF: the package weasyprint is missing. Install anchorsim[pdf], or write a file that ends in .html, "
        "which a browser prints as PDF."
    )
