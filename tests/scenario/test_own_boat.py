"""A boat of one's own: what is said stays, what follows scales, and what she carries adds windage."""

from __future__ import annotations

from typing import Any

import pytest

from anchorsim.core.tables import catalogue, table
from anchorsim.core.units import SEA_WATER, si
from anchorsim.scenario.own_boat import nearest_model, own_boat
from anchorsim.scenario.scenario import Scenario
from anchorsim.scenario.vessel import Boat

STOCK = Boat.model_validate({})
KINDS = ("sailing yacht", "ketch", "motor cruiser", "catamaran")


def amounts(boat: Boat) -> dict[str, float]:
    return {name: si(getattr(boat, name)) for name in Boat.quantities()}


def made(**said: Any) -> Boat:
    return own_boat(STOCK, said)


def test_the_nearest_model_is_of_her_kind() -> None:
    assert nearest_model("ketch", 8.0) == "ketch-13"
    assert [nearest_model("sailing yacht", length) for length in (7.0, 9.1, 11.2, 16.0)] == [
        "sloop-8", "sloop-10", "sloop-12", "sloop-14",
    ]  # fmt: skip


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("length", [6.0, 9.0, 13.0, 18.0])
def test_any_usual_length_makes_a_boat_that_could_float_and_stays_herself(kind: str, length: float) -> None:
    boat = made(kind=kind, length=f"{length} m")
    assert si(boat.length) == length
    value = amounts(boat)
    box = value["waterline"] * value["waterline_beam"] * value["canoe_draught"] * boat.hulls
    assert 0.35 < value["displacement"] / SEA_WATER / box < 0.5
    assert own_boat(boat, {}) == boat


def test_a_boat_said_whole_is_as_said() -> None:
    said = {
        "kind": "ketch", "name": "Plover", "type": "Eleven-metre ketch", "builder": "an invented yard",
        "year": "1998", "hull_number": "none found", "length": "11 m", "waterline": "9.1 m", "beam": "3.5 m",
        "displacement": "8200 kg", "draught": "1.6 m", "bow_height": "1.5 m",
    }  # fmt: skip
    boat = made(**said)
    document = Scenario().vary({"boat": boat}).document()["boat"]
    assert {name: document[name] for name in said if name != "kind"} == {
        name: value for name, value in said.items() if name != "kind"
    }
    assert boat.kind == "ketch"
    # by hand, from the thirteen-metre ketch: 8.2 of 23.0 m² at 13 m and 1.7 m, 3.9 m broad
    assert si(boat.frontal_area) == pytest.approx(8.2 * 3.5 / 3.9 * 1.5 / 1.7, rel=0.005)
    assert si(boat.lateral_area) == pytest.approx(23.0 * 11 / 13 * 1.5 / 1.7, rel=0.005)
    assert si(boat.rig_frontal_area) == pytest.approx(5.2 * (11 / 13) ** 2, rel=0.005)
    assert si(boat.roller) == pytest.approx(7.0 * 11 / 13, rel=0.005)


def test_what_nobody_said_follows_anew_and_what_was_said_stays() -> None:
    first = made(length="11 m", displacement="7000 kg")
    then = own_boat(first, {"length": "11.5 m"})
    assert si(then.displacement) == 7000
    assert si(then.beam) == pytest.approx(3.9 * 11.5 / 12, rel=0.005)
    assert own_boat(then, {"displacement": None}) == made(length="11.5 m")


def test_a_size_that_is_her_models_stays_as_it_was_said() -> None:
    boat = own_boat(made(length="11.5 m", beam="3.9 m"), {"draught": "1.8 m"})
    assert (si(boat.beam), si(boat.draught)) == (3.9, 1.8)


@pytest.mark.parametrize(
    ("said", "ahead", "abeam"),
    [
        ({"cover": "sprayhood"}, 1.2, 0.55),
        ({"cover": "sprayhood and bimini"}, 1.65, 1.4),
        ({"dinghy": "on davits"}, 0.53, 0.65),
        ({"dinghy": "on the foredeck"}, 0.0, 0.95),
        ({"cover": "none", "dinghy": "none", "rig": "one mast"}, 0.0, 0.0),
    ],
)
def test_what_she_carries_adds_to_her_windage(said: dict[str, str], ahead: float, abeam: float) -> None:
    """The areas that the rows of the table tell of a boat of 11 m."""
    bare, boat = amounts(made(length="11 m")), amounts(made(length="11 m", **said))
    assert boat["frontal_area"] - bare["frontal_area"] == pytest.approx(ahead, abs=0.02)
    assert boat["lateral_area"] - bare["lateral_area"] == pytest.approx(abeam, abs=0.06)


def test_a_dinghy_shifts_the_centre_of_windage() -> None:
    centre = [si(made(dinghy=where).windage_centre) for where in ("on davits", "none", "on the foredeck")]
    assert centre == sorted(centre)
    moment = 19.0 * 0.1 + 0.0054 * 144 * -6.0  # by hand: the house of 19 m² at 0.1 m, the dinghy at -6 m
    assert centre[0] == pytest.approx(moment / (19.0 + 0.0054 * 144), rel=0.01)


def test_another_rig_is_taken_by_length() -> None:
    two = made(rig="two masts")
    assert si(two.rig_frontal_area) == pytest.approx(0.0308 * 144, rel=0.005)
    assert si(own_boat(two, {"rig": "one mast"}).rig_frontal_area) == si(STOCK.rig_frontal_area)


def test_rigs_by_length_are_those_of_the_catalogue() -> None:
    rows = {row["answer"]: row for row in table("deck_gear") if row["question"] == "rig"}
    for model in catalogue():
        boat = Boat.model_validate({"model": model})
        rig = {"ketch": "two masts", "motor cruiser": "none"}.get(boat.kind, "one mast")
        square = si(boat.length) ** 2
        assert si(boat.rig_frontal_area) / square == pytest.approx(rows[rig]["frontal"], rel=0.2)
        assert si(boat.rig_lateral_area) / square == pytest.approx(rows[rig]["lateral"], rel=0.2)
