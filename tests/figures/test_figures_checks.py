"""The table of published checks: every row is there, as it is, and one that is outside is told."""

from __future__ import annotations

from dataclasses import replace
from xml.etree.ElementTree import Element

import html5lib
import pytest

from anchorsim.figures.checks import checks_table
from anchorsim.validation.published import Check, checks

ALL = checks()


def read(found: tuple[Check, ...]) -> Element:
    """The HTML as a strict parser reads it."""
    parser = html5lib.HTMLParser(strict=True, namespaceHTMLElements=False)
    tree: Element = parser.parseFragment(checks_table(found)._repr_html_())
    return tree


def texts(found: tuple[Check, ...]) -> list[list[str]]:
    return [["".join(cell.itertext()) for cell in row] for row in read(found).iterfind(".//tbody/tr")]


def test_every_check_has_its_row() -> None:
    rows = texts(ALL)
    assert len(rows) == len(ALL)
    for check, (what, _, printed, *_, source) in zip(ALL, rows, strict=True):
        assert what.lower() == check.what.lower() and what[0] == check.what[0].upper()
        assert printed.startswith(check.printed) and source == check.source
    subjects = ["".join(summary.itertext()) for summary in read(ALL).iterfind(".//summary")]
    assert len(subjects) == len({check.subject for check in ALL})
    assert subjects[0].startswith("Rode at rest: ")


def row(name: str, **changed: object) -> list[str]:
    (check,) = (check for check in ALL if check.id == name)
    (cells,) = texts((replace(check, **changed),))  # type: ignore[arg-type]
    return cells


def test_ours_is_shown_finer_than_the_tolerance() -> None:
    assert row("wind force | 0 | X", ours=-1346.4123)[2:6] == ["−1346.4 N", "−1346.412", "−0.012", "±0.05"]
    assert row("OC3-Hywind line | at rest | horizontal load", ours=736938.1)[2:5] == [
        "736 938 N", "736 938.10", "+0.10",
    ]  # fmt: skip
    bearing = row("geodesic | Flinders Peak to Buninyong | bearing", ours=306 + 52 / 60 + 5.371 / 3600)
    assert bearing[2:6] == ["306° 52′ 05.37″", "306° 52′ 05.3710″", "+0.0010″", "±0.005″"]


def test_what_is_outside_is_told_and_stands_open() -> None:
    wrong = replace(ALL[0], ours=1.02 * ALL[0].value)
    spoilt = (wrong, *ALL[1:])
    table = checks_table(spoilt)
    assert repr(table).startswith(f"{len(ALL) - 1} of {len(ALL)} within tolerance")
    assert texts(spoilt)[0][4].endswith(": outside")
    opened = [entry for entry in read(spoilt).iterfind(".//details") if "open" in entry.attrib]
    assert len(opened) == 1
    assert not [entry for entry in read(ALL).iterfind(".//details") if "open" in entry.attrib]


def test_what_a_row_says_is_text() -> None:
    assert row(ALL[0].id, what="<b>length</b> & more")[0] == "<b>length</b> & more"


@pytest.mark.parametrize("check", ALL, ids=[check.id for check in ALL])
def test_no_number_is_lost(check: Check) -> None:
    """What is shown of ours is within a twentieth of the tolerance of what it is."""
    if "°" in check.printed:
        return
    shown = row(check.id)[3].replace(" ", "").replace("−", "-")
    assert float(shown) == pytest.approx(check.ours, abs=0.05 * check.tolerance)
