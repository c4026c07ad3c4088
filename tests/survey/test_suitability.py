"""Whether the tackle fits boat, bottom and depths: published tables, closed forms, three invented boats."""

from __future__ import annotations

import math

import pytest

from anchorsim.core.resources import folder
from anchorsim.core.tables import table
from anchorsim.core.units import GRAVITY
from anchorsim.scenario.scenario import Scenario
from anchorsim.scenario.site import ground
from anchorsim.survey.suitability import anchor_fit, code_anchor, rode_fit, suitability_of, suits
from anchorsim.wording.compatibility import sentence
from anchorsim.wording.suitability import anchor

POUND_FORCE = 0.45359237 * GRAVITY  # N, NIST SP 811
STOCK = Scenario()


def test_between_and_beyond_the_code() -> None:
    assert code_anchor(11.0)[0] == pytest.approx(15.5)  # halfway from 13 to 18 kg
    assert code_anchor(3.0) == code_anchor(6.0)
    assert code_anchor(40.0) == code_anchor(24.0)


def test_published_and_computed_stand_side_by_side() -> None:
    found = anchor_fit(STOCK)
    assert found.mean_length == pytest.approx(11.3)
    assert found.code_mass == pytest.approx(16.25)  # 13 + 1.3/2 · 5 kg
    # H-40: 3.9 m of beam are 12.795 ft, between 11 ft (2400 lbf) and 13 ft (3200 lbf), which counts
    assert found.published["storm"] / POUND_FORCE == pytest.approx(3200, abs=0.5)
    wide = anchor_fit(STOCK.vary({"boat.model": "catamaran-12"}))  # her beam is beyond the table
    assert wide.published == {}
    assert 0 < found.pull.low <= found.pull.likely <= found.pull.high
    assert found.by_code


def test_the_mass_that_is_needed_holds_the_highest_peak_load_and_no_less_does() -> None:
    found = anchor_fit(STOCK)
    held = ground("concave scoop", found.needed_mass, "firm sand", 0.1).holding
    assert held == pytest.approx(found.pull.high)
    assert found.by_load == (found.needed_mass <= 20.0)


def test_more_wind_needs_more_anchor() -> None:
    masses = [
        anchor_fit(STOCK.vary({"weather.mean_wind": f"{wind} knot"})).needed_mass for wind in (15, 20, 25)
    ]
    assert masses == sorted(masses)


def test_nothing_is_enough_on_rock() -> None:
    found = anchor_fit(STOCK.vary({"spot.bottom": "rock"}))
    assert found.needed_mass == math.inf
    assert anchor(found, "metric").endswith("Do not count on any holding on rock.")


def test_what_the_crew_can_lift_is_told_apart_from_what_she_needs() -> None:
    cruiser = Scenario.load(folder("shared") / "survey-light-motor-cruiser.toml")
    found = anchor_fit(cruiser)
    assert found.sized_by_lift
    assert "Its weight suits what the crew can lift (10 kg), not what the boat needs." in anchor(
        found, "metric"
    )
    assert not anchor_fit(cruiser.vary({"survey.crew_lift": "0 kg"})).sized_by_lift, "nobody was asked"
    ketch = Scenario.load(folder("shared") / "survey-sound-ketch.toml")
    assert not anchor_fit(ketch).sized_by_lift, "her anchor is heavier than her crew can lift"
    assert anchor_fit(ketch).by_code and anchor_fit(ketch).by_load


# --- Style --------------------------------------------------------------------------------------------------


def test_every_type_is_judged_on_every_bottom() -> None:
    for row in table("anchors"):
        for bottom in table("bottoms"):
            assert suits(row["type"], bottom["bottom"])["suits"] in ("good", "fair", "poor")


def test_a_poor_style_is_told_and_a_better_one_named() -> None:
    weed = STOCK.vary({"tackle.anchor.type": "fluke", "spot.bottom": "weed over sand"})
    [misfit] = [found for found in suitability_of(weed).misfits if found.rule == "poor on this bottom"]
    assert sentence(misfit, "metric") == "A fluke anchor holds poorly in weed over sand."
    # the fisherman suits weed best and sets badly again once it broke out: it is not advised
    assert dict(misfit.changes) == {"tackle.anchor.type": "plough"}
    mended = suitability_of(weed.vary(dict(misfit.changes)))
    assert mended.suits == "fair"


def test_two_anchors_of_different_style() -> None:
    # common practice, no source
    none, same, other = (
        [
            sentence(found, "metric")
            for found in suitability_of(STOCK.vary(changes)).misfits
            if found.part == "second anchor"
        ]
        for changes in (
            {},
            {
                "tackle.fittings.second_anchor.type": "concave scoop",
                "tackle.fittings.second_anchor.mass": "15 kg",
            },
            {"tackle.fittings.second_anchor.type": "fluke", "tackle.fittings.second_anchor.mass": "15 kg"},
        )
    )
    assert none == ["No second anchor aboard."]
    assert len(same) == 1 and same[0].startswith("Both anchors are of the concave scoop type")
    assert other == []


# --- Rode ---------------------------------------------------------------------------------------------------


def test_least_scopes() -> None:
    chain = rode_fit(STOCK)  # 6 m of water, 1.4 m to the roller
    assert chain.least == pytest.approx(4 * 7.4)  # all chain 4:1, common practice, no source
    assert (chain.usual, chain.heavy) == pytest.approx((7 * 7.4, 10 * 7.4))  # common practice, no source
    assert chain.admiralty == pytest.approx(25 * math.sqrt(6))  # Admiralty, 25√D in metres, read in a reprint
    both = rode_fit(STOCK.vary({"tackle.chain.length": "10 m", "tackle.rope.length": "60 m"}))
    assert both.least == pytest.approx(6 * 7.4)  # combination 6:1, common practice, no source


def test_depths_that_she_visits_count_and_not_only_this_spot() -> None:
    deep = STOCK.vary({"survey.deepest": "20 m"})
    assert rode_fit(STOCK).enough
    assert not rode_fit(deep).enough
    [misfit] = [found for found in suitability_of(deep).misfits if found.part == "chain"]
    assert sentence(misfit, "metric") == (
        "In 20 m of water the boat needs at least 86 m of rode. Aboard is 60 m, 2.8:1."  # 4 · 21.4; 60 / 21.4
    )
    assert rode_fit(deep.vary(dict(misfit.changes))).enough


def test_a_boats_length_of_chain_before_rope() -> None:
    short = STOCK.vary({"tackle.chain.length": "5 m", "tackle.rope.length": "60 m"})
    [misfit] = [found for found in suitability_of(short).misfits if found.part == "chain"]
    assert sentence(misfit, "metric") == "The chain lead is 5 m long. A boat's length, 12 m, is usual."
    assert dict(misfit.changes) == {"tackle.chain.length": "12 m"}
    assert not [
        found for found in suitability_of(short.vary(dict(misfit.changes))).misfits if found.part == "chain"
    ]
