"""The choice among set-ups: what fails least is chosen, and never later than it may be left."""

from __future__ import annotations

import re
import threading
from concurrent.futures import ThreadPoolExecutor

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

import anchorsim as am
from anchorsim.core.errors import ArgumentError
from anchorsim.environment.tide import tide_curve
from anchorsim.numerics.estimates import chance
from anchorsim.planning.choice import Option, choose, in_the_weather_of, of_night, of_spells
from anchorsim.planning.night import leave_before, overnight
from anchorsim.risk.assessment import assess
from anchorsim.scenario.forecast import Forecast, make_forecast
from anchorsim.wording.decision import NIGHT, decision

BASE = am.Scenario().vary({"spot.depth": "6 m", "tackle.scope": 5, "weather.duration": "1 min"})
SPELLS = 40
HOURS = [20 * 3600.0 + 3600.0 * hour for hour in range(8)]


@st.composite
def options(draw: st.DrawFn) -> list[Option]:
    """One to four set-ups, in the same night or in none; those over the limit have an hour to leave by."""
    night = draw(st.booleans())
    made = []
    for letter in "ABCD"[: draw(st.integers(1, 4))]:
        fails = np.arange(SPELLS) < draw(st.integers(0, SPELLS))
        over = fails.mean() > 0.05
        leave = draw(st.sampled_from(HOURS)) if night and over else None
        unfit = ("Chain",) if draw(st.booleans()) and draw(st.booleans()) else ()
        made.append(Option(letter, chance(fails), draw(st.permutations(fails)), leave, unfit))
    return made


def at(time: float) -> str:
    return f"{int(time / 3600) % 24:02d}:00"


@given(options())
def test_what_is_recommended_fails_no_more_often_than_any_other_on_offer(offer: list[Option]) -> None:
    found = choose(offer)
    fit = [each for each in offer if not each.unfit]
    assert (found.best is None) == (not fit)
    assert [each.letter for each in found.unfit] == [each.letter for each in offer if each.unfit]
    if found.best is not None:
        assert found.best.fails.likely == min(each.fails.likely for each in fit)
        assert {found.best.letter, *(each.letter for each in found.rest)} == {each.letter for each in fit}
        assert found.holds == (found.best.fails.likely <= 0.05)
        if any(each.holds for each in fit):
            assert found.holds, "where one holds, it is chosen"


@given(options())
def test_the_sentence_names_the_one_chosen_and_no_hour_after_its_first_over_the_limit(
    offer: list[Option],
) -> None:
    found = choose(offer)
    said = decision(found, NIGHT, SPELLS, places=True, at=at)
    named = re.findall(r"(?:Lie at|Be at|choose|Choose) ([A-D])\b", said.headline)
    assert set(named) <= ({found.best.letter} if found.best else set())
    by = {each.letter: each.leave_before for each in offer}
    text = " ".join([said.headline, *said.more])
    for letter, hour in re.findall(r"([A-D]) before (\d\d:\d\d)", text):
        assert by[letter] is not None and hour == at(by[letter])
    if found.best is not None and found.best.leave_before is not None:
        (hour,) = re.findall(r"eave before (\d\d:\d\d)", said.headline)
        assert hour == at(found.best.leave_before)
    if found.holds:
        assert "eave" not in said.headline and said.tone == "ok"
        late = [each.leave_before for each in found.rest if each.leave_before is not None]
        assert re.findall(r" by (\d\d:\d\d)", said.headline) == ([at(min(late))] if late else [])
    else:
        assert said.tone in ("warn", "bad")
        assert not re.search(r"\b(Stay|Lie at|Be at)\b", said.headline)
    if found.best is not None:
        assert f"{100 * found.best.fails.likely:.0f} of 100" in said.headline
    assert all(len(each.split()) <= 40 for each in [said.headline, *said.more])


def test_the_words() -> None:
    """Sentences by hand, of chances that are whole hundredths."""

    def option(letter: str, times: int, hour: int | None = None, **more: object) -> Option:
        fails = np.arange(100) < times
        return Option(letter, chance(fails), fails, None if hour is None else HOURS[hour], **more)  # type: ignore[arg-type]

    def say(*offer: Option, lasting: str = "6 hours", places: bool = True) -> str:
        return decision(choose(offer), lasting, 100, places=places, at=at).headline

    assert say(option("A", 1), option("B", 40)) == "Lie at A: fails in 1 of 100 over 6 hours, B in 40."
    assert say(option("A", 1), option("B", 40), places=False).startswith("Choose A: ")
    night = [option("A", 60, 2), option("B", 2)]
    assert say(*night, lasting=NIGHT) == "Be at B by 22:00: fails in 2 of 100 over this night, A in 60."
    assert say(option("A", 1)) == "Stay: fails in 1 of 100 (0 to 5) over 6 hours."
    assert say(option("A", 60, 2), lasting=NIGHT) == (
        "Leave before 22:00: fails in 60 of 100 (50 to 69) over this night."
    )
    both = say(option("A", 80, 0), option("B", 60, 0), lasting=NIGHT)
    assert (
        both
        == "No set-up holds this night: leave before 20:00. B fails in 60 of 100 over this night, A in 80."
    )
    apart = decision(choose([option("A", 80, 1), option("B", 60, 3)]), NIGHT, 100, at=at)
    assert apart.headline.startswith("No set-up holds this night: choose B and leave before 23:00. ")
    assert apart.more == ("Leave A before 21:00.",)
    assert say(option("A", 60)) == "Leave before this wind: fails in 60 of 100 (50 to 69) over 6 hours."
    unfit = option("A", 0, unfit=("Bow shackle",))
    assert say(unfit) == "Do not anchor on the bow shackle: not fit for use."
    assert say(unfit, option("B", 3)).startswith("Lie at B: ")
    close = decision(choose([option("A", 2), option("B", 3)]), "6 hours", 100)
    assert close.headline == "Choose A or B: A fails in 2 of 100 over 6 hours, B in 3."
    assert close.more == ("Too close to call after 100 spells: A and B.",)


