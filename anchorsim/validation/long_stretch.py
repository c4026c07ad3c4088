"""Six hours sailed without a break, to hold the chance over a stretch against that is told from ten minutes.

What the runs come to stands in ``data/reference/long_stretch.csv``, kind "calculated": for each case 200
spells of ten minutes and ``STRETCHES`` runs of six hours, each with a draw and gusts of its own, none of them
twice.  ``python -m anchorsim.validation.long_stretch`` sails what the file does not have yet; all of it takes
three quarters of an hour of one core.  Move the file away first when hull, sea, line or anchor change.

An anchor that creeps a little in every spell may be a metre off by the end without ever having dragged.  What
tells that from spells is not how often it drags but how often it creeps by ``CREEPS_ON``.

The wind is steady in all cases: in a stretch the weather stays as it is, and a shift or a squall comes once
in a run however long it is.
"""

from __future__ import annotations

import csv
import math
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from anchorsim.core.resources import folder
from anchorsim.dynamics.anchor_travel import CREEPS_FROM, DRAGS_FROM
from anchorsim.dynamics.motion_kernel import SAMPLE_STEP
from anchorsim.dynamics.simulation import simulate
from anchorsim.risk.draws import draw
from anchorsim.risk.stretch import CREEPS_ON
from anchorsim.scenario.scenario import Scenario
from anchorsim.strength.capacity import carried, in_line
from anchorsim.strength.degradation import as_found

Floats = NDArray[np.float64]

FILE = "reference/long_stretch.csv"  # in data/
SPELLS, STRETCHES = 200, 300
FIRST = 1000  # number of the draw of the first stretch
MINUTES = {"spell": 10, "stretch": 360}
MEASURED = (
    "holding used", "moved [m]", "moved in ten minutes [m]", "load over strength",
    "moved 0.1 m [min]", "moved 1 m [min]", "moved 1 m in ten minutes [min]",
)  # fmt: skip
STEADY = {"weather.shift": "0 degree"}

# What may happen: how far the anchor moves in a spell, m, and when it happened in a stretch.
HAPPENS = {
    "moves": (CREEPS_FROM, "moved 0.1 m [min]"),
    "is a metre off": (CREEPS_ON, "moved 1 m [min]"),
    "drags": (DRAGS_FROM, "moved 1 m in ten minutes [min]"),
}
# A file of the examples, and what is varied in it.
CASES: dict[str, tuple[str, dict[str, Any]]] = {
    "sloop, calm": ("rode-all-chain", {"weather.mean_wind": "12 knot"}),
    "sloop, near gale": ("sloop-gale-veering", STEADY),
    "sloop, gale and waves": (
        "sloop-gale-veering",
        {
            **STEADY, "weather.mean_wind": "36 knot", "weather.gust": "50 knot",
            "weather.wave_height": "0.6 m", "weather.wave_period": "3.3 s",
        },
    ),
    "sloop, scope 3": ("classroom-scope", {}),
    "sloop, scope 5": ("classroom-scope", {"tackle.scope": 5}),
    "catamaran, gale": ("catamaran-bridle", {"weather.mean_wind": "34 knot"}),
    "rope, near gale": ("rode-rope-with-lead", {"weather.mean_wind": "30 knot"}),
    "weekender, current": ("weekender-combination", {}),
    "ketch, deep": ("ketch-deep-anchorage", {"weather.mean_wind": "18 knot"}),
    "as found, neglected": ("survey-neglected-sloop", {}),
    "as found, light anchor": ("survey-light-motor-cruiser", {}),
}  # fmt: skip


def scenario(case: str, length: str) -> Scenario:
    """A case's scenario, a "spell" or a "stretch" long."""
    file, changes = CASES[case]
    setup = Scenario.load(folder("shared") / f"{file}.toml")
    return setup.vary({**changes, "weather.duration": f"{MINUTES[length]} min"})


def figures(case: str, length: str, number: int) -> tuple[float, ...]:
    """What one run comes to, as ``MEASURED``.

    The share of its holding that the anchor was asked for; how far it ended from where it was let go, and the
    farthest that it ever was from where it had been ten minutes before; the load over the least strength left
    of the part nearest to breaking; when it first was 0.1 m and 1 m from where it was let go, and 1 m from
    where it had been ten minutes before, infinite where it never was.
    """
    setup = scenario(case, length)
    run = simulate(as_found(setup), **draw(number)._asdict())
    parts = in_line(setup)
    loads = carried(parts, np.array([run.si.peak_load]), np.array([run.si.peak_anchor_load]))[:, 0]
    least = np.array([part.strength_left.low for part in parts])
    x, y = run.si.anchor_x, run.si.anchor_y
    back = np.maximum(np.arange(len(x)) - round(60.0 * MINUTES["spell"] / SAMPLE_STEP), 0)
    off, lately = np.hypot(x, y), np.hypot(x - x[back], y - y[back])
    return (
        run.holding_used, float(off[-1]), float(lately.max()), float((loads / least).max()),
        first(off >= CREEPS_FROM), first(off >= DRAGS_FROM), first(lately >= DRAGS_FROM),
    )  # fmt: skip


def first(samples: NDArray[np.bool_]) -> float:
    """Minutes to the first sample that is true; infinite where none is."""
    return float(np.argmax(samples)) * SAMPLE_STEP / 60.0 if samples.any() else math.inf


def numbers(length: str) -> range:
    """The numbers of the draws of the spells or of the stretches."""
    return range(SPELLS) if length == "spell" else range(FIRST, FIRST + STRETCHES)


def _file() -> Path:
    return folder("data") / FILE


@dataclass(frozen=True)
class Sailed:
    """What a case's spells or stretches come to: ``number`` (n,), ``figures`` (n, 7) as ``MEASURED``."""

    number: NDArray[np.int64]
    figures: Floats


def read() -> dict[tuple[str, str], Sailed]:
    """The file, by case and length."""
    found: dict[tuple[str, str], list[tuple[float, ...]]] = {}
    if _file().exists():
        with _file().open(newline="", encoding="utf-8") as rows:
            for row in csv.DictReader(rows):
                figures = tuple(float(row[name]) for name in ("number", *MEASURED))
                found.setdefault((row["case"], row["length"]), []).append(figures)
    each = {key: np.array(sorted(rows)) for key, rows in found.items()}
    return {key: Sailed(rows[:, 0].astype(np.int64), rows[:, 1:]) for key, rows in each.items()}


def write() -> None:
    """Sail what is not in the file: of each case one, then of each the next."""
    known = read()
    done = {(*key, int(number)) for key, sailed in known.items() for number in sailed.number}
    with _file().open("a", newline="", encoding="utf-8") as rows:
        out = csv.writer(rows, lineterminator="\n")
        if not known:
            out.writerow(["case", "length", "number", *MEASURED])
        for length in MINUTES:
            for number in numbers(length):
                for case in CASES:
                    if (case, length, number) not in done:
                        row = [f"{figure:.6g}" for figure in figures(case, length, number)]
                        out.writerow([case, length, number, *row])
                rows.flush()


if __name__ == "__main__":
    write()
