"""Night and comparison without a browser: what stands there is what one computation says."""

from __future__ import annotations

import asyncio
from datetime import UTC, datetime
from pathlib import Path

import pytest

from anchorsim.core.units import si
from anchorsim.environment.tide import read_tide
from anchorsim.explorer import Explorer
from anchorsim.explorer.planning.together import place_of
from anchorsim.planning.choice import choose, of_night, of_spells
from anchorsim.planning.night import overnight
from anchorsim.risk.assessment import assess
from anchorsim.scenario.forecast import read_forecast
from anchorsim.scenario.scenario import Scenario
from anchorsim.wording import decision

WINDY = Scenario().vary({
    "weather.duration": "1 min", "weather.mean_wind": "30 knot", "weather.gust": "42 knot", "tackle.scope": 3,
})  # fmt: skip
COUNT = 20
HEAD = "time,mean wind [knot],gust [knot],wind direction [degree]\n"
FRESH = HEAD + "20:00,16,22,200\n20:02,24,33,210\n20:04,20,28,220\n"
GALE = HEAD + "20:00,16,22,200\n20:02,36,48,215\n20:04,20,28,220\n"


@pytest.fixture
def screen(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Explorer:
    monkeypatch.chdir(tmp_path)
    Path("fresh.csv").write_text(FRESH)
    Path("gale.csv").write_text(GALE)
    found = Explorer(WINDY)
    found.outlook.counts = (COUNT,)
    return found


def lanes(screen: Explorer) -> dict[str, dict]:
    return {one["letter"]: one for one in screen.compare.lanes.set_ups}


def to(screen: Explorer, page: str) -> None:
    screen.frame.head.page = page


def press(widget: object, **content: object) -> None:
    widget._handle_custom_msg(content, [])  # type: ignore[attr-defined]


def test_what_is_on_screen_and_what_is_kept_are_compared_at_once(screen: Explorer) -> None:
    screen.keep()
    screen.vary({"tackle.scope": 8})
    assert screen.outlook.told is None, "nothing runs while nobody looks"
    to(screen, "compare")
    each = {
        letter: assess(WINDY.vary({"tackle.scope": scope}), COUNT) for letter, scope in (("A", 3), ("B", 8))
    }
    offer = [of_spells(letter, found, "6 hour") for letter, found in each.items()]
    said = decision.decision(choose(offer), "6 hours", COUNT)
    banner = screen.compare.banner
    assert (banner.headline, banner.tone) == (said.headline, said.tone)
    assert f"From {COUNT} spells" in banner.foot and banner.cautions
    for option, (letter, lane) in zip(offer, lanes(screen).items(), strict=True):
        assert (option.letter, lane["name"]) == (letter, {"A": "3:1", "B": "8:1"}[letter])
        fails, load, radius, _ = lane["bars"]
        assert fails["low"] <= fails["likely"] <= fails["high"]
        assert load["value"] == f"{each[letter].peak_load.likely / 1000:.1f} kN"
        assert radius["value"] == f"{each[letter].radius.likely:.0f} m"
    assert lanes(screen)["A"]["dash"] != lanes(screen)["B"]["dash"]
    fails = {letter: lane["bars"][0]["likely"] for letter, lane in lanes(screen).items()}
    assert fails["A"] / fails["B"] == pytest.approx(offer[0].fails.likely / offer[1].fails.likely)  # one axis


def test_all_are_in_the_weather_on_screen_and_a_change_begins_anew(screen: Explorer) -> None:
    screen.keep()
    to(screen, "compare")
    assert [(one["letter"], one["here"], one["kept"]) for one in lanes(screen).values()] == [
        ("A", True, True)
    ]
    assert decision.ALONE in screen.compare.banner.more
    screen.vary({"weather.mean_wind": "12 knot", "weather.gust": "16 knot"})
    told = screen.outlook.told
    assert told is not None and [letter for letter, *_ in told.question.rows] == ["A"]
    assert si(told.question.rows[0][1].weather.mean_wind) == pytest.approx(12 * 1852 / 3600)
    screen.vary({"tackle.scope": 6})
    assert set(lanes(screen)) == {"A", "B"}
    screen.keep()
    screen.vary({"spot.depth": "9 m"})
    screen.keep()
    screen.vary({"spot.depth": "12 m"})
    assert list(lanes(screen)) == ["A", "B", "C", "D"]
    assert lanes(screen)["D"]["free"] is False
    assert screen.compare.banner.headline.startswith(("Lie at", "No set-up")), "several places"


def test_a_set_up_is_renamed_shown_and_removed(screen: Explorer) -> None:
    screen.remember(clear_radius=60.0)
    screen.keep()
    screen.remember(clear_radius=None)
    screen.vary({"tackle.scope": 8})
    to(screen, "compare")
    press(screen.compare.lanes, do="rename", letter="A", name="short <b>")
    assert lanes(screen)["A"]["name"] == "short <b>"
    press(screen.compare.lanes, do="show", letter="A")
    assert screen.scenario == WINDY and screen.frame.head.page == "swing"
    assert screen.clear_radius is not None and screen.clear_radius.m_as("m") == 60.0
    screen.undo()
    assert screen.scenario.tackle.scope == 8
    to(screen, "compare")
    press(screen.compare.lanes, do="remove", letter="A")
    assert [one["letter"] for one in screen.compare.lanes.set_ups] == ["A"] and not screen.kept
    press(screen.compare.lanes, do="show", letter="Z")  # nobody's letter


def test_what_was_found_stays_and_is_said_to_be_of_the_earlier_ones(screen: Explorer) -> None:
    to(screen, "compare")
    headline = screen.compare.banner.headline
    to(screen, "swing")
    screen.vary({"tackle.scope": 9})
    screen.compare.tell()
    assert screen.compare.banner.headline == headline and screen.compare.banner.foot == decision.OLD
    to(screen, "compare")
    assert screen.compare.banner.foot != decision.OLD


def test_a_set_up_that_cannot_be_leaves_the_others_be(screen: Explorer) -> None:
    shoal = WINDY.vary({"spot.depth": "2.5 m", "title": "Shoal"})
    screen.keep()
    screen.turn_to(shoal)
    screen.remember(forecast="fresh.csv", waters="17:30 -1 m\n23:40 -1.1 m")
    to(screen, "compare")
    shown = lanes(screen)
    assert "too shallow" in shown["B"]["problem"] and not shown["A"]["problem"]
    assert shown["A"]["bars"] and not shown["B"]["bars"]


def test_one_night_for_all_with_the_hours_stepped_through_and_opened(screen: Explorer) -> None:
    screen.keep()
    screen.vary({"tackle.scope": 8})
    to(screen, "night")
    assert screen.night.banner.headline == "Choose a forecast, or open one as a CSV file."
    screen.night.forecasts.value = "fresh.csv"
    shown = screen.scenario
    rows = read_forecast(Path("fresh.csv"))
    each = {"A": overnight(WINDY, rows, count=COUNT), "B": overnight(shown, rows, count=COUNT)}
    said = decision.decision(
        choose([of_night(letter, night) for letter, night in each.items()]), decision.NIGHT, COUNT,
        at=rows.clock.text,
    )  # fmt: skip
    assert screen.night.banner.headline == said.headline
    assert screen.night.hours.names == ["20:00", "20:02", "20:04"]
    worst = each["B"].worst
    assert worst is not None and screen.night.hours.names[screen.night.hours.value] == rows.clock.text(
        worst.si.time
    )
    for line, a, b in zip(screen.night.hours.lines, each["A"].hours, each["B"].hours, strict=True):
        for letter, hour in (("A", a), ("B", b)):
            assert hour.assessment is not None
            assert f"{letter} {100 * hour.assessment.chance('failed').likely:.0f} in 100" in line
    names = {trace.name for trace in screen.night.drawn.children[0].picture.data}
    assert {"A fails", "B fails", "A water", "B scope", "mean wind"} <= names
    told = screen.outlook.told
    press(screen.night.hours, do="open", hour=1)
    assert screen.scenario == each["B"].hours[1].scenario and screen.frame.head.page == "swing"
    to(screen, "night")
    assert screen.outlook.told is told and not screen.outlook.old, (
        "the night is still that of the set-up at dusk"
    )
    screen.undo()
    assert screen.scenario == shown


def test_high_and_low_water_are_typed_and_remembered(screen: Explorer) -> None:
    to(screen, "night")
    screen.night.forecasts.value = "fresh.csv"
    screen.night.waters.value = "17:30 0.4 m\n23:40\n"
    assert 'line 2: "23:40" is not a time and a height' in screen.night.banner.headline
    typed = "17:30 0.4 m\n23:40 2.9 m\n05:50 0.5 m"
    screen.night.waters.value = typed
    found = overnight(WINDY, read_forecast(Path("fresh.csv")), read_tide(typed), count=COUNT)
    told = screen.outlook.told
    assert told is not None
    (night,) = told.nights.values()
    assert [hour.si.depth for hour in night.hours] == [hour.si.depth for hour in found.hours]
    assert (screen.state.forecast, screen.state.waters) == ("fresh.csv", typed)


def test_a_forecast_is_brought_and_a_wrong_one_refused(screen: Explorer) -> None:
    to(screen, "night")
    content = b"time,mean wind [knot],gust [knot],wind direction [degree]\n20:00,often,20,200\n"
    upload = {"name": "../my night.csv", "type": "text/csv", "size": len(content), "content": content}
    screen.night.bring.value = ({**upload, "last_modified": datetime.now(UTC)},)
    assert screen.night.forecasts.value == "my-night.csv" and Path("my-night.csv").read_bytes() == content
    assert "line 2" in screen.night.banner.headline and "often" in screen.night.banner.headline
    screen.night.forecasts.value = "fresh.csv"
    assert "often" not in screen.night.banner.headline


def test_a_gale_asks_once_for_the_open_water(screen: Explorer) -> None:
    water = screen.night.water
    to(screen, "night")
    screen.night.forecasts.value = "fresh.csv"
    assert water.layout.display == "none"
    screen.night.forecasts.value = "gale.csv"
    assert water.layout.display is None and "215°" in water.question.value
    water.distance.value = 3.0
    water.set.click()
    assert [si(each.distance) for each in screen.scenario.spot.fetches] == [3000.0]
    assert water.layout.display == "none"
    screen.undo()
    assert water.layout.display is None
    water.never.click()
    assert water.layout.display == "none" and screen.state.no_fetch == (place_of(WINDY),)
    screen.vary({"tackle.scope": 5})
    assert water.layout.display == "none", "the same place"
    screen.vary({"spot.depth": "11 m"})
    assert water.layout.display is None, "another place"


def test_it_grows_while_one_looks_and_stops_when_the_page_is_left(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """On a loop, as in a notebook."""
    monkeypatch.chdir(tmp_path)

    async def until(true: object) -> None:
        for _ in range(1500):
            if true():  # type: ignore[operator]
                return
            await asyncio.sleep(0.02)
        raise AssertionError("it did not come")

    async def scene() -> None:
        screen = Explorer(WINDY)
        screen.outlook.counts = (10, 30)
        counts: list[int] = []
        screen.outlook.listen(
            lambda: counts.append(told.count if (told := screen.outlook.told) else 0), lambda: None
        )
        to(screen, "compare")
        assert screen.compare.banner.headline == "Calculating…"
        await until(lambda: counts and counts[-1] == 30)
        assert {10, 30} <= set(counts)
        screen.outlook.counts = (4000,)
        screen.vary({"tackle.scope": 4})
        await until(lambda: screen.outlook.busy and screen.outlook.old)
        to(screen, "swing")
        assert not screen.outlook.busy
        await asyncio.sleep(0.3)
        assert screen.outlook.told is not None and screen.outlook.told.count == 30

    asyncio.run(scene())
