"""Storm planning on the screen without a browser: what it says is what the computation says."""

from __future__ import annotations

import asyncio
import math
from datetime import UTC, datetime
from html.parser import HTMLParser
from pathlib import Path

import numpy as np
import pytest

from anchorsim.core.resources import folder
from anchorsim.core.units import quantity, show, si
from anchorsim.environment.tide import read_tide
from anchorsim.explorer import Explorer
from anchorsim.explorer.pace import Pace
from anchorsim.explorer.planning.screen import Planning
from anchorsim.planning.advice import advise
from anchorsim.planning.night import overnight
from anchorsim.risk.assessment import assess
from anchorsim.risk.limits import limit_wind
from anchorsim.risk.monte_carlo import spells
from anchorsim.scenario.forecast import read_forecast
from anchorsim.scenario.scenario import Scenario
from anchorsim.wording import advice, limits
from anchorsim.wording import assessment as wording
from anchorsim.wording import night as night_wording

COUNT = 50
WINDY = Scenario().vary(
    {
        "weather.duration": "1 min",
        "weather.mean_wind": "30 knot",
        "weather.gust": "42 knot",
        "tackle.scope": 3,
    }
)


@pytest.fixture
def screen() -> Explorer:
    found = Explorer(WINDY)
    planning = Planning(found, Pace(lambda: iter(())), COUNT, samples=32, hourly=2)
    found.planning = planning
    return found


def text(html: str) -> str:
    found: list[str] = []
    parser = HTMLParser()
    parser.handle_data = found.append  # type: ignore[method-assign]
    parser.feed(html)
    return "".join(found)


def said(screen: Explorer) -> str:
    return text(screen.planning.said.children[0].value)


def test_odds_and_limits_are_those_of_the_spells(screen: Explorer) -> None:
    screen.planning.odds.click()
    found = assess(WINDY, COUNT)
    told = said(screen)
    assert wording.odds(found) in told and wording.over(found) in told
    most = found.most_loaded
    over = f"over its WLL in {100 * most.overloaded.likely:.0f} of 100 spells ("
    assert f"Most heavily loaded: {most.name[0].lower()}{most.name[1:]}, {over}" in told
    load, radius = (np.quantile(each, 0.95) for each in (found.spells.peak_load, found.spells.radius))
    assert found.bad_peak_load.likely == pytest.approx(load, rel=0.02)
    assert found.bad_radius.likely == pytest.approx(radius, rel=0.02)
    assert (  # of 50 spells none bounds 95 of 100
        f"load at the bow at least {found.bad_peak_load.likely / 1000:.2g} kN, "
        f"swinging radius at least {found.bad_radius.likely:.2g} m" in told
    )
    for limit in limit_wind(WINDY, (0.01, 0.05, 0.5), COUNT):
        assert f"{100 * limit.chance:g} in 100{limits.value(limit)}" in told
    for part in found.parts:
        assert part.use.likely < 2.0  # from there on in two digits
        assert f"{part.name}{100 * part.use.likely:.0f} % of WLL" in told


def test_the_ranges_on_screen_come_from_the_spells(screen: Explorer) -> None:
    assert screen.assessment is not None and len(screen.assessment.outcomes) == 8
    screen.planning.odds.click()
    assert len(screen.assessment.outcomes) == COUNT
    dragged = int((spells(WINDY, COUNT).drag >= 1.0).sum())  # 1 m or more
    assert screen.assessment.count("dragged") == dragged > 0
    assert f"The anchor drags in {dragged} of {COUNT} spells" in screen.sentence.value


def test_advice_is_given_within_the_room_and_tried(screen: Explorer) -> None:
    wide = assess(WINDY, COUNT).bad_radius.likely + 1.0
    screen.planning.room.value = wide
    screen.planning.helps.click()
    found = advise(WINDY, COUNT, clear_radius=wide)
    rows = screen.planning.said.children
    assert len(rows) == min(len(found), 6)
    for row, piece in zip(rows, found, strict=False):
        told = text(row.children[0].value)
        parts = [advice.action(piece), *advice.claims(piece), *advice.doubts(piece)]
        parts += map(str, advice.cautions(piece))
        parts = [advice.sentence(piece)] if piece.leave else parts
        assert all(part in told for part in parts)
    place = next(place for place, piece in enumerate(found) if piece.change)
    rows[place].children[1].click()
    assert screen.scenario == found[place].change.apply(WINDY)
    assert "for the set-up before your last change" in screen.planning.age.value
    assert not screen.planning.back.disabled
    screen.planning.back.click()
    assert screen.scenario == WINDY and screen.planning.back.disabled
    assert screen.planning.age.value == ""


