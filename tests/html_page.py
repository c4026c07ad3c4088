"""A piece of HTML as a browser would take it: the tags that are opened and closed, and the text in them."""

from __future__ import annotations

from html.parser import HTMLParser

VOID = {"br", "hr", "img", "input", "link", "meta"}  # of the HTML standard, 13.1.2: they have no end


class Page(HTMLParser):
    """``seen``: all tags; ``open``: those that are not closed.  No tag may run a script."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.open: list[str] = []
        self.seen: set[str] = set()
        self.text = ""
        self.feed(str(html))  # markup would be escaped again where the parser cuts it
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.open += [tag] if tag not in VOID else []
        self.seen.add(tag)
        for name, value in attrs:
            assert not name.startswith("on")
            assert name != "href" or not str(value).startswith("javascript")

    def handle_endtag(self, tag: str) -> None:
        assert tag in VOID or self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        self.text += data
