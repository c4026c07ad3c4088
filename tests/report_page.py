"""What the tests of the report share: hostile scenarios, and what a page must never hold."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import html5lib
from html5lib.constants import namespaces
from PIL import Image

from anchorsim.scenario.findings import Finding
from anchorsim.scenario.scenario import Scenario

HTML = f"{{{namespaces['html']}}}"
SCRIPT = "<script>alert(1)</script>"
NASTY = (
    f"{SCRIPT}</title></style></td></table><img src=x onerror=alert(1)>\" onload='alert(1)' "
    '&amp; &#60;b&#62; {{ 7*7 }} {% raw %} <a href="javascript:alert(1)">x</a> <!-- ]]> $\\frac{1}{2}$'
)


def hostile(folder: Path) -> Scenario:
    """Script and markup in every text field, notes of 10,000 characters, photographs of every bad kind."""
    (folder / "in").mkdir(parents=True)
    Image.effect_noise((40, 30), 90).convert("RGB").save(folder / "in" / "good.jpg")
    Image.new("RGB", (3, 3), "red").save(folder.parent / "secret.png")
    (folder / "corrupt.jpg").write_bytes((folder / "in" / "good.jpg").read_bytes()[:400])
    (folder / "page.svg").write_text(f'<svg xmlns="http://www.w3.org/2000/svg">{SCRIPT}</svg>')
    (folder / "empty.png").write_bytes(b"")
    (folder / "link.png").symlink_to(folder.parent / "secret.png")
    photographs = (
        "in/good.jpg", "absent.jpg", "corrupt.jpg", "page.svg", "empty.png", "link.png", "../secret.png",
        str(folder.parent / "secret.png"), "/dev/zero", "in", "\x00.png".replace("\x00", "%00"), "x" * 500,
        f"{SCRIPT}.jpg", "https://example.org/a.png", "file:///etc/passwd", '" onerror="alert(1)',
    )  # fmt: skip
    note = (NASTY * 100)[:9_990] + "\n" + "W" * 9
    findings = (
        Finding(kind="shackle pin not moused", part="anchor shackle", note=note, photographs=photographs),
        Finding(kind="anchor tip blunt", part="anchor", note="W" * 10_000),
    )
    path = folder / "hostile.toml"
    Scenario().vary(
        {
            "title": (NASTY + "\u202e\x07\ufffe")[:199],
            "boat.name": NASTY,
            "survey.surveyor": NASTY[:200],
            "survey.client": NASTY[:200],
            "survey.place": NASTY[:200],
            "survey.notes": note,
            "survey.findings": findings,
        }
    ).save(path)
    return Scenario.load(path)


def parsed(html: str):
    """The page by html5lib in its strict mode, which raises at the first parse error of the HTML standard."""
    return html5lib.HTMLParser(strict=True).parse(html)


def harm(html: str) -> list[str]:
    """What a page holds that it must not: script, handlers, frames, forms, and addresses that leave it."""
    return list(_harm(html))


def _harm(html: str) -> Iterator[str]:
    for element in parsed(html).iter():
        if not isinstance(element.tag, str):
            yield "comment"
            continue
        name = element.tag.removeprefix(HTML)
        if name in ("script", "iframe", "object", "embed", "form", "link", "base", "svg", "math", "template"):
            yield name
        for attribute, value in element.attrib.items():
            if attribute.lower().startswith("on"):
                yield f"{name} {attribute}"
            fetched = attribute in ("src", "href", "action", "srcset", "data", "background", "poster")
            if fetched and not re.match(
                r"#source-\d+$|data:image/(jpeg|svg\+xml);base64,[A-Za-z0-9+/=]+$", value
            ):
                yield f"{name} {attribute}={value[:80]}"
            if attribute == "style":
                yield f"{name} style"
        if name == "style" and re.search(r"url\(|@import|</", element.text or ""):
            yield "style that fetches"