def test_there_must_be_something_to_choose_from() -> None:
    with pytest.raises(ArgumentError, match="options: none given"):
        choose([])


def evening(*winds: int) -> Forecast:
    return make_forecast([
        {"time": f"21:{2 * row:02d}", "mean_wind": f"{wind} knot", "gust": f"{1.4 * wind:g} knot",
         "direction": "225 degree"}
        for row, wind in enumerate(winds)
    ])  # fmt: skip


def test_a_night_is_to_be_left_before_the_hour_in_which_the_failures_pass_the_limit() -> None:
    found = overnight(BASE, evening(15, 28, 40, 15), count=20)
    fails = np.array([hour.assessment.happened("failed") for hour in found.hours if hour.assessment])
    by_hand = [fails[: row + 1].any(axis=0).mean() for row in range(4)]
    row = next(row for row, share in enumerate(by_hand) if share > 0.05)
    assert leave_before(found) == 21 * 3600.0 + 120.0 * row
    over = found.first_over_limit
    assert over is not None and leave_before(found) <= over.si.time
    option = of_night("A", found)
    assert option.fails == found.failing and option.leave_before == leave_before(found) and not option.holds
    calm = overnight(BASE, evening(10, 12), count=4)
    assert leave_before(calm) is None and of_night("A", calm).holds


def test_one_that_takes_the_ground_always_fails_and_is_left_before() -> None:
    water = tide_curve([("21:00", "1 m"), ("21:04", "-5 m"), ("21:08", "1 m")])
    found = overnight(BASE, evening(8, 8, 8, 8), water, count=2)
    assert found.groundings and leave_before(found) == found.groundings[0].si.start
    option = of_night("A", found)
    assert option.fails.likely == 1.0 and option.fails_in.all() and not option.holds


def test_a_night_that_is_not_complete_is_no_option() -> None:
    busy = threading.Event()
    with ThreadPoolExecutor(1) as one:
        one.submit(busy.wait)
        part = overnight(BASE, evening(10, 12), count=1, executor=one, cancel=lambda: True)
        busy.set()
    assert leave_before(part) is None
    with pytest.raises(ArgumentError, match="incomplete"):
        of_night("A", part)


def test_spells_that_are_known_are_not_run_again_and_the_room_counts() -> None:
    rows = evening(15, 30)
    few, told = overnight(BASE, rows, count=4), list[tuple[int, int]]()
    grown = overnight(BASE, rows, count=8, known=few, progress=lambda done, of: told.append((done, of)))
    assert min(done for done, _ in told) > 8, "four of each hour are there at the beginning"
    whole = overnight(BASE, rows, count=8)
    for mine, other in zip(grown.hours, whole.hours, strict=True):
        assert mine.assessment == other.assessment
    tight = overnight(BASE, rows, count=8, clear_radius="20 m", known=whole)
    assert tight.failing is not None and tight.failing.likely == 1.0  # 40 m of rode


def test_a_stretch_of_spells_is_an_option() -> None:
    found = assess(BASE, 30)
    option = of_spells("B", found, "1 hour")
    assert option.fails == found.share("failed", "1 hour") and option.fails_in.sum() == found.count("failed")


def test_another_place_is_put_into_the_same_weather_with_its_own_sea() -> None:
    shown = BASE.vary(
        {"weather.mean_wind": "31 knot", "weather.gust": "44 knot", "weather.direction": "300 degree"}
    )
    other = BASE.vary({"spot.depth": "9 m", "weather.wave_height": "0.6 m", "weather.exposure": "in-land"})
    put = in_the_weather_of(shown, other)
    assert put.get("weather.mean_wind") == shown.get("weather.mean_wind")
    assert put.get("weather.direction") == shown.get("weather.direction")
    assert put.spot == other.spot and put.weather.exposure == "in-land"
    assert put.get("weather.wave_height") == other.get("weather.wave_height")
    assert in_the_weather_of(shown, shown) == shown
