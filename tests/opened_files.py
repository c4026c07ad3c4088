"""Every door through which a file comes in, as functions of its path, and one good file for each.

A door gives what it read or raises AnchorsimError; anything else is a fault of ours.
"""

from __future__ import annotations

import contextlib
import json
import tempfile
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

from PIL import Image

import anchorsim as am
from anchorsim.cli import _changes
from anchorsim.core.errors import AnchorsimError
from anchorsim.core.resources import folder
from anchorsim.environment.wind_record import read_record
from anchorsim.explorer.survey.file import SurveyFile, last_one, surveys
from anchorsim.jupyter.contents import ships_in
from anchorsim.jupyter.copies import NO_NOTEBOOK, _digest
from anchorsim.jupyter.notebook_file import read_notebook
from anchorsim.report.photographs import photograph
from anchorsim.scenario.recorded_wind import record_of
from anchorsim.scenario.scenario import Scenario

RECORD = (
    "time,mean wind [knot],gust [knot],wind direction [degree],note\n"
    '2031-05-14T18:00,12,18,350,"calm, yet"\n2031-05-14T18:10,14.5,20,355,\n2031-05-14T18:20,16,,5,veered\n'
)
TIDE = "2031-05-14 17:30 0.4 m\n2031-05-14 23:40 2.9 m\n\n2031-05-15 05:50, 0.5 m\n"
NEAR = """format = 1
title = "Cove"
[weather]
mean_wind = "18 knot"
[spot]
depth = "6 m"
fetches = [{ bearing = "200 degree", distance = "900 m" }, { bearing = "20 degree", distance = "90 m" }]
[surroundings]
low_water = "0.3 m"
anchor = { latitude = "50.1 degree", longitude = "-5.02 degree" }
[[surroundings.dangers]]
name = "Rock awash"
depth = "1.5 m"
at = [{ latitude = "50.1005 degree", longitude = "-5.021 degree" }]
[[surroundings.neighbours]]
at = { bearing = "90 degree", distance = "70 m" }
boat = { model = "sloop-12" }
"""
SURVEY = """format = 1
title = 'Survey'
[survey]
surveyor = "A. Person"
date = 2031-04-02
looked_at = ["anchor", "chain"]
notes = \"\"\"Two lines
of notes.\"\"\"
[survey.log]
chain_new = 2024-05-01
[[survey.findings]]
kind = "shackle pin not moused"
part = "anchor shackle"
photographs = ["pin.jpg"]
[[survey.findings]]
kind = "chain rusted"
part = "chain"
grade = "surface"
note = "see \\u00b0"
"""
NOTEBOOK = {
    "cells": [{"cell_type": "code", "metadata": {}, "outputs": [], "source": ["import anchorsim\n", "1"]}],
    "metadata": {},
    "nbformat": 4,
    "nbformat_minor": 5,
}


def _tide(path: Path) -> Any:
    return am.read_tide(path.read_bytes().decode("utf-8", "surrogateescape"))


def _survey(path: Path) -> Any:
    """As the survey's screen does: the list of the folder, the last one, then the file."""
    surveys(path.parent), last_one(path.parent)
    scenario = Scenario.load(path)
    file = SurveyFile.at(path.parent, path, scenario, {})
    return [file.photograph(name) for found in scenario.survey.findings for name in found.photographs]


def _recorded(path: Path) -> Any:
    return record_of(Scenario.load(path))


def _set(path: Path) -> Any:
    """What the command line is given after ``--set``, line by line."""
    given = path.read_bytes().decode("utf-8", "surrogateescape").split("\n")
    return Scenario().vary(_changes([pair for pair in given if pair]))


def _photograph(path: Path) -> Any:
    found = photograph(path.parent, path.name)
    if found.wrong:
        raise AnchorsimError(found.wrong)
    return found


def _notebook(path: Path) -> Any:
    """As the server does: whether it is one of ours, whether it was changed, and what a page is given."""
    ours = ships_in(path)
    with contextlib.suppress(*NO_NOTEBOOK):
        _digest(path)
    return ours, json.dumps(read_notebook(path), allow_nan=False)


DOORS: dict[str, Callable[[Path], Any]] = {
    "scenario": Scenario.load,
    "survey": _survey,
    "recorded": _recorded,
    "record": read_record,
    "forecast": am.read_forecast,
    "tide": _tide,
    "dangers": am.read_dangers,
    "set": _set,
    "photograph": _photograph,
    "notebook": _notebook,
}
ENDINGS = {
    "scenario": ".toml",
    "survey": ".toml",
    "recorded": ".toml",
    "photograph": ".jpg",
    "notebook": ".ipynb",
}


def good_files() -> dict[str, list[bytes]]:
    """Some files for each door that it reads."""
    shared = folder("shared")
    with tempfile.TemporaryDirectory() as place:
        near = Path(place) / "near.toml"
        near.write_text(NEAR, encoding="utf-8")
        am.write_geojson(Scenario.load(near), Path(place) / "near.geojson")
        chart = json.loads((Path(place) / "near.geojson").read_text())
        pictures = []
        for kind in ("jpeg", "png", "webp", "gif", "tiff", "bmp"):
            Image.effect_noise((24, 16), 90).convert("RGB").save(Path(place) / f"a.{kind}")
            pictures.append((Path(place) / f"a.{kind}").read_bytes())
    shapes = [
        {"type": "LineString", "coordinates": [[-5.0, 50.1], [-5.01, 50.11]]},
        {"type": "Polygon", "coordinates": [[[-5.0, 50.1], [-5.01, 50.1], [-5.0, 50.2], [-5.0, 50.1]]]},
        {"type": "MultiPoint", "coordinates": [[-5.0, 50.1], [-5.01, 50.11]]},
    ]
    chart["features"] += [
        {"type": "Feature", "properties": {"what": None, "name": "Reef", "depth": 1.5}, "geometry": shape}
        for shape in [*shapes, {"type": "GeometryCollection", "geometries": shapes}]
    ]
    for feature in chart["features"]:
        feature["properties"].pop("what")
    recorded = 'format = 1\n[weather]\nrecord = "wind.csv"\nduration = "5 min"\n'
    forecasts = [path.read_bytes() for path in sorted(shared.glob("forecast-*.csv"))]
    return {
        "scenario": [NEAR.encode(), *((shared / f"{n}.toml").read_bytes() for n in ("rode-all-chain",))],
        "survey": [SURVEY.encode()],
        "recorded": [recorded.encode()],
        "record": [RECORD.encode(), RECORD.replace(",", ";").encode("utf-16")],
        "forecast": forecasts,
        "tide": [TIDE.encode()],
        "dangers": [json.dumps(chart).encode()],
        "set": [b'tackle.scope=7\nspot.depth="8 m"\ntackle.snubber.length = 6 m\ntitle=Cove'],
        "photograph": pictures,
        "notebook": [json.dumps(NOTEBOOK, indent=1).encode()],
    }


@contextlib.contextmanager
def house() -> Iterator[Path]:
    """A folder as a person's own, with what the files of :func:`good_files` name."""
    with tempfile.TemporaryDirectory() as place:
        (Path(place) / "wind.csv").write_text(RECORD, encoding="utf-8")
        Image.effect_noise((24, 16), 90).convert("RGB").save(Path(place) / "pin.jpg")
        yield Path(place)
