"""Templates: what is filled in is escaped, what is missing is an error, and each is valid HTML."""

from __future__ import annotations

from pathlib import Path

import pytest
from jinja2 import UndefinedError

import anchorsim
from anchorsim.core.markup import macros, trusted, unbroken_page

PACKAGE = Path(anchorsim.__file__).parent
TEMPLATES = [path.relative_to(PACKAGE).as_posix() for path in sorted(PACKAGE.rglob("*.html"))]


def test_what_is_filled_in_is_escaped_once() -> None:
    words = macros("explorer/words.html")
    assert words.paragraph('a < b & "c"', "").strip() == "<p>a &lt; b &amp; &#34;c&#34;</p>"
    assert words.plain(words.plain("<i>")) == "&lt;i&gt;"
    assert words.plain(trusted("<i>")) == "<i>"


def test_what_would_turn_the_page_round_is_replaced() -> None:
    """U+202E, RIGHT-TO-LEFT OVERRIDE (Unicode Standard Annex 9); U+0000 is no character of HTML."""
    assert macros("explorer/words.html").plain("a\u202eb\x00c") == "a\ufffdb\ufffdc"


def test_what_is_missing_is_an_error() -> None:
    with pytest.raises(UndefinedError):
        macros("explorer/words.html").paragraph()
    with pytest.raises(AttributeError):
        macros("explorer/words.html").no_such_macro()


# Whole pages, and the one that all stand on, which are filled in and define nothing.
PAGES = (
    *("report/page.html", "core/page.html", "report/one_page.html", "report/handout.html"),
    *("classroom/page.html", "classroom/counts.html"),
)


@pytest.mark.parametrize("name", [name for name in TEMPLATES if name not in PAGES])
def test_every_template_compiles_and_only_once(name: str) -> None:
    assert macros(name) is macros(name)


def test_a_number_stays_with_its_unit_in_what_is_read_and_nothing_else_changes() -> None:
    html = '<p title="5 m">5 m to 60 %, 3 of 8</p><path d="M 1 1 m 2 3"/><b>9.8 kN</b>'
    assert unbroken_page(html) == (
        '<p title="5 m">5\xa0m to 60\xa0%, 3 of 8</p><path d="M 1 1 m 2 3"/><b>9.8\xa0kN</b>'
    )
