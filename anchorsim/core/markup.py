"""HTML by templates, which lie beside the modules that fill them in, named by their path in the package.

What is filled in is escaped, save what a template made or :func:`trusted` says is our own.  Each template is
compiled once.
"""

from __future__ import annotations

import functools
import re
import unicodedata
from collections.abc import Callable
from typing import Any, Protocol, cast

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

TURNING = frozenset(
    "\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069"
)  # would turn text on a page round
_BEFORE_UNIT = re.compile(r"(?<=\d) (?=(?:%|°|kN|lbf|kn|kg|lb|t|m|mm|ft|in|s|min|h)(?!\w))")
_BETWEEN_TAGS = re.compile(r"(?<=>)[^<>]+(?=<)")


class Macros(Protocol):
    """What a template defines, by name: each macro gives HTML."""

    def __getattr__(self, name: str) -> Callable[..., Markup]: ...


def page(name: str, **values: Any) -> str:
    """A whole page of the template at ``name``, filled in."""
    return _templates().get_template(name).render(values)


@functools.cache
def macros(name: str) -> Macros:
    """The macros of the template at ``name``.

    >>> macros("core/display.html").table("Chain & rope", [("length", "<40 m>")])
    Markup('<table><caption>Chain &amp; rope</caption><tr><th>length</th><td>&lt;40 m&gt;</td></tr></table>')
    """
    return cast(Macros, _templates().get_template(name).module)


def trusted(text: str) -> Markup:
    """HTML, SVG or CSS of our own, which is taken in as it stands."""
    return Markup(text)


@functools.cache
def _templates() -> Environment:
    return Environment(
        loader=PackageLoader("anchorsim", ""),
        autoescape=True,
        undefined=StrictUndefined,
        finalize=readable,
        trim_blocks=True,
        lstrip_blocks=True,
        auto_reload=False,
    )


def readable(value: Any) -> Any:
    """Text without characters that HTML forbids or that would turn the page's own text round."""
    if not isinstance(value, str) or isinstance(value, Markup) or value.isprintable():
        return value
    return "".join(character if _allowed(character) else "\N{REPLACEMENT CHARACTER}" for character in value)


def unbroken_page(html: str) -> str:
    """The same HTML with each number in its text kept on one line with its unit."""
    return _BETWEEN_TAGS.sub(lambda found: unbroken(found[0]), html)


def unbroken(text: str) -> str:
    """Text with each number kept on one line with its unit.

    >>> unbroken("about 60 % bulkier, 14 mm")
    'about 60\\xa0% bulkier, 14\\xa0mm'
    """
    return _BEFORE_UNIT.sub("\N{NO-BREAK SPACE}", text)


def _allowed(character: str) -> bool:
    code = ord(character)
    if character in "\n\t":
        return True
    nameless = code & 0xFFFE == 0xFFFE or 0xFDD0 <= code <= 0xFDEF
    return not (nameless or character in TURNING or unicodedata.category(character) in ("Cc", "Cs"))
