"""The report as a document for a word processor, which its surveyor can edit: the blocks of the page."""

from __future__ import annotations

import base64
import io
from collections.abc import Callable, Sequence
from typing import Any

from docx import Document
from docx.document import Document as Made
from docx.enum.table import WD_TABLE_ALIGNMENT
from docx.oxml import OxmlElement
from docx.oxml.ns import qn
from docx.shared import Length, Mm, Pt, RGBColor
from docx.text.paragraph import Paragraph

from anchorsim.core.markup import readable, unbroken
from anchorsim.core.units import System
from anchorsim.report.blocks import (
    Bullets,
    Cell,
    Facts,
    Gallery,
    Heading,
    Letterhead,
    Picture,
    Report,
    Signatures,
    SourceEntry,
    Table,
    Text,
    Verdict,
    Warned,
)
from anchorsim.report.drawing import LOOK
from anchorsim.report.photographs import Photograph
from anchorsim.wording.cautions import FOR_COMPARING, Caution

_PAPER: dict[System, tuple[Length, Length]] = {  # A4, ISO 216; Letter, ANSI/ASME Y14.1 size A
    "metric": (Mm(210), Mm(297)),
    "US": (Mm(215.9), Mm(279.4)),
}
_MARGIN = Mm(16)
_INK, _FAINT = (RGBColor.from_string(each.lstrip("#").upper()) for each in (LOOK.ink, LOOK.faint))
_TONES = {"bad": "FBEEEC", "warn": "FDF6E8", "none": "EEF4F8", "ok": "EEF4F8"}
_THUMB, _SHOWN = Mm(22), Mm(56)  # widths of a photograph, in a table and by itself
_LOGO = Mm(18)  # height
_SIZES = {"Title": 20, "Heading 1": 13, "Heading 2": 12, "Heading 3": 11}  # points


def document(report: Report, system: System) -> bytes:
    """The report as a file of Office Open XML (ECMA-376), on A4 or Letter."""
    made = Document()
    _set_up(made, report, system)
    _letterhead(made, report.letterhead)
    made.add_heading(readable(report.title), 0)
    _run(made.add_paragraph(), report.subject, faint=True)
    for section in report.sections:
        if section.heading:
            made.add_heading(readable(section.heading), 1).paragraph_format.page_break_before = section.apart
        for block in section.blocks:
            _DRAWN[block.kind](made, block)
    sheet = io.BytesIO()
    made.save(sheet)
    return sheet.getvalue()


def _set_up(made: Made, report: Report, system: System) -> None:
    """Paper, letters, the words at head and foot of each sheet, and what the file says of itself."""
    sheet = made.sections[0]
    sheet.page_width, sheet.page_height = _PAPER[system]
    sheet.left_margin = sheet.right_margin = sheet.top_margin = sheet.bottom_margin = _MARGIN
    sheet.different_first_page_header_footer = True
    styles: Any = made.styles
    styles["Normal"].font.name, styles["Normal"].font.size = "Arial", Pt(10)
    styles["Normal"].paragraph_format.space_after = Pt(4)
    for name, size in _SIZES.items():
        styles[name].element.rPr.rFonts.attrib.clear()  # else the theme's letters go before those named here
        styles[name].font.name, styles[name].font.size, styles[name].font.color.rgb = "Arial", Pt(size), _INK
    _run(sheet.header.paragraphs[0], report.running, faint=True)
    sheet.header.paragraphs[0].paragraph_format.space_after = Pt(10)  # else the text begins right beneath it
    for foot in (sheet.footer, sheet.first_page_footer):
        line = foot.paragraphs[0]
        _run(line, f"{FOR_COMPARING} page ", faint=True)
        _field(line, "PAGE")
        _run(line, " of ", faint=True)
        _field(line, "NUMPAGES")
    told = made.core_properties
    told.title, told.author = readable(f"{report.title}: {report.subject}")[:255], readable(report.surveyor)
    told.comments, told.language = "", "en-GB"


