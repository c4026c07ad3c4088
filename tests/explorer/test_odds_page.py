"""The page of odds without a browser: what its cards say is what the computation says."""

from __future__ import annotations

import asyncio
import math
from dataclasses import replace
from typing import Any

import pytest

from anchorsim.core.units import si
from anchorsim.explorer import Explorer
from anchorsim.explorer.odds import SPELLS
from anchorsim.explorer.pace import Pace
from anchorsim.explorer.planning.odds import OddsPage
from anchorsim.planning.advice import advise
from anchorsim.risk.assessment import assess
from anchorsim.risk.limits import limit_wind
from anchorsim.scenario.scenario import Scenario
from anchorsim.wording import advice, amounts, limits, measures, odds_cards
from anchorsim.wording import assessment as wording

COUNT = 50
WINDY = Scenario().vary(
    {
        "weather.duration": "1 min",
        "weather.mean_wind": "30 knot",
        "weather.gust": "42 knot",
        "tackle.scope": 3,
    }
)


@pytest.fixture(scope="module")
def screen() -> Explorer:
    """With its page of odds open, which has begun by itself."""
    found = Explorer(WINDY)
    found.odds = OddsPage(found, Pace(lambda: iter(())), COUNT, samples=32, after=SPELLS)
    found._paged("swing", "odds")
    return found


def cards(screen: Explorer) -> dict[str, dict[str, Any]]:
    return {card["key"]: card for section in screen.odds.cards.sections for card in section["cards"]}


def act(screen: Explorer, do: str, key: str) -> None:
    """As the script in the page tells of it."""
    screen.odds.cards._handle_custom_msg({"do": do, "key": key}, [])


def test_it_begins_by_itself_and_only_when_it_is_on_screen(screen: Explorer) -> None:
    assert {"chances", "winds", "parts"} <= set(cards(screen))
    idle = OddsPage(screen, Pace(lambda: iter(())), COUNT, after=SPELLS)
    screen.state = replace(screen.state, page="swing")
    idle.follow()
    assert idle.found is None
    screen.state = replace(screen.state, page="odds")


def test_the_chance_is_that_of_the_strip_for_the_same_stretch(screen: Explorer) -> None:
    found, strip = screen.assessment, screen.frame.strip
    assert found is not None and screen.odds.found.now is found
    share = found.share("failed", screen.state.stretch)
    said = f"{100 * share.likely:.0f} of 100 ({100 * share.low:.0f} to {100 * share.high:.0f})"
    assert said in strip.outcome["sentence"] and said in cards(screen)["chances"]["line"]
    bars = cards(screen)["chances"]["picture"]["bars"]
    assert bars[0]["at"] == pytest.approx(share.likely) and len({bar["label"] for bar in bars}) == len(bars)
    assert all(round(100 * bar["at"]) > 0 for bar in bars[1:]), "nought in a hundred needs no row"


def test_more_spells_change_the_card_with_the_strip_whatever_is_under_way(
    screen: Explorer, monkeypatch: pytest.MonkeyPatch
) -> None:
    few, many = assess(WINDY, 30), assess(WINDY, 60)
    page = OddsPage(screen, Pace(lambda: iter(())), COUNT, after=SPELLS)
    waiting: list[Any] = []  # steps that have not come back yet
    monkeypatch.setattr(page._pace, "aside", lambda work, then: waiting.append((work, then)))
    page._begin(few, False)
    page._begin(many, True)
    share = many.share("failed", screen.state.stretch)
    for _ in range(3):  # as soon as they are there; then when what was begun with the few comes back
        assert page.found is not None and page.found.now is many
        assert page.found.shares["failed"] == share
        work, then = waiting.pop(0)
        then(work())


def test_limits_of_wind_are_those_that_are_sought_and_the_forecast_lies_among_them(screen: Explorer) -> None:
    card = cards(screen)["winds"]
    found = limit_wind(WINDY, (0.01, 0.05, 0.5), COUNT, of="failing")
    marks, top = card["picture"]["bars"], float(card["picture"]["top"].split()[0]) * 1852 / 3600
    for mark, limit in zip(marks, found, strict=True):
        assert mark["label"] == f"{100 * limit.chance:g} in 100" and limits.value(limit) in mark["value"]
        assert limit.found is not None and mark["at"] * top == pytest.approx(limit.found.likely, rel=1e-3)
    assert card["picture"]["now"] * top == pytest.approx(si(WINDY.weather.mean_wind), rel=1e-3)
    assert card["picture"]["now_text"] == "now 30 kn"


