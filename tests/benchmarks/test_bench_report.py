"""How long a report takes: the page, the sheets of paper, and the spells within them.

Each round has a little more tide, so that its spells are run anew, as when the command is given.
"""

from __future__ import annotations

from itertools import count
from pathlib import Path
from typing import Any

import pytest

from anchorsim import Scenario, recommendations, write_report
from anchorsim.core.resources import folder

pytestmark = pytest.mark.benchmark(group="report")
SURVEY = Scenario.load(folder("shared") / "survey-neglected-sloop.toml")
TIDES = count(1)


def another() -> Scenario:
    return SURVEY.vary({"spot.tide": f"{next(TIDES) / 1000} m"})


@pytest.mark.parametrize("ending", ["html", "pdf", "docx"])
def test_a_report(benchmark: Any, tmp_path: Path, ending: str) -> None:
    out = tmp_path / f"report.{ending}"
    benchmark.pedantic(lambda: write_report(another(), out), rounds=2, warmup_rounds=1)
    assert out.stat().st_size > 50_000


def test_the_watches_and_recommendations_within_it(benchmark: Any) -> None:
    found = benchmark.pedantic(lambda: recommendations(another()), rounds=2, warmup_rounds=1)
    assert found