def _letterhead(made: Made, head: Letterhead) -> None:
    if head.logo and head.logo.address:
        made.add_paragraph().add_run().add_picture(_picture(head.logo), height=_LOGO)
    elif head.logo:
        _run(made.add_paragraph(), f"{head.logo.name} {head.logo.wrong}.", faint=True)
    for line in head.lines:
        paragraph = made.add_paragraph()
        paragraph.paragraph_format.space_after = Pt(0)
        _run(paragraph, line, faint=True)


def _heading(made: Made, block: Heading) -> None:
    made.add_heading(readable(f"{block.number} {block.text}".strip()), block.level - 1)


def _text(made: Made, block: Text) -> None:
    _say(made.add_paragraph(), block)


def _say(paragraph: Paragraph, block: Text) -> None:
    if block.style == "note":
        paragraph.paragraph_format.left_indent = Mm(5)
    if block.style == "lead":
        paragraph.paragraph_format.keep_with_next = True
    _lead(paragraph, block.label, block.text)
    _run(paragraph, block.text, faint=block.style == "lead", small=block.style == "small")
    _refer(paragraph, block.reference)


def _facts(made: Made, block: Facts) -> None:
    table = _grid(made, (0.13, 0.37, 0.13, 0.37))
    for start in range(0, len(block.pairs), 2):
        cells, pairs = _line(table), block.pairs[start : start + 2]
        if len(pairs) == 1:  # it has the whole line
            cells[1].merge(cells[3])
        for place, (name, value) in enumerate(pairs):
            _run(cells[2 * place].paragraphs[0], name, faint=True)
            _run(cells[2 * place + 1].paragraphs[0], value)


def _warned(made: Made, block: Warned) -> None:
    _caution(made.add_paragraph(), block.caution)


def _caution(paragraph: Paragraph, caution: Caution) -> None:
    _run(paragraph, f"{caution.signal} ", bold=True)
    _run(paragraph, caution.text)


def _verdict(made: Made, block: Verdict) -> None:
    [cell] = _line(_grid(made, (1.0,)))
    _shade(cell, _TONES[block.tone])
    _run(cell.paragraphs[0], block.word, bold=True).font.size = Pt(14)
    _run(cell.add_paragraph(), block.sentences)


def _bullets(made: Made, block: Bullets) -> None:
    for entry in block.items:
        paragraph = made.add_paragraph(style="List Bullet")
        if isinstance(entry, Caution):
            _caution(paragraph, entry)
        else:
            _run(paragraph, entry)


def _table(made: Made, block: Table) -> None:
    if block.caption:
        paragraph = made.add_paragraph()
        paragraph.paragraph_format.keep_with_next = True
        _run(paragraph, block.caption, bold=True)
    table = _grid(made, block.shares)
    table.style = "Table Grid"
    if block.columns:
        for cell, name in zip(_line(table, "w:tblHeader"), block.columns, strict=True):  # again on each sheet
            _run(cell.paragraphs[0], name, bold=True, small=block.dense)
    for entry in block.rows:
        for place, (cell, said) in enumerate(zip(_line(table, "w:cantSplit"), entry.cells, strict=True)):
            _fill(cell, said, bold=place == 0, small=block.dense)
        if entry.beneath:
            wide = _line(table)
            cell = wide[0].merge(wide[-1])
            for place, more in enumerate(entry.beneath):
                _say(cell.paragraphs[0] if place == 0 else cell.add_paragraph(), more)
    made.add_paragraph().paragraph_format.space_after = Pt(0)


def _fill(cell: Any, said: Cell, bold: bool, small: bool) -> None:
    paragraph = cell.paragraphs[0]
    _lead(paragraph, said.label, said.text)
    _run(paragraph, said.text, bold=bold, small=small)
    _refer(paragraph, said.reference)
    for more in filter(None, (said.mark, said.range)):
        _run(cell.add_paragraph(), more, faint=more == said.range, bold=more == said.mark, small=True)
    for photograph in said.photographs:
        if photograph.address:
            _place(cell.add_paragraph(), photograph, _THUMB, f"Photograph: {photograph.name}")


def _shown(made: Made, block: Picture) -> None:
    drawing = block.drawing
    paragraph = made.add_paragraph()
    paragraph.paragraph_format.keep_with_next = True
    _lead(paragraph, f"{drawing.heading}.", drawing.words)
    _run(paragraph, drawing.words)
    picture = made.add_paragraph().add_run().add_picture(io.BytesIO(drawing.png), width=_inside(made))
    _describe(picture, drawing.words)


