"""What a report is made of, whatever it is written as: sections of blocks, in the order of reading.

Page and Word document are drawn from the same blocks, so that no sentence stands twice.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import ClassVar, Literal

from anchorsim.report.drawing import Drawing
from anchorsim.report.photographs import Photograph
from anchorsim.wording.cautions import Caution
from anchorsim.wording.glance import Tone

Style = Literal["plain", "lead", "small", "note"]


@dataclass(frozen=True)
class Heading:
    """A heading within a section, 3 or 4 deep; ``number`` stands before it."""

    kind: ClassVar[str] = "heading"
    text: str
    level: int = 3
    number: str = ""


@dataclass(frozen=True)
class Text:
    """A paragraph behind a lead-in in bold; a note is as somebody typed it, with its lines."""

    kind: ClassVar[str] = "text"
    text: str
    label: str = ""
    style: Style = "plain"
    reference: int = 0


@dataclass(frozen=True)
class Facts:
    """Names and values, two pairs side by side."""

    kind: ClassVar[str] = "facts"
    pairs: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class Warned:
    """A safety sentence under its signal word."""

    kind: ClassVar[str] = "warned"
    caution: Caution


@dataclass(frozen=True)
class Verdict:
    """The outcome: a few words, and the sentences that say why."""

    kind: ClassVar[str] = "verdict"
    word: str
    sentences: str
    tone: Tone


@dataclass(frozen=True)
class Bullets:
    """A list of sentences, some of them under a signal word."""

    kind: ClassVar[str] = "bullets"
    items: tuple[str | Caution, ...]


@dataclass(frozen=True)
class Cell:
    """A cell of a table: a lead-in in bold, text, a range beneath, a mark in a frame, photographs."""

    text: str
    label: str = ""
    range: str = ""
    mark: str = ""
    reference: int = 0
    photographs: tuple[Photograph, ...] = ()


@dataclass(frozen=True)
class Row:
    """Cells side by side, the first of which names the row, and sentences across all columns beneath."""

    cells: tuple[Cell, ...]
    beneath: tuple[Text, ...] = ()


@dataclass(frozen=True)
class Table:
    """Rows under the names of the columns, if there are any; ``shares`` of the width add up to 1."""

    kind: ClassVar[str] = "table"
    rows: tuple[Row, ...]
    shares: tuple[float, ...]
    columns: tuple[str, ...] = ()
    caption: str = ""
    dense: bool = False


@dataclass(frozen=True)
class Picture:
    """A drawing under its heading and words."""

    kind: ClassVar[str] = "picture"
    drawing: Drawing


@dataclass(frozen=True)
class Gallery:
    """Photographs with their names, or why they are not shown; ``words`` say what is on them."""

    kind: ClassVar[str] = "gallery"
    photographs: tuple[Photograph, ...]
    words: str


@dataclass(frozen=True)
class Signatures:
    """Lines to sign on, side by side: who signs, and what for."""

    kind: ClassVar[str] = "signatures"
    lines: tuple[str, ...]


@dataclass(frozen=True)
class SourceEntry:
    """A source under the number by which the report refers to it."""

    kind: ClassVar[str] = "source"
    number: int
    text: str
    serves: str


Block = (
    Heading | Text | Facts | Warned | Verdict | Bullets | Table | Picture | Gallery | Signatures | SourceEntry
)


@dataclass(frozen=True)
class Section:
    """A part of the report under its heading; ``apart`` begins a new sheet."""

    heading: str  # none where the title is enough
    blocks: tuple[Block, ...]
    apart: bool = False


@dataclass(frozen=True)
class Letterhead:
    """Whose paper it is: lines, and a mark."""

    lines: tuple[str, ...] = ()
    logo: Photograph | None = None


@dataclass(frozen=True)
class Report:
    """All that a report says.  ``subject`` is what the title is about, and ``running`` heads each sheet."""

    title: str
    subject: str
    running: str
    surveyor: str
    letterhead: Letterhead
    sections: tuple[Section, ...]


def rows(pairs: Iterable[tuple[str, str]]) -> tuple[Row, ...]:
    """A row for each name and value."""
    return tuple(Row((Cell(name), Cell(value))) for name, value in pairs)
