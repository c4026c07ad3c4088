"""From the report's content to one self-contained page, and from that page to sheets of paper.

The page holds no script and asks the net for nothing; all that people wrote is escaped.
"""

from __future__ import annotations

from dataclasses import asdict
from importlib.resources import files

from anchorsim.core import markup
from anchorsim.core.units import System
from anchorsim.figures import theme
from anchorsim.figures.style import FONT
from anchorsim.report.blocks import Report
from anchorsim.wording.cautions import FOR_COMPARING

PAPER: dict[System, str] = {"metric": "A4", "US": "letter"}
_PRINTED = "write a file that ends in .html, which a browser prints as PDF"


class NoPaper(RuntimeError):
    """Sheets cannot be made on this machine."""


def page(report: Report) -> str:
    """The report as HTML."""
    return markup.unbroken_page(markup.page("report/page.html", report=report, style=style_sheet()))


def sheets(html: str, system: System) -> bytes:
    """The page as PDF on A4 where the units are metric, on Letter where they are US.

    Raises NoPaper where this installation lacks weasyprint, or the machine Pango, the library that sets text.
    """
    try:
        from weasyprint import CSS, HTML  # noqa: PLC0415 - needs system libraries, which the page does not
        from weasyprint.urls import URLFetcher  # noqa: PLC0415 - as above
    except ImportError:
        raise NoPaper(
            f"PDF: the package weasyprint is missing. Install anchorsim[pdf], or {_PRINTED}."
        ) from None
    except OSError:
        raise NoPaper(
            "PDF: the library Pango is missing. Install it (Debian: libpangoft2-1.0-0, macOS: pango), or "
            f"{_PRINTED}."
        ) from None
    fetcher = URLFetcher(allowed_protocols=["data"])
    paper = CSS(string=f"{_file('paper.css')}\n@page {{ size: {PAPER[system]} }}")
    document = HTML(string=html, url_fetcher=fetcher, media_type="print")
    return bytes(document.write_pdf(stylesheets=[paper]))


def style_sheet(*more: str) -> str:
    """Our own style sheet and ``more`` of them, with the colours and the letters of the screen."""
    colours = {name: value for name, value in asdict(theme()).items() if isinstance(value, str)}
    names = " ".join(f"--{name}: {value};" for name, value in colours.items())
    foot = f'@page {{ @bottom-left {{ content: "{FOR_COMPARING}" }} }}'
    widths = " ".join(f".w{share} {{ width: {share}% }}" for share in range(1, 101))  # of columns
    sheets_of_ours = "\n".join([_file("page.css"), widths, foot, *map(_file, more)])
    return markup.trusted(f":root {{ {names} --font: {FONT}; }}\n{sheets_of_ours}")


def _file(name: str) -> str:
    return files("anchorsim.report").joinpath(name).read_text(encoding="utf-8")
