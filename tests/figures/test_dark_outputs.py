"""The page shows saved pictures in dark by a table of its own, which is that of the themes."""

from __future__ import annotations

import json
import re
from dataclasses import asdict
from pathlib import Path

import anchorsim
from anchorsim.core.resources import folder
from anchorsim.figures.panels import colours
from anchorsim.figures.style import theme

SCRIPT = Path(anchorsim.__file__).parent / "jupyter/share/labextensions/anchorsim/static/remoteEntry.js"


def table() -> dict[str, str]:
    text = re.search(r"const DARK = \{(.*?)\};", SCRIPT.read_text(encoding="utf-8"), re.DOTALL)
    assert text is not None
    return dict(re.findall(r"'(#[0-9A-F]{6})': '(#[0-9A-F]{6})'", text[1]))


def pairs() -> set[tuple[str, str]]:
    """Each colour of the light theme with what stands in its place in the dark one.

    A hull is as white as paper, so that the two cannot be told apart; no saved picture has one.
    """
    light, dark = asdict(theme(False)), asdict(theme(True))
    named = {(light[name], dark[name]) for name in light if isinstance(light[name], str) and name != "hull"}
    setups = zip(light["setups"], dark["setups"], strict=True)
    return named | set(setups) | set(zip(colours(theme(False)), colours(theme(True)), strict=True))


def test_every_colour_of_the_light_theme_has_that_of_the_dark_one() -> None:
    differ = {light: dark for light, dark in pairs() if light != dark}
    assert len(differ) == len({light for light, _ in pairs() if (light, light) not in pairs()})
    assert {light: table().get(light) for light in differ} == differ
    assert not {light for light, dark in pairs() if light == dark} & table().keys()


def test_every_colour_of_a_saved_picture_is_known() -> None:
    known = table().keys() | {light for light, _ in pairs()}
    found = set()
    for path in folder("notebooks").glob("*.ipynb"):
        for cell in json.loads(path.read_text(encoding="utf-8"))["cells"]:
            for output in cell.get("outputs", []):
                text = json.dumps(output.get("data", {}).get("application/vnd.plotly.v1+json", {}))
                found |= {colour.upper() for colour in re.findall(r"#[0-9A-Fa-f]{6}\b", text)}
                for parts in re.findall(r"rgba\((\d+),(\d+),(\d+),(?!0\))", text):
                    found.add("#{:02X}{:02X}{:02X}".format(*map(int, parts)))
    assert len(found) > 8
    assert found <= known