def test_the_clear_radius_may_be_left_blank(screen: Explorer) -> None:
    room = screen.planning.room
    assert room.value is None and room.blank == "unlimited" and screen.planning._clear_radius() is None
    screen.units.value = "US"
    assert room.value is None and room.low == pytest.approx(1.0 / 0.3048)  # 0 is no radius
    screen.units.value = "metric"
    assert room.low == pytest.approx(1.0)


def test_the_room_she_has_is_in_the_units_of_the_screen(screen: Explorer) -> None:
    screen.planning.room.value = 30.0
    screen.units.value = "US"
    assert screen.planning.room.unit == "ft"
    assert screen.planning.room.value == pytest.approx(30.0 / 0.3048)  # the international foot
    assert screen.planning._clear_radius() == pytest.approx(30.0)
    screen.units.value = "metric"
    assert screen.planning.room.value == pytest.approx(30.0)


def test_what_was_moved_last_is_what_is_asked_about(screen: Explorer) -> None:
    screen._pending = {"tackle.scope": 4.5}
    assert screen.wanted == screen.scenario.vary({"tackle.scope": 4.5})
    screen._pending = {"tackle.scope": -1.0}
    assert screen.wanted == screen.scenario, "what cannot be is left"
    screen._pending = {}


def test_what_matters_is_told_and_drawn(screen: Explorer) -> None:
    screen.planning.matters.click()
    assert said(screen).startswith("Largest sources of uncertainty in peak load at the bow: ")
    [picture] = screen.planning.drawn.children
    assert len(picture.data) == 4, "whole and own part, of the load and of dragging"


def test_set_ups_are_put_up_compared_and_shown_in_pairs(screen: Explorer) -> None:
    planning = screen.planning
    planning.name.value = "short <b>"
    planning.add.click()
    screen.vary({"tackle.scope": 6})
    planning.add.click()
    planning.add.click()
    assert list(planning.variants) == ["short <b>", WINDY.title, f"{WINDY.title} (2)"]
    assert "short &lt;b&gt;" in planning.listed.value
    planning.compare.click()
    table = said(screen)
    for variant in planning.variants.values():
        low, likely, high = (100 * end for end in assess(variant, COUNT).chance("dragged"))
        assert f"{likely:.0f} in 100 ({low:.0f} to {high:.0f})" in table
    [pair] = planning.beneath.children
    pair.children[2].click()
    assert screen.before[1].scenario == WINDY
    assert screen.scenario.tackle.scope == 6
    assert "Before" in screen.compared.value
    planning.clear.click()
    assert planning.variants == {} and planning.listed.value == ""


def test_no_more_than_twelve_are_put_up(screen: Explorer) -> None:
    for _ in range(14):
        screen.planning.add.click()
    assert len(screen.planning.variants) == 12
    assert screen.planning.add.disabled
    assert "The list is full (12)." in screen.planning.listed.value


def test_a_calm_has_no_limit_and_says_the_rest(screen: Explorer) -> None:
    screen.turn_to(WINDY.vary({"weather.mean_wind": "0 knot", "weather.gust": "0 knot"}))
    screen.planning.odds.click()
    assert said(screen).startswith("In 0 of 100 1-minute spells of this weather (0 to ")
    assert "Mean wind" not in said(screen) and "May break in" in said(screen)


def test_units_are_switched_in_what_was_said(screen: Explorer) -> None:
    screen.planning.odds.click()
    assert " kN" in said(screen)
    screen.units.value = "US"
    assert " lbf" in said(screen) and " kN" not in said(screen)


def test_it_is_stopped_while_it_runs() -> None:
    """On a loop, as in a notebook: the screen answers while spells run, and Stop is heard."""

    async def scene() -> Planning:
        long = WINDY.vary({"weather.duration": "360 min"})
        screen = Explorer(WINDY)
        screen.scenario = long
        planning = screen.planning
        planning.odds.click()
        assert planning.odds.disabled and not planning.stop.disabled
        await asyncio.sleep(0.2)
        planning.stop.click()
        for _ in range(600):
            await asyncio.sleep(0.05)
            if not planning.odds.disabled:
                break
        return planning

    planning = asyncio.run(scene())
    assert text(planning.said.children[0].value).strip() == "Stopped."
    assert not planning.odds.disabled and planning.stop.disabled


