"""The odds that are always live: they grow while a person looks, and begin anew with a move."""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from typing import ClassVar

import numpy as np
import pytest

from anchorsim.explorer.odds import BAD, COUNTS, FIRST, MEDIAN, REST, Odds, number_of
from anchorsim.explorer.pace import Pace
from anchorsim.risk.assessment import Assessment, assess
from anchorsim.scenario.scenario import Scenario

BRIEF = Scenario().vary({"weather.duration": "1 min"})
OTHER = BRIEF.vary({"tackle.scope": 8})


async def grown(*, until: int, then_other: bool = False) -> list[Assessment]:
    told: list[Assessment] = []
    odds = Odds(Pace(lambda: iter(())), told.append, lambda found: found.peak_load)  # type: ignore[arg-type,return-value]
    odds.begin(assess(BRIEF, 8))
    if then_other:
        await asyncio.sleep(0.02)
        odds.begin(assess(OTHER, 8))
    for _ in range(3000):
        if told and len(told[-1]) >= until:
            break
        await asyncio.sleep(0.02)
    odds.end()
    return told


def test_they_grow_from_the_spells_with_the_picture() -> None:
    told = asyncio.run(grown(until=COUNTS[-1]))
    assert [len(found) for found in told] == list(COUNTS)
    assert told[-1] == assess(BRIEF, COUNTS[-1])


def test_more_begin_when_a_person_has_looked_a_while() -> None:
    class Watch(Pace):
        asked: ClassVar[list[float]] = []

        def after(self, seconds: float, action: Callable[[], object]) -> None:
            self.asked.append(seconds)

    async def main() -> list[int]:
        told: list[Assessment] = []
        odds = Odds(Watch(lambda: iter(())), told.append, lambda found: None)  # type: ignore[arg-type,return-value]
        odds.begin(assess(BRIEF, 8))
        while not Watch.asked:
            await asyncio.sleep(0.02)
        return [len(found) for found in told]

    assert asyncio.run(main()) == [COUNTS[0]]
    assert Watch.asked == [REST]


def test_a_move_begins_anew_and_nothing_of_the_earlier_is_told() -> None:
    told = asyncio.run(grown(until=COUNTS[0], then_other=True))
    assert {found.scenario for found in told} == {OTHER}


def test_what_is_ended_tells_nothing_more() -> None:
    async def main() -> list[Assessment]:
        told: list[Assessment] = []
        odds = Odds(Pace(lambda: iter(())), told.append, lambda found: None)  # type: ignore[arg-type,return-value]
        odds.begin(assess(BRIEF, 8))
        odds.end()
        await asyncio.sleep(1.0)
        return told

    assert asyncio.run(main()) == []


def test_without_a_screen_nobody_looks_and_nothing_is_run() -> None:
    odds = Odds(Pace(lambda: iter(())), pytest.fail, pytest.fail)  # type: ignore[arg-type,return-value]
    odds.begin(assess(BRIEF, 8))


def test_the_spell_that_is_chosen_stands_where_it_is_said_to() -> None:
    found = assess(BRIEF, 101)
    peaks = dict(zip(found.spells.number.tolist(), found.spells.peak_load.tolist(), strict=True))
    assert peaks[number_of(found, MEDIAN)] == np.median(list(peaks.values()))
    assert sum(peak > peaks[number_of(found, BAD)] for peak in peaks.values()) == 5  # 1 in 20 is worse
    assert number_of(found, FIRST) == number_of(None, MEDIAN) == 0
