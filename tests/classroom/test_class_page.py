"""The page without a browser: its figures are the package's, it is small, and a stranger's text is text."""

from __future__ import annotations

import math
import re
from concurrent.futures import CancelledError, ThreadPoolExecutor
from pathlib import Path

import html5lib
import numpy as np
import pytest
from made_page import book, unpacked
from numpy.typing import NDArray
from test_quantised import columns

from anchorsim import ArgumentError, Scenario, assess, class_page, simulate
from anchorsim.classroom.class_runs import class_runs
from anchorsim.classroom.page import html
from anchorsim.cli import main
from anchorsim.core.units import System
from anchorsim.figures import units_of

OVER = {"tackle.scope": [3, 7], "weather.mean_wind": ["15 knot", "30 knot"]}
SPELLS = 4


@pytest.fixture(scope="module")
def scenario() -> Scenario:
    return Scenario().vary(
        {"title": "How much scope?", "weather.wave_height": "0.4 m", "weather.wave_period": "3 s"}
    )


@pytest.fixture(scope="module")
def page(scenario: Scenario) -> str:
    return class_page(scenario, OVER, minutes=2, seed=5, spells=SPELLS)


def printed(
    values: NDArray[np.float64], factor: float, digits: int
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Numbers as the player prints them, and what their last place is worth.

    ``digits`` significant ones and at most two decimals; whole numbers where it is 0.
    """
    shown = values * factor
    leading = np.floor(np.log10(np.maximum(np.abs(shown), 1e-9))) + 1
    worth = 10.0 ** -np.clip(digits - leading if digits else 0 * leading, -9, 2)
    return np.round(shown / worth) * worth, worth


@pytest.mark.parametrize("system", ["metric", "US"])
def test_moving_figures_are_the_packages_to_the_printed_digit(
    scenario: Scenario, page: str, system: System
) -> None:
    units, cells = units_of(system), book(page)["cells"]
    shown = (
        ("bow_load", units.force.factor, 3),
        ("wind_speed", units.speed.factor, 2),
        ("angle_at_anchor", 180 / math.pi, 0),
        ("heading", 180 / math.pi, 0),
    )
    for scope, wind, cell in ((3, "15 knot", cells[0]), (7, "30 knot", cells[3])):
        one = scenario.vary({"tackle.scope": scope, "weather.mean_wind": wind, "weather.duration": "2 min"})
        track, (found, _) = simulate(one, seed=5).si, columns(unpacked(cell["data"])[1])
        for name, factor, digits in shown:
            (said, worth), (meant, _) = (
                printed(each, factor, digits) for each in (found[name], getattr(track, name))
            )
            # A value within a tenth of a digit of where rounding turns may be printed on its other side.
            assert np.mean(np.isclose(said, meant, rtol=0, atol=1e-9)) > 0.98, name
            assert np.all(np.abs(said - meant) < 1.01 * worth), name


def test_the_line_that_checks_it_prints_the_same_figures(
    scenario: Scenario, page: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    tree, read = html5lib.parse(page, namespaceHTMLElements=False), book(page)
    (shown,) = (each.text for each in tree.iter("pre") if each.get("id") == "scenario")
    file = tmp_path / "scenario.toml"
    file.write_text(shown, encoding="utf-8")
    for place, (scope, wind) in enumerate([(0, 0), (0, 1), (1, 0), (1, 1)]):
        settings = [read["axes"][0]["set"][scope], read["axes"][1]["set"][wind], read["duration"]]
        for system, more in (("metric", []), ("US", ["--us"])):
            sets = [part for setting in settings for part in ("--set", setting)]
            assert main(["run", str(file), *sets, "--seed", str(read["seed"]), *more]) == 0
            out, cell = capsys.readouterr().out, read["cells"][place]
            for label, said in list(zip(read["rows"], cell[system], strict=True))[:5]:
                assert re.search(rf"^  {label} +{re.escape(said)} ", out, re.MULTILINE), (label, said, out)


def test_the_other_spells_are_those_of_an_assessment(scenario: Scenario, page: str) -> None:
    one = scenario.vary({"tackle.scope": 3, "weather.mean_wind": "30 knot", "weather.duration": "2 min"})
    found, cell = assess(one, SPELLS), book(page)["cells"][1]
    likely = found.peak_load.to("kN").likely
    assert cell["metric"][-2].startswith(f"{likely:.2g} kN")
    dragged = found.count("dragged")
    assert cell["metric"][-1] == {0: "in none of 4 spells", 4: "in all 4 spells"}.get(
        dragged, f"in {dragged} of 4 spells"
    )


def test_what_happened_is_the_quotient_of_the_two_runs(scenario: Scenario, page: str) -> None:
    runs = [
        simulate(
            scenario.vary(
                {"tackle.scope": scope, "weather.mean_wind": "30 knot", "weather.duration": "2 min"}
            ),
            seed=5,
        )
        for scope in (3, 7)
    ]
    first, second = (run.peak_load.to("kN").magnitude for run in runs)
    said = re.search(r"It was ([\d.]+) times: ([\d.]+) kN against ([\d.]+) kN\.", page)
    assert said
    assert [float(each) for each in said.groups()] == pytest.approx([first / second, first, second], rel=0.05)
    choices = [1 / 3, 0.5, 1.0, 1.5, 2.0, 3.0]
    off = [abs(math.log(first / second / each)) for each in choices]
    assert book(page)["nearest"] == off.index(min(off))
    assert ("caps the load" in page) == any(run.dragged for run in runs)


def test_any_executor_gives_the_same_page_and_progress_is_told(scenario: Scenario, page: str) -> None:
    told: list[tuple[int, int]] = []
    with ThreadPoolExecutor(2) as workers:
        other = class_page(
            scenario,
            OVER,
            minutes=2,
            seed=5,
            spells=SPELLS,
            executor=workers,
            progress=lambda *how: told.append(how),
        )
    assert other == page
    assert told[-1] == (4 + 4 * SPELLS, 4 + 4 * SPELLS)
    assert told == sorted(told)
    with pytest.raises(CancelledError):
        class_page(scenario, OVER, cancel=lambda: True)


def test_ninety_six_runs_of_five_minutes_fit_into_five_megabytes() -> None:
    """From four of the most unquiet: bare chain in shallow water with a sea, whose loads compress worst."""
    rough = Scenario().vary(
        {
            "weather.wave_height": "1 m",
            "weather.wave_period": "4.5 s",
            "spot.depth": "4 m",
            "tackle.snubber.length": "0 m",
        }
    )
    found = class_page(rough, {"tackle.scope": [4, 9], "weather.mean_wind": ["20 knot", "35 knot"]}, spells=2)
    runs = [len(cell["data"]) for cell in book(found)["cells"]]
    assert len(found) - sum(runs) + 96 * max(runs) < 5_000_000


HOSTILE = "</script><img src=x onerror=alert(1)><!-- {{ 7*7 }} \"'&"


@pytest.fixture(scope="module")
def hostile() -> Scenario:
    return Scenario().vary(
        {
            "title": HOSTILE,
            "surroundings.dangers": [
                {"name": HOSTILE[:60], "shape": "point", "at": [{"bearing": "10 degree", "distance": "70 m"}]}
            ],
        }
    )


def test_what_a_stranger_wrote_is_text(hostile: Scenario) -> None:
    page = class_page(hostile, {"tackle.scope": [3, 7]}, minutes=1, spells=2, title=f"{HOSTILE}\u202e")
    tree = html5lib.HTMLParser(strict=True).parse(page)
    tags = [each.tag.rpartition("}")[2] for each in tree.iter() if isinstance(each.tag, str)]
    assert tags.count("script") == 2
    assert not {"img", "iframe", "object", "embed", "link", "base", "form", "svg"} & set(tags)
    (heading,) = (each.text for each in tree.iter() if str(each.tag).endswith("}h1"))
    assert heading == f"{HOSTILE}\N{REPLACEMENT CHARACTER}"
    assert not [name for each in tree.iter() for name in each.attrib if str(name).startswith("on")]


def test_the_page_asks_for_nothing_and_runs_its_own_script_alone(page: str, scenario: Scenario) -> None:
    (policy,) = re.findall(r'http-equiv="Content-Security-Policy" content="([^"]+)"', page)
    rules = dict(rule.partition(" ")[::2] for rule in policy.replace("&#39;", "'").split("; "))
    assert rules["default-src"] == rules["connect-src"] == "'none'"
    assert re.fullmatch(r"'sha256-[A-Za-z0-9+/]{43}='", rules["script-src"])
    assert not re.findall(r'(?:src|href|action)="', page.split("<script", 1)[0])
    served = html(class_runs(scenario, {"tackle.scope": [3, 7]}, minutes=1, spells=2), "metric", served=True)
    assert "connect-src &#39;self&#39;" in served and book(served)["served"] is True


def test_arguments_that_do_not_fit_are_refused() -> None:
    for wrong, said in (
        ({"minutes": 0.5}, "minutes: 0.5"),
        ({"minutes": math.nan}, "minutes: nan"),
        ({"spells": 1}, "spells"),
        ({"asked": "beauty"}, "asked"),
        ({"system": "imperial"}, "system"),
        ({"seed": -1}, "seed"),
    ):
        with pytest.raises(ValueError, match=said):
            class_page(Scenario(), OVER, **wrong)  # type: ignore[arg-type]
    with pytest.raises(ArgumentError, match="no path"):
        class_page(Scenario(), {})