def test_the_range_of_an_earlier_scenario_is_not_taken(screen: Explorer) -> None:
    found = assess(WINDY, COUNT)
    screen.vary({"tackle.scope": 5})
    before = screen.assessment
    screen.range_from(found)
    assert before is not None and screen.assessment is before
    assert si(screen.scenario.weather.mean_wind) > 0


def test_a_night_is_gone_through_and_its_hours_shown(screen: Explorer) -> None:
    planning = screen.planning
    planning.nights.ask.click()
    assert "Choose a forecast first." in said(screen)
    path = folder("shared") / "forecast-quiet-night.csv"
    planning.nights.forecasts.value = path
    planning.nights.ask.click()
    found = overnight(WINDY, read_forecast(path), count=2)
    assert night_wording.sentence(found) in said(screen)
    for hour in found.hours:
        assert found.forecast.clock.text(hour.time) in said(screen)
    [slider] = planning.beneath.children[0].children
    slider.value = slider.options[2]
    hours = [hour for hour in found.hours if not hour.aground]
    assert screen.scenario == hours[2].scenario
    assert planning.age.value == "", "the night is still that of the set-up as it was let go"
    planning.back.click()
    assert screen.scenario == WINDY


def test_high_and_low_water_are_typed(screen: Explorer) -> None:
    """The forecast has dates and begins at 20:00; the tide is typed as times of day, from before that."""
    path = folder("shared") / "forecast-quiet-night.csv"
    nights = screen.planning.nights
    nights.forecasts.value, nights.waters.value = path, "17:30 0.4 m\n23:40\n"
    nights.ask.click()
    assert 'line 2: "23:40" is not a time and a height' in said(screen)
    typed = "17:30 0.4 m\n23:40 2.9 m\n05:50 0.5 m\n12:00 3 m"
    nights.waters.value = typed
    nights.ask.click()
    found = overnight(WINDY, read_forecast(path), read_tide(typed), count=2)
    assert np.ptp([hour.tide for hour in found.hours]) > 2.0
    assert night_wording.sentence(found) in said(screen)
    for hour in found.hours:
        assert show(quantity(hour.depth, "m"), "m", digits=2) in said(screen)


def test_a_forecast_is_brought_and_a_wrong_one_refused(
    screen: Explorer, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    content = b"time,mean wind [knot],gust [knot],wind direction [degree]\n20:00,often,20,200\n"
    upload = {"name": "../my night.csv", "type": "text/csv", "size": len(content), "content": content}
    screen.planning.nights.bring.value = ({**upload, "last_modified": datetime.now(UTC)},)
    assert screen.planning.nights.forecasts.value == tmp_path / "my-night.csv"
    screen.planning.nights.ask.click()
    assert "line 2" in said(screen) and "often" in said(screen)


def test_what_lies_round_her_is_drawn_and_told(screen: Explorer) -> None:
    brief = {"weather.duration": "1 min", "weather.shift": "0 degree", "spot.fetches": ()}
    cove = Scenario.load(folder("shared") / "cove-with-neighbour.toml").vary(brief)
    screen.turn_to(cove)
    drawn = {area.name: area for area in screen.scene.dangers}
    assert set(drawn) == {"Reef", "Sea wall", "Ketch's anchor"}
    north, east = 55.0 * math.cos(math.radians(35.0)), 55.0 * math.sin(math.radians(35.0))
    assert (drawn["Reef"].x[0], drawn["Reef"].y[0]) == pytest.approx((north, east))
    assert len(drawn["Sea wall"].x) == 4, "there and back"
    screen.planning.odds.click()
    for one in assess(cove, COUNT).clearances:
        assert wording.clearance(one) in said(screen)


def test_a_shelving_bottom_is_drawn_and_told(screen: Explorer) -> None:
    """6 m at the anchor, rising by 4°: (6 − 2) m / tan 4° on there is what she draws, across the slope."""
    beach = {"spot.slope": "4 degree", "spot.deepens_towards": "225 degree", "boat.draught": "2 m"}
    scenario = Scenario().vary({**beach, "spot.depth": "6 m", "weather.duration": "1 min"})
    screen.turn_to(scenario)
    (edge,) = screen.scene.dangers
    assert edge.name == "Too shallow past this line at low water"
    along = (edge.x + edge.y) * math.sqrt(0.5)
    assert along == pytest.approx([4.0 / math.tan(math.radians(4.0))] * 4)
    assert screen.scene.slope == pytest.approx(math.radians(4.0))
    screen.planning.odds.click()
    assert "the shelving bottom" in said(screen)