def test_changes_show_before_and_after_on_one_axis_and_where_they_can_be_done(screen: Explorer) -> None:
    known = assess(WINDY, COUNT)
    found = advise(WINDY, known=known)[:6]
    assert any(piece.change for piece in found)
    titles = {section["title"]: section["cards"] for section in screen.odds.cards.sections}
    for place, piece in enumerate(found):
        if piece.change is None:
            assert cards(screen)["leave"]["title"] == f"{advice.action(piece)}."
            continue
        card = cards(screen)[f"help {place}"]
        where = "What helps: aboard now" if piece.aboard else "What helps: to buy or have done ashore"
        assert card in titles[where] and card["title"] == measures.steps(piece.change)
        now, then = (one.share("failed", screen.state.stretch) for one in (piece.before, piece.after))
        assert then.likely < now.likely
        bars = card["picture"]["bars"]
        assert [bar["value"] for bar in bars] == [
            "{} in 100 ({})".format(*amounts.hundredths(share)) for share in (now, then)
        ]
        assert bars[0]["at"] / bars[1]["at"] == pytest.approx(now.likely / then.likely, rel=1e-6)
        assert all(f"{claim}." in card["why"] for claim in advice.claims(piece))
        assert all(str(caution) in card["why"] for caution in advice.cautions(piece))


def test_a_change_is_tried_with_one_click_and_undone_with_one(screen: Explorer) -> None:
    keys = [key for key in cards(screen) if key.startswith("help")]
    before = cards(screen)
    act(screen, "try", keys[0])
    found = screen.odds.found
    assert screen.scenario == found.helps[int(keys[0].split()[1])].change.apply(WINDY)
    assert screen.odds.cards.tried == keys[0] and "set-up before it" in screen.odds.cards.age
    assert cards(screen) == before, "the answers stay"
    act(screen, "try", keys[-1])  # one change after the other, not one upon the other
    assert screen.scenario == found.helps[int(keys[-1].split()[1])].change.apply(WINDY)
    act(screen, "undo", keys[-1])
    assert screen.scenario == WINDY and screen.odds.cards.tried == "" and screen.odds.cards.age == ""
    assert screen.odds.found is found, "and nothing was calculated again"


def test_what_matters_is_ranked_when_it_is_asked_for(screen: Explorer) -> None:
    assert screen.odds.cards.sections[-1]["asks"] and "matters" not in cards(screen)
    act(screen, "ask", "What matters most")
    card, found = cards(screen)["matters"], screen.odds.found.matters
    assert found is not None and screen.odds.cards.sections[-1]["asks"] == []
    shares = {round(100 * one.total.likely) for one in found.peak.influences if one.seen}
    of_load = [bar for bar in card["picture"]["bars"] if bar["series"] == len(card["picture"]["series"]) - 1]
    assert of_load and all(round(100 * bar["at"]) in shares for bar in of_load)
    assert all(0.0 <= bar["low"] <= bar["at"] <= bar["high"] <= 1.0 for bar in card["picture"]["bars"])


def test_units_and_the_stretch_are_those_of_the_screen(screen: Explorer) -> None:
    hour = screen.odds.found.now.share("failed", "1 hour")
    screen._stretched("1 hour")
    assert cards(screen)["chances"]["title"] == "Chance over 1 hour"
    assert cards(screen)["chances"]["picture"]["bars"][0]["value"].startswith(
        f"{100 * hour.likely:.0f} in 100"
    )
    screen._switch("US")
    assert any(" lbf" in line for line in cards(screen)["parts"]["why"])
    screen._switch("metric")
    screen._stretched("6 hour")


def test_every_card_tells_how_its_figures_come_about(screen: Explorer) -> None:
    for card in cards(screen).values():
        assert card["why"] and all(
            math.isfinite(bar["at"]) for bar in (card["picture"] or {"bars": ()})["bars"]
        )


def test_how_she_clears_what_lies_round_her_is_a_card() -> None:
    near = {"name": "Rock", "at": [{"bearing": "45 degree", "distance": "60 m"}]}
    found = assess(WINDY.vary({"surroundings.dangers": [near]}), SPELLS)
    card = odds_cards.room(found, "metric")
    assert card is not None and card.picture is not None
    assert wording.clearance(found.clearances[0]) in card.why and card.picture.bars[0].label == "Rock"
    assert odds_cards.room(assess(WINDY, 2), "metric") is None


def test_it_leaves_off_when_the_page_is_left() -> None:
    """On a loop: the screen answers while spells run, and they end when another page is opened."""

    async def scene() -> OddsPage:
        screen = Explorer(WINDY)
        page = screen.odds = OddsPage(screen, Pace(lambda: iter(())), 5000, after=SPELLS)
        while screen.assessment is None:
            await asyncio.sleep(0.05)
        screen._paged("swing", "odds")
        while "limits" not in page.cards.busy:
            await asyncio.sleep(0.05)
        screen._paged("odds", "swing")
        screen._odds.end()
        assert page.cards.busy == ""
        return page

    page = asyncio.run(scene())  # which waits for its threads
    assert page.found is not None and page.found.shares and page.found.winds is None


def test_a_calm_has_no_limit_and_a_move_begins_anew(
    screen: Explorer, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(OddsPage, "_advice", lambda _, known, *__: replace(known, helps=()))
    screen.turn_to(WINDY.vary({"weather.mean_wind": "0 knot", "weather.gust": "0 knot"}))
    assert "winds" not in cards(screen) and {"chances", "parts"} <= set(cards(screen))
    assert screen.odds.found.of(screen.scenario, None)