def _gallery(made: Made, block: Gallery) -> None:
    for photograph in block.photographs:
        paragraph = made.add_paragraph()
        if photograph.address:
            _place(paragraph, photograph, _SHOWN, f"Photograph: {block.words}")
            _run(made.add_paragraph(), photograph.name, faint=True)
        else:
            _run(paragraph, f"{photograph.name} {photograph.wrong}.", faint=True)


def _signatures(made: Made, block: Signatures) -> None:
    share = 1.0 / len(block.lines)
    cells = _line(_grid(made, (share,) * len(block.lines)))
    for cell, line in zip(cells, block.lines, strict=True):
        _run(cell.paragraphs[0], "\n\n" + "_" * 32 + "\n", faint=True)
        _run(cell.paragraphs[0], line, faint=True)


def _source(made: Made, block: SourceEntry) -> None:
    paragraph = made.add_paragraph()
    _run(paragraph, f"[{block.number}] {block.text} ")
    _run(paragraph, f"({block.serves})", faint=True)


_DRAWN: dict[str, Callable[[Made, Any], None]] = {
    Heading.kind: _heading,
    Text.kind: _text,
    Facts.kind: _facts,
    Warned.kind: _warned,
    Verdict.kind: _verdict,
    Bullets.kind: _bullets,
    Table.kind: _table,
    Picture.kind: _shown,
    Gallery.kind: _gallery,
    Signatures.kind: _signatures,
    SourceEntry.kind: _source,
}


def _run(
    paragraph: Paragraph, text: str, *, bold: bool = False, faint: bool = False, small: bool = False
) -> Any:
    run = paragraph.add_run(unbroken(readable(text)))
    run.bold = bold or None
    if faint:
        run.font.color.rgb = _FAINT
    if small:
        run.font.size = Pt(8.5)
    return run


def _lead(paragraph: Paragraph, label: str, text: str) -> None:
    if label:
        _run(paragraph, f"{label} " if text else label, bold=True)


def _refer(paragraph: Paragraph, number: int) -> None:
    if number:
        _run(paragraph, f" [{number}]", faint=True, small=True)


def _grid(made: Made, shares: Sequence[float]) -> Any:
    """A table without rows, whose columns have their shares of the width."""
    table = made.add_table(0, len(shares))
    table.alignment, table.autofit = WD_TABLE_ALIGNMENT.LEFT, False
    for column, share in zip(table.columns, shares, strict=True):
        column.width = Length(int(_inside(made) * share))
    return table


def _line(table: Any, mark: str = "") -> Any:
    """The cells of a new row; some programs read the width in the columns and others in the cells."""
    row = table.add_row()
    if mark:
        row._tr.get_or_add_trPr().append(OxmlElement(mark))
    for cell, column in zip(row.cells, table.columns, strict=True):
        cell.width = column.width
    return row.cells


def _inside(made: Made) -> Length:
    """The width between the margins."""
    return Length((made.sections[0].page_width or 0) - 2 * _MARGIN)


def _shade(cell: Any, colour: str) -> None:
    shade = OxmlElement("w:shd")
    shade.set(qn("w:val"), "clear")
    shade.set(qn("w:fill"), colour)
    cell._tc.get_or_add_tcPr().append(shade)


def _field(paragraph: Paragraph, name: str) -> None:
    """A number that the word processor fills in."""
    field = OxmlElement("w:fldSimple")
    field.set(qn("w:instr"), name)
    paragraph._p.append(field)


def _place(paragraph: Paragraph, photograph: Photograph, width: Length, words: str) -> None:
    _describe(paragraph.add_run().add_picture(_picture(photograph), width=width), words)


def _picture(photograph: Photograph) -> io.BytesIO:
    return io.BytesIO(base64.b64decode(photograph.address.partition(",")[2]))


def _describe(picture: Any, words: str) -> None:
    """What a reader of screens says in a picture's place."""
    picture._inline.docPr.set("descr", readable(words))
