"""What a night says, for typed-in hours: when to leave, and what to mind."""

from __future__ import annotations

import dataclasses

from invented_spells import invented

from anchorsim.planning.night import Hour, HourSI, Night, NightSI
from anchorsim.risk.assessment import Assessment
from anchorsim.scenario.forecast import Forecast, make_forecast
from anchorsim.scenario.scenario import Scenario
from anchorsim.wording import night as wording

HELD = invented()
DRAGS = invented(drag=[5.0] * 8)


def forecast(first: str, *, hours: int, date: str = "") -> Forecast:
    """A row every three hours from a time on."""
    start = int(first[:2])
    times = [f"{(start + 3 * row) % 24:02d}:00" for row in range(hours)]
    if date:
        days = [int(date[-2:]) + (start + 3 * row) // 24 for row in range(hours)]
        times = [f"{date[:-2]}{day:02d}T{time}" for day, time in zip(days, times, strict=True)]
    rows = [{"time": time, "mean_wind": "20 knot", "direction": "225 degree"} for time in times]
    return make_forecast(rows)


def night(given: Forecast, *found: Assessment) -> Night:
    hours = [
        Hour(HourSI(
            time=float(time), lasts=float(lasts), mean_wind=10.0, gust=14.0, direction=3.9, current=0.0, current_set=0.0,
            tide=0.0, depth=6.0, scope=5.0, scenario=Scenario(), bearing=0.8, distance=30.0,
        ), assessment)
        for time, lasts, assessment in zip(given.si.time, given.si.lasts, found, strict=True)
    ]  # fmt: skip
    return Night(Scenario(), given, None, 8, tuple(hours), (), NightSI(30.0))


def test_a_night_over_the_limit_says_by_when_to_leave() -> None:
    found = night(forecast("20:00", hours=3), HELD, DRAGS, DRAGS)
    assert "Over your limit (5 in 100 per 10-minute spell) from 23:00" in wording.sentence(found)
    assert "Leave before 23:00." in wording.sentence(found)
    assert [str(one) for one in wording.cautions(found)] == [
        "WARNING A dragging boat leaves little time: have the engine running, lifejackets on and a clear way out.",
        "WARNING Leaving late can be worse than staying: leave before 23:00, with daylight, engine tested and a harbour "
        "you can enter in that wind.",
        "WARNING You are above your limit from 23:00: keep an anchor watch, tell someone ashore, and be ready to slip "
        "the rode, buoyed.",
        "WARNING A person lost overboard at night is seldom found: wear a lifejacket and clip on whenever you go on deck.",
        "NOTICE Forecast from 20:00: get a newer one before you rely on it.",
    ]


def test_a_quiet_night_is_told_of_the_deck_and_of_its_forecast_alone() -> None:
    found = night(forecast("20:00", hours=3), HELD, HELD, HELD)
    assert "Leave" not in wording.sentence(found)
    assert [one.text[:8] for one in wording.cautions(found)] == ["A person", "Forecast"]


def test_the_day_is_named_where_a_time_could_be_of_two() -> None:
    """Twelve rows of three hours from 20:00: the eleventh is at 02:00 of the second day after."""
    calm = [HELD] * 10
    plain = night(forecast("20:00", hours=12), *calm, DRAGS, HELD)
    assert "Leave before 02:00 on day 3." in wording.sentence(plain)
    dated = night(forecast("20:00", hours=12, date="2026-11-12"), *calm, DRAGS, HELD)
    assert "Leave before 02:00 on 14 November 2026." in wording.sentence(dated)
    assert "Forecast from 20:00, 12 November 2026:" in str(wording.cautions(dated)[-1])
    one = night(dataclasses.replace(forecast("20:00", hours=2)), HELD, DRAGS)
    assert "Leave before 23:00." in wording.sentence(one)
